//! `dragback size`.

mod table;

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use anyhow::{Result, bail};
use dragback_plant::TowerCache;
use dragback_scenario::Scenario;
use dragback_study::StudyError;
use dragback_study::size::{CLOSINGS, Reach, Rinsing, Row, Sizing, best_first, reaches, wanted};
use serde::Serialize;

use crate::args::SizeArgs;
use crate::io::{Io, printable};
use crate::progress::Progress;
use crate::show::Show;
use crate::source::{Loaded, Refused, load};
use crate::target::Targets;
use crate::verdict::Verdict;

/// How often the progress looks whether it is due.
const LOOK: Duration = Duration::from_millis(100);

/// A part of the answer.
enum Part {
    /// How far the line as it is closes.
    Reaches(Result<Vec<Reach>, StudyError>),
    /// Rows of one way of rinsing.
    Rows(Result<Vec<Row>, StudyError>),
}

/// What the command writes as JSON.
#[derive(Serialize)]
struct Sheet<'a> {
    scenario: &'a str,
    #[serde(rename = "loop")]
    key: &'a str,
    final_rinse_mg_per_l: f64,
    currency: Option<&'a str>,
    rows: &'a [Row],
    as_it_is: &'a [Reach],
}

/// Sizes the layouts of a loop.
pub(crate) fn size(args: &SizeArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    let targets = Targets::new(None, args.json.as_ref(), &args.input.file)?;
    let loaded = load(&args.input, io)?;
    let key = loop_key(&loaded.scenario, args.loop_key.as_deref())?;
    let sizing = sizing(&loaded, &key, &args.final_rinse)?;
    let (mut rows, as_it_is) = rows(&sizing, (&loaded.scenario, &key), io)?;
    best_first(&mut rows);
    let prices = loaded.scenario.prices.as_ref();
    let currency = prices.and_then(|p| p.currency.as_deref());
    if let Some(target) = &targets.json {
        let limit = sizing.layouts().final_limit_kg_per_m3();
        let sheet = Sheet {
            scenario: &loaded.scenario.title,
            key: &key,
            final_rinse_mg_per_l: dragback_units::constants::mg_per_l(limit),
            currency,
            rows: &rows,
            as_it_is: &as_it_is,
        };
        target.write_json(&sheet, io)?;
    }
    if !targets.take_standard() {
        let text = table::render(
            &loaded.scenario,
            &sizing,
            (&rows, &as_it_is),
            args.all,
            show,
        );
        io.print(&text)?;
    }
    Ok(if rows.iter().any(|row| row.verified) {
        Verdict::Good
    } else {
        Verdict::LimitHit
    })
}

/// The loop asked for; the only one where none is.
fn loop_key(scenario: &Scenario, asked: Option<&str>) -> Result<String> {
    let keys: Vec<&str> = scenario.loops.keys().collect();
    match (asked, &keys[..]) {
        (Some(key), _) if keys.contains(&key) => Ok(key.to_owned()),
        (None, [only]) => Ok((*only).to_owned()),
        (Some(key), _) => bail!(
            "--loop {}: there is no such loop; the loops are {}",
            printable(key),
            keys.join(", ")
        ),
        (None, _) => bail!(
            "the scenario has several loops; say with --loop which: {}",
            keys.join(", ")
        ),
    }
}

fn sizing(loaded: &Loaded, key: &str, final_rinse: &str) -> Result<Sizing> {
    let refused = |problems| Refused {
        file: "--final-rinse".to_owned(),
        problems,
    };
    let limit =
        wanted(&loaded.scenario, key, final_rinse).map_err(|problem| refused(vec![problem]))?;
    let found = Sizing::new(&loaded.scenario, key, limit, &TowerCache::default());
    found.map_err(|why| match why {
        StudyError::Scenario { problems } => refused(problems).into(),
        other => anyhow::Error::new(other).context(loaded.name.clone()),
    })
}

/// Every row, and how far the line as it is still closes, worked out on as many threads as there are cores.
fn rows(
    sizing: &Sizing,
    (scenario, key): (&Scenario, &str),
    io: &mut Io<'_>,
) -> Result<(Vec<Row>, Vec<Reach>)> {
    let all = Rinsing::all();
    let each = CLOSINGS.len();
    let next = AtomicUsize::new(0);
    let mut progress = Progress::counting(io, "Sizing", "layouts", each * all.len());
    let mut parts: Vec<(usize, Part)> = Vec::new();
    thread::scope(|scope| {
        let (found, waiting) = channel();
        let count = thread::available_parallelism().map_or(1, usize::from);
        for _ in 0..count.min(all.len()) {
            let (found, all, next) = (found.clone(), &all, &next);
            scope.spawn(move || {
                loop {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let part = match place.checked_sub(1) {
                        None => {
                            let cache = TowerCache::default();
                            Part::Reaches(reaches(scenario, key, &cache, &mut |_| true))
                        }
                        Some(n) => match all.get(n) {
                            Some(rinsing) => Part::Rows(sizing.rows(*rinsing, &mut |_| true)),
                            None => break,
                        },
                    };
                    // Nobody hangs up before the last part has come.
                    drop(found.send((place, part)));
                }
            });
        }
        drop(found);
        loop {
            match waiting.recv_timeout(LOOK) {
                Ok(part) => parts.push(part),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            let done = parts.iter().filter(|(place, _)| *place > 0).count();
            progress.done(each * done);
        }
    });
    drop(progress);
    parts.sort_by_key(|(place, _)| *place);
    let (mut rows, mut as_it_is) = (Vec::new(), Vec::new());
    for (_, part) in parts {
        match part {
            Part::Rows(found) => rows.extend(found?),
            Part::Reaches(found) => as_it_is = found?,
        }
    }
    Ok((rows, as_it_is))
}
