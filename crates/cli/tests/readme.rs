//! What README.md says of the terminal is so.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use common::{Folder, dragback, line};
use serde_json::Value;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn readme() -> String {
    fs::read_to_string(root().join("README.md")).expect("README.md")
}

/// Words of a command as a shell would part them.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (i, part) in command.split('"').enumerate() {
        if i % 2 == 1 {
            words.push(part.to_owned());
        } else {
            words.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    words
}

#[test]
fn every_command_shown_runs() {
    let folder = Folder::new();
    let scenario = |name: &str| root().join("scenarios").join(name).display().to_string();
    let (demo, before) = (scenario("demo.ron"), scenario("demo-before.ron"));
    let teaching = scenario("teaching.ron");
    let text = readme();
    let shown: Vec<&str> = text
        .lines()
        .filter_map(|l| l.strip_prefix("    dragback "))
        .collect();
    for command in &shown {
        let words: Vec<String> = words(command)
            .into_iter()
            .map(|w| match w.as_str() {
                "scenarios/demo.ron" | "my-line.ron" => demo.clone(),
                "scenarios/demo-before.ron" => before.clone(),
                "run.csv" | "report.html" | "report.csv" => folder.file(&w),
                "scenarios/teaching.ron" => teaching.clone(),
                _ => w,
            })
            .collect();
        let ran = dragback(&words);
        assert!(ran.code < 2, "{command}: {}", ran.err);
    }
    for command in [
        "check", "run", "settle", "capacity", "dragout", "payback", "compare", "size", "report",
    ] {
        assert!(
            shown.iter().any(|s| s.starts_with(command)),
            "no example of {command}"
        );
    }
}

/// Paths of all keys, names of solutes and items apart.
fn keys(json: &Value, path: &str, found: &mut BTreeSet<String>) {
    match json {
        Value::Object(entries) => {
            for (key, inner) in entries {
                let by_name = path.ends_with("concentration_g_per_l")
                    || path.ends_with("kg_per_day")
                    || (path == ".ledger" && !matches!(key.as_str(), "water" | "energy"));
                let here = if by_name {
                    format!("{path}.*")
                } else {
                    format!("{path}.{key}")
                };
                found.insert(here.clone());
                keys(inner, &here, found);
            }
        }
        Value::Array(items) => items
            .iter()
            .for_each(|item| keys(item, &format!("{path}[]"), found)),
        _ => {}
    }
}

/// Keys whose objects hold one entry for each solute, or for each quantity of the books.
const BY_NAME: [&str; 4] = [
    "concentration_g_per_l",
    "lost_kg_per_day",
    "returned_kg_per_day",
    "ledger",
];
/// Entries of such objects that an example shows.
const SHOWN: [&str; 3] = ["Ni", "water", "energy"];

/// Three digits; of a share that is nearly the whole, three digits of what is missing.
fn three_digits(x: f64) -> f64 {
    let round = |x: f64| format!("{x:.2e}").parse().unwrap_or(f64::NAN);
    if (0.99..1.0).contains(&x) {
        let rest: f64 = round(1.0 - x);
        return format!("{:.7}", 1.0 - rest).parse().unwrap_or(f64::NAN);
    }
    round(x)
}

/// An answer as an example shows it: numbers of three digits, and of lists the first entry with `…` for the rest.
fn shortened(json: &Value, key: &str) -> Value {
    match json {
        // Counts stay counts.
        Value::Number(n) if !n.is_f64() => json.clone(),
        Value::Number(n) => serde_json::json!(three_digits(n.as_f64().unwrap_or(f64::NAN))),
        Value::Array(items) => {
            let mut few: Vec<Value> = items.iter().take(1).map(|i| shortened(i, "")).collect();
            if items.len() > 1 {
                few.push("…".into());
            }
            Value::Array(few)
        }
        Value::Object(entries) => {
            let is_by_name = BY_NAME.contains(&key);
            let is_shown = |name: &str| !is_by_name || SHOWN.contains(&name);
            let mut few: serde_json::Map<String, Value> = entries
                .iter()
                .filter(|(name, _)| is_shown(name))
                .map(|(name, inner)| (name.clone(), shortened(inner, name)))
                .collect();
            if few.len() < entries.len() {
                few.insert("…".to_owned(), "…".into());
            }
            Value::Object(few)
        }
        other => other.clone(),
    }
}

