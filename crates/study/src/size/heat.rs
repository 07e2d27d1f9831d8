//! Where the heat of the tank that evaporates goes.

use dragback_plant::flows::SurfaceLoss;
use dragback_plant::ids::TransferId;
use dragback_plant::network::End;
use dragback_properties::water;
use dragback_units::constants as unit;
use serde::Serialize;

use super::filled::tidy;
use super::week::Week;

/// The heat of the tank that evaporates, mean of the settled week in the mean air, kW. What leaves the tank counts; what comes in by other ways than its
/// heaters counts against it. The parts together are what the heaters give.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Heat {
    /// Latent heat of what the towers and the tank's own surface drive off.
    pub latent_kw: f64,
    /// Warming of the liquid that comes in up to the tank's temperature.
    pub refill_kw: f64,
    /// Warming of the towers' air.
    pub air_kw: f64,
    /// Through walls, and from the surface to the air over it.
    pub losses_kw: f64,
    /// Work that is warmed, coolers, less what current gives; nothing of a holding tank.
    pub others_kw: f64,
    /// What the heaters give.
    pub mean_kw: f64,
    /// By how much the stated heaters stand over what they give in their hardest hours of that week: at work of a holding tank, in any hour of a bath; `None`
    /// without heaters.
    pub margin_fraction: Option<f64>,
}

impl Week {
    /// Where the heat of the tank that evaporates goes, where heaters of `heater_w` W are stated.
    pub(super) fn heat(&self, heater_w: f64) -> Heat {
        let (means, plant) = (self.means(), &self.case.plant);
        let (net, layout) = (plant.network(), plant.layout());
        let v = self.hot_tank();
        let vessel = &net.vessels[v.index()];
        let towers: Vec<_> = self.roles().towers.clone();
        let slot = self.air.slot(0.0, 0);
        let into: Vec<TransferId> = (0..net.transfers.len())
            .map(TransferId)
            .filter(|t| net.transfers[t.index()].to == End::Vessel(v))
            .collect();
        let (mut latent_j, mut refill_j, mut air_j, mut losses_j) = (0.0, 0.0, 0.0, 0.0);
        for i in means.intervals() {
            // The middle of the interval stands for it.
            let (before, after) = (self.settled.trace.row(i - 1), self.settled.trace.row(i));
            let temp = |v| 0.5 * (plant.holdup(v, before).1 + plant.holdup(v, after).1);
            let temp_c = temp(v);
            let latent = water::latent_heat_j_per_kg(temp_c);
            latent_j += latent * means.gained(layout.surface_water(v), i);
            for &t in &towers {
                let kg = means.gained(layout.tower_water(t), i);
                latent_j += latent * kg;
                let vapour_j = kg * water::enthalpy_vapour_j_per_kg(temp_c);
                air_j += means.gained(layout.tower_heat(t), i) - vapour_j;
            }
            for &t in &into {
                let (from_c, j_per_m3_k) = match net.transfers[t.index()].from {
                    End::Vessel(from) => {
                        let (volume_m3, from_c, j_per_k) = plant.holdup(from, after);
                        (from_c, j_per_k / volume_m3.max(1e-9))
                    }
                    End::Supply(s, _) => {
                        let from_c = net.supplies[s.index()].temp_c;
                        (from_c, water::CP_WATER * water::density_kg_per_m3(from_c))
                    }
                    End::Account(_) => continue,
                };
                refill_j += means.gained(layout.moved(t), i) * j_per_m3_k * (temp_c - from_c);
            }
            let room_c = plant.room(vessel.climate, slot).temp_c;
            let mut loss_w = vessel.wall_w_per_k * (temp_c - room_c);
            if let Some(surface) = vessel.surface {
                let activity = plant.water_activity(v, after).unwrap_or(1.0);
                let lost = SurfaceLoss::of(plant, v, temp_c, activity, slot);
                loss_w += surface.area_m2 * lost.heat_w_per_m2;
            }
            losses_j += loss_w * means.seconds(i);
        }
        let mut own = Vec::new();
        let mut others_w = 0.0;
        for (h, heat) in net.heats.iter().enumerate() {
            let h = dragback_plant::ids::HeatId(h);
            if heat.vessel != v {
                continue;
            }
            let roles = self.roles();
            if roles.heaters.contains(&h) || roles.bath_heaters.contains(&h) {
                own.push(h);
            } else {
                others_w -= means.rate(layout.delivered(h));
            }
        }
        let kw = |joules: f64| tidy(unit::kilowatts(joules / means.span_s));
        Heat {
            latent_kw: kw(latent_j),
            refill_kw: kw(refill_j),
            air_kw: kw(air_j),
            losses_kw: kw(losses_j),
            others_kw: tidy(unit::kilowatts(others_w)),
            mean_kw: tidy(unit::kilowatts(means.mean_heat_w(own))),
            margin_fraction: margin(heater_w, self.heater_w()),
        }
    }
}

/// How far heaters stand over what they give, W; nothing without heaters, or where they give nothing.
fn margin(heater_w: f64, gives_w: f64) -> Option<f64> {
    (heater_w > 0.0 && gives_w > 0.0).then(|| tidy(heater_w / gives_w - 1.0))
}
