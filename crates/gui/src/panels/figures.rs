//! The line of key figures: what is lost a day first and largest, then its companions.

use dragback_study::LoopAnswer;
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System, Unit, kelvin_from_celsius};
use egui::{Align, Layout, Rect, RichText, Ui, UiBuilder, pos2, vec2};

use super::{Reading, reading};
use crate::number::{NO_NUMBER, daily_unit, shown, signed, three};
use crate::results::Figures;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::{FigureText, Tone, figure_ui, key_figure_ui};
use crate::words::solute;

/// The line of figures. It keeps nothing.
#[derive(Default)]
pub struct FiguresPanel;

/// Width of the key figure and of the reading, points.
const KEY_WIDTH: f32 = 184.0;
const READING_WIDTH: f32 = 296.0;
/// Height of a figure, without and with what it was.
const HEIGHT: f32 = 86.0;
const COMPARED_HEIGHT: f32 = 100.0;

/// Height of the line of figures.
#[must_use]
pub fn figures_height(is_compared: bool) -> f32 {
    18.0 + if is_compared { COMPARED_HEIGHT } else { HEIGHT }
}

impl FiguresPanel {
    /// Draws the line.
    pub fn ui(&self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let rect = ui.available_rect_before_wrap();
        let Some((figures, line)) = ctx.results.figures().and_then(|f| Some((f, f.line()?))) else {
            waiting_ui(ctx, ui);
            return;
        };
        let top = rect.top() + 12.0;
        let kept = ctx.pinned.and_then(|p| p.figures.line());
        let high = figures_height(kept.is_some()) - 18.0;
        let mut left = rect.left() + space::WIDE;
        let mut block = |width: f32| {
            let at = Rect::from_min_size(pos2(left, top), vec2(width, high));
            left += width + space::WIDE;
            at
        };
        let was = kept.map(|k| lost_text(ctx, k));
        let lost = compared(ctx, lost_text(ctx, line), was, |_, now, was| {
            let lost = |l: &LoopAnswer| l.lost_kg_per_day.get(&l.final_rinse.species).copied();
            lost(now)
                .zip(lost(was))
                .map_or_else(String::new, |(now, was)| ratio(now, was))
        });
        place(ui, block(KEY_WIDTH), |ui, at| {
            key_figure_ui(ui, ctx.palette, &lost, at.size());
        });
        place(
            ui,
            block(READING_WIDTH.min(0.5 * rect.width() - 360.0).max(210.0)),
            |ui, _| reading_ui(ctx, ui, figures, line),
        );
        let mut companions = companions(ctx, line);
        if let Some(kept) = kept {
            let were = companions_of_kept(ctx, kept);
            let each = companions.iter_mut().zip(were).zip(MOVED);
            for ((text, was), moved) in each {
                *text = compared(ctx, std::mem::take(text), Some(was), moved);
            }
        }
        let room = rect.right() - left - space::NEAR;
        #[expect(clippy::cast_precision_loss, reason = "six")]
        let each = (room / companions.len() as f32 - space::WIDE).clamp(60.0, 180.0);
        for text in &companions {
            let at = Rect::from_min_size(pos2(left, top), vec2(each, high));
            left += each + space::WIDE;
            place(ui, at, |ui, at| {
                figure_ui(ui, ctx.palette, text, at.size());
            });
        }
    }
}

/// How far a figure has moved, in words; empty where there is nothing to tell.
type Moved = fn(&ViewCtx<'_>, &LoopAnswer, &LoopAnswer) -> String;

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
        let week = |l: &LoopAnswer| l.closure_margin_l_per_h.as_ref().map(|m| m.week);
        week(now)
            .zip(week(was))
            .map_or_else(String::new, |(now, was)| {
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
    |_, now, was| signed(100.0 * (now.heater_duty - was.heater_duty), 1),
    |_, _, _| String::new(),
];

/// A change in per cent, or as a multiple when it is large.
fn ratio(now: f64, was: f64) -> String {
    let percent = 100.0 * (now / was - 1.0);
    if !percent.is_finite() {
        String::new()
    } else if percent.abs() < 1000.0 {
        format!("{}\u{a0}%", signed(percent, 1))
    } else {
        format!("×\u{a0}{}", three(now / was, 1))
    }
}

/// The companions as they were in the state that is kept.
fn companions_of_kept(ctx: &ViewCtx<'_>, kept: &LoopAnswer) -> Vec<FigureText> {
    let mut were = companions(ctx, kept);
    let full = ctx.pinned.and_then(|p| p.full.as_ref()?.line());
    if let Some(last) = were.last_mut() {
        *last = settle_text(full.map(|l| l.days_to_settle), true);
    }
    were
}

/// A figure beside what it was, and how far it has moved.
fn compared(
    ctx: &ViewCtx<'_>,
    text: FigureText,
    was: Option<FigureText>,
    moved: Moved,
) -> FigureText {
    let Some(was) = was else { return text };
    let now_line = ctx.results.figures().and_then(|f| f.line());
    let was_line = ctx.pinned.and_then(|p| p.figures.line());
    let moved = now_line
        .zip(was_line)
        .map_or_else(String::new, |(now, was)| moved(ctx, now, was));
    let moved = if moved.is_empty() {
        moved
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
            Some(failure) => (failure.message.as_str(), ctx.palette.alarm),
            None if ctx.document.is_none() => (
                "No scenario is open. Open a file, or go back to the demo.",
                ctx.palette.ink,
            ),
            None if !ctx.has_workers => (
                "The system gave no thread to compute with. Close other programs and start again.",
                ctx.palette.alarm,
            ),
            None => ("Finding the settled week", ctx.palette.quiet),
        };
        ui.label(RichText::new(text).size(size::HEADING).color(color));
    });
}

