//! One input: its field, what is usual, where it comes from, and what is wrong with it.

use dragback_scenario::{Edit, Kind, LeafPart, Part, Spot};
use dragback_units::Dim;
use egui::{Align2, ComboBox, Key, Label, Response, RichText, ScrollArea, TextEdit, Ui, vec2};

use super::EditorPanel;
use super::pen::Pen;
use super::words::said;
use crate::theme::{size, space};
use crate::widgets::{quiet, with_unit};

/// Widths of a row's columns, points.
pub const LABEL: f32 = 216.0;
const FIELD: f32 = 190.0;
const RANGE: f32 = 250.0;
/// Greatest height of a long text.
const MOST_HEIGHT: f32 = 112.0;
/// How far the parts of a part are moved in, points.
pub const STEP: f32 = 18.0;

impl EditorPanel {
    /// A row with everything about an input.
    pub(super) fn leaf_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, depth: usize) {
        let Some(leaf) = part.leaf() else { return };
        let is_long =
            matches!(leaf.kind, Kind::Text) && matches!(part.meta.name, "notes" | "description");
        let label = pen.label(part);
        ui.horizontal(|ui| {
            label_ui(pen, ui, &label, label_width(depth), leaf);
            let is_wide = is_long || matches!(part.meta.name, "title" | "name");
            let width = if is_wide { FIELD + RANGE } else { FIELD };
            let field = self.field_ui(pen, ui, part, width);
            self.note_hint(pen, part, &field);
            if let Kind::Quantity(dim) = leaf.kind {
                let words = pen.range_words(part, dim);
                ui.scope(|ui| {
                    ui.set_width(RANGE);
                    quiet(ui, pen.ctx.palette, words);
                });
                if leaf.written.is_some() {
                    self.origin_ui(pen, ui, part, leaf);
                    self.more_button(pen, ui, part, leaf);
                }
            }
        });
        self.wrong_ui(pen, ui, part, depth);
        if self.open.contains(&part.spot) && leaf.written.is_some() {
            self.more_ui(pen, ui, part, leaf);
        }
    }

    /// What is wrong with a part, under it.
    pub(super) fn wrong_ui(&self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, depth: usize) {
        let live = self.live.as_ref().filter(|_| self.is_writing_at(part));
        let told: Vec<(&str, &str)> = match live {
            Some(problem) => vec![(&problem.message, &problem.advice)],
            None => {
                let of_part = pen.faults(&part.spot).iter().copied();
                let refused = self.refused.iter();
                let refused = refused.filter(|(at, _)| *at == part.spot).map(|(_, p)| p);
                of_part
                    .chain(refused)
                    .map(|p| (p.message.as_str(), p.advice.as_str()))
                    .collect()
            }
        };
        for (message, advice) in told {
            let gap = if advice.is_empty() { "" } else { "; " };
            let words = RichText::new(format!("{message}{gap}{advice}.")).size(size::SMALL);
            ui.horizontal(|ui| {
                ui.add_space(label_width(depth) + space::NEAR);
                ui.add(Label::new(words.color(pen.ctx.palette.alarm)).wrap());
            });
        }
    }

    /// Whether a field was just left with a text to be taken: something was written into it, and it was not left by Escape. Until then what is
    /// written is kept.
    pub(super) fn is_typed(&mut self, ui: &Ui, at: &Spot, response: &Response, text: &str) -> bool {
        if response.changed() {
            self.writing = Some((at.clone(), text.to_owned()));
        }
        let is_mine = self.writing.as_ref().is_some_and(|(spot, _)| spot == at);
        if !(is_mine && response.lost_focus()) {
            return false;
        }
        self.writing = None;
        self.live = None;
        !ui.input(|i| i.key_pressed(Key::Escape))
    }

    fn is_writing_at(&self, part: &Part) -> bool {
        self.writing
            .as_ref()
            .is_some_and(|(at, _)| *at == part.spot)
    }

    /// The strip at the foot tells of the field under the hand.
    pub(super) fn note_hint(&mut self, pen: &Pen<'_>, part: &Part, field: &Response) {
        if field.hovered() || field.has_focus() {
            let dim = match part.leaf().map(|l| l.kind) {
                Some(Kind::Quantity(dim)) => Some(dim),
                _ => None,
            };
            let default = part.meta.default.map_or(String::new(), |text| {
                let told = dim.and_then(|dim| pen.default_words(part, dim));
                format!(" Left out: {}.", told.as_deref().unwrap_or(text))
            });
            let allowed = dim.and_then(|dim| pen.allowed_words(part, dim));
            let allowed = allowed.map_or(String::new(), |words| format!(" Allowed: {words}."));
            self.hint = Some((
                pen.name(part),
                format!("{}{default}{allowed}", part.meta.hint),
            ));
        }
    }

    /// The field of an input.
    pub(super) fn field_ui(
        &mut self,
        pen: &Pen<'_>,
        ui: &mut Ui,
        part: &Part,
        width: f32,
    ) -> Response {
        let Some(leaf) = part.leaf() else {
            return ui.label("");
        };
        match leaf.kind {
            Kind::Choice(words) => choice_ui(pen, ui, part, leaf, width, || {
                words.iter().map(|&w| w.to_owned()).collect()
            }),
            Kind::Flag => choice_ui(pen, ui, part, leaf, width, || {
                vec!["true".to_owned(), "false".to_owned()]
            }),
            Kind::Text if part.meta.names.is_some() => {
                let known = || {
                    let last = pen.ctx.document.map(|d| d.scenario.as_ref());
                    let names = part.meta.names;
                    names.map_or_else(Vec::new, |n| pen.draft.known(n, &part.spot, last))
                };
                choice_ui(pen, ui, part, leaf, width, known)
            }
            Kind::Text | Kind::Quantity(_) => self.text_ui(pen, ui, part, leaf, width),
        }
    }

    fn text_ui(
        &mut self,
        pen: &Pen<'_>,
        ui: &mut Ui,
        part: &Part,
        leaf: &LeafPart,
        width: f32,
    ) -> Response {
        let now = leaf.written.clone().unwrap_or_default();
        let mut text = match &self.writing {
            Some((at, text)) if *at == part.spot => text.clone(),
            _ => now.clone(),
        };
        let open = match part.meta.default {
            Some(default) => default.to_owned(),
            None if part.is_needed => "needed".to_owned(),
            None => "left out".to_owned(),
        };
        let is_long = matches!(part.meta.name, "notes" | "description");
        let is_long = is_long && now.chars().count() > 40;
        let field = if is_long {
            TextEdit::multiline(&mut text).desired_rows(2)
        } else {
            TextEdit::singleline(&mut text).align(Align2::LEFT_CENTER)
        };
        let is_wrong = !pen.faults(&part.spot).is_empty();
        let color = if is_wrong {
            pen.ctx.palette.alarm
        } else {
            pen.ctx.palette.accent
        };
        let field = field
            .id_salt(("field", &part.spot))
            .hint_text(open)
            .text_color(color)
            .desired_width(width - 12.0)
            .margin(vec2(6.0, 2.0));
        let response = if is_long {
            // A long text scrolls in its own field, so that what follows stays near.
            let scroll = ScrollArea::vertical()
                .id_salt(("long", &part.spot))
                .max_height(MOST_HEIGHT);
            scroll.show(ui, |ui| ui.add(field)).inner
        } else {
            ui.add(field)
        };
        let response = response.accessible_name(pen.name(part));
        if response.changed() {
            self.live = would_be_wrong(pen, part, leaf.kind, &text);
        }
        if self.is_typed(ui, &part.spot, &response, &text) && text.trim() != now {
            let edits = written(pen, part, leaf, &text);
            pen.ask(edits, pen.name(part));
        }
        response
    }
}

