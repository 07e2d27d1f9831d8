//! The answers as data, in people's units, in the shape that the terminal writes as JSON.

use std::collections::BTreeMap;

use dragback_run::{Cause, Told};
use serde::Serialize;

use crate::worth::Worth;

/// Everything that is said of a settled week, or of a run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answers {
    /// Title of the scenario.
    pub scenario: String,
    /// `settled`, `preview` or `exact`.
    pub driver: String,
    /// Air of the answers: `mean`, a month, or `calendar`.
    pub air: String,
    /// How work hours are read: `calendar`, `in-shift` (work never stops) or `week-mean` (work always runs at its mean over the week).
    pub hours: String,
    /// Whether the averaged driver stands on firm ground: there are no doubts.
    pub refined: bool,
    /// Why averages may go astray here, in words; empty where they do not, and for an exact run.
    pub doubts: Vec<String>,
    /// Hours that the means span.
    pub span_h: f64,
    /// What each solute is counted as.
    pub solutes: Vec<SoluteAnswer>,
    /// Each tank's means.
    pub vessels: Vec<VesselAnswer>,
    /// Each stream's mean.
    pub streams: Vec<StreamAnswer>,
    /// Each loop's answers.
    pub loops: Vec<LoopAnswer>,
    /// Solutes that keep growing, or that pass a limit.
    pub impurities: Vec<ImpurityAnswer>,
    /// Salts that begin to come out of solution as growth goes on, within three years from the start; empty for a run, whose alarms tell them.
    pub precipitation: Vec<PrecipitationAnswer>,
    /// What happened of the events of the scenario, in that order; empty for a settled week, which leaves them out.
    pub events: Vec<EventAnswer>,
    /// Alarms and limits that were met.
    pub alarms: Vec<AlarmAnswer>,
    /// The audit: water, energy and each solute.
    pub ledger: BTreeMap<String, LedgerAnswer>,
}

/// What the mass of a solute means.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SoluteAnswer {
    /// Its name in tables and keys: `Cr6`.
    pub name: String,
    /// The substance that is weighed under that name: `Cr(VI) as CrO₃`.
    pub counted_as: String,
    /// The metal (or whatever else people speak of) in it: `Cr`.
    pub metal: String,
    /// Mass of that in a mass of the solute, above 0, at most 1.
    pub metal_fraction: f64,
    /// The salt as which its strengths may be told; only of lead solutes, and none where the bath is not made up with a salt of it.
    #[serde(skip)]
    pub salt: Option<SaltAnswer>,
    /// Whether it grows (or falls) by a hundredth a year or more and would take years to settle: the strengths of a settled week are then those of the
    /// first weeks. Never of a run.
    pub creeps: bool,
    /// Of what creeps, the day from the start, in the middle of the week, whose amount the strengths of a settled week stand for; `null` for all others, and where growth did not bring
    /// that amount, but additions or a purification in the first weeks.
    pub as_of_day: Option<f64>,
}

impl SoluteAnswer {
    /// When the strengths of a settled week were those of a solute that creeps, in words; `None` of all others.
    #[must_use]
    pub fn when_told(&self) -> Option<String> {
        let day = self.as_of_day.map_or_else(
            // Additions or a purification brought it there, not its growth.
            || "after the first weeks".to_owned(),
            |day| format!("day {day:.0}"),
        );
        self.creeps.then_some(day)
    }
}

/// The salt that stands for a lead solute.
#[derive(Clone, Debug, PartialEq)]
pub struct SaltAnswer {
    /// Its formula as people write it: `NiSO4·6H2O`.
    pub formula: String,
    /// Mass of it that brings a unit mass of the solute, kg/kg.
    pub per_solute: f64,
}

/// A tank.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VesselAnswer {
    /// Name.
    pub name: String,
    /// Mean volume, L.
    pub volume_l: f64,
    /// Mean level over the bottom, m.
    pub level_m: f64,
    /// Mean temperature, °C.
    pub temperature_c: f64,
    /// Mean concentration of each solute, g/L; not a number (`null`) where it cannot be trusted: see `not_shown`.
    pub concentration_g_per_l: BTreeMap<String, f64>,
    /// Mean of all that is dissolved, as counted, g/L; `null` with any of the strengths.
    pub dissolved_solids_g_per_l: f64,
    /// Conductivity at 25 °C, µS/cm (an estimate); `null` with any of the strengths.
    pub conductivity_us_per_cm: f64,
    /// The salt that would come out first; `null` where no solubility is known.
    pub nearest_salt: Option<SaturationAnswer>,
    /// Why strengths are not shown: more of a salt is held than stays dissolved, or more than water is dissolved; `null` where all are shown.
    pub not_shown: Option<String>,
}

