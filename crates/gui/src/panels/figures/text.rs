//! What each key figure says: its number, its unit, what stands beside it and its hint.

use dragback_study::LoopAnswer;
use dragback_study::balance::uses_all_heat;
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System, kelvin_from_celsius, percent_of_whole};

use super::super::remarks::FAR_DAYS;
use crate::margin;
use crate::number::{
    NO_NUMBER, amount, amount_unit, fine, joined, money, shown, signed, significant, three,
};
use crate::view_ctx::ViewCtx;
use crate::widgets::{FigureText, Tone};
use crate::words::solute;
use crate::workings::Formula;

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

/// What is lost, beside it in money and as a share, and what the money was in the state that is kept.
pub(super) fn lost_text(
    ctx: &ViewCtx<'_>,
    line: &LoopAnswer,
    kept: Option<&LoopAnswer>,
) -> FigureText {
    let species = &line.final_rinse.species;
    let system = ctx.prefs.system;
    let is_spent = line.bath.runs_down();
    let lost = line.lead_lost_kg_per_day().unwrap_or(f64::NAN);
    let (number, unit) = amount(lost, system);
    let full = amount_unit(lost, system);
    // A year of such days: only a week that repeats has one.
    let worth = line.lost_worth.as_ref().filter(|_| !is_moment(ctx));
    let told = worth.map(|w| (money(w.per_year, &w.currency), three(w.per_day, 2)));
    let was = kept.and_then(|k| k.lost_worth.as_ref());
    let was = was.map_or_else(String::new, |w| format!(" (was {})", three(w.per_year, 2)));
    let back = line.recovered_fraction;
    let back = back.is_finite().then(|| percent(100.0 * back));
    let beside = match (&back, told) {
        _ if is_spent => "nothing restores the bath".to_owned(),
        (None, _) => "no work, so no drag-out".to_owned(),
        (Some(back), Some((a_year, a_day))) => {
            format!("{a_year} a year{was}, {a_day} a day, {back} % back")
        }
        (Some(back), None) => format!("{back} % of drag-out comes back"),
    };
    let back_words = back.map_or_else(String::new, |back| {
        format!(" {back} % of the drag-out comes back.")
    });
    let worth_words = worth.map_or_else(String::new, |w| {
        format!(
            " By what a lost solute is worth (prices.solutes) that is {} a day or {} a year ({}); heat, water and treatment are not in it. The running cost of the sheet Money counts salts as bought instead.",
            money(w.per_day, &w.currency),
            money(w.per_year, &w.currency),
            w.of.join(", ")
        )
    });
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
            "{} that leaves on the work, to treatment, up the stack or over a brim, {}: {} {} a day.{back_words}{worth_words}",
            solute(species),
            span_words(ctx),
            significant(full.from_si(lost), 5),
            full.symbol
        ),
        formula: asked(ctx, Formula::Lost, lost),
        ..FigureText::default()
    }
}

/// A figure with a number has its formula in the settled week.
fn asked(ctx: &ViewCtx<'_>, formula: Formula, number: f64) -> Option<Formula> {
    (!is_moment(ctx) && number.is_finite()).then_some(formula)
}

/// A percentage that never rounds to a whole when something is missing.
fn percent(value: f64) -> String {
    if value > 99.0 {
        return percent_of_whole(0.01 * value);
    }
    let told = format!("{value:.1}");
    if told == "-0.0" {
        return "0.0".to_owned();
    }
    told.replace('-', "−")
}

pub(super) fn companions(
    ctx: &ViewCtx<'_>,
    line: &LoopAnswer,
    rated_w: Option<f64>,
) -> Vec<FigureText> {
    let system = ctx.prefs.system;
    vec![
        final_rinse(ctx, line),
        dilution(ctx, line),
        if is_moment(ctx) {
            balance(line, system)
        } else {
            margin_text(ctx, line)
        },
        temperature(ctx, line),
        duty(ctx, line, rated_w),
        settle(ctx),
    ]
}

