//! What the answers of shipped scenarios say, checked against balances by hand.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use common::{at, dragback, json, line, near, number, shipped};
use serde_json::Value;

/// Hand derivation: 95 L/h of rinse water and 40 m²/h with 0.12 L/m² of film, over 80 of the 168 hours.
#[test]
fn at_the_week_mean_as_much_passes_as_in_a_week_of_shifts() {
    let demo = shipped("demo.ron");
    let shifts = json(&["settle", &demo]);
    let mean = json(&["settle", &demo, "--hours", "week-mean"]);
    assert_eq!(
        (&shifts["hours"], &mean["hours"]),
        (&"calendar".into(), &"week-mean".into())
    );
    for (key, in_work_hours) in [
        ("rinse_feed_l_per_h", 95.0),
        ("drag_out_l_per_h", 40.0 * 0.12),
    ] {
        let path = format!("loops.0.{key}");
        let weekly_sum_l = number(&shifts, &path) * number(&shifts, "span_h");
        near(key, number(&mean, &path), weekly_sum_l / 168.0, 1e-6);
        near(
            key,
            number(&mean, &path),
            in_work_hours * 80.0 / 168.0,
            1e-6,
        );
    }
    // What runs in must evaporate or leave on the work, however the hours are spread. Both settle to 1e-3 of a tank's volume a week.
    let evaporated = |a: &Value| {
        number(a, "loops.0.evaporation_l_per_h") + number(a, "loops.0.surface_evaporation_l_per_h")
    };
    near("evaporation", evaporated(&mean), evaporated(&shifts), 0.01);
}

/// Hand derivation as above, with work that never stops.
#[test]
fn in_shift_everything_runs_at_the_rate_of_work_hours() {
    let demo = shipped("demo.ron");
    let shifts = json(&["settle", &demo]);
    let found = json(&["settle", &demo, "--hours", "in-shift"]);
    assert_eq!(found["hours"], "in-shift");
    near(
        "rinse feed",
        number(&found, "loops.0.rinse_feed_l_per_h"),
        95.0,
        1e-6,
    );
    near(
        "drag-out",
        number(&found, "loops.0.drag_out_l_per_h"),
        4.8,
        1e-6,
    );
    for key in [
        "rinse_feed_l_per_h",
        "drag_out_l_per_h",
        "evaporation_l_per_h",
        "heater_mean_kw",
    ] {
        let path = format!("loops.0.{key}");
        assert!(
            number(&found, &path) > 1.2 * number(&shifts, &path),
            "{key}"
        );
    }
    // The shift alone does not close: what cannot evaporate goes to treatment.
    assert!(number(&found, "loops.0.to_treatment_l_per_h") > 0.0);
    let text = dragback(&["settle", &demo, "--hours", "in-shift"]).out;
    assert!(
        text.contains("as if work never stopped (hours: in-shift)"),
        "{text}"
    );
    assert!(!text.contains("Storage needed"), "{text}");
    assert_eq!(dragback(&["settle", &demo, "--hours", "night"]).code, 2);
}

#[test]
fn the_lines_of_the_books_add_up() {
    for name in ["demo.ron", "chromium.ron", "zinc-barrel.ron"] {
        let found = json(&["settle", &shipped(name)]);
        let ledger = found["ledger"].as_object().unwrap();
        for (what, entry) in ledger {
            let unit = if what == "energy" { "kwh" } else { "kg" };
            for side in ["in", "out"] {
                let lines = entry["lines"].as_array().unwrap();
                let of_side = lines.iter().filter(|l| l["side"] == side);
                let sum: f64 = of_side.map(|l| number(l, unit)).sum();
                let total = number(entry, &format!("{side}_{unit}"));
                assert!(
                    (sum - total).abs() <= 1e-12 * total.abs(),
                    "{name}: {what} {side}: {sum} against {total}"
                );
            }
        }
        let lost = number(&found, "loops.0.lost_kg_per_day.SO4").max(0.0);
        assert!(lost.is_finite());
    }
    let text = dragback(&["settle", &shipped("demo.ron")]).out;
    let way = |name: &str| text.lines().any(|l| l.contains(name));
    assert!(
        way("in    rinse water") && way("out   evaporated in towers"),
        "{text}"
    );
    // Nothing is dumped or spilled there, so no line says so.
    assert!(!way("dumped") && !way("spilled"), "{text}");
}

