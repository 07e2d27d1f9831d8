//! The figures of a row that works.

use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_run::clock::{Clock, Hours};
use dragback_scenario::ClosedBy;
use dragback_units::constants as unit;

use super::Row;
use super::flow::Found;
use super::search::{Search, Stop};
use super::week::{Week, air_of, l_per_h};
use crate::answers::FirstLimit;
use crate::money::{CostKind, CostLine, Costs, Usage};
use crate::names::air_name;
use crate::outlook::first_limit_within;

/// How far ahead a limit that is passed counts, in stretches of thirteen weeks: as far as it does in the verdict of a line.
const YEAR: u32 = 4;

impl Search<'_, '_> {
    /// The row of a layout that was settled with its final sizes.
    ///
    /// # Errors
    /// When the search is given up.
    pub(super) fn filled(&mut self, found: &Found) -> Result<Row, Stop> {
        let first_limit = self.first_limit(&found.week)?;
        let (week, equipment) = (&found.week, found.equipment);
        let layouts = &self.sizing.layouts;
        let (means, roles) = (week.means(), week.roles());
        let answer = means.loop_answer(roles, &week.case.scenario, AirChoice::Mean);
        let estimate = &self.sizing.estimate;
        let has_towers = equipment.towers > 0;
        let (mean, worst) = if has_towers {
            let mean = week.duty_m3_per_s(MEAN_SLOT);
            // A still rinse is refilled by what the bath drew from it: in damp air that is less, and towers must drive off what is forced on them.
            let forced = week.forced_m3_per_s();
            let by_month = estimate
                .slots()
                .map(|slot| (slot, forced - week.surface_m3_per_s(slot)));
            let worst = by_month.fold((MEAN_SLOT, mean), |a, b| if b.1 > a.1 { b } else { a });
            (mean, worst)
        } else {
            (0.0, (MEAN_SLOT, 0.0))
        };
        let (worst_slot, worst) = worst;
        let worst_air = air_of(worst_slot);
        let is_holding = self.layout.closed_by == ClosedBy::HoldingTank;
        #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
        let towers = equipment.towers as f64;
        let tower = layouts.tower();
        let usage = Usage::of(
            &week.case.plant,
            &week.case.scenario,
            &week.settled.trace,
            AirChoice::Mean,
        );
        let prices = week.case.scenario.prices.as_ref();
        let costs = Costs::of(&usage, &week.case.scenario, prices);
        // What tells one layout from another is above all its heat.
        let is_energy =
            |line: &CostLine| matches!(line.kind, CostKind::Electricity | CostKind::Fuel);
        let has_energy = costs.lines.iter().any(is_energy);
        let free = self.layout.has_free_final;
        let duty = |m3_per_s: f64| Some(tidy(l_per_h(m3_per_s).max(0.0)));
        Ok(Row {
            rinse_flow_l_per_h: Some(tidy(l_per_h(equipment.rinse_m3_per_s))),
            free_rinse_flow_l_per_h: free.then(|| tidy(l_per_h(layouts.free_rinse_m3_per_s()))),
            recovered_fraction: Some(answer.recovered_fraction),
            evaporator_duty_l_per_h: duty(mean),
            worst_month_l_per_h: duty(worst),
            worst_month: air_month(worst_air),
            film_month: air_month(found.film_air),
            heat: Some(week.heat(equipment.heater_w)),
            heater_kw: Some(tidy(unit::kilowatts(equipment.heater_w))),
            towers: Some(equipment.towers),
            holding_tank_l: is_holding.then(|| tidy(unit::litres(equipment.holding_m3))),
            collection_tank_l: is_holding.then(|| tidy(unit::litres(equipment.collection_m3))),
            feed_pump_l_per_min: has_towers
                .then(|| tidy(towers * unit::litres(tower.feed.si()) * unit::SECONDS_PER_MINUTE)),
            exhaust_air_m3_per_h: has_towers
                .then(|| tidy(towers * unit::m3_per_h(tower.air_flow.si()))),
            tank_temperature_c: Some(week.temperature_c()),
            saturation_fraction: Some(week.saturation()),
            yearly_cost: has_energy.then_some(costs.per_year),
            uncounted: costs.uncounted,
            first_limit,
            verified: true,
            equipment: Some(equipment),
            ..Row::empty(self.layout)
        })
    }

    /// The first limit that the loop comes to within a year from its start.
    fn first_limit(&mut self, week: &Week) -> Result<Option<FirstLimit>, Stop> {
        let clock = Clock {
            hours: Hours::Calendar,
            air: AirChoice::Mean,
        };
        Ok(first_limit_within(
            &week.case,
            &week.settled,
            week.place,
            clock,
            YEAR,
            self.watch,
        )?)
    }
}

/// The month of an air, if it is one's.
fn air_month(air: AirChoice) -> Option<&'static str> {
    (air != AirChoice::Mean).then(|| air_name(air))
}

/// A figure without the last bits that conversions leave.
pub(super) fn tidy(value: f64) -> f64 {
    const PLACES: f64 = 1e6;
    (value * PLACES).round() / PLACES
}
