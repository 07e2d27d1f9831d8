//! Things with one or two inputs each: a row for each.

use dragback_scenario::{Body, Kind, Part};
use egui::{RichText, Ui};

use super::EditorPanel;
use super::pen::Pen;
use crate::theme::{size, space};
use crate::widgets::quiet;

/// Most inputs of a row.
const MOST: usize = 2;

/// Whether the things of a list or map are shown as rows.
pub fn is_table(list: &Part) -> bool {
    matches!(list.body, Body::Map(_))
        && list.meta.name != "loops"
        && list.parts().iter().all(|thing| match &thing.body {
            Body::Leaf(_) => true,
            Body::Record(parts) => {
                let own = parts.iter().filter(|p| p.meta.name != "notes").count();
                own <= MOST && parts.iter().all(|p| p.leaf().is_some())
            }
            _ => false,
        })
}

impl EditorPanel {
    /// A row for each thing.
    pub(super) fn table_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, list: &Part) {
        for (i, thing) in list.parts().iter().enumerate() {
            ui.horizontal(|ui| match &thing.body {
                Body::Record(parts) => {
                    self.key_ui(pen, ui, thing, 150.0);
                    let told = parts
                        .iter()
                        .filter(|p| p.meta.name != "notes" || self.shows_all);
                    for part in told.collect::<Vec<_>>() {
                        quiet(ui, pen.ctx.palette, pen.label(part));
                        let width = if part.meta.name == "title" {
                            216.0
                        } else {
                            110.0
                        };
                        let field = self.field_ui(pen, ui, part, width);
                        self.note_hint(pen, part, &field);
                    }
                    self.thing_buttons(pen, ui, list, (i, thing));
                }
                _ => {
                    let (rect, _) =
                        ui.allocate_exact_size(egui::vec2(150.0, 22.0), egui::Sense::hover());
                    let words = RichText::new(thing.spot.last()).size(size::BODY);
                    let layout = egui::Layout::left_to_right(egui::Align::Center);
                    let builder = egui::UiBuilder::new().max_rect(rect).layout(layout);
                    let mut child = ui.new_child(builder);
                    child.label(words.color(pen.ctx.palette.ink));
                    let field = self.field_ui(pen, ui, thing, 150.0);
                    self.note_hint(pen, thing, &field);
                    if let Some(Kind::Quantity(dim)) = thing.leaf().map(|l| l.kind) {
                        ui.scope(|ui| {
                            ui.set_width(200.0);
                            quiet(ui, pen.ctx.palette, pen.range_words(thing, dim));
                        });
                    }
                    if let Some(leaf) = thing.leaf().filter(|l| matches!(l.kind, Kind::Quantity(_)))
                    {
                        self.origin_ui(pen, ui, thing, leaf);
                        self.more_button(pen, ui, thing, leaf);
                    }
                    self.thing_buttons(pen, ui, list, (i, thing));
                }
            });
            self.wrong_ui(pen, ui, thing, 0);
            if let Body::Record(parts) = &thing.body {
                for part in parts {
                    self.wrong_ui(pen, ui, part, 0);
                }
            }
            if let Some(leaf) = thing.leaf().filter(|_| self.open.contains(&thing.spot)) {
                self.more_ui(pen, ui, thing, leaf);
            }
        }
        if !list.parts().is_empty() {
            self.sum_ui(pen, ui, list);
        }
    }

    /// What the rows come to, where that says something.
    fn sum_ui(&self, pen: &Pen<'_>, ui: &mut Ui, list: &Part) {
        if list.meta.name != "elements" {
            return;
        }
        let dim = dragback_units::Dim::Power;
        let each = list.parts().iter().map(|thing| {
            let power = thing.parts().iter().find(|p| p.meta.name == "power");
            let text = power.and_then(|p| p.leaf()?.written.as_deref());
            text.and_then(|t| dim.parse(t).ok())
        });
        let Some(powers) = each.collect::<Option<Vec<f64>>>() else {
            return;
        };
        let unit = dim.display_unit(pen.system(), dragback_units::Style::Default);
        let sum = dragback_units::format_in(unit, powers.iter().sum(), 3);
        let words = format!("{} heating elements, {sum} together", powers.len());
        quiet(ui, pen.ctx.palette, words);
        ui.add_space(space::TIGHT);
    }
}