/// Hand derivation: the fan blows 550 m³/h of room air, in the mean of the year 21.5 °C with 7.8 g/kg, at the 98.5 kPa of 240 m:
/// of it (98.5 − 1.2) kPa are dry air, which at 20 °C and 101.3 kPa is 525 m³/h. What the books say went up the stack is spread over the hours
/// that the tower ran. Strength is read at the ends of steps and humidity rounded: 2 %.
#[test]
fn the_stack_carries_what_the_books_say() {
    let found = json(&["settle", &shipped("demo.ron")]);
    let lines = at(&found, "ledger.Ni.lines").as_array().unwrap();
    let stack = lines.iter().find(|l| l["name"] == "up the stack").unwrap();
    let hours = 168.0 * number(&found, "loops.0.tower_share");
    let mg_per_m3 = 1e6 * number(stack, "kg") / (hours * 525.0);
    near(
        "mg/m³",
        number(&found, "loops.0.stacks.0.mg_per_dry_m3"),
        mg_per_m3,
        0.02,
    );
}

/// CrO3 is 51.996 + 3 · 15.999 = 99.993 g/mol, of which 0.520 is chromium (IUPAC atomic weights).
#[test]
fn chromic_acid_is_also_told_as_chromium() {
    let file = shipped("chromium.ron");
    let found = json(&["settle", &file]);
    let solutes = found["solutes"].as_array().unwrap();
    let cr6 = solutes.iter().find(|s| s["name"] == "Cr6").unwrap();
    assert_eq!(
        (&cr6["counted_as"], &cr6["metal"]),
        (&"Cr(VI) as CrO₃".into(), &"Cr".into())
    );
    near(
        "fraction",
        number(cr6, "metal_fraction"),
        51.996 / 99.993,
        1e-4,
    );
    let (as_counted, as_metal) = (
        number(&found, "loops.0.stacks.0.mg_per_dry_m3"),
        number(&found, "loops.0.stacks.0.metal_mg_per_dry_m3"),
    );
    near("stack", as_metal / as_counted, 0.520, 1e-3);
    let text = dragback(&["settle", &file]).out;
    assert!(
        text.contains("Counted: Cr6 as CrO₃ (1 g holds 0.520 g of Cr)"),
        "{text}"
    );
    assert!(text.contains("g/d as Cr"), "{text}");
    let nickel = dragback(&["settle", &shipped("demo.ron")]).out;
    assert!(nickel.contains("Counted: B as boric acid."), "{nickel}");
    assert!(!nickel.contains("as Ni"), "{nickel}");
}

/// Hand derivation: the bath is made up with 33 oz/gal of CrO3, 0.33 of sulfuric acid, 0.35 of trivalent chromium and 0.12 of iron; 1 oz/gal is 7.489 g/L.
/// Additions hold it within 2 %, its volume moves by the dead band of its level: 3 %. The last rinse holds its feed (2 + 1.5 + 3 mg/L) besides
/// what the work brings, of which CrO3 is 33 parts of 33.8.
#[test]
fn dissolved_solids_are_all_that_is_dissolved() {
    let found = json(&["settle", &shipped("chromium.ron")]);
    let bath = number(&found, "vessels.0.dissolved_solids_g_per_l");
    near("bath", bath, 33.8 * 7.489, 0.03);
    let rinse = |key: &str| number(&found, &format!("loops.0.final_rinse.{key}"));
    let expected = 6.5 + rinse("tank_mg_per_l") * 33.8 / 33.0;
    near(
        "last rinse",
        rinse("dissolved_solids_mg_per_l"),
        expected,
        0.03,
    );
}

