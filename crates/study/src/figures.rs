//! The figures of a stretch of time, from its accumulators and its moments.

use std::collections::BTreeMap;

use dragback_plant::Plant;
use dragback_plant::climate::AirChoice;
use dragback_plant::ids::{DeviceId, SoluteId, TransferId, VesselId};
use dragback_plant::ledger::Ledger;
use dragback_plant::network::{End, LoopRoles};
use dragback_run::clock::Clock;
use dragback_run::{Alarm, Trace};
use dragback_scenario::{Control, Scenario};
use dragback_units::constants as unit;

use crate::alarms::alarm_answers;
use crate::answers::{
    Answers, BathAnswer, FinalRinse, LoopAnswer, LossAnswer, Stores, StreamAnswer, VesselAnswer,
};
use crate::books::books;
use crate::losses::lost_entries;
use crate::names::{air_name, hours_name};
use crate::refined::doubts;
use crate::solutes::{metal_fraction, solutes};
use crate::trust::{Doubt, doubt};
use crate::worth::Worth;

/// Density at which evaporated kilograms are told as litres: pure water at 20 °C, kg/m³.
pub(crate) const TOLD_KG_PER_M3: f64 = 998.2;

/// Reads means from a trace.
pub(crate) struct Means<'a> {
    pub plant: &'a Plant,
    pub trace: &'a Trace,
    first: usize,
    last: usize,
    pub span_s: f64,
}

impl<'a> Means<'a> {
    pub(crate) fn new(plant: &'a Plant, trace: &'a Trace) -> Self {
        let last = trace.len().saturating_sub(1);
        Self::between(plant, trace, 0, last)
    }

    pub(crate) fn between(plant: &'a Plant, trace: &'a Trace, first: usize, last: usize) -> Self {
        let span_s = trace.times_s()[last] - trace.times_s()[first];
        Self {
            plant,
            trace,
            first,
            last,
            span_s,
        }
    }

    /// Mean rate of an accumulator, per second; zero for an empty span.
    pub(crate) fn rate(&self, entry: usize) -> f64 {
        self.trace.rate(entry, self.first, self.last).unwrap_or(0.0)
    }

    /// Mean flow of streams, m³/s.
    pub(crate) fn flow(&self, transfers: &[TransferId]) -> f64 {
        transfers
            .iter()
            .map(|&t| self.rate(self.plant.layout().moved(t)))
            .sum()
    }

    /// Mean rate of a solute through metered streams, kg/s.
    pub(crate) fn carried(&self, transfers: &[TransferId], s: SoluteId) -> f64 {
        let layout = self.plant.layout();
        let meters = transfers.iter().filter_map(|&t| layout.meter(t));
        meters.map(|m| self.rate(m + layout.solute(s))).sum()
    }

    /// Time-weighted mean of what `read` finds in each moment for which `counts` holds over the interval before it.
    pub(crate) fn mean_where(
        &self,
        counts: impl Fn(usize) -> bool,
        mut read: impl FnMut(&[f64]) -> f64,
    ) -> Option<f64> {
        let times = self.trace.times_s();
        let (mut sum, mut weight) = (0.0, 0.0);
        for i in self.first + 1..=self.last {
            if counts(i) {
                let dt = times[i] - times[i - 1];
                sum += 0.5 * dt * (read(self.trace.row(i - 1)) + read(self.trace.row(i)));
                weight += dt;
            }
        }
        (weight > 0.0).then(|| sum / weight)
    }

    pub(crate) fn mean(&self, read: impl FnMut(&[f64]) -> f64) -> f64 {
        self.mean_where(|_| true, read).unwrap_or(f64::NAN)
    }

