//! The work behind a report, shared out to the cores.

use std::cell::Cell;
use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::Scenario;
use dragback_study::money::{MoneyError, Plan};
use dragback_study::size::{Reach, Rinsing, Row, Sizing, best_first, reaches};
use dragback_study::{StudyError, spread};
use dragback_units::Quantity;
use dragback_units::dim::Concentration;

use crate::findings::{ChangeFindings, Findings, LineFindings, MoneyFindings, SizeFindings};

/// What is asked of a report.
pub struct Wanted {
    /// The line.
    pub scenario: Arc<Scenario>,
    /// The line that it is set against.
    pub before: Option<Arc<Scenario>>,
    /// Years within which a change is to pay.
    pub within_years: f64,
    /// Loops to be sized, and what the film on the work of each is to keep.
    pub limits: Vec<(String, Quantity<Concentration>)>,
    /// Whether all layouts are sized, and not only those that differ from the line in the number of counterflow rinses.
    pub all_layouts: bool,
}

impl Wanted {
    /// The loops of a scenario that have a limit for the film, with it.
    #[must_use]
    pub fn own_limits(scenario: &Scenario) -> Vec<(String, Quantity<Concentration>)> {
        let each = scenario.loops.iter().filter_map(|(key, line)| {
            let limit = line.final_limit.as_ref()?;
            Some((key.to_owned(), limit.quantity().clone()))
        });
        each.collect()
    }
}

/// Why there is no report, and which of the two lines is at fault.
#[derive(Debug, thiserror::Error)]
pub enum FindError {
    /// The line.
    #[error(transparent)]
    Line(#[from] StudyError),
    /// The one that it is set against.
    #[error(transparent)]
    Before(StudyError),
    /// It was given up.
    #[error("the report was given up")]
    GivenUp,
}

impl Findings {
    /// Works everything out on as many threads as there are cores. `goes_on` is asked several times a second, with the number of parts that are done and
    /// that of all.
    ///
    /// # Errors
    /// When a line does not settle, or `goes_on` says no.
    pub fn of(
        wanted: &Wanted,
        mut goes_on: impl FnMut(usize, usize) -> bool,
    ) -> Result<Self, FindError> {
        let cache = TowerCache::default();
        let (sized, refused) = sized(wanted, &cache)?;
        let pieces = pieces(wanted, &sized);
        let mut sizes: Vec<SizeFindings> = sized
            .iter()
            .map(|(key, sizing)| SizeFindings::empty(key, sizing))
            .collect();
        let (mut line, mut money, mut fault) = (None, None, None);
        let (mut given_up, has_failed) = (false, Cell::new(false));
        spread(
            &pieces,
            |piece, watch| work(piece, wanted, &sized, &cache, watch),
            |place, found| match found {
                Ok(Found::Line(found)) => line = Some(*found),
                Ok(Found::Change(found)) => money = Some(MoneyFindings::Change(found)),
                Ok(Found::NoMoney(why)) => money = Some(MoneyFindings::None(why)),
                Ok(Found::Rows(i, rows)) => sizes[i].rows.extend(rows),
                Ok(Found::Reach(i, reaches)) => sizes[i].as_it_is = reaches,
                Err(why) => {
                    has_failed.set(true);
                    // The line before its layouts, whichever thread is first.
                    if fault.as_ref().is_none_or(|(known, _)| place < *known) {
                        fault = Some((place, why));
                    }
                }
            },
            |done| {
                given_up = !goes_on(done, pieces.len());
                !given_up && !has_failed.get()
            },
        );
        match fault {
            _ if given_up => return Err(FindError::GivenUp),
            Some((_, why)) => return Err(why),
            None => {}
        }
        sizes.extend(refused);
        for size in &mut sizes {
            best_first(&mut size.rows);
        }
        let line = line.ok_or(FindError::GivenUp)?;
        let money = money.unwrap_or_else(|| line.money());
        Ok(Self {
            line,
            against: wanted.before.as_ref().map(|b| b.title.clone()),
            money,
            sizes,
        })
    }
}

/// A piece of the work.
enum Piece {
    Line,
    Change(Arc<Scenario>),
    Rows(usize, Rinsing),
    Reach(usize),
}

/// What came of a piece.
enum Found {
    Line(Box<LineFindings>),
    Change(Box<ChangeFindings>),
    NoMoney(String),
    Rows(usize, Vec<Row>),
    Reach(usize, Vec<Reach>),
}

/// A loop and its sizing.
type Sized = (String, Sizing);

/// The loops that can be sized, and those that cannot, which are told so.
fn sized(
    wanted: &Wanted,
    cache: &TowerCache,
) -> Result<(Vec<Sized>, Vec<SizeFindings>), StudyError> {
    let (mut found, mut refused) = (Vec::new(), Vec::new());
    for (key, limit) in &wanted.limits {
        match Sizing::new(&wanted.scenario, key, limit.clone(), cache) {
            Ok(sizing) => found.push((key.clone(), sizing)),
            Err(StudyError::Scenario { problems }) => {
                let why: Vec<String> = problems.into_iter().map(|p| p.message).collect();
                refused.push(SizeFindings::refused(key, limit.si(), why.join("; ")));
            }
            Err(why) => return Err(why),
        }
    }
    Ok((found, refused))
}

/// Long pieces first, so that no core waits for the last one.
fn pieces(wanted: &Wanted, sized: &[Sized]) -> Vec<Piece> {
    let mut pieces = vec![Piece::Line];
    pieces.extend(wanted.before.iter().cloned().map(Piece::Change));
    for (i, (key, _)) in sized.iter().enumerate() {
        pieces.push(Piece::Reach(i));
        let alike = wanted.scenario.loops.get(key).map(Rinsing::like);
        let all = match alike {
            Some(alike) if !wanted.all_layouts => alike,
            _ => Rinsing::all(),
        };
        let all = Rinsing::longest_first(all);
        pieces.extend(all.map(|rinsing| Piece::Rows(i, rinsing)));
    }
    pieces
}

fn work(
    piece: &Piece,
    wanted: &Wanted,
    sized: &[Sized],
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Found, FindError> {
    let scenario = &wanted.scenario;
    Ok(match piece {
        Piece::Line => {
            let found = LineFindings::of(Arc::clone(scenario), cache, watch)?;
            Found::Line(Box::new(found))
        }
        Piece::Change(before) => {
            let old = match Plan::settled(Arc::clone(before), cache, watch) {
                Err(MoneyError::Study(why)) => return Err(FindError::Before(why)),
                old => old,
            };
            let change = || {
                let (old, new) = (old?, Plan::settled(Arc::clone(scenario), cache, watch)?);
                ChangeFindings::of(&old, &new, wanted.within_years, cache, watch)
            };
            match change() {
                Ok(found) => Found::Change(Box::new(found)),
                Err(MoneyError::Study(why)) => return Err(FindError::Line(why)),
                Err(why) => Found::NoMoney(why.to_string()),
            }
        }
        Piece::Rows(i, rinsing) => Found::Rows(*i, sized[*i].1.rows(*rinsing, watch)?),
        Piece::Reach(i) => Found::Reach(*i, reaches(scenario, &sized[*i].0, cache, watch)?),
    })
}
