//! Electricity: what takes it over the settled week, and what a tariff makes of that.

use dragback_plant::calendar::{Calendar, WEEK_S};
use dragback_plant::ids::{DeviceId, HeatId};
use dragback_plant::network::HeatLaw;
use dragback_scenario::{HeatFrom, Prices, Scenario, account, calendar_of};
use dragback_units::constants as unit;

use crate::figures::Means;

/// A demand is the mean over at least so long, s: the quarter of an hour that utilities meter.
const DEMAND_S: f64 = 900.0;

/// What takes electricity, or could take it, over the settled week, stretch by stretch: what a tariff needs to be known.
///
/// Whether heaters of baths are electric, which hours are cheaper and what the highest demand is, are said by the prices that count, which need not be those
/// of the line itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Load {
    stretches: Vec<Stretch>,
}

/// A stretch of the settled week, at most some hours long.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stretch {
    /// When it begins and ends, s.
    from_s: f64,
    to_s: f64,
    /// What tanks' heaters, currents, pumps and fans take in it, J.
    plain_j: f64,
    /// What heaters that hold baths give in it, J.
    baths_j: f64,
}

/// Electricity of a year by a tariff.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Electricity {
    /// In the hours of the usual rate, J.
    pub peak_j: f64,
    /// In the cheaper hours, J; none where the tariff has none.
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

impl Load {
    /// Heaters, currents, feed pumps and fans of the settled week.
    pub(super) fn of(means: &Means<'_>, scenario: &Scenario) -> Self {
        let (plain, baths) = takers(means, scenario);
        let times_s = means.trace.times_s();
        let stretches = means.intervals().map(|i| {
            let gained = |takers: &[Taker]| {
                let each = takers.iter();
                each.map(|t| t.factor * means.gained(t.entry, i)).sum()
            };
            Stretch {
                from_s: times_s[i - 1],
                to_s: times_s[i],
                plain_j: gained(&plain),
                baths_j: gained(&baths),
            }
        });
        Self {
            stretches: stretches.collect(),
        }
    }

    /// The length of the settled week, s.
    fn span_s(&self) -> f64 {
        self.stretches.iter().map(|s| s.to_s - s.from_s).sum()
    }

    /// What the heaters of baths give in a year of such weeks, J.
    #[must_use]
    pub fn bath_heat_j(&self) -> f64 {
        let each = self.stretches.iter().map(|s| s.baths_j);
        each.sum::<f64>() * self.years()
    }

    /// How often the week goes into a year.
    fn years(&self) -> f64 {
        let span_s = self.span_s();
        if span_s > 0.0 {
            unit::SECONDS_PER_YEAR / span_s
        } else {
            0.0
        }
    }

    /// What the prices of a scenario, with the calendar that they name, make of it, as a year of such weeks.
    #[must_use]
    pub fn billed(&self, market: &Scenario) -> Electricity {
        let cheap = cheap_hours(market);
        let is_fuel = heats_baths_by_fuel(market.prices.as_ref());
        let (mut peak_j, mut off_peak_j, mut highest_w) = (0.0, 0.0, 0.0_f64);
        let (mut spell_j, mut spell_s) = (0.0, 0.0);
        for stretch in &self.stretches {
            let baths_j = if is_fuel { 0.0 } else { stretch.baths_j };
            let joules = stretch.plain_j + baths_j;
            let (from, to) = (stretch.from_s, stretch.to_s);
            let share = cheap.as_ref().map_or(0.0, |c| open_share(c, from, to));
            off_peak_j += share * joules;
            peak_j += (1.0 - share) * joules;
            spell_j += joules;
            spell_s += to - from;
            if spell_s >= DEMAND_S {
                highest_w = highest_w.max(spell_j / spell_s);
                (spell_j, spell_s) = (0.0, 0.0);
            }
        }
        let years = self.years();
        Electricity {
            peak_j: peak_j * years,
            off_peak_j: off_peak_j * years,
            highest_w,
        }
    }
}

/// Whether prices say that a boiler heats the baths.
pub(super) fn heats_baths_by_fuel(prices: Option<&Prices>) -> bool {
    prices.is_some_and(|p| p.bath_heat == HeatFrom::Fuel)
}

/// The calendar of the cheaper hours.
fn cheap_hours(market: &Scenario) -> Option<Calendar> {
    let electricity = market.prices.as_ref()?.electricity.as_ref()?;
    calendar_of(market, electricity.off_peak_calendar.as_deref()?)
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

/// What takes electricity whatever the prices say, and the heaters that hold baths.
fn takers(means: &Means<'_>, scenario: &Scenario) -> (Vec<Taker>, Vec<Taker>) {
    let (net, layout) = (means.plant.network(), means.plant.layout());
    let name = |a: dragback_plant::ids::AccountId| net.accounts[a.index()].name.as_str();
    let (mut takers, mut baths) = (Vec::new(), Vec::new());
    for (h, heat) in net.heats.iter().enumerate() {
        let line = name(heat.account);
        let entry = layout.delivered(HeatId(h));
        let taker = Taker { entry, factor: 1.0 };
        match heat.law {
            HeatLaw::Power { .. } if [account::HEATERS.0, account::PUMPS.0].contains(&line) => {
                takers.push(taker);
            }
            HeatLaw::Hold { .. } if line != account::RECTIFIER.0 => baths.push(taker),
            _ => {}
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
    (takers, baths)
}

/// A device by its path.
fn device(means: &Means<'_>, path: &str) -> Option<DeviceId> {
    let all = &means.plant.network().devices;
    all.iter().position(|d| d.name == path).map(DeviceId)
}
