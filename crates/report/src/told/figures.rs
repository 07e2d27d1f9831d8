//! The figures of one loop.

use std::collections::BTreeMap;

use dragback_study::balance::is_short_of_room;
use dragback_study::verdict::verdict;
use dragback_study::{Answers, LoopAnswer, SoluteAnswer, StackAnswer, Stores};
use dragback_units::percent_of_whole;

use super::is_settled;
use crate::{Facts, NO_NUMBER, OfLoop, Show};

/// Less than this runs over nowhere.
const NOTICEABLE_L_PER_H: f64 = 0.01;

/// Label and value of what a loop comes to, its verdict among them.
#[must_use]
pub fn loop_facts(answers: &Answers, line: &LoopAnswer, show: Show) -> Facts {
    let told = OfLoop::of(answers, line, show);
    let mut facts = losses(answers, line, show);
    // The worst first, each on a line of its own.
    for (i, finding) in verdict(answers, line).iter().enumerate() {
        let label = if i == 0 { "Verdict" } else { "" };
        facts.push(label, format!("{}.", finding.words(&told)));
    }
    facts.0.extend(flows(answers, line, show).0);
    facts
}

/// The same without the verdict, for where that stands already.
#[must_use]
pub fn loop_figures(answers: &Answers, line: &LoopAnswer, show: Show) -> Facts {
    let mut facts = losses(answers, line, show);
    facts.0.extend(flows(answers, line, show).0);
    facts
}

fn losses(answers: &Answers, line: &LoopAnswer, show: Show) -> Facts {
    let mut facts = Facts::default();
    let as_metal = AsMetal::of(answers, &line.final_rinse.species);
    lost_fact(line, &as_metal, show, &mut facts);
    worth_fact(line, is_settled(answers), show, &mut facts);
    facts
}

fn flows(answers: &Answers, line: &LoopAnswer, show: Show) -> Facts {
    let mut facts = Facts::default();
    let as_metal = AsMetal::of(answers, &line.final_rinse.species);
    let told = OfLoop::of(answers, line, show);
    rinse_facts(line, &as_metal, &told, &mut facts);
    if is_settled(answers) {
        margin_facts(line, answers.hours == "calendar", show, &mut facts);
    }
    evaporation_facts(line, &as_metal, show, &mut facts);
    facts.push("Rinse feed", show.flow(line.rinse_feed_l_per_h));
    facts.push("Bath make-up, plain water", show.flow(line.make_up_l_per_h));
    let over = if line.over_brim_l_per_h > NOTICEABLE_L_PER_H {
        let over = show.flow(line.over_brim_l_per_h);
        format!(" ({over} over the collection tank's brim)")
    } else {
        String::new()
    };
    facts.push(
        "To treatment",
        format!("{}{over}", show.flow(line.to_treatment_l_per_h)),
    );
    if is_settled(answers) {
        settling_facts(line, answers.hours == "calendar", show, &mut facts);
    }
    facts
}

/// What is lost, which anyone asks for first.
fn lost_fact(line: &LoopAnswer, as_metal: &AsMetal<'_>, show: Show, facts: &mut Facts) {
    let lead = line.final_rinse.species.as_str();
    let lost = line.lead_lost_kg_per_day().unwrap_or(f64::NAN);
    let lost_metal = as_metal.told(lost, |kg| show.per_day(kg));
    facts.push(
        "Lost for good",
        format!("{} of {lead}{lost_metal}", show.per_day(lost)),
    );
}

/// What that is worth, where it has a price.
fn worth_fact(line: &LoopAnswer, is_settled: bool, show: Show, facts: &mut Facts) {
    let Some(worth) = &line.lost_worth else {
        return;
    };
    let money = |amount| show.money(amount, &worth.currency);
    // A year of a run's mean days would be a guess.
    let year = if is_settled {
        format!(", {} a year", money(worth.per_year))
    } else {
        String::new()
    };
    let of = worth.of.join(", ");
    facts.push(
        "Worth",
        format!(
            "{} a day{year} ({of} by the prices of solutes; heat, water and treatment are not counted)",
            money(worth.per_day)
        ),
    );
}

