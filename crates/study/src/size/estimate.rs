//! What is known of a loop before any of its layouts is settled.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::calendar::Calendar;
use dragback_plant::climate::MEAN_SLOT;
use dragback_properties::rinse;
use dragback_scenario::{Before, ClosedBy, Layout, Layouts};
use dragback_units::constants as unit;

use super::Rinsing;
use crate::case::{Case, StudyError};
use crate::figures::TOLD_KG_PER_M3;

/// Water activity of a holding tank before it is known: some 20 % of dissolved solids.
const HOLDING_ACTIVITY: f64 = 0.97;
/// Months of a year.
const MONTHS: usize = 12;

/// Evaporation by the air of each month and of the year's mean (in its place behind them), m³/s as water at 20 °C.
pub(super) type ByAir = Vec<f64>;

/// Figures by hand, for a first guess and to leave out what is far from working.
pub(super) struct Estimate {
    /// Lead solute of the bath as made up, kg/m³.
    pub bath_kg_per_m3: f64,
    /// Evaporation of the bath's surface.
    pub surface: ByAir,
    /// Evaporation of a tower that the bath feeds, over its hours.
    bath_tower: ByAir,
    /// The same of one that the holding tank feeds.
    holding_tower: ByAir,
    /// Hours of work.
    pub work: Calendar,
    /// Whether every month has the same air.
    pub is_constant: bool,
}

impl Estimate {
    pub(super) fn of(layouts: &Layouts, cache: &TowerCache) -> Result<Self, StudyError> {
        let rinsing = Rinsing {
            stages: 1,
            before: None,
            has_free_final: false,
        };
        let case = |closed_by| {
            let scenario = layouts.scenario(&rinsing.closed(closed_by), &layouts.usual());
            Case::new(Arc::new(scenario), cache)
        };
        let (on_bath, on_holding) = (case(ClosedBy::BathTower), case(ClosedBy::HoldingTank)?);
        let plant = &on_holding.plant;
        let net = plant.network();
        let key = layouts.key();
        let roles = net.loops.iter().find(|r| r.name == key);
        let roles = roles.unwrap_or(&net.loops[0]);
        let y = plant.initial();
        let set_c = |case: &Case| {
            let line = case.scenario.loops.get(key);
            line.map_or(f64::NAN, |l| l.bath.set_point.quantity().celsius())
        };
        let activity = plant.water_activity(roles.bath, &y).unwrap_or(1.0);
        let surface = net.vessels[roles.bath.index()].surface;
        let area_m2 = surface.map_or(0.0, |s| s.area_m2);
        let surface = (0..=MEAN_SLOT).map(|slot| {
            let air = plant.air_over(roles.bath, slot);
            let flux = air.open_surface(set_c(&on_holding), activity);
            area_m2 * flux.evaporation_kg_per_m2_s / TOLD_KG_PER_M3
        });
        let holding_c = layouts.holding().set_point.quantity().celsius();
        Ok(Self {
            bath_kg_per_m3: plant
                .concentration(roles.bath, roles.lead, &y)
                .unwrap_or(0.0),
            surface: surface.collect(),
            // A bath that no tower stands or bears is told where its rows are looked at.
            bath_tower: on_bath.map_or_else(
                |_| vec![f64::NAN; MONTHS + 1],
                |case| by_air(&case, key, set_c(&case), activity),
            ),
            holding_tower: by_air(&on_holding, key, holding_c, HOLDING_ACTIVITY),
            work: net.calendars[net.works[roles.work.index()].calendar.index()].clone(),
            is_constant: net.climates.iter().all(|c| c.is_constant()),
        })
    }

    /// Rinse water while work runs that ideal rinses would take, m³/s.
    pub(super) fn rinse_m3_per_s(&self, layouts: &Layouts, layout: &Layout) -> f64 {
        let (bath_m3_per_s, rinse_m3_per_s) = layouts.drag_out_m3_per_s();
        let mut dilution = self.bath_kg_per_m3 / layouts.final_limit_kg_per_m3();
        if layout.before == Some(Before::Spray) {
            dilution *= 1.0 - layouts.spray_washed();
        }
        if layout.has_free_final {
            dilution /= 1.0 + layouts.free_rinse_m3_per_s() / rinse_m3_per_s;
        }
        let ratio = rinse::counterflow_flow_ratio(dilution.max(1.5), layout.stages);
        ratio.unwrap_or(1.0) * 0.5 * (bath_m3_per_s + rinse_m3_per_s)
    }

    /// Evaporation of a tower over its hours.
    pub(super) fn tower(&self, closed_by: ClosedBy) -> &ByAir {
        match closed_by {
            ClosedBy::BathTower => &self.bath_tower,
            _ => &self.holding_tower,
        }
    }

    /// The airs that count: the months where they differ, else the mean.
    pub(super) fn slots(&self) -> std::ops::RangeInclusive<usize> {
        if self.is_constant {
            MEAN_SLOT..=MEAN_SLOT
        } else {
            0..=MONTHS - 1
        }
    }

    /// The most water that waits in a week of work when so much runs in while work runs and so much may evaporate around the clock, m³.
    pub(super) fn waiting_m3(&self, runs_in_m3_per_s: f64, evaporates_m3_per_s: f64) -> f64 {
        const STEP_S: f64 = unit::SECONDS_PER_HOUR;
        let (mut waiting, mut most, mut t_s) = (0.0_f64, 0.0_f64, 0.0);
        while t_s < 2.0 * unit::SECONDS_PER_WEEK {
            let comes = if self.work.is_open(t_s) {
                runs_in_m3_per_s
            } else {
                0.0
            };
            waiting = (waiting + STEP_S * (comes - evaporates_m3_per_s)).max(0.0);
            most = most.max(waiting);
            t_s += STEP_S;
        }
        most
    }

    /// The longest time for which work rests, s.
    pub(super) fn rest_s(&self) -> f64 {
        let (mut rest, mut longest, mut t_s) = (0.0_f64, 0.0_f64, 0.0);
        while t_s < 2.0 * unit::SECONDS_PER_WEEK {
            rest = if self.work.is_open(t_s) {
                0.0
            } else {
                rest + unit::SECONDS_PER_HOUR
            };
            longest = longest.max(rest);
            t_s += unit::SECONDS_PER_HOUR;
        }
        longest
    }
}

/// Evaporation of the first tower of a loop over its hours in the air of each month and the mean.
fn by_air(case: &Case, key: &str, temp_c: f64, activity: f64) -> ByAir {
    let plant = &case.plant;
    let net = plant.network();
    let tower = net
        .loops
        .iter()
        .find(|r| r.name == key)
        .and_then(|r| r.towers.first().copied());
    let Some(tower) = tower else {
        return vec![f64::NAN; MONTHS + 1];
    };
    let share = open_share(plant, tower);
    (0..=MEAN_SLOT)
        .map(|slot| {
            let table = plant.tower_table(tower, slot);
            table.map_or(f64::NAN, |t| {
                share * t.evaporation_and_heat(temp_c, activity).0 / TOLD_KG_PER_M3
            })
        })
        .collect()
}

/// Share of the week in which a tower may work.
pub(super) fn open_share(
    plant: &dragback_plant::Plant,
    tower: dragback_plant::ids::TowerId,
) -> f64 {
    let net = plant.network();
    let pump = &net.devices[net.towers[tower.index()].pump.index()];
    pump.calendar
        .map_or(1.0, |c| net.calendars[c.index()].open_share())
}
