//! Electricity: how much, how much of it in cheaper hours, and the highest demand.

use dragback_plant::calendar::{Calendar, WEEK_S};
use dragback_plant::ids::{DeviceId, HeatId};
use dragback_plant::network::HeatLaw;
use dragback_scenario::{Scenario, account};
use dragback_units::constants as unit;

use super::usage::is_fuel;
use crate::figures::Means;

/// A demand is the mean over at least so long, s: the quarter of an hour that utilities meter.
const DEMAND_S: f64 = 900.0;

/// Electricity of a year.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Electricity {
    /// In the hours of the usual rate, J.
    pub peak_j: f64,
    /// In the cheaper hours, J; none where the scenario has none.
    pub off_peak_j: f64,
    /// The highest demand, W.
    ///
    /// The settled week of averages knows heaters that regulate as means, so that it may be told too low where elements switch at the same time.
    pub highest_w: f64,
}

/// What takes electricity, as an accumulator and what a unit of it stands for in J.
struct Taker {
    entry: usize,
    factor: f64,
}

impl Electricity {
    /// Heaters, currents, feed pumps and fans of the settled week, as a year of such weeks.
    pub(super) fn of(means: &Means<'_>, scenario: &Scenario) -> Self {
        let takers = takers(means, scenario);
        let cheap = cheap_hours(means, scenario);
        let (mut peak_j, mut off_peak_j, mut highest_w) = (0.0, 0.0, 0.0_f64);
        let (mut spell_j, mut spell_s) = (0.0, 0.0);
        for i in means.intervals() {
            let joules: f64 = takers
                .iter()
                .map(|t| t.factor * means.gained(t.entry, i))
                .sum();
            let (from, to) = (means.trace.times_s()[i - 1], means.trace.times_s()[i]);
            let share = cheap.map_or(0.0, |c| open_share(c, from, to));
            off_peak_j += share * joules;
            peak_j += (1.0 - share) * joules;
            spell_j += joules;
            spell_s += to - from;
            if spell_s >= DEMAND_S {
                highest_w = highest_w.max(spell_j / spell_s);
                (spell_j, spell_s) = (0.0, 0.0);
            }
        }
        let years = unit::SECONDS_PER_YEAR / means.span_s;
        Self {
            peak_j: peak_j * years,
            off_peak_j: off_peak_j * years,
            highest_w,
        }
    }
}

/// The calendar of the cheaper hours.
fn cheap_hours<'p>(means: &Means<'p>, scenario: &Scenario) -> Option<&'p Calendar> {
    let electricity = scenario.prices.as_ref()?.electricity.as_ref()?;
    let key = electricity.off_peak_calendar.as_deref()?;
    let mut all = means.plant.network().calendars.iter();
    all.find(|c| c.name == key)
}

/// Share of a stretch of time in which a calendar is open, 0 to 1.
fn open_share(calendar: &Calendar, from_s: f64, to_s: f64) -> f64 {
    let mut open_s = 0.0;
    let mut at = from_s;
    while at < to_s {
        let next = calendar.next_change_s(at).min(to_s).min(at + WEEK_S);
        if calendar.is_open(at) {
            open_s += next - at;
        }
        at = next;
    }
    open_s / (to_s - from_s)
}

fn takers(means: &Means<'_>, scenario: &Scenario) -> Vec<Taker> {
    let (net, layout) = (means.plant.network(), means.plant.layout());
    let name = |a: dragback_plant::ids::AccountId| net.accounts[a.index()].name.as_str();
    let mut takers = Vec::new();
    for (h, heat) in net.heats.iter().enumerate() {
        let line = name(heat.account);
        let is_electric = match heat.law {
            HeatLaw::Power { .. } => {
                [account::HEATERS.0, account::PUMPS.0, account::RECTIFIER.0].contains(&line)
            }
            HeatLaw::Hold { .. } => !is_fuel(&heat.law, scenario),
            _ => false,
        };
        let entry = layout.delivered(HeatId(h));
        if is_electric && line != account::RECTIFIER.0 {
            takers.push(Taker { entry, factor: 1.0 });
        }
    }
    // A current takes its whole voltage, also what is stored as chemical energy.
    for (key, line) in scenario.loops.iter() {
        let Some(rectifier) = &line.bath.rectifier else {
            continue;
        };
        let path = format!("{key}.bath.rectifier");
        if let Some(device) = device(means, &path) {
            let factor = rectifier.current.si() * rectifier.voltage.si();
            let entry = layout.ran(device);
            takers.push(Taker { entry, factor });
        }
    }
    for (key, line) in scenario.loops.iter() {
        for (tower, unit) in line.towers.iter() {
            // Its blower goes with the pump, whose time the averaged driver counts.
            let path = format!("{key}.towers.{tower}.pump");
            if let Some(device) = device(means, &path) {
                let (entry, factor) = (layout.ran(device), unit.fan_power.si());
                takers.push(Taker { entry, factor });
            }
        }
    }
    takers
}

/// A device by its path.
fn device(means: &Means<'_>, path: &str) -> Option<DeviceId> {
    let all = &means.plant.network().devices;
    all.iter().position(|d| d.name == path).map(DeviceId)
}