/// Text of an example: an object that fits a line stands in one; keys in the order in which `raw` has them.
fn laid_out(json: &Value, indent: usize, raw: &str) -> String {
    let flat = flat(json, raw);
    if flat.chars().count() + indent <= 110 && indent > 0 {
        return flat;
    }
    let blank = " ".repeat(indent + 2);
    let end = " ".repeat(indent);
    match json {
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(|i| laid_out(i, indent + 2, raw)).collect();
            format!("[\n{blank}{}\n{end}]", items.join(&format!(",\n{blank}")))
        }
        Value::Object(entries) => {
            let entries: Vec<String> = in_order(entries, raw)
                .into_iter()
                .map(|(key, inner)| format!("\"{key}\": {}", laid_out(inner, indent + 2, raw)))
                .collect();
            format!(
                "{{\n{blank}{}\n{end}}}",
                entries.join(&format!(",\n{blank}"))
            )
        }
        other => other.to_string(),
    }
}

fn in_order<'a>(
    entries: &'a serde_json::Map<String, Value>,
    raw: &str,
) -> Vec<(&'a str, &'a Value)> {
    let place = |key: &str| raw.find(&format!("\"{key}\":")).unwrap_or(usize::MAX);
    let mut entries: Vec<(&str, &Value)> = entries.iter().map(|(k, v)| (k.as_str(), v)).collect();
    entries.sort_by_key(|(key, _)| place(key));
    entries
}

fn flat(json: &Value, raw: &str) -> String {
    match json {
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(|i| flat(i, raw)).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Object(entries) => {
            let entries = in_order(entries, raw)
                .into_iter()
                .map(|(key, inner)| format!("\"{key}\": {}", flat(inner, raw)));
            format!("{{ {} }}", entries.collect::<Vec<_>>().join(", "))
        }
        other => other.to_string(),
    }
}

