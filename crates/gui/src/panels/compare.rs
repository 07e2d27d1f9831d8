//! The line and its variants side by side: settled figures, inputs that differ, and one curve of each over one another.

mod curves;
mod head;
mod table;

use std::sync::Arc;

use dragback_scenario::Scenario;
use dragback_study::compare::Inputs;
use dragback_study::money::Plan;
use dragback_study::{Answers, Counted};
use dragback_units::System;
use egui::{Button, Color32, Label, Rect, RichText, Ui, UiBuilder, Vec2, pos2, vec2};

use crate::command::{Command, NameFor, VariantCommand};
use crate::compare::{Column, Sheet, VariantFound, Which};
use crate::document::Document;
use crate::money::plan;
use crate::plots::{Dash, pen};
use crate::results::Figures;
use crate::theme::{Palette, size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::roomy;
use dragback_study::curves::Kind;

/// What the line itself is called beside its variants.
pub const LINE: &str = "The line";

/// The panel; it keeps which curve is laid over one another, which columns are in sight, and what was set side by side last.
#[derive(Default)]
pub struct ComparePanel {
    which: Which,
    /// The first variant in sight, where there is no room for all.
    first: usize,
    curves: curves::Kept,
    plan: Option<(Arc<Figures>, Plan)>,
    told: Option<(Key, Sheet)>,
    /// Inputs of the lines that were told last: those of variants stay the same while the line moves.
    inputs: Vec<(Arc<Scenario>, Inputs)>,
}

/// Of what a sheet is told.
#[derive(PartialEq)]
struct Key {
    scenario: *const Scenario,
    figures: *const Figures,
    known: Vec<*const VariantFound>,
    from: usize,
    loop_key: String,
    system: System,
    counted: Counted,
}

/// A line of the sheet.
pub(super) struct Line<'a> {
    pub name: &'a str,
    pub scenario: &'a Arc<Scenario>,
    /// Its number: the line itself is 0.
    pub number: usize,
    /// What was found of a variant.
    pub found: Option<&'a VariantFound>,
}

impl Line<'_> {
    /// Hue and dash of its curve.
    pub fn pen(&self, palette: &Palette) -> (Color32, Dash) {
        pen(Kind::Level, self.number, palette)
    }
}

/// Height of the line with the choices.
const HEAD: f32 = 32.0;
/// Share of the width that the table takes at most.
const TABLE: f32 = 0.6;
/// Least room in which it can be read.
const LEAST: Vec2 = vec2(640.0, 320.0);

