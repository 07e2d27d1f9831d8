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

/// A source file without its comments and without the test module that stands at its end.
///
/// Only a module written out in the file ends it: `#[cfg(test)] mod tests;` names another file, and what follows it is code.
/// Nothing can hide behind the module, since a lint of clippy (`items_after_test_module`) forbids code after it.
#[must_use]
pub fn code_of(text: &str) -> String {
    let end = text
        .match_indices(TEST_ONLY)
        .find(|(at, mark)| opens_a_module(&text[at + mark.len()..]))
        .map_or(text.len(), |(at, _)| at);
    without_comments(&text[..end])
}

/// A source file without its comments, its tests included.
#[must_use]
pub fn without_comments(text: &str) -> String {
    let lines = text
        .lines()
        .map(|line| line.split("//").next().unwrap_or(line));
    lines.collect::<Vec<_>>().join("\n")
}

/// The attribute that keeps an item to test builds.
const TEST_ONLY: &str = "#[cfg(test)]";

/// Whether an item that begins here is a module with its body in place, further attributes passed over.
fn opens_a_module(after: &str) -> bool {
    let mut rest = after.trim_start();
    while rest.starts_with("#[") {
        let Some((_, next)) = rest.split_once(']') else {
            return false;
        };
        rest = next.trim_start();
    }
    let head = rest.split(['{', ';']).next().unwrap_or(rest);
    let is_module = head.starts_with("mod ") || head.starts_with("pub mod ");
    is_module && rest[head.len()..].starts_with('{')
}

/// A dependency as a manifest names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dependency {
    /// Name of the package.
    pub name: String,
    /// Whether only tests, examples and benches may use it.
    pub is_dev: bool,
}

/// Every dependency that a member's manifest names: of the library, of tests, of build scripts, of one platform only.
#[must_use]
pub fn dependencies(manifest: &str) -> Vec<Dependency> {
    let mut found: Vec<Dependency> = Vec::new();
    let mut table = String::new();
    for line in manifest.lines().map(str::trim) {
        let header = line.strip_prefix('[').and_then(|l| l.split(']').next());
        let (name, is_dev) = if let Some(header) = header {
            // A dependency may have a table of its own: `[dependencies.name]`.
            let Some((kind, name)) = header.split_once("dependencies.") else {
                header.clone_into(&mut table);
                continue;
            };
            table.clear();
            (name, kind.ends_with("dev-"))
        } else if table.ends_with("dependencies") && !line.is_empty() && !line.starts_with('#') {
            let name = line.split(['.', ' ', '=']).next().unwrap_or(line);
            (name, table.ends_with("dev-dependencies"))
        } else {
            continue;
        };
        let name = name.trim_matches('"').to_owned();
        found.push(Dependency { name, is_dev });
    }
    found
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
