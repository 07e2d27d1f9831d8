//! The question turned round: how far the line as it is closes with the evaporator that it has.

use dragback_study::size::Reach;
use dragback_units::System;
use egui::{Align, Label, Layout, Rect, RichText, Ui, UiBuilder, vec2};

use crate::sizing::{Progress, SizingTable, holds_fact, reach_fact};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// Height of a line.
const LINE: f32 = 18.0;

/// Height that the answers need.
pub(super) fn height(table: &SizingTable) -> f32 {
    #[expect(clippy::cast_precision_loss, reason = "a handful")]
    let lines = lines(table).max(1) as f32 + 1.0;
    lines * LINE + space::NEAR
}

/// Lines of answers.
fn lines(table: &SizingTable) -> usize {
    let holds = |reach: &Reach| holds_fact(reach, System::Metric).is_some();
    let of = |reach: &Reach| 1 + usize::from(holds(reach));
    table.reaches.iter().map(of).sum()
}

/// Draws the answers.
pub(super) fn reaches_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, table: &SizingTable) {
    let rect = Rect::from_min_max(rect.min + vec2(0.0, space::NEAR), rect.max);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("reaches"));
    let ui = &mut child;
    ui.spacing_mut().item_spacing.y = 0.0;
    let words =
        "The line that was sized, with the evaporator that it has, closes over the week with";
    line_ui(ui, |ui| {
        ui.add(Label::new(RichText::new(words).color(ctx.palette.ink)).truncate());
    });
    if table.reaches.is_empty() {
        let words = match table.progress {
            Progress::Underway => "being looked for …",
            Progress::GivenUp => "given up before it was found",
            _ => "no evaporator: it has no tower to ask this of",
        };
        line_ui(ui, |ui| {
            ui.label(RichText::new(words).color(ctx.palette.quiet));
        });
    }
    for reach in &table.reaches {
        let fact = reach_fact(reach, ctx.prefs.system);
        fact_ui(ctx, ui, fact.name, &fact.told, fact.hint);
        if let Some(fact) = holds_fact(reach, ctx.prefs.system) {
            fact_ui(ctx, ui, fact.name, &fact.told, fact.hint);
        }
    }
}

fn line_ui(ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    let wide = ui.available_width();
    let layout = Layout::left_to_right(Align::Center);
    ui.allocate_ui_with_layout(vec2(wide, LINE), layout, |ui| {
        ui.set_min_size(vec2(wide, LINE));
        add(ui);
    });
}

/// A name, and its value at the right edge.
pub(super) fn fact_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, name: &str, told: &str, hint: &str) {
    let wide = ui.available_width() - space::NEAR;
    let layout = Layout::right_to_left(Align::Center);
    let row = ui.allocate_ui_with_layout(vec2(wide, LINE), layout, |ui| {
        ui.set_min_size(vec2(wide, LINE));
        let text = |words: &str, color| RichText::new(words).size(size::BODY).color(color);
        ui.add(Label::new(text(told, ctx.palette.ink)).extend());
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            ui.add(Label::new(text(name, ctx.palette.quiet)).truncate());
        });
    });
    row.response.on_hover_text(hint);
}
