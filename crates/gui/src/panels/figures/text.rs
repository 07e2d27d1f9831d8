//! What each key figure says: its number, its unit, what stands beside it and its hint.

use dragback_study::LoopAnswer;
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System, kelvin_from_celsius, percent_of_whole};

use crate::margin;
use crate::number::{
    NO_NUMBER, amount, amount_unit, fine, joined, shown, signed, significant, three,
};
use crate::view_ctx::ViewCtx;
use crate::widgets::{FigureText, Tone};
use crate::words::solute;

/// Whether the figures are those of a moment, and not of the settled week.
fn is_moment(ctx: &ViewCtx<'_>) -> bool {
    ctx.line_at_cursor.is_some()
}

/// What a figure is a mean of.
fn span_words(ctx: &ViewCtx<'_>) -> &'static str {
    if is_moment(ctx) {
        "mean of the day before the cursor"
    } else {
        "mean of the settled week"
    }
}

pub(super) fn lost_text(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let species = &line.final_rinse.species;
    let system = ctx.prefs.system;
    let lost = line.lost_kg_per_day.get(species).copied();
    let lost = lost.unwrap_or(f64::NAN);
    let (number, unit) = amount(lost, system);
    let full = amount_unit(lost, system);
    let beside = if line.recovered_fraction.is_finite() {
        format!(
            "{} % of drag-out comes back",
            percent(100.0 * line.recovered_fraction)
        )
    } else {
        "no work, so no drag-out".to_owned()
    };
    FigureText {
        name: if is_moment(ctx) {
            format!("{} lost, last 24 h", solute(species))
        } else {
            format!("{} lost for good", solute(species))
        },
        number,
        unit: format!("{unit} a day"),
        beside,
        hint: format!(
            "{} that leaves on the work, to treatment, up the stack or over a brim, {}: {} {} a day.",
            solute(species),
            span_words(ctx),
            significant(full.from_si(lost), 5),
            full.symbol
        ),
        ..FigureText::default()
    }
}

/// A percentage that never rounds to a whole when something is missing.
fn percent(value: f64) -> String {
    if value > 99.0 {
        return percent_of_whole(0.01 * value);
    }
    format!("{value:.1}").replace('-', "−")
}

pub(super) fn companions(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> Vec<FigureText> {
    let system = ctx.prefs.system;
    vec![
        final_rinse(ctx, line),
        dilution(line),
        if is_moment(ctx) {
            balance(line, system)
        } else {
            margin_text(ctx, line)
        },
        temperature(line, system),
        duty(ctx, line),
        settle(ctx),
    ]
}

fn duty(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let system = ctx.prefs.system;
    let mean = joined(shown(
        Dim::Power,
        1e3 * line.heater_mean_kw,
        system,
        Style::Default,
    ));
    let exact = fine(
        Dim::Power,
        1e3 * line.heater_mean_kw,
        system,
        Style::Default,
    );
    let power = |kw: f64| joined(shown(Dim::Power, 1e3 * kw, system, Style::Default));
    let heaters = match line.bath_heater_mean_kw {
        Some(_) => "evaporation heaters'",
        None => "heaters'",
    };
    let mut bath = String::new();
    if let Some(kw) = line.bath_heater_mean_kw {
        bath.push_str(&format!(" The bath's own heater gives {}.", power(kw)));
    }
    if line.bath_cooler_mean_kw > 0.0 {
        let taken = power(line.bath_cooler_mean_kw);
        bath.push_str(&format!(" The bath's cooler takes {taken}."));
    }
    FigureText {
        name: "Heater duty".to_owned(),
        number: three(100.0 * line.heater_duty, 1),
        unit: "%".to_owned(),
        beside: if is_moment(ctx) {
            format!("day mean {mean}")
        } else {
            format!("week mean {mean}")
        },
        tone: if line.heater_duty >= 0.98 {
            Tone::Caution
        } else {
            Tone::Plain
        },
        hint: format!(
            "Share of the {heaters} power that is used{}. At 100 % heat is the limit. Power, {}: {exact}.{bath}",
            line.evaporation_temperature_c
                .map_or("", |_| " while the evaporator works"),
            span_words(ctx)
        ),
        ..FigureText::default()
    }
}

fn final_rinse(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let lead = ctx.lead_told(line);
    let told = |mg: f64| lead.strength(mg);
    let salt = lead.as_salt().map_or_else(String::new, |s| format!(" {s}"));
    let film = told(line.final_rinse.film_mg_per_l);
    let tank = significant(told(line.final_rinse.tank_mg_per_l), 5);
    if !film.is_finite() {
        return FigureText {
            name: "Final rinse".to_owned(),
            number: NO_NUMBER.to_owned(),
            beside: no_film(line).to_owned(),
            hint: format!(
                "Film leaves only on work, and is not told below 1e−6 mg/L. The tank holds {tank} mg/L{salt}."
            ),
            ..FigureText::default()
        };
    }
    let what = lead
        .as_salt()
        .map_or_else(|| "film on the work".to_owned(), |s| format!("film, {s}"));
    let (beside, tone) = match line.final_rinse.limit_mg_per_l.map(told) {
        Some(limit) if film > limit => (
            format!("{what}; over its limit of {} mg/L", three(limit, 1)),
            Tone::Alarm,
        ),
        Some(limit) => (
            format!("{what}; limit {} mg/L", three(limit, 1)),
            Tone::Plain,
        ),
        None => (what, Tone::Plain),
    };
    FigureText {
        name: "Final rinse".to_owned(),
        number: three(film, 2),
        unit: "mg/L".to_owned(),
        beside,
        tone,
        beside_tone: tone,
        hint: format!(
            "{} in the film that leaves the last station on the work, {} mg/L{salt}. The tank itself holds {tank} mg/L while work runs; instruments read the tank.",
            solute(&line.final_rinse.species),
            significant(film, 5),
        ),
        ..FigureText::default()
    }
}

fn dilution(line: &LoopAnswer) -> FigureText {
    let ratio = line.final_rinse.dilution_ratio;
    let (beside, hint) = if ratio.is_finite() {
        let told = significant(ratio, 5);
        (
            "bath ÷ final film".to_owned(),
            format!("Strength of the bath over that of the film that leaves on the work: {told}."),
        )
    } else {
        let why = no_ratio(line);
        (
            why.to_owned(),
            format!(
                "Strength of the bath over that of the film that leaves on the work; there is none: {why}."
            ),
        )
    };
    FigureText {
        name: "Dilution ratio".to_owned(),
        number: three(ratio, 2),
        beside,
        hint,
        ..FigureText::default()
    }
}

/// Why there is no dilution ratio.
fn no_ratio(line: &LoopAnswer) -> &'static str {
    if line.final_rinse.film_mg_per_l.is_finite() {
        "film too clean to divide by"
    } else {
        no_film(line)
    }
}

/// Why there is no number for the film.
fn no_film(line: &LoopAnswer) -> &'static str {
    if line.drag_out_l_per_h > 0.0 {
        "too clean to tell"
    } else {
        "no work leaves meanwhile"
    }
}

