//! Sizes by hand: a first guess before any week is settled.

use dragback_plant::climate::MEAN_SLOT;
use dragback_scenario::{Before, ClosedBy, Equipment};

use super::search::{Search, Stop, whole};
use super::week::l_per_h;
use super::{Limit, MOST_TOWERS, TOWER_RESERVE};

/// What by hand takes more than this many times what is there is not tried.
const HOPELESS: f64 = 1.5;
/// The same behind a still rinse, whose worth no hand rule tells.
const HOPELESS_STILL: f64 = 6.0;
/// Share of a collection tank that its pump leaves, so as not to run dry.
pub(super) const LEFT: f64 = 0.12;
/// Smallest tanks that are proposed, m³.
pub(super) const LEAST_TANK_M3: f64 = 0.1;

impl Search<'_, '_> {
    /// What is so far from working by hand that no week need be settled.
    pub(super) fn is_hopeless(&self, rinse_m3_per_s: f64) -> Result<(), Stop> {
        let estimate = &self.sizing.estimate;
        let often = match self.layout.before {
            Some(Before::Still) => HOPELESS_STILL,
            _ => HOPELESS,
        };
        let forced = self.forced_by_hand(rinse_m3_per_s);
        if self.layout.closed_by == ClosedBy::Surface {
            let surface = estimate.slots().map(|s| estimate.surface[s]);
            let surface = surface.fold(f64::INFINITY, f64::min);
            if forced > often * surface.max(1e-9) + 1e-7 {
                return Err(Stop::Limit(Limit::MoreThanSurface {
                    runs_in_m3_per_s: forced,
                    surface_m3_per_s: surface,
                }));
            }
            return Ok(());
        }
        let towers = self.towers_by_hand(forced)?;
        if towers > often * f64::from(u32::try_from(MOST_TOWERS).unwrap_or(u32::MAX)) {
            let towers = whole(towers);
            return Err(Stop::Limit(Limit::TooManyTowers { towers }));
        }
        Ok(())
    }

    /// The flow at which so many towers on the bath, or its surface alone, leave the cleanest film behind a still rinse, by hand. What they drive off
    /// beyond what runs in they draw from the still rinse: its strength falls as one over what is left for it, while the rinses dilute by the flow to
    /// the power of their number, so the best share of the rinses is that number over one more, as far as the towers keep their reserve. A search up to
    /// there finds the least flow that works.
    pub(super) fn cleanest_m3_per_s(&self, towers: usize) -> f64 {
        let estimate = &self.sizing.estimate;
        let per_tower = estimate.tower(ClosedBy::BathTower);
        #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
        let driven = |slot: usize, reserve: f64| match towers {
            0 => estimate.surface[slot],
            n => n as f64 * per_tower[slot] / reserve + estimate.surface[slot],
        };
        let stages = f64::from(self.layout.stages);
        let best = stages / (stages + 1.0) * driven(MEAN_SLOT, 1.0);
        let kept = estimate.slots().map(|slot| driven(slot, TOWER_RESERVE));
        let (out_m3_per_s, _) = self.sizing.layouts.drag_out_m3_per_s();
        kept.fold(best, f64::min) / estimate.work.open_share() + out_m3_per_s
    }

    /// Water that runs in, mean of the week, by hand.
    pub(super) fn forced_by_hand(&self, rinse_m3_per_s: f64) -> f64 {
        let (out_m3_per_s, _) = self.sizing.layouts.drag_out_m3_per_s();
        let share = self.sizing.estimate.work.open_share();
        share * (rinse_m3_per_s - out_m3_per_s).max(0.0)
    }

    /// Towers by hand, not rounded.
    pub(super) fn towers_by_hand(&self, forced_m3_per_s: f64) -> Result<f64, Stop> {
        let estimate = &self.sizing.estimate;
        let per_tower = estimate.tower(self.layout.closed_by);
        let mut towers = 0.0_f64;
        for slot in estimate.slots() {
            if per_tower[slot] <= 0.0 {
                return Err(Stop::Limit(Limit::NothingEvaporates));
            }
            let duty = forced_m3_per_s - estimate.surface[slot];
            towers = towers.max(TOWER_RESERVE * duty / per_tower[slot]);
        }
        Ok(if towers.is_nan() { 1.0 } else { towers })
    }

    /// Sizes before a week is known: ample heaters, tanks by hand.
    pub(super) fn provisional(&self, rinse_m3_per_s: f64, towers: usize) -> Equipment {
        let (sizing, usual) = (self.sizing, self.sizing.layouts.usual());
        let estimate = &sizing.estimate;
        let (out_m3_per_s, _) = sizing.layouts.drag_out_m3_per_s();
        let per_tower = estimate.tower(self.layout.closed_by)[MEAN_SLOT];
        #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
        let evaporates = towers as f64 * per_tower.max(0.0);
        let surface = estimate.surface[MEAN_SLOT];
        // Latent heat and as much again for warm air, cold water and walls.
        let ample_w = 2.0 * 2.45e9 * evaporates;
        let waiting = estimate.waiting_m3(
            rinse_m3_per_s - out_m3_per_s,
            (evaporates + surface) / TOWER_RESERVE,
        );
        let drink = 1.2 * surface * estimate.rest_s();
        match self.layout.closed_by {
            ClosedBy::HoldingTank => Equipment {
                rinse_m3_per_s,
                towers,
                heater_w: ample_w.max(usual.heater_w),
                holding_m3: self.holding_m3(drink, evaporates),
                collection_m3: (1.5 * waiting / (1.0 - LEFT)).max(LEAST_TANK_M3),
                ..usual
            },
            _ => Equipment {
                rinse_m3_per_s,
                towers,
                heater_w: sizing.layouts.bath_heater_w() + ample_w + 2.45e9 * surface,
                ..usual
            },
        }
    }

    /// A holding tank that has so much between the levels at which evaporation stops and the return pump would run dry, m³.
    pub(super) fn holding_m3(&self, drink_m3: f64, evaporates_m3_per_s: f64) -> f64 {
        let holding = self.sizing.layouts.holding();
        let reserve_m =
            holding.electrodes.evaporation_stop.si() - holding.give_back.dry_run_level.si();
        let depth_m = holding.tank.volume.si() / holding.tank.footprint.si();
        let by_drink_m2 = drink_m3 / reserve_m.max(0.02);
        let by_towers_m2 = dragback_scenario::least_holding_m2(l_per_h(evaporates_m3_per_s));
        (depth_m * by_drink_m2.max(by_towers_m2)).max(LEAST_TANK_M3)
    }
}
