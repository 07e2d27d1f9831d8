//! What must be installed, layout by layout, and how far the line as it is still closes.

use std::collections::BTreeMap;

use dragback_scenario::{Before, ClosedBy};
use dragback_study::size::{
    HEATER_RESERVE, Moved, Rank, Reach, Row, TANK_RESERVE, TOWER_RESERVE, not_counted,
};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, percent_of_whole};

use crate::{NO_NUMBER, Show, Table};

/// How far the line as it is still closes.
#[must_use]
pub fn reach_table(all: &[Reach], show: Show) -> Table {
    let mut table = Table::new(["", "is", "now"]).text(1);
    for reach in all {
        let is_outside = reach.path.starts_with("site.outside");
        let name = match reach.moved {
            Moved::Rinse => "rinse water while work runs",
            Moved::DragOut => "drag-out, with rinse water in the same ratio",
            Moved::SetPoint => "set point of the tank that feeds the tower",
            Moved::AirHumidity if is_outside => "humidity of the outside air",
            Moved::AirHumidity => "humidity of the room air",
            Moved::AirTemperature if is_outside => "outside air, as humid as it is",
            Moved::AirTemperature => "room air, as humid as it is",
        };
        let told = |si: f64| show.si(reach.dim, Style::Default, si);
        let at = reach.closes_words(&told);
        let (at, now) = (
            at.unwrap_or_else(|| NO_NUMBER.to_owned()),
            told(reach.now_si),
        );
        table.push([name, &at, &now]);
        if let Some(holds) = reach.holds_words(&told) {
            table.push([HOLDS, &holds, &now]);
        }
    }
    table
}

/// What stands below a flow up to which the week closes, where the collection tank runs over before.
const HOLDS: &str = "the same, collection tank not over its brim";

/// A layout in a few letters.
fn short(row: &Row) -> String {
    let before = match row.plan.before {
        None => "",
        Some(Before::Still) => "still ",
        Some(Before::Spray) => "spray ",
    };
    let free = if row.free_final_rinse { " free" } else { "" };
    format!("{before}{}{free}", row.stages)
}

fn closed_by(row: &Row) -> &'static str {
    match row.plan.closed_by {
        ClosedBy::Surface => "surface",
        ClosedBy::BathTower => "tower",
        ClosedBy::HoldingTank => "holding",
    }
}

/// The first of the layouts that work, in a sentence: what to install. `limit` is what the film is to keep; `None` where no layout works.
#[must_use]
pub fn first_words(rows: &[Row], limit: &str, show: Show) -> Option<String> {
    let row = rows.iter().find(|row| row.verified)?;
    let how = match Rank::of(rows.iter().filter(|row| row.verified)) {
        Rank::Cost => "the cheapest to run, equipment not counted,",
        Rank::Evaporation => "the one that evaporates least",
    };
    let mut needs = vec![show.flow(row.rinse_flow_l_per_h?) + " of rinse water"];
    if let Some(free) = row.free_rinse_flow_l_per_h {
        needs.push(show.flow(free) + " for the free final rinse, which goes to treatment");
    }
    match row.towers {
        Some(0) | None => {}
        Some(1) => needs.push("one tower".to_owned()),
        Some(n) => needs.push(format!("{n} towers")),
    }
    if let Some(kw) = row.heater_kw.filter(|kw| *kw > 0.0) {
        let power = show.si(Dim::Power, Style::Default, 1000.0 * kw);
        needs.push(format!("{power} of heaters"));
    }
    for (litres, tank) in [
        (row.holding_tank_l, "a holding tank"),
        (row.collection_tank_l, "a collection tank"),
    ] {
        if let Some(litres) = litres {
            let volume = show.si(Dim::Volume, Style::Default, unit::m3_from_litres(litres));
            needs.push(format!("{tank} of {volume}"));
        }
    }
    let works = rows.iter().filter(|row| row.verified).count();
    let passes = row.first_limit.as_ref().map_or_else(String::new, |first| {
        let (what, tank, days) = (&first.what, &first.vessel, first.days);
        format!("; {what} in the {tank} is to be watched: day {days:.0}")
    });
    Some(format!(
        "Of {} layouts that were looked at {works} keep the film below {limit}; {how} is this: {}. It takes {}{passes}.",
        rows.len(),
        row.layout,
        needs.join(", ")
    ))
}

/// What rows that work are ranked by, with the mark of the first.
#[must_use]
pub fn ranked_words(rows: &[&Row]) -> &'static str {
    match Rank::of(rows.iter().copied()) {
        Rank::Cost => "cheapest to run first (marked *)",
        Rank::Evaporation => "least evaporation first (marked *)",
    }
}

