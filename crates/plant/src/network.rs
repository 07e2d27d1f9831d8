//! The network: vessels, transfers and controllers as plain data.
//!
//! Everything that a plating line holds is one of the lists below; the only places that turn them into rates are
//! [`flows`](crate::flows) and [`balance`](crate::balance). Positive always means *into the vessel*.

mod event;
mod stream;

pub use event::{Action, Event, Trigger};
pub use stream::{End, Gate, Heat, HeatLaw, Law, Transfer};

use std::sync::Arc;

use dragback_properties::tower::Tower;

use crate::calendar::Calendar;
use crate::climate::Climate;
use crate::control::{Device, Relay};
use crate::ids::{
    AccountId, CalendarId, ClimateId, DeviceId, SoluteId, SupplyId, TowerId, TransferId, VesselId,
    WorkId,
};

/// How near a solution is to saturation with the salt that would come out first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturation {
    /// The salt, in words for people.
    pub salt: &'static str,
    /// Saturation index, dimensionless: 1 is saturated.
    pub index: f64,
}

/// A salt of which more is held than stays dissolved.
#[derive(Clone, Debug, PartialEq)]
pub struct Beyond {
    /// How far beyond, index above 1.
    pub saturation: Saturation,
    /// The solutes that it takes along as it comes out.
    pub solutes: Vec<SoluteId>,
}

/// What the solutes make of water, given in kg of each per kg of water, in the order of the network's solutes.
pub trait SolutionModel: Send + Sync {
    /// Activity of water, dimensionless.
    ///
    /// Must be finite and within (0, 1] for every non-negative composition.
    fn activity(&self, kg_per_kg_water: &[f64]) -> f64;

    /// The salt nearest to saturation at a temperature in °C; `None` where no solubility is known.
    fn nearest_saturation(&self, kg_per_kg_water: &[f64], temp_c: f64) -> Option<Saturation> {
        let _ = (kg_per_kg_water, temp_c);
        None
    }

    /// Salts of which more is held than stays dissolved at a temperature in °C.
    fn beyond_saturation(&self, kg_per_kg_water: &[f64], temp_c: f64) -> Vec<Beyond> {
        let _ = (kg_per_kg_water, temp_c);
        Vec::new()
    }
}

/// Water that no solute lowers: activity 1 always.
pub struct IdealWater;

impl SolutionModel for IdealWater {
    fn activity(&self, _: &[f64]) -> f64 {
        1.0
    }
}

/// A solute as the balances see it.
#[derive(Clone, Debug, PartialEq)]
pub struct Solute {
    /// Short name: `Ni`, `SO4`, `B`.
    pub name: String,
    /// Molar mass, kg/mol.
    pub molar_mass_kg_per_mol: f64,
    /// Charge number.
    pub charge: i32,
    /// Apparent volume in solution, m³/kg.
    pub apparent_volume_m3_per_kg: f64,
    /// Apparent heat capacity in solution, J/kg·K.
    pub heat_capacity_j_per_kg_k: f64,
    /// Limiting ionic conductivity, S·m²/mol; zero when it does not conduct.
    pub ionic_conductivity_s_m2_per_mol: f64,
}

/// Shape of a tank seen from its outlet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shape {
    /// Plan area of the upright part, m².
    pub footprint_m2: f64,
    /// Height over which a sloped bottom rises, m; zero for a flat one.
    pub slope_height_m: f64,
}

/// The open surface of a vessel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surface {
    /// Area that evaporates, covers taken off and sparge strips added, m².
    pub area_m2: f64,
    /// Air speed over it, m/s.
    pub air_speed_m_per_s: f64,
}

/// What a vessel holds when the run begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Initial {
    /// Volume, m³.
    pub volume_m3: f64,
    /// Temperature, °C.
    pub temp_c: f64,
    /// Concentration of each solute, kg/m³.
    pub concentration_kg_per_m3: Vec<f64>,
}

/// A well-mixed holdup.
#[derive(Clone, Debug, PartialEq)]
pub struct Vessel {
    /// Name that people use; unique in the network.
    pub name: String,
    /// Shape, from which volume gives level.
    pub shape: Shape,
    /// Volume at which it is full: weir of a rinse, brim of a tank, m³.
    pub full_m3: f64,
    /// Volume below the outlet that no pump reaches, m³.
    pub dead_m3: f64,
    /// Open surface, if any.
    pub surface: Option<Surface>,
    /// Air around it.
    pub climate: ClimateId,
    /// Heat loss coefficient through walls and lid, W/K.
    pub wall_w_per_k: f64,
    /// Holdup at time zero.
    pub initial: Initial,
}

