//! When a change pays: the prices, and drag-out, work and hours, at which its money is back in just so many years.

use dragback_study::money::{BreakEven, Payback, Says, Subject, price_break_evens};
use dragback_units::Style;
use egui::{DragValue, Label, Rect, RichText, ScrollArea, Ui, UiBuilder};

use super::tornado::stopped_ui;
use crate::command::Command;
use crate::number::{joined, price, shown};
use crate::prefs::{LEAST_WITHIN, MOST_WITHIN};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// Said where the search was given up.
pub(super) const GIVEN_UP: &str = "The search was given up; the next change begins it anew.";

/// What is to be said of drag-out, work and hours while they are not those of the lines as they stand.
fn state_words(ctx: &ViewCtx<'_>, is_empty: bool, is_current: bool) -> Option<&'static str> {
    match (ctx.hangs.is_given_up(), is_empty, is_current) {
        (true, ..) => Some(GIVEN_UP),
        (_, true, _) => {
            Some("Working out drag-out, work and hours; both lines are settled anew for each.")
        }
        (_, _, false) => Some(
            "Drag-out, work and hours are as before the last change until they are worked out anew.",
        ),
        _ => None,
    }
}

/// Draws the wanted years and each condition.
pub(super) fn pays_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, payback: &Payback) {
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("pays"));
    ScrollArea::vertical().auto_shrink([false, false]).show(&mut child, |ui| {
        if payback.laid_out <= 0.0 {
            let words = "Nothing is laid out, so that there is nothing to come back. Equipment stands under Prices in the editor.";
            ui.add(Label::new(RichText::new(words).color(ctx.palette.quiet)).wrap());
            return;
        }
        years_ui(ctx, ui);
        ui.add_space(space::TIGHT);
        let years = ctx.prefs.within_years;
        let prices = price_break_evens(payback, years);
        let known = ctx.hangs.found().filter(|(found, _)| found.of.years.to_bits() == years.to_bits());
        let work = known.map_or(&[][..], |(found, _)| &found.parts.break_evens);
        let stopped = known.map_or(&[][..], |(found, _)| &found.parts.break_evens_stopped);
        let is_current = known.is_some_and(|(_, is_current)| is_current);
        // Conditions that can be met come first, the work before the prices.
        let all = || work.iter().map(|b| (b, is_current)).chain(prices.iter().map(|b| (b, true)));
        let of = |says| all().filter(move |(b, _)| b.says() == says);
        for (found, is_current) in of(Says::If) {
            condition_ui(ctx, ui, payback, found, is_current);
        }
        if let Some(words) = state_words(ctx, work.is_empty() && stopped.is_empty(), is_current) {
            quiet_ui(ctx, ui, words);
        }
        stopped_ui(ctx, ui, stopped, &payback.currency);
        let within = ctx.prefs.show().years(years);
        for says in [Says::Whatever, Says::ByNone] {
            let mut those = of(says).peekable();
            if those.peek().is_some() {
                ui.add_space(space::NEAR);
                quiet_ui(ctx, ui, &says.head(&within));
            }
            for (found, is_current) in those {
                condition_ui(ctx, ui, payback, found, is_current);
            }
        }
    });
}

/// The field for the wanted years, in its sentence.
fn years_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.horizontal(|ui| {
        let ink = ctx.palette.ink;
        let text = |words: &str| RichText::new(words).size(size::HEADING).color(ink);
        ui.label(text("It pays within"));
        let mut years = ctx.prefs.within_years;
        let field = DragValue::new(&mut years)
            .range(LEAST_WITHIN..=MOST_WITHIN)
            .speed(0.05)
            .max_decimals(2)
            .suffix(" years");
        let response = ui.add(field).accessible_name("Years within which it must pay");
        if response.changed() {
            ctx.ask(Command::SetWithin(years));
        }
        response.on_hover_text("Drag it, or press it and type: the conditions below are those under which the money is back in just this time, without interest.");
        ui.label(text("if, everything else as it is,"));
    });
}

fn quiet_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, words: &str) {
    let text = RichText::new(words)
        .size(size::SMALL)
        .color(ctx.palette.quiet);
    ui.add(Label::new(text).wrap());
}

fn condition_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    payback: &Payback,
    found: &BreakEven,
    is_current: bool,
) {
    let words = found.condition(&|si| told(ctx, payback, found, si));
    let color = if is_current {
        ctx.palette.ink
    } else {
        ctx.palette.quiet
    };
    let label = ui.add(Label::new(RichText::new(words).color(color)).wrap());
    let how = if found.about == Subject::Price {
        "A saving is a straight line in every price, so that this is exact."
    } else {
        "Found by settling both lines anew."
    };
    label.on_hover_text(format!("{}\n{how}", found.path));
}

/// A value of what the condition is about.
fn told(ctx: &ViewCtx<'_>, payback: &Payback, found: &BreakEven, si: f64) -> String {
    value_words(ctx, found.dim, si, &payback.currency)
}

/// A price or another value in the units shown.
pub(super) fn value_words(
    ctx: &ViewCtx<'_>,
    dim: dragback_units::Dim,
    si: f64,
    currency: &str,
) -> String {
    if dim.is_money() {
        price(dim, si, currency, ctx.prefs.system)
    } else {
        joined(shown(dim, si, ctx.prefs.system, Style::Default))
    }
}