    /// The recorded moments.
    pub(crate) fn rows(&self) -> impl Iterator<Item = &'a [f64]> {
        (self.first..=self.last).map(|i| self.trace.row(i))
    }

    /// Moments that end an interval.
    pub(crate) fn intervals(&self) -> std::ops::RangeInclusive<usize> {
        self.first + 1..=self.last
    }

    /// Length of the interval before moment `i`, s.
    pub(crate) fn seconds(&self, i: usize) -> f64 {
        self.trace.times_s()[i] - self.trace.times_s()[i - 1]
    }

    /// What an accumulator gained over the interval before moment `i`.
    pub(crate) fn gained(&self, entry: usize, i: usize) -> f64 {
        self.trace.row(i)[entry] - self.trace.row(i - 1)[entry]
    }

    /// Whether an accumulator rose over the interval before moment `i`.
    pub(crate) fn rose(&self, entry: usize, i: usize) -> bool {
        self.gained(entry, i) > 0.0
    }

    /// Mean share of time that a device ran.
    pub(crate) fn ran(&self, d: DeviceId) -> f64 {
        self.rate(self.plant.layout().ran(d))
    }

    /// A tank, its means over the span.
    pub(crate) fn vessel(&self, v: VesselId, air: AirChoice) -> VesselAnswer {
        let plant = self.plant;
        let net = plant.network();
        let vessel = &net.vessels[v.index()];
        let doubt = self.doubt(v);
        let means = net.solutes.iter().enumerate().map(|(s, solute)| {
            let mean = self.mean(|y| plant.concentration(v, SoluteId(s), y).unwrap_or(0.0));
            let is_doubted = doubt.as_ref().is_some_and(|d| d.concerns(SoluteId(s)));
            let told = if is_doubted { f64::NAN } else { mean };
            (solute.name.clone(), told)
        });
        let concentration_g_per_l: BTreeMap<String, f64> = means.collect();
        let conductivity = self.mean(|y| plant.conductivity_s_per_m(v, y));
        VesselAnswer {
            name: vessel.name.clone(),
            volume_l: unit::litres(self.mean(|y| plant.holdup(v, y).0)),
            level_m: self.mean(|y| vessel.shape.level_m(plant.holdup(v, y).0)),
            temperature_c: self.mean(|y| plant.holdup(v, y).1),
            dissolved_solids_g_per_l: concentration_g_per_l.values().sum(),
            concentration_g_per_l,
            conductivity_us_per_cm: match doubt {
                Some(_) => f64::NAN,
                None => unit::us_per_cm(conductivity),
            },
            nearest_salt: self.nearest_salt(v, air),
            not_shown: doubt.map(|d| d.why),
        }
    }

    /// What cannot be trusted of a tank's mean strengths: that of its mean contents.
    fn doubt(&self, v: VesselId) -> Option<Doubt> {
        let layout = self.plant.layout();
        let mut y = self.trace.row(self.last).to_vec();
        let start = layout.vessel(v);
        for place in start..start + layout.block_len() {
            let mean = self.mean(|row| row[place]);
            if mean.is_finite() {
                y[place] = mean;
            }
        }
        doubt(self.plant, v, &y)
    }

    fn stream(&self, t: TransferId) -> StreamAnswer {
        let net = self.plant.network();
        let transfer = &net.transfers[t.index()];
        let end = |end: End| match end {
            End::Vessel(v) => net.vessels[v.index()].name.clone(),
            End::Supply(s, _) => net.supplies[s.index()].name.clone(),
            End::Account(a) => net.accounts[a.index()].name.clone(),
        };
        StreamAnswer {
            name: transfer.name.clone(),
            from: end(transfer.from),
            to: end(transfer.to),
            mean_flow_l_per_h: unit::l_per_h(self.flow(&[t])),
        }
    }

    /// Mean evaporation of a loop's towers, kg/s.
    pub(crate) fn tower_kg_per_s(&self, roles: &LoopRoles) -> f64 {
        roles
            .towers
            .iter()
            .map(|&t| self.rate(self.plant.layout().tower_water(t)))
            .sum()
    }

    /// Mean evaporation of a loop's surfaces, kg/s.
    pub(crate) fn surface_kg_per_s(&self, roles: &LoopRoles) -> f64 {
        roles
            .vessels
            .iter()
            .map(|&v| self.rate(self.plant.layout().surface_water(v)))
            .sum()
    }

    fn lost_kg_per_s(&self, roles: &LoopRoles, s: SoluteId) -> f64 {
        let entries = lost_entries(self.plant, roles, s);
        entries.into_iter().map(|(_, e)| self.rate(e)).sum()
    }

    /// What a loop loses of its lead solute by each way.
    fn lost_by_way(&self, roles: &LoopRoles) -> Vec<LossAnswer> {
        let mut ways: Vec<LossAnswer> = Vec::new();
        for (way, entry) in lost_entries(self.plant, roles, roles.lead) {
            let kg_per_day = self.rate(entry) * unit::SECONDS_PER_DAY;
            match ways.iter_mut().find(|w| w.way == way) {
                Some(known) => known.kg_per_day += kg_per_day,
                None => ways.push(LossAnswer { way, kg_per_day }),
            }
        }
        ways
    }

    fn final_rinse(&self, roles: &LoopRoles) -> FinalRinse {
        let plant = self.plant;
        let layout = plant.layout();
        let lead = roles.lead;
        let station = roles.last_film.station;
        let moved: f64 = self.flow(&roles.lost_on_work);
        let works = |i: usize| {
            roles
                .drag_out
                .iter()
                .any(|&t| self.rose(layout.moved(t), i))
        };
        let carried = self.carried(&roles.lost_on_work, lead);
        let film = if moved > 0.0 {
            trusted_film(carried / moved)
        } else {
            f64::NAN
        };
        // Where no work runs, or no film is left on it, the mean of all hours stands for the hours of work.
        let mean = |read: &dyn Fn(&[f64]) -> f64| {
            self.mean_where(works, read)
                .unwrap_or_else(|| self.mean(read))
        };
        // Film that leaves as strong as its tank is the better mean of it: streams are counted exactly, moments are not.
        let takes_tank =
            |&t: &TransferId| plant.network().transfers[t.index()].from == End::Vessel(station);
        let tank = if film.is_finite() && roles.lost_on_work.iter().all(takes_tank) {
            film
        } else {
            mean(&|y| plant.concentration(station, lead, y).unwrap_or(0.0))
        };
        let bath = mean(&|y| plant.concentration(roles.bath, lead, y).unwrap_or(0.0));
        let conductivity = mean(&|y| plant.conductivity_s_per_m(station, y));
        let dissolved = mean(&|y| self.dissolved_kg_per_m3(station, y));
        // A strength that cannot be is none, and neither is a ratio to it.
        let (of_station, of_bath) = (self.doubt(station), self.doubt(roles.bath));
        let trusted = |doubt: &Option<Doubt>, value: f64| match doubt {
            Some(d) if d.concerns(lead) => f64::NAN,
            _ => value,
        };
        let (film, tank) = (trusted(&of_station, film), trusted(&of_station, tank));
        let bath = trusted(&of_bath, bath);
        let whole = |value: f64| match of_station {
            Some(_) => f64::NAN,
            None => value,
        };
        FinalRinse {
            vessel: plant.network().vessels[station.index()].name.clone(),
            species: plant.network().solutes[lead.index()].name.clone(),
            tank_mg_per_l: unit::mg_per_l(tank),
            film_mg_per_l: unit::mg_per_l(film),
            bath_mg_per_l: unit::mg_per_l(bath),
            carried_mg_per_h: unit::mg_per_l(carried) * unit::l_per_h(1.0),
            film_l_per_h: unit::l_per_h(moved),
            dilution_ratio: bath / film,
            limit_mg_per_l: roles.final_limit_kg_per_m3.map(unit::mg_per_l),
            passed_limit_on_day: None,
            dissolved_solids_mg_per_l: whole(unit::mg_per_l(dissolved)),
            conductivity_us_per_cm: whole(unit::us_per_cm(conductivity)),
        }
    }

    /// The bath of a loop.
    pub(crate) fn bath(&self, roles: &LoopRoles, scenario: &Scenario) -> BathAnswer {
        let (plant, lead) = (self.plant, roles.lead);
        let strength = |y: &[f64]| plant.concentration(roles.bath, lead, y);
        let is_doubted = self.doubt(roles.bath).is_some_and(|d| d.concerns(lead));
        let mean = self.mean(|y| strength(y).unwrap_or(0.0));
        let line = scenario.loops.get(&roles.name);
        BathAnswer {
            lead_g_per_l: if is_doubted { f64::NAN } else { mean },
            lead_at_start_g_per_l: strength(&plant.initial()).unwrap_or(0.0),
            temperature_c: self.mean(|y| plant.holdup(roles.bath, y).1),
            set_point_c: line.map_or(f64::NAN, |l| l.bath.set_point.quantity().celsius()),
        }
    }

    /// What goes to treatment over the brim of the collection tank, m³/s.
    fn over_brim(&self, roles: &LoopRoles) -> f64 {
        let all = &self.plant.network().transfers;
        let from_collection = |t: &&TransferId| {
            let from = all[t.index()].from;
            roles.collection.is_some_and(|c| from == End::Vessel(c))
        };
        let over_brim = roles.to_treatment.iter().filter(from_collection).copied();
        self.flow(&over_brim.collect::<Vec<_>>())
    }

    pub(crate) fn loop_answer(
        &self,
        roles: &LoopRoles,
        scenario: &Scenario,
        air: AirChoice,
    ) -> LoopAnswer {
        let plant = self.plant;
        let net = plant.network();
        let layout = plant.layout();
        let by_solute = |read: &dyn Fn(SoluteId) -> f64| -> BTreeMap<String, f64> {
            let all = net.solutes.iter().enumerate();
            all.map(|(s, x)| (x.name.clone(), read(SoluteId(s)) * unit::SECONDS_PER_DAY))
                .collect()
        };
        let dragged =
            self.carried(&roles.drag_out, roles.lead) - self.carried(&roles.drag_in, roles.lead);
        let lost = self.lost_kg_per_s(roles, roles.lead);
        let heating = self.heating(roles);
        let share = |d: DeviceId| self.ran(d);
        let tower_share = roles
            .towers
            .iter()
            .map(|t| share(net.towers[t.index()].pump))
            .fold(0.0, f64::max);
        let evaporates = |i: usize| {
            roles
                .towers
                .iter()
                .any(|&t| self.rose(layout.tower_heat(t), i))
        };
        let lead = &net.solutes[roles.lead.index()].name;
        let metal_fraction = metal_fraction(scenario, lead);
        let feeder = roles.towers.first().map(|t| net.towers[t.index()].vessel);
        let lost_kg_per_day = by_solute(&|s| self.lost_kg_per_s(roles, s));
        let bath = self.bath(roles, scenario);
        LoopAnswer {
            name: roles.name.clone(),
            tanks: loop_tanks(self.plant, roles),
            lost_worth: Worth::of_losses(scenario, &lost_kg_per_day).filter(|_| !bath.runs_down()),
            bath,
            final_rinse: self.final_rinse(roles),
            drag_out_l_per_h: unit::l_per_h(self.flow(&roles.drag_out)),
            lost_by_way: self.lost_by_way(roles),
            lost_kg_per_day,
            returned_kg_per_day: by_solute(&|s| {
                self.carried(&roles.returns, s) - self.carried(&roles.withdrawals, s)
            }),
            recovered_fraction: if dragged > 0.0 {
                1.0 - lost / dragged
            } else {
                f64::NAN
            },
            evaporation_l_per_h: told_l_per_h(self.tower_kg_per_s(roles)),
            surface_evaporation_l_per_h: told_l_per_h(self.surface_kg_per_s(roles)),
            heater_mean_kw: unit::kilowatts(heating.mean_w),
            bath_heater_mean_kw: (roles.bath_heaters_apart().next().is_some())
                .then(|| unit::kilowatts(self.mean_heat_w(roles.bath_heaters_apart()))),
            // Not below zero where there is none: an empty sum is.
            bath_cooler_mean_kw: 0.0
                - unit::kilowatts(self.mean_heat_w(roles.bath_coolers.iter().copied())),
            heater_duty: heating.duty,
            heater_at_work_kw: unit::kilowatts(heating.given_w),
            heater_hardest: roles.holding.is_none().then_some(heating.hardest),
            tower_share,
            evaporation_temperature_c: feeder
                .and_then(|v| self.mean_where(evaporates, |y| plant.holdup(v, y).1)),
            thermostat_c: feeder.and_then(|v| thermostat_c(roles, v, scenario)),
            stacks: self.stacks(roles, air, metal_fraction),
            closure_margin_l_per_h: None,
            storage_needed_l: None,
            stores: Stores {
                collection: roles.collection.is_some(),
                holding: roles.holding.is_some(),
            },
            to_treatment_l_per_h: unit::l_per_h(self.flow(&roles.to_treatment)),
            over_brim_l_per_h: unit::l_per_h(self.over_brim(roles)),
            rinse_feed_l_per_h: unit::l_per_h(self.flow(&roles.rinse_feed)),
            make_up_l_per_h: unit::l_per_h(self.flow(&roles.make_up)),
            days_to_settle: None,
            days_to_settle_not_shown: None,
            first_limit: None,
        }
    }
}

