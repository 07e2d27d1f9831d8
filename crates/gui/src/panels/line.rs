//! My line in ten answers: each with its usual range, what is taken while it is open, and what is wrong with it.

use std::collections::BTreeMap;

use dragback_scenario::{BATHS, BathKind, Key, Outline, QUESTIONS, Question};
use dragback_units::{Dim, Style, System, Unit, format_in};
use egui::{Button, ComboBox, RichText, Ui, vec2};

use super::page::{cell, head_ui, templates_ui};
use crate::command::Command;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::{AnswerEdit, quiet};

/// The page; it keeps what was answered, also while it is away.
#[derive(Default)]
pub struct LinePanel {
    bath: Option<usize>,
    answers: BTreeMap<Key, AnswerEdit>,
}

/// Widths of question and answer, points.
const ASK: f32 = 500.0;
const ANSWER: f32 = 170.0;

impl LinePanel {
    /// Draws the page.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        head_ui(
            ctx,
            ui,
            "My line in ten answers",
            "Answer what you know, in any unit; leave open what you do not. Tanks, tower and heaters around it are sized for you and marked assumed.",
        );
        self.bath_ui(ctx, ui);
        let mut wrong = 0;
        for (n, question) in QUESTIONS.iter().enumerate() {
            wrong += usize::from(!self.question_ui(ctx, ui, n + 2, question));
        }
        ui.add_space(space::NEAR);
        self.done_ui(ctx, ui, wrong);
        templates_ui(ctx, ui);
    }

    fn outline(&self) -> Outline {
        let mut outline = Outline::default();
        outline.bath = self.bath;
        for (key, edit) in &self.answers {
            outline.answer(*key, edit.answer());
        }
        outline
    }

    fn kind(&self) -> &'static BathKind {
        self.outline().kind()
    }

    fn bath_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        row(ui, |ui| {
            let hint = "Its recipe, temperature and limits are those usual for the kind; change them later.";
            cell(ui, ASK, |ui| ask_ui(ctx, ui, 1, "Which bath is it?", hint));
            let name = |i: usize| BATHS.get(i).map_or("", |b| b.name);
            let shown = self.bath.map_or("don't know", name);
            cell(ui, ANSWER, |ui| {
                let combo = ComboBox::from_id_salt("kind of bath")
                    .width(ANSWER - 12.0)
                    .truncate()
                    .selected_text(shown)
                    .show_ui(ui, |ui| {
                        ui.selectable_value(&mut self.bath, None, "don't know");
                        for (i, kind) in BATHS.iter().enumerate() {
                            ui.selectable_value(&mut self.bath, Some(i), kind.name);
                        }
                    });
                combo.response.accessible_name("Kind of bath");
            });
            let kind = self.kind();
            let open = if self.bath.is_none() {
                format!("open: {} is taken; ", kind.name)
            } else {
                String::new()
            };
            let told = format!("{open}told by {}", kind.counted);
            cell(ui, ui.available_width(), |ui| quiet(ui, ctx.palette, told));
        });
    }

    /// One question; says whether its answer can be taken.
    fn question_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        n: usize,
        question: &Question,
    ) -> bool {
        let kind = self.kind();
        let unit = unit_of(question.dim, ctx.prefs.system);
        let edit = self.answers.entry(question.key).or_default();
        row(ui, |ui| {
            cell(ui, ASK, |ui| {
                ask_ui(ctx, ui, n, question.ask, question.hint)
            });
            cell(ui, ANSWER, |ui| {
                edit.ui(ui, ctx.palette, question.ask, "don't know", unit);
            });
            cell(ui, ui.available_width(), |ui| {
                let usual = range(question.usual_si(kind), unit);
                quiet(ui, ctx.palette, format!("usual {usual}"));
                match state_of(question, edit.answer(), kind, unit) {
                    Ok(words) => {
                        quiet(ui, ctx.palette, words);
                        true
                    }
                    Err(words) => {
                        let words = RichText::new(words).size(size::SMALL);
                        ui.label(words.color(ctx.palette.alarm));
                        false
                    }
                }
            })
        })
    }

    fn done_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, wrong: usize) {
        row(ui, |ui| {
            let words = RichText::new("Run this line").size(size::HEADING).strong();
            let is_open = wrong == 0;
            let button = ui.add_enabled_ui(is_open, |ui| {
                ui.add_sized(vec2(ANSWER, 34.0), Button::new(words))
            });
            if button.inner.clicked() {
                ctx.ask(Command::BeginLine(self.outline()));
            }
            ui.add_space(space::NEAR);
            let outline = self.outline();
            let given = QUESTIONS
                .iter()
                .filter(|q| outline.answered(q.key).is_some());
            let given = given.count() + usize::from(self.bath.is_some());
            let open = 10 - given;
            let (words, color) = match wrong {
                0 => (
                    format!(
                        "{given} answered, {open} open. It becomes the line that is open, in no file yet."
                    ),
                    ctx.palette.quiet,
                ),
                1 => (
                    "One answer cannot be taken; it is marked.".to_owned(),
                    ctx.palette.alarm,
                ),
                n => (
                    format!("{n} answers cannot be taken; they are marked."),
                    ctx.palette.alarm,
                ),
            };
            cell(ui, 520.0, |ui| {
                ui.add_space(space::NEAR);
                ui.label(RichText::new(words).color(color));
            });
            if given > 0 && ui.button("Leave all open").clicked() {
                *self = Self::default();
            }
        });
    }
}

