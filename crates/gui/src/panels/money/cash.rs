//! How the money flows over the years, and what that means.

use dragback_scenario::Scenario;
use dragback_study::money::{Payback, Years};
use dragback_units::{Dim, Style};
use egui::accesskit::Role;
use egui::{Rect, RichText, ScrollArea, Ui, UiBuilder, WidgetInfo};
use egui_plot::{GridMark, HLine, Line, LineStyle, MarkerShape, PlotPoints, Points};

use super::kilogram::kilograms_ui;
use super::{money, row_ui, uncounted_ui, years};
use crate::number::{three, whole};
use crate::plots::{grid_mark, marks, round_step, still_plot};
use crate::theme::{CURVE_WIDTH, size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::BAR;

/// Height of the curve.
const CURVE: f32 = 150.0;

/// Draws curve and words.
pub(super) fn cash_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    payback: &Payback,
    scenario: &Scenario,
) {
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("cash"));
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(&mut child, |ui| {
            ui.set_max_width(ui.available_width() - BAR);
            ui.spacing_mut().item_spacing.y = 2.0;
            // Nothing flows where nothing changes.
            if payback.flows.iter().any(|f| f.abs() >= 0.5) {
                let interest = three(100.0 * payback.interest, 1);
                let words = format!("Money laid out and saved so far, with {interest} % interest");
                ui.label(RichText::new(words).color(ctx.palette.ink));
                curve_ui(ctx, ui, payback);
            }
            ui.add_space(space::TIGHT);
            facts_ui(ctx, ui, payback);
            kilograms_ui(ctx, ui, scenario);
            uncounted_ui(ctx, ui, &payback.uncounted);
        });
}

/// The sum of all flows up to each year; the dot is where it passes nothing.
fn curve_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, payback: &Payback) {
    let sums = &payback.cumulated;
    let at = |year: usize| {
        #[expect(clippy::cast_precision_loss, reason = "some decades")]
        let year = year as f64;
        year
    };
    let points: Vec<[f64; 2]> = sums.iter().enumerate().map(|(y, s)| [at(y), *s]).collect();
    let (low, high) = sums
        .iter()
        .fold((0.0_f64, 0.0_f64), |(a, b), s| (a.min(*s), b.max(*s)));
    let room = 0.06 * (high - low).max(1.0);
    let step = round_step(high - low + 2.0 * room, 4.0);
    let y_marks = marks((low - room, high + room), step);
    let last = at(sums.len().saturating_sub(1)).max(1.0);
    let x_step = round_step(last, 6.0).max(1.0);
    let x_marks = marks((0.0, last), x_step);
    let palette = ctx.palette;
    let x_grid: Vec<GridMark> = x_marks.iter().copied().map(grid_mark).collect();
    let y_grid: Vec<GridMark> = y_marks.into_iter().map(grid_mark).collect();
    let end = x_marks.last().copied().unwrap_or(last);
    let shown = still_plot("cash", palette)
        .width(ui.available_width() - 34.0)
        .height(CURVE)
        .y_axis_min_width(60.0)
        .x_grid_spacer(move |_| x_grid.clone())
        .y_grid_spacer(move |_| y_grid.clone())
        .x_axis_formatter(move |mark, _| {
            if (mark.value - end).abs() < 1e-9 {
                format!("{:.0} years", mark.value)
            } else {
                format!("{:.0}", mark.value)
            }
        })
        .y_axis_formatter(|mark, _| whole(mark.value))
        .show(ui, |plot| {
            plot.set_plot_bounds_x(0.0..=last);
            plot.set_plot_bounds_y(low - room..=high + room);
            let zero = HLine::new("nothing", 0.0).color(palette.quiet).width(1.0);
            plot.hline(
                zero.style(LineStyle::Dashed { length: 4.0 })
                    .allow_hover(false),
            );
            let line = Line::new("sum", PlotPoints::from(points));
            plot.line(
                line.color(palette.accent)
                    .width(CURVE_WIDTH)
                    .allow_hover(false),
            );
            if let Years::After(years) = payback.discounted {
                let dot = Points::new("back", vec![[years, 0.0]]).shape(MarkerShape::Circle);
                plot.points(dot.radius(5.0).color(palette.accent).allow_hover(false));
            }
        });
    let said = format!(
        "Money so far: {} at the beginning, {} after {last:.0} years",
        money(sums.first().copied().unwrap_or(0.0), &payback.currency),
        money(sums.last().copied().unwrap_or(0.0), &payback.currency),
    );
    let response = shown.response;
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &said));
    response.on_hover_text(said);
}

