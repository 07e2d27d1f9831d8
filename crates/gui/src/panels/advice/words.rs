//! What would help, in sentences.

use dragback_study::advice::{Advice, Goal, Limit, Proposal, Tight};
use dragback_study::balance::{is_clean, is_short_of_room};
use dragback_study::{LoopAnswer, ToldAs};
use dragback_units::constants::{SECONDS_PER_DAY, m3_per_s_from_l_per_h};
use dragback_units::{Dim, Style, System};

use crate::document::{Document, Lever, Role};
use crate::margin;
use crate::number::{amount, joined, money, shown, significant};
use crate::panels::reading::rinse_told;
use crate::widgets::unit_of;
use crate::words::solute;

/// What changes by less than this share of what it was is not worth a word.
const NOTABLE: f64 = 0.05;

/// A proposal in a sentence; `None` where the document has no such input.
#[must_use]
pub fn proposal_words(
    document: &Document,
    now: &LoopAnswer,
    p: &Proposal,
    system: System,
    lead: &ToldAs<'_>,
) -> Option<String> {
    let film = film_of(&p.after, system, lead);
    let lever = document.lever(&p.path);
    if p.goal == Goal::Saves {
        return Some(spares(lever?, now, p, system, &film));
    }
    let subject = subject(lever, p, system)?;
    let words = match &p.goal {
        Goal::Closes => format!(
            "{subject} closes the loop{}{}.",
            film_then(now, &p.after, &film),
            month_then(now, p)
        ),
        Goal::CleanRinse => format!(
            "{subject} brings the final rinse to {film}{}.",
            water_then(now, &p.after, system)
        ),
        Goal::Holds(species) => format!(
            "{subject} keeps {} within limits for three years at least{}.",
            listed(species),
            lost_then(now, &p.after, system)
        ),
        Goal::Saves => return None,
    };
    Some(words)
}

/// A value as it would be written, without digits that say nothing.
fn told(lever: &Lever, si: f64, system: System) -> String {
    let unit = unit_of(lever, system);
    joined((significant(unit.from_si(si), 3), unit.symbol))
}

/// The film that then leaves the final rinse, as it is told.
fn film_of(after: &LoopAnswer, system: System, lead: &ToldAs<'_>) -> String {
    rinse_told(after.final_rinse.film_mg_per_l, system, lead)
}

/// What is changed, and to what.
fn subject(lever: Option<&Lever>, p: &Proposal, system: System) -> Option<String> {
    let tail = |n: usize| p.path.rsplit('.').nth(n).unwrap_or_default();
    if p.path.ends_with(".bath.purge") {
        let unit = Dim::VolumeFlow.display_unit(system, Style::Default);
        let flow = joined((significant(unit.from_si(p.to_si), 3), unit.symbol));
        return Some(format!("A bleed of {flow} of bath"));
    }
    let lever = lever?;
    let value = told(lever, p.to_si, system);
    let now = told(lever, p.from_si, system);
    let words = if p.path.ends_with(".stages") {
        let more = if p.to_si - p.from_si < 1.5 {
            "One stage more"
        } else {
            "Two stages more"
        };
        format!("{more} ({value} instead of {now})")
    } else if p.path.ends_with(".collection.tank.volume") {
        format!("A collection tank of {value} instead of {now}")
    } else if p.path.ends_with(".holding_tank.set_point") {
        format!("A holding tank at {value} instead of {now}")
    } else if p.path.ends_with(".air_flow") {
        format!("Air through {} at {value} instead of {now}", tail(1))
    } else if p.path.starts_with("waters.") {
        format!(
            "Water ({}) with {value} of {} instead of {now}",
            tail(2).replace('_', " "),
            in_sentence(tail(0))
        )
    } else if p.path.contains(".purification.") {
        let share = |per_s: f64| significant(100.0 * SECONDS_PER_DAY * per_s, 2);
        let (share, was) = (share(p.to_si), share(p.from_si));
        format!(
            "Taking out {share}\u{a0}% of the {} a day instead of {was}\u{a0}%",
            in_sentence(tail(0))
        )
    } else {
        format!("{} at {value} instead of {now}", lever.name)
    };
    Some(words)
}

/// What could be spared.
fn spares(lever: &Lever, now: &LoopAnswer, p: &Proposal, system: System, film: &str) -> String {
    let value = told(lever, p.to_si, system);
    let was = told(lever, p.from_si, system);
    let less = told(lever, p.from_si - p.to_si, system);
    let what = match lever.role {
        Some(Role::RinseRate) => "rinse water",
        Some(Role::HeatInput) => "heat",
        _ => "",
    };
    let then = match lever.role {
        Some(Role::RinseRate) => {
            let kw = now.heater_mean_kw - p.after.heater_mean_kw;
            let heat = if kw > NOTABLE * now.heater_mean_kw && kw > 0.05 {
                let kw = joined(shown(Dim::Power, 1e3 * kw, system, Style::Default));
                format!(" and {kw} less heat is used")
            } else {
                String::new()
            };
            format!("the final rinse then is at {film}{heat}")
        }
        _ if now.closure_margin_l_per_h.is_some() => {
            "the loop still closes; only warming up takes longer".to_owned()
        }
        _ => "the bath stays as warm; only warming up takes longer".to_owned(),
    };
    if p.to_si == 0.0 {
        return format!("No {what} is needed here ({was} now): {then}.");
    }
    format!("{less} less {what} would do ({value} instead of {was}): {then}.")
}

