//! The table of `dragback size`.

use std::collections::BTreeMap;

use dragback_scenario::{Before, ClosedBy, Scenario};
use dragback_study::size::{HEATER_RESERVE, Moved, Reach, Row, Sizing, TOWER_RESERVE};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, percent_of_whole};

use crate::answers_text::{CAUTION, section};
use crate::facts::paragraph;
use crate::show::{NO_NUMBER, Show};
use crate::table::Table;

/// Rows shown unless all are asked for.
const BEST: usize = 15;

pub(super) fn render(
    scenario: &Scenario,
    sizing: &Sizing,
    (rows, as_it_is): (&[Row], &[Reach]),
    all: bool,
    show: Show,
) -> String {
    let limit = sizing.layouts().final_limit_kg_per_m3();
    let line = scenario.loops.get(sizing.layouts().key());
    let lead = line.map_or("", |l| l.lead.as_str());
    let mut out = paragraph(&scenario.title);
    out.push_str(&paragraph(&format!(
        "What brings the film on the work below {} of {lead} in the worst hour of the settled week, and closes the loop.",
        show.rinse(unit::mg_per_l(limit))
    )));
    let working: Vec<&Row> = rows.iter().filter(|row| row.verified).collect();
    let shown = if all {
        working.len()
    } else {
        BEST.min(working.len())
    };
    let currency = scenario.prices.as_ref().and_then(|p| p.currency.as_deref());
    let table = working_table(&working[..shown], currency, show);
    let order = if working.first().is_some_and(|r| r.yearly_cost.is_some()) {
        "cheapest to run first (marked *)"
    } else {
        "least evaporation first (marked *)"
    };
    section(&format!("Layouts that work, {order}"), &table, &mut out);
    if working.is_empty() {
        out.push_str("\nNo layout works.\n");
    } else if shown < working.len() {
        out.push_str(&format!(
            "  {} more work; --all shows them\n",
            working.len() - shown
        ));
    }
    let stopped: Vec<&Row> = rows.iter().filter(|row| !row.verified).collect();
    if all {
        section(
            "Layouts that do not work",
            &stopped_table(&stopped, show),
            &mut out,
        );
    } else {
        section(
            &format!("{} layouts do not work", stopped.len()),
            &counted_table(&stopped),
            &mut out,
        );
    }
    section(
        "The line as it is closes, in the mean air of the year, with",
        &reach_table(as_it_is, show),
        &mut out,
    );
    out.push('\n');
    out.push_str(&paragraph(&format!(
        "A layout is what stands before, the number of counterflow rinses, and whether a free final rinse follows. Evaporation is that of the worst month, the surfaces credited. Each row is settled as it stands. Towers stand {} over the worst month, heaters {} over what they give at work. Heat is that of the holding tank, or of the bath where there is none; cost is running cost without equipment. {CAUTION}",
        show.percent(TOWER_RESERVE - 1.0),
        show.percent(HEATER_RESERVE - 1.0),
    )));
    out
}

/// How far the line as it is still closes.
fn reach_table(all: &[Reach], show: Show) -> Table {
    let mut table = Table::new(["", "is", "now"]).text(1);
    for reach in all {
        let is_outside = reach.path.starts_with("site.outside");
        let (name, word) = match reach.moved {
            Moved::Rinse => ("rinse water while work runs", "up to"),
            Moved::DragOut => ("drag-out, with rinse water in the same ratio", "up to"),
            Moved::SetPoint => ("set point of the tank that feeds the tower", "from"),
            Moved::AirHumidity if is_outside => ("humidity of the outside air", "up to"),
            Moved::AirHumidity => ("humidity of the room air", "up to"),
            Moved::AirTemperature if is_outside => ("outside air, as humid as it is", "up to"),
            Moved::AirTemperature => ("room air, as humid as it is", "up to"),
        };
        let told = |si: f64| show.si(reach.dim, Style::Default, si);
        let [low, high] = reach.looked_at_si;
        let at = match (reach.closes_at_si, reach.closes_now) {
            (Some(si), _) => format!("{word} {}", told(si)),
            (None, Some(true)) if word == "from" => format!("from {} or less", told(low)),
            (None, Some(true)) => format!("up to {} or more", told(high)),
            (None, Some(false)) => "at no value".to_owned(),
            (None, None) => NO_NUMBER.to_owned(),
        };
        table.push([name.to_owned(), at, told(reach.now_si)]);
    }
    table
}

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
        ClosedBy::BathTower => "bath",
        ClosedBy::HoldingTank => "holding",
    }
}

fn working_table(rows: &[&Row], currency: Option<&str>, show: Show) -> Table {
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
            format!("{mark}{}", short(row)),
            closed_by(row).to_owned(),
            flow(row.rinse_flow_l_per_h),
            row.recovered_fraction.map_or_else(none, percent_of_whole),
            flow(row.worst_month_l_per_h),
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

/// Each row with what stops it.
fn stopped_table(rows: &[&Row], show: Show) -> Table {
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
fn counted_table(rows: &[&Row]) -> Table {
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
