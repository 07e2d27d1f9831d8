//! Rules of the house that the compiler does not know, kept by this crate's tests.

use std::path::{Path, PathBuf};

/// The workspace's root folder.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .ancestors()
        .nth(2)
        .unwrap_or(Path::new("."))
        .to_path_buf()
}

/// Every `.rs` file below a folder, sorted; `target` folders are passed over.
#[must_use]
pub fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut waiting = vec![folder.to_path_buf()];
    while let Some(here) = waiting.pop() {
        let Ok(entries) = std::fs::read_dir(&here) else {
            continue;
        };
        for entry in entries.flatten() {
            let path = entry.path();
            if path.is_dir() {
                if entry.file_name() != "target" {
                    waiting.push(path);
                }
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// A source file without its comments and without the tests that stand at its end.
#[must_use]
pub fn code_of(text: &str) -> String {
    let body = text.split("#[cfg(test)]").next().unwrap_or(text);
    let lines = body
        .lines()
        .map(|line| line.split("//").next().unwrap_or(line));
    lines.collect::<Vec<_>>().join("\n")
}

/// The folders directly below `crates`, sorted.
#[must_use]
pub fn crate_folders() -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(root().join("crates")) else {
        return Vec::new();
    };
    let mut names: Vec<String> = entries
        .flatten()
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}
