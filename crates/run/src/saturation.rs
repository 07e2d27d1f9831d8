//! Alarms of tanks from which a salt comes out.

use std::sync::Arc;

use dragback_plant::calendar::HOUR_S;
use dragback_plant::ids::VesselId;

use crate::alarm::Cause;
use crate::told::{Cure, Told};
use crate::world::World;

/// Time between two looks, s: strengths change over days.
const LOOK_S: f64 = 24.0 * HOUR_S;
/// The same where a tank stands above [`NEAR`].
const CLOSE_LOOK_S: f64 = 3.0 * HOUR_S;
/// Index from which a tank is looked at more closely.
const NEAR: f64 = 0.7;
/// Index at which crystals form.
const SATURATED: f64 = 1.0;
/// Index below which a tank has recovered, so that a small swing raises no second alarm.
const RECOVERED: f64 = 0.98;

/// What has been told of a tank's saturation.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Saturated {
    /// It passed saturation at its own temperature, and has not recovered.
    pub now: bool,
    /// It would pass saturation at the room's temperature, and has not recovered.
    pub once_cooled: bool,
}

/// Warming that is tried before it is advised, K.
const WARMER_K: f64 = 10.0;
/// Warming helps when it brings the saturation to less than this share.
const HELPS: f64 = 0.98;

/// A tank that passed saturation with a salt.
#[derive(Clone, Debug, PartialEq)]
pub struct CameOut {
    /// When, s.
    pub t_s: f64,
    /// The tank.
    pub vessel: VesselId,
    /// The salt.
    pub salt: &'static str,
    /// It would come out only once the tank has cooled with the shop.
    pub once_cooled: bool,
}

impl World {
    /// Notes tanks from which a salt comes out at their own temperature, or would in a shop that cools over a weekend. It looks
    /// once a day, and every six hours while a tank is near saturation.
    ///
    /// A tank that a heater keeps warm around the clock does not cool with the shop.
    pub fn note_saturation(&mut self) {
        if self.t_s < self.saturation_due_s {
            return;
        }
        let plant = Arc::clone(&self.plant);
        let mut nearest = 0.0_f64;
        for (i, vessel) in plant.network().vessels.iter().enumerate() {
            let v = VesselId(i);
            let (_, own_c, _) = plant.holdup(v, &self.y);
            let Some(own) = plant.nearest_saturation(v, &self.y, own_c) else {
                self.saturated[i] = Saturated::default();
                self.returned(Cause::Saturated(v));
                self.returned(Cause::OnceCooled(v));
                continue;
            };
            let cooled_c = plant.may_cool_to_c(v, own_c, self.setting.air_slot);
            let cooled = if cooled_c < own_c {
                plant.nearest_saturation(v, &self.y, cooled_c)
            } else {
                Some(own)
            };
            nearest = nearest.max(own.index).max(cooled.map_or(0.0, |c| c.index));
            let before = self.saturated[i];
            let now = follow(before.now, own.index);
            let once_cooled = cooled.is_some_and(|c| follow(before.once_cooled, c.index));
            self.saturated[i] = Saturated { now, once_cooled };
            if before.now && !now {
                self.returned(Cause::Saturated(v));
            }
            if before.once_cooled && !once_cooled {
                self.returned(Cause::OnceCooled(v));
            }
            if now && !before.now {
                self.came_out.push(CameOut {
                    t_s: self.t_s,
                    vessel: v,
                    salt: own.salt,
                    once_cooled: false,
                });
                // Gypsum and some others dissolve no better in warmer water.
                let warmer = plant.nearest_saturation(v, &self.y, own_c + WARMER_K);
                let helps = warmer.is_some_and(|w| w.index < HELPS * own.index);
                let cure = if helps { Cure::WarmOrThin } else { Cure::Thin };
                self.raise(
                    Cause::Saturated(v),
                    &vessel.name,
                    Told::Saturated {
                        salt: own.salt,
                        index: own.index,
                        at_c: own_c,
                        cure,
                    },
                );
            }
            // What has already come out needs no warning of the weekend.
            if let Some(cooled) = cooled.filter(|_| once_cooled && !before.once_cooled && !now) {
                self.came_out.push(CameOut {
                    t_s: self.t_s,
                    vessel: v,
                    salt: cooled.salt,
                    once_cooled: true,
                });
                self.raise(
                    Cause::OnceCooled(v),
                    &vessel.name,
                    Told::Saturated {
                        salt: cooled.salt,
                        index: cooled.index,
                        at_c: cooled_c,
                        cure: Cure::KeepWarmOrThin,
                    },
                );
            }
        }
        let wait_s = if nearest < NEAR { LOOK_S } else { CLOSE_LOOK_S };
        // A second early, so that a step as long as the wait does not miss it by rounding.
        self.saturation_due_s = self.t_s + wait_s - 1.0;
    }
}

fn follow(was: bool, index: f64) -> bool {
    if was {
        index >= RECOVERED
    } else {
        index >= SATURATED
    }
}
