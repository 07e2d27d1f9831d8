//! `dragback size`: the table, its JSON, and what is said of a wanted final rinse that cannot be.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use common::{assert_snapshot, dragback, json, shipped};

const RINSE: [&str; 2] = ["--final-rinse", "20 mg/L"];

fn words<'a>(file: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let mut words = vec!["size", file];
    words.extend(more);
    words
}

/// The best layouts first, the cheapest marked, the others counted by what stops them; nothing is wider than a terminal.
#[test]
fn the_best_layouts_come_first() {
    let demo = shipped("demo.ron");
    let ran = dragback(&words(&demo, &RINSE));
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("size.txt", &ran.out);
    assert!(
        ran.out.lines().all(|l| l.chars().count() <= 80),
        "{}",
        ran.out
    );
    let marked = ran.out.lines().filter(|l| l.starts_with("  * "));
    assert_eq!(marked.count(), 1, "{}", ran.out);
}

/// Every key of every row, cheapest first; figures exactly where a row works.
#[test]
fn every_layout_is_a_row_of_json() {
    let demo = shipped("demo.ron");
    let found = json(&words(&demo, &RINSE));
    let rows = found["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 108);
    assert_eq!(found["final_rinse_mg_per_l"].as_f64(), Some(20.0));
    let keys = "layout stages before free_final_rinse closed_by rinse_flow_l_per_h free_rinse_flow_l_per_h recovered_fraction evaporator_duty_l_per_h \
        worst_month_l_per_h worst_month heat heater_kw towers holding_tank_l collection_tank_l feed_pump_l_per_min exhaust_air_m3_per_h tank_temperature_c \
        saturation_fraction yearly_cost first_limit film_month verified limit";
    let mut last = 0.0;
    for row in rows {
        let row_keys: Vec<&String> = row.as_object().expect("an object").keys().collect();
        assert_eq!(
            row_keys.len(),
            keys.split_whitespace().count(),
            "{row_keys:?}"
        );
        for key in keys.split_whitespace() {
            assert!(!row[key].is_null() || row.get(key).is_some(), "{key}");
        }
        let works = row["verified"].as_bool() == Some(true);
        assert_eq!(works, row["limit"].is_null(), "{row}");
        assert_eq!(works, row["rinse_flow_l_per_h"].is_number(), "{row}");
        assert_eq!(
            works && row["free_final_rinse"] == true,
            row["free_rinse_flow_l_per_h"].is_number()
        );
        assert_eq!(
            works && row["closed_by"] == "holding_tank",
            row["holding_tank_l"].is_number()
        );
        assert_eq!(works, row["heat"]["mean_kw"].is_number(), "{row}");
        let month = row["worst_month"].as_str();
        assert!(month.is_none() || works && month.is_some_and(|m| m.len() == 3));
        if let Some(cost) = row["yearly_cost"].as_f64() {
            assert!(cost >= last, "{cost} after {last}");
            last = cost;
        }
    }
    assert!(last > 0.0);
    let reaches = found["as_it_is"].as_array().expect("reaches");
    assert_eq!(reaches.len(), 5);
    let months = rows.iter().filter(|row| row["worst_month"] == "Aug");
    assert!(months.count() > 10, "August is the dampest month");
    let rinse = &reaches[0];
    assert_eq!(rinse["path"], "loop.sections.rinses.flow");
    assert!(
        rinse["closes_at_si"].as_f64() > rinse["now_si"].as_f64(),
        "{rinse}"
    );
}

/// A line may close at more water than its collection tank bears: both are told, as text and as data.
#[test]
fn where_the_collection_tank_runs_over_first_is_told() {
    let zinc = shipped("zinc-barrel.ron");
    let found = json(&words(&zinc, &[]));
    let reaches = found["as_it_is"].as_array().expect("reaches");
    let mut both = 0;
    for path in ["zinc.sections.rinses.flow", "zinc.work.drag_out.per_load"] {
        let reach = reaches.iter().find(|r| r["path"] == path).expect(path);
        let si = |key: &str| reach[key].as_f64();
        assert!(si("now_si") < si("holds_to_si"), "{reach}");
        assert!(si("holds_to_si") < si("closes_at_si"), "{reach}");
        both += 1;
    }
    assert_eq!(both, 2);
    let text = dragback(&words(&zinc, &[])).out;
    let lines = text.lines().filter(|l| l.contains("not over its brim"));
    assert_eq!(lines.count(), both, "{text}");
}

/// All rows, in US units; the reasons stand beside those that do not work.
#[test]
fn all_rows_in_us_units() {
    let demo = shipped("demo.ron");
    let more = ["--final-rinse", "20 mg/L", "--all", "--units", "us"];
    let ran = dragback(&words(&demo, &more));
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("gal/h") && !ran.out.contains("L/h"),
        "{}",
        ran.out
    );
    assert!(
        ran.out.lines().all(|l| l.chars().count() <= 80),
        "{}",
        ran.out
    );
    let rows = ran.out.lines().filter(|l| {
        [" surface ", " tower ", " holding "]
            .iter()
            .any(|w| l.contains(w))
    });
    assert!(rows.count() >= 108, "{}", ran.out);
}