/// How clean the work leaves, what comes back.
fn rinse_facts(line: &LoopAnswer, as_metal: &AsMetal<'_>, told: &OfLoop<'_>, facts: &mut Facts) {
    let rinse = &line.final_rinse;
    let show = told.show;
    let strength = |mg: f64| show.rinse(told.lead.strength(mg));
    let behind = told.lead.behind();
    let lead = rinse.species.as_str();
    let of_lead = |by: &BTreeMap<String, f64>| {
        by.get(lead)
            .map_or_else(|| NO_NUMBER.to_owned(), |&kg| show.per_day(kg))
    };
    let limit = rinse
        .limit_mg_per_l
        .map_or_else(String::new, |l| format!(" (limit {})", strength(l)));
    let film_metal = as_metal.told(rinse.film_mg_per_l, |mg| show.rinse(mg));
    facts.push(
        "Final rinse, film on the work",
        format!(
            "{} {behind}{limit}{film_metal}",
            strength(rinse.film_mg_per_l)
        ),
    );
    let tank = strength(rinse.tank_mg_per_l);
    facts.push(
        "Final rinse, in the tank at work",
        format!(
            "{tank} {behind} ({}); {} dissolved in all, about {}",
            rinse.vessel,
            show.rinse(rinse.dissolved_solids_mg_per_l),
            show.conductivity(rinse.conductivity_us_per_cm)
        ),
    );
    facts.push(
        "Dilution of the bath",
        format!("{} to 1", show.ratio(rinse.dilution_ratio)),
    );
    facts.push("Drag-out", show.flow(line.drag_out_l_per_h));
    let back = of_lead(&line.returned_kg_per_day);
    facts.push(
        "Recovered",
        format!(
            "{} ({back} of {lead} back)",
            nearly_all(line.recovered_fraction)
        ),
    );
}

/// Towers, surfaces and heaters.
fn evaporation_facts(line: &LoopAnswer, as_metal: &AsMetal<'_>, show: Show, facts: &mut Facts) {
    let by_towers = if line.stacks.is_empty() {
        "no evaporator".to_owned()
    } else {
        show.flow(line.evaporation_l_per_h)
    };
    facts.push("Evaporated by towers", by_towers);
    facts.push(
        "Evaporated from surfaces",
        show.flow(line.surface_evaporation_l_per_h),
    );
    if let Some(temp_c) = line.evaporation_temperature_c {
        facts.push("Solution while evaporating", show.temperature(temp_c));
        facts.push(
            "Towers run",
            format!("{} of the time", show.percent(line.tower_share)),
        );
    }
    for stack in &line.stacks {
        facts.push(
            &format!("Up the stack of {}", stack.tower),
            stack_fact(stack, as_metal, show),
        );
    }
    let duty = show.percent(line.heater_duty);
    let when = if line.evaporation_temperature_c.is_some() {
        " while evaporating"
    } else {
        ""
    };
    facts.push(
        "Heaters",
        format!(
            "{} mean, {duty} of their power{when}",
            show.power(line.heater_mean_kw)
        ),
    );
    if let Some(kw) = line.bath_heater_mean_kw {
        facts.push("Heater of the bath", format!("{} mean", show.power(kw)));
    }
    if line.bath_cooler_mean_kw > 0.0 {
        let mean = show.power(line.bath_cooler_mean_kw);
        facts.push("Cooler of the bath", format!("{mean} mean"));
    }
}

/// Where water of a shift is stored.
const fn storing(stores: Stores) -> &'static str {
    match (stores.collection, stores.holding) {
        (true, true) => {
            "in the collection tank and between the stop and restart of the holding tank together"
        }
        (true, false) => "in the collection tank",
        (false, true) => "between the stop and restart of the holding tank",
        (false, false) => "in the bath",
    }
}

/// What has to be stored, and how long the line takes to settle.
fn settling_facts(line: &LoopAnswer, has_shifts: bool, show: Show, facts: &mut Facts) {
    if let (true, Some(margin)) = (has_shifts, &line.closure_margin_l_per_h) {
        let storage = match line.storage_needed_l {
            Some(litres) if litres > 0.0 => {
                format!("{}, {}", show.volume(litres), storing(line.stores))
            }
            Some(litres) => show.volume(litres),
            None if margin.week < 0.0 => "no tank is enough: the week does not close".to_owned(),
            None => NO_NUMBER.to_owned(),
        };
        facts.push("Storage needed over shifts", storage);
    }
    let settles = match line.days_to_settle {
        Some(days) if days > 0.0 => show.days(days),
        Some(_) => "none: it starts within 5 % of where it settles".to_owned(),
        None => NO_NUMBER.to_owned(),
    };
    facts.push("Days to settle", settles);
    if let Some(why) = &line.days_to_settle_not_shown {
        facts.push("No days to settle because", why);
    }
}

