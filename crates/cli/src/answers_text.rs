//! The answers as tables for a terminal of 80 columns.

use std::collections::{BTreeMap, BTreeSet};

use dragback_scenario::Scenario;
use dragback_study::{Answers, ImpurityAnswer, LedgerAnswer, LoopAnswer, VesselAnswer};
use dragback_units::{Dim, Style, kelvin_from_celsius};

use crate::facts::{Facts, paragraph};
use crate::io::printable;
use crate::show::{NO_NUMBER, Show};
use crate::table::{Table, WIDTH, wrap};

/// Said below every answer.
pub(crate) const CAUTION: &str = "These are estimates from balances and published correlations, not a design. Hot solution, \
chromic acid and nickel, mains electricity and exhaust air can hurt people: local codes and licensed practice decide.";

/// A solute of which there is less than this everywhere, in g/L or kg/d, is not there.
const ABSENT: f64 = 1.0e-9;
/// Alarms listed before the rest is only counted.
const MOST_ALARMS: usize = 15;
/// Column at which words about an alarm begin.
const ALARMS_AT: usize = 18;
/// Solutes that one table of strengths has beside each other.
const SOLUTES_ABREAST: usize = 4;
/// Solutes beyond which strengths are left to JSON and CSV.
const MOST_SOLUTES: usize = 15;

/// Everything that the answers say, loop by loop.
pub(crate) fn render(answers: &Answers, scenario: &Scenario, show: Show) -> String {
    let mut out = paragraph(&answers.scenario);
    out.push_str(&paragraph(&headline(answers)));
    for line in &answers.loops {
        let title = scenario
            .loops
            .get(&line.name)
            .and_then(|l| l.title.as_deref());
        let name = title.map_or_else(
            || line.name.clone(),
            |title| format!("{title} ({})", line.name),
        );
        out.push_str(&format!("\n{}", paragraph(&name)));
        let has_tower = scenario
            .loops
            .get(&line.name)
            .is_some_and(|l| !l.towers.is_empty());
        out.push_str(&loop_facts(answers, line, has_tower, show));
        section("Per day", &per_day(line, show), &mut out);
    }
    section(
        "Tanks, means",
        &tanks(&answers.vessels, &leads(answers), show),
        &mut out,
    );
    for (i, table) in strengths(answers, show).iter().enumerate() {
        section(
            if i == 0 {
                "Strengths, means"
            } else {
                "Strengths, continued"
            },
            table,
            &mut out,
        );
    }
    section(
        "Impurities",
        &impurities(&answers.impurities, show),
        &mut out,
    );
    out.push_str(&alarms(answers));
    out.push_str(&books(answers));
    if !answers.refined {
        out.push('\n');
        out.push_str(&paragraph(
            "Not refined: an alarm fired, or heaters run at more than 90 % of their power while evaporating, where averages \
             over pumps and thermostats go astray. `dragback run --exact` locates every switch.",
        ));
    }
    out
}

/// Alarms and limits, then the caution.
pub(crate) fn ending(reasons: &[String]) -> String {
    let mut out = String::new();
    if !reasons.is_empty() {
        out.push_str("\nMet on the way\n");
        for reason in reasons {
            for (i, line) in paragraph(reason).lines().enumerate() {
                out.push_str(if i == 0 { "  " } else { "    " });
                out.push_str(line);
                out.push('\n');
            }
        }
    }
    out.push('\n');
    out.push_str(&paragraph(CAUTION));
    out
}

pub(crate) fn section(head: &str, table: &Table, out: &mut String) {
    if !table.is_empty() {
        out.push_str(&format!("\n{head}\n"));
        out.push_str(&table.render());
    }
}