/// How near a tank comes to saturation, at the coldest that it gets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SaturationAnswer {
    /// The salt.
    pub salt: String,
    /// Highest saturation index over the span; 1 is saturated.
    pub saturation_fraction: f64,
    /// Temperature to which that refers, °C: the tank's own, or the room's where no heater keeps it warm around the clock.
    pub at_c: f64,
}

/// A stream.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StreamAnswer {
    /// Name.
    pub name: String,
    /// Where from.
    pub from: String,
    /// Where to.
    pub to: String,
    /// Mean flow, L/h.
    pub mean_flow_l_per_h: f64,
}

/// The film that leaves the last station.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FinalRinse {
    /// The last station.
    pub vessel: String,
    /// The solute it is judged by.
    pub species: String,
    /// Strength in the tank, mean while work runs, mg/L.
    pub tank_mg_per_l: f64,
    /// Strength in the film that leaves on the work, mg/L; not a number (`null`) where no work leaves, or below 1e-6 mg/L, which is beyond the solver.
    pub film_mg_per_l: f64,
    /// Strength of the bath, mean while work runs, mg/L.
    #[serde(skip)]
    pub bath_mg_per_l: f64,
    /// What the film that leaves carries, mg/h.
    #[serde(skip)]
    pub carried_mg_per_h: f64,
    /// How much film leaves, L/h.
    #[serde(skip)]
    pub film_l_per_h: f64,
    /// Bath strength over film strength; not a number where the film's is none.
    pub dilution_ratio: f64,
    /// Limit, mg/L, if the scenario gives one.
    pub limit_mg_per_l: Option<f64>,
    /// Day of a run on which film stronger than the limit first left on the work; none where that never happened, and of a settled week, which is
    /// judged by its mean.
    pub passed_limit_on_day: Option<f64>,
    /// All that is dissolved in the tank, as counted, mean while work runs, mg/L.
    pub dissolved_solids_mg_per_l: f64,
    /// Conductivity of the tank at 25 °C, µS/cm (an estimate).
    pub conductivity_us_per_cm: f64,
}

/// Room for more water, L/h: what the loop could evaporate by towers and surfaces, were its holding tank never short, less what runs into it (rinse feed,
/// sprays, refill of still rinses, film from other stations, water of additions) and does not leave on the work. Negative means water to treatment.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Margin {
    /// Mean over the settled week.
    pub week: f64,
    /// What could evaporate in that mean, …
    pub could_evaporate: f64,
    /// … and what runs in.
    pub runs_in: f64,
    /// While work runs.
    pub in_shift: f64,
    /// In the worst month.
    pub worst_month: f64,
    /// Which month that is; `mean` when the room does not change; empty where the worst has no number.
    pub month: String,
    /// Why one of the three has no number (`null` there); `null` where all have.
    pub not_shown: Option<String>,
}

/// What a tower's air carries up the stack as droplets, mean while the tower runs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StackAnswer {
    /// The tower.
    pub tower: String,
    /// The lead solute of its loop, as counted.
    pub species: String,
    /// Mass in a cubic metre of dry air at 20 °C and 101.325 kPa, mg/m³; `null` when the tower never ran.
    pub mg_per_dry_m3: Option<f64>,
    /// The same as metal, mg/m³.
    pub metal_mg_per_dry_m3: Option<f64>,
}

/// What a loop loses of its lead solute by one way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LossAnswer {
    /// The way: `on the work`, `to treatment`, …
    pub way: &'static str,
    /// How much, kg/day.
    pub kg_per_day: f64,
}

/// The first limit that a loop comes to as time goes on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FirstLimit {
    /// The solute that meets its limit, or the salt that comes out.
    pub what: String,
    /// Where.
    pub vessel: String,
    /// Days from the start; zero where it is met already.
    pub days: f64,
}

/// The bath of a loop, for its verdict.
#[derive(Clone, Debug, PartialEq)]
pub struct BathAnswer {
    /// Mean strength of the lead solute, g/L; not a number where it cannot be trusted.
    pub lead_g_per_l: f64,
    /// The same at the start, g/L.
    pub lead_at_start_g_per_l: f64,
    /// Mean temperature, °C.
    pub temperature_c: f64,
    /// What its heater and its cooler are to keep, °C.
    pub set_point_c: f64,
}