/// A label of a given width; what is not given is quiet.
pub fn label_ui(pen: &Pen<'_>, ui: &mut Ui, label: &str, width: f32, leaf: &LeafPart) {
    let palette = pen.ctx.palette;
    let color = if leaf.written.is_some() {
        palette.ink
    } else {
        palette.quiet
    };
    let (rect, _) = ui.allocate_exact_size(vec2(width, 22.0), egui::Sense::hover());
    let mut child = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(rect)
            .layout(egui::Layout::left_to_right(egui::Align::Center)),
    );
    child.add(Label::new(RichText::new(label).color(color)).wrap());
}

/// A list of words; what may be left out can be.
fn choice_ui(
    pen: &Pen<'_>,
    ui: &mut Ui,
    part: &Part,
    leaf: &LeafPart,
    width: f32,
    words: impl FnOnce() -> Vec<String>,
) -> Response {
    let now = leaf.written.as_deref();
    let open = match part.meta.default {
        Some(default) => format!("{} (left out)", said(default)),
        None if part.is_needed => "needed".to_owned(),
        None => "left out".to_owned(),
    };
    // Names are shown as they are written; words of a choice as they are said.
    let is_name = part.meta.names.is_some();
    let shown = |word: &str| {
        if is_name { word.to_owned() } else { said(word) }
    };
    let is_wrong = !pen.faults(&part.spot).is_empty();
    let palette = pen.ctx.palette;
    let color = match (is_wrong, now) {
        (true, _) => palette.alarm,
        (false, Some(_)) => palette.accent,
        (false, None) => palette.quiet,
    };
    let selected = RichText::new(now.map_or(open.clone(), shown)).color(color);
    let mut asked = None;
    let combo = ComboBox::from_id_salt(("choice", &part.spot))
        .width(width)
        .truncate()
        .selected_text(selected)
        .show_ui(ui, |ui| {
            let may_be_left = !part.is_needed && !part.meta.name.is_empty();
            if may_be_left && ui.selectable_label(now.is_none(), open).clicked() {
                asked = now.map(|_| Edit::Remove {
                    at: part.spot.clone(),
                });
            }
            for word in words() {
                let is_now = now == Some(word.as_str());
                if ui.selectable_label(is_now, shown(&word)).clicked() && !is_now {
                    asked = Some(Edit::Write {
                        at: part.spot.clone(),
                        text: word,
                    });
                }
            }
        });
    if let Some(edit) = asked {
        pen.ask(vec![edit], pen.name(part));
    }
    combo.response.accessible_name(pen.name(part))
}