/// What the thermostat of the tank that feeds the towers keeps, °C.
fn thermostat_c(roles: &LoopRoles, feeder: VesselId, scenario: &Scenario) -> Option<f64> {
    let line = scenario.loops.get(&roles.name)?;
    if feeder == roles.bath {
        return Some(line.bath.set_point.quantity().celsius());
    }
    let holding = line
        .holding_tank
        .as_ref()
        .filter(|_| Some(feeder) == roles.holding)?;
    let band_k = match holding.control {
        Control::OnOff => 0.0,
        Control::Proportional => holding.dead_band.si(),
    };
    Some(holding.set_point.quantity().celsius() - band_k)
}

/// Strength of a film in kg/m³, where it is one: less than this is the dust of the solver, and no ratio stands on it.
fn trusted_film(kg_per_m3: f64) -> f64 {
    const LEAST_KG_PER_M3: f64 = 1.0e-9;
    if kg_per_m3 < LEAST_KG_PER_M3 {
        f64::NAN
    } else {
        kg_per_m3
    }
}

/// Kilograms of evaporated water per second told as a flow of water at 20 °C, m³/s.
#[must_use]
pub fn told_m3_per_s(kg_per_s: f64) -> f64 {
    kg_per_s / TOLD_KG_PER_M3
}