/// What evaporated less what was fed, where the closure margin of a moment has no meaning.
fn balance(line: &LoopAnswer, system: System) -> FigureText {
    let unit = Dim::VolumeFlow.display_unit(system, Style::Default);
    let told = |l_per_h: f64| unit.from_si(m3_per_s_from_l_per_h(l_per_h));
    let out = line.evaporation_l_per_h + line.surface_evaporation_l_per_h;
    let fed = line.rinse_feed_l_per_h;
    FigureText {
        name: "Evaporated less fed".to_owned(),
        number: signed(told(out - fed), 1),
        unit: unit.symbol.to_owned(),
        beside: format!("out {}, fed {}", three(told(out), 1), three(told(fed), 1)),
        hint: format!(
            "What towers and surfaces evaporated in the day before the cursor less the fresh rinse water: {} {}. Over a week it must not stay below zero; the closure margin is told of the settled week.",
            significant(told(out - fed), 5),
            unit.symbol
        ),
        ..FigureText::default()
    }
}

fn margin_text(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let name = "Closure margin".to_owned();
    let unit = Dim::VolumeFlow.display_unit(ctx.prefs.system, Style::Default);
    let (Some(week), Some(in_shift)) = (margin::week(line), margin::in_shift(line)) else {
        let why = line.closure_margin_l_per_h.as_ref();
        let (beside, hint) = match why.and_then(|m| m.not_shown.as_deref()) {
            Some(why) => (
                "a tank would dry up".to_owned(),
                format!("No number, because {why}."),
            ),
            None => (
                "no evaporator here".to_owned(),
                "Room for more rinse water is a question for a loop that takes it up.".to_owned(),
            ),
        };
        return FigureText {
            name,
            number: NO_NUMBER.to_owned(),
            beside,
            hint,
            ..FigureText::default()
        };
    };
    let told = |l_per_h: f64| signed(unit.from_si(m3_per_s_from_l_per_h(l_per_h)), 1);
    let full = ctx.results.full().and_then(|f| f.line());
    let full = full.filter(|_| ctx.results.full_is_current());
    let worst = match full.and_then(margin::worst_month) {
        Some((_, "mean")) => "the same all year".to_owned(),
        Some((l_per_h, month)) => format!("worst {month} {}", told(l_per_h)),
        None => "worst month …".to_owned(),
    };
    FigureText {
        name,
        number: told(week),
        unit: unit.symbol.to_owned(),
        beside: format!("in shift {}\n{worst}", told(in_shift)),
        tone: if week < 0.0 { Tone::Alarm } else { Tone::Plain },
        hint: format!(
            "Room for more rinse water, mean of the week: what the loop can evaporate less what runs into it, {}. Below zero water goes to treatment.",
            fine(
                Dim::VolumeFlow,
                m3_per_s_from_l_per_h(week),
                ctx.prefs.system,
                Style::Default
            )
        ),
        ..FigureText::default()
    }
}

fn temperature(line: &LoopAnswer, system: System) -> FigureText {
    let told = line.evaporation_temperature_c.map(kelvin_from_celsius);
    let (number, unit) = told.map_or((NO_NUMBER.to_owned(), ""), |k| {
        shown(Dim::Temperature, k, system, Style::Default)
    });
    FigureText {
        name: "Tank temperature".to_owned(),
        number,
        unit: unit.to_owned(),
        beside: if told.is_some() {
            "while evaporating".to_owned()
        } else {
            "no evaporation here".to_owned()
        },
        hint: told.map_or_else(String::new, |k| {
            let exact = fine(Dim::Temperature, k, system, Style::Default);
            format!("Mean temperature of the tank that feeds the evaporator, while it evaporates: {exact}. It falls below its set point when heat is the limit.")
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
pub(super) fn settle_text(days: Option<Option<f64>>, is_current: bool) -> FigureText {
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
        hint: "Days from the start until each day's mean of bath, tanks and final rinse stays within 5 % of the same weekday of the settled week. Grey while it is being found anew.".to_owned(),
        ..FigureText::default()
    }
}
