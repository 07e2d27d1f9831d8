//! What the evaporation heaters give, and how hard they work while the evaporator works.

use dragback_plant::ids::HeatId;
use dragback_plant::network::LoopRoles;

use crate::figures::Means;

/// Heating of a loop's evaporation heaters over a stretch of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Heating {
    /// Mean power given, W.
    pub mean_w: f64,
    /// Share of their power that is given while a tower works; of all time where none does.
    pub duty: f64,
}

/// Less than this share of an interval counts as a tower at rest.
const RESTS: f64 = 1.0e-6;

impl Means<'_> {
    /// Heating of a loop.
    ///
    /// A moment's interval may hold both work and rest of the towers. What the heaters give while the towers rest is known from the
    /// intervals of pure rest, or else from what the towers draw, and is taken off the mixed ones in proportion.
    pub(crate) fn heating(&self, roles: &LoopRoles) -> Heating {
        let capacity_w = self.heater_capacity_w(roles);
        let (mut rest_j, mut rest_s) = (0.0, 0.0);
        let intervals: Vec<(f64, f64, f64)> = self
            .intervals()
            .map(|i| {
                (
                    self.seconds(i),
                    self.heating_j(roles, i),
                    self.tower_share_at(roles, i),
                )
            })
            .collect();
        for &(seconds, joules, share) in &intervals {
            if share <= RESTS {
                rest_j += joules;
                rest_s += seconds;
            }
        }
        let mean_w = self.mean_heat_w(roles.heaters.iter().copied());
        let rest_w = if rest_s > 0.0 {
            rest_j / rest_s
        } else {
            // No interval is without tower: what the towers do not draw would be given without them too.
            (mean_w - self.tower_heat_w(roles)).max(0.0)
        };
        let (mut work_j, mut work_s) = (0.0, 0.0);
        for &(seconds, joules, share) in intervals.iter().filter(|(_, _, share)| *share > RESTS) {
            work_j += joules - (1.0 - share) * seconds * rest_w;
            work_s += share * seconds;
        }
        let given_w = if work_s > 0.0 {
            work_j / work_s
        } else {
            mean_w
        };
        let duty = if capacity_w > 0.0 {
            (given_w / capacity_w).clamp(0.0, 1.0)
        } else {
            0.0
        };
        Heating { mean_w, duty }
    }

    /// Mean power of heaters, W; that of coolers is below zero.
    pub(crate) fn mean_heat_w(&self, heats: impl IntoIterator<Item = HeatId>) -> f64 {
        let layout = self.plant.layout();
        let each = heats.into_iter();
        each.map(|h| self.rate(layout.delivered(h))).sum()
    }

    /// Mean heat that a loop's towers draw, W.
    fn tower_heat_w(&self, roles: &LoopRoles) -> f64 {
        let layout = self.plant.layout();
        let towers = roles.towers.iter();
        towers.map(|&t| self.rate(layout.tower_heat(t))).sum()
    }

    /// Heat given over the interval before moment `i`, J.
    fn heating_j(&self, roles: &LoopRoles, i: usize) -> f64 {
        let layout = self.plant.layout();
        let heaters = roles.heaters.iter();
        heaters.map(|&h| self.gained(layout.delivered(h), i)).sum()
    }

    /// Share of the interval before moment `i` for which the busiest tower worked.
    fn tower_share_at(&self, roles: &LoopRoles, i: usize) -> f64 {
        let layout = self.plant.layout();
        let pumps = roles
            .towers
            .iter()
            .map(|t| self.plant.network().towers[t.index()].pump);
        let ran = pumps.map(|d| self.gained(layout.ran(d), i) / self.seconds(i));
        ran.fold(0.0, f64::max).min(1.0)
    }

    /// Power that a loop's evaporation heaters could give, W.
    fn heater_capacity_w(&self, roles: &LoopRoles) -> f64 {
        let power = |h: &HeatId| self.plant.network().heats[h.index()].law.most_w();
        roles.heaters.iter().map(power).sum()
    }
}