fn headline(answers: &Answers) -> String {
    let air = match answers.air.as_str() {
        "mean" => "in the year's mean air".to_owned(),
        "calendar" => "in the air of each month".to_owned(),
        month => format!("in the air of {month}"),
    };
    if is_settled(answers) {
        return format!("Settled week, {air}; averaged model. Flows are means over the week.");
    }
    let how = if answers.driver == "exact" {
        "every switch located"
    } else {
        "averaged model"
    };
    let days = answers.span_h / 24.0;
    format!("Run of {days:.0} days from the start, {air}; {how}. Flows are means over the run.")
}

fn is_settled(answers: &Answers) -> bool {
    answers.driver == "settled"
}

fn loop_facts(answers: &Answers, line: &LoopAnswer, has_tower: bool, show: Show) -> String {
    let mut facts = Facts::default();
    let rinse = &line.final_rinse;
    let lead = rinse.species.as_str();
    let of_lead = |by: &BTreeMap<String, f64>| {
        by.get(lead)
            .map_or_else(|| NO_NUMBER.to_owned(), |&kg| show.per_day(kg))
    };
    facts.push(
        "Lost for good",
        format!("{} of {lead}", of_lead(&line.lost_kg_per_day)),
    );
    let limit = rinse
        .limit_mg_per_l
        .map_or_else(String::new, |l| format!(" (limit {})", show.rinse(l)));
    facts.push(
        "Final rinse, film on the work",
        format!("{} of {lead}{limit}", show.rinse(rinse.film_mg_per_l)),
    );
    let tank = show.rinse(rinse.tank_mg_per_l);
    facts.push(
        "Final rinse, in the tank",
        format!(
            "{tank}, about {} ({})",
            show.conductivity(rinse.conductivity_us_per_cm),
            rinse.vessel
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
    if is_settled(answers) {
        margin_facts(line, show, &mut facts);
    }
    evaporation_facts(line, has_tower, show, &mut facts);
    facts.push("Rinse feed", show.flow(line.rinse_feed_l_per_h));
    facts.push("Bath make-up, plain water", show.flow(line.make_up_l_per_h));
    facts.push("To treatment", show.flow(line.to_treatment_l_per_h));
    if is_settled(answers) {
        if let Some(litres) = line.storage_needed_l {
            facts.push("Storage needed over shifts", show.volume(litres));
        }
        let settles = line.days_to_settle.map_or_else(
            || "not within the time looked ahead, or it keeps growing".to_owned(),
            |d| show.days(d),
        );
        facts.push("Days to settle", settles);
    }
    facts.into_text()
}

fn evaporation_facts(line: &LoopAnswer, has_tower: bool, show: Show, facts: &mut Facts) {
    let by_towers = if has_tower {
        show.flow(line.evaporation_l_per_h)
    } else {
        "no evaporator".to_owned()
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
    // Where no tower worked, the duty is that of all time.
    let meanwhile = line
        .evaporation_temperature_c
        .map_or("", |_| " while evaporating");
    facts.push(
        "Heaters",
        format!(
            "{} mean, duty {}{meanwhile}",
            show.power(line.heater_mean_kw),
            show.percent(line.heater_duty)
        ),
    );
}

/// A share with as many digits as tell it from the whole: 99.96 % is not 100 %.
fn nearly_all(share: f64) -> String {
    let rest = 1.0 - share;
    match rest {
        _ if !share.is_finite() => NO_NUMBER.to_owned(),
        _ if rest <= 0.0 || rest >= 0.1 => format!("{:.0} %", 100.0 * share),
        _ if rest >= 0.01 => format!("{:.1} %", 100.0 * share),
        _ if rest >= 0.001 => format!("{:.2} %", 100.0 * share),
        _ => format!("{:.3} %", 100.0 * share),
    }
}

fn margin_facts(line: &LoopAnswer, show: Show, facts: &mut Facts) {
    let Some(margin) = &line.closure_margin_l_per_h else {
        let words = "does not apply: no evaporator, nothing returns to the bath";
        facts.push("Closure margin", words);
        return;
    };
    let says = if margin.week < 0.0 {
        " short: goes to treatment"
    } else {
        " to spare"
    };
    let says = if margin.week.is_finite() { says } else { "" };
    facts.push(
        "Closure margin, week",
        format!("{}{says}", show.flow(margin.week)),
    );
    facts.push("Closure margin, in shift", show.flow(margin.in_shift));
    let month = match margin.month.as_str() {
        "" => String::new(),
        "mean" => " (mean air)".to_owned(),
        month => format!(" ({month})"),
    };
    facts.push(
        "Closure margin, worst month",
        format!("{}{month}", show.flow(margin.worst_month)),
    );
}

fn per_day(line: &LoopAnswer, show: Show) -> Table {
    let mut table = Table::new(["solute", "lost", "returned"]);
    let lead = &line.final_rinse.species;
    let mut names: Vec<&String> = line.lost_kg_per_day.keys().collect();
    names.sort_by_key(|&name| (name != lead, name.as_str()));
    for name in names {
        let of = |by: &BTreeMap<String, f64>| by.get(name).copied().unwrap_or(f64::NAN);
        let (lost, back) = (of(&line.lost_kg_per_day), of(&line.returned_kg_per_day));
        if lost.abs() < ABSENT && back.abs() < ABSENT {
            continue;
        }
        table.push([name.clone(), show.per_day(lost), show.per_day(back)]);
    }
    table
}

/// The lead solutes of the loops, each once.
pub(crate) fn leads(answers: &Answers) -> Vec<String> {
    let all: BTreeSet<&String> = answers
        .loops
        .iter()
        .map(|l| &l.final_rinse.species)
        .collect();
    all.into_iter().cloned().collect()
}

/// Volume, level, temperature and lead strength of tanks.
pub(crate) fn tanks(vessels: &[VesselAnswer], leads: &[String], show: Show) -> Table {
    let mut heads = vec![
        "tank".to_owned(),
        "volume".to_owned(),
        "level".to_owned(),
        "temperature".to_owned(),
    ];
    heads.extend(leads.iter().take(2).cloned());
    heads.push("conductivity\nabout".to_owned());
    let mut table = Table::new(heads);
    for v in vessels {
        let mut row = vec![
            v.name.clone(),
            show.volume(v.volume_l),
            show.si(Dim::Length, Style::Default, v.level_m),
            show.si(
                Dim::Temperature,
                Style::Default,
                kelvin_from_celsius(v.temperature_c),
            ),
        ];
        for lead in leads.iter().take(2) {
            let strength = v
                .concentration_g_per_l
                .get(lead)
                .copied()
                .unwrap_or(f64::NAN);
            row.push(show.strength(strength));
        }
        row.push(show.conductivity(v.conductivity_us_per_cm));
        table.push(row);
    }
    table
}

/// Every solute in every tank, a few solutes at a time.
fn strengths(answers: &Answers, show: Show) -> Vec<Table> {
    let held = answers
        .vessels
        .iter()
        .flat_map(|v| &v.concentration_g_per_l);
    let names: BTreeSet<&String> = held
        .filter(|(_, c)| c.abs() >= ABSENT)
        .map(|(n, _)| n)
        .collect();
    let names: Vec<&String> = names.into_iter().collect();
    if names.len() > MOST_SOLUTES {
        return Vec::new();
    }
    let tables = names.chunks(SOLUTES_ABREAST).map(|some| {
        let mut table = Table::new(std::iter::once("tank").chain(some.iter().map(|n| n.as_str())));
        for v in &answers.vessels {
            let of = |name: &String| {
                v.concentration_g_per_l
                    .get(name)
                    .copied()
                    .unwrap_or(f64::NAN)
            };
            let row =
                std::iter::once(v.name.clone()).chain(some.iter().map(|n| show.strength(of(n))));
            table.push(row);
        }
        table
    });
    tables.collect()
}

/// Something with a limit, or that grows by more than a hundredth of itself in a year.
fn is_worth_a_line(i: &ImpurityAnswer) -> bool {
    let yearly_g_per_l = 365.0 * i.growth_g_per_l_per_day;
    i.limit_g_per_l.is_some() || yearly_g_per_l > 0.01 * i.now_g_per_l
}

fn impurities(found: &[ImpurityAnswer], show: Show) -> Table {
    let heads = [
        "solute",
        "in",
        "at the\nstart",
        "growth\nper day",
        "limit",
        "reached\nafter",
        "bleed that\nholds it",
    ];
    let mut table = Table::new(heads).text(1);
    for i in found.iter().filter(|i| is_worth_a_line(i)) {
        table.push([
            i.species.clone(),
            i.vessel.clone(),
            show.strength(i.now_g_per_l),
            show.strength(i.growth_g_per_l_per_day),
            i.limit_g_per_l
                .map_or_else(|| "none".to_owned(), |l| show.strength(l)),
            match (i.limit_g_per_l, i.days_to_limit) {
                (_, Some(days)) => show.days(days),
                (Some(_), None) => "never".to_owned(),
                (None, None) => NO_NUMBER.to_owned(),
            },
            i.purge_l_per_h
                .map_or_else(|| NO_NUMBER.to_owned(), |p| show.flow(p)),
        ]);
    }
    table
}

fn alarms(answers: &Answers) -> String {
    if answers.alarms.is_empty() {
        return "\nAlarms: none\n".to_owned();
    }
    let mut out = "\nAlarms\n".to_owned();
    for alarm in answers.alarms.iter().take(MOST_ALARMS) {
        let is_named = alarm.what.contains(&alarm.device);
        let what = if is_named {
            alarm.what.clone()
        } else {
            format!("{}: {}", alarm.device, alarm.what)
        };
        for (i, line) in wrap(&printable(&what), WIDTH - ALARMS_AT)
            .iter()
            .enumerate()
        {
            let when = if i == 0 {
                moment(alarm.at_h)
            } else {
                String::new()
            };
            out.push_str(&format!("  {when:<wide$}{line}\n", wide = ALARMS_AT - 2));
        }
    }
    if let Some(more @ 1..) = answers.alarms.len().checked_sub(MOST_ALARMS) {
        out.push_str(&format!("  … and {more} more; --json lists them all\n"));
    }
    out
}

/// `day 3 04:12`, counted from the start: day 0 is a Monday.
fn moment(at_h: f64) -> String {
    if !at_h.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let minutes = (at_h * 60.0).round();
    let day = (minutes / (24.0 * 60.0)).floor();
    let in_day = minutes - day * 24.0 * 60.0;
    format!(
        "day {day:.0} {:02.0}:{:02.0}",
        (in_day / 60.0).floor(),
        in_day % 60.0
    )
}

fn books(answers: &Answers) -> String {
    let error = |entry: &LedgerAnswer| match entry {
        LedgerAnswer::Mass { closure_error, .. } | LedgerAnswer::Energy { closure_error, .. } => {
            *closure_error
        }
    };
    let worst = answers
        .ledger
        .iter()
        .max_by(|a, b| error(a.1).total_cmp(&error(b.1)));
    match worst {
        Some((name, entry)) => format!(
            "Books: water, energy and {} solutes close; worst {:.0e}, of {}\n",
            answers.ledger.len().saturating_sub(2),
            error(entry),
            printable(name)
        ),
        None => String::new(),
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
        assert_eq!(nearly_all(0.5), "50 %");
        assert_eq!(nearly_all(1.0), "100 %");
        assert_eq!(nearly_all(f64::NAN), NO_NUMBER);
    }

    #[test]
    fn moments_are_days_and_clock() {
        assert_eq!(moment(0.0), "day 0 00:00");
        assert_eq!(moment(76.2), "day 3 04:12");
        assert_eq!(moment(23.9999), "day 1 00:00");
        assert_eq!(moment(f64::NAN), NO_NUMBER);
    }
}
