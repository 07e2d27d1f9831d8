//! Runs written as CSV: heads with units, and columns that add up to the means that JSON tells.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use common::{Folder, at, dragback, line, number};
use serde_json::Value;

#[test]
fn csv_has_heads_with_units_and_one_row_for_each_moment() {
    let ran = dragback(&["run", &line(), "--for", "1 week", "--csv", "-"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let mut csv = csv::Reader::from_reader(ran.out.as_bytes());
    let heads: Vec<String> = csv.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(heads[0], "time (h)");
    let unique: BTreeSet<&String> = heads.iter().collect();
    assert_eq!(unique.len(), heads.len());
    for head in [
        "bath volume (L)",
        "bath level (m)",
        "rinses 3 temperature (°C)",
        "holding tank Ni (g/L)",
        "rinses 3 conductivity (µS/cm)",
        "bath surface evaporation (L/h)",
        "loop film on the work Ni (mg/L)",
    ] {
        assert!(
            heads.iter().any(|h| h == head),
            "{head} is not in {heads:?}"
        );
    }
    assert!(heads.iter().any(|h| h.ends_with("flow (L/h)")), "{heads:?}");
    let rows: Vec<csv::StringRecord> = csv.records().map(Result::unwrap).collect();
    let first_flow = heads
        .iter()
        .position(|h| h.ends_with("flow (L/h)"))
        .unwrap();
    assert_eq!(&rows[0][first_flow], "", "no interval ends at the start");
    let times: Vec<f64> = rows.iter().map(|r| r[0].parse().unwrap()).collect();
    assert!(times.windows(2).all(|t| t[0] <= t[1]) && times[0] == 0.0);
    assert_eq!(times.last(), Some(&168.0));
    let us = dragback(&[
        "run",
        &line(),
        "--for",
        "1 week",
        "--csv",
        "-",
        "--units",
        "us",
    ]);
    assert!(
        us.out
            .starts_with("time (h),bath volume (gal),bath level (ft),bath temperature (°F)"),
        "{}",
        &us.out[..200]
    );
}

/// A run written as CSV, column by column; empty fields are no number.
struct Written {
    hours: Vec<f64>,
    columns: BTreeMap<String, Vec<f64>>,
}

impl Written {
    fn read(file: &str) -> Self {
        let mut csv = csv::Reader::from_path(file).unwrap();
        let heads: Vec<String> = csv.headers().unwrap().iter().map(str::to_owned).collect();
        let rows: Vec<csv::StringRecord> = csv.records().map(Result::unwrap).collect();
        let column = |c: usize| -> Vec<f64> {
            rows.iter()
                .map(|r| r[c].parse().unwrap_or(f64::NAN))
                .collect()
        };
        Self {
            hours: column(0),
            columns: heads
                .into_iter()
                .enumerate()
                .map(|(c, h)| (h, column(c)))
                .collect(),
        }
    }

    fn column(&self, head: &str) -> &[f64] {
        let found = self.columns.get(head);
        found.unwrap_or_else(|| panic!("no {head} in {:?}", self.columns.keys()))
    }

    /// Mean of a rate that stands for the interval before its row.
    fn mean_rate(&self, head: &str) -> f64 {
        let (column, mut sum) = (self.column(head), 0.0);
        for i in 1..self.hours.len() {
            let hours = self.hours[i] - self.hours[i - 1];
            if hours > 0.0 {
                sum += hours * column[i];
            }
        }
        sum / self.hours.last().unwrap()
    }

    /// Mean of something read at each moment, by trapezoids, weighted by a rate.
    fn mean_state(&self, head: &str, weight: impl Fn(usize) -> f64) -> f64 {
        let (column, mut sum, mut all) = (self.column(head), 0.0, 0.0);
        for i in 1..self.hours.len() {
            let hours = self.hours[i] - self.hours[i - 1];
            if hours > 0.0 {
                sum += weight(i) * hours * 0.5 * (column[i - 1] + column[i]);
                all += weight(i) * hours;
            }
        }
        sum / all
    }
}

/// The means of the intervals add up to the means of the run that JSON tells. CSV is written to seven digits.
#[test]
fn csv_adds_up_to_the_means_of_the_run() {
    let folder = Folder::new();
    let (csv_file, json_file) = (folder.file("run.csv"), folder.file("run.json"));
    let words = ["run", &line(), "--for", "2 weeks"];
    let files = ["--csv", &csv_file, "--json", &json_file];
    let ran = dragback(&[&words[..], &files].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let json: Value = serde_json::from_str(&fs::read_to_string(&json_file).unwrap()).unwrap();
    let run = Written::read(&csv_file);
    let near = |what: &str, found: f64, told: f64, share: f64| {
        assert!(
            (found - told).abs() < share * told.abs() + 1e-6,
            "{what}: {found} against {told}"
        );
    };
    let streams = at(&json, "streams").as_array().unwrap();
    assert!(streams.len() > 5);
    for stream in streams {
        let name = stream["name"].as_str().unwrap();
        let mean = run.mean_rate(&format!("{name} flow (L/h)"));
        near(name, mean, number(stream, "mean_flow_l_per_h"), 1e-4);
    }
    let sum = |ending: &str| -> f64 {
        let heads = run.columns.keys().filter(|h| h.ends_with(ending));
        heads.map(|h| run.mean_rate(h)).sum()
    };
    let of_loop = |key: &str| number(&json, &format!("loops.0.{key}"));
    let surfaces = of_loop("surface_evaporation_l_per_h");
    near(
        "surfaces",
        sum(" surface evaporation (L/h)"),
        surfaces,
        1e-4,
    );
    let towers = of_loop("evaporation_l_per_h");
    assert!(surfaces > 0.0 && towers > 0.0);
    near(
        "all water",
        sum(" evaporation (L/h)"),
        surfaces + towers,
        1e-4,
    );
    // No cooler works against the elements of the holding tank.
    let heater: f64 = ["e1", "e2"]
        .map(|e| run.mean_rate(&format!("element {e} power (kW)")))
        .iter()
        .sum();
    near("heater", heater, of_loop("heater_mean_kw"), 1e-4);
    let share = run.mean_rate("loop.towers.t1.pump used (%)");
    near("pump", share, 100.0 * of_loop("tower_share"), 1e-4);
    for tank in at(&json, "vessels").as_array().unwrap() {
        let name = tank["name"].as_str().unwrap();
        let mean = run.mean_state(&format!("{name} conductivity (µS/cm)"), |_| 1.0);
        near(name, mean, number(tank, "conductivity_us_per_cm"), 1e-4);
    }
    // Streams are counted exactly and moments are not: two percent.
    let leaving = run.column("film rinses 3 to out flow (L/h)");
    let film = run.mean_state("loop film on the work Ni (mg/L)", |i| leaving[i]);
    near("film", film, of_loop("final_rinse.film_mg_per_l"), 0.02);
}

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/demo.ron");

/// How far each device is used means the same by both drivers, whether they switch it or average it: with the settled weeks of the demo alike to a twentieth of full use.
#[test]
fn devices_are_used_alike_by_both_drivers() {
    let folder = Folder::new();
    let file = folder.file("used.csv");
    let used = |exact: &[&str]| {
        let words = ["run", DEMO, "--for", "20 weeks", "--csv", &file];
        let ran = dragback(&[&words[..], exact].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        let run = Written::read(&file);
        let heads = run.columns.keys().filter(|h| h.ends_with(" used (%)"));
        heads
            .map(|h| (h.clone(), run.mean_rate(h)))
            .collect::<BTreeMap<_, _>>()
    };
    let (averaged, exact) = (used(&[]), used(&["--exact"]));
    assert_eq!(averaged.len(), exact.len());
    let mut at_work = 0;
    for (name, share) in &exact {
        assert!(
            (averaged[name] - share).abs() < 5.0,
            "{name}: {} and {share}",
            averaged[name]
        );
        // No share is below nothing or above the whole.
        assert!((-1e-9..=100.1).contains(share), "{name}: {share}");
        at_work += usize::from(*share > 1.0);
    }
    assert!(at_work >= 6, "{exact:?}");
    let of = |device: &str| exact[&format!("loop.towers.t1.{device} used (%)")];
    assert!((of("pump") - of("blower")).abs() < 1e-9);
}