/// What the final rinse would be, where it is another.
fn film_then(now: &LoopAnswer, after: &LoopAnswer, told: &str) -> String {
    let (was, film) = (
        now.final_rinse.film_mg_per_l,
        after.final_rinse.film_mg_per_l,
    );
    let is_same = (film - was).abs() <= NOTABLE * was.abs();
    if !film.is_finite() || (is_same && is_clean(after)) {
        return String::new();
    }
    let over = if is_clean(after) {
        ""
    } else {
        ", over its limit"
    };
    format!("; the final rinse then is at {told}{over}")
}

/// The month in which it would not close.
fn month_then(now: &LoopAnswer, p: &Proposal) -> String {
    let month = now
        .closure_margin_l_per_h
        .as_ref()
        .map(|m| m.month.as_str());
    let is_short = p.worst_month.as_ref().is_some_and(is_short_of_room);
    month
        .filter(|_| is_short)
        .map_or_else(String::new, |month| format!(", though not yet in {month}"))
}

/// How the water would stand.
fn water_then(now: &LoopAnswer, after: &LoopAnswer, system: System) -> String {
    let was_short = is_short_of_room(now);
    match margin::week(after) {
        Some(m) if is_short_of_room(after) => {
            let si = m3_per_s_from_l_per_h(-m);
            let lacks = joined(shown(Dim::VolumeFlow, si, system, Style::Default));
            format!(", but over the week {lacks} more would come in than can evaporate")
        }
        Some(_) if was_short => ", and closes the loop".to_owned(),
        Some(_) => ", and the loop still closes".to_owned(),
        None => String::new(),
    }
}

/// What a bleed costs.
fn lost_then(now: &LoopAnswer, after: &LoopAnswer, system: System) -> String {
    let (Some(was), Some(then)) = (now.lead_lost_kg_per_day(), after.lead_lost_kg_per_day()) else {
        return String::new();
    };
    if then - was <= NOTABLE * was.max(1e-3) {
        return String::new();
    }
    let (number, unit) = amount(then - was, system);
    let name = in_sentence(&now.final_rinse.species);
    let worth = after.lost_worth.as_ref().zip(now.lost_worth.as_ref());
    let worth = worth.map_or_else(String::new, |(then, was)| {
        let more = money(then.per_year - was.per_year, &then.currency);
        format!(", {more} a year")
    });
    format!(" and costs {number}\u{a0}{unit} of {name} a day{worth}")
}

/// Several solutes' names within a sentence.
fn listed(species: &[String]) -> String {
    let names: Vec<String> = species.iter().map(|s| in_sentence(s)).collect();
    match names.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        all => all.concat(),
    }
}

/// A solute's name within a sentence.
fn in_sentence(species: &str) -> String {
    let name = solute(species);
    if name == species {
        name
    } else {
        name.to_lowercase()
    }
}

/// What is to be said beside proposals, or where there are none.
#[must_use]
pub fn remaining_words(advice: &Advice) -> Vec<String> {
    let mut found: Vec<String> = advice.out_of_reach.iter().filter_map(beyond).collect();
    let fades = advice.fades.iter();
    found.extend(fades.map(|s| format!("{} settles below its limit as things stand.", solute(s))));
    let is_limit_missing = advice.tight.contains(&Tight::NoLimit);
    if advice.limit == Limit::Bath {
        let name = in_sentence(&advice.now.final_rinse.species);
        found.push(format!(
            "First let additions restore its {name}: until then no change to rinses or heat can be judged."
        ));
    } else if advice.proposals.is_empty() && found.is_empty() {
        found.push(nothing(advice));
    } else if is_limit_missing {
        let words = "How much rinse water could be spared nobody can say without a limit of the final rinse.";
        found.push(words.to_owned());
    }
    found
}

/// Why nothing is proposed towards a goal.
fn beyond(goal: &Goal) -> Option<String> {
    match goal {
        Goal::Closes => Some(
            "No heat, rinse rate, set point or air flow within reach closes this loop alone: it takes several together, or another evaporator."
                .to_owned(),
        ),
        Goal::CleanRinse => Some(
            "No rinse rate, drag-out or two stages more bring the final rinse to its limit alone.".to_owned(),
        ),
        Goal::Holds(species) => Some(format!(
            "No bleed within reach and no purer water keeps {} within limits: it must be taken out of the bath.",
            listed(species)
        )),
        Goal::Saves => None,
    }
}

/// Why nothing can be spared.
fn nothing(advice: &Advice) -> String {
    let why: Vec<String> = advice
        .tight
        .iter()
        .map(|t| match t {
            Tight::FinalRinse(share) => format!(
                "the final rinse is at {:.0}\u{a0}% of its limit",
                100.0 * share
            ),
            Tight::NoLimit => {
                "no limit of the final rinse is given to judge its water by".to_owned()
            }
            Tight::Heat(share) => format!("the heaters work at {:.0}\u{a0}%", 100.0 * share),
            Tight::Loop => "with less water or heat, metal or the loop would be lost".to_owned(),
        })
        .collect();
    match why.as_slice() {
        [] => "Nothing to mend.".to_owned(),
        all => format!(
            "Nothing to mend and nothing to spare: {}.",
            all.join(", and ")
        ),
    }
}