/// What the table of rows that work does not say by itself: limits that are passed within a year, and what the cost leaves out; in sentences.
#[must_use]
pub fn working_notes(rows: &[&Row], show: Show) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(free) = rows.iter().find_map(|row| row.free_rinse_flow_l_per_h) {
        notes.push(format!(
            "A free final rinse takes {} more, which goes to treatment.",
            show.flow(free)
        ));
    }
    let mut limits: Vec<(&str, &str, f64, f64)> = Vec::new();
    for first in rows.iter().filter_map(|row| row.first_limit.as_ref()) {
        let is_same =
            |l: &&mut (&str, &str, f64, f64)| (l.0, l.1) == (&*first.what, &*first.vessel);
        match limits.iter_mut().find(is_same) {
            Some(known) => {
                known.2 = known.2.min(first.days);
                known.3 = known.3.max(first.days);
            }
            None => limits.push((&first.what, &first.vessel, first.days, first.days)),
        }
    }
    let each = limits.iter().map(|(what, tank, low, high)| {
        let days = match (low.round(), high.round()) {
            (low, high) if low < high => format!("{low:.0} to {high:.0} days"),
            (low, _) => format!("{low:.0} days"),
        };
        format!("{what} in the {tank} after {days}")
    });
    let each: Vec<String> = each.collect();
    if !each.is_empty() {
        notes.push(format!(
            "† What builds up in the closed loop passes a limit within a year of the start: {}. Plan a bleed, a purification or purer water for it.",
            each.join("; ")
        ));
    }
    let missing = not_counted(rows.iter().copied());
    if !missing.is_empty() {
        notes.push(format!(
            "The cost leaves out what has no price: {}. It does not tell which layout is the cheapest.",
            missing.join(", ")
        ));
    }
    notes
}

/// What the words of the tables mean.
#[must_use]
pub fn sizes_legend(show: Show) -> String {
    format!(
        "A layout is what stands before the rinses, the number of counterflow rinses, and whether a free final rinse follows. It is closed by what evaporates at the surface of the bath alone, by towers on the bath, or by a heated holding tank with its towers. Each is settled as it stands, in the mean air of the year and in the months that are hardest for it. Evaporation is what the water that runs in asks of the evaporator in the worst month, the surfaces credited; a tower that cools its bath drives off more, and make-up replaces that. Towers stand {} over the worst month, heaters {} over what they give at work, tanks {} over what swings in them. Heat is that of the holding tank, or of the bath where there is none. Cost is the running cost of a year: fees and labour are those of the scenario, the same in every row, and equipment is not in it. How far the line as it is closes is a matter of a week's water; where the collection tank runs over before, since it does not hold back what a shift brings, that stands below it.",
        show.percent(TOWER_RESERVE - 1.0),
        show.percent(HEATER_RESERVE - 1.0),
        show.percent(TANK_RESERVE - 1.0),
    )
}

/// Evaporation of a row in L/h as it is told: none where there is no tower, and nothing where it is next to that.
#[must_use]
pub fn evaporation(row: &Row, l_per_h: Option<f64>) -> Option<f64> {
    let told = l_per_h.filter(|_| row.towers.is_some_and(|n| n > 0))?;
    Some(if told < LEAST_EVAPORATION { 0.0 } else { told })
}

/// Evaporation below this is nothing, L/h.
const LEAST_EVAPORATION: f64 = 0.05;

/// Rows that work, the first of them marked.
#[must_use]
pub fn working_table(rows: &[&Row], currency: Option<&str>, show: Show) -> Table {
    let flow = show.unit(Dim::VolumeFlow, Style::Default);
    let volume = show.unit(Dim::Volume, Style::Default);
    let has_cost = rows.iter().any(|row| row.yearly_cost.is_some());
    let mut heads = vec![
        "rinses".to_owned(),
        "closed\nby".to_owned(),
        format!("feed\n{flow}"),
        "back\n%".to_owned(),
        format!("evap.\n{flow}"),
        "heat\nkW".to_owned(),
        "tow-\ners".to_owned(),
        format!("hold\n{volume}"),
        format!("coll.\n{volume}"),
    ];
    if has_cost {
        heads.push(format!("cost\n{}/a", currency.unwrap_or("")));
    }
    let mut table = Table::new(heads).text(1);
    let none = || NO_NUMBER.to_owned();
    for (i, row) in rows.iter().enumerate() {
        let mark = if i == 0 { "* " } else { "  " };
        let told = |dim: Dim, si: Option<f64>| {
            si.map_or_else(none, |si| show.bare(dim, Style::Default, si))
        };
        let flow =
            |l_per_h: Option<f64>| told(Dim::VolumeFlow, l_per_h.map(unit::m3_per_s_from_l_per_h));
        let volume = |l: Option<f64>| told(Dim::Volume, l.map(unit::m3_from_litres));
        let mut cells = vec![
            format!("{mark}{}{}", short(row), limit_mark(row)),
            closed_by(row).to_owned(),
            flow(row.rinse_flow_l_per_h),
            row.recovered_fraction.map_or_else(none, percent_of_whole),
            flow(evaporation(row, row.worst_month_l_per_h)),
            told(Dim::Power, row.heater_kw.map(|kw| 1000.0 * kw)),
            row.towers.map_or_else(none, |n| n.to_string()),
            volume(row.holding_tank_l),
            volume(row.collection_tank_l),
        ];
        if has_cost {
            cells.push(
                row.yearly_cost
                    .map_or_else(none, |cost| format!("{cost:.0}")),
            );
        }
        table.push(cells);
    }
    table
}