/// Which tanks besides the bath may store water of a shift.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stores {
    /// A collection tank.
    pub collection: bool,
    /// A holding tank.
    pub holding: bool,
}

/// The answers of one loop.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LoopAnswer {
    /// Key of the loop in the scenario.
    pub name: String,
    /// Names of its tanks.
    #[serde(skip)]
    pub tanks: Vec<String>,
    /// Its bath.
    #[serde(skip)]
    pub bath: BathAnswer,
    /// Final rinse.
    pub final_rinse: FinalRinse,
    /// Bath liquid carried out by work, week mean, L/h.
    pub drag_out_l_per_h: f64,
    /// What leaves for good, kg/day of each solute: on the work, to treatment, up the stack, over a brim, pumped out by events.
    pub lost_kg_per_day: BTreeMap<String, f64>,
    /// The same of the lead solute, by the ways on which it goes.
    #[serde(skip)]
    pub lost_by_way: Vec<LossAnswer>,
    /// What that is worth; `null` where none of it has a price, and of a bath that has run down.
    pub lost_worth: Option<Worth>,
    /// What comes back to the bath, kg/day of each solute.
    pub returned_kg_per_day: BTreeMap<String, f64>,
    /// Share of the dragged-out lead solute that is not lost; below zero where more is lost than work drags out, as when a tank is pumped out.
    pub recovered_fraction: f64,
    /// Evaporated by towers, week mean, L/h (kg of water at 20 °C).
    pub evaporation_l_per_h: f64,
    /// Evaporated from open surfaces, week mean, L/h.
    pub surface_evaporation_l_per_h: f64,
    /// Mean power of the evaporation heaters, kW: those of the holding tank, and the bath's own where the bath feeds a tower or there is no
    /// holding tank.
    pub heater_mean_kw: f64,
    /// Mean power of the bath's heater, kW; `null` where it is an evaporation heater and counted there. So the two sum to all that heaters give.
    pub bath_heater_mean_kw: Option<f64>,
    /// Mean power that the bath's cooler takes, kW.
    pub bath_cooler_mean_kw: f64,
    /// Share of their power while evaporating; of all time where no tower works.
    pub heater_duty: f64,
    /// What they give meanwhile, kW.
    #[serde(skip)]
    pub heater_at_work_kw: f64,
    /// Share of their power in the hardest recorded interval; `None` of a holding tank, which may wait until it is warm.
    #[serde(skip)]
    pub heater_hardest: Option<f64>,
    /// Share of the time that towers work.
    pub tower_share: f64,
    /// Temperature of the tank that feeds the towers, mean while evaporating, °C; `null` without towers.
    pub evaporation_temperature_c: Option<f64>,
    /// The least that this tank's thermostat allows while the heaters can follow, °C: its set point, or the lower end of a proportional band.
    #[serde(skip)]
    pub thermostat_c: Option<f64>,
    /// What each tower sends up its stack.
    pub stacks: Vec<StackAnswer>,
    /// Room for rinse water; `null` for a run, and where it is no question: no evaporator, and nothing that returns water to the bath.
    pub closure_margin_l_per_h: Option<Margin>,
    /// Rinse water that tanks must hold over shift hours for the week to close, L; `null` where the margin is, and where the week does not close, for which no tank is large enough.
    pub storage_needed_l: Option<f64>,
    /// Tanks that may store it.
    #[serde(skip)]
    pub stores: Stores,
    /// Sent to treatment, week mean, L/h.
    pub to_treatment_l_per_h: f64,
    /// Of that, what runs over the brim of the collection tank, L/h.
    pub over_brim_l_per_h: f64,
    /// Fresh rinse water, week mean, L/h.
    pub rinse_feed_l_per_h: f64,
    /// Plain water into the bath, week mean, L/h.
    pub make_up_l_per_h: f64,
    /// Days from the start until the running mean over four weeks of every key figure (the strengths of the lead solute in the bath, the holding and the
    /// collection tank and the last rinse) stays within 5 % of its settled value; `null` where that is not reached, and for a run.
    pub days_to_settle: Option<f64>,
    /// Why there are no days to settle; `null` where there are, and where nobody looked ahead.
    pub days_to_settle_not_shown: Option<String>,
    /// The first limit of an impurity or a salt; none where none is met however far one looks, and where nobody looked ahead.
    #[serde(skip)]
    pub first_limit: Option<FirstLimit>,
}

