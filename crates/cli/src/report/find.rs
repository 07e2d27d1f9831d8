//! Everything that a report tells, worked out over all cores.

use std::sync::Arc;

use anyhow::{Context, Result};
use dragback_plant::TowerCache;
use dragback_report::{ChangeFindings, Findings, LineFindings, MoneyFindings, SizeFindings};
use dragback_scenario::Scenario;
use dragback_study::StudyError;
use dragback_study::money::{MoneyError, Plan};
use dragback_study::size::{Reach, Rinsing, Row, Sizing, best_first, reaches};

use crate::io::Io;
use crate::progress::Progress;
use crate::size::sizing;
use crate::source::Loaded;
use crate::spread::spread;

/// What is asked of a report.
pub(super) struct Wanted<'a> {
    /// Years in which money is to be back.
    pub within_years: f64,
    /// What the film on the work is to keep; each loop's own limit where left out.
    pub final_rinse: Option<&'a str>,
    /// Whether all layouts are sized.
    pub all_layouts: bool,
}

/// The layouts of a loop to be sized.
struct Sized {
    key: String,
    sizing: Sizing,
}

/// A piece of the work.
enum Piece {
    Line,
    Change,
    Rows(usize, Rinsing),
    Reach(usize),
}

/// What came of a piece.
enum Found {
    Line(Box<LineFindings>),
    Change(Box<ChangeFindings>),
    NoMoney(MoneyError),
    Rows(usize, Vec<Row>),
    Reach(usize, Vec<Reach>),
}

/// What went wrong, and with which line.
enum Fault {
    Line(StudyError),
    Before(StudyError),
}

impl From<StudyError> for Fault {
    fn from(why: StudyError) -> Self {
        Self::Line(why)
    }
}

impl Fault {
    /// It with the file that it is about.
    fn named(self, line: &Loaded, before: Option<&Loaded>) -> anyhow::Error {
        let (why, of) = match self {
            Self::Line(why) => (why, line),
            Self::Before(why) => (why, before.unwrap_or(line)),
        };
        anyhow::Error::new(why).context(of.name.clone())
    }
}

/// Works everything out.
pub(super) fn find(
    loaded: &Loaded,
    against: Option<&Loaded>,
    wanted: &Wanted<'_>,
    io: &mut Io<'_>,
) -> Result<Findings> {
    let (sized, refused) = sized(loaded, wanted)?;
    let pieces = pieces(loaded, against, &sized, wanted);
    let scenario = Arc::new(loaded.scenario.clone());
    let before = against.map(|b| Arc::new(b.scenario.clone()));
    let mut progress = Progress::counting(io, "Working the report out", "parts", pieces.len());
    let work = |piece: &Piece| {
        work(
            piece,
            &scenario,
            before.as_ref(),
            &sized,
            wanted.within_years,
        )
    };
    let found = spread(&pieces, work, |done| progress.done(done));
    drop(progress);
    let mut line = None;
    let mut money = None;
    let mut sizes: Vec<SizeFindings> = sized
        .iter()
        .map(|s| SizeFindings::empty(&s.key, &s.sizing))
        .collect();
    for each in found {
        match each.map_err(|why| why.named(loaded, against))? {
            Found::Line(found) => line = Some(*found),
            Found::Change(found) => money = Some(MoneyFindings::Change(found)),
            Found::NoMoney(why) => money = Some(MoneyFindings::None(why.to_string())),
            Found::Rows(i, rows) => sizes[i].rows.extend(rows),
            Found::Reach(i, reaches) => sizes[i].as_it_is = reaches,
        }
    }
    sizes.extend(refused);
    for size in &mut sizes {
        best_first(&mut size.rows);
    }
    let line = line.context("the line was not worked out")?;
    let money = money.unwrap_or_else(|| line.money());
    Ok(Findings {
        line,
        against: against.map(|b| b.scenario.title.clone()),
        money,
        sizes,
    })
}

/// The loops to be sized: those with a limit for the film. One that cannot be sized is told so, unless what it is to keep was asked for here.
fn sized(loaded: &Loaded, wanted: &Wanted<'_>) -> Result<(Vec<Sized>, Vec<SizeFindings>)> {
    let (mut found, mut refused) = (Vec::new(), Vec::new());
    for (key, line) in loaded.scenario.loops.iter() {
        if let Some(limit) = wanted.final_rinse {
            let (key, sizing) = (key.to_owned(), sizing(loaded, key, limit)?);
            found.push(Sized { key, sizing });
            continue;
        }
        let Some(limit) = line.final_limit.as_ref().map(|l| l.quantity().clone()) else {
            continue;
        };
        let si = limit.si();
        match Sizing::new(&loaded.scenario, key, limit, &TowerCache::default()) {
            Ok(sizing) => found.push(Sized {
                key: key.to_owned(),
                sizing,
            }),
            Err(StudyError::Scenario { problems }) => {
                let why: Vec<String> = problems.iter().map(|p| p.message.clone()).collect();
                refused.push(SizeFindings::refused(key, si, why.join("; ")));
            }
            Err(why) => return Err(anyhow::Error::new(why).context(loaded.name.clone())),
        }
    }
    Ok((found, refused))
}

/// Long pieces first, so that no core waits for the last one.
fn pieces(
    loaded: &Loaded,
    against: Option<&Loaded>,
    sized: &[Sized],
    wanted: &Wanted<'_>,
) -> Vec<Piece> {
    let mut pieces = vec![Piece::Line];
    pieces.extend(against.map(|_| Piece::Change));
    for (i, Sized { key, .. }) in sized.iter().enumerate() {
        pieces.push(Piece::Reach(i));
        let alike = loaded.scenario.loops.get(key).map(Rinsing::like);
        let all = match alike {
            Some(alike) if !wanted.all_layouts => alike,
            _ => Rinsing::all(),
        };
        pieces.extend(all.into_iter().map(|rinsing| Piece::Rows(i, rinsing)));
    }
    pieces
}

fn work(
    piece: &Piece,
    scenario: &Arc<Scenario>,
    before: Option<&Arc<Scenario>>,
    sized: &[Sized],
    within_years: f64,
) -> Result<Found, Fault> {
    let cache = TowerCache::default();
    let go_on = &mut |_: f64| true;
    Ok(match piece {
        Piece::Line => {
            let found = LineFindings::of(Arc::clone(scenario), &cache, go_on)?;
            Found::Line(Box::new(found))
        }
        Piece::Change => {
            let before = before.unwrap_or(scenario);
            let old = Plan::settled(Arc::clone(before), &cache, &mut |_| true);
            let old = match old {
                Err(MoneyError::Study(why)) => return Err(Fault::Before(why)),
                old => old,
            };
            let change = || {
                let old = old?;
                let new = Plan::settled(Arc::clone(scenario), &cache, &mut |_| true)?;
                ChangeFindings::of(&old, &new, within_years, &cache, &mut |_| true)
            };
            match change() {
                Ok(found) => Found::Change(Box::new(found)),
                Err(MoneyError::Study(why)) => return Err(Fault::Line(why)),
                Err(why) => Found::NoMoney(why),
            }
        }
        Piece::Rows(i, rinsing) => Found::Rows(*i, sized[*i].sizing.rows(*rinsing, go_on)?),
        Piece::Reach(i) => Found::Reach(*i, reaches(scenario, &sized[*i].key, &cache, go_on)?),
    })
}
