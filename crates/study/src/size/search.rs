//! The search for the sizes of one layout.

use std::sync::Arc;

use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_run::RunError;
use dragback_run::clock::{Clock, Hours};
use dragback_run::settle::settle;
use dragback_scenario::{ClosedBy, Equipment, Layout};
use dragback_units::constants as unit;

use super::hand::{LEAST_TANK_M3, LEFT};
use super::root::{KNOWN, Root};
use super::week::{Week, air_of};
use super::{
    HEATER_RESERVE, Limit, MOST_TOWERS, Row, Sizing, TANK_RESERVE, TOO_LITTLE, TOWER_RESERVE,
};
use crate::case::{Case, StudyError};

/// Most weeks that are settled to find the flow.
const MOST_WEEKS: usize = 14;
/// Weeks after which towers are only added, so that flow and towers do not chase each other.
const FREE_WEEKS: usize = 5;
/// Most times that something is enlarged because it was too small.
const MOST_TRIES: usize = 6;
/// Rinse water under this share of the drag-out is next to none.
const NEXT_TO_NONE: f64 = 0.05;

/// Why a search ended without a row that works.
pub(super) enum Stop {
    /// The layout does not work.
    Limit(Limit),
    /// The search was given up.
    Study(StudyError),
}

/// What is needed for a rinse flow.
#[derive(Clone, Copy, Debug)]
struct Need {
    /// Water that runs in whether there is room for it or not, m³/s.
    forced_m3_per_s: f64,
    /// Water to drive off in the worst month, surface losses credited, m³/s.
    worst_m3_per_s: f64,
    /// The air of the worst month.
    worst_slot: usize,
    towers: usize,
}

impl Need {
    /// The air of the worst month, in which the loop must close besides the mean air.
    fn worst_air(self) -> Option<AirChoice> {
        (self.worst_slot != MEAN_SLOT).then(|| air_of(self.worst_slot))
    }

    /// That more runs in than the surface alone drives off.
    fn more_than_surface(self) -> Limit {
        Limit::MoreThanSurface {
            runs_in_m3_per_s: self.forced_m3_per_s,
            surface_m3_per_s: self.forced_m3_per_s - self.worst_m3_per_s,
        }
    }
}

/// What a settled week asks of heaters and tanks.
#[derive(Clone, Copy, Debug, Default)]
struct Swings {
    heater_w: f64,
    /// What comes and goes in the collection tank, m³.
    collection_m3: f64,
    /// By how much the holding tank falls below the level at which evaporation stops, m³.
    holding_m3: f64,
}

/// The search for one layout.
pub(super) struct Search<'a, 'w> {
    pub(super) sizing: &'a Sizing,
    pub(super) layout: Layout,
    /// Whether the bath's surface alone closes the loop with these rinses.
    closes_by_itself: bool,
    watch: &'w mut dyn FnMut(f64) -> bool,
}

impl<'a, 'w> Search<'a, 'w> {
    pub(super) fn new(
        sizing: &'a Sizing,
        layout: Layout,
        closes_by_itself: bool,
        watch: &'w mut dyn FnMut(f64) -> bool,
    ) -> Self {
        Self {
            sizing,
            layout,
            closes_by_itself,
            watch,
        }
    }

    /// The row; `guess` is the flow of a layout that rinses alike, and becomes that of this one.
    pub(super) fn row(&mut self, guess: &mut Option<f64>) -> Result<Row, StudyError> {
        match self.find(guess) {
            Ok(row) => Ok(row),
            Err(Stop::Limit(limit)) => Ok(Row::stopped(self.layout, limit)),
            Err(Stop::Study(why)) => Err(why),
        }
    }

    fn find(&mut self, guess: &mut Option<f64>) -> Result<Row, Stop> {
        self.can_be_clean()?;
        let by_hand = self
            .sizing
            .estimate
            .rinse_m3_per_s(&self.sizing.layouts, &self.layout);
        let start = guess.unwrap_or(by_hand);
        self.is_hopeless(start)?;
        let (mut equipment, need, week) = self.flow(start, guess)?;
        let is_cooler =
            self.sizing.layouts.has_bath_tower() && self.layout.closed_by == ClosedBy::BathTower;
        if self.closes_by_itself && !is_cooler && need.worst_m3_per_s <= 0.0 {
            return Err(Stop::Limit(Limit::NoNeed));
        }
        self.tanks(&mut equipment, need, &week)?;
        self.verified(equipment, need)
    }

