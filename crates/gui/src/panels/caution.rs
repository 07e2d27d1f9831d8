//! The safety caution: always in sight.

use egui::text::{LayoutJob, TextFormat};
use egui::{Frame, Label, Margin, Sense, Ui};

use super::Help;
use crate::command::Command;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;

/// What must not be forgotten.
pub const CAUTION: &str = "Hot solution, chromic acid and nickel, electricity and exhaust air can injure. Follow local codes and licensed practice. Results are estimates.";

pub(super) const MORE: &str = "Nothing here replaces measurement, safety data sheets, ventilation rules or a licensed engineer. Outside the model: pH, cyanide and \
carbonate chemistry, breakdown of organics, and speciation.";

/// Room above and below.
const ROOM: f32 = 6.0;

/// Height that the caution needs: it breaks into lines where the window is narrow, and is never cut short.
#[must_use]
pub fn caution_height(ctx: &ViewCtx<'_>, ui: &Ui) -> f32 {
    let mut job = written(ctx);
    job.wrap.max_width = (ui.available_width() - 2.0 * space::WIDE).max(100.0);
    (ui.painter().layout_job(job).size().y + 2.0 * ROOM).ceil()
}

fn written(ctx: &ViewCtx<'_>) -> LayoutJob {
    let mut job = LayoutJob::default();
    for (words, color) in [
        ("▲ Caution  ", ctx.palette.caution),
        (CAUTION, ctx.palette.quiet),
    ] {
        let format = TextFormat {
            font_id: font(size::SMALL),
            color,
            ..TextFormat::default()
        };
        job.append(words, 0.0, format);
    }
    job
}

/// Draws the caution; a click opens all that is to be said.
pub fn caution_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let margin = Margin::symmetric(16, 6);
    Frame::NONE.inner_margin(margin).show(ui, |ui| {
        let label = ui.add(Label::new(written(ctx)).wrap().sense(Sense::click()));
        if label.on_hover_text(MORE).clicked() {
            ctx.ask(Command::ShowHelp(Some(Help::About)));
        }
    });
}