/// Hand derivation: what the water brings of an impurity and the work does not carry off stays in the tanks, spread as the lead solute is
/// (both travel with the same liquid), so the bath grows by the change of what is held over the volume of bath that this makes. The rinses hold a share
/// of the water's own, which does not grow, and the bath's volume moves within its band: 5 %.
#[test]
fn a_run_tells_what_grows_and_when_its_limit_is_met() {
    let salt = "waters.deionised.solutes.Na=30 mg/L";
    let limit = "loop.bath.impurity_limits.Na=3 g/L";
    let file = line();
    let found = json(&[
        "run", &file, "--for", "26 weeks", "--set", salt, "--set", limit,
    ]);
    let impurities = found["impurities"].as_array().unwrap();
    let sodium = impurities.iter().find(|i| i["species"] == "Na").unwrap();
    let vessels = found["vessels"].as_array().unwrap();
    let lead = |v: &Value| number(v, "concentration_g_per_l.Ni");
    let bath = vessels.iter().find(|v| v["name"] == "bath").unwrap();
    let worth_l: f64 = vessels
        .iter()
        .map(|v| number(v, "volume_l") * lead(v) / lead(bath))
        .sum();
    let held_g = 1e3 * number(&found, "ledger.Na.held_change_kg");
    let expected = held_g / (26.0 * 7.0) / worth_l;
    let growth = number(sodium, "growth_g_per_l_per_day");
    near("growth", growth, expected, 0.05);
    let days = number(sodium, "days_to_limit");
    assert!(days > 26.0 * 7.0, "not yet passed: {days}");
    near(
        "days",
        days,
        (3.0 - number(sodium, "now_g_per_l")) / growth,
        0.05,
    );
    let ran = dragback(&[
        "run", &file, "--for", "26 weeks", "--set", salt, "--set", limit,
    ]);
    assert_eq!(
        ran.code, 0,
        "what a run would pass later is told, not held against it: {}",
        ran.out
    );
    assert!(
        ran.out.contains("Growth is that over the second half"),
        "{}",
        ran.out
    );
}

#[test]
fn a_short_run_says_why_it_tells_no_growth() {
    let file = line();
    let found = json(&["run", &file, "--for", "2 weeks"]);
    assert_eq!(at(&found, "impurities.0.species"), "Na");
    assert!(at(&found, "impurities.0.growth_g_per_l_per_day").is_null());
    assert!(at(&found, "impurities.0.days_to_limit").is_null());
    let text = dragback(&["run", &file, "--for", "2 weeks"]).out;
    assert!(
        text.contains("less than four weeks does not tell growth"),
        "{text}"
    );
}

#[test]
fn a_settled_week_says_that_events_are_left_out() {
    let file = shipped("teaching.ron");
    let text = dragback(&["settle", &file]).out;
    assert!(
        text.contains("The 3 events of this scenario are left out"),
        "{text}"
    );
    assert!(
        !dragback(&["run", &file, "--for", "1 week"])
            .out
            .contains("are left out")
    );
    assert!(!dragback(&["settle", &line()]).out.contains("left out"));
}

/// Every month of the demo's room, evaluated one by one at the set point of the holding tank.
#[test]
fn capacity_shows_the_month_that_evaporates_least() {
    let file = shipped("demo.ron");
    let text = std::fs::read_to_string(&file).unwrap();
    let (_, room) = text.split_once("room: {").unwrap();
    let (room, _) = room.split_once('}').unwrap();
    let mut months = Vec::new();
    for line in room
        .lines()
        .filter(|l| l.contains("relative_humidity: \"") && l.contains("\": ("))
    {
        let words: Vec<&str> = line.split('"').collect();
        let point = format!("58 °C, {}, {}", words[3], words[5]);
        let found = json(&["capacity", &file, "--at", &point]);
        months.push((
            number(&found, "towers.0.points.0.evaporation_l_per_h"),
            words[1],
        ));
    }
    assert_eq!(months.len(), 12);
    months.sort_by(|a, b| a.0.total_cmp(&b.0));
    let shown = dragback(&["capacity", &file]).out;
    let worst = format!("({}, the worst month of twelve)", months[0].1);
    assert!(
        shown.contains(&worst) && shown.contains("(the year's mean)"),
        "{worst}\n{shown}"
    );
    let table = json(&["capacity", &file]);
    let points = at(&table, "towers.0.points").as_array().unwrap();
    let of = |inlet: &str, solution_c: f64| {
        let found = points.iter().find(|p| {
            p["inlet"].as_str().unwrap().contains(inlet) && number(p, "solution_c") == solution_c
        });
        number(found.unwrap(), "evaporation_l_per_h")
    };
    assert!(of("worst", 60.0) < of("mean", 60.0) && of("mean", 60.0) < of("best", 60.0));
}

#[test]
fn a_rated_point_is_met_by_what_is_computed() {
    let found = json(&["capacity", &shipped("demo.ron")]);
    let rated = |key: &str| number(&found, &format!("towers.0.rated.{key}"));
    assert_eq!(rated("evaporation_l_per_h").round(), 57.0);
    // The contact is fitted to the point by the same equations.
    near("computed", rated("computed_l_per_h"), 57.0, 1e-3);
    // Nickel salts lower the vapour pressure, so the solution gives less than water.
    assert!(rated("as_run_l_per_h") < rated("computed_l_per_h"));
    assert!(at(&json(&["capacity", &line()]), "towers.0.rated").is_null());
}

