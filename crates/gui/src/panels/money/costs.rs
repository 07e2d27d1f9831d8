//! What a line costs to run for a year, where there is nothing to compare it with.

use dragback_report::told::money::so_far;
use dragback_scenario::Scenario;
use dragback_study::money::Costs;
use egui::{Button, Label, Rect, RichText, ScrollArea, Ui, UiBuilder, pos2};

use super::kilogram::kilograms_ui;
use super::steps::cost_ui;
use super::{SIDE, money, uncounted_ui};
use crate::command::Command;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// Draws the lines of the cost, and how to come to an answer.
pub(super) fn costs_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    body: Rect,
    costs: &Costs,
    scenario: &Scenario,
) {
    let currency = scenario.prices.as_ref().and_then(|p| p.currency.as_deref());
    let currency = currency.unwrap_or_default();
    let split = body.right() - SIDE.min(0.5 * body.width());
    let left = Rect::from_min_max(body.min, pos2(split - space::WIDE, body.bottom()));
    let right = Rect::from_min_max(pos2(split, body.top()), body.max);
    let mut child = ui.new_child(UiBuilder::new().max_rect(left).id_salt("costs"));
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(&mut child, |ui| {
            let words = format!(
                "This line costs {} a year to run{}",
                money(costs.per_year, currency),
                so_far(costs)
            );
            ui.label(
                RichText::new(words)
                    .size(size::HEADING)
                    .color(ctx.palette.ink),
            );
            ui.add_space(space::TIGHT);
            ui.spacing_mut().item_spacing.y = 0.0;
            let largest = costs.lines.iter().map(|l| l.per_year);
            let largest = largest.fold(0.0, f64::max);
            for line in &costs.lines {
                cost_ui(ctx, ui, line, largest);
            }
            uncounted_ui(ctx, ui, &costs.uncounted);
        });
    let mut child = ui.new_child(UiBuilder::new().max_rect(right).id_salt("how"));
    let ui = &mut child;
    ui.label(RichText::new("Does a change pay?").size(size::HEADING));
    let words = "Pin the line as it is and move what you think of changing, or load the line as it was before: then this sheet says what the change \
                 saves, what it costs and when that is back. Prices stand in the group Prices of the levers, equipment under Prices in the editor.";
    ui.add(Label::new(RichText::new(words).color(ctx.palette.quiet)).wrap());
    ui.add_space(space::NEAR);
    ui.horizontal(|ui| {
        if ui.add(Button::new("Pin this line")).clicked() {
            ctx.ask(Command::Pin);
        }
        let file = ui.add_enabled(!ctx.is_opening, Button::new("Compare with a file…"));
        if file.clicked() {
            ctx.ask(Command::ReferenceDialog);
        }
    });
    kilograms_ui(ctx, ui, scenario);
}