/// Differences between what an example shows and what it should; numbers may differ by one in the third digit, rounding by nothing.
fn differences(shown: &Value, now: &Value, path: &str, found: &mut Vec<String>) {
    match (shown, now) {
        (Value::Object(a), Value::Object(b)) => {
            for key in a.keys().chain(b.keys().filter(|k| !a.contains_key(*k))) {
                let null = Value::Null;
                let (x, y) = (a.get(key).unwrap_or(&null), b.get(key).unwrap_or(&null));
                if a.contains_key(key) != b.contains_key(key) {
                    found.push(format!("{path}.{key}: stands in one of the two only"));
                } else {
                    differences(x, y, &format!("{path}.{key}"), found);
                }
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (i, (x, y)) in a.iter().zip(b).enumerate() {
                differences(x, y, &format!("{path}[{i}]"), found);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            if a.is_f64() != b.is_f64() {
                found.push(format!("{path}: {a} is shown, {b} is answered"));
            }
            let (a, b) = (a.as_f64(), b.as_f64());
            let (a, b) = (a.unwrap_or(f64::NAN), b.unwrap_or(f64::NAN));
            let told = if (0.99..1.0).contains(&b) { 1.0 - b } else { b };
            let third_digit = 10_f64.powf(told.abs().log10().floor() - 2.0);
            // What is left of differences of large sums is not the same on every machine.
            let is_rounding = a.abs() < 1e-5 && b.abs() < 1e-5;
            if !(is_rounding || (a - b).abs() <= 1.001 * third_digit || a == b) {
                found.push(format!("{path}: {a} is shown, {b} is answered"));
            }
        }
        _ if shown == now => {}
        _ => found.push(format!("{path}: {shown} is shown, {now} is answered")),
    }
}

/// An example as it stands, as it should, and the answer it is taken from.
struct Example {
    shown: String,
    now: Value,
    raw: String,
}

fn examples() -> Vec<Example> {
    let demo = root().join("scenarios/demo.ron").display().to_string();
    let hot = "loop.holding_tank.tank.start_temperature=68 °C";
    let settled = dragback(&["settle", &demo, "--json", "-"]).out;
    let run = dragback(&["run", &demo, "--for", "1 week", "--set", hot, "--json", "-"]).out;
    let read = |raw: &str| -> Value { serde_json::from_str(raw).expect("JSON") };
    let alarms = shortened(&read(&run)["alarms"], "");
    assert!(alarms.is_array(), "{run}");
    let alarms = serde_json::json!({ "alarms": alarms, "…": "…" });
    let text = readme();
    let shown = text
        .split("```json\n")
        .skip(1)
        .filter_map(|t| t.split("```").next());
    shown
        .zip([(shortened(&read(&settled), ""), settled), (alarms, run)])
        .map(|(shown, (now, raw))| Example {
            shown: shown.to_owned(),
            now,
            raw,
        })
        .collect()
}

/// With `DRAGBACK_UPDATE_SNAPSHOTS` set, the examples are written instead.
#[test]
fn the_json_examples_are_what_the_program_answers() {
    let examples = examples();
    assert_eq!(examples.len(), 2, "README.md shows two examples");
    if std::env::var_os("DRAGBACK_UPDATE_SNAPSHOTS").is_some() {
        let mut text = readme();
        for Example { shown, now, raw } in &examples {
            let fenced = |inner: &str| format!("```json\n{inner}```");
            let fresh = format!("{}\n", laid_out(now, 0, raw));
            text = text.replacen(&fenced(shown), &fenced(&fresh), 1);
        }
        fs::write(root().join("README.md"), text).expect("README.md is written");
        return;
    }
    for Example { shown, now, .. } in examples {
        let shown: Value = serde_json::from_str(&shown).expect("the example is JSON");
        let mut found = Vec::new();
        differences(&shown, &now, "", &mut found);
        assert!(
            found.is_empty(),
            "README.md:\n{}\nDRAGBACK_UPDATE_SNAPSHOTS=1 writes it anew",
            found.join("\n")
        );
        let items = now.get("alarms").and_then(Value::as_array);
        assert!(items.is_some(), "both examples tell alarms");
    }
}

#[test]
fn a_wrong_number_in_an_example_is_found() {
    let now = serde_json::json!({ "a": [1.23, "…"], "b": null, "c": 1e-14 });
    let found = |shown: Value| {
        let mut found = Vec::new();
        differences(&shown, &now, "", &mut found);
        found.len()
    };
    let shown = |a: f64| serde_json::json!({ "a": [a, "…"], "b": null, "c": 7e-15 });
    assert_eq!(found(shown(1.23)), 0);
    assert_eq!(found(shown(1.24)), 0);
    assert_eq!(found(shown(1.25)), 1);
    assert_eq!(
        found(serde_json::json!({ "a": [1.23, "…"], "c": 1e-14 })),
        1
    );
    assert_eq!(
        found(serde_json::json!({ "a": [1.23], "b": null, "c": 1e-14 })),
        1
    );
}

#[test]
fn every_key_that_is_written_is_explained() {
    let text = readme();
    let mut written = BTreeSet::new();
    let hot = "loop.holding_tank.tank.start_temperature=68 °C";
    for words in [
        vec!["settle", "--json", "-"],
        vec!["run", "--for", "1 week", "--json", "-", "--set", hot],
        vec!["capacity", "--json", "-"],
    ] {
        let file = line();
        let words: Vec<&str> = words
            .iter()
            .take(1)
            .copied()
            .chain([file.as_str()])
            .chain(words.iter().skip(1).copied())
            .collect();
        let ran = dragback(&words);
        keys(
            &serde_json::from_str(&ran.out).expect("JSON"),
            "",
            &mut written,
        );
    }
    assert!(
        written.contains(".alarms[].what") && written.contains(".towers[].points[].heat_kw"),
        "{written:?}"
    );
    for key in written
        .iter()
        .filter_map(|k| k.rsplit('.').next())
        .filter(|k| *k != "*")
    {
        let bare = key.trim_end_matches("[]");
        let is_told = text.contains(&format!("`{bare}")) || text.contains(&format!(".{bare}"));
        // Energy's keys are told by their ending.
        assert!(is_told || bare.ends_with("_kwh"), "{bare} is not explained");
    }
}
