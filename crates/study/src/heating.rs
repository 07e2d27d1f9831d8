//! What the evaporation heaters give, and how hard they work while the evaporator works.

use dragback_plant::ids::HeatId;
use dragback_plant::network::{HeatLaw, LoopRoles};

use crate::figures::Means;

/// Heating of a loop's evaporation heaters over a stretch of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Heating {
    /// Mean power given; what a cooler takes away does not count against it, W.
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
        let mean_w = self.mean_heating_w(roles);
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

    /// Mean power given, W.
    ///
    /// Where heaters and coolers hold one set point, a batch of cold water and the warmth of the current would switch from one to the other within
    /// minutes. A bath carries itself through that, so that only what is left over two hours of work, or of rest, counts.
    fn mean_heating_w(&self, roles: &LoopRoles) -> f64 {
        const CARRIED_S: f64 = 7_200.0;
        let layout = self.plant.layout();
        let (mut all_j, mut all_s) = (0.0, 0.0);
        for &heater in &roles.heaters {
            let (mut net_j, mut net_s, mut worked) = (0.0, 0.0, false);
            for i in self.intervals() {
                let works = roles
                    .drag_out
                    .iter()
                    .any(|&t| self.rose(layout.moved(t), i));
                if works != worked {
                    all_j += f64::max(net_j, 0.0);
                    (net_j, net_s, worked) = (0.0, 0.0, works);
                }
                net_j += self.gained(layout.delivered(heater), i);
                net_s += self.seconds(i);
                if net_s >= CARRIED_S {
                    all_j += f64::max(net_j, 0.0);
                    (net_j, net_s) = (0.0, 0.0);
                }
            }
            all_j += f64::max(net_j, 0.0);
        }
        for i in self.intervals() {
            all_s += self.seconds(i);
        }
        if all_s > 0.0 { all_j / all_s } else { 0.0 }
    }

    /// Mean heat that a loop's towers draw, W.
    fn tower_heat_w(&self, roles: &LoopRoles) -> f64 {
        let layout = self.plant.layout();
        let towers = roles.towers.iter();
        towers.map(|&t| self.rate(layout.tower_heat(t))).sum()
    }

    /// Heat given over the interval before moment `i`, J.
    ///
    /// Within an interval, what a cooler of the same vessel takes counts against it. So where both happen within minutes (a batch of cold
    /// make-up into a bath that its current heats) the figure rises by a few percent with finer intervals.
    fn heating_j(&self, roles: &LoopRoles, i: usize) -> f64 {
        let layout = self.plant.layout();
        roles
            .heaters
            .iter()
            .map(|&h| self.gained(layout.delivered(h), i).max(0.0))
            .sum()
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
        let power = |h: &HeatId| match self.plant.network().heats[h.index()].law {
            HeatLaw::Power { power_w } => power_w,
            HeatLaw::Coil { cap_w, .. } => cap_w,
            HeatLaw::Hold { heat_w, .. } => heat_w,
            HeatLaw::Work { .. } => 0.0,
        };
        roles.heaters.iter().map(power).sum()
    }
}