/// Liquid of fixed composition and temperature that enters from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Name that people use: `tap`, `deionised`.
    pub name: String,
    /// Temperature, °C.
    pub temp_c: f64,
    /// Water, kg per m³ of liquid.
    pub water_kg_per_m3: f64,
    /// Solutes, kg per m³ of liquid.
    pub solute_kg_per_m3: Vec<f64>,
}

/// Which way a ledger line runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Into the plant.
    In,
    /// Out of the plant.
    Out,
}

/// A ledger line: one named way across the boundary.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    /// Name that people use: `to treatment`, `on work`, `up the stack`.
    pub name: String,
    /// Where it is listed.
    pub side: Side,
}

/// What scales a source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pace {
    /// Rates are per second.
    Steady,
    /// Rates are per m² of work.
    PerArea(WorkId),
    /// Solute rates are fractions of the vessel's holdup removed per second.
    FirstOrder,
}

/// Matter made or taken within a vessel: deposit, anode, decomposed water, soil brought by work, dosing.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Name that people use.
    pub name: String,
    /// The vessel.
    pub vessel: VesselId,
    /// Water, kg per unit of pace; negative when taken.
    pub water_kg: f64,
    /// Solutes, kg per unit of pace; negative when taken.
    pub solutes_kg: Vec<(SoluteId, f64)>,
    /// What scales the rates.
    pub pace: Pace,
    /// When.
    pub gate: Gate,
    /// Ledger line.
    pub account: AccountId,
}

/// An atmospheric evaporator fed from one vessel and draining back to it.
#[derive(Clone, Debug)]
pub struct TowerUnit {
    /// Name that people use.
    pub name: String,
    /// Vessel that feeds it and takes the cooled solution back.
    pub vessel: VesselId,
    /// The contact tower.
    pub tower: Arc<Tower>,
    /// Air that enters it.
    pub climate: ClimateId,
    /// Feed pump.
    pub pump: DeviceId,
    /// Blower.
    pub blower: DeviceId,
    /// Solution that the pump feeds, m³/s.
    pub feed_m3_per_s: f64,
    /// Fraction of the feed lost as droplets after the mist eliminator.
    pub carry_over: f64,
    /// Heat that the fan gives the air before the contact, W.
    pub fan_heat_w: f64,
    /// Ledger line of water and heat that leave with the air.
    pub air_account: AccountId,
    /// Ledger line of droplets.
    pub stack_account: AccountId,
}

/// Work passing through the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Name that people use.
    pub name: String,
    /// Area per time while the calendar is open, m²/s.
    pub area_m2_per_s: f64,
    /// Hours of work.
    pub calendar: CalendarId,
}

/// A periodic analysis that restores one solute by adding a salt.
#[derive(Clone, Debug, PartialEq)]
pub struct Addition {
    /// Name that people use.
    pub name: String,
    /// The vessel.
    pub vessel: VesselId,
    /// The solute that is analysed.
    pub solute: SoluteId,
    /// Target, kg/m³.
    pub target_kg_per_m3: f64,
    /// Added only when below `target·(1 − dead_band)`.
    pub dead_band: f64,
    /// Time between analyses, s.
    pub interval_s: f64,
    /// Solutes per kg of salt as bought, kg/kg.
    pub yields: Vec<(SoluteId, f64)>,
    /// Crystal water per kg of salt as bought, kg/kg.
    pub crystal_water: f64,
    /// Ledger line.
    pub account: AccountId,
}

impl Addition {
    /// Strength that additions hold on average, kg/m³: the sawtooth falls from the target through the dead band.
    #[must_use]
    pub fn mean_kg_per_m3(&self) -> f64 {
        self.target_kg_per_m3 * (1.0 - 0.5 * self.dead_band)
    }
}

/// The film that leaves a station, as shares of what it is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmProbe {
    /// The station that the work leaves.
    pub station: VesselId,
    /// Share of each vessel's liquid in the film.
    pub vessels: Vec<(VesselId, f64)>,
    /// Share of each supply's liquid in the film (sprays).
    pub supplies: Vec<(SupplyId, f64)>,
}

