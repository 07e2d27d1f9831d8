//! What a settled week asks of the evaporator.

use std::ops::RangeInclusive;

use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_scenario::ClosedBy;

use super::search::whole;
use super::week::{Week, air_of};
use super::{Limit, TOWER_RESERVE};

/// What is needed for a rinse flow.
#[derive(Clone, Copy, Debug)]
pub(super) struct Need {
    /// Water that runs in whether there is room for it or not, m³/s.
    pub forced_m3_per_s: f64,
    /// Water to drive off in the worst month, surface losses credited, m³/s.
    pub worst_m3_per_s: f64,
    /// The air of the worst month.
    pub worst_slot: usize,
    /// Towers; a bath that is to have some has one at least.
    pub towers: usize,
    /// Whether nothing is left to evaporate in a holding tank, were it cold.
    pub is_cold: bool,
}

impl Need {
    /// What a week asks for, over the airs of some slots, of towers in a tank that is held at `set_c`.
    pub(super) fn of(
        week: &Week,
        closed_by: ClosedBy,
        slots: RangeInclusive<usize>,
        set_c: f64,
    ) -> Self {
        let forced = week.forced_m3_per_s();
        let mut need = Self {
            forced_m3_per_s: forced,
            worst_m3_per_s: f64::NEG_INFINITY,
            worst_slot: MEAN_SLOT,
            towers: usize::from(closed_by == ClosedBy::BathTower),
            is_cold: closed_by == ClosedBy::HoldingTank,
        };
        let mut hardest = f64::NEG_INFINITY;
        for slot in slots {
            let surface = week.surface_m3_per_s(slot);
            let duty = forced - surface;
            need.worst_m3_per_s = need.worst_m3_per_s.max(duty);
            need.is_cold &= duty + week.hot_surface_m3_per_s(slot) <= 0.0;
            let per_tower = week.per_tower_m3_per_s(slot, set_c);
            // Where no tower stands its own evaporation is not known: one is asked for, and the next week tells.
            let towers = match per_tower {
                Some(each) if closed_by != ClosedBy::Surface => TOWER_RESERVE * duty / each,
                _ => duty.signum(),
            };
            if towers > hardest || (towers >= hardest && duty >= need.worst_m3_per_s) {
                (hardest, need.worst_slot) = (towers, slot);
            }
        }
        if closed_by != ClosedBy::Surface {
            need.towers = need.towers.max(whole(hardest));
        }
        need
    }

    /// The air of the worst month, in which the loop must close besides the mean air.
    pub(super) fn worst_air(self) -> Option<AirChoice> {
        (self.worst_slot != MEAN_SLOT).then(|| air_of(self.worst_slot))
    }

    /// That more runs in than the surface alone drives off.
    pub(super) fn more_than_surface(self) -> Limit {
        Limit::MoreThanSurface {
            runs_in_m3_per_s: self.forced_m3_per_s,
            surface_m3_per_s: self.forced_m3_per_s - self.worst_m3_per_s,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_surface_drives_off_is_what_runs_in_less_what_is_left() {
        let need = Need {
            forced_m3_per_s: 5.0,
            worst_m3_per_s: 2.0,
            worst_slot: MEAN_SLOT,
            towers: 0,
            is_cold: false,
        };
        let told = Limit::MoreThanSurface {
            runs_in_m3_per_s: 5.0,
            surface_m3_per_s: 3.0,
        };
        assert_eq!(need.more_than_surface(), told);
    }
}
