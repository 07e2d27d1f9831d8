//! The line of key figures: what is lost a day first and largest, then its companions. They are those of the settled week, or, when the cursor
//! stands at a moment, of the day up to it.

mod text;

use dragback_study::LoopAnswer;
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, percent_of_whole};
use egui::{Align, Layout, Popup, Rect, Response, RichText, Ui, UiBuilder, pos2, vec2};

use crate::margin;
use crate::number::{signed, three};
use crate::results::Figures;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::{FigureText, figure_ui, key_figure_ui};
use crate::workings::Formula;
use text::{companions, lost_text, power_words, settle_text};

/// The line of figures. It keeps nothing.
#[derive(Default)]
pub struct FiguresPanel;

/// Width of the key figure, points.
const KEY_WIDTH: f32 = 176.0;
/// Widest that a companion becomes.
const WIDEST: f32 = 300.0;
/// Height of a figure, without and with what it was.
const HEIGHT: f32 = 86.0;
const COMPARED_HEIGHT: f32 = 100.0;
/// Room above and below.
const ROOM: f32 = 10.0;

/// Height of the line of figures.
#[must_use]
pub fn figures_height(is_compared: bool) -> f32 {
    ROOM + if is_compared { COMPARED_HEIGHT } else { HEIGHT }
}

impl FiguresPanel {
    /// Draws the line.
    pub fn ui(&self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let rect = ui.available_rect_before_wrap();
        let settled = ctx.results.figures().and_then(|f| f.line());
        let Some(line) = ctx.line_at_cursor.or(settled) else {
            waiting_ui(ctx, ui);
            return;
        };
        let kept = match ctx.line_at_cursor {
            Some(_) => ctx.was_at_cursor,
            None => ctx.pinned.and_then(|p| p.figures.line()),
        };
        let top = rect.top() + ROOM - 2.0;
        let high = figures_height(ctx.pinned.is_some()) - ROOM;
        // They are those of another line, until the one that is edited runs.
        let is_of_another = ctx.document.is_some_and(|d| d.stand_in().is_some());
        let mut left = rect.left() + space::WIDE;
        let mut lost = lost_text(ctx, line, kept);
        if let Some(kept) = kept {
            let was = lost_text(ctx, kept, None);
            let both = line.lead_lost_kg_per_day().zip(kept.lead_lost_kg_per_day());
            let moved = both.map_or_else(String::new, |(now, was)| ratio(now, was));
            lost = compared(lost, &was, &moved);
        }
        let at = Rect::from_min_size(pos2(left, top), vec2(KEY_WIDTH, high));
        left += KEY_WIDTH + space::WIDE;
        place(ui, at, |ui, at| {
            let lost = lost.greyed(is_of_another);
            let figure = key_figure_ui(ui, ctx.palette, &lost, at.size());
            formula_ui(ctx, line, &lost, &figure);
        });
        let heaters_w = |f: &Figures| f.heaters_w();
        let rated_w = ctx.results.figures().and_then(|f| heaters_w(f));
        // A step change may have given the heaters of a moment another power.
        let rated_w = rated_w.filter(|_| ctx.line_at_cursor.is_none());
        let mut companions = companions(ctx, line, rated_w);
        if let Some(kept) = kept {
            let were = companions_of_kept(ctx, kept);
            let each = companions.iter_mut().zip(were).zip(MOVED);
            for ((text, was), moved) in each {
                let moved = moved(ctx, line, kept);
                *text = compared(std::mem::take(text), &was, &moved);
            }
        }
        let room = rect.right() - left - space::NEAR;
        #[expect(clippy::cast_precision_loss, reason = "six")]
        let each = (room / companions.len() as f32 - space::WIDE).clamp(60.0, WIDEST);
        for text in companions {
            let text = text.greyed(is_of_another);
            let at = Rect::from_min_size(pos2(left, top), vec2(each, high));
            left += each + space::WIDE;
            place(ui, at, |ui, at| {
                let figure = figure_ui(ui, ctx.palette, &text, at.size());
                // Days to settle are known to answers that looked ahead.
                let full = ctx.results.full().and_then(|f| f.line());
                let full = full.filter(|_| text.formula == Some(Formula::DaysToSettle));
                formula_ui(ctx, full.unwrap_or(line), &text, &figure);
            });
        }
    }
}

/// Widest that a formula is shown, points.
const FORMULA: f32 = 420.0;

/// The formula of a figure that was pressed, with the present numbers.
fn formula_ui(ctx: &ViewCtx<'_>, line: &LoopAnswer, text: &FigureText, figure: &Response) {
    let Some(formula) = text.formula else { return };
    Popup::from_toggle_button_response(figure).show(|ui| {
        let lead = ctx.lead_told(line);
        let Some(workings) = formula.of(line, &lead, ctx.prefs.system) else {
            return;
        };
        ui.set_max_width(FORMULA);
        ui.label(RichText::new(&text.name).strong());
        ui.label(format!("= {}", workings.words()));
        ui.label(format!("= {}", workings.numbers()));
        ui.label(RichText::new(workings.note()).color(ctx.palette.quiet));
    });
}