/// The reading, or why the figures beside it are old.
fn reading_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, figures: &Figures, line: &LoopAnswer) {
    let failure = ctx.results.failure();
    let Reading {
        first,
        second,
        tone,
    } = match failure {
        Some(f) => Reading {
            first: f.message.clone(),
            second: "The figures are those of the last run that worked.".to_owned(),
            tone: Tone::Alarm,
        },
        None => reading(line, ctx.prefs.system),
    };
    let mark = match tone {
        Tone::Good => "●",
        Tone::Alarm => "▲",
        _ => "■",
    };
    let color = tone.color(ctx.palette);
    ui.spacing_mut().item_spacing.x = space::TIGHT;
    ui.horizontal_top(|ui| {
        ui.label(RichText::new(mark).size(size::HEADING).color(color));
        ui.vertical(|ui| {
            ui.label(RichText::new(first).size(size::HEADING).color(ctx.palette.ink));
            if !second.is_empty() {
                ui.label(RichText::new(second).color(ctx.palette.ink));
            }
            if !figures.answers.refined && failure.is_none() {
                let words = "Estimate: an alarm fires or the heaters work above 90 %.";
                ui.label(RichText::new(words).size(size::SMALL).color(ctx.palette.caution))
                    .on_hover_text("The settled week is found with averaged pumps and heaters. Where alarms fire, or heaters are almost always on, the switched plant can differ by some percent; the exact curves below show it.");
            }
        });
    });
}

fn lost_text(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let species = &line.final_rinse.species;
    let lost = line
        .lost_kg_per_day
        .get(species)
        .copied()
        .unwrap_or(f64::NAN);
    let si = daily_unit(System::Metric, true).to_si(lost);
    let large = daily_unit(ctx.prefs.system, true);
    let is_small = large.from_si(si) < 0.1;
    let unit = daily_unit(ctx.prefs.system, !is_small);
    let comes_back = format!(
        "{} % of drag-out comes back",
        percent(100.0 * line.recovered_fraction)
    );
    let told = |unit: &Unit| unit.symbol.replace("/d", " a day");
    let beside = if is_small {
        format!("{:.4} {}; {comes_back}", large.from_si(si), told(large))
    } else {
        comes_back
    };
    FigureText {
        name: format!("{} lost for good", solute(species)),
        number: three(unit.from_si(si), 4),
        unit: told(unit),
        beside,
        hint: format!(
            "{} that leaves on the work, to treatment, up the stack or over a brim, mean of the settled week: {lost} kg a day.",
            solute(species)
        ),
        ..FigureText::default()
    }
}

/// A percentage that never rounds to a whole when something is missing.
fn percent(value: f64) -> String {
    if !value.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let decimals = if value > 99.0 { 2 } else { 1 };
    format!("{value:.decimals$}")
}

