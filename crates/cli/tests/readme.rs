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
    let demo = root().join("scenarios/demo.ron").display().to_string();
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
                "run.csv" => folder.file("run.csv"),
                _ => w,
            })
            .collect();
        let ran = dragback(&words);
        assert!(ran.code < 2, "{command}: {}", ran.err);
    }
    for command in ["check", "run", "settle", "capacity", "dragout"] {
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

#[test]
fn the_json_example_has_exactly_the_keys_that_are_written() {
    let text = readme();
    let block = text
        .split("```json")
        .nth(1)
        .and_then(|t| t.split("```").next())
        .expect("an example");
    let example: Value = serde_json::from_str(block).expect("the example is JSON");
    let (mut shown, mut written) = (BTreeSet::new(), BTreeSet::new());
    keys(&example, "", &mut shown);
    let settled = dragback(&["settle", &line(), "--json", "-"]);
    keys(
        &serde_json::from_str(&settled.out).expect("JSON"),
        "",
        &mut written,
    );
    let hot = "loop.holding_tank.tank.start_temperature=68 °C";
    let run = dragback(&[
        "run",
        &line(),
        "--for",
        "1 week",
        "--json",
        "-",
        "--set",
        hot,
    ]);
    keys(
        &serde_json::from_str(&run.out).expect("JSON"),
        "",
        &mut written,
    );
    assert_eq!(shown, written);
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
