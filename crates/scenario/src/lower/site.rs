//! Calendars, air and water supplies.

use dragback_plant::calendar::{Calendar, DAY_S, WEEK_S};
use dragback_plant::climate::{Climate, MEAN_SLOT};
use dragback_plant::network::Supply;
use dragback_properties::air::{AirError, AirState, pressure_at_altitude_pa};
use dragback_properties::solution;

use super::builder::Builder;
use crate::check::ALWAYS;
use crate::problem::Problem;
use crate::schema::{self, AirMap, Clock, Days, Scenario, TowerAir};

/// Calendar of a device that is out of use.
pub const NEVER: &str = "out of use";

pub fn lower(builder: &mut Builder<'_>) {
    let scenario = builder.scenario;
    builder.net.calendars.push(Calendar::always(ALWAYS));
    let never = Calendar {
        name: NEVER.to_owned(),
        windows_s: vec![],
        shutdowns_s: vec![],
    };
    builder.net.calendars.push(never);
    for (key, calendar) in scenario.calendars.iter() {
        builder.net.calendars.push(self::calendar(key, calendar));
    }
    let site = &scenario.site;
    let room = climate(builder, "room", &site.room);
    let outside = climate(
        builder,
        "outside",
        site.outside.as_ref().unwrap_or(&site.room),
    );
    builder.net.climates.extend([room, outside]);
    for (key, water) in scenario.waters.iter() {
        let temp_c = water.temperature.quantity().celsius();
        let solutes = builder.in_order(water.solutes.iter().map(|(k, c)| (k, c.si())));
        let water_kg_per_m3 = solution::water_kg_per_m3(temp_c, &builder.species, &solutes);
        builder.net.supplies.push(Supply {
            name: key.to_owned(),
            temp_c,
            water_kg_per_m3,
            solute_kg_per_m3: solutes,
        });
    }
}

/// Share of the week for which a calendar is open.
pub fn open_share(scenario: &Scenario, key: &str) -> f64 {
    let found = scenario.calendars.get(key);
    found.map_or(1.0, |found| calendar(key, found).open_share())
}

/// The calendar that a scenario has under a key, `always` among them, as sorted windows of the week that do not overlap, s from Monday 00:00; `None` where it
/// has no such calendar.
#[must_use]
pub fn calendar_of(scenario: &Scenario, key: &str) -> Option<Calendar> {
    if key == ALWAYS {
        return Some(Calendar::always(ALWAYS));
    }
    Some(calendar(key, scenario.calendars.get(key)?))
}

/// A calendar as sorted windows of the week that do not overlap.
fn calendar(key: &str, calendar: &schema::Calendar) -> Calendar {
    let mut windows = Vec::new();
    add_windows(&mut windows, &calendar.days, &calendar.from, &calendar.to);
    for more in &calendar.more {
        add_windows(&mut windows, &more.days, &more.from, &more.to);
    }
    let mut shutdowns_s: Vec<(f64, f64)> = calendar
        .shutdowns
        .iter()
        .map(|s| (s.from_day.si(), s.to_day.si()))
        .collect();
    shutdowns_s.sort_by(|a, b| a.0.total_cmp(&b.0));
    Calendar {
        name: key.to_owned(),
        windows_s: merged(windows),
        shutdowns_s,
    }
}

/// Adds the windows of each open day; one that ends before it begins runs into the next day.
fn add_windows(windows: &mut Vec<(f64, f64)>, days: &Days, from: &Clock, to: &Clock) {
    let (from_s, mut to_s) = (from.seconds(), to.seconds());
    if to_s <= from_s {
        to_s += DAY_S;
    }
    for (day, is_open) in (0_u8..).zip(days.open()) {
        if !is_open {
            continue;
        }
        let start = f64::from(day) * DAY_S;
        let (open, shut) = (start + from_s, start + to_s);
        if shut <= WEEK_S {
            windows.push((open, shut));
        } else {
            if open < WEEK_S {
                windows.push((open, WEEK_S));
            }
            windows.push((0.0_f64.max(open - WEEK_S), shut - WEEK_S));
        }
    }
}

fn merged(mut windows: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    windows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut merged: Vec<(f64, f64)> = Vec::with_capacity(windows.len());
    for (open, shut) in windows {
        match merged.last_mut() {
            Some(last) if open <= last.1 => last.1 = last.1.max(shut),
            _ => merged.push((open, shut)),
        }
    }
    merged
}

/// The air of the coldest month, of the year's mean and of the hottest month, that a tower draws.
pub fn extreme_airs(scenario: &Scenario, air: TowerAir) -> Result<Vec<AirState>, AirError> {
    let site = &scenario.site;
    let air = match (air, &site.outside) {
        (TowerAir::Outside, Some(outside)) => outside,
        _ => &site.room,
    };
    let pressure_pa = pressure_at_altitude_pa(site.altitude.si());
    let state = |air: &schema::Air| {
        let temp_c = air.temperature.quantity().celsius();
        AirState::from_relative_humidity(temp_c, air.relative_humidity.si(), pressure_pa)
    };
    let mut months = air
        .states()
        .iter()
        .map(state)
        .collect::<Result<Vec<_>, _>>()?;
    months.sort_by(|a, b| a.temp_c.total_cmp(&b.temp_c));
    let all = Climate {
        name: String::new(),
        months,
        start_month: 0,
    };
    let mut airs = vec![all.air(MEAN_SLOT)];
    if !all.is_constant() {
        airs.extend(all.months.first().into_iter().chain(all.months.last()));
    }
    Ok(airs)
}

fn climate(builder: &mut Builder<'_>, name: &str, air: &AirMap) -> Climate {
    let pressure_pa = builder.net.pressure_pa;
    let mut months = Vec::with_capacity(12);
    for state in air.states() {
        let temp_c = state.temperature.quantity().celsius();
        match AirState::from_relative_humidity(temp_c, state.relative_humidity.si(), pressure_pa) {
            Ok(state) => months.push(state),
            Err(fault) => builder.problems.push(Problem::at(
                format!("site.{name}"),
                fault.to_string(),
                "correct temperature or humidity",
            )),
        }
    }
    if months.is_empty() {
        months.push(AirState {
            temp_c: 20.0,
            humidity_ratio: 0.007,
            pressure_pa,
        });
    }
    let start_month = builder.scenario.site.start_month as usize;
    Climate {
        name: name.to_owned(),
        months,
        start_month,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn windows(days: &str, from: &str, to: &str) -> Vec<(f64, f64)> {
        let mut list = Vec::new();
        let (days, from, to) = (
            Days::parse(days).unwrap(),
            Clock::parse(from).unwrap(),
            Clock::parse(to).unwrap(),
        );
        add_windows(&mut list, &days, &from, &to);
        merged(list)
    }

    #[test]
    fn a_window_past_midnight_runs_into_the_next_day_and_the_next_week() {
        assert_eq!(windows("Mon", "22:00", "06:00"), [(79_200.0, 108_000.0)]);
        assert_eq!(
            windows("Sun", "22:00", "06:00"),
            [(0.0, 21_600.0), (597_600.0, WEEK_S)]
        );
        assert_eq!(windows("every day", "00:00", "24:00"), [(0.0, WEEK_S)]);
        assert_eq!(windows("Sun", "24:00", "06:00"), [(0.0, 21_600.0)]);
    }
}
