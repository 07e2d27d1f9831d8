//! The search for the sizes of one layout.

use std::cell::OnceCell;
use std::rc::Rc;
use std::sync::Arc;

use dragback_plant::climate::AirChoice;
use dragback_run::RunError;
use dragback_run::clock::{Clock, Hours};
use dragback_run::settle::{Settled, settle, settle_near};
use dragback_scenario::{Before, ClosedBy, Equipment, Layout};
use dragback_units::constants as unit;

use super::flow::{Found, Rule, Sought};
use super::need::Need;
use super::week::Week;
use super::{Limit, MOST_TOWERS, Row, Sizing};
use crate::case::{Case, StudyError};

/// Most times that a tower is added because the bath has no room for the water of a shift.
const MOST_MORE: usize = 6;

/// Share of the flow that is cleanest behind a still rinse from which a lower one is looked for.
const LOW_SHARE: f64 = 0.5;

/// Why a search ended without a row that works.
pub(super) enum Stop {
    /// The layout does not work.
    Limit(Limit),
    /// The search was given up.
    Study(StudyError),
}

impl From<StudyError> for Stop {
    /// What has no answer stops the layout alone; giving up stops the search.
    fn from(why: StudyError) -> Self {
        match why {
            StudyError::Run(RunError::Cancelled) => Self::Study(why),
            why => Self::Limit(Limit::NoAnswer {
                why: why.to_string(),
            }),
        }
    }
}

/// The search for one layout.
pub(super) struct Search<'a, 'w> {
    pub(super) sizing: &'a Sizing,
    pub(super) layout: Layout,
    /// Whether the bath's surface alone closes the loop with these rinses.
    closes_by_itself: bool,
    /// Whether a holding tank in which nothing is left to evaporate may stay cold.
    pub(super) may_be_cold: bool,
    /// Towers that are known not to do.
    too_few: usize,
    /// Most towers that are looked at.
    pub(super) most_towers: usize,
    /// What settled last.
    pub(super) known: &'w mut Option<Rc<Settled>>,
    pub(super) watch: &'w mut dyn FnMut(f64) -> bool,
}

