//! The safety caution: always in sight.

use egui::{Align, Layout, RichText, Ui};

use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// What must not be forgotten.
pub const CAUTION: &str = "Hot solution, chromic acid and nickel, electricity and exhaust air can injure. Follow local codes and licensed practice. Results are estimates.";

pub(super) const MORE: &str = "Nothing here replaces measurement, safety data sheets, ventilation rules or a licensed engineer. Outside the model: pH, cyanide and \
carbonate chemistry, breakdown of organics, and speciation.";

/// Draws the caution.
pub fn caution_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        ui.add_space(space::WIDE);
        ui.label(
            RichText::new("▲ Caution")
                .size(size::SMALL)
                .color(ctx.palette.caution)
                .strong(),
        );
        let text = RichText::new(CAUTION)
            .size(size::SMALL)
            .color(ctx.palette.quiet);
        ui.add(egui::Label::new(text).truncate())
            .on_hover_text(MORE);
    });
}
