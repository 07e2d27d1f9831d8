//! Files and pipes: `--set`, JSON, `-`, and what is refused.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use std::fs;

use common::{Folder, at, data, dragback, dragback_reading, line, number};
use serde_json::Value;

fn settled(more: &[&str]) -> Value {
    let file = line();
    let ran = dragback(&[&["settle", &file, "--json", "-"][..], more].concat());
    assert_eq!(ran.err, "");
    serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}:\n{}", ran.out))
}

/// Every key of the documented shape, `*` for each item of a list or map.
const SHAPE: &[&str] = &[
    "scenario",
    "driver",
    "vessels.*.name",
    "vessels.*.volume_l",
    "vessels.*.level_m",
    "vessels.*.temperature_c",
    "vessels.*.concentration_g_per_l.Ni",
    "vessels.*.conductivity_us_per_cm",
    "streams.*.name",
    "streams.*.from",
    "streams.*.to",
    "streams.*.mean_flow_l_per_h",
    "loops.*.name",
    "loops.*.final_rinse.vessel",
    "loops.*.final_rinse.species",
    "loops.*.final_rinse.tank_mg_per_l",
    "loops.*.final_rinse.film_mg_per_l",
    "loops.*.final_rinse.dilution_ratio",
    "loops.*.drag_out_l_per_h",
    "loops.*.lost_kg_per_day.Ni",
    "loops.*.returned_kg_per_day.Ni",
    "loops.*.recovered_fraction",
    "loops.*.evaporation_l_per_h",
    "loops.*.surface_evaporation_l_per_h",
    "loops.*.heater_mean_kw",
    "loops.*.heater_duty",
    "loops.*.bath_heater_mean_kw",
    "loops.*.bath_cooler_mean_kw",
    "loops.*.closure_margin_l_per_h.week",
    "loops.*.closure_margin_l_per_h.in_shift",
    "loops.*.closure_margin_l_per_h.worst_month",
    "loops.*.closure_margin_l_per_h.month",
    "loops.*.storage_needed_l",
    "loops.*.to_treatment_l_per_h",
    "loops.*.over_brim_l_per_h",
    "loops.*.days_to_settle",
    "impurities.*.species",
    "impurities.*.vessel",
    "impurities.*.growth_g_per_l_per_day",
    "impurities.*.days_to_limit",
    "ledger.water.in_kg",
    "ledger.water.out_kg",
    "ledger.water.held_change_kg",
    "ledger.water.closure_error",
    "ledger.Ni.in_kg",
    "ledger.Ni.out_kg",
    "ledger.Ni.held_change_kg",
    "ledger.Ni.closure_error",
    "ledger.energy.in_kwh",
    "ledger.energy.out_kwh",
    "ledger.energy.held_change_kwh",
    "ledger.energy.closure_error",
];

fn has(json: &Value, path: &[&str]) -> bool {
    match path.split_first() {
        None => true,
        Some((&"*", rest)) => {
            let items = json.as_array().map_or(&[][..], Vec::as_slice);
            !items.is_empty() && items.iter().all(|item| has(item, rest))
        }
        Some((key, rest)) => json.get(key).is_some_and(|inner| has(inner, rest)),
    }
}

#[test]
fn json_has_every_documented_key() {
    let json = settled(&[]);
    for path in SHAPE {
        assert!(
            has(&json, &path.split('.').collect::<Vec<_>>()),
            "{path} is not in\n{json:#}"
        );
    }
    assert!(at(&json, "alarms").is_array());
    assert_eq!(at(&json, "driver"), "settled");
    let ran = dragback(&["run", &line(), "--for", "1 week", "--json", "-"]);
    let run: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(at(&run, "driver"), "preview");
    assert_eq!(number(&run, "span_h"), 168.0);
}

/// A run says nothing of margins: no number stands there, and JSON knows no NaN.
#[test]
fn a_number_that_is_none_is_null() {
    let ran = dragback(&["run", &line(), "--for", "1 week", "--json", "-"]);
    let run: Value = serde_json::from_str(&ran.out).unwrap();
    assert!(
        at(&run, "loops.0.closure_margin_l_per_h").is_null(),
        "{run:#}"
    );
    assert!(at(&run, "loops.0.storage_needed_l").is_null(), "{run:#}");
    assert!(!ran.out.contains("NaN"));
    let text = dragback(&["run", &line(), "--for", "1 week"]).out;
    assert!(!text.contains("NaN") && !text.contains("n/a"), "{text}");
}

