//! How long the drivers take on the demo, one core, against the limits that a dragged lever sets.
//!
//! Prints a table with the fastest and the middle of several runs; exits with 1 when the middle of any is over three times its limit.

#![expect(
    clippy::print_stdout,
    reason = "a table on the terminal is what this program is for"
)]

use std::sync::Arc;
use std::time::{Duration, Instant};

use dragback_plant::TowerCache;
use dragback_run::exact::{self, ExactOptions};
use dragback_run::preview::{self, PreviewOptions};
use dragback_run::settle::settle;
use dragback_study::{Case, Clock};

const DAY_S: f64 = 86_400.0;

struct Row {
    name: &'static str,
    limit_ms: f64,
    runs: usize,
    work: Box<dyn Fn()>,
}

fn ms(d: Duration) -> f64 {
    d.as_secs_f64() * 1e3
}

/// A run of the averaged driver over some days.
fn averaged(case: &Arc<Case>, days: f64) -> Box<dyn Fn()> {
    let case = Arc::clone(case);
    Box::new(move || {
        let mut world = case.world();
        let options = PreviewOptions::default();
        let done = preview::run(&mut world, days * DAY_S, &options, &mut |_| true);
        assert!(done.is_ok(), "the demo runs");
    })
}

/// A run of the exact driver over some days.
fn switched(case: &Arc<Case>, days: f64, sample_s: f64) -> Box<dyn Fn()> {
    let case = Arc::clone(case);
    Box::new(move || {
        let mut world = case.world();
        let options = ExactOptions {
            sample_s,
            ..ExactOptions::default()
        };
        let done = exact::run(&mut world, days * DAY_S, &options, &mut |_| true);
        assert!(done.is_ok(), "the demo runs");
    })
}

fn settled(case: &Arc<Case>) -> Box<dyn Fn()> {
    let case = Arc::clone(case);
    Box::new(move || {
        let found = settle(&case.world(), Clock::default(), &mut |_| true);
        assert!(found.is_ok(), "the demo settles");
    })
}

/// Times a row; the fastest and the middle, ms.
fn time(row: &Row) -> (f64, f64) {
    (row.work)();
    let mut times: Vec<f64> = Vec::with_capacity(row.runs);
    for _ in 0..row.runs {
        let start = Instant::now();
        (row.work)();
        times.push(ms(start.elapsed()));
    }
    times.sort_by(f64::total_cmp);
    (times[0], times[times.len() / 2])
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/demo.ron");
    let text = std::fs::read_to_string(path)?;
    let (scenario, problems) = dragback_scenario::load(&text);
    let Some(scenario) = scenario else {
        return Err(format!("{problems:?}").into());
    };
    let cache = TowerCache::default();
    let case = Arc::new(Case::new(Arc::new(scenario), &cache)?);
    let load = Box::new(move || {
        let (scenario, _) = dragback_scenario::load(&text);
        let built = scenario.map(|s| Case::new(Arc::new(s), &cache).is_ok());
        assert_eq!(built, Some(true));
    });
    let rows = [
        Row {
            name: "load and compile the scenario",
            limit_ms: 4.0,
            runs: 40,
            work: load,
        },
        Row {
            name: "preview, 90 days",
            limit_ms: 4.0,
            runs: 40,
            work: averaged(&case, 90.0),
        },
        Row {
            name: "preview, a year",
            limit_ms: 15.0,
            runs: 20,
            work: averaged(&case, 365.0),
        },
        Row {
            name: "exact, a week",
            limit_ms: 20.0,
            runs: 20,
            work: switched(&case, 7.0, 900.0),
        },
        Row {
            name: "exact, a year",
            limit_ms: 1000.0,
            runs: 5,
            work: switched(&case, 365.0, 3200.0),
        },
        Row {
            name: "settled week",
            limit_ms: 10.0,
            runs: 40,
            work: settled(&case),
        },
    ];
    println!(
        "{:32} {:>10} {:>10} {:>10}",
        "", "fastest ms", "middle ms", "limit ms"
    );
    let mut is_slow = false;
    for row in &rows {
        let (fastest, middle) = time(row);
        is_slow |= middle > 3.0 * row.limit_ms;
        println!(
            "{:32} {fastest:10.2} {middle:10.2} {:10.0}",
            row.name, row.limit_ms
        );
    }
    if is_slow {
        return Err("over three times a limit".into());
    }
    Ok(())
}
