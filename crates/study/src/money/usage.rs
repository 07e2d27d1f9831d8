//! What a year of the settled week takes in and sends away.

use std::collections::BTreeMap;

use dragback_plant::Plant;
use dragback_plant::climate::AirChoice;
use dragback_plant::ids::{AccountId, ClimateId, HeatId, SoluteId, TowerId, TransferId};
use dragback_plant::network::{End, HeatLaw, Law};
use dragback_properties::air::enthalpy_j_per_kg_da;
use dragback_properties::tower::FanPosition;
use dragback_properties::treatment::{Demand, demand};
use dragback_run::Trace;
use dragback_scenario::{Scenario, account, species_of};
use dragback_units::constants as unit;
use serde::Serialize;

use super::bought::chemicals_kg_per_s;
use super::power::{Electricity, Load, heats_baths_by_fuel};
use crate::answers::LoopAnswer;
use crate::balance::is_clean;
use crate::figures::{Means, TOLD_KG_PER_M3};

/// Months of a year.
const MONTHS: usize = 12;

/// Heat that warms the outdoor air which replaces what towers draw from the hall.
#[derive(Clone, Debug, PartialEq)]
pub enum WarmAir {
    /// No tower draws air from the hall.
    None,
    /// The scenario does not tell the air outdoors.
    Unknown,
    /// So much in a year, J.
    Joules(f64),
}

/// Amounts of a year of the settled week, SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Usage {
    /// Chemicals bought for the baths, kg, by salt or species as bought.
    pub chemicals_kg: BTreeMap<String, f64>,
    /// Metal that anodes give, kg, by species.
    pub anodes_kg: BTreeMap<String, f64>,
    /// Water taken in, m³, by its key.
    pub waters_m3: BTreeMap<String, f64>,
    /// Liquid to treatment, over brims and bled, m³.
    pub treated_m3: f64,
    /// What is dissolved in it, kg, by solute.
    pub treated_kg: BTreeMap<String, f64>,
    /// What treating it takes and leaves by stoichiometry, kg.
    pub treatment: Demand,
    /// What takes electricity, or could take it, over the settled week.
    pub load: Load,
    /// Heat that a boiler gives to coils, J.
    pub coil_heat_j: f64,
    /// Heat for the air that towers draw from the hall.
    pub warm_air: WarmAir,
    /// Heat that coolers take out of baths, J.
    pub cooling_j: f64,
    /// Water evaporated by towers, m³ as pure water at 20 °C.
    pub evaporated_m3: f64,
    /// Lead solutes that come back to their baths, kg, by species.
    pub returned_kg: BTreeMap<String, f64>,
    /// Loops whose bath nothing restores, so that it runs down: what they use then says nothing of the line.
    pub run_down: Vec<String>,
    /// Loops whose work leaves with a film above its limit.
    pub too_strong: Vec<TooStrong>,
}

/// A film on the work that is above its limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TooStrong {
    /// Key of the loop.
    #[serde(rename = "loop")]
    pub line: String,
    /// Its strength in the last film, of the lead solute, mg/L.
    pub film_mg_per_l: f64,
    /// Its limit, mg/L.
    pub limit_mg_per_l: f64,
}

/// The film of a loop, where it is above its limit.
fn too_strong(line: &LoopAnswer) -> Option<TooStrong> {
    let limit_mg_per_l = line.final_rinse.limit_mg_per_l?;
    (!is_clean(line)).then(|| TooStrong {
        line: line.name.clone(),
        film_mg_per_l: line.final_rinse.film_mg_per_l,
        limit_mg_per_l,
    })
}