/// Which parts of the network play which part in one loop, for the answers.
#[derive(Clone, Debug, PartialEq)]
pub struct LoopRoles {
    /// Key of the loop.
    pub name: String,
    /// Words for people.
    pub title: String,
    /// The process bath.
    pub bath: VesselId,
    /// Heated holding tank, if there is one.
    pub holding: Option<VesselId>,
    /// Collection tank, if there is one.
    pub collection: Option<VesselId>,
    /// Every vessel of the loop, in the order that work travels, then collection and holding tank.
    pub vessels: Vec<VesselId>,
    /// The solute that money and rinse quality are judged by.
    pub lead: SoluteId,
    /// Work of this loop.
    pub work: WorkId,
    /// Film leaving the bath on each of its visits.
    pub drag_out: Vec<TransferId>,
    /// Film returning into the bath.
    pub drag_in: Vec<TransferId>,
    /// Film leaving the last station.
    pub last_film: FilmProbe,
    /// Fresh water to the rinses of this loop.
    pub rinse_feed: Vec<TransferId>,
    /// Sprays.
    pub sprays: Vec<TransferId>,
    /// Plain water into the bath.
    pub make_up: Vec<TransferId>,
    /// Streams that bring rinse chemistry back into the bath (positive) …
    pub returns: Vec<TransferId>,
    /// … and streams that take bath to the holding tank or the evaporator side (negative in the return).
    pub withdrawals: Vec<TransferId>,
    /// Streams to treatment.
    pub to_treatment: Vec<TransferId>,
    /// Film lost on work.
    pub lost_on_work: Vec<TransferId>,
    /// Overflows of vessels that have no overflow pipe: what runs over their brims is lost.
    pub spills: Vec<TransferId>,
    /// Ledger line of what events pump out of the vessels of this loop, and of no other.
    pub dumped: Option<AccountId>,
    /// Ledger line of salts and solutions added to the bath of this loop, and to no other.
    pub additions: Option<AccountId>,
    /// Vessels whose water stays in the loop, or comes back to it: what enters them evaporates, leaves on the work, or is too much.
    pub keeping: Vec<VesselId>,
    /// Streams that bring water into the keeping vessels whether there is room for it or not: rinse feeds, sprays, refills, films from other
    /// stations. Make-up of the bath is none, since it fills only what is missing.
    pub water_in: Vec<TransferId>,
    /// Films that carry water out of the keeping vessels.
    pub water_out: Vec<TransferId>,
    /// Evaporators.
    pub towers: Vec<TowerId>,
    /// Heaters of the evaporation side (holding tank, or the bath that feeds a tower).
    pub heaters: Vec<crate::ids::HeatId>,
    /// Heaters of the bath, …
    pub bath_heaters: Vec<crate::ids::HeatId>,
    /// … and its coolers.
    pub bath_coolers: Vec<crate::ids::HeatId>,
    /// Limit on the lead solute in the last film, kg/m³, if the scenario gives one.
    pub final_limit_kg_per_m3: Option<f64>,
    /// Impurity limits in the bath, kg/m³.
    pub impurity_limits: Vec<(SoluteId, f64)>,
}

impl LoopRoles {
    /// Heaters of the bath that are not among the evaporation heaters.
    pub fn bath_heaters_apart(&self) -> impl Iterator<Item = crate::ids::HeatId> + '_ {
        let own = self.bath_heaters.iter().copied();
        own.filter(|h| !self.heaters.contains(h))
    }
}

/// The whole plant as plain data.
#[derive(Clone)]
pub struct Network {
    /// Title for people.
    pub title: String,
    /// Solutes, in the order of every composition list.
    pub solutes: Vec<Solute>,
    /// Water activity and saturation of the solution.
    pub activity: Arc<dyn SolutionModel>,
    /// Holdups.
    pub vessels: Vec<Vessel>,
    /// Liquids from outside.
    pub supplies: Vec<Supply>,
    /// Ledger lines.
    pub accounts: Vec<Account>,
    /// Streams.
    pub transfers: Vec<Transfer>,
    /// Heat flows.
    pub heats: Vec<Heat>,
    /// Sources and sinks of matter.
    pub sources: Vec<Source>,
    /// Evaporators.
    pub towers: Vec<TowerUnit>,
    /// Calendars.
    pub calendars: Vec<Calendar>,
    /// Bodies of air.
    pub climates: Vec<Climate>,
    /// Work.
    pub works: Vec<Work>,
    /// Devices, each after those it depends on.
    pub devices: Vec<Device>,
    /// Relays.
    pub relays: Vec<Relay>,
    /// Additions.
    pub additions: Vec<Addition>,
    /// Events.
    pub events: Vec<Event>,
    /// Ledger line of water that evaporates from open surfaces.
    pub surface_account: AccountId,
    /// Ledger line of heat that surfaces and walls lose to the air without evaporation.
    pub loss_account: AccountId,
    /// Ledger line of liquid that a tank without an overflow pipe spills over its brim: an alarm.
    pub spill_account: Option<AccountId>,
    /// Pressure of the site's air, Pa.
    pub pressure_pa: f64,
    /// What plays which part, per loop.
    pub loops: Vec<LoopRoles>,
}

impl std::fmt::Debug for Network {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Network")
            .field("title", &self.title)
            .field("vessels", &self.vessels.len())
            .field("transfers", &self.transfers.len())
            .finish_non_exhaustive()
    }
}
