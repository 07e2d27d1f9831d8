//! A kilogram of the solute by which a line is judged, by its several prices: what it is worth where it is lost, and what it costs as bought.

use dragback_scenario::Scenario;
use dragback_study::money::kilograms;
use dragback_units::Dim;
use egui::{RichText, Ui};

use super::pays::value_words;
use super::row_ui;
use crate::number::significant;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::words::solute;

/// Draws a row for each price; each hint says what it means and where it counts.
pub(super) fn kilograms_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, scenario: &Scenario) {
    let prices = scenario.prices.as_ref();
    let currency = prices.and_then(|p| p.currency.as_deref());
    let currency = currency.unwrap_or_default();
    for kilogram in kilograms(scenario) {
        let name = solute(&kilogram.solute);
        ui.add_space(space::NEAR);
        let head = RichText::new(format!("{name}, by its prices")).size(size::BODY);
        ui.label(head.color(ctx.palette.ink));
        let told = |per_kg: f64| value_words(ctx, Dim::MoneyPerMass, per_kg, currency);
        if let Some(worth) = kilogram.worth_per_kg {
            let hint = format!(
                "What figures of losses count for each mass of it that is lost for good.\nprices.solutes.{}",
                kilogram.solute
            );
            row_ui(ctx, ui, "Worth where it is lost", &told(worth), &hint);
        }
        for bought in &kilogram.bought {
            let share = significant(100.0 * bought.share, 3);
            let hint = format!(
                "What the running cost counts for what is bought: {share} % of it is {}, on which all of its price is put here.\n{}",
                name.to_lowercase(),
                bought.path
            );
            let row = format!("Bought as {}", bought.name);
            row_ui(ctx, ui, &row, &told(bought.per_kg), &hint);
        }
    }
}