#[test]
fn us_units_of_capacity_are_not_mixed_with_metric_ones_but_for_kilowatts() {
    for more in [&[][..], &["--at", "140 °F, 70 °F, 50 %"], &["--csv", "-"]] {
        let file = shipped("demo.ron");
        let words = [&["capacity", &file, "--units", "us"], more].concat();
        let ran = dragback(&words);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.out.contains("kW") && !ran.out.contains("Btu/h"),
            "{}",
            ran.out
        );
        assert_no_metric_unit(&ran.out);
    }
}

fn assert_no_metric_unit(text: &str) {
    for metric in [
        "°C", "L/h", "g/kg", "m³", " K ", "g/L", "kg/", "kPa", " Pa", " L ", " m ",
    ] {
        assert!(!text.contains(metric), "{metric} in\n{text}");
    }
}

#[test]
fn us_errors_name_no_metric_unit() {
    let demo = shipped("demo.ron");
    let capacity = ["capacity", &demo, "--units", "us", "--at"];
    for (point, told) in [
        // Water boils at 212 °F and 14.7 psi, the demo's site lies a little above the sea.
        (
            "211 °F, 70 °F, 50 %",
            "feed at 211 °F is too close to boiling, 21",
        ),
        (
            "-22 °F, 70 °F, 50 %",
            "feed temperature is -22 °F, outside 14 °F to 248 °F",
        ),
        (
            "140 °F, 230 °F, 100 %",
            "--at: air of 230 °F is outside -76 °F to the boiling point at 14.",
        ),
        (
            "140 °F, 70 °F, 50",
            "\"50\" cannot be: its unit is missing, write \"50 %\"",
        ),
        (
            "140 °F, 70 °F, 150 %",
            "\"150 %\" cannot be: give 0 to 100 %",
        ),
    ] {
        let said = dragback(&[&capacity[..], &[point]].concat());
        assert_eq!(said.code, 2, "{point}: {}", said.out);
        assert!(said.err.contains(told), "{point}: {}", said.err);
        assert_no_metric_unit(&said.err);
        assert_no_metric_unit(&said.out);
    }
    let dragout = |rise: &str| {
        let words = [
            "dragout",
            "--units",
            "us",
            "--tank",
            "100 gal",
            "--loads",
            "10",
            "--bath",
            "10 oz/gal",
            "--rise",
            rise,
        ];
        dragback(&words).err
    };
    let said = dragout("11.5 oz/gal");
    let told = "the rinse ends at 11.5 oz/gal, but the bath it comes from holds 10 oz/gal";
    assert!(said.contains(told), "{said}");
    assert_no_metric_unit(&said);
    for (set, told) in [
        (
            "loop.holding_tank.set_point=180 °F",
            "is not above the over-temperature alarm at 1",
        ),
        (
            "loop.holding_tank.set_point=300 °F",
            "\"300 °F\" is above the allowed 68 °F to 194 °F; lower it (usual: ",
        ),
        (
            "loop.sections.rinses.flow=1e9 gal/h",
            "is above the allowed 0 gal/h to ",
        ),
    ] {
        let said = dragback(&["settle", &demo, "--units", "us", "--set", set]).err;
        assert!(said.contains(told), "{set}: {said}");
    }
    let said = dragback(&[
        "settle",
        &demo,
        "--set",
        "loop.holding_tank.set_point=300 °F",
    ])
    .err;
    assert_no_metric_unit(&said);
}

#[test]
fn usual_ranges_are_told_in_the_unit_of_the_value() {
    for name in [
        "demo.ron",
        "chromium.ron",
        "zinc-barrel.ron",
        "teaching.ron",
    ] {
        let out = dragback(&["check", &shipped(name)]).out;
        assert!(!out.contains("air_flow"), "{out}");
    }
    let file = shipped("chromium.ron");
    let out = dragback(&["check", &file, "--set", "chrome.towers.t1.air_flow=50 cfm"]).out;
    let told = "unusual: chrome.towers.t1.air_flow: 50 cfm (usual 100 to 10000 cfm)";
    assert!(out.contains(told), "{out}");
}

/// The demo says of itself that its heaters run at about three quarters of their power.
#[test]
fn the_demo_tells_its_own_duty() {
    let file = shipped("demo.ron");
    assert!(
        std::fs::read_to_string(&file)
            .unwrap()
            .contains("about three quarters of their power")
    );
    near(
        "duty",
        number(&json(&["settle", &file]), "loops.0.heater_duty"),
        0.75,
        0.05,
    );
}