    /// Whether enough of the bath's own film is exchanged on the way.
    fn can_be_clean(&self) -> Result<(), Stop> {
        let sizing = self.sizing;
        let case = self.case(&sizing.layouts.usual())?;
        let net = case.plant.network();
        let roles = &net.loops[self.place(&case)?];
        let own = roles.last_film.vessels.iter();
        let share: f64 = own
            .filter(|(v, _)| *v == roles.bath)
            .map(|(_, share)| share)
            .sum();
        if share * sizing.estimate.bath_kg_per_m3 > sizing.layouts.final_limit_kg_per_m3() {
            return Err(Stop::Limit(Limit::NeverClean));
        }
        Ok(())
    }

    fn case(&self, equipment: &Equipment) -> Result<Case, Stop> {
        let scenario = self.sizing.layouts.scenario(&self.layout, equipment);
        Case::new(Arc::new(scenario), &self.sizing.cache).map_err(|why| {
            Stop::Limit(Limit::NoAnswer {
                why: why.to_string(),
            })
        })
    }

    fn place(&self, case: &Case) -> Result<usize, Stop> {
        let key = self.sizing.layouts.key();
        let mut loops = case.plant.network().loops.iter();
        loops.position(|roles| roles.name == key).ok_or_else(|| {
            Stop::Limit(Limit::NoAnswer {
                why: format!("there is no loop `{key}`"),
            })
        })
    }

    /// The settled week of some sizes.
    fn week(&mut self, equipment: &Equipment, air: AirChoice) -> Result<Week, Stop> {
        let case = self.case(equipment)?;
        let place = self.place(&case)?;
        let clock = Clock {
            hours: Hours::Calendar,
            air,
        };
        match settle(&case.world(), clock, self.watch) {
            Ok(settled) => Ok(Week {
                case,
                settled,
                air,
                place,
                feed_m3_per_s: self.sizing.estimate.work.open_share() * equipment.rinse_m3_per_s,
            }),
            Err(RunError::Cancelled) => Err(Stop::Study(StudyError::Run(RunError::Cancelled))),
            Err(why) => Err(Stop::Limit(Limit::NoAnswer {
                why: why.to_string(),
            })),
        }
    }

    /// Temperature at which the towers' tank is held, °C.
    fn set_c(&self) -> f64 {
        let layouts = &self.sizing.layouts;
        match self.layout.closed_by {
            ClosedBy::HoldingTank => layouts.holding().set_point.quantity().celsius(),
            _ => layouts.bath_set_c(),
        }
    }

    fn need(&self, week: &Week) -> Need {
        let estimate = &self.sizing.estimate;
        let forced = week.forced_m3_per_s();
        let duty = |slot: usize| forced - week.surface_m3_per_s(slot);
        let has_towers = self.layout.closed_by != ClosedBy::Surface;
        let mut need = Need {
            forced_m3_per_s: forced,
            worst_m3_per_s: f64::NEG_INFINITY,
            worst_slot: MEAN_SLOT,
            towers: usize::from(has_towers),
        };
        let mut hardest = f64::NEG_INFINITY;
        for slot in estimate.slots() {
            let duty = duty(slot);
            need.worst_m3_per_s = need.worst_m3_per_s.max(duty);
            let towers = if has_towers {
                TOWER_RESERVE * duty / week.per_tower_m3_per_s(slot, self.set_c())
            } else {
                duty
            };
            if towers > hardest {
                (hardest, need.worst_slot) = (towers, slot);
            }
        }
        if has_towers {
            need.towers = need.towers.max(whole(hardest));
        }
        need
    }