/// The lead solute told as the metal that people speak of.
struct AsMetal<'a>(Option<&'a SoluteAnswer>);

impl<'a> AsMetal<'a> {
    /// For a solute that is more than its metal; of others there is nothing to tell.
    fn of(answers: &'a Answers, name: &str) -> Self {
        let solute = answers.solutes.iter().find(|s| s.name == name);
        Self(solute.filter(|s| s.metal_fraction < 1.0))
    }

    /// `; 12 mg/L as Cr`, or nothing.
    fn told(&self, amount: f64, show: impl Fn(f64) -> String) -> String {
        self.0.map_or_else(String::new, |s| {
            format!("; {} as {}", show(amount * s.metal_fraction), s.metal)
        })
    }
}

/// Rules on emissions count milligrams in a cubic metre of dry air, in the US too.
fn stack_fact(stack: &StackAnswer, as_metal: &AsMetal<'_>, show: Show) -> String {
    let Some(mg) = stack.mg_per_dry_m3 else {
        return "nothing: the tower did not run".to_owned();
    };
    let told = |mg: f64| format!("{} mg/m³", show.ratio(mg));
    format!(
        "{} of {}{} (dry air, {})",
        told(mg),
        stack.species,
        as_metal.told(mg, told),
        show.temperature(20.0)
    )
}

/// A share that is not the whole never reads as the whole: 99.960 % is not 100 %.
fn nearly_all(share: f64) -> String {
    if share.is_finite() {
        format!("{} %", percent_of_whole(share))
    } else {
        NO_NUMBER.to_owned()
    }
}

fn margin_facts(line: &LoopAnswer, has_shifts: bool, show: Show, facts: &mut Facts) {
    let Some(margin) = &line.closure_margin_l_per_h else {
        let words = "does not apply: no evaporator, nothing returns to the bath";
        facts.push("Closure margin", words);
        return;
    };
    let (week, says) = match is_short_of_room(line) {
        true if line.to_treatment_l_per_h < -margin.week => (
            margin.week,
            ": short; so much goes to treatment or is held back by a full bath",
        ),
        true => (margin.week, ": short; at least that much goes to treatment"),
        // Less than a face shows is nothing.
        false if margin.week.is_finite() => (margin.week.max(0.0), " to spare"),
        false => (margin.week, ""),
    };
    let margin_now = format!("{}{says}", show.flow(week));
    if has_shifts {
        facts.push("Closure margin, week", margin_now);
        facts.push("Closure margin, in shift", show.flow(margin.in_shift));
    } else {
        facts.push("Closure margin", margin_now);
    }
    let month = match margin.month.as_str() {
        "" => String::new(),
        "mean" => " (mean air)".to_owned(),
        month => format!(" ({month})"),
    };
    facts.push(
        "Closure margin, worst month",
        format!("{}{month}", show.flow(margin.worst_month)),
    );
    if let Some(why) = &margin.not_shown {
        facts.push("No margin because", why);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_short_of_the_whole_never_reads_as_the_whole() {
        assert_eq!(nearly_all(0.9996), "99.960 %");
        assert_eq!(nearly_all(0.994), "99.40 %");
        assert_eq!(nearly_all(0.953), "95.3 %");
        assert_eq!(nearly_all(0.8765), "88 %");
        assert_eq!(nearly_all(0.999_817), "99.982 %");
        assert_eq!(nearly_all(0.5), "50 %");
        assert_eq!(nearly_all(1.0), "100 %");
        assert_eq!(nearly_all(1.0 - 1e-7), "> 99.99 %");
        assert_eq!(nearly_all(-0.25), "-25 %");
        assert_eq!(nearly_all(f64::NAN), NO_NUMBER);
    }

    #[test]
    fn water_is_stored_where_there_is_a_tank_for_it() {
        for (collection, holding, words) in [
            (true, true, "in the collection tank and between"),
            (true, false, "in the collection tank"),
            (
                false,
                true,
                "between the stop and restart of the holding tank",
            ),
            (false, false, "in the bath"),
        ] {
            let told = storing(Stores {
                collection,
                holding,
            });
            assert!(told.starts_with(words), "{told}");
        }
    }
}