impl LoopAnswer {
    /// What leaves for good of the lead solute, kg/day. None of a bath that nothing restores: once it has run down it has nothing left to lose, which says
    /// nothing of the line.
    #[must_use]
    pub fn lead_lost_kg_per_day(&self) -> Option<f64> {
        let lost = self.lost_kg_per_day.get(&self.final_rinse.species);
        lost.copied().filter(|_| !self.bath.runs_down())
    }
}

/// A solute that keeps growing or passes its limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ImpurityAnswer {
    /// The solute.
    pub species: String,
    /// Where.
    pub vessel: String,
    /// Strength at the start, g/L.
    pub now_g_per_l: f64,
    /// Growth, g/L per day; not a number (`null`) where a run is too short to tell.
    pub growth_g_per_l_per_day: f64,
    /// Limit, g/L, if the scenario gives one.
    pub limit_g_per_l: Option<f64>,
    /// Days until the limit; `null` without a limit or when it is never reached.
    pub days_to_limit: Option<f64>,
    /// Bleed of bath that would hold it at the limit, L/h; `null` where it does not grow or does not come to its limit within three years.
    pub purge_l_per_h: Option<f64>,
}

/// A salt that begins to come out of solution.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PrecipitationAnswer {
    /// The tank.
    pub vessel: String,
    /// The salt.
    pub salt: String,
    /// Days from the start until it passes saturation.
    pub days: f64,
    /// Whether it comes out then only as the shop cools over a weekend, and the tank with it.
    pub once_cooled: bool,
}

/// An event of the scenario that happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EventAnswer {
    /// When, hours from the start.
    pub at_h: f64,
    /// What: the name of the event, or its deed with the path of what it is done to.
    pub what: String,
    /// What, in words for people.
    #[serde(skip)]
    pub words: String,
}

/// An alarm: one for each instrument or tank and what it watches, however often it was raised.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AlarmAnswer {
    /// When it was raised first, hours from the start.
    pub at_h: f64,
    /// How often it was raised, at least once.
    pub times: usize,
    /// When it was raised last, hours from the start.
    pub last_h: f64,
    /// Which instrument, by its path, or which tank.
    pub device: String,
    /// What people call it.
    #[serde(skip)]
    pub called: String,
    /// The tank that it is about.
    #[serde(skip)]
    pub vessel: String,
    /// What it watches.
    #[serde(skip)]
    pub cause: Cause,
    /// What happened the first time, in metric units.
    pub what: String,
    /// The same as data, for faces that have units of their own.
    #[serde(skip)]
    pub told: Told,
    /// When its condition returned to normal after the last time, hours from the start; `null` while it holds.
    pub returned_h: Option<f64>,
    /// When a latched alarm was reset after the last time, hours from the start; `null` for one that does not latch or was not reset.
    pub reset_h: Option<f64>,
    /// Where it stands at the end, in the words of ANSI/ISA-18.2: `active`, `latched` or `returned to normal`. A simulation has no operator who
    /// acknowledges.
    pub state: &'static str,
}

/// One quantity's audit. Energy is in kWh, everything else in kg.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum LedgerAnswer {
    /// Water or a solute.
    Mass {
        /// Came in, kg.
        in_kg: f64,
        /// Went out, kg.
        out_kg: f64,
        /// Change of what is held, kg.
        held_change_kg: f64,
        /// Closure error, relative.
        closure_error: f64,
        /// The ways across the boundary that carried any of it.
        lines: Vec<MassLine>,
    },
    /// Energy.
    Energy {
        /// Came in, kWh.
        in_kwh: f64,
        /// Went out, kWh.
        out_kwh: f64,
        /// Change of what is held, kWh.
        held_change_kwh: f64,
        /// Closure error, relative.
        closure_error: f64,
        /// The ways across the boundary that carried any of it.
        lines: Vec<EnergyLine>,
    },
}

/// Which way something crossed the boundary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// Into the plant.
    In,
    /// Out of the plant.
    Out,
}

/// Matter across the boundary under one name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MassLine {
    /// Name of the way.
    pub name: String,
    /// In or out.
    pub side: Way,
    /// How much, kg, above zero.
    pub kg: f64,
}

/// Energy across the boundary under one name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnergyLine {
    /// Name of the way.
    pub name: String,
    /// In or out.
    pub side: Way,
    /// How much, kWh, above zero.
    pub kwh: f64,
}
