//! How long a strength lets its device run within a step.

use dragback_plant::control::Acts;

use super::Preview;
use crate::standins::{Cycle, StrengthHold};
use crate::world::World;

/// A strength and its water in the last step.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct SeenStrength {
    pub(super) value: f64,
    pub(super) step_s: f64,
    pub(super) flow_m3_per_s: f64,
    pub(super) worked: bool,
    /// What the work or the tower brought in, in units of the strength times m³/s.
    pub(super) load: f64,
    /// The relay at the step's end.
    pub(super) is_on: bool,
}

pub(super) fn is_working(world: &World) -> bool {
    let open = &world.setting.open;
    let works = world.plant.network().works.iter();
    works
        .map(|w| open[w.calendar.index()])
        .any(|share| share > 0.0)
}

impl Preview {
    /// Share of the time that a strength lets its device run.
    ///
    /// Where the device feeds water, the load that came in with the work is read off the last step, and the switching of the
    /// relay through the step follows in closed form. Where it pumps strong liquid out and a weaker one is pumped in instead, the
    /// weaker one is the water, and what the tower concentrates is the load. Else the share falls evenly across the band.
    pub(super) fn strength_share(
        &mut self,
        world: &World,
        hold: &StrengthHold,
        i: usize,
        h: f64,
    ) -> f64 {
        if world.relays[hold.relay.index()].stuck || world.by_hand[hold.device.index()] {
            return 1.0;
        }
        let relay = &self.plant.network().relays[hold.relay.index()];
        let value = self.plant.read(relay.signal, &world.y);
        let Some(feed) = hold.feed else {
            let rise = ((value - relay.lower) / (relay.upper - relay.lower)).clamp(0.0, 1.0);
            return if relay.acts == Acts::Above {
                rise
            } else {
                1.0 - rise
            };
        };
        let against = match feed.refill {
            Some(v) if self.now.wet[v.index()] > 0.0 => {
                self.plant.read(relay.signal.moved_to(v), &world.y)
            }
            _ => feed.reading,
        };
        let now = value - against;
        let volume = self.now.volume_m3[feed.vessel.index()];
        let is_open = world.setting.outputs[hold.device.index()];
        let seen = &mut self.seen_strength[i];
        if seen.step_s > 0.0 && seen.worked {
            let weight = self.end_weight[feed.vessel.index()];
            let mean = weight * now + (1.0 - weight) * seen.value;
            let load = volume * (now - seen.value) / seen.step_s + seen.flow_m3_per_s * mean;
            seen.load = load.max(0.0);
        }
        let works = feed.refill.is_some() || is_working(world);
        let mut cycle = Cycle {
            load: if works { seen.load } else { 0.0 },
            volume_m3: volume,
            flow_m3_per_s: feed.capacity_m3_per_s * is_open,
            band: (relay.lower - against, relay.upper - against),
            is_on: relay.next(value, seen.is_on),
        };
        let share = cycle.share_of(h, now);
        *seen = SeenStrength {
            value: now,
            step_s: h,
            flow_m3_per_s: cycle.flow_m3_per_s * share,
            worked: works,
            load: seen.load,
            is_on: cycle.is_on,
        };
        share
    }
}