/// The mark of a row in which something passes its limit within a year.
const fn limit_mark(row: &Row) -> &'static str {
    if row.first_limit.is_some() {
        " †"
    } else {
        ""
    }
}

/// Each row with what stops it.
#[must_use]
pub fn stopped_table(rows: &[&Row], show: Show) -> Table {
    let mut table = Table::new(["rinses", "closed by", "what stops it"])
        .text(1)
        .text(2);
    for row in rows {
        let why = row.limit_as.as_ref();
        let write = |dim, si| show.si(dim, Style::Default, si);
        let why = why.map_or_else(String::new, |limit| limit.words(&write));
        table.push([short(row), closed_by(row).to_owned(), why]);
    }
    table
}

/// How many rows each reason stops.
#[must_use]
pub fn counted_table(rows: &[&Row]) -> Table {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for row in rows {
        let why = row.limit_as.as_ref().map(dragback_study::size::Limit::kind);
        *counts.entry(why.unwrap_or_default()).or_default() += 1;
    }
    let mut counts: Vec<_> = counts.into_iter().collect();
    counts.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    let mut table = Table::new(["what stops them", "layouts"]);
    for (why, count) in counts {
        table.push([why, count.to_string()]);
    }
    table
}

/// What rows that work need besides: mean evaporation, pump, air, and how the tank that evaporates stands.
#[must_use]
pub fn needs_table(rows: &[&Row], show: Show) -> Table {
    let heads = [
        "rinses",
        "closed by",
        "asked of\ntowers, mean",
        "feed\npump",
        "exhaust\nair",
        "tank",
        "of what\nstays dissolved",
    ];
    let mut table = Table::new(heads).text(1);
    let none = || NO_NUMBER.to_owned();
    for row in rows {
        let flow = |l_per_h: f64| show.flow(l_per_h);
        let feed = |l_per_min: f64| {
            show.flow(l_per_min * unit::SECONDS_PER_HOUR / unit::SECONDS_PER_MINUTE)
        };
        let air = |m3_per_h: f64| {
            let si = m3_per_h / unit::SECONDS_PER_HOUR;
            show.si(Dim::VolumeFlow, Style::Air, si)
        };
        table.push([
            short(row),
            closed_by(row).to_owned(),
            evaporation(row, row.evaporator_duty_l_per_h).map_or_else(none, flow),
            row.feed_pump_l_per_min.map_or_else(none, feed),
            row.exhaust_air_m3_per_h.map_or_else(none, air),
            row.tank_temperature_c
                .map_or_else(none, |c| show.temperature(c)),
            row.saturation_fraction
                .map_or_else(none, |s| show.percent(s)),
        ]);
    }
    table
}

/// Where the heat of rows that work goes, mean of the week, kW.
#[must_use]
pub fn heat_table(rows: &[&Row]) -> Table {
    let heads = [
        "rinses",
        "closed by",
        "to\nevaporate",
        "to warm\nwhat comes in",
        "to warm\nthe air",
        "lost by\nthe tank",
        "work, coolers\nless current",
        "heaters\ngive",
        "margin of\nthe heaters, %",
    ];
    let mut table = Table::new(heads).text(1);
    for row in rows {
        let Some(heat) = &row.heat else { continue };
        let told = |kw: f64| {
            // Not "−0.0".
            let kw = if kw.abs() < 0.05 { 0.0 } else { kw };
            format!("{kw:.1}")
        };
        let margin = heat.margin_fraction;
        table.push([
            short(row),
            closed_by(row).to_owned(),
            told(heat.latent_kw),
            told(heat.refill_kw),
            told(heat.air_kw),
            told(heat.losses_kw),
            told(heat.others_kw),
            told(heat.mean_kw),
            margin.map_or_else(|| NO_NUMBER.to_owned(), |m| format!("{:.0}", 100.0 * m)),
        ]);
    }
    table
}
