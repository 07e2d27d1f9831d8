//! The crates point one way, nothing below the two faces opens a file or knows a window, and numbers of the clock and the thermometer live in one place.

#![expect(clippy::panic, reason = "tests say what is wrong by panicking")]

use std::collections::BTreeMap;
use std::process::Command;

use xtask::{code_of, crate_folders, dependencies, root, rust_files, without_comments};

/// What each crate may use of ours. A new arrow is a change to this table, and so to the design.
const ARROWS: [(&str, &[&str]); 15] = [
    ("units", &[]),
    ("solver", &[]),
    ("properties", &[]),
    ("plant", &["units", "properties"]),
    ("run", &["plant", "solver"]),
    ("scenario", &["units", "properties", "plant"]),
    (
        "study",
        &["units", "properties", "plant", "run", "scenario"],
    ),
    ("drawing", &["units", "plant", "run", "scenario", "study"]),
    (
        "report",
        &[
            "units",
            "properties",
            "plant",
            "run",
            "scenario",
            "study",
            "drawing",
        ],
    ),
    ("pdf", &["drawing", "report"]),
    (
        "cli",
        &[
            "units",
            "properties",
            "plant",
            "run",
            "scenario",
            "study",
            "report",
        ],
    ),
    (
        "gui",
        &[
            "units",
            "properties",
            "plant",
            "run",
            "scenario",
            "study",
            "drawing",
            "report",
        ],
    ),
    ("app", &["cli", "gui", "report", "pdf"]),
    ("xtask", &[]),
    (
        "bench",
        &[
            "properties",
            "plant",
            "run",
            "scenario",
            "study",
            "report",
            "gui",
            "tests",
        ],
    ),
];

/// Crates below the two faces.
const QUIET: [&str; 10] = [
    "units",
    "solver",
    "properties",
    "plant",
    "run",
    "scenario",
    "study",
    "drawing",
    "report",
    "pdf",
];

fn read(path: &std::path::Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Our crates that a manifest names. Tests of a crate look the same way as the crate: what stands above it is tested above it, or in `tests`.
fn uses(manifest: &str) -> Vec<String> {
    let named = dependencies(manifest).into_iter();
    named
        .filter_map(|d| d.name.strip_prefix("dragback-").map(str::to_owned))
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
fn the_reader_of_manifests_sees_every_arrow() {
    let manifest = "[package]\nname = \"x\"\n\n[dependencies]\n# Faces.\ndragback-gui.workspace = true\nron = \"1\"\n\n\
                    [dependencies.dragback-run]\nworkspace = true\n\n[dev-dependencies]\ndragback-cli = \"1\"\n\n\
                    [target.'cfg(unix)'.dependencies]\ndragback-units = { workspace = true }\n\n[lints]\nworkspace = true\n";
    assert_eq!(uses(manifest), ["gui", "run", "cli", "units"]);
    let for_tests: Vec<String> = dependencies(manifest)
        .into_iter()
        .filter_map(|d| d.is_dev.then_some(d.name))
        .collect();
    assert_eq!(for_tests, ["dragback-cli"]);
}

#[test]
fn the_reader_of_code_stops_only_at_tests_written_in_place() {
    let named = "#[cfg(test)]\nmod tests;\n\nconst A: u8 = 1; // said\n";
    assert!(code_of(named).contains("const A") && !code_of(named).contains("said"));
    let written = "const A: u8 = 1;\n#[cfg(test)]\n#[expect(dead_code, reason = \"x\")]\nmod tests {\n    const B: u8 = 2;\n}\n";
    assert!(code_of(written).contains("const A") && !code_of(written).contains("const B"));
    let one_item = "#[cfg(test)]\nuse std::fs;\nconst A: u8 = 1;\n";
    assert!(code_of(one_item).contains("const A"));
}

#[test]
fn every_dependency_is_used() {
    let folders = crate_folders();
    let members = folders
        .iter()
        .map(|name| (name.as_str(), root().join("crates").join(name)))
        .chain([("tests", root().join("tests"))]);
    for (name, folder) in members {
        let files = rust_files(&folder);
        let (mut library, mut all) = (String::new(), String::new());
        for path in files {
            let text = read(&path);
            all.push_str(&without_comments(&text));
            let inside = path.strip_prefix(&folder).unwrap_or(&path);
            // The acceptance tests are a crate of tests all through.
            if inside.starts_with("src") && name != "tests" {
                library.push_str(&code_of(&text));
            }
        }
        for found in dependencies(&read(&folder.join("Cargo.toml"))) {
            let word = found.name.replace('-', "_");
            let is_lib = !(found.is_dev || name == "tests" || name == "bench");
            let code = if is_lib { &library } else { &all };
            assert!(
                has_word(code, &word),
                "{name} names {} and does not use it",
                found.name
            );
        }
    }
}

/// Whether a name stands in a text as a word of its own.
fn has_word(text: &str, word: &str) -> bool {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + word.len()..].chars().next();
        !before.is_some_and(is_part) && !after.is_some_and(is_part)
    })
}

#[test]
fn nothing_below_the_faces_opens_a_file() {
    let banned = [
        "std::fs",
        "use std::{",
        "fs::",
        "OpenOptions",
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
fn nothing_below_the_faces_knows_a_window() {
    // `emath` and `ecolor`, with which `drawing` finds places and colours, are arithmetic: they know no window and draw nothing.
    for name in ["dragback-study", "dragback-drawing", "dragback-cli"] {
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
            let drawn = ["egui", "eframe", "epaint", "winit", "glow"]
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

/// Lines of the longest file.
const LONGEST: usize = 500;

#[test]
fn no_file_is_too_long_to_read() {
    let folders = [root().join("crates"), root().join("tests")];
    let mut count = 0;
    for path in folders.iter().flat_map(|f| rust_files(f)) {
        let lines = read(&path).lines().count();
        assert!(lines <= LONGEST, "{} has {lines} lines", path.display());
        count += 1;
    }
    assert!(count > 300, "{count}");
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

#[test]
fn the_map_of_tests_names_every_file() {
    let map = read(&root().join("DEVELOPERS.md"));
    let folder = root().join("tests/tests");
    let mut count = 0;
    for path in rust_files(&folder) {
        // Folders hold parts of a file of their name.
        if path.parent() != Some(folder.as_path()) {
            continue;
        }
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        assert!(
            map.contains(&format!("| `{name}` |")),
            "DEVELOPERS.md does not say what tests/tests/{name} checks"
        );
        count += 1;
    }
    assert!(count > 10);
}
