//! Sizing: what must be installed so that work leaves clean enough and the loop closes.
//!
//! [`Sizing`] goes through the layouts of a loop. For each it finds the least rinse water that keeps the film on the work in the worst hour of the
//! settled week, the towers, heaters and tanks that the water then needs, and settles the very scenario that this describes. Rows are independent of
//! each other: a face may spread [`Sizing::rows`] over its threads.

mod edge;
mod estimate;
mod filled;
mod finish;
mod flow;
mod hand;
mod heat;
mod holds;
mod limit;
mod need;
mod order;
mod root;
mod row;
mod search;
mod turned;
mod wanted;
mod week;

use dragback_plant::TowerCache;
use dragback_scenario::{
    Before, ClosedBy, Drain, Layout, Layouts, Loop, Problem, Scenario, Section,
};
use dragback_units::Quantity;
use dragback_units::dim::Concentration;

use crate::case::StudyError;
use crate::spread::spread;
use estimate::Estimate;
use search::Search;

pub use heat::Heat;
pub use limit::Limit;
pub use order::{Rank, best_first, not_counted, place};
pub use row::Row;
pub use turned::{Moved, Reach, reaches};
pub use wanted::wanted;

/// Evaporation of the towers over what the worst month asks for.
pub const TOWER_RESERVE: f64 = 1.15;
/// Heaters over what they give while the evaporator works.
pub const HEATER_RESERVE: f64 = 1.15;
/// Room of the tanks over what swings in them.
pub const TANK_RESERVE: f64 = 1.1;
/// Most towers that are proposed.
pub const MOST_TOWERS: usize = 12;
/// Most counterflow rinses that are proposed.
pub const MOST_STAGES: u32 = 6;
/// Share of the stated rinse flow at which the film must be too strong, so that the flow is the least.
pub const TOO_LITTLE: f64 = 0.98;

/// Rinses before anything closes the loop: what the film on the work depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rinsing {
    /// Counterflow rinses.
    pub stages: u32,
    /// What stands before them.
    pub before: Option<Before>,
    /// Whether a free-running final rinse follows.
    pub has_free_final: bool,
}

impl Rinsing {
    /// All that are looked at.
    #[must_use]
    pub fn all() -> Vec<Self> {
        let mut all = Vec::new();
        for before in [None, Some(Before::Still), Some(Before::Spray)] {
            for has_free_final in [false, true] {
                all.extend((1..=MOST_STAGES).map(|stages| Self {
                    stages,
                    before,
                    has_free_final,
                }));
            }
        }
        all
    }

    /// The same in the order in which work is spread best: the more tanks, the longer it takes.
    pub fn longest_first(mut all: Vec<Self>) -> impl Iterator<Item = Self> {
        all.sort_by_key(|rinsing| std::cmp::Reverse(rinsing.stages));
        all.into_iter()
    }

    /// Those that differ from what a line has in the number of counterflow rinses alone.
    #[must_use]
    pub fn like(line: &Loop) -> Vec<Self> {
        let has_still = line.route.iter().any(|v| line.stills.contains_key(&v.at));
        let has_spray = line
            .route
            .iter()
            .any(|v| v.at == "bath" && v.spray.is_some());
        let before = if has_still {
            Some(Before::Still)
        } else {
            has_spray.then_some(Before::Spray)
        };
        let is_free = |s: &Section| s.drain == Drain::Treatment;
        let drains = || line.sections.iter().map(|(_, s)| is_free(s));
        let has_free_final = drains().any(|free| free) && drains().any(|free| !free);
        let is_alike = |r: &Self| r.before == before && r.has_free_final == has_free_final;
        Self::all().into_iter().filter(is_alike).collect()
    }

    /// The layout that something closes.
    #[must_use]
    pub const fn closed(self, closed_by: ClosedBy) -> Layout {
        Layout {
            stages: self.stages,
            before: self.before,
            has_free_final: self.has_free_final,
            closed_by,
        }
    }
}

/// The ways to close a loop, in the order of what they cost to build.
pub const CLOSINGS: [ClosedBy; 3] = [
    ClosedBy::Surface,
    ClosedBy::BathTower,
    ClosedBy::HoldingTank,
];