    /// Finds the flow that just keeps the film, with the towers that it then needs.
    fn flow(
        &mut self,
        start: f64,
        guess: &mut Option<f64>,
    ) -> Result<(Equipment, Need, Week), Stop> {
        let limit = self.sizing.layouts.final_limit_kg_per_m3();
        let (out_m3_per_s, _) = self.sizing.layouts.drag_out_m3_per_s();
        let forced = self.forced_by_hand(start);
        let mut towers = match self.layout.closed_by {
            ClosedBy::Surface => 0,
            _ => whole(self.towers_by_hand(forced)?).clamp(1, MOST_TOWERS),
        };
        let mut root = Root::new(start.ln(), f64::from(self.layout.stages));
        let mut more = 0;
        let mut last = Limit::NotSharp;
        for weeks in 0..MOST_WEEKS {
            let rinse = root.at.exp();
            if rinse < NEXT_TO_NONE * out_m3_per_s {
                return Err(Stop::Limit(Limit::CleanAnyway));
            }
            let equipment = self.provisional(rinse, towers);
            let week = self.week(&equipment, AirChoice::Mean)?;
            let film = week.worst_film_kg_per_m3();
            let need = self.need(&week);
            let miss = (film / limit).ln();
            if miss > -KNOWN {
                self.is_too_much(&week, need)?;
            }
            let is_cut = week.is_cut();
            if is_cut && miss > 0.0 && more < 3 && towers > 0 {
                // The bath is full: more evaporation gives it room.
                more += 1;
                towers = (need.towers.max(towers) + 1).min(MOST_TOWERS);
                root.reset();
                continue;
            }
            last = if is_cut {
                Limit::NoRoom
            } else {
                Limit::NotSharp
            };
            let wanted = match self.layout.closed_by {
                ClosedBy::Surface => 0,
                _ if weeks > FREE_WEEKS => (need.towers + more).clamp(towers, MOST_TOWERS),
                _ => (need.towers + more).min(MOST_TOWERS),
            };
            let is_sized = wanted == towers;
            if is_sized && root.is_near(miss) {
                *guess = Some(rinse);
                let equipment = Equipment {
                    rinse_m3_per_s: root.next(miss).exp(),
                    ..equipment
                };
                return Ok((equipment, need, week));
            }
            root.go(miss);
            if !is_sized {
                root.reset();
                towers = wanted;
            }
        }
        Err(Stop::Limit(last))
    }

    /// Whether even the film that is still too strong takes more water than can be driven off.
    fn is_too_much(&self, week: &Week, need: Need) -> Result<(), Stop> {
        let forced = need.forced_m3_per_s;
        match self.layout.closed_by {
            ClosedBy::Surface if need.worst_m3_per_s > 0.01 * forced => {
                Err(Stop::Limit(need.more_than_surface()))
            }
            ClosedBy::Surface if week.is_cut() => Err(Stop::Limit(Limit::NoRoom)),
            _ if need.towers > MOST_TOWERS => {
                let towers = need.towers;
                Err(Stop::Limit(Limit::TooManyTowers { towers }))
            }
            _ => Ok(()),
        }
    }

    /// Sizes heaters and tanks by the week in the mean air, and those of a holding tank by that in the worst month's too.
    fn tanks(&mut self, equipment: &mut Equipment, need: Need, week: &Week) -> Result<(), Stop> {
        let mut swings = self.swings(equipment, week);
        if self.layout.closed_by == ClosedBy::HoldingTank
            && let Some(air) = need.worst_air()
        {
            let week = self.week(equipment, air)?;
            let more = self.swings(equipment, &week);
            swings = Swings {
                heater_w: swings.heater_w.max(more.heater_w),
                collection_m3: swings.collection_m3.max(more.collection_m3),
                holding_m3: swings.holding_m3.max(more.holding_m3),
            };
        }
        let Swings {
            heater_w,
            collection_m3,
            holding_m3,
        } = swings;
        let own_w = match self.layout.closed_by {
            ClosedBy::HoldingTank => 0.0,
            _ => self.sizing.layouts.bath_heater_w(),
        };
        equipment.heater_w = up(HEATER_RESERVE * heater_w, 1000.0, 2).max(own_w);
        if self.layout.closed_by == ClosedBy::HoldingTank {
            let wanted = TANK_RESERVE * collection_m3 / (1.0 - LEFT);
            equipment.collection_m3 = up(wanted.max(LEAST_TANK_M3), 1e-3, 2);
            let per_tower = self.sizing.estimate.tower(self.layout.closed_by)[MEAN_SLOT];
            #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
            let evaporates = equipment.towers as f64 * per_tower;
            let wanted = self.holding_m3(TANK_RESERVE * holding_m3, evaporates);
            equipment.holding_m3 = up(wanted, 1e-3, 2);
        }
        equipment.rinse_m3_per_s = up(equipment.rinse_m3_per_s, FLOW_UNIT, 3);
        Ok(())
    }

    /// What a week asks of heaters and tanks.
    fn swings(&self, equipment: &Equipment, week: &Week) -> Swings {
        let mut swings = Swings {
            heater_w: week.heater_w(),
            ..Swings::default()
        };
        let roles = week.roles();
        if let (Some(collection), Some(holding)) = (roles.collection, roles.holding) {
            let (low, high) = week.swing_m3(collection);
            let is_full = high > 0.995 * equipment.collection_m3;
            let more = if is_full { 1.5 } else { 1.0 };
            swings.collection_m3 = more * (high - low);
            let stands = self.sizing.layouts.holding();
            let share = equipment.holding_m3 / stands.tank.volume.si();
            let area_m2 = share * stands.tank.footprint.si();
            let stop_m3 = area_m2 * stands.electrodes.evaporation_stop.si();
            let (low, _) = week.swing_m3(holding);
            swings.holding_m3 = (stop_m3 - low).max(0.0);
        }
        swings
    }

