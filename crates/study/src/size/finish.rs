//! Tanks and heaters of a layout whose flow and towers are known, and the proof that it works.

use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_plant::ids::VesselId;
use dragback_scenario::{ClosedBy, Equipment, Stands};

use super::flow::Found;
use super::hand::{LEAST_TANK_M3, LEFT};
use super::need::Need;
use super::root::LEAST_SLOPE;
use super::search::{FLOW_UNIT, Search, Stop, up};
use super::week::{Week, air_of};
use super::{HEATER_RESERVE, Limit, TANK_RESERVE, TOO_LITTLE};

/// Most times that something is put right because it was too small or too large.
const MOST_TRIES: usize = 6;
/// Most times that a tank is made larger: what three times its first size does not cure is no matter of size.
const MOST_LARGER: usize = 3;
/// Least step up of a flow that is not enough, and most step down of one that is too much.
const LEAST_MORE: f64 = 1.0005;
const LEAST_LESS: f64 = 0.9;
/// What a flow is raised by so that it is enough at the first try, as a logarithm: little beside the 2 % by which less must be too little.
const A_LITTLE: f64 = 0.002;
/// Most step up: where the film hardly falls with the flow, the slope says little.
const MOST_MORE: f64 = 1.25;
/// Unit in which heaters are rounded up, W.
const POWER_UNIT: f64 = 1000.0;

/// A film that misses its limit by more than this does so by any week, as a logarithm: weeks that are found quickly are right to a small part of it, …
const PLAIN: f64 = 0.005;
/// … but where no week repeats, when batches fall by chance, and near what weeks tell apart at all.
const PLAIN_RESTLESS: f64 = 0.02;
/// Limits above this are far from what quickly found weeks tell apart, kg/m³.
const WELL_TOLD_KG_PER_M3: f64 = 2e-4;

/// A holding tank that comes so near to its low alarm is looked at switch by switch, m: pumps that work in batches leave it a centimetre lower than their mean.
const NEAR_ALARM_M: f64 = 0.015;

/// What a settled week asks of heaters and tanks.
#[derive(Clone, Copy, Debug, Default)]
struct Swings {
    heater_w: f64,
    /// What comes and goes in the collection tank, m³.
    collection_m3: f64,
    /// By how much the holding tank falls below the level at which evaporation stops, m³.
    holding_m3: f64,
}

impl Search<'_, '_> {
    /// Gives a layout its tanks and heaters, and settles it as it stands and at a little less water. What stops it where it does not work; the flow
    /// and the tanks become those that do, and the week that of the row.
    pub(super) fn finished(&mut self, found: &mut Found) -> Result<Result<(), Limit>, Stop> {
        let worst = self.tanks(found)?;
        // No size keeps a salt dissolved: that is seen before months and less water are looked at.
        if let Some(stopped @ Limit::Salt { .. }) = self.salted(found)? {
            return Ok(Err(stopped));
        }
        found.equipment.stands = self.stands(&found.week);
        // A closed loop keeps for years what it begins with: weeks from here on begin with the row's own contents.
        *self.known = None;
        self.meet_hardest_air(found, worst.as_ref())?;
        self.verified(found)
    }

    /// Where the tanks stand from which the layout evaporates, mean of a week: the line begins as it goes on.
    fn stands(&self, week: &Week) -> Stands {
        let (means, roles) = (week.means(), week.roles());
        let plant = &week.case.plant;
        let volume_m3 = |v| means.mean(|y| plant.holdup(v, y).0);
        let strength = |v| means.mean(|y| plant.concentration(v, roles.lead, y).unwrap_or(0.0));
        let full_m3 = |v: VesselId| plant.network().vessels[v.index()].full_m3;
        match self.layout.closed_by {
            ClosedBy::Surface => Stands::default(),
            ClosedBy::BathTower => Stands {
                bath_m3: Some(volume_m3(roles.bath)),
                ..Stands::default()
            },
            ClosedBy::HoldingTank => Stands {
                holding: roles.holding.map(|v| {
                    let share = strength(v) / strength(roles.bath);
                    let share = if share.is_finite() { share } else { 1.0 };
                    (volume_m3(v) / full_m3(v), share)
                }),
                ..Stands::default()
            },
        }
    }

    /// What the week of what was found, and then the one that everybody finds, says of a salt that comes out.
    fn salted(&mut self, found: &Found) -> Result<Option<Limit>, Stop> {
        if !matches!(found.week.limit(), Some(Limit::Salt { .. })) {
            return Ok(None);
        }
        Ok(self.week(&found.equipment, AirChoice::Mean)?.limit())
    }