/// A part of a table of layouts.
pub enum Part {
    /// Rows of one way of rinsing.
    Rows(Vec<Row>),
    /// How far the line as it is still closes.
    Reaches(Vec<Reach>),
}

/// Parts of the whole table of layouts: one for each way of rinsing, and one for how far the line as it is still closes.
#[must_use]
pub fn table_parts() -> usize {
    1 + Rinsing::all().len()
}

/// Works the whole table of layouts out, and how far the line as it is still closes, on as many threads as there are cores. Each part goes to `take` as soon as it
/// is there; `goes_on` is asked several times a second, with the number of parts that are done.
///
/// # Errors
/// The first of those that parts end with; being given up is none.
pub fn table(
    scenario: &Scenario,
    sizing: &Sizing,
    mut take: impl FnMut(Part),
    goes_on: impl FnMut(usize) -> bool,
) -> Result<(), StudyError> {
    let key = sizing.layouts.key();
    // What asks how far the line closes goes first: it takes the longest.
    let mut pieces = vec![None];
    pieces.extend(Rinsing::longest_first(Rinsing::all()).map(Some));
    let mut fault: Option<(usize, StudyError)> = None;
    spread(
        &pieces,
        |rinsing, watch| match rinsing {
            None => reaches(scenario, key, &sizing.cache, watch).map(Part::Reaches),
            Some(rinsing) => sizing.rows(*rinsing, watch).map(Part::Rows),
        },
        |place, part| match part {
            Ok(part) => take(part),
            Err(why) if fault.as_ref().is_none_or(|(first, _)| place < *first) => {
                fault = Some((place, why));
            }
            Err(_) => {}
        },
        goes_on,
    );
    fault.map_or(Ok(()), |(_, why)| Err(why))
}

/// Sizes the layouts of one loop.
pub struct Sizing {
    layouts: Layouts,
    cache: TowerCache,
    estimate: Estimate,
}

impl Sizing {
    /// For a loop of a scenario whose film is to keep a limit.
    ///
    /// # Errors
    /// When there is no such loop, the limit is not below the strength of the bath, or the scenario makes no plant.
    pub fn new(
        scenario: &Scenario,
        key: &str,
        final_limit: Quantity<Concentration>,
        cache: &TowerCache,
    ) -> Result<Self, StudyError> {
        let refused = |problem| StudyError::Scenario {
            problems: vec![problem],
        };
        let layouts = Layouts::new(scenario, key, final_limit.clone()).map_err(refused)?;
        let estimate = Estimate::of(&layouts, cache)?;
        if final_limit.si() >= estimate.bath_kg_per_m3 {
            let message = format!(
                "\"{final_limit}\" is not below the strength of the bath itself, {}",
                final_limit.in_its_unit(estimate.bath_kg_per_m3, 3)
            );
            let problem = Problem::at(format!("{key}.final_limit"), message, "give less");
            return Err(refused(problem));
        }
        Ok(Self {
            layouts,
            cache: cache.clone(),
            estimate,
        })
    }

    /// The rows of one way of rinsing, one for each way to close the loop.
    ///
    /// # Errors
    /// When `watch` gives up.
    pub fn rows(
        &self,
        rinsing: Rinsing,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Vec<Row>, StudyError> {
        let (mut guess, mut known) = (None, None);
        let mut rows = Vec::new();
        for closed_by in CLOSINGS {
            let layout = rinsing.closed(closed_by);
            let closes_by_itself = rows.first().is_some_and(|row: &Row| row.verified);
            let mut search = Search::new(self, layout, closes_by_itself, &mut known, watch);
            rows.push(search.row(&mut guess)?);
        }
        Ok(rows)
    }

    /// The scenario that a row describes; `None` where it has no figures.
    #[must_use]
    pub fn scenario(&self, row: &Row) -> Option<Scenario> {
        let equipment = row.equipment.as_ref()?;
        Some(self.layouts.scenario(&row.plan, equipment))
    }

    /// The layouts.
    #[must_use]
    pub const fn layouts(&self) -> &Layouts {
        &self.layouts
    }
}