/// The same, L/h.
#[must_use]
pub fn told_l_per_h(kg_per_s: f64) -> f64 {
    unit::l_per_h(told_m3_per_s(kg_per_s))
}

/// What the answers of a stretch of time say besides its figures.
pub(crate) struct About<'a> {
    /// `settled`, `preview` or `exact`.
    pub driver: &'a str,
    /// Hours and air in which it ran.
    pub clock: Clock,
    /// The scenario.
    pub scenario: &'a Scenario,
}

/// Everything that a stretch of time says of itself.
pub(crate) fn answers(
    means: &Means<'_>,
    about: &About<'_>,
    ledger: &Ledger,
    alarms: &[Alarm],
) -> Answers {
    let net = means.plant.network();
    let loops: Vec<LoopAnswer> = net
        .loops
        .iter()
        .map(|roles| means.loop_answer(roles, about.scenario, about.clock.air))
        .collect();
    let doubts = if about.driver == "exact" {
        Vec::new()
    } else {
        doubts(means, about.scenario, about.clock.hours, (&loops, alarms))
    };
    Answers {
        scenario: net.title.clone(),
        driver: about.driver.to_owned(),
        air: air_name(about.clock.air).to_owned(),
        hours: hours_name(about.clock.hours).to_owned(),
        refined: doubts.is_empty(),
        doubts,
        span_h: unit::hours(means.span_s),
        solutes: solutes(net, about.scenario),
        vessels: (0..net.vessels.len())
            .map(|v| means.vessel(VesselId(v), about.clock.air))
            .collect(),
        streams: (0..net.transfers.len())
            .map(|t| means.stream(TransferId(t)))
            .collect(),
        loops,
        events: Vec::new(),
        impurities: Vec::new(),
        precipitation: Vec::new(),
        alarms: alarm_answers(net, alarms),
        ledger: books(means.plant, ledger),
    }
}

/// Names of the tanks of a loop.
pub(crate) fn loop_tanks(plant: &Plant, roles: &LoopRoles) -> Vec<String> {
    let vessels = &plant.network().vessels;
    let tanks = roles.vessels.iter();
    tanks.map(|v| vessels[v.index()].name.clone()).collect()
}