fn companions(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> Vec<FigureText> {
    let system = ctx.prefs.system;
    vec![
        final_rinse(line),
        FigureText {
            name: "Dilution ratio".to_owned(),
            number: three(line.final_rinse.dilution_ratio, 2),
            unit: String::new(),
            beside: "bath ÷ final film".to_owned(),
            hint: format!(
                "Strength of the bath over that of the film that leaves on the work: {}.",
                line.final_rinse.dilution_ratio
            ),
            ..FigureText::default()
        },
        margin(ctx, line),
        temperature(line, system),
        FigureText {
            name: "Heater duty".to_owned(),
            number: three(100.0 * line.heater_duty, 1),
            unit: "%".to_owned(),
            beside: format!("week mean {} kW", three(line.heater_mean_kw, 1)),
            tone: if line.heater_duty >= 0.98 {
                Tone::Caution
            } else {
                Tone::Plain
            },
            hint: format!(
                "Share of the heaters' power that is used{}. At 100 % heat is the limit. Power, mean of the week: {} kW.",
                line.evaporation_temperature_c
                    .map_or("", |_| " while the evaporator works"),
                line.heater_mean_kw
            ),
            ..FigureText::default()
        },
        settle(ctx),
    ]
}

fn final_rinse(line: &LoopAnswer) -> FigureText {
    let film = line.final_rinse.film_mg_per_l;
    let (beside, tone) = match line.final_rinse.limit_mg_per_l {
        Some(limit) if film > limit => (
            format!(
                "film on the work; over its limit of {} mg/L",
                three(limit, 1)
            ),
            Tone::Alarm,
        ),
        Some(limit) => (
            format!("film on the work; limit {} mg/L", three(limit, 1)),
            Tone::Plain,
        ),
        None => ("film on the work".to_owned(), Tone::Plain),
    };
    FigureText {
        name: "Final rinse".to_owned(),
        number: three(film, 2),
        unit: "mg/L".to_owned(),
        beside,
        tone,
        beside_tone: tone,
        hint: format!(
            "{} in the film that leaves the last station on the work, {film} mg/L. The tank itself holds {} mg/L while work runs; instruments read the tank.",
            solute(&line.final_rinse.species),
            three(line.final_rinse.tank_mg_per_l, 2)
        ),
        ..FigureText::default()
    }
}

fn margin(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let unit = Dim::VolumeFlow.display_unit(ctx.prefs.system, Style::Default);
    let told = |l_per_h: f64| signed(unit.from_si(m3_per_s_from_l_per_h(l_per_h)), 1);
    let Some(m) = &line.closure_margin_l_per_h else {
        return FigureText {
            name: "Closure margin".to_owned(),
            number: NO_NUMBER.to_owned(),
            unit: String::new(),
            beside: "no evaporator here".to_owned(),
            hint: "Nothing evaporates rinse water here and nothing brings any back to the bath, so that there is no balance to close.".to_owned(),
            ..FigureText::default()
        };
    };
    let full = ctx
        .results
        .full()
        .and_then(|f| f.line())
        .and_then(|l| l.closure_margin_l_per_h.as_ref());
    let worst = match full {
        Some(f) if ctx.results.full_is_current() && f.month == "mean" => {
            "the same all year".to_owned()
        }
        Some(f) if ctx.results.full_is_current() => {
            format!("worst {} {}", f.month, told(f.worst_month))
        }
        _ => "worst month …".to_owned(),
    };
    FigureText {
        name: "Closure margin".to_owned(),
        number: told(m.week),
        unit: unit.symbol.to_owned(),
        beside: format!("in shift {}\n{worst}", told(m.in_shift)),
        tone: if m.week < 0.0 {
            Tone::Alarm
        } else {
            Tone::Plain
        },
        hint: format!(
            "Room for more rinse water, mean of the week: what the loop can evaporate less the water that runs into it and does not leave on the work, {} L/h. Below zero water goes to treatment.",
            m.week
        ),
        ..FigureText::default()
    }
}

fn temperature(line: &LoopAnswer, system: System) -> FigureText {
    let told = line.evaporation_temperature_c;
    let (number, unit) = told.map_or((NO_NUMBER.to_owned(), ""), |c| {
        shown(
            Dim::Temperature,
            kelvin_from_celsius(c),
            system,
            Style::Default,
        )
    });
    FigureText {
        name: "Tank temperature".to_owned(),
        number,
        unit: unit.to_owned(),
        beside: if told.is_some() { "while evaporating".to_owned() } else { "no evaporator here".to_owned() },
        hint: told.map_or_else(String::new, |c| {
            format!("Mean temperature of the tank that feeds the evaporator, while it evaporates: {c} °C. It falls below its set point when heat is the limit.")
        }),
        ..FigureText::default()
    }
}

fn settle(ctx: &ViewCtx<'_>) -> FigureText {
    let days = ctx
        .results
        .full()
        .and_then(|f| f.line())
        .map(|l| l.days_to_settle);
    settle_text(days, ctx.results.full_is_current())
}

/// Days to settle: not known yet, never, or so many.
fn settle_text(days: Option<Option<f64>>, is_current: bool) -> FigureText {
    let (number, unit, beside) = match days {
        None => ("…".to_owned(), "", "looking ahead"),
        Some(Some(days)) => (three(days, 0), "days", "to within 5 %"),
        Some(None) => (NO_NUMBER.to_owned(), "", "not within three years"),
    };
    FigureText {
        name: "Time to settle".to_owned(),
        number,
        unit: unit.to_owned(),
        beside: beside.to_owned(),
        tone: if is_current { Tone::Plain } else { Tone::Stale },
        hint: "Days from the start until the four-week means of bath, tanks and final rinse stay within 5 % of their settled values. Grey while it is being found anew.".to_owned(),
        ..FigureText::default()
    }
}