#[test]
fn alarms_have_their_keys() {
    // A holding tank that starts far above its set point trips the over-temperature alarm.
    let hot = "loop.holding_tank.tank.start_temperature=68 °C";
    let ran = dragback(&[
        "run",
        &line(),
        "--for",
        "2 weeks",
        "--json",
        "-",
        "--set",
        hot,
    ]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    for path in ["alarms.*.at_h", "alarms.*.device", "alarms.*.what"] {
        assert!(
            has(&json, &path.split('.').collect::<Vec<_>>()),
            "{path} is not in\n{json:#}"
        );
    }
    let ran = dragback(&["run", &line(), "--for", "2 weeks", "--set", hot]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.out.contains("day 0 00:00")
            && ran
                .out
                .contains("\nAmiss\n  Alarm: over-temperature alarm of the holding"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("Not refined"), "{}", ran.out);
}

#[test]
fn setting_inputs_changes_answers() {
    let base = settled(&[]);
    let hotter = settled(&["--set", "loop.holding_tank.set_point=62 °C"]);
    let duty = |json: &Value| number(json, "loops.0.evaporation_temperature_c");
    assert!((duty(&base) - 58.0).abs() < 1.0, "{}", duty(&base));
    assert!(
        duty(&hotter) > duty(&base) + 1.0,
        "{} {}",
        duty(&base),
        duty(&hotter)
    );
    let film = |json: &Value| number(json, "loops.0.final_rinse.film_mg_per_l");
    let thicker = settled(&["--set", "loop.work.drag_out.film=0.24 L/m²"]);
    assert!(
        film(&thicker) > 3.0 * film(&base),
        "{} {}",
        film(&base),
        film(&thicker)
    );
    // Both at once, in other units: 0.24 L/m² is 5.89 gal/1000 ft².
    let both = settled(&[
        "--set",
        "loop.work.drag_out.film=5.890 gal/1000ft2",
        "--set",
        "loop.holding_tank.set_point=62 °C",
    ]);
    assert!(
        (film(&both) / film(&thicker) - 1.0).abs() < 0.1,
        "{} {}",
        film(&both),
        film(&thicker)
    );
}

#[test]
fn a_wrong_path_value_or_form_is_told() {
    let set = |change: &str| {
        let ran = dragback(&["settle", &line(), "--set", change]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{change}");
        ran.err
    };
    let told = set("loop.holding_tank.setpoint=60 °C");
    assert!(told.contains("--set: loop.holding_tank.setpoint: there is no such input; did you mean `loop.holding_tank.set_point`?"), "{told}");
    assert!(
        told.contains("line.ron --inputs WORD` lists every path"),
        "{told}"
    );
    // Where nothing is spelt alike, what ends alike in the same part is meant.
    let told = set("loop.rinses.flow=60 L/h");
    assert!(
        told.contains("did you mean `loop.sections.rinses.flow`?"),
        "{told}"
    );
    let told = set("loop.holding_tank.set_point=60 L");
    assert!(!told.contains("--inputs"), "{told}");
    assert!(
        told.contains("'60 L' is a volume; a temperature such as °C or °F is expected"),
        "{told}"
    );
    let told = set("loop.holding_tank.set_point=95 °C");
    assert!(told.contains("above the allowed 20–90 °C"), "{told}");
    let told = set("loop.holding_tank.set_point");
    assert!(told.contains("there is no `=`"), "{told}");
    // Each value alone is fine, but not together.
    let told = set("loop.holding_tank.electrodes.low_alarm=0.9 m");
    assert!(
        told.starts_with("--set: loop.holding_tank.electrodes"),
        "{told}"
    );
    let both = dragback(&["check", &line(), "--set", "a.b=1", "--set", "c=2"]);
    assert!(
        both.err.contains("a.b:") && both.err.contains("c:") && both.err.contains("\n2 problems; "),
        "{}",
        both.err
    );
}

#[test]
fn standard_input_is_a_scenario() {
    let text = fs::read(line()).unwrap();
    let piped = dragback_reading(&text, &["settle", "-"]);
    assert_eq!((piped.code, piped.err.as_str()), (0, ""));
    assert_eq!(piped.out, dragback(&["settle", &line()]).out);
    let mut with_mark = "\u{feff}".as_bytes().to_vec();
    with_mark.extend_from_slice(&text);
    assert_eq!(dragback_reading(&with_mark, &["check", "-"]).code, 0);
    let broken = dragback_reading(b"(\n version: 1,\n titel: \"x\",\n)", &["check", "-"]);
    assert_eq!(broken.code, 2);
    assert!(broken.err.starts_with("standard input:"), "{}", broken.err);
}

#[test]
fn text_that_is_no_scenario_is_refused_by_line() {
    let ran = dragback_reading(b"(\n  version: 1,\n  title \xff\n)", &["check", "-"]);
    assert_eq!(
        (ran.code, ran.err.as_str()),
        (
            2,
            "standard input:3: this is not UTF-8 text; save the file as UTF-8\n"
        )
    );
    let ran = dragback_reading(&vec![b' '; 3_000_000], &["check", "-"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("holds more than 1000000 bytes"),
        "{}",
        ran.err
    );
    let ran = dragback_reading(b"", &["check", "-"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.starts_with("standard input:"), "{}", ran.err);
}

/// A title or a path may hold what would move a terminal's cursor or colour it.
#[test]
fn control_characters_are_not_printed() {
    let text = fs::read_to_string(line()).unwrap();
    let text = text.replace("Small nickel line", "Small\\u{1b}[31m nickel line");
    assert!(text.contains("u{1b}"));
    let ran = dragback_reading(text.as_bytes(), &["capacity", "-"]);
    assert!(ran.code == 0 || !ran.err.is_empty(), "{}", ran.err);
    assert!(!ran.out.contains('\u{1b}') && !ran.err.contains('\u{1b}'));
    for words in [
        &["settle", "a\u{1b}[31m.ron"][..],
        &["a\u{1b}b", "c"],
        &["--\u{1b}"],
        &["settle", "-", "--air", "\u{1b}"],
    ] {
        let ran = dragback(words);
        assert_eq!(ran.code, 2);
        assert!(!ran.err.contains('\u{1b}'), "{words:?}");
    }
}

#[test]
fn missing_files_and_folders_are_told() {
    let folder = Folder::new();
    let missing = folder.file("nothing.ron");
    let ran = dragback(&["settle", &missing]);
    assert_eq!(
        (ran.code, ran.err),
        (2, format!("{missing}: there is no such file\n"))
    );
    let shown = folder.path().display().to_string();
    let ran = dragback(&["settle", &shown]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("this is a folder"), "{}", ran.err);
}

#[test]
fn outputs_replace_what_was_there_and_leave_nothing_else() {
    let folder = Folder::new();
    let file = folder.file("answers.json");
    fs::write(&file, "old").unwrap();
    for _ in 0..2 {
        let ran = dragback(&["settle", &line(), "--json", &file]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.out.contains("Lost for good"),
            "the table is still printed"
        );
    }
    assert_eq!(folder.names(), ["answers.json"]);
    let json: Value = serde_json::from_str(&fs::read_to_string(&file).unwrap()).unwrap();
    assert_eq!(json, settled(&[]));
}

#[test]
fn a_failed_run_leaves_the_old_file() {
    let folder = Folder::new();
    let file = folder.file("answers.json");
    fs::write(&file, "old").unwrap();
    assert_eq!(
        dragback(&["settle", &data("broken.ron"), "--json", &file]).code,
        2
    );
    assert_eq!(fs::read_to_string(&file).unwrap(), "old");
    assert_eq!(folder.names(), ["answers.json"]);
}

#[test]
fn outputs_that_cannot_be_are_refused_before_the_run() {
    let folder = Folder::new();
    let copy = folder.file("line.ron");
    fs::copy(line(), &copy).unwrap();
    let refused = |words: &[&str], why: &str| {
        let ran = dragback(words);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{words:?}");
        assert!(ran.err.contains(why), "{words:?}: {}", ran.err);
    };
    refused(
        &["settle", &copy, "--json", &copy],
        "this is the scenario itself",
    );
    assert_eq!(fs::read(&copy).unwrap(), fs::read(line()).unwrap());
    refused(
        &["settle", &copy, "--json", &folder.file("no/where.json")],
        "there is no folder",
    );
    refused(
        &[
            "settle",
            &copy,
            "--json",
            &folder.path().display().to_string(),
        ],
        "this is a folder",
    );
    refused(
        &["run", &copy, "--csv", "-", "--json", "-"],
        "go to the same place",
    );
    let both = folder.file("both");
    refused(
        &["run", &copy, "--csv", &both, "--json", &both],
        "go to the same place",
    );
    let roundabout = folder.path().join(".").join("both").display().to_string();
    refused(
        &["run", &copy, "--csv", &both, "--json", &roundabout],
        "go to the same place",
    );
}

#[test]
fn capacity_writes_its_points() {
    let ran = dragback(&["capacity", &line(), "--csv", "-"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let mut csv = csv::Reader::from_reader(ran.out.as_bytes());
    assert!(
        csv.headers()
            .unwrap()
            .iter()
            .any(|h| h == "evaporation (L/h)")
    );
    let rows = csv.records().map(Result::unwrap).count();
    let ran = dragback(&["capacity", &line(), "--json", "-"]);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let points = at(&json, "towers.0.points").as_array().unwrap();
    assert_eq!(points.len(), rows);
    assert!(points.len() >= 21, "{rows}");
    // Hotter solution evaporates more in the same air.
    for pair in points.windows(2).filter(|p| p[0]["inlet"] == p[1]["inlet"]) {
        assert!(number(&pair[1], "evaporation_l_per_h") > number(&pair[0], "evaporation_l_per_h"));
    }
    // First law: the heat drawn cools the solution that leaves, the evaporated share apart.
    let feed_kg_per_s = number(&json, "towers.0.feed_l_per_h") / 3600.0;
    for point in points {
        let fall_k = number(point, "solution_c") - number(point, "solution_out_c");
        let vapour_kw =
            number(point, "evaporation_l_per_h") / 3600.0 * 4.19 * number(point, "solution_out_c");
        let told = (number(point, "heat_kw") - vapour_kw) / (feed_kg_per_s * 4.1);
        assert!(
            (told / fall_k - 1.0).abs() < 0.1,
            "{told} K against {fall_k} K in {point}"
        );
    }
}

#[test]
fn impossible_times_and_numbers_are_told_with_their_option() {
    let refused = |words: &[&str], start: &str| {
        let ran = dragback(words);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{words:?}");
        assert!(ran.err.starts_with(start), "{words:?}: {}", ran.err);
    };
    let file = line();
    refused(&["run", &file, "--for", "90"], "--for: '90' has no unit");
    refused(
        &["run", &file, "--for", "200 years"],
        "--for 200 years: a run lasts from 1 h to 10 years",
    );
    refused(
        &["capacity", &file, "--at", "62 °C"],
        "--at 62 °C: write solution temperature",
    );
    refused(
        &["capacity", &file, "--at", "62 °C, 21 °C, 145 %"],
        "--at: relative humidity",
    );
    let drag = |rise: &'static str, loads: &'static str| {
        [
            "dragout", "--tank", "600 L", "--rise", rise, "--bath", "75 g/L", "--loads", loads,
        ]
    };
    refused(&drag("1.9", "40"), "--rise: '1.9' has no unit");
    refused(&drag("80 g/L", "40"), "the rinse ends at 80 g/L");
    refused(&drag("1.9 g/L", "0"), "--loads 0: it must be above 0");
    refused(&drag("-1 g/L", "40"), "--rise -1 g/L: it must be above 0");
    refused(
        &["run", &file, "--for", "-3 d"],
        "--for -3 d: a run lasts from 1 h to 10 years",
    );
    refused(&drag("1.9 g/L", "many"), "--loads:");
}