impl Usage {
    /// The amounts of a settled week of a plant made from a scenario, found in the air given, as a year of such weeks.
    #[must_use]
    pub fn of(plant: &Plant, scenario: &Scenario, week: &Trace, air: AirChoice) -> Self {
        let means = Means::new(plant, week);
        let net = plant.network();
        let yearly = |per_s: f64| per_s * unit::SECONDS_PER_YEAR;
        let (treated_m3, treated_kg) = treated(&means);
        let mut treatment = Demand::default();
        for (solute, kg) in &treated_kg {
            let each = species_of(scenario, solute).map_or_else(Demand::default, |s| demand(&s));
            treatment.caustic += kg * each.caustic;
            treatment.bisulfite += kg * each.bisulfite;
            treatment.acid += kg * each.acid;
            treatment.hydroxide += kg * each.hydroxide;
        }
        let (coils_w, cooling_w) = coils_and_cooling(&means);
        let loops = || net.loops.iter();
        let spent = loops().filter(|roles| means.bath(roles, scenario).runs_down());
        let run_down = spent.map(|roles| roles.name.clone()).collect();
        Self {
            chemicals_kg: mapped(chemicals_kg_per_s(&means, scenario), yearly),
            anodes_kg: mapped(came_in(&means, account::ANODES.0), yearly),
            waters_m3: mapped(waters(&means, scenario), yearly),
            treated_m3,
            treated_kg,
            treatment,
            load: Load::of(&means, scenario),
            coil_heat_j: yearly(coils_w),
            warm_air: warm_air(&means, scenario, air),
            cooling_j: yearly(cooling_w),
            evaporated_m3: yearly(loops().map(|r| means.tower_kg_per_s(r)).sum::<f64>())
                / TOLD_KG_PER_M3,
            returned_kg: {
                let each = loops().map(|r| {
                    let back = means.carried(&r.returns, r.lead);
                    let out = means.carried(&r.withdrawals, r.lead);
                    (net.solutes[r.lead.index()].name.clone(), yearly(back - out))
                });
                summed(each)
            },
            run_down,
            too_strong: loops()
                .filter_map(|roles| too_strong(&means.loop_answer(roles, scenario, air)))
                .collect(),
        }
    }

    /// Electricity of a year by the tariff of a market, which says too what heats the baths.
    #[must_use]
    pub fn electricity(&self, market: &Scenario) -> Electricity {
        self.load.billed(market)
    }

    /// Heat that a boiler gives in a year, J: to coils, and to baths where the prices of the market say so.
    #[must_use]
    pub fn fuel_heat_j(&self, market: &Scenario) -> f64 {
        if heats_baths_by_fuel(market.prices.as_ref()) {
            self.coil_heat_j + self.load.bath_heat_j()
        } else {
            self.coil_heat_j
        }
    }
}

/// Sums what stands under one name.
pub(super) fn summed(each: impl IntoIterator<Item = (String, f64)>) -> BTreeMap<String, f64> {
    let mut all = BTreeMap::new();
    for (name, amount) in each {
        *all.entry(name).or_insert(0.0) += amount;
    }
    all
}

fn mapped(all: BTreeMap<String, f64>, f: impl Fn(f64) -> f64) -> BTreeMap<String, f64> {
    all.into_iter().map(|(name, x)| (name, f(x))).collect()
}

/// What came in of each solute on the ledger lines of a name, kg/s.
fn came_in(means: &Means<'_>, line: &str) -> BTreeMap<String, f64> {
    let (net, layout) = (means.plant.network(), means.plant.layout());
    let accounts = net.accounts.iter().enumerate();
    let lines = accounts.filter(|(_, a)| a.name == line).map(|(i, _)| i);
    let each = lines.flat_map(|a| {
        let solutes = net.solutes.iter().enumerate();
        solutes.map(move |(s, solute)| {
            let entry = layout.account(AccountId(a)) + layout.solute(SoluteId(s));
            (solute.name.clone(), entry)
        })
    });
    // A ledger line that gives to the plant runs below zero.
    let each = each.map(|(name, entry)| (name, -means.rate(entry)));
    summed(each.filter(|(_, kg)| *kg > 0.0))
}

/// Water taken in, m³/s, by key. What work brings from a step before is no water of the site.
fn waters(means: &Means<'_>, scenario: &Scenario) -> BTreeMap<String, f64> {
    let net = means.plant.network();
    let streams = net.transfers.iter().enumerate();
    let taken = streams.filter_map(|(t, stream)| {
        let End::Supply(supply, _) = stream.from else {
            return None;
        };
        let name = &net.supplies[supply.index()].name;
        let flow = means.flow(&[TransferId(t)]);
        scenario
            .waters
            .contains_key(name)
            .then(|| (name.clone(), flow))
    });
    summed(taken)
}