impl ComparePanel {
    /// Draws the sheet into what is left of the window.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let area = ui.available_rect_before_wrap();
        let head = Rect::from_min_size(area.min, vec2(area.width(), HEAD));
        let body = Rect::from_min_max(
            pos2(area.left() + space::WIDE, area.top() + HEAD),
            pos2(area.right() - space::WIDE, area.bottom() - space::NEAR),
        );
        let Some(document) = ctx.document else {
            return;
        };
        let lines = lines(ctx, document);
        let from = reference(ctx, &lines);
        head::head_ui(ctx, ui, head, &lines, from);
        if document.variants().is_empty() {
            let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("compare"));
            empty_ui(ctx, &mut child);
            return;
        }
        let figures = ctx.results.figures();
        let own = figures.map(|f| self.plan_of(&document.scenario, f));
        let sheet = self.sheet(ctx, document, (&lines, from), own.as_ref());
        roomy(ui, body, LEAST, |ui, body| {
            self.body_ui(ctx, ui, body, (&lines, from), &sheet);
        });
        self.told = self.told.take().map(|(key, _)| (key, sheet));
    }

    fn body_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        body: Rect,
        (lines, from): (&[Line<'_>], usize),
        sheet: &Sheet,
    ) {
        let wide = table::wanted_width(lines).min(TABLE * body.width());
        let left = Rect::from_min_max(body.min, pos2(body.left() + wide, body.bottom()));
        let right = Rect::from_min_max(pos2(left.right() + space::WIDE, body.top()), body.max);
        table::table_ui(ctx, ui, left, (lines, from), sheet, &mut self.first);
        let (which, curves) = (&mut self.which, &mut self.curves);
        curves::curves_ui(ctx, ui, right, lines, which, curves);
    }

    /// What a year of the line uses; prices that were moved since its week was found count at once.
    fn plan_of(&mut self, scenario: &Arc<Scenario>, figures: &Arc<Figures>) -> Plan {
        let known = self.plan.take().filter(|(of, _)| Arc::ptr_eq(of, figures));
        let (_, plan) = self.plan.insert(
            known.unwrap_or_else(|| (Arc::clone(figures), plan(&figures.scenario, figures))),
        );
        Plan {
            scenario: Arc::clone(scenario),
            ..plan.clone()
        }
    }

    /// Lists the inputs of each line, of those that are the same as before not anew.
    fn list_inputs(&mut self, lines: &[Line<'_>]) {
        let mut known = std::mem::take(&mut self.inputs);
        let each = lines.iter().map(|line| {
            let place = known
                .iter()
                .position(|(of, _)| Arc::ptr_eq(of, line.scenario));
            match place {
                Some(place) => known.swap_remove(place),
                None => (Arc::clone(line.scenario), Inputs::of(line.scenario)),
            }
        });
        self.inputs = each.collect();
    }

    /// Everything in words; worked out only where something of it is new.
    fn sheet(
        &mut self,
        ctx: &ViewCtx<'_>,
        document: &Document,
        (lines, from): (&[Line<'_>], usize),
        own: Option<&Plan>,
    ) -> Sheet {
        let figures = ctx.results.figures();
        let key = Key {
            scenario: Arc::as_ptr(&document.scenario),
            figures: figures.map_or(std::ptr::null(), Arc::as_ptr),
            known: lines
                .iter()
                .map(|l| l.found.map_or(std::ptr::null(), std::ptr::from_ref))
                .collect(),
            from,
            loop_key: document.loop_key.clone(),
            system: ctx.prefs.system,
            counted: ctx.prefs.counted,
        };
        if let Some((known, sheet)) = &mut self.told
            && *known == key
        {
            return std::mem::take(sheet);
        }
        self.list_inputs(lines);
        let columns: Vec<Column<'_>> = lines
            .iter()
            .zip(&self.inputs)
            .map(|(line, (_, inputs))| {
                let (answers, plan) = answers(ctx, line, own);
                Column {
                    name: line.name,
                    line: line.scenario,
                    inputs,
                    answers,
                    plan,
                }
            })
            .collect();
        let sheet = Sheet::of(
            &columns,
            from,
            &document.loop_key,
            (ctx.prefs.system, ctx.prefs.counted),
        );
        self.told = Some((key, Sheet::default()));
        sheet
    }
}

/// The answers of a line and what a year of it uses, as far as they are known.
fn answers<'a>(
    ctx: &'a ViewCtx<'_>,
    line: &Line<'a>,
    own: Option<&'a Plan>,
) -> (Option<&'a Answers>, Option<&'a Plan>) {
    if line.number == 0 {
        return (ctx.results.figures().map(|f| &f.answers), own);
    }
    let found = line.found.and_then(|f| f.outcome.as_ref().ok());
    found.map_or((None, None), |f| (Some(&f.figures.answers), Some(&f.plan)))
}

/// The line, then its variants.
fn lines<'a>(ctx: &ViewCtx<'a>, document: &'a Document) -> Vec<Line<'a>> {
    let own = Line {
        name: LINE,
        scenario: &document.scenario,
        number: 0,
        found: None,
    };
    let variants = document.variants().iter().enumerate();
    let each = variants.map(|(i, (name, scenario))| Line {
        name,
        scenario,
        number: i + 1,
        found: ctx.variants.get(scenario, &document.loop_key),
    });
    std::iter::once(own).chain(each).collect()
}

/// Number of the line from which differences are told.
fn reference(ctx: &ViewCtx<'_>, lines: &[Line<'_>]) -> usize {
    let named = ctx.against.and_then(|name| {
        let mut variants = lines.iter().skip(1);
        variants.find(|l| l.name == name)
    });
    named.map_or(0, |l| l.number)
}

/// Says what variants are, and offers the ways to the first one.
fn empty_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.add_space(space::WIDE);
    let head = RichText::new("No variants yet").size(size::HEADING);
    ui.label(head.color(ctx.palette.ink));
    let words = "Keep the line as it stands under a name and go on: move levers, add a tower, take a rinse away. Here the line then stands beside each \
                 variant, with its figures, what it costs, which inputs differ, and one curve of each over one another. The file keeps them all.";
    ui.add(Label::new(RichText::new(words).color(ctx.palette.quiet)).wrap());
    ui.add_space(space::NEAR);
    ui.horizontal(|ui| {
        if ui.add(Button::new("Keep the line as a variant…")).clicked() {
            ctx.ask(Command::Variant(VariantCommand::AskName(NameFor::Keep)));
        }
        let file = ui.add_enabled(!ctx.is_opening, Button::new("Add one from a file…"));
        if file.clicked() {
            ctx.ask(Command::Variant(VariantCommand::FileDialog));
        }
    });
}
