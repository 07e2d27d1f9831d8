//! How long the drivers take on the demo, one core, against the limits that a dragged lever sets.
//!
//! Prints a table with the fastest and the middle of several runs, what a year's run holds in memory, and what large networks cost; exits with 1 when
//! any is over three times its limit.

#![expect(
    clippy::print_stdout,
    reason = "a table on the terminal is what this program is for"
)]

use std::sync::Arc;
use std::time::{Duration, Instant};

use dragback_plant::network::Network;
use dragback_plant::{Plant, TowerCache};
use dragback_run::World;
use dragback_run::exact::{self, ExactOptions};
use dragback_run::preview::{self, PreviewOptions};
use dragback_run::settle::settle;
use dragback_study::{Case, Clock};
use dragback_tests::sample::{self, Sample};

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

/// Loops of four tanks each, with so many species in all of them.
fn large(loops: usize, species: usize) -> Network {
    let (mut net, _) = sample::network(&Sample {
        loops,
        stages: 1,
        ..Sample::default()
    });
    while net.solutes.len() < species {
        let mut tracer = net.solutes[0].clone();
        tracer.name = format!("tracer {}", net.solutes.len());
        net.solutes.push(tracer);
        for vessel in &mut net.vessels {
            vessel.initial.concentration_kg_per_m3.push(0.1);
        }
        for supply in &mut net.supplies {
            supply.solute_kg_per_m3.push(0.001);
        }
    }
    net
}

/// Least time of some weeks by either driver, ns per vessel and species.
fn cost_ns(loops: usize, is_exact: bool) -> Result<f64, Box<dyn std::error::Error>> {
    const SPECIES: usize = 40;
    let cache = TowerCache::default();
    let plant = Arc::new(Plant::new(Arc::new(large(loops, SPECIES)), &cache)?);
    let cells = (plant.network().vessels.len() * SPECIES) as f64;
    let mut best = f64::INFINITY;
    for _ in 0..7 {
        let mut world = World::new(Arc::clone(&plant), cache.clone());
        let start = Instant::now();
        if is_exact {
            exact::run(
                &mut world,
                2.0 * DAY_S,
                &ExactOptions::default(),
                &mut |_| true,
            )?;
        } else {
            preview::run(
                &mut world,
                28.0 * DAY_S,
                &PreviewOptions::default(),
                &mut |_| true,
            )?;
        }
        best = best.min(start.elapsed().as_secs_f64() * 1e9);
    }
    Ok(best / cells)
}

/// What large networks cost against small ones.
fn scaling() -> Result<bool, Box<dyn std::error::Error>> {
    const MOST: f64 = 2.0;
    let mut is_slow = false;
    for (name, is_exact) in [("averaged", false), ("exact", true)] {
        let (small, large) = (cost_ns(5, is_exact)?, cost_ns(15, is_exact)?);
        println!(
            "{name:8} 20 x 40: {small:8.0} ns, 60 x 40: {large:8.0} ns per vessel and species: {:.2} times (limit {MOST})",
            large / small
        );
        is_slow |= large / small > 3.0 * MOST;
    }
    Ok(is_slow)
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
    if let Some(mb) = dragback_bench::peak_mb() {
        println!(
            "most memory so far, several years' runs included: {mb:.0} MB (limit 100 for a year)"
        );
        is_slow |= mb > 300.0;
    }
    is_slow |= scaling()?;
    if is_slow {
        return Err("over three times a limit".into());
    }
    Ok(())
}
