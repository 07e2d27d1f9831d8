//! The word about what was done last: over the foot of the window, beside the name of the scenario and not in its place.

use egui::{Align, Align2, Area, Button, Frame, Id, Label, Layout, Order, RichText, Ui, vec2};

use crate::command::Command;
use crate::theme::space;
use crate::view_ctx::ViewCtx;

/// Widest that it becomes, points.
const WIDEST: f32 = 620.0;
/// Room of the button.
const CLOSE: f32 = 56.0;

/// Draws it, if there is one; `left` is how much of it is left to see, 1 to 0, `foot` the height of what it stands above.
pub fn notice_ui(ctx: &ViewCtx<'_>, ui: &Ui, left: f32, foot: f32) {
    let Some(notice) = ctx.notice else { return };
    let color = if notice.is_bad {
        ctx.palette.alarm
    } else {
        ctx.palette.good
    };
    let screen = ui.ctx().content_rect();
    let above = foot + space::NEAR;
    let most = WIDEST.min(screen.width() - 4.0 * space::WIDE);
    Area::new(Id::unique("notice"))
        .order(Order::Foreground)
        .anchor(Align2::CENTER_BOTTOM, vec2(0.0, -above))
        .show(ui.ctx(), |ui| {
            ui.set_opacity(left);
            let frame = Frame::popup(ui.style())
                .stroke(egui::Stroke::new(1.0, color))
                .inner_margin(egui::Margin::symmetric(12, 8));
            frame.show(ui, |ui| {
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.scope(|ui| {
                        ui.set_max_width(most - CLOSE);
                        let text = RichText::new(&notice.text).color(color);
                        ui.add(Label::new(text).wrap());
                    });
                    let close = ui.add(Button::new("Close").small());
                    if close.accessible_name("Close the notice").clicked() {
                        ctx.ask(Command::CloseNotice);
                    }
                });
            });
        });
}
