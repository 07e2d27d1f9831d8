//! Every command once as people use it: exit codes, what is printed, and that it fits 80 columns.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use common::{assert_snapshot, data, dragback, line, shipped};

#[test]
fn settle_tells_losses_first_and_ends_with_the_caution() {
    let ran = dragback(&["settle", &line()]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("settle.txt", &ran.out);
    let first = ran
        .out
        .lines()
        .find(|l| l.starts_with("  "))
        .expect("a figure");
    assert!(first.contains("Lost for good"), "{first}");
    assert!(
        ran.out
            .trim_end()
            .ends_with("local codes and licensed practice decide.")
    );
}

#[test]
fn run_tells_the_tanks_at_the_end() {
    let ran = dragback(&["run", &line(), "--for", "2 weeks"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("run.txt", &ran.out);
    assert!(
        ran.out.contains("Run of 14 days from the start"),
        "{}",
        ran.out
    );
}

#[test]
fn the_exact_driver_tells_nearly_the_same() {
    let loss = |words: &[&str]| {
        let ran = dragback(words);
        let line = ran
            .out
            .lines()
            .find(|l| l.contains("Evaporated by towers"))
            .expect("a figure")
            .to_owned();
        let number = line.split_whitespace().find_map(|w| w.parse::<f64>().ok());
        number.unwrap_or_else(|| panic!("{line}"))
    };
    let (preview, exact) = (
        loss(&["run", &line(), "--for", "4 weeks"]),
        loss(&["run", &line(), "--for", "4 weeks", "--exact"]),
    );
    assert!(
        (preview / exact - 1.0).abs() < 0.02,
        "{preview} L/h against {exact} L/h"
    );
}

#[test]
fn capacity_tabulates_every_tower() {
    let ran = dragback(&["capacity", &line()]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("capacity.txt", &ran.out);
}

#[test]
fn capacity_at_one_point_says_when_it_is_too_hot_for_the_tower() {
    let ran = dragback(&["capacity", &line(), "--at", "62 °C, 21 °C, 45 %"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_snapshot("capacity-at.txt", &ran.out);
    let ran = dragback(&["capacity", &line(), "--at", "75 °C, 21 °C, 45 %"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(
        ran.out
            .contains("75 °C is above the 70 °C that this tower stands"),
        "{}",
        ran.out
    );
}

#[test]
fn capacity_of_boiling_solution_is_a_dash_and_a_reason() {
    let ran = dragback(&["capacity", &line(), "--at", "99 °C, 21 °C, 45 %"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.out.contains("No answer") && ran.out.contains("boiling"),
        "{}",
        ran.out
    );
}

#[test]
fn check_counts_what_it_read_and_lists_inputs() {
    let ran = dragback(&["check", &line()]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains(": good. 1 loop, 6 tanks,"), "{}", ran.out);
    assert!(
        ran.out.contains("given: 1 measured, 1 assumed,"),
        "{}",
        ran.out
    );
    let ran = dragback(&["check", &line(), "--inputs", "set_point"]);
    assert!(
        ran.out.contains("loop.holding_tank.set_point = 58 °C"),
        "{}",
        ran.out
    );
    assert!(
        ran.out.contains("loop.bath.set_point = 55 °C"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("wall_loss"), "{}", ran.out);
    let ran = dragback(&["check", &line(), "--inputs"]);
    assert!(
        ran.out.contains("loop.bath.tank.wall_loss = 45 W/K"),
        "{}",
        ran.out
    );
}

/// What an input is said to be at least and at most is held against its value.
#[test]
fn check_points_at_values_outside_their_own_range() {
    let check = |set: &str| {
        let ran = dragback(&["check", &shipped("demo.ron"), "--set", set]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    let out = check("loop.work.drag_out.film=0.2 L/m²");
    let wanted = "above its own high of 0.16 L/m²: loop.work.drag_out.film: 0.2 L/m²";
    assert!(out.contains(wanted), "{out}");
    let out = check("loop.work.area_rate=300 ft²/h");
    let wanted = "below its own low of 366.0 ft²/h: loop.work.area_rate: 300 ft²/h";
    assert!(out.contains(wanted), "{out}");
    assert!(!check("loop.work.drag_out.film=0.16 L/m²").contains("its own"));
}

#[test]
fn check_points_at_unusual_inputs() {
    let ran = dragback(&[
        "check",
        &line(),
        "--set",
        "loop.work.drag_out.film=0.9 L/m²",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out
            .contains("unusual: loop.work.drag_out.film: 0.9 L/m² (usual 0.03 to 0.4 L/m²)"),
        "{}",
        ran.out
    );
}

/// Hand derivation: with no start, (c_bath/(c_bath − c_N))^(1/N) = (75/73.1)^(1/40) = 1.000 641 5, times 600 L less 600 L.
#[test]
fn dragout_by_hand() {
    let words = [
        "dragout", "--tank", "600 L", "--rise", "1.9 g/L", "--bath", "75 g/L", "--loads", "40",
    ];
    let ran = dragback(&words);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(
        ran.out.contains("0.385 L (0.356 L to 0.416 L)"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("not usable above 2 %"), "{}", ran.out);
    assert!(!ran.out.contains("Film on the work"));
    let with_area = [&words[..], &["--area", "3.2 m²", "--start", "0.1 g/L"]].concat();
    let ran = dragback(&with_area);
    assert_snapshot("dragout.txt", &ran.out);
    let short = [
        "dragout", "--tank", "600 L", "--rise", "0.9 g/L", "--bath", "75 g/L", "--loads", "40",
    ];
    // 600·0.9/(40·75) = 0.18 L.
    assert!(
        dragback(&short).out.contains("0.18 L\n"),
        "{}",
        dragback(&short).out
    );
}

#[test]
fn us_units_reach_every_table() {
    for words in [
        vec!["settle".to_owned(), line()],
        vec![
            "run".to_owned(),
            line(),
            "--for".to_owned(),
            "1 week".to_owned(),
        ],
        vec!["capacity".to_owned(), line()],
    ] {
        let words: Vec<String> = words
            .into_iter()
            .chain(["--units".to_owned(), "us".to_owned()])
            .collect();
        let ran = dragback(&words);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.out.contains("°F") && ran.out.contains("gal/h"),
            "{}",
            ran.out
        );
        assert!(
            !ran.out.contains("°C") && !ran.out.contains(" L/h"),
            "{}",
            ran.out
        );
    }
    let ran = dragback(&[
        "--units", "us", "dragout", "--tank", "600 L", "--rise", "1.9 g/L", "--bath", "75 g/L",
        "--loads", "40",
    ]);
    assert!(ran.out.contains("0.102 gal"), "{}", ran.out);
}

#[test]
fn tables_fit_80_columns() {
    let file = line();
    let commands: [&[&str]; 6] = [
        &["settle", &file],
        &["run", &file, "--for", "1 week"],
        &["capacity", &file],
        &["capacity", &file, "--at", "62 °C, 21 °C, 45 %"],
        &["check", &file, "--inputs"],
        &[
            "dragout", "--tank", "600 L", "--rise", "1.9 g/L", "--bath", "75 g/L", "--loads", "40",
            "--area", "3 m²",
        ],
    ];
    let shipped = [
        "chromium",
        "demo-before",
        "demo",
        "teaching",
        "warm-bath",
        "zinc-barrel",
    ]
    .map(|name| format!("{}/../../scenarios/{name}.ron", env!("CARGO_MANIFEST_DIR")));
    let mut commands: Vec<Vec<&str>> = commands.iter().map(|words| words.to_vec()).collect();
    for file in &shipped {
        commands.push(vec!["settle", file]);
        commands.push(vec!["run", file, "--for", "8 weeks"]);
    }
    for command in commands {
        for units in ["metric", "us"] {
            let words = [&command[..], &["--units", units]].concat();
            let ran = dragback(&words);
            assert!(ran.code < 2, "{words:?}: {}", ran.err);
            // The first line of `check` holds the path of the file, which is as long as it is.
            for wide in ran.out.lines().filter(|l| !l.contains(&file)) {
                assert!(wide.chars().count() <= 80, "{words:?}: {wide}");
            }
        }
    }
}

#[test]
fn help_fits_80_columns() {
    for command in ["check", "run", "settle", "capacity", "dragout"] {
        for wide in dragback(&[command, "--help"]).out.lines() {
            assert!(wide.chars().count() <= 80, "{command}: {wide}");
        }
    }
    for wide in dragback(&["--help"]).out.lines() {
        assert!(wide.chars().count() <= 80, "{wide}");
    }
}

#[test]
fn help_and_version_are_good_and_unknown_words_are_not() {
    for words in [&["--help"][..], &["settle", "--help"], &["--version"]] {
        let ran = dragback(words);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{words:?}");
        assert!(!ran.out.is_empty());
    }
    let ran = dragback(&["setle", &line()]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert_eq!(
        ran.err,
        "there is no command `setle`; did you mean `settle`?\n"
    );
    let ran = dragback(&["setle"]);
    assert!(
        ran.err.contains("did you mean the command `settle`?"),
        "{}",
        ran.err
    );
    assert_eq!(dragback(&["settle"]).code, 2);
    assert_eq!(dragback(&["settle", &line(), "--colour"]).code, 2);
    assert_eq!(
        dragback(&["settle", &line(), "--units", "imperial"]).code,
        2
    );
}

#[test]
fn limits_that_are_met_make_exit_code_1() {
    let ran = dragback(&["settle", &line(), "--set", "loop.final_limit=1 mg/L"]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(
        ran.out.contains("\nAmiss\n") && ran.out.contains("over its limit of 1 mg/L"),
        "{}",
        ran.out
    );
    let salt = "waters.deionised.solutes.Na=3 g/L";
    let ran = dragback(&["settle", &line(), "--set", salt]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(
        ran.out.contains("Na in bath passes its limit of 10 g/L"),
        "{}",
        ran.out
    );
    let ran = dragback(&["run", &line(), "--for", "26 weeks", "--set", salt]);
    assert_eq!(ran.code, 1, "{}", ran.out);
    assert!(
        ran.out
            .contains("Na in bath passed its limit of 10 g/L on day"),
        "{}",
        ran.out
    );
}

#[test]
fn air_of_a_month_changes_the_answer_only_where_months_differ() {
    let mean = dragback(&["settle", &line()]);
    let january = dragback(&["settle", &line(), "--air", "Jan"]);
    assert!(january.out.contains("in the air of Jan"), "{}", january.out);
    let figure = |out: &str| {
        out.lines()
            .find(|l| l.contains("Evaporated by towers"))
            .map(str::to_owned)
    };
    assert_eq!(figure(&mean.out), figure(&january.out));
    let ran = dragback(&["settle", &line(), "--air", "Januar"]);
    assert_eq!(ran.code, 0, "three letters and more of the name are enough");
    let ran = dragback(&["settle", &line(), "--air", "winter"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(
        ran.err.contains("--air winter") && ran.err.contains("Jan to Dec"),
        "{}",
        ran.err
    );
}

#[test]
fn a_broken_file_gives_every_problem_with_its_line() {
    let file = data("broken.ron");
    let ran = dragback(&["check", &file]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    let told = ran.err.replace(&file, "broken.ron");
    let lines: Vec<&str> = told.lines().collect();
    let starts = |start: &str| lines.iter().any(|l| l.starts_with(start));
    for (number, line) in include_str!("data/broken.ron").lines().enumerate() {
        for (mark, path) in [
            ("titel:", "titel"),
            ("\"5000 m\"", "loop.bath.tank.volume"),
            ("\"95 °C\"", "loop.holding_tank.set_point"),
            ("dry_run_levl", "loop.holding_tank.return.dry_run_levl"),
        ] {
            if line.contains(mark) {
                assert!(
                    starts(&format!("broken.ron:{}: {path}:", number + 1)),
                    "{path} in\n{told}"
                );
            }
        }
    }
    let (problems, last) = (lines.len() - 1, lines.last().copied().unwrap_or_default());
    assert!(problems >= 5, "all at once:\n{told}");
    assert_eq!(last, format!("{problems} problems"));
    for command in ["run", "settle", "capacity"] {
        assert_eq!(
            dragback(&[command, &file]).err.replace(&file, "broken.ron"),
            told
        );
    }
}

/// A share without its sign would be five hundred per cent. Hand derivation: with r = 1.9/75 the drag-out goes as ln(1 − r), so a rise that is known within
/// 20 % alone makes r / ((1 − r) · −ln(1 − r)) = 1.013 times that, 20.3 %; 5 % makes 5.1 %.
#[test]
fn how_far_off_the_rise_may_be_is_a_share_with_its_sign() {
    let told = |within: &str| {
        let all = "dragout --tank 600L --rise 1.9g/L --bath 75g/L --loads 40 --tank-within 0% --bath-within 0%";
        let words = all.split(' ').chain(["--rise-within", within]);
        dragback(&words.collect::<Vec<_>>())
    };
    let bare = told("5");
    assert_eq!((bare.code, bare.out.as_str()), (2, ""));
    let start = "--rise-within 5: give a share from 0 to 100 %";
    assert!(bare.err.starts_with(start), "{}", bare.err);
    assert!(bare.err.contains("5 % rather than 5"), "{}", bare.err);
    for (within, known) in [
        ("20 %", "± 20.3 %"),
        ("5 %", "± 5.1 %"),
        ("0.05", "± 5.1 %"),
        // 0.61 as a share: what it may be is e^0.61 times as much or as little.
        ("60 %", "a factor of 1.8"),
    ] {
        let ran = told(within);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(ran.out.contains(known), "{within}: {}", ran.out);
    }
    let countless = dragback(&[
        "dragout", "--tank", "600 L", "--rise", "1.9 g/L", "--bath", "75 g/L", "--loads", "1e30",
    ]);
    assert_eq!((countless.code, countless.out.as_str()), (2, ""));
    let near = dragback(&[
        "dragout",
        "--tank",
        "600 L",
        "--rise",
        "10 oz/gal",
        "--bath",
        "75 g/L",
        "--loads",
        "40",
    ]);
    assert_eq!((near.code, near.out.as_str()), (2, ""));
    let told = "the rinse ends at 74.9 g/L and the bath holds 75 g/L; analyses that may be off by";
    assert!(near.err.contains(told), "{}", near.err);
    let told = "number of loads is 1.00e30; up to 1000000 is allowed";
    assert!(countless.err.contains(told), "{}", countless.err);
}