impl<'a, 'w> Search<'a, 'w> {
    pub(super) fn new(
        sizing: &'a Sizing,
        layout: Layout,
        closes_by_itself: bool,
        known: &'w mut Option<Rc<Settled>>,
        watch: &'w mut dyn FnMut(f64) -> bool,
    ) -> Self {
        Self {
            sizing,
            layout,
            closes_by_itself,
            may_be_cold: true,
            too_few: 0,
            most_towers: MOST_TOWERS,
            known,
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
        let is_cooler = self.sizing.layouts.has_bath_tower() && self.is_on_bath();
        if self.closes_by_itself && !is_cooler {
            return Err(Stop::Limit(Limit::NoNeed));
        }
        self.can_be_clean()?;
        let by_hand = self
            .sizing
            .estimate
            .rinse_m3_per_s(&self.sizing.layouts, &self.layout);
        let start = guess.unwrap_or(by_hand);
        self.is_hopeless(start)?;
        let mut found = if self.draws_from_still() {
            self.fewest_towers(start)?
        } else {
            let found = self.as_needed(start)?;
            *guess = Some(found.equipment.rinse_m3_per_s);
            found
        };
        let mut last = Limit::NoRoom;
        for _ in 0..=MOST_MORE {
            let Err(limit) = self.finished(&mut found)? else {
                found = self.fewer(found)?;
                return self.filled(&found);
            };
            // A bath has no room for what runs in during a shift, unless more of it evaporates meanwhile.
            if !(self.is_on_bath() && limit.is_of_size()) {
                return Err(Stop::Limit(limit));
            }
            self.too_few = found.equipment.towers;
            found = self.one_more(&found, limit.clone())?;
            last = limit;
        }
        Err(Stop::Limit(last))
    }

    /// Whether towers stand on the bath.
    pub(super) fn is_on_bath(&self) -> bool {
        self.layout.closed_by == ClosedBy::BathTower
    }

    /// Whether towers make the bath draw from a still rinse, so that flow and towers depend on each other.
    pub(super) fn draws_from_still(&self) -> bool {
        self.is_on_bath() && self.layout.before == Some(Before::Still)
    }

    /// The least flow with the towers that it asks for. Behind a still rinse from which the surface of the bath draws there may be one that is small, and
    /// one beyond it that leaves nothing to draw.
    fn as_needed(&mut self, start: f64) -> Result<Found, Stop> {
        if self.layout.before == Some(Before::Still) {
            let most = self.cleanest_m3_per_s(0);
            let from = LOW_SHARE * most;
            // What evaporates in a warm tank is drawn from the still rinse, too.
            for may_be_cold in [true, false] {
                self.may_be_cold = may_be_cold;
                match self.flow(from, most, Rule::AsNeeded)? {
                    Sought::Found(found) => return Ok(*found),
                    Sought::TooFew(need) if !need.is_cold => break,
                    _ => {}
                }
            }
            self.may_be_cold = true;
        }
        let sought = self.flow(start, f64::INFINITY, Rule::AsNeeded)?;
        sought.found(Limit::NotSharp)
    }

    /// The most flow that is looked at with so many towers.
    fn most(&self, towers: usize) -> f64 {
        if self.draws_from_still() {
            self.cleanest_m3_per_s(towers)
        } else {
            f64::INFINITY
        }
    }

    /// The same with fewer towers on the bath, where there are more than what runs in asks for and fewer work.
    fn fewer(&mut self, mut found: Found) -> Result<Found, Stop> {
        while self.is_on_bath() && found.equipment.towers > found.need.towers.max(self.too_few + 1)
        {
            match self.with_one_less(&found) {
                Ok(Some(less)) => found = less,
                // What stops it with one less does not stop it with its own.
                Ok(None) | Err(Stop::Limit(_)) => break,
                Err(given_up) => return Err(given_up),
            }
        }
        Ok(found)
    }

    /// The same with a tower less, if it works.
    fn with_one_less(&mut self, found: &Found) -> Result<Option<Found>, Stop> {
        let start = found.equipment.rinse_m3_per_s;
        let towers = found.equipment.towers - 1;
        match self.flow(start, self.most(towers), Rule::Fixed(towers))? {
            Sought::Found(mut less) => {
                // Its water may ask for more of them again.
                self.most_towers = towers;
                let told = self.finished(&mut less);
                self.most_towers = MOST_TOWERS;
                Ok(told?.is_ok().then_some(*less))
            }
            _ => Ok(None),
        }
    }

    /// The same with a tower more, or more where the flow then asks for more.
    fn one_more(&mut self, found: &Found, limit: Limit) -> Result<Found, Stop> {
        let start = found.equipment.rinse_m3_per_s;
        for towers in found.equipment.towers + 1..=MOST_TOWERS {
            if let Sought::Found(found) =
                self.flow(start, self.most(towers), Rule::Fixed(towers))?
            {
                return Ok(*found);
            }
        }
        Err(Stop::Limit(limit))
    }

    /// The fewest towers on a bath behind which a still rinse stands, with the flow that they ask for. The more they drive off, the more the bath draws
    /// from the still rinse, and the less rinse water it takes: what is too few for its own flow is known from either side.
    fn fewest_towers(&mut self, start: f64) -> Result<Found, Stop> {
        let (mut few, mut many) = (0, usize::MAX);
        let mut enough = None;
        let mut start = start;
        while few + 1 < many {
            let towers = if many <= MOST_TOWERS {
                usize::midpoint(few, many)
            } else {
                (2 * few).clamp(few + 1, MOST_TOWERS)
            };
            match self.flow(start, self.most(towers), Rule::Fixed(towers))? {
                Sought::Found(found) => {
                    start = found.equipment.rinse_m3_per_s;
                    // Fewer towers never need less than that.
                    few = few.max(found.need.towers.saturating_sub(1));
                    many = towers;
                    enough = Some(*found);
                }
                // So many draw so much from the still rinse that no other water is needed.
                Sought::Unknown(Limit::CleanAnyway) => many = towers,
                Sought::TooFew(need) if towers >= MOST_TOWERS => {
                    let towers = need.towers.max(MOST_TOWERS + 1);
                    return Err(Stop::Limit(Limit::TooManyTowers { towers }));
                }
                Sought::TooFew(_) => few = towers,
                Sought::Unknown(limit) => return Err(Stop::Limit(limit)),
            }
        }
        self.too_few = few;
        enough.ok_or(Stop::Limit(Limit::CleanAnyway))
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
        Ok(Case::new(Arc::new(scenario), &self.sizing.cache)?)
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

    /// The settled week of some sizes, as everybody finds it.
    pub(super) fn week(&mut self, equipment: &Equipment, air: AirChoice) -> Result<Week, Stop> {
        self.settled(equipment, air, false)
    }

    /// The same from what settled last, which differs in a few numbers.
    pub(super) fn near_week(
        &mut self,
        equipment: &Equipment,
        air: AirChoice,
    ) -> Result<Week, Stop> {
        self.settled(equipment, air, true)
    }

    fn settled(
        &mut self,
        equipment: &Equipment,
        air: AirChoice,
        is_searching: bool,
    ) -> Result<Week, Stop> {
        let case = self.case(equipment)?;
        let place = self.place(&case)?;
        let clock = Clock {
            hours: Hours::Calendar,
            air,
        };
        let start = case.world();
        let told = if is_searching {
            settle_near(&start, self.known.as_deref(), clock, self.watch)
        } else {
            settle(&start, clock, self.watch)
        };
        let settled = Rc::new(told.map_err(StudyError::from)?);
        // What creeps as a rule but has come to its end here would be far too much of it in all weeks that begin here.
        let keeps = |known: &Rc<Settled>| known.creeps_within(&settled);
        if self.known.as_ref().is_none_or(keeps) {
            *self.known = Some(Rc::clone(&settled));
        }
        Ok(Week {
            case,
            settled,
            air,
            place,
            feed_m3_per_s: self.sizing.estimate.work.open_share() * equipment.rinse_m3_per_s,
            surfaces: OnceCell::new(),
        })
    }

    /// Temperature at which the towers' tank is held, °C.
    pub(super) fn set_c(&self) -> f64 {
        let layouts = &self.sizing.layouts;
        match self.layout.closed_by {
            ClosedBy::HoldingTank => layouts.holding().set_point.quantity().celsius(),
            _ => layouts.bath_set_c(),
        }
    }

    /// What a week asks of the evaporator.
    pub(super) fn need(&self, week: &Week) -> Need {
        let slots = self.sizing.estimate.slots();
        let need = Need::of(week, self.layout.closed_by, slots, self.set_c());
        Need {
            is_cold: need.is_cold && self.may_be_cold,
            ..need
        }
    }
}

/// A litre an hour, m³/s.
pub(super) const FLOW_UNIT: f64 = unit::m3_per_s_from_l_per_h(1.0);

/// A value rounded up to so many digits of a unit.
pub(super) fn up(si: f64, unit: f64, digits: i32) -> f64 {
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
