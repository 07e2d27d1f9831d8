//! The crates point one way, nothing below the two faces opens a file or draws, and numbers of the clock and the thermometer live in one place.

#![expect(clippy::panic, reason = "tests say what is wrong by panicking")]

use std::collections::BTreeMap;
use std::process::Command;

use xtask::{code_of, crate_folders, root, rust_files};

/// What each crate may use of ours. A new arrow is a change to this table, and so to the design.
const ARROWS: [(&str, &[&str]); 12] = [
    ("units", &[]),
    ("solver", &[]),
    ("properties", &[]),
    ("plant", &["units", "properties"]),
    ("run", &["plant", "solver", "properties"]),
    ("scenario", &["units", "properties", "plant"]),
    (
        "study",
        &["units", "properties", "plant", "run", "scenario"],
    ),
    (
        "cli",
        &["units", "properties", "plant", "run", "scenario", "study"],
    ),
    (
        "gui",
        &["units", "properties", "plant", "run", "scenario", "study"],
    ),
    ("app", &["cli", "gui"]),
    ("xtask", &[]),
    ("bench", &["plant", "run", "scenario", "study"]),
];

/// Crates below the two faces.
const QUIET: [&str; 7] = [
    "units",
    "solver",
    "properties",
    "plant",
    "run",
    "scenario",
    "study",
];

fn read(path: &std::path::Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Our crates named in the `[dependencies]` table of a manifest.
fn uses(manifest: &str) -> Vec<String> {
    let table = manifest.split("[dependencies]").nth(1).unwrap_or("");
    let table = table.split("\n[").next().unwrap_or("");
    let ours = table
        .lines()
        .filter_map(|l| l.trim().strip_prefix("dragback-"));
    ours.map(|l| l.split(['.', ' ', '=']).next().unwrap_or(l).to_owned())
        .collect()
}

#[test]
fn crates_point_one_way() {
    let allowed: BTreeMap<&str, &[&str]> = ARROWS.into_iter().collect();
    for name in crate_folders() {
        let manifest = read(&root().join("crates").join(&name).join("Cargo.toml"));
        let Some(allowed) = allowed.get(name.as_str()) else {
            panic!("crate {name} is not in the table of arrows; say there what it may use");
        };
        for used in uses(&manifest) {
            assert!(
                allowed.contains(&used.as_str()),
                "{name} must not use {used}"
            );
        }
    }
}

#[test]
fn the_reader_of_manifests_sees_an_arrow() {
    let manifest = "[package]\nname = \"x\"\n\n[dependencies]\ndragback-gui.workspace = true\nron = \"1\"\n\n[dev-dependencies]\ndragback-cli = \"1\"\n";
    assert_eq!(uses(manifest), ["gui"]);
}

#[test]
fn nothing_below_the_faces_opens_a_file() {
    let banned = [
        "std::fs",
        "File::open",
        "File::create",
        "std::net",
        "std::process",
        "std::env",
    ];
    for name in QUIET {
        for path in rust_files(&root().join("crates").join(name).join("src")) {
            let code = code_of(&read(&path));
            for word in banned {
                assert!(!code.contains(word), "{} uses {word}", path.display());
            }
        }
    }
}

#[test]
fn nothing_below_the_faces_draws() {
    for name in ["dragback-study", "dragback-cli"] {
        let tree = Command::new(env!("CARGO"))
            .args([
                "tree",
                "--offline",
                "--edges",
                "normal",
                "--prefix",
                "none",
                "-p",
                name,
            ])
            .current_dir(root())
            .output()
            .expect("cargo tree runs");
        let text = String::from_utf8_lossy(&tree.stdout);
        assert!(
            text.contains(name),
            "cargo tree said: {}",
            String::from_utf8_lossy(&tree.stderr)
        );
        for line in text.lines() {
            let drawn = ["egui", "eframe", "winit", "glow"]
                .iter()
                .any(|w| line.starts_with(w));
            assert!(!drawn, "{name} pulls in {line}");
        }
    }
}

#[test]
fn the_clock_and_the_thermometer_are_written_once() {
    // Conversion factors live in `units`; the calendar's own spans in `plant/calendar.rs`; the zero of the Celsius scale also in the water equations,
    // which stand below `units`.
    let banned = [
        "273.15", "3600.0", "3_600.0", "86400", "86_400", "604800", "604_800",
    ];
    let exempt = [
        "crates/units/",
        "crates/plant/src/calendar.rs",
        "crates/properties/src/water.rs",
    ];
    for name in QUIET.into_iter().chain(["cli", "gui"]) {
        for path in rust_files(&root().join("crates").join(name).join("src")) {
            let told = path
                .strip_prefix(root())
                .unwrap_or(&path)
                .to_string_lossy()
                .replace('\\', "/");
            if exempt.iter().any(|e| told.starts_with(e)) || told.ends_with("tests.rs") {
                continue;
            }
            let code = code_of(&read(&path));
            for word in banned {
                assert!(
                    !code.contains(word),
                    "{told} writes {word}; take it from units or the calendar"
                );
            }
        }
    }
}

#[test]
fn the_state_vector_is_never_indexed_by_a_number() {
    let is_digit = |c: char| c.is_ascii_digit();
    for name in ["plant", "run", "study"] {
        for path in rust_files(&root().join("crates").join(name).join("src")) {
            let code = code_of(&read(&path));
            for (at, _) in code.match_indices("y[") {
                let after = code[at + 2..].chars().next();
                let before = code[..at].chars().next_back();
                let is_vector = before.is_none_or(|c| !c.is_alphanumeric() && c != '_');
                assert!(
                    !(is_vector && after.is_some_and(is_digit)),
                    "{} writes y[<number>",
                    path.display()
                );
            }
        }
    }
}

#[test]
fn the_contributor_guide_names_every_crate() {
    let guide = read(&root().join("DEVELOPERS.md"));
    for name in crate_folders() {
        assert!(
            guide.contains(&format!("`{name}`")),
            "DEVELOPERS.md does not name `{name}`"
        );
    }
}

#[test]
fn the_top_level_holds_what_it_should() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        "LICENSE",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "crates",
        "assets",
        "tests",
        "scenarios",
        "target",
    ];
    for entry in std::fs::read_dir(root())
        .expect("the root can be listed")
        .flatten()
    {
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(
            name.starts_with('.') || allowed.contains(&name.as_str()),
            "{name} does not belong at the top"
        );
    }
}