    /// Settles what was found, puts right what is too small, and sees that a little less water would not do.
    fn verified(&mut self, mut equipment: Equipment, need: Need) -> Result<Row, Stop> {
        let limit = self.sizing.layouts.final_limit_kg_per_m3();
        let mut tries = 0;
        loop {
            let week = self.week(&equipment, AirChoice::Mean)?;
            let stopped = self.stops(&week, &equipment, need)?;
            let film = week.worst_film_kg_per_m3();
            tries += 1;
            if let Some(stopped) = stopped {
                if tries > MOST_TRIES
                    || !stopped.is_of_size()
                    || !self.enlarge(&mut equipment, &stopped)
                {
                    return Err(Stop::Limit(self.told(stopped, need)));
                }
                continue;
            }
            if film > limit {
                if tries > MOST_TRIES {
                    return Err(Stop::Limit(Limit::NotSharp));
                }
                equipment.rinse_m3_per_s = up(1.0005 * equipment.rinse_m3_per_s, FLOW_UNIT, 3);
                continue;
            }
            let less = Equipment {
                rinse_m3_per_s: TOO_LITTLE * equipment.rinse_m3_per_s,
                ..equipment
            };
            let fails = self.week(&less, AirChoice::Mean)?;
            if fails.worst_film_kg_per_m3() > limit {
                return Ok(self.filled(&week, equipment));
            }
            if tries > MOST_TRIES {
                return Err(Stop::Limit(Limit::NotSharp));
            }
            equipment.rinse_m3_per_s = up(
                0.5 * (1.0 + TOO_LITTLE) * equipment.rinse_m3_per_s,
                FLOW_UNIT,
                3,
            );
        }
    }

    /// What stops it besides the film, in the mean air or in the worst month.
    fn stops(
        &mut self,
        week: &Week,
        equipment: &Equipment,
        need: Need,
    ) -> Result<Option<Limit>, Stop> {
        if let Some(limit) = week.limit() {
            return Ok(Some(limit));
        }
        let worst = need.worst_air().map(|air| self.week(equipment, air));
        Ok(worst.transpose()?.and_then(|week| week.limit()))
    }

    /// Makes what was too small larger; whether there is anything to enlarge.
    fn enlarge(&self, equipment: &mut Equipment, limit: &Limit) -> bool {
        match (self.layout.closed_by, limit) {
            (ClosedBy::Surface, _) => false,
            (ClosedBy::BathTower, _) => {
                equipment.towers += 1;
                equipment.heater_w = up(1.2 * equipment.heater_w, 1000.0, 2);
                equipment.towers <= MOST_TOWERS
            }
            (ClosedBy::HoldingTank, Limit::Alarm { .. }) => {
                equipment.holding_m3 = up(1.25 * equipment.holding_m3, 1e-3, 2);
                true
            }
            (ClosedBy::HoldingTank, _) => {
                equipment.collection_m3 = up(1.25 * equipment.collection_m3, 1e-3, 2);
                true
            }
        }
    }

    /// A limit with what is known of it.
    fn told(&self, limit: Limit, need: Need) -> Limit {
        if self.layout.closed_by == ClosedBy::Surface
            && limit == Limit::NoRoom
            && need.worst_m3_per_s > 0.0
        {
            return need.more_than_surface();
        }
        limit
    }
}

/// A litre an hour, m³/s.
const FLOW_UNIT: f64 = unit::m3_per_s_from_l_per_h(1.0);

/// A value rounded up to so many digits of a unit.
fn up(si: f64, unit: f64, digits: i32) -> f64 {
    let value = si / unit;
    if value <= 0.0 || !value.is_finite() {
        return si;
    }
    #[expect(clippy::cast_possible_truncation, reason = "an exponent of ten")]
    let places = digits - 1 - value.log10().floor() as i32;
    let scale = 10_f64.powi(places);
    // What is round already stays.
    let steps = (value * scale * (1.0 - 1e-9)).ceil();
    steps / scale * unit
}

/// A number of towers, at least none.
pub(super) fn whole(towers: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "never negative, and cut to what is no longer reasonable"
    )]
    let whole = towers.ceil().clamp(0.0, 9999.0) as usize;
    whole
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
        };
        let told = Limit::MoreThanSurface {
            runs_in_m3_per_s: 5.0,
            surface_m3_per_s: 3.0,
        };
        assert_eq!(need.more_than_surface(), told);
    }
}
