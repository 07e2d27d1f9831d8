//! No text, from a file or from the command line, makes a command panic, and each ends with one of the three codes.

mod common;

use common::dragback_reading;
use proptest::prelude::*;

const LINE: &str = include_str!("data/line.ron");

/// Words that a hurried or hostile person may type. No name of a file that could be written is among them.
const WORDS: [&str; 34] = [
    "check",
    "run",
    "settle",
    "capacity",
    "dragout",
    "-",
    "--",
    "--set",
    "--for",
    "--air",
    "--at",
    "--csv",
    "--json",
    "--exact",
    "--units",
    "us",
    "metric",
    "--inputs",
    "--tank",
    "--rise",
    "--bath",
    "--loads",
    "--area",
    "--start",
    "1 d",
    "600 L",
    "1.9 g/L",
    "75 g/L",
    "40",
    "Jan",
    "=",
    "loop.holding_tank.set_point=60 °C",
    "62 °C, 21 °C, 45 %",
    "no/such/file.ron",
];

fn ends_well(input: &[u8], words: &[String]) -> Result<u8, TestCaseError> {
    let ran = dragback_reading(input, words);
    prop_assert!(ran.code <= 2, "{words:?}");
    prop_assert!(
        ran.code != 2 || !ran.err.is_empty(),
        "{words:?} failed without a word"
    );
    Ok(ran.code)
}

/// The scenario with some of its text replaced.
fn damaged() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        "[-0-9.e]{1,6}",
        "[(){}\\[\\],:\"]",
        "\\PC{0,4}",
        Just("\"0 L\"".to_owned()),
        Just("\"-5 °C\"".to_owned()),
        Just("\"1e300 L\"".to_owned()),
        Just(String::new()),
    ];
    proptest::collection::vec((any::<prop::sample::Index>(), 0_usize..12, piece), 1..4).prop_map(
        |cuts| {
            let mut text: Vec<char> = LINE.chars().collect();
            for (place, len, piece) in cuts {
                let from = place.index(text.len());
                let to = (from + len).min(text.len());
                text.splice(from..to, piece.chars());
            }
            text.into_iter().collect()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1024, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        ends_well(&bytes, &["check".to_owned(), "-".to_owned()])?;
    }

    #[test]
    fn any_text(text in "\\PC{0,200}") {
        ends_well(text.as_bytes(), &["check".to_owned(), "-".to_owned()])?;
    }

    #[test]
    fn damaged_scenarios(text in damaged()) {
        ends_well(text.as_bytes(), &["check".to_owned(), "-".to_owned()])?;
    }

    #[test]
    fn any_change(path in "[a-z._]{0,40}|loop\\.holding_tank\\.set_point", value in "\\PC{0,24}") {
        let change = format!("{path}={value}");
        ends_well(LINE.as_bytes(), &["check".to_owned(), "-".to_owned(), "--set".to_owned(), change])?;
    }

    #[test]
    fn any_point(at in "\\PC{0,40}|-?[0-9]{1,3} °C, ?-?[0-9]{1,3} °C, ?[0-9]{1,3} %") {
        ends_well(LINE.as_bytes(), &["capacity".to_owned(), "-".to_owned(), "--at".to_owned(), at])?;
    }

    #[test]
    fn any_words(
        words in proptest::collection::vec(
            prop_oneof![4 => proptest::sample::select(&WORDS[..]).prop_map(str::to_owned), 1 => "\\PC{0,12}"],
            0..7,
        ),
    ) {
        // A word behind an output option would be the name of a file to write.
        let writes = words.iter().any(|w| w.starts_with("--csv") || w.starts_with("--json"));
        prop_assume!(!writes || words.windows(2).all(|w| !(w[0] == "--csv" || w[0] == "--json") || w[1] == "-"));
        prop_assume!(!words.iter().any(|w| w.starts_with("--c") && w.contains('=') || w.starts_with("--j") && w.contains('=')));
        ends_well(b"()", &words)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Values that the schema allows but that nobody means: a run ends with an answer or an error.
    #[test]
    fn odd_but_allowed_values_run(
        film in 1e-4_f64..5.0,
        flow in 0.0_f64..5000.0,
        set_point in 20.0_f64..71.0,
        power in 0.0_f64..1000.0,
        area in 0.01_f64..1000.0,
    ) {
        let set = |path: &str, value: f64, unit: &str| ["--set".to_owned(), format!("{path}={value:.4} {unit}")];
        let words: Vec<String> = ["run", "-", "--for", "3 d"]
            .map(str::to_owned)
            .into_iter()
            .chain(set("loop.work.drag_out.film", film, "L/m²"))
            .chain(set("loop.sections.rinses.flow", flow, "L/h"))
            .chain(set("loop.holding_tank.set_point", set_point, "°C"))
            .chain(set("loop.holding_tank.elements.e1.power", power, "kW"))
            .chain(set("loop.work.area_rate", area, "m²/h"))
            .collect();
        ends_well(LINE.as_bytes(), &words)?;
    }
}
