//! Broken scenario files, each with the list of problems that is expected of it.
//!
//! `tests/broken/name.ron` is loaded; what the program says of it stands in `name.expected`, one problem a line. A few files are sound and have an empty
//! list: they guard rules against saying too much. Set `UPDATE_BROKEN=1` to rewrite the lists after a change of wording, and read the difference.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use dragback_scenario::{load, lower};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("broken")
}

fn said(name: &str, text: &str) -> String {
    let (scenario, problems) = load(text);
    assert_eq!(scenario.is_some(), problems.is_empty(), "{name}");
    if let Some(scenario) = scenario {
        assert!(lower(&scenario).is_ok(), "{name} loads but does not become a network");
    }
    let mut lines = String::new();
    for problem in problems {
        writeln!(lines, "{}", problem.in_file(name)).unwrap();
    }
    lines
}

#[test]
fn every_broken_file_says_what_is_expected() {
    let mut names: Vec<PathBuf> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .collect();
    names.sort();
    assert!(names.len() >= 60, "only {} files", names.len());
    let mut wrong = Vec::new();
    let mut sound = 0;
    for path in &names {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let found = said(&name, &fs::read_to_string(path).unwrap());
        sound += usize::from(found.is_empty());
        let list = path.with_extension("expected");
        if std::env::var_os("UPDATE_BROKEN").is_some() {
            fs::write(&list, &found).unwrap();
        }
        let expected = fs::read_to_string(&list).unwrap_or_default().replace("\r\n", "\n");
        if found != expected {
            wrong.push(format!("{name}\n expected:\n{expected} found:\n{found}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(sound <= 2, "{sound} files are not broken at all");
}
