//! Air month by month, as a row of twelve.

use dragback_scenario::{Body, Edit, Part};
use egui::{RichText, Ui, vec2};

use super::EditorPanel;
use super::group::head_ui;
use super::pen::Pen;
use crate::theme::space;
use crate::widgets::quiet;

/// Widths of the first column and of a month, points.
const LABEL: f32 = 120.0;
const MONTH: f32 = 62.0;
/// What a field takes off the width that it is given.
const FRAME: f32 = 12.0;

impl EditorPanel {
    pub(super) fn months_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, air: &Part) {
        ui.add_space(space::TIGHT);
        ui.horizontal(|ui| {
            head_ui(pen, ui, &pen.label(air));
            let name = format!("Same all year: {}", pen.name(air));
            let button = ui.small_button("Same all year").accessible_name(&name);
            let hint = "The whole year gets the air of January.";
            if button.on_hover_text(hint).clicked() {
                let at = air.spot.clone();
                self.try_ask(pen, &air.spot, vec![Edit::WholeYear { at }], name);
            }
            if air.is_option {
                self.remove_ui(pen, ui, air);
            }
        });
        self.wrong_ui(pen, ui, air, 0);
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            ui.allocate_exact_size(vec2(LABEL, 16.0), egui::Sense::hover());
            for month in air.parts() {
                let (rect, _) = ui.allocate_exact_size(vec2(MONTH, 16.0), egui::Sense::hover());
                let builder = egui::UiBuilder::new().max_rect(rect);
                quiet(
                    &mut ui.new_child(builder),
                    pen.ctx.palette,
                    month.spot.last(),
                );
            }
        });
        let rows = air.parts().iter().map(|m| m.parts().len()).max();
        for row in 0..rows.unwrap_or(0) {
            self.row_ui(pen, ui, air, row);
        }
        for month in air.parts() {
            if matches!(month.body, Body::Absent) {
                self.wrong_ui(pen, ui, month, 0);
            }
            for part in month.parts() {
                self.wrong_ui(pen, ui, part, 0);
            }
        }
        ui.add_space(space::NEAR);
    }

    fn row_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, air: &Part, row: usize) {
        let first = air.parts().iter().find_map(|m| m.parts().get(row));
        let Some(first) = first else { return };
        let is_told = |m: &Part| {
            let leaf = m.parts().get(row).and_then(Part::leaf);
            leaf.is_some_and(|l| l.written.is_some())
        };
        let is_shown = first.is_needed || self.shows_all || air.parts().iter().any(is_told);
        if !is_shown {
            return;
        }
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let (rect, _) = ui.allocate_exact_size(vec2(LABEL, 22.0), egui::Sense::hover());
            let layout = egui::Layout::left_to_right(egui::Align::Center);
            let builder = egui::UiBuilder::new().max_rect(rect).layout(layout);
            let words = RichText::new(pen.label(first)).color(pen.ctx.palette.ink);
            ui.new_child(builder).label(words);
            for month in air.parts() {
                match month.parts().get(row) {
                    Some(part) => {
                        let field = self.field_ui(pen, ui, part, MONTH + FRAME);
                        self.note_hint(pen, part, &field);
                    }
                    None => {
                        ui.allocate_exact_size(vec2(MONTH, 22.0), egui::Sense::hover());
                    }
                }
            }
        });
    }
}
