//! A file of any content is refused within a second and 200 MB, and never by a panic.

#![allow(clippy::print_stdout, reason = "the times are worth seeing")]

use std::time::{Duration, Instant};

use dragback_scenario::{MAX_BYTES, load};
use proptest::prelude::*;

const DEMO: &str = include_str!("../../../scenarios/demo.ron");

/// `part` again and again up to the largest size that is read.
fn filled(head: &str, part: &str, tail: &str) -> String {
    let times = (MAX_BYTES - head.len() - tail.len()) / part.len();
    format!("{head}{}{tail}", part.repeat(times))
}

fn nested(open: &str, close: &str, depth: usize) -> String {
    format!("{}1{}", open.repeat(depth), close.repeat(depth))
}

fn refused(name: &str, text: &str) {
    let start = Instant::now();
    let (scenario, problems) = load(text);
    let took = start.elapsed();
    assert!(
        scenario.is_none() && !problems.is_empty(),
        "{name} is accepted"
    );
    assert!(problems.len() <= 260, "{name}: {} problems", problems.len());
    let longest = problems
        .iter()
        .map(|p| p.to_string().len())
        .max()
        .unwrap_or(0);
    assert!(longest < 10_000, "{name}: a message of {longest} bytes");
    println!("{name}: {took:?}, {} problems", problems.len());
    assert!(took < Duration::from_secs(1), "{name} took {took:?}");
}

/// Most memory that the process has ever held, kB, where the system tells.
fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn large_and_odd_files_are_refused_quickly() {
    let many = |unit: &str| filled("(a: [", unit, "])");
    let in_events = |unit: &str| filled("(events: [", unit, "])");
    let in_loops = |unit: &str| {
        let mut text = "(loops: {".to_owned();
        for i in 0.. {
            let entry = format!("\"k{i}\": {unit},");
            if text.len() + entry.len() + 2 > MAX_BYTES {
                break;
            }
            text.push_str(&entry);
        }
        text + "})"
    };
    let cases = [
        ("nothing", String::new()),
        ("one byte too many", " ".repeat(MAX_BYTES + 1)),
        ("spaces", " ".repeat(MAX_BYTES)),
        ("open brackets", "(".repeat(MAX_BYTES)),
        ("open comments", "/*".repeat(MAX_BYTES / 2)),
        ("line comments", filled("", "//\n", "")),
        ("open text", filled("(a: \"", "x", "")),
        ("escapes", filled("(a: \"", "\\n", "\")")),
        ("raw hashes", filled("(a: r", "#", "")),
        ("raw text that never closes", filled("(a: r#\"", "\"x", "")),
        ("quotes", filled("", "'", "")),
        (
            "ones, as many as are read",
            format!("(a: [{}])", "1,".repeat(49_000)),
        ),
        (
            "long texts",
            format!("(a: [{}])", "\"0123456789 0123\",".repeat(49_000)),
        ),
        (
            "records, as many as are read",
            format!("(a: [{}])", "(a:1),".repeat(24_900)),
        ),
        (
            "maps, as many as are read",
            format!("(loops: {{{}}})", "\"a\":{},".repeat(24_900)),
        ),
        ("deep, as many as are read", {
            let one = format!("{},", nested("(", ")", 28));
            format!("(a: [{}])", one.repeat(1_700))
        }),
        ("ones", many("1,")),
        ("texts", many("\"\",")),
        ("empty records", many("(),")),
        ("records", many("(a:1),")),
        ("nested tuples", many("((((((1)))))),")),
        ("deep newtypes", many(&format!("{},", nested("(", ")", 28)))),
        (
            "deep named newtypes",
            many(&format!("{},", nested("A(", ")", 28))),
        ),
        ("deep lists", many(&format!("{},", nested("[", "]", 28)))),
        (
            "deep options",
            many(&format!("{},", nested("Some(", ")", 28))),
        ),
        (
            "one long tuple in deep brackets",
            filled(&"(".repeat(28), "1,", &")".repeat(28)),
        ),
        (
            "one long record in deep brackets",
            filled(&"(".repeat(28), "a:1,", &")".repeat(28)),
        ),
        ("one long number", filled("(version: ", "1", ")")),
        ("one long word", filled("(version: ", "a", ")")),
        (
            "one long quantity",
            filled("(site: (altitude: \"", "1", " m\"))"),
        ),
        ("one long key", filled("(loops: {\"", "k", "\": ()})")),
        ("one long field", filled("(", "k", ": 1)")),
        ("many unknown fields", {
            let fields: String = (0..60_000).map(|i| format!("field{i}: 1,")).collect();
            format!("({fields})")
        }),
        ("the same field again", filled("(", "site: 1,", ")")),
        ("broken events", in_events("(do: 1),")),
        ("empty events", in_events("(),")),
        (
            "events that are full",
            in_events("(at:\"1 h\",do:(fail:\"x\")),"),
        ),
        ("many loops", in_loops("()")),
        (
            "many odd loops",
            in_loops("(lead: 1, work: 2, route: [(at: 3)])"),
        ),
        ("NUL", "(title: \"\0\")".to_owned()),
        ("byte order mark", format!("\u{feff}{DEMO}x")),
        ("no text", "\u{202e}\u{0}\u{ffff}".to_owned()),
        ("twice", format!("{DEMO}{DEMO}")),
        ("half", DEMO[..DEMO.len() / 2].to_owned()),
    ];
    for (name, text) in &cases {
        refused(name, text);
    }
    if let Some(kb) = peak_kb() {
        assert!(kb < 200_000, "{kb} kB at the most");
        println!("at most {kb} kB");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = load(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn ron_like_text_never_panics(text in "[(){}\\[\\]:,\"'/*#a-z0-9.\\\\ \n-]{0,200}") {
        let _ = load(&text);
    }

    /// A demo with a stretch cut out, doubled or replaced never panics, and what is accepted saves to the same.
    #[test]
    fn damaged_demo_never_panics(at in 0_usize..9000, length in 0_usize..60, put in "[(){}\\[\\]:,\"0-9a-z °]{0,8}") {
        let floor = |i: usize| (0..=i.min(DEMO.len())).rev().find(|&k| DEMO.is_char_boundary(k)).unwrap_or(0);
        let (from, to) = (floor(at), floor(at + length));
        let text = format!("{}{put}{}", &DEMO[..from], &DEMO[to..]);
        let (scenario, problems) = load(&text);
        prop_assert_eq!(scenario.is_some(), problems.is_empty());
        if let Some(scenario) = scenario {
            let (again, problems) = load(&dragback_scenario::save(&scenario));
            prop_assert!(problems.is_empty(), "{:?}", problems);
            prop_assert_eq!(again.unwrap(), scenario);
        }
        for p in &problems {
            prop_assert!(!p.advice.is_empty(), "{p}");
            prop_assert!(p.place.is_some() || p.message.contains("more problems"), "{p}");
        }
    }
}