/// How far a figure has moved, in words; empty where there is nothing to tell.
type Moved = fn(&ViewCtx<'_>, &LoopAnswer, &LoopAnswer) -> String;

/// Place of the heater duty among the companions.
const DUTY: usize = 4;

/// For each companion how far it has moved: in per cent, or as a difference where zero means nothing in particular.
const MOVED: [Moved; 6] = [
    |_, now, was| ratio(now.final_rinse.film_mg_per_l, was.final_rinse.film_mg_per_l),
    |_, now, was| {
        ratio(
            now.final_rinse.dilution_ratio,
            was.final_rinse.dilution_ratio,
        )
    },
    |ctx, now, was| {
        let unit = Dim::VolumeFlow.display_unit(ctx.prefs.system, Style::Default);
        let moved = match ctx.line_at_cursor {
            Some(_) => Some((margin::of_moment(now), margin::of_moment(was))),
            None => margin::week(now).zip(margin::week(was)),
        };
        moved.map_or_else(String::new, |(now, was)| {
            signed(unit.from_si(m3_per_s_from_l_per_h(now - was)), 1)
        })
    },
    |ctx, now, was| {
        let both = now
            .evaporation_temperature_c
            .zip(was.evaporation_temperature_c);
        let unit = Dim::TemperatureDifference.display_unit(ctx.prefs.system, Style::Default);
        both.map_or_else(String::new, |(now, was)| signed(unit.from_si(now - was), 1))
    },
    |ctx, now, was| {
        // Shares of different powers have no difference.
        let powers = [
            ctx.results.figures().map(AsRef::as_ref),
            ctx.pinned.map(|p| p.figures.as_ref()),
        ];
        let [a, b] = powers.map(|f| f.and_then(Figures::heaters_w).unwrap_or_default());
        if (a - b).abs() > 1e-6 * a.abs() {
            return String::new();
        }
        signed(100.0 * (now.heater_duty - was.heater_duty), 1)
    },
    |ctx, _, _| {
        // A moment has no days to settle.
        if ctx.line_at_cursor.is_some() {
            return String::new();
        }
        let now = ctx.results.full().and_then(|f| f.line()?.days_to_settle);
        let was = ctx
            .pinned
            .and_then(|p| p.full.as_ref()?.line()?.days_to_settle);
        now.zip(was)
            .map_or_else(String::new, |(now, was)| signed(now - was, 0))
    },
];

/// A change in per cent, or as a multiple when it is large. What is not wholly gone is not told as −100 %.
fn ratio(now: f64, was: f64) -> String {
    let percent = 100.0 * (now / was - 1.0);
    if !percent.is_finite() {
        String::new()
    } else if (-100.0..-99.0).contains(&percent) {
        let gone = percent_of_whole(1.0 - now / was);
        match gone.strip_prefix("> ") {
            Some(least) => format!("< −{least}\u{a0}%"),
            None => format!("−{gone}\u{a0}%"),
        }
    } else if percent.abs() < 1000.0 {
        format!("{}\u{a0}%", signed(percent, 1))
    } else {
        format!("×\u{a0}{}", three(now / was, 1))
    }
}

/// The companions as they were in the state that is kept.
fn companions_of_kept(ctx: &ViewCtx<'_>, kept: &LoopAnswer) -> Vec<FigureText> {
    let is_moment = ctx.line_at_cursor.is_some();
    let rated_w = ctx.pinned.and_then(|p| p.figures.heaters_w());
    let mut were = companions(ctx, kept, rated_w.filter(|_| !is_moment));
    let same_w = ctx.results.figures().and_then(|f| f.heaters_w());
    let differs = |w: &f64| same_w.is_none_or(|same| (w - same).abs() > 1e-6 * same);
    if let Some(rated_w) = rated_w.filter(differs) {
        were[DUTY].unit = format!("% of {}", power_words(ctx, rated_w));
    }
    let full = ctx.pinned.and_then(|p| p.full.as_ref()?.line());
    if let Some(last) = were.last_mut().filter(|_| !is_moment) {
        *last = settle_text(full, true);
    }
    were
}

/// A figure beside what it was, and how far it has moved.
fn compared(text: FigureText, was: &FigureText, moved: &str) -> FigureText {
    let moved = if moved.is_empty() {
        String::new()
    } else {
        format!(" ({moved})")
    };
    // The unit stands beside the number above already, unless it is another one.
    let unit = if was.unit == text.unit {
        String::new()
    } else {
        unit_words(&was.unit)
    };
    FigureText {
        compared: format!("was {}{unit}{moved}", was.number),
        ..text
    }
}

fn unit_words(unit: &str) -> String {
    if unit.is_empty() {
        String::new()
    } else {
        format!("\u{a0}{unit}")
    }
}

fn place(ui: &mut Ui, at: Rect, add: impl FnOnce(&mut Ui, Rect)) {
    let mut child = ui.new_child(
        UiBuilder::new()
            .max_rect(at)
            .layout(Layout::top_down(Align::Min)),
    );
    add(&mut child, at);
}

fn waiting_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.add_space(space::WIDE);
    ui.horizontal(|ui| {
        ui.add_space(space::WIDE);
        let (text, color) = match ctx.results.failure() {
            Some(failure) => (failure.words(ctx.prefs.system), ctx.palette.alarm),
            None if ctx.document.is_none() => (
                "No scenario is open. Open a file, or go back to the demo.".to_owned(),
                ctx.palette.ink,
            ),
            None if !ctx.has_workers => (
                "The system gave no thread to compute with. Close other programs and start again."
                    .to_owned(),
                ctx.palette.alarm,
            ),
            None => ("Finding the settled week".to_owned(), ctx.palette.quiet),
        };
        ui.label(RichText::new(text).size(size::HEADING).color(color));
    });
}

#[cfg(test)]
mod tests {
    use super::ratio;

    #[test]
    fn what_is_left_is_not_told_as_nothing() {
        assert_eq!(ratio(0.0002, 1.0), "−99.980\u{a0}%");
        assert_eq!(ratio(1e-7, 1.0), "< −99.99\u{a0}%");
        assert_eq!(ratio(0.0, 1.0), "−100\u{a0}%");
        assert_eq!(ratio(0.5, 1.0), "−50.0\u{a0}%");
        assert_eq!(ratio(30.0, 1.0), "×\u{a0}30.0");
    }
}