#[test]
fn a_final_rinse_that_cannot_be_is_told() {
    let demo = shipped("demo.ron");
    for (given, said) in [
        ("20", "unit"),
        ("20 L", "20 L"),
        ("0 mg/L", "allowed"),
        ("-5 mg/L", "allowed"),
        ("90 g/L", "is not below the strength of the bath itself, 7"),
    ] {
        let ran = dragback(&words(&demo, &["--final-rinse", given]));
        assert_eq!(ran.code, 2, "{given}: {}", ran.out);
        assert!(
            ran.err.contains("--final-rinse") && ran.err.contains(said),
            "{given}: {}",
            ran.err
        );
    }
    // Without one the loop's own limit counts; without that either it is asked for.
    let own = dragback(&words(&demo, &[]));
    let given = dragback(&words(&demo, &["--final-rinse", "20 mg/L"]));
    assert_eq!((own.code, own.out), (given.code, given.out));
    let text = include_str!("../../../scenarios/demo.ron");
    let without = text.replace("final_limit: \"20 mg/L\",", "");
    assert_ne!(text, without);
    let path = std::env::temp_dir().join(format!("dragback-no-limit-{}.ron", std::process::id()));
    std::fs::write(&path, without).expect("a file");
    let ran = dragback(&words(&path.to_string_lossy(), &[]));
    std::fs::remove_file(&path).expect("the file");
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("--final-rinse"), "{}", ran.err);
    let ran = dragback(&words(
        &demo,
        &["--final-rinse", "20 mg/L", "--loop", "other"],
    ));
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("no such loop"), "{}", ran.err);
}

/// What builds up to a limit is marked and told with its days, those of the JSON; a cost that leaves something out is named and ranks nothing.
#[test]
fn what_the_table_does_not_say_stands_below_it() {
    let zinc = shipped("zinc-barrel.ron");
    let found = json(&words(&zinc, &[]));
    let rows = found["rows"].as_array().expect("rows");
    let working: Vec<&serde_json::Value> = rows.iter().filter(|r| r["verified"] == true).collect();
    let days: Vec<f64> = (working.iter())
        .filter(|row| row["first_limit"]["what"] == "Fe")
        .filter_map(|row| row["first_limit"]["days"].as_f64())
        .collect();
    let (low, high) = days.iter().fold((f64::INFINITY, 0.0), |(low, high), d| {
        (f64::min(low, *d), f64::max(high, *d))
    });
    let ran = dragback(&words(&zinc, &["--all"]));
    let text = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let wanted = format!("Fe in the bath after {low:.0} to {high:.0} days");
    assert!(low < high && text.contains(&wanted), "{wanted}: {text}");
    let marked = ran.out.lines().filter(|line| line.contains(" † "));
    let limited = working.iter().filter(|row| row["first_limit"].is_object());
    assert_eq!(marked.count(), limited.count(), "{}", ran.out);
    assert!(text.contains("least evaporation first"), "{text}");
    assert!(
        text.contains("The cost leaves out what has no price: cooling of baths"),
        "{text}"
    );
    let evaporated: Vec<f64> = (working.iter())
        .filter_map(|row| row["worst_month_l_per_h"].as_f64())
        .collect();
    assert!(evaporated.is_sorted(), "{evaporated:?}");
}