/// A row of the page.
fn row<R>(ui: &mut Ui, add: impl FnOnce(&mut Ui) -> R) -> R {
    let inner = ui.horizontal_top(add).inner;
    ui.add_space(space::TIGHT);
    inner
}

fn ask_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, n: usize, ask: &str, hint: &str) {
    let words = RichText::new(format!("{n}  {ask}")).size(size::BODY);
    ui.label(words.color(ctx.palette.ink).strong());
    quiet(ui, ctx.palette, hint);
}

/// The unit in which an answer is shown and a bare number is meant.
fn unit_of(dim: Dim, system: System) -> &'static Unit {
    let style = if dim == Dim::Concentration {
        Style::Bath
    } else {
        Style::Default
    };
    dim.display_unit(system, style)
}

/// A range in a unit: `13–2640 gal`.
fn range((low, high): (f64, f64), unit: &Unit) -> String {
    let number = |si: f64| crate::number::significant(unit.from_si(si), 3);
    format!("{}–{} {}", number(low), number(high), unit.symbol)
        .trim_end()
        .to_owned()
}

/// What is taken, or what is wrong.
fn state_of(
    question: &Question,
    answer: &str,
    kind: &BathKind,
    unit: &Unit,
) -> Result<String, String> {
    if answer.is_empty() {
        let typical = question.typical(kind);
        let si = typical.and_then(|text| question.dim.parse(&text).ok());
        return Ok(si.map_or_else(
            || "open: follows from the other answers".to_owned(),
            |si| format!("open: {} is taken", format_in(unit, si, 3)),
        ));
    }
    match question.read(answer, kind) {
        Ok(si) => {
            let shown = format_in(unit, si, 3);
            let (low, high) = question.usual_si(kind);
            let beyond = if si < low {
                ", less than usual"
            } else if si > high {
                ", more than usual"
            } else {
                ""
            };
            Ok(if shown == answer {
                format!("taken as written{beyond}")
            } else {
                format!("taken as written, that is {shown}{beyond}")
            })
        }
        Err(problem) => {
            let allowed = range(question.allowed_si(kind), unit);
            let is_there = problem.message.contains(&allowed);
            let also = if problem.allowed.is_some() && !is_there && !unit.symbol.is_empty() {
                format!(" (here {allowed})")
            } else {
                String::new()
            };
            Err(format!("{}{also}; {}.", problem.message, problem.advice))
        }
    }
}
