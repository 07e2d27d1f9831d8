//! The ledger as a table.

use egui::{Align, Color32, Layout, Rect, RichText, ScrollArea, Stroke, Ui, UiBuilder, vec2};

use crate::ledger::{Line, Sheet};
use crate::number::{joined, three};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// Widths of amount and share.
const AMOUNT: f32 = 82.0;
const SHARE: f32 = 58.0;
const ROW: f32 = 19.0;

/// Draws the table: in, out, held, closure error.
pub fn table_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, sheet: &Sheet) {
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("ledger table"));
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(&mut child, |ui| {
            ui.spacing_mut().item_spacing = vec2(space::TIGHT, 0.0);
            let told = |value: f64| joined(sheet.told(value, ctx.prefs.system));
            let ink = ctx.palette.ink;
            for (name, total, lines) in [
                ("In", sheet.came, &sheet.left),
                ("Out", sheet.went, &sheet.right),
            ] {
                row(ui, name, &told(total), "", ink, true);
                rule(ui, ctx.palette.rule);
                for line in lines.iter().filter(|l| !l.is_held) {
                    line_row(ctx, ui, sheet, line, total);
                }
                ui.add_space(space::NEAR);
            }
            let held = joined(sheet.told_signed(sheet.held, ctx.prefs.system));
            row(ui, "Change of what is held", &held, "", ink, true);
            rule(ui, ctx.palette.rule);
            let (words, color) = if sheet.closes() {
                ("closes", ctx.palette.good)
            } else {
                ("open", ctx.palette.alarm)
            };
            row(
                ui,
                "Closure error",
                &sheet.error_words(),
                words,
                color,
                true,
            )
            .on_hover_text(
                "What is missing in in − out − change held, as a share of the largest of what came in, what went out and what was held at first. \
                 Above 1e−9 a run is not trusted.",
            );
        });
}

fn line_row(ctx: &ViewCtx<'_>, ui: &mut Ui, sheet: &Sheet, line: &Line, total: f64) {
    let amount = joined(sheet.told(line.amount, ctx.prefs.system));
    let percent = 100.0 * line.amount / total;
    // Something small is not nothing.
    let share = if percent < 0.05 {
        "< 0.1 %".to_owned()
    } else {
        format!("{} %", three(percent, 1))
    };
    row(ui, &line.name, &amount, &share, ctx.palette.ink, false);
}

/// One row: name at the left, amount and share right-aligned.
fn row(
    ui: &mut Ui,
    name: &str,
    amount: &str,
    share: &str,
    color: Color32,
    is_strong: bool,
) -> egui::Response {
    let text = |words: &str| {
        let text = RichText::new(words).size(size::BODY).color(color);
        if is_strong { text.strong() } else { text }
    };
    let wide = ui.available_width() - space::NEAR;
    let layout = Layout::right_to_left(Align::Center);
    let inner = ui.allocate_ui_with_layout(vec2(wide, ROW), layout, |ui| {
        ui.set_min_size(vec2(wide, ROW));
        let cell = |ui: &mut Ui, wide: f32, words: &str| {
            ui.allocate_ui_with_layout(vec2(wide, ROW), layout, |ui| {
                ui.set_min_size(vec2(wide, ROW));
                ui.add(egui::Label::new(text(words)).selectable(false));
            });
        };
        cell(ui, SHARE, share);
        cell(ui, AMOUNT, amount);
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            ui.add(egui::Label::new(text(name)).truncate());
        });
    });
    inner.response
}

fn rule(ui: &mut Ui, color: Color32) {
    let wide = ui.available_width() - space::NEAR;
    let (rect, _) = ui.allocate_exact_size(vec2(wide, 3.0), egui::Sense::hover());
    let stroke = Stroke::new(1.0, color);
    ui.painter().hline(rect.x_range(), rect.center().y, stroke);
}
