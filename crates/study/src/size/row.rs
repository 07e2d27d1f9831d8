//! One layout with its sizes.

use dragback_scenario::{Before, ClosedBy, Equipment, Layout};
use dragback_units::{Style, System, format};
use serde::Serialize;

use super::{Heat, Limit};
use crate::answers::FirstLimit;

/// One layout with its sizes; figures are absent where there are none.
#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// The layout in words.
    pub layout: String,
    /// Counterflow rinses.
    pub stages: u32,
    /// `still` or `spray`.
    pub before: Option<&'static str>,
    /// Whether a free-running final rinse follows.
    pub free_final_rinse: bool,
    /// `surface`, `bath_tower` or `holding_tank`.
    pub closed_by: &'static str,
    /// Fresh water into the last recovered rinse while work runs.
    pub rinse_flow_l_per_h: Option<f64>,
    /// Fresh water of the free final rinse while work runs.
    pub free_rinse_flow_l_per_h: Option<f64>,
    /// Share of the dragged-out lead solute that is not lost.
    pub recovered_fraction: Option<f64>,
    /// Water that the evaporator must drive off, surface losses credited; mean of the week.
    pub evaporator_duty_l_per_h: Option<f64>,
    /// The same in the month in which surfaces drive off least.
    pub worst_month_l_per_h: Option<f64>,
    /// The month in which the evaporator has most to do; absent where the mean air asks for as much, and without an evaporator.
    pub worst_month: Option<&'static str>,
    /// The month in whose air the film on the work is strongest, in which it keeps the limit all the same; absent where that is the mean air.
    pub film_month: Option<&'static str>,
    /// Where the heat of the tank that evaporates goes.
    pub heat: Option<Heat>,
    /// Heaters of the holding tank, or of the bath where there is none.
    pub heater_kw: Option<f64>,
    /// Towers.
    pub towers: Option<usize>,
    /// Holding tank to its brim.
    pub holding_tank_l: Option<f64>,
    /// Collection tank to its brim.
    pub collection_tank_l: Option<f64>,
    /// Feed of all towers.
    pub feed_pump_l_per_min: Option<f64>,
    /// Air of all towers.
    pub exhaust_air_m3_per_h: Option<f64>,
    /// Mean temperature of the tank that evaporates.
    pub tank_temperature_c: Option<f64>,
    /// How near a salt is to coming out anywhere in the loop; 1 is saturated.
    pub saturation_fraction: Option<f64>,
    /// Running cost of a year; absent where energy has no price.
    pub yearly_cost: Option<f64>,
    /// What is used and has no price, so that the cost leaves it out.
    #[serde(skip)]
    pub uncounted: Vec<String>,
    /// What passes its limit first, an impurity in the bath or a salt that comes out, within a year from the start; absent where nothing does.
    pub first_limit: Option<FirstLimit>,
    /// Whether it passes at the stated flow and fails just below it, settled.
    pub verified: bool,
    /// What stops it, in metric units.
    pub limit: Option<String>,
    /// The same as data.
    #[serde(skip)]
    pub limit_as: Option<Limit>,
    /// The layout as data.
    #[serde(skip)]
    pub plan: Layout,
    /// Its sizes as data.
    #[serde(skip)]
    pub equipment: Option<Equipment>,
}

impl Row {
    /// A row without figures.
    pub(super) fn empty(plan: Layout) -> Self {
        Self {
            layout: plan.to_string(),
            stages: plan.stages,
            before: plan.before.map(|b| match b {
                Before::Still => "still",
                Before::Spray => "spray",
            }),
            free_final_rinse: plan.has_free_final,
            closed_by: match plan.closed_by {
                ClosedBy::Surface => "surface",
                ClosedBy::BathTower => "bath_tower",
                ClosedBy::HoldingTank => "holding_tank",
            },
            rinse_flow_l_per_h: None,
            free_rinse_flow_l_per_h: None,
            recovered_fraction: None,
            evaporator_duty_l_per_h: None,
            worst_month_l_per_h: None,
            worst_month: None,
            film_month: None,
            heat: None,
            heater_kw: None,
            towers: None,
            holding_tank_l: None,
            collection_tank_l: None,
            feed_pump_l_per_min: None,
            exhaust_air_m3_per_h: None,
            tank_temperature_c: None,
            saturation_fraction: None,
            yearly_cost: None,
            uncounted: Vec::new(),
            first_limit: None,
            verified: false,
            limit: None,
            limit_as: None,
            plan,
            equipment: None,
        }
    }

    /// A row that something stops.
    pub(super) fn stopped(plan: Layout, limit: Limit) -> Self {
        let metric = |dim, si| format(dim, si, System::Metric, Style::Default);
        Self {
            limit: Some(limit.words(&metric)),
            limit_as: Some(limit),
            ..Self::empty(plan)
        }
    }
}
