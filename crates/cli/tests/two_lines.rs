//! Lines set against each other: whether a change pays, and what differs.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use common::{Folder, assert_snapshot, dragback, json, shipped};

#[test]
fn payback_tells_the_answer_first() {
    let before = shipped("demo-before.ron");
    let ran = dragback(&["payback", &before, &shipped("demo.ron")]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("payback.txt", &ran.out);
    assert!(ran.out.contains("It pays within"), "{}", ran.out);
    let third = ran.out.lines().nth(3).expect("the answer");
    assert!(third.starts_with("It saves "), "{third}");
    // The other way round nothing is laid out, and nothing saved.
    let back = dragback(&["payback", &shipped("demo.ron"), &before]);
    assert!(
        back.out.contains("a year more; nothing is laid out."),
        "{}",
        back.out
    );
    assert!(back.out.contains("are the two"), "{}", back.out);
    assert!(!back.out.contains("It pays within"), "{}", back.out);
}

#[test]
fn payback_says_what_is_missing() {
    let (demo, chromium) = (shipped("demo.ron"), shipped("chromium.ron"));
    let ran = dragback(&["payback", &chromium, &demo]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("prices in USD, the other in EUR"),
        "{}",
        ran.err
    );
    let ran = dragback(&["payback", &demo, &demo, "--set", "prices=none"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    // A line before without prices: its people and fees would count for nothing.
    let folder = Folder::new();
    let text = std::fs::read_to_string(shipped("demo-before.ron")).expect("the line before");
    let at = text.find("    prices: (").expect("prices");
    let mute = folder.file("mute.ron");
    std::fs::write(&mute, format!("{})\n", &text[..at])).expect("a file");
    let ran = dragback(&["payback", &mute, &demo]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    let why = "has no prices, so that its people, yearly fees and equipment";
    let told = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains(why), "{}", ran.err);
    let ran = dragback(&["compare", &mute, &demo]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let told = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains(&format!(
            "No payback: Bright nickel rack line before recovery {why}"
        )),
        "{}",
        ran.out
    );
    for within in ["0 years", "2", "200 years", "2 kg"] {
        let ran = dragback(&["payback", &demo, &demo, "--within", within]);
        assert_eq!(ran.code, 2, "{within}");
        assert!(ran.err.contains("--within"), "{}", ran.err);
    }
    let ran = dragback(&["payback", "-", "-"]);
    assert!(ran.err.contains("only one of the two"), "{}", ran.err);
}

/// A change that one of the two lines lacks is made in the other; one that the later line lacks is told.
#[test]
fn what_is_set_is_set_in_both_where_both_have_it() {
    let (before, demo) = (shipped("demo-before.ron"), shipped("demo.ron"));
    let saved = |set: &str| {
        let found = json(&["payback", &before, &demo, "--set", set]);
        found["saving_per_year"].as_f64().expect("a number")
    };
    let now = saved("prices.date=2026-02");
    // Twice the work drags out twice as much before; less heat is one of the later line alone.
    assert!(saved("loop.work.area_rate=60 m²/h") > 1.2 * now);
    assert!(saved("loop.holding_tank.set_point=50 °C") != now);
    let ran = dragback(&["payback", &before, &demo, "--set", "loop.no_such=1"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
}

#[test]
fn compare_sets_figures_and_differing_inputs_side_by_side() {
    let (before, demo) = (shipped("demo-before.ron"), shipped("demo.ron"));
    let ran = dragback(&["compare", &before, &demo]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("compare.txt", &ran.out);
    // The figures are those of `settle`.
    let found = json(&["compare", &before, &demo, &demo]);
    let settled = json(&["settle", &demo]);
    let film = settled["loops"][0]["final_rinse"]["film_mg_per_l"].as_f64();
    let figures = found["figures"].as_array().expect("figures");
    let row = figures.iter().find(|r| r["name"] == "film on the work");
    let values = &row.expect("the film")["values_si"];
    let told = values[1].as_f64().zip(film);
    let (told, film) = told.expect("both have the film");
    // Reading a number from JSON may miss it by its last bit.
    assert!((1e3 * told / film - 1.0).abs() < 1e-12, "{told} {film}");
    assert_eq!(values[1], values[2]);
    // What is set is set where it is; where nobody has it, that is told.
    let set = ["compare", &before, &demo, "--set"];
    let with = |change: &str| dragback(&[&set[..], &[change]].concat());
    assert_eq!(with("loop.holding_tank.set_point=56 °C").code, 0);
    let none = with("loop.no_such=1");
    assert_eq!(none.code, 2);
    assert!(none.err.contains("loop.no_such"), "{}", none.err);
    assert_eq!(dragback(&["compare", &demo]).code, 2);
    let same = dragback(&["compare", &demo, &demo]);
    assert!(same.out.contains("No input differs."), "{}", same.out);
}

/// One file alone is compared with the variants in it, as if each were a file of its own.
#[test]
fn a_file_is_compared_with_its_variants() {
    let text = std::fs::read_to_string(shipped("demo.ron")).expect("the demo");
    let at = text.trim_end().rfind(')').expect("an end");
    let flow = "loop.sections.rinses.flow";
    let variants = format!(
        "variants: {{\"less water\": {{\"{flow}\": \"60 L/h\"}}, \"no tower\": {{\"loop.towers.t1\": None}}}},"
    );
    let folder = Folder::new();
    let write = |name: &str, variants: &str| {
        let file = folder.file(name);
        std::fs::write(&file, format!("{}    {variants}\n)\n", &text[..at])).expect("a file");
        file
    };
    let file = write("variants.ron", &variants);
    let ran = dragback(&["compare", &file]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("compare-variants.txt", &ran.out);
    let found = json(&["compare", &file]);
    let set = format!("{flow}=60 L/h");
    let alone = json(&["settle", &shipped("demo.ron"), "--set", &set]);
    let film = alone["loops"][0]["final_rinse"]["film_mg_per_l"].as_f64();
    let figures = found["figures"].as_array().expect("figures");
    let row = figures.iter().find(|r| r["name"] == "film on the work");
    let value = row.expect("the film")["values_si"][1].as_f64();
    assert_eq!(value.map(|x| 1e3 * x), film);
    // The check reads them too, and the line itself does not change by them.
    let checked = dragback(&["check", &file]);
    assert!(
        checked.out.contains("2 variants: less water, no tower"),
        "{}",
        checked.out
    );
    assert_eq!(
        json(&["settle", &file]),
        json(&["settle", &shipped("demo.ron")])
    );
    let broken = write("broken.ron", &variants.replace("60 L/h", "60 °C"));
    let ran = dragback(&["check", &broken]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err
            .contains("variants.less water.loop.sections.rinses.flow"),
        "{}",
        ran.err
    );
    let none = dragback(&["compare", &shipped("demo.ron")]);
    assert_eq!(none.code, 2);
    assert!(none.err.contains("give a second file"), "{}", none.err);
}

/// Many lines stand in several tables, each of which fits the terminal.
#[test]
fn many_lines_fit_the_terminal() {
    let files: Vec<String> = [
        "demo-before.ron",
        "demo.ron",
        "teaching.ron",
        "demo.ron",
        "zinc-barrel.ron",
        "demo.ron",
    ]
    .map(shipped)
    .to_vec();
    let args: Vec<&str> = std::iter::once("compare")
        .chain(files.iter().map(String::as_str))
        .collect();
    let ran = dragback(&args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let longest = ran.out.lines().map(|l| l.chars().count()).max();
    assert!(longest <= Some(80), "{longest:?}\n{}", ran.out);
    for letter in ["B − A", "F − A"] {
        assert!(ran.out.contains(letter), "{}", ran.out);
    }
}

/// An uncertain input of which one end has no settled week stands below the others, with what stopped it.
#[test]
fn what_stops_an_uncertain_input_is_told() {
    let folder = Folder::new();
    let text = std::fs::read_to_string(shipped("demo.ron")).expect("the demo");
    let wide = text.replacen(
        "set_point: \"58 °C\"",
        "set_point: (value: \"58 °C\", low: \"56 °C\", high: \"72 °C\")",
        1,
    );
    assert_ne!(wide, text);
    let file = folder.file("wide.ron");
    std::fs::write(&file, wide).expect("a file");
    let before = shipped("demo-before.ron");
    let ran = dragback(&["payback", &before, &file]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let told = "\n  loop.holding_tank.set_point at 72 °C: no answer:";
    assert!(ran.out.contains(told), "{}", ran.out);
    assert!(ran.out.contains("is above the ceiling"), "{}", ran.out);
    let found = json(&["payback", &before, &file]);
    let stopped = found["tornado_stopped"].as_array().expect("a list");
    assert_eq!(stopped.len(), 1, "{stopped:?}");
    assert_eq!(stopped[0]["path"], "loop.holding_tank.set_point");
    assert_eq!(stopped[0]["value_si"].as_f64(), Some(345.15));
}

/// A payback that is not to be believed as it stands is marked, and what is to be known stands below the table and in the JSON.
#[test]
fn compare_tells_what_is_to_be_known_of_a_payback() {
    let (before, other) = (shipped("demo-before.ron"), shipped("teaching.ron"));
    let ran = dragback(&["compare", &before, &other]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains("(!)"), "{}", ran.out);
    let words = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for told in [
        "Payback of B: The two lines do not do the same work",
        "Payback of B: What has no price is not counted:",
    ] {
        assert!(words.contains(told), "{told}: {}", ran.out);
    }
    let found = json(&["compare", &before, &other]);
    let warnings = found["pays"][1]["warnings"].as_array().expect("warnings");
    assert!(warnings.len() >= 2, "{warnings:?}");
}
