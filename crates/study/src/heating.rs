//! What the evaporation heaters give, and how hard they work while the evaporator works.

use dragback_plant::control::{Role, Signal};
use dragback_plant::ids::{HeatId, TransferId, VesselId};
use dragback_plant::network::{End, Law, LoopRoles};
use dragback_plant::water;

use crate::figures::Means;

/// Heating of a loop's evaporation heaters over a stretch of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Heating {
    /// Mean power given, W.
    pub mean_w: f64,
    /// Share of their power that is given while a tower works; of all time where none does.
    pub duty: f64,
    /// Power given meanwhile, W.
    pub given_w: f64,
    /// Share of their power that is given in the hardest interval, whether a tower works in it or not.
    pub hardest: f64,
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
            // No interval is without tower: what the towers do not cool away would be given without them too.
            (mean_w - self.tower_cooling_w(roles)).max(0.0)
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
        let given = intervals
            .iter()
            .map(|(seconds, joules, _)| joules / seconds);
        let hardest_w = given.fold(0.0, f64::max);
        Heating {
            mean_w,
            duty,
            given_w,
            hardest: if capacity_w > 0.0 {
                hardest_w / capacity_w
            } else {
                0.0
            },
        }
    }

    /// Mean power of heaters, W; that of coolers is below zero.
    pub(crate) fn mean_heat_w(&self, heats: impl IntoIterator<Item = HeatId>) -> f64 {
        let layout = self.plant.layout();
        let each = heats.into_iter();
        each.map(|h| self.rate(layout.delivered(h))).sum()
    }

    /// Mean heat by which a loop's towers cool their tanks, W: what they draw less what the water that goes had in it, which takes its own warmth along and
    /// leaves the rest as warm as it was.
    fn tower_cooling_w(&self, roles: &LoopRoles) -> f64 {
        let (plant, layout) = (self.plant, self.plant.layout());
        let cooling_j = |i: usize| -> f64 {
            let towers = roles.towers.iter().map(|&t| {
                let vessel = plant.network().towers[t.index()].vessel;
                let (_, temp_c, _) = plant.holdup(vessel, self.trace.row(i));
                let held_j = self.gained(layout.tower_water(t), i) * water::CP_WATER * temp_c;
                self.gained(layout.tower_heat(t), i) - held_j
            });
            towers.sum()
        };
        self.intervals().map(cooling_j).sum::<f64>() / self.span_s
    }

    /// Whether the evaporation heaters give something while a tower works, but less than the cold water that comes meanwhile at the beck of a level asks
    /// for. Between its batches the tank then warms by itself: the heaters work for minutes after each, and a mean need is not what they give.
    pub(crate) fn heats_batches_only(&self, roles: &LoopRoles) -> bool {
        let fed = self.fed_by_level(roles);
        if fed.is_empty() {
            return false;
        }
        let (mut asked_j, mut work_s) = (0.0, 0.0);
        for i in self.intervals() {
            let share = self.tower_share_at(roles, i);
            if share > RESTS {
                asked_j += fed
                    .iter()
                    .map(|&stream| self.warming_j(stream, i))
                    .sum::<f64>();
                work_s += share * self.seconds(i);
            }
        }
        let heating = self.heating(roles);
        heating.duty > 0.0 && work_s > 0.0 && heating.given_w < asked_j / work_s
    }

    /// Streams that a level lets into the tanks of a loop's evaporation heaters, each with its tank.
    fn fed_by_level(&self, roles: &LoopRoles) -> Vec<(TransferId, VesselId)> {
        let net = self.plant.network();
        let is_heated = |v: VesselId| {
            let mut heaters = roles.heaters.iter();
            heaters.any(|h| net.heats[h.index()].vessel == v)
        };
        let all = net.transfers.iter().enumerate();
        let fed = all.filter_map(|(t, transfer)| {
            let (End::Vessel(v), Law::Fixed { .. }) = (transfer.to, &transfer.law) else {
                return None;
            };
            let device = &net.devices[transfer.gate.device?.index()];
            let is_asked = device.relays().iter().any(|r| {
                let relay = &net.relays[r.index()];
                relay.role == Role::Regulate && relay.signal == Signal::Level(v)
            });
            (is_heated(v) && is_asked).then_some((TransferId(t), v))
        });
        fed.collect()
    }

    /// Heat that brings what a stream gave over the interval before moment `i` to the temperature of its tank, J; none where it is warmer.
    fn warming_j(&self, (t, v): (TransferId, VesselId), i: usize) -> f64 {
        let (plant, net) = (self.plant, self.plant.network());
        let temp_c = |v: VesselId| plant.holdup(v, self.trace.row(i)).1;
        let from_c = match net.transfers[t.index()].from {
            End::Vessel(from) => temp_c(from),
            End::Supply(supply, _) => net.supplies[supply.index()].temp_c,
            End::Account(_) => return 0.0,
        };
        let kg = self.gained(plant.layout().moved(t), i) * water::density_kg_per_m3(from_c);
        kg * water::CP_WATER * (temp_c(v) - from_c).max(0.0)
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
