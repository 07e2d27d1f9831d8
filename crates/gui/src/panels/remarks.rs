//! What there is to remark: alarms of the run, limits that are met, impurities that grow.

use dragback_study::alarm_answers;
use dragback_units::constants::HOURS_PER_DAY;
use egui::{RichText, Ui};

use super::reading::Words;
use crate::number::{joined, strength, three};
use crate::theme::size;
use crate::view_ctx::ViewCtx;
use crate::widgets::{Tone, quiet};
use crate::words::solute;
use dragback_study::verdict::capitalised;

/// What is said where there is nothing to remark.
const NOTHING: &str = "No alarm in 90 days, no impurity on its way to a limit.";
/// What stands above the remarks.
const HEAD: &str = "Remarks";

/// Alarms of the run, limits that are met, impurities that grow, salts that come out.
pub fn remarks_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let remarks = remarks(ctx);
    if remarks.is_empty() {
        quiet(ui, ctx.palette, NOTHING);
        return;
    }
    let head = RichText::new(HEAD).size(size::HEADING).strong();
    ui.label(head.color(ctx.palette.ink));
    for (tone, text) in remarks {
        let text = RichText::new(text).size(size::SMALL);
        ui.label(text.color(tone.color(ctx.palette)));
    }
}

/// Limits that are met later than this are not remarked, days.
pub(super) const FAR_DAYS: f64 = 3650.0;
/// Growth below this is not remarked, g/L a day: a third of a gram per litre in a year.
const NOTABLE_G_PER_L_PER_DAY: f64 = 1e-3;
/// Most remarks of one kind that are shown.
const MOST: usize = 6;

fn remarks(ctx: &ViewCtx<'_>) -> Vec<(Tone, String)> {
    let mut found = Vec::new();
    let run = ctx.results.curves().and_then(|c| c.run.as_ref());
    let alarms = run.map_or_else(Vec::new, |run| {
        alarm_answers(run.case.plant.network(), &run.alarms)
    });
    let told = Words::in_units(ctx.prefs.system);
    for alarm in alarms.iter().take(MOST) {
        let times = if alarm.times > 1 {
            format!(", {} times in 90 days", alarm.times)
        } else {
            String::new()
        };
        let day = three(alarm.at_h / HOURS_PER_DAY, 1);
        found.push((
            Tone::Alarm,
            format!("Day {day}: {}{times}", alarm.words(&told)),
        ));
    }
    if let Some(day) = run.and_then(|run| run.passed_limit_on_day) {
        let day = three(day, 1);
        let words = format!("Day {day}: the work leaves with more than the final rinse's limit.");
        found.push((Tone::Alarm, words));
    }
    let outlook = ctx
        .results
        .full()
        .map(|f| f.answers.impurities.as_slice())
        .unwrap_or_default();
    for i in outlook.iter().take(MOST) {
        let name = solute(&i.species);
        let text = match (i.days_to_limit, i.limit_g_per_l) {
            (Some(days), Some(limit)) if days <= 0.0 => Some((
                Tone::Alarm,
                format!(
                    "{name} in the {} is over its limit of {}.",
                    i.vessel,
                    joined(strength(limit, ctx.prefs.system))
                ),
            )),
            (Some(days), Some(limit)) if days < FAR_DAYS => Some((
                Tone::Caution,
                format!(
                    "{name} in the {} meets its limit of {} in {} days.",
                    i.vessel,
                    joined(strength(limit, ctx.prefs.system)),
                    three(days, 0)
                ),
            )),
            _ if i.growth_g_per_l_per_day > NOTABLE_G_PER_L_PER_DAY => Some((
                Tone::Stale,
                format!(
                    "{name} in the {} grows by {} mg/L a day.",
                    i.vessel,
                    three(1000.0 * i.growth_g_per_l_per_day, 2)
                ),
            )),
            _ => None,
        };
        found.extend(text);
    }
    found.extend(salts(ctx));
    found.extend(growing(ctx));
    found
}

/// Salts that come out of solution within three years as impurities grow, each with its day.
fn salts(ctx: &ViewCtx<'_>) -> Vec<(Tone, String)> {
    let full = ctx.results.full();
    let told = full.map(|f| f.answers.precipitation.as_slice());
    let each = told.unwrap_or_default().iter().take(MOST).map(|p| {
        let when = if p.days > 0.0 {
            format!("on day {}", three(p.days.ceil(), 0))
        } else {
            "from the start".to_owned()
        };
        let (salt, vessel) = (capitalised(&p.salt), &p.vessel);
        let text = if p.once_cooled {
            format!(
                "{salt} would come out in the {vessel} {when}, as the shop cools over a weekend."
            )
        } else {
            format!("{salt} begins to come out in the {vessel} {when}.")
        };
        (Tone::Caution, text)
    });
    each.collect()
}

/// Of which day the settled figures hold what never settles.
fn growing(ctx: &ViewCtx<'_>) -> Option<(Tone, String)> {
    let answers = &ctx.results.figures()?.answers;
    let told: Vec<String> = answers
        .solutes
        .iter()
        .filter_map(|s| Some(format!("{} {}", solute(&s.name), s.when_told()?)))
        .collect();
    (!told.is_empty()).then(|| {
        let words = format!(
            "Settled figures hold what would take years to settle as on one day: {}.",
            told.join(", ")
        );
        (Tone::Stale, words)
    })
}