    /// Sizes heaters and tanks by the week in the mean air, and those of a holding tank by that in the worst month's too, which is given back.
    fn tanks(&mut self, found: &mut Found) -> Result<Option<Week>, Stop> {
        let is_holding = self.layout.closed_by == ClosedBy::HoldingTank;
        let need = found.need;
        let mut swings = self.swings(&found.equipment, &found.week);
        let mut worst = None;
        if is_holding && let Some(air) = need.worst_air() {
            let week = worst.insert(self.near_week(&found.equipment, air)?);
            let more = self.swings(&found.equipment, week);
            swings = Swings {
                heater_w: swings.heater_w.max(more.heater_w),
                collection_m3: swings.collection_m3.max(more.collection_m3),
                holding_m3: swings.holding_m3.max(more.holding_m3),
            };
        }
        let equipment = &mut found.equipment;
        let own_w = match self.layout.closed_by {
            ClosedBy::HoldingTank => 0.0,
            _ => self.sizing.layouts.bath_heater_w(),
        };
        let heater_w = up(HEATER_RESERVE * swings.heater_w, POWER_UNIT, 2).max(own_w);
        equipment.heater_w = if need.is_cold { 0.0 } else { heater_w };
        if is_holding {
            let wanted = TANK_RESERVE * swings.collection_m3 / (1.0 - LEFT);
            equipment.collection_m3 = up(wanted.max(LEAST_TANK_M3), 1e-3, 2);
            let per_tower = self.sizing.estimate.tower(self.layout.closed_by)[MEAN_SLOT];
            #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
            let evaporates = equipment.towers as f64 * per_tower;
            let wanted = self.holding_m3(TANK_RESERVE * swings.holding_m3, evaporates);
            equipment.holding_m3 = up(wanted, 1e-3, 2);
        }
        equipment.rinse_m3_per_s = up(equipment.rinse_m3_per_s, FLOW_UNIT, 3);
        Ok(worst)
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
    fn verified(&mut self, found: &mut Found) -> Result<Result<(), Limit>, Stop> {
        let limit = self.sizing.layouts.final_limit_kg_per_m3();
        let mut last = Limit::NotSharp;
        let mut times_larger = 0;
        // Flow and miss of a film that was too strong, and in which air, with the equipment that there is.
        let mut short: Option<(f64, f64, AirChoice)> = None;
        for _ in 0..=MOST_TRIES {
            let week = self.heated(&mut found.equipment)?;
            // More water may ask for more towers than the flow did that was looked for.
            let need = self.need(&week);
            let equipment = &mut found.equipment;
            if self.layout.closed_by != ClosedBy::Surface && need.towers > equipment.towers {
                equipment.towers = need.towers;
                if need.towers > self.most_towers {
                    let towers = need.towers;
                    return Ok(Err(Limit::TooManyTowers { towers }));
                }
                (last, short) = (Limit::NotSharp, None);
                continue;
            }
            let hardest = match found.film_air {
                AirChoice::Mean => None,
                air => Some(self.week(equipment, air)?),
            };
            let worst = found.need.worst_air().filter(|air| *air != found.film_air);
            let worst = worst
                .map(|air| self.near_week(equipment, air))
                .transpose()?;
            let weeks = || {
                [Some(&week), hardest.as_ref(), worst.as_ref()]
                    .into_iter()
                    .flatten()
            };
            if let Some(stopped) = weeks().find_map(Week::limit) {
                times_larger += 1;
                if times_larger > MOST_LARGER || !enlarge(equipment, &week, &stopped) {
                    return Ok(Err(self.told(stopped, found.need)));
                }
                (last, short) = (self.told(stopped, found.need), None);
                continue;
            }
            last = Limit::NotSharp;
            let films = weeks().map(|week| (week.worst_film_kg_per_m3(), week.air));
            let (film, air) =
                films.fold((0.0, AirChoice::Mean), |a, b| if b.0 > a.0 { b } else { a });
            let is_whole = air == AirChoice::Mean || air == found.film_air;
            found.film_air = air;
            let miss = (film / limit).ln();
            if !is_whole && miss <= 0.0 && miss > -PLAIN_RESTLESS {
                // The film was strongest in a week that was found quickly: the whole one has the last word.
                continue;
            }
            if miss > 0.0 {
                // Where the film falls less with the flow than it did while that was looked for, what a try brought says by how much.
                let at = equipment.rinse_m3_per_s.ln();
                if let Some((x, f, same_air)) = short.replace((at, miss, air))
                    && same_air == air
                    && at > x
                {
                    let slope = (f - miss) / (at - x);
                    found.slope = slope.max(LEAST_SLOPE).min(found.slope);
                }
                let more = (miss / found.slope).exp().clamp(LEAST_MORE, MOST_MORE);
                equipment.rinse_m3_per_s = up(more * equipment.rinse_m3_per_s, FLOW_UNIT, 3);
                continue;
            }
            let less = Equipment {
                rinse_m3_per_s: TOO_LITTLE * equipment.rinse_m3_per_s,
                ..*equipment
            };
            let low_m = self.low_m();
            let is_near = weeks().any(|week| week.falls_below(low_m));
            let miss = self.miss_of_less(&less, air)?;
            if miss > 0.0 {
                found.week = week;
                if is_near {
                    let alarm = found.week.alarm_switch_by_switch(self.watch)?;
                    return Ok(alarm.map_or(Ok(()), Err));
                }
                return Ok(Ok(()));
            }
            let enough = (miss / found.slope).exp().max(LEAST_LESS) * less.rinse_m3_per_s;
            equipment.rinse_m3_per_s = up(enough, FLOW_UNIT, 3);
        }
        Ok(Err(last))
    }

    /// By how much a little less water misses the limit, as a logarithm. Where it is plain that it does, a week that is found quickly says so; else a whole one
    /// does.
    fn miss_of_less(&mut self, less: &Equipment, air: AirChoice) -> Result<f64, Stop> {
        let limit = self.sizing.layouts.final_limit_kg_per_m3();
        let miss = |week: &Week| (week.worst_film_kg_per_m3() / limit).ln();
        let quick = self.near_week(less, air)?;
        let is_sharp = quick.settled.restless.is_none() && limit > WELL_TOLD_KG_PER_M3;
        let plain = if is_sharp { PLAIN } else { PLAIN_RESTLESS };
        if miss(&quick) > plain {
            return Ok(miss(&quick));
        }
        Ok(miss(&self.week(less, air)?))
    }

    /// Finds the air in which the film is strongest, and raises the flow so that the film keeps the limit there, too. The week in
    /// one of the airs may be `known` already, with tanks and heaters as they were before they were sized: what is found here is a first guess.
    fn meet_hardest_air(&mut self, found: &mut Found, known: Option<&Week>) -> Result<(), Stop> {
        let limit = self.sizing.layouts.final_limit_kg_per_m3();
        let mut hardest = (found.week.worst_film_kg_per_m3(), AirChoice::Mean);
        for air in self.hard_airs(&found.week) {
            let film = match known.filter(|week| week.air == air) {
                Some(week) => week.worst_film_kg_per_m3(),
                None => {
                    let week = self.near_week(&found.equipment, air)?;
                    week.worst_film_kg_per_m3()
                }
            };
            if film > hardest.0 {
                hardest = (film, air);
            }
        }
        found.film_air = hardest.1;
        let miss = (hardest.0 / limit).ln().max(0.0);
        let equipment = &mut found.equipment;
        let more = (A_LITTLE + miss / found.slope).exp().min(MOST_MORE);
        let rinse = more * equipment.rinse_m3_per_s;
        equipment.rinse_m3_per_s = up(rinse, FLOW_UNIT, 3);
        Ok(())
    }

    /// The settled week in the mean air, with heaters that keep their reserve in it: tanks and flow have changed since they were chosen.
    fn heated(&mut self, equipment: &mut Equipment) -> Result<Week, Stop> {
        let mut week = self.week(equipment, AirChoice::Mean)?;
        for _ in 0..MOST_TRIES {
            if !strengthen(equipment, &week) {
                break;
            }
            // Stronger heaters may drive off more and be asked for more again: weeks that are found quickly say where that ends.
            for _ in 0..MOST_TRIES {
                let quick = self.near_week(equipment, AirChoice::Mean)?;
                if !strengthen(equipment, &quick) {
                    break;
                }
            }
            week = self.week(equipment, AirChoice::Mean)?;
        }
        Ok(week)
    }

    /// Airs in which the film may be strongest, besides the mean and that of the worst month: in which rinses lose most of their water, and in which the tank that
    /// evaporates loses most, so that most comes back to the bath, or least, so that there is least room for what a still rinse or a spray brings.
    fn hard_airs(&self, week: &Week) -> Vec<AirChoice> {
        let slots = self.sizing.estimate.slots();
        let most = |of: &dyn Fn(usize) -> f64| {
            let by = |a: &usize, b: &usize| of(*a).total_cmp(&of(*b));
            slots.clone().max_by(by).unwrap_or(MEAN_SLOT)
        };
        let mut slots = vec![
            most(&|slot| week.cold_surface_m3_per_s(slot)),
            most(&|slot| week.hot_surface_m3_per_s(slot)),
            most(&|slot| -week.hot_surface_m3_per_s(slot)),
        ];
        slots.sort_unstable();
        slots.dedup();
        slots.retain(|slot| *slot != MEAN_SLOT);
        slots.into_iter().map(air_of).collect()
    }

    /// Level of the holding tank below which its low alarm is near, m.
    fn low_m(&self) -> f64 {
        self.sizing.layouts.holding().electrodes.low_alarm.si() + NEAR_ALARM_M
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

/// Gives the heaters their reserve over what a week asks of them; whether they lacked it.
fn strengthen(equipment: &mut Equipment, week: &Week) -> bool {
    let heater_w = up(HEATER_RESERVE * week.heater_w(), POWER_UNIT, 2);
    let is_short = equipment.heater_w > 0.0 && heater_w > equipment.heater_w;
    if is_short {
        equipment.heater_w = heater_w;
    }
    is_short
}

/// Makes the tank larger that was too small; whether one was.
fn enlarge(equipment: &mut Equipment, week: &Week, limit: &Limit) -> bool {
    let tank_m3 = match limit {
        Limit::RunsOver { tank } if week.is_collection(tank) => &mut equipment.collection_m3,
        Limit::RunsOver { tank } if week.is_holding(tank) => &mut equipment.holding_m3,
        Limit::Alarm { .. } if week.roles().holding.is_some() => &mut equipment.holding_m3,
        _ => return false,
    };
    *tank_m3 = up(1.5 * *tank_m3, 1e-3, 2);
    true
}