/// A bare number gets the unit in which it is meant.
pub fn completed(pen: &Pen<'_>, part: &Part, dim: Dim, text: &str) -> String {
    if text.trim().is_empty() {
        return String::new();
    }
    match pen.unit(part, dim) {
        Some(unit) => with_unit(text, unit),
        None => text.trim().to_owned(),
    }
}

/// The edits that a typed text asks for. An emptied field is left out.
fn written(pen: &Pen<'_>, part: &Part, leaf: &LeafPart, text: &str) -> Vec<Edit> {
    let at = part.spot.clone();
    // A text that is an entry of a map, or may be empty, stays where it is.
    let is_entry = pen.is_entry(part);
    if text.trim().is_empty() && !is_entry {
        return vec![Edit::Remove { at }];
    }
    let text = match leaf.kind {
        Kind::Quantity(dim) => completed(pen, part, dim, text),
        _ => text.to_owned(),
    };
    vec![Edit::Write { at, text }]
}

/// What would be wrong with a value that is being typed, once it is a value at all.
fn would_be_wrong(
    pen: &Pen<'_>,
    part: &Part,
    kind: Kind,
    text: &str,
) -> Option<dragback_scenario::Problem> {
    let Kind::Quantity(dim) = kind else {
        return None;
    };
    if text.trim().is_empty() {
        return None;
    }
    let text = completed(pen, part, dim, text);
    let edit = Edit::Write {
        at: part.spot.clone(),
        text,
    };
    let draft = pen.draft.edited(&[edit]).ok()?;
    let is_here = |p: &&dragback_scenario::Problem| draft.root().of_path(&p.path).spot == part.spot;
    draft.problems().iter().find(is_here).cloned()
}

/// Width of a label so that fields stand in one column, however far they are moved in.
fn label_width(depth: usize) -> f32 {
    let steps = u8::try_from(depth.saturating_sub(1)).unwrap_or(u8::MAX);
    (LABEL - STEP * f32::from(steps)).max(120.0)
}
