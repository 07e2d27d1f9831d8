//! Records, lists and maps: their heads, their parts, and what can be done with each.

use dragback_scenario::{Body, Edit, Part, Spot};
use egui::{Button, RichText, Ui};

use super::EditorPanel;
use super::chapters::chapter_of;
use super::leaf::STEP;
use super::pen::{Pen, is_told};
use crate::theme::{size, space};
use crate::widgets::quiet;

impl EditorPanel {
    /// Any part.
    pub(super) fn part_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, depth: usize) {
        // A part with a chapter of its own stands there.
        if chapter_of(&part.spot) != self.chapter {
            return;
        }
        if depth > 0 && self.is_hidden(pen, part) {
            return;
        }
        match &part.body {
            Body::Leaf(_) => self.leaf_ui(pen, ui, part, depth),
            Body::Record(parts) => {
                let is_root = depth == 0;
                self.record_head_ui(pen, ui, part, is_root);
                self.inner_ui(ui, !is_root, |panel, ui| {
                    panel.fields_ui(pen, ui, parts, depth + 1);
                });
            }
            Body::Months(_) => self.months_ui(pen, ui, part),
            Body::Absent => self.absent_ui(pen, ui, part),
            Body::List(_) | Body::Map(_) => self.things_ui(pen, ui, part, depth),
            Body::Strange(text) => {
                ui.horizontal(|ui| {
                    ui.label(RichText::new(pen.label(part)).strong());
                    ui.label(RichText::new(text).color(pen.ctx.palette.alarm));
                    self.remove_ui(pen, ui, part);
                });
                self.wrong_ui(pen, ui, part, depth);
            }
        }
    }

    /// Whether a part is left out and nobody asked for it.
    fn is_hidden(&self, pen: &Pen<'_>, part: &Part) -> bool {
        let holder = part.spot.split().map(|(holder, _)| holder);
        let is_revealed = self.revealed.contains(&part.spot)
            || part.leaf().is_some() && holder.is_some_and(|h| self.revealed.contains(&h));
        !self.shows_all && !is_revealed && !is_told(part) && !pen.has_faults_within(&part.spot)
    }

    /// What may be added to a record, as buttons, and a way to the inputs that are left out.
    fn more_fields_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, parts: &[Part]) {
        let hidden: Vec<&Part> = parts
            .iter()
            .filter(|p| chapter_of(&p.spot) == self.chapter && self.is_hidden(pen, p))
            .collect();
        let Some(first) = hidden.first() else { return };
        let holder = first.spot.split().map(|(holder, _)| holder);
        let (leaves, others): (Vec<&Part>, Vec<&Part>) =
            hidden.into_iter().partition(|p| p.leaf().is_some());
        ui.horizontal_wrapped(|ui| {
            quiet(ui, pen.ctx.palette, "Left out:");
            for part in others {
                let is_map = matches!(part.body, Body::Map(_));
                let told = format!(
                    "{}: {}",
                    if is_map { "Show" } else { "Add" },
                    pen.name(part)
                );
                let words = format!("+ {}", pen.label(part));
                let button = ui.small_button(words).accessible_name(&told);
                if !button.on_hover_text(part.meta.hint).clicked() {
                    continue;
                }
                if is_map {
                    self.revealed.insert(part.spot.clone());
                } else {
                    let add = Edit::Add {
                        at: part.spot.clone(),
                        key: None,
                    };
                    self.try_ask(pen, &part.spot, vec![add], told);
                }
            }
            if let (Some(holder), false) = (holder, leaves.is_empty()) {
                let words = match leaves.len() {
                    1 => format!("{}…", pen.label(leaves[0])),
                    n => format!("{n} inputs…"),
                };
                let name = pen
                    .draft
                    .part(&holder)
                    .map_or(String::new(), |p| pen.name(p));
                let button = ui.small_button(words);
                let button = button.accessible_name(format!("Show what is left out: {name}"));
                let names: Vec<String> = leaves.iter().map(|p| pen.label(p)).collect();
                if button.on_hover_text(names.join(", ")).clicked() {
                    self.revealed.insert(holder);
                }
            }
        });
    }

    /// The fields of a record: inputs first, what they hold behind them.
    pub(super) fn fields_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, parts: &[Part], depth: usize) {
        let (leaves, others): (Vec<&Part>, Vec<&Part>) =
            parts.iter().partition(|p| p.leaf().is_some());
        let (notes, leaves): (Vec<&Part>, Vec<&Part>) =
            leaves.into_iter().partition(|p| p.meta.name == "notes");
        for part in leaves.into_iter().chain(others).chain(notes) {
            self.part_ui(pen, ui, part, depth);
        }
        self.more_fields_ui(pen, ui, parts);
    }

    /// What stands within a part, moved in.
    pub(super) fn inner_ui(
        &mut self,
        ui: &mut Ui,
        is_in: bool,
        add: impl FnOnce(&mut Self, &mut Ui),
    ) {
        if !is_in {
            add(self, ui);
            return;
        }
        ui.horizontal(|ui| {
            ui.add_space(STEP);
            ui.vertical(|ui| add(self, ui));
        });
        ui.add_space(space::TIGHT);
    }

    fn record_head_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, is_root: bool) {
        let can_go = part.is_option;
        if is_root && !can_go {
            self.wrong_ui(pen, ui, part, 0);
            return;
        }
        ui.add_space(space::TIGHT);
        ui.horizontal(|ui| {
            head_ui(pen, ui, &pen.label(part));
            let whole_year = format!("{}.all.", part.path);
            if part.parts().iter().any(|p| p.path.starts_with(&whole_year)) {
                let name = format!("Month by month: {}", pen.name(part));
                let button = ui.small_button("Month by month").accessible_name(&name);
                let hint = "Twelve states of air, all alike at first.";
                if button.on_hover_text(hint).clicked() {
                    let at = part.spot.clone();
                    self.try_ask(pen, &part.spot, vec![Edit::EachMonth { at }], name);
                }
            }
            if can_go {
                self.remove_ui(pen, ui, part);
            }
            let about = first_sentence(part.meta.hint);
            let own = pen.label(part).to_lowercase();
            let says_more =
                about.to_lowercase().trim_end_matches('.') != own && about != format!("The {own}.");
            if !is_root && says_more {
                quiet(ui, pen.ctx.palette, about);
            }
        });
        self.wrong_ui(pen, ui, part, 0);
    }

    fn absent_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part) {
        ui.horizontal(|ui| {
            let name = format!("Add: {}", pen.name(part));
            let words = format!("Add {}", pen.label(part).to_lowercase());
            let button = ui.add(Button::new(words)).accessible_name(&name);
            if button.on_hover_text(part.meta.hint).clicked() {
                let add = Edit::Add {
                    at: part.spot.clone(),
                    key: None,
                };
                self.try_ask(pen, &part.spot, vec![add], name);
            }
            quiet(ui, pen.ctx.palette, first_sentence(part.meta.hint));
        });
        self.wrong_ui(pen, ui, part, 0);
    }

    /// A list or map with its things.
    fn things_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, depth: usize) {
        ui.add_space(space::TIGHT);
        if depth > 0 || part.spot.segments().len() == 1 && self.chapter == 0 {
            ui.horizontal(|ui| {
                head_ui(pen, ui, &pen.label(part));
                quiet(ui, pen.ctx.palette, first_sentence(part.meta.hint));
            });
        }
        self.wrong_ui(pen, ui, part, 0);
        let is_in = depth > 0;
        self.inner_ui(ui, is_in, |panel, ui| {
            if part.meta.name == "route" {
                panel.route_ui(pen, ui, part);
            } else if part.meta.name == "loops" {
                panel.loops_ui(pen, ui, part);
            } else if super::table::is_table(part) {
                panel.table_ui(pen, ui, part);
            } else {
                for (i, thing) in part.parts().iter().enumerate() {
                    if i > 0 {
                        ui.separator();
                    }
                    panel.thing_ui(pen, ui, part, (i, thing), depth);
                }
            }
            panel.add_ui(pen, ui, part);
        });
    }

    /// One thing with its fields.
    fn thing_ui(
        &mut self,
        pen: &Pen<'_>,
        ui: &mut Ui,
        list: &Part,
        (i, thing): (usize, &Part),
        depth: usize,
    ) {
        ui.horizontal(|ui| {
            if matches!(list.body, Body::Map(_)) {
                self.key_ui(pen, ui, thing, 170.0);
            } else {
                head_ui(pen, ui, &format!("{}", i + 1));
            }
            self.thing_buttons(pen, ui, list, (i, thing));
        });
        self.wrong_ui(pen, ui, thing, 0);
        if list.meta.name == "calendars" {
            self.week_ui(pen, ui, thing);
        }
        ui.add_space(space::TIGHT);
        match &thing.body {
            Body::Record(parts) => self.fields_ui(pen, ui, parts, depth + 1),
            _ => self.part_ui(pen, ui, thing, depth + 1),
        }
    }

    /// The loops: only their keys; what is in them stands in the other chapters.
    fn loops_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, list: &Part) {
        for (i, thing) in list.parts().iter().enumerate() {
            ui.horizontal(|ui| {
                self.key_ui(pen, ui, thing, 170.0);
                self.thing_buttons(pen, ui, list, (i, thing));
            });
            self.wrong_ui(pen, ui, thing, 0);
        }
    }

    pub(super) fn remove_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part) {
        let name = format!("Remove: {}", pen.name(part));
        let button = ui.add(Button::new("Remove").small());
        if button.accessible_name(&name).clicked() {
            let edit = Edit::Remove {
                at: part.spot.clone(),
            };
            self.try_ask(pen, &part.spot, vec![edit], name);
        }
    }

    /// Asks for edits, unless they cannot be made; then the reason stands beside the part.
    pub(super) fn try_ask(&mut self, pen: &Pen<'_>, at: &Spot, edits: Vec<Edit>, what: String) {
        match pen.draft.edited(&edits) {
            Ok(_) => {
                self.refused = None;
                pen.ask(edits, what);
            }
            Err(problem) => self.refused = Some((at.clone(), problem)),
        }
    }
}

/// A head within a chapter.
pub fn head_ui(pen: &Pen<'_>, ui: &mut Ui, words: &str) {
    let words = RichText::new(words).size(size::HEADING).strong();
    ui.label(words.color(pen.ctx.palette.ink));
}

/// The first sentence of a hint; all of it stands at the foot.
fn first_sentence(hint: &str) -> &str {
    hint.split_once(". ").map_or(hint, |(first, _)| first)
}