/// A power in words.
pub(super) fn power_words(ctx: &ViewCtx<'_>, watts: f64) -> String {
    joined(shown(Dim::Power, watts, ctx.prefs.system, Style::Default))
}

/// Duty of heaters of a rated power, W.
fn duty(ctx: &ViewCtx<'_>, line: &LoopAnswer, rated_w: Option<f64>) -> FigureText {
    let system = ctx.prefs.system;
    let (mean, unit) = shown(
        Dim::Power,
        1e3 * line.heater_mean_kw,
        system,
        Style::Default,
    );
    let mean = match rated_w {
        Some(w) => format!("mean {mean} of {}", power_words(ctx, w)),
        None => format!("mean {mean}\u{a0}{unit}"),
    };
    let exact = fine(
        Dim::Power,
        1e3 * line.heater_mean_kw,
        system,
        Style::Default,
    );
    let power = |kw: f64| power_words(ctx, 1e3 * kw);
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
        beside: format!(
            "{}\n{mean}",
            line.evaporation_temperature_c
                .map_or("of all the time", |_| "while evaporating")
        ),
        tone: if uses_all_heat(line) {
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
        formula: rated_w
            .and_then(|rated_w| asked(ctx, Formula::Duty { rated_w }, line.heater_duty)),
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
    let (limit, tone) = match line.final_rinse.limit_mg_per_l.map(told) {
        Some(limit) if film > limit => {
            (format!("film, over limit {}", three(limit, 1)), Tone::Alarm)
        }
        Some(limit) => (format!("film, limit {}", three(limit, 1)), Tone::Plain),
        None => ("film on the work".to_owned(), Tone::Plain),
    };
    // There is room for one line more.
    let more = lead.as_salt().unwrap_or_else(|| {
        let in_tank = told(line.final_rinse.tank_mg_per_l);
        format!("tank {}, {}", three(in_tank, 4), conductivity(line))
    });
    let beside = format!("{limit}\n{more}");
    FigureText {
        name: "Final rinse at work".to_owned(),
        number: three(film, 4),
        unit: "mg/L".to_owned(),
        beside,
        tone,
        beside_tone: tone,
        hint: format!(
            "{} in the film that leaves the last station on the work, {} mg/L{salt}. The tank itself holds {tank} mg/L while work runs, about {}; instruments read the tank.",
            solute(&line.final_rinse.species),
            significant(film, 5),
            conductivity(line)
        ),
        formula: asked(ctx, Formula::FinalRinse, film),
        ..FigureText::default()
    }
}

/// What an instrument in the last tank reads, about.
fn conductivity(line: &LoopAnswer) -> String {
    format!(
        "{}\u{a0}µS/cm",
        three(line.final_rinse.conductivity_us_per_cm, 1)
    )
}

fn dilution(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let ratio = line.final_rinse.dilution_ratio;
    let used = line.rinse_feed_l_per_h + line.make_up_l_per_h;
    let used = m3_per_s_from_l_per_h(used);
    let used = joined(shown(
        Dim::VolumeFlow,
        used,
        ctx.prefs.system,
        Style::Default,
    ));
    let (beside, hint) = if ratio.is_finite() {
        let told = significant(ratio, 5);
        (
            format!(
                "bath ÷ final film\n{} {used}",
                if is_moment(ctx) {
                    "day's water"
                } else {
                    "week's water"
                }
            ),
            format!(
                "Strength of the bath over that of the film that leaves on the work: {told}. Fresh water for rinses and bath, {}: {used}.",
                span_words(ctx)
            ),
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
        formula: asked(ctx, Formula::Dilution, ratio),
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
    if line.bath.runs_down() {
        "nothing restores the bath"
    } else if line.drag_out_l_per_h > 0.0 {
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
        formula: asked(ctx, Formula::Margin, week),
        ..FigureText::default()
    }
}

fn temperature(ctx: &ViewCtx<'_>, line: &LoopAnswer) -> FigureText {
    let system = ctx.prefs.system;
    let told = line.evaporation_temperature_c.map(kelvin_from_celsius);
    let flow = |l_per_h: f64| {
        let si = m3_per_s_from_l_per_h(l_per_h);
        joined(shown(Dim::VolumeFlow, si, system, Style::Default))
    };
    let (number, unit) = told.map_or((NO_NUMBER.to_owned(), ""), |k| {
        shown(Dim::Temperature, k, system, Style::Default)
    });
    FigureText {
        name: "Tank temperature".to_owned(),
        number,
        unit: unit.to_owned(),
        beside: if told.is_some() {
            format!("while evaporating\ntowers {}", flow(line.evaporation_l_per_h))
        } else {
            let from_surfaces = flow(line.surface_evaporation_l_per_h);
            let why = if line.stacks.is_empty() {
                "no tower here"
            } else {
                "no tower works"
            };
            format!("{why}\nsurfaces {from_surfaces}")
        },
        hint: told.map_or_else(String::new, |k| {
            let exact = fine(Dim::Temperature, k, system, Style::Default);
            format!("Mean temperature of the tank that feeds the evaporator, while it evaporates: {exact}. It falls below its set point when heat is the limit. Towers evaporate {}, surfaces {}.", flow(line.evaporation_l_per_h), flow(line.surface_evaporation_l_per_h))
        }),
        formula: line
            .evaporation_temperature_c
            .zip(line.thermostat_c)
            .and_then(|(held, _)| asked(ctx, Formula::Temperature, held)),
        ..FigureText::default()
    }
}

fn settle(ctx: &ViewCtx<'_>) -> FigureText {
    let line = ctx.results.full().and_then(|f| f.line());
    settle_text(line, ctx.results.full_is_current())
}

/// Days to settle: not known yet, never, or so many.
pub(super) fn settle_text(line: Option<&LoopAnswer>, is_current: bool) -> FigureText {
    let days = line.map(|l| l.days_to_settle);
    let (number, unit, beside) = match days {
        None => ("…".to_owned(), "", "looking ahead"),
        Some(Some(days)) => (three(days, 0), "days", "to within 5 %"),
        Some(None) => (NO_NUMBER.to_owned(), "", "not seen to settle"),
    };
    let (limit, limit_words) = line.map_or_else(Default::default, first_limit);
    let why = line.and_then(|l| l.days_to_settle_not_shown.as_ref());
    let why = why.map_or_else(String::new, |why| format!("No number, because {why}. "));
    FigureText {
        name: "Time to settle".to_owned(),
        number,
        unit: unit.to_owned(),
        beside: format!("{beside}\n{limit}"),
        tone: if is_current { Tone::Plain } else { Tone::Stale },
        hint: format!(
            "{why}Days from the start until the four-week mean of the strength in bath, tanks and final rinse stays within 5 % of its settled value.{limit_words} Grey while it is being found anew."
        ),
        formula: line
            .and_then(|l| l.days_to_settle)
            .map(|_| Formula::DaysToSettle),
        ..FigureText::default()
    }
}

/// The first limit that is met: short, and in a sentence.
fn first_limit(line: &LoopAnswer) -> (String, String) {
    let near = line.first_limit.as_ref().filter(|f| f.days < FAR_DAYS);
    let Some(first) = near else {
        return (
            "no limit in 10 years".to_owned(),
            " No impurity and no salt comes to a limit within ten years.".to_owned(),
        );
    };
    let what = format!("{} in the {}", solute(&first.what), first.vessel);
    if first.days <= 0.0 {
        return (
            "limit passed".to_owned(),
            format!(" {what} is over its limit."),
        );
    }
    let day = three(first.days, 0);
    (
        format!("first limit day {day}"),
        format!(" The first limit is that of {what}, on day {day}."),
    )
}