/// What leaves in pipes, m³ and kg of each solute in a year. Film on the work leaves on the work.
fn treated(means: &Means<'_>) -> (f64, BTreeMap<String, f64>) {
    let (net, layout) = (means.plant.network(), means.plant.layout());
    let mut lines: Vec<AccountId> = Vec::new();
    let mut m3_per_s = 0.0;
    for (t, stream) in net.transfers.iter().enumerate() {
        if let (End::Account(line), false) = (stream.to, matches!(stream.law, Law::Film { .. })) {
            m3_per_s += means.flow(&[TransferId(t)]);
            lines.push(line);
        }
    }
    lines.sort_unstable();
    lines.dedup();
    let solutes = net.solutes.iter().enumerate().map(|(s, solute)| {
        let entries = lines
            .iter()
            .map(|&a| layout.account(a) + layout.solute(SoluteId(s)));
        let kg_per_s: f64 = entries.map(|e| means.rate(e)).sum();
        (solute.name.clone(), kg_per_s * unit::SECONDS_PER_YEAR)
    });
    (m3_per_s * unit::SECONDS_PER_YEAR, solutes.collect())
}

/// Mean heat of coils, which comes from a boiler, and mean heat that coolers take, W.
fn coils_and_cooling(means: &Means<'_>) -> (f64, f64) {
    let (net, layout) = (means.plant.network(), means.plant.layout());
    let (mut coils, mut cooling) = (0.0, 0.0);
    for (h, heat) in net.heats.iter().enumerate() {
        let mean_w = means.rate(layout.delivered(HeatId(h)));
        match heat.law {
            HeatLaw::Coil { .. } => coils += mean_w,
            HeatLaw::Cool { .. } => cooling -= mean_w,
            _ => {}
        }
    }
    (coils, cooling)
}

/// Heat that brings outdoor air to the temperature of the hall, month by month, for as much dry air as towers draw from the hall.
///
/// `Q = Σ m·max(0, h(T_room, W) − h(T_outside, W))` over the twelve months of the model's year, m the dry air of the month, h the enthalpy of moist air and W
/// the humidity ratio outdoors. A fan before the contact moves a volume, so that its dry air follows the density of the month's air. The towers run in
/// every month as in the settled week.
fn warm_air(means: &Means<'_>, scenario: &Scenario, air: AirChoice) -> WarmAir {
    let net = means.plant.network();
    let (room, outside) = (ClimateId(0), ClimateId(1));
    let towers = net.towers.iter().enumerate();
    let from_room = towers.filter(|(_, tower)| tower.climate == room);
    let dry_air: Vec<(TowerId, f64)> = from_room
        .map(|(t, _)| (TowerId(t), means.dry_air_kg(TowerId(t), air)))
        .collect();
    if dry_air.iter().map(|(_, kg)| kg).sum::<f64>() <= 0.0 {
        return WarmAir::None;
    }
    let Some(outdoors) = net.climates.get(outside.index()) else {
        return WarmAir::Unknown;
    };
    if scenario.site.outside.is_none() {
        return WarmAir::Unknown;
    }
    let hall = &net.climates[room.index()];
    let weeks_of_a_month = dragback_plant::calendar::MONTH_S / means.span_s;
    let joules = (0..MONTHS).map(|m| {
        let out = outdoors.air(m);
        let enthalpy = |temp_c| enthalpy_j_per_kg_da(temp_c, out.humidity_ratio);
        let j_per_kg = (enthalpy(hall.air(m).temp_c) - enthalpy(out.temp_c)).max(0.0);
        let kg = dry_air
            .iter()
            .map(|(t, kg)| kg * lightness(means, *t, (air, m)));
        weeks_of_a_month * j_per_kg * kg.sum::<f64>()
    });
    WarmAir::Joules(joules.sum())
}

/// Dry air that a tower draws in a month over what it draws in the air in which its week was settled.
fn lightness(means: &Means<'_>, t: TowerId, (air, month): (AirChoice, usize)) -> f64 {
    let plant = means.plant;
    let tower = &plant.network().towers[t.index()];
    if tower.tower.design().fan != FanPosition::Before {
        // The volume is that of what leaves, whose warmth follows the solution and not the month.
        return 1.0;
    }
    let start_month = plant.network().climates[tower.climate.index()].start_month;
    let drawn = |slot| plant.tower_air(t, slot).specific_volume_m3_per_kg_da();
    drawn(air.slot(0.0, start_month)) / drawn(month)
}