/// When what is laid out is back.
fn back_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, payback: &Payback) {
    let told = |when: Years| match when {
        Years::After(after) => years(after),
        Years::AtOnce => "at once".to_owned(),
        Years::Never => "never".to_owned(),
    };
    let hint = "What is laid out over what is saved in a year.";
    let simple = told(payback.simple);
    row_ui(ctx, ui, "Back without interest", &simple, hint);
    let hint = "Savings count at the end of each year; equipment is bought again when its life ends, and nothing is credited for what is left.";
    let discounted = told(payback.discounted);
    row_ui(ctx, ui, "Back with interest", &discounted, hint);
}

fn facts_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, payback: &Payback) {
    let currency = payback.currency.as_str();
    let equipment = payback.equipment.iter();
    let equipment: Vec<String> = equipment
        .map(|(k, x)| format!("{k}: {}", whole(*x)))
        .collect();
    let hint = if equipment.is_empty() {
        "The line has no equipment (prices, capital) that the one before has not.".to_owned()
    } else {
        equipment.join("\n")
    };
    row_ui(
        ctx,
        ui,
        "Laid out",
        &money(payback.laid_out, currency),
        &hint,
    );
    // Where nothing is laid out, nothing has to come back.
    if payback.laid_out > 0.0 {
        back_ui(ctx, ui, payback);
    }
    let horizon = payback.horizon_years;
    let name = format!("Net present value, {horizon} years");
    let value = money(payback.net_present_value, currency);
    row_ui(
        ctx,
        ui,
        &name,
        &value,
        "All flows of these years, brought to today with interest.",
    );
    let rate = payback.rate_words(&|rate| format!("{} %", three(100.0 * rate, 1)));
    let hint = "The interest at which the net present value would be nothing.";
    row_ui(ctx, ui, "Internal rate of return", &rate, hint);
    // What is changed by hand alone is no recovery.
    if payback.laid_out > 0.0 {
        recovery_ui(ctx, ui, payback);
    }
    let words = "Estimates at the scenario's own prices; a supplier's offer decides.";
    ui.label(
        RichText::new(words)
            .size(size::SMALL)
            .color(ctx.palette.quiet),
    );
}

/// What the recovery costs, all in all and for what it does.
fn recovery_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, payback: &Payback) {
    let currency = payback.currency.as_str();
    let hint =
        "Lines that are dearer than before, and the equipment spread over its life with interest.";
    let name = "The recovery costs, a year";
    row_ui(
        ctx,
        ui,
        name,
        &money(payback.cost_of_recovery, currency),
        hint,
    );
    for (name, dim, price) in [
        (
            "of water evaporated",
            Dim::MoneyPerVolume,
            payback.per_m3_evaporated,
        ),
        (
            "of lead metal returned",
            Dim::MoneyPerMass,
            payback.per_kg_returned,
        ),
    ] {
        if let Some(price) = price {
            let unit = dim.display_unit(ctx.prefs.system, Style::Default);
            let of = unit.symbol.replace("per ", "/");
            let told = format!("{}\u{a0}{currency}{of}", three(unit.from_si(price), 2));
            row_ui(ctx, ui, name, &told, hint);
        }
    }
}
