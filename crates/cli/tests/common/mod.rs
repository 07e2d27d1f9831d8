//! Runs commands without a terminal and compares what they print with files.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]
#![allow(dead_code, reason = "each test program uses some of these")]

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use dragback_cli::{Io, Verdict, run_with};

/// What a command did.
#[derive(Debug)]
pub struct Ran {
    pub code: u8,
    pub out: String,
    pub err: String,
}

/// Runs a command line with nothing on standard input.
pub fn dragback<S: AsRef<str>>(words: &[S]) -> Ran {
    dragback_reading(b"", words)
}

/// Runs a command line with bytes on standard input.
pub fn dragback_reading<S: AsRef<str>>(input: &[u8], words: &[S]) -> Ran {
    let (mut input, mut out, mut err) = (input, Vec::new(), Vec::new());
    let words = std::iter::once("dragback").chain(words.iter().map(AsRef::as_ref));
    let words: Vec<OsString> = words.map(OsString::from).collect();
    let verdict: Verdict = {
        let mut io = Io {
            input: &mut input,
            out: &mut out,
            err: &mut err,
            is_watched: false,
        };
        run_with(words, &mut io)
    };
    let text = |bytes| String::from_utf8(bytes).expect("what is printed is UTF-8");
    Ran {
        code: verdict.code(),
        out: text(out),
        err: text(err),
    }
}

/// A file of the tests' data.
pub fn data(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name)
        .display()
        .to_string()
}

/// The scenario that most tests use.
pub fn line() -> String {
    data("line.ron")
}

/// A folder of a test's own, removed when it ends.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new() -> Self {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let n = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("dragback-cli-{}-{n}", std::process::id()));
        fs::create_dir_all(&path).expect("a folder for the test");
        Self(path)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    pub fn file(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }

    /// Names of what is in it.
    pub fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.0).expect("the test's folder");
        let mut names: Vec<String> = entries
            .map(|e| {
                e.expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        drop(fs::remove_dir_all(&self.0));
    }
}

/// Compares text with a file of `tests/snapshots`, numbers and runs of blanks apart. With `DRAGBACK_UPDATE_SNAPSHOTS`
/// set, the file is written instead, with its numbers, for people to read.
pub fn assert_snapshot(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/snapshots")
        .join(name);
    if std::env::var_os("DRAGBACK_UPDATE_SNAPSHOTS").is_some() {
        fs::write(&path, text).expect("the snapshot is written");
        return;
    }
    let known = fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(
        without_numbers(&known),
        without_numbers(text),
        "{name}; now:\n{text}"
    );
}

/// `#` for every number, one blank for every run of blanks. Which of the books closes worst is a matter of the last digit.
pub fn without_numbers(text: &str) -> String {
    let lines = text
        .lines()
        .map(|line| match line.split_once(" of what passed (") {
            Some((books, _)) if line.starts_with("Books") => books,
            _ => line,
        });
    let text = lines.collect::<Vec<_>>().join("\n");
    let mut out = String::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let before = out.chars().last().unwrap_or(' ');
        if c.is_ascii_digit() && !before.is_alphanumeric() {
            while chars
                .peek()
                .is_some_and(|c| c.is_ascii_digit() || matches!(c, '.' | 'e'))
            {
                chars.next();
            }
            if out.ends_with('-') {
                out.pop();
            }
            out.push('#');
        } else if c == ' ' {
            if before != ' ' && before != '\n' {
                out.push(' ');
            }
        } else if c != '\r' {
            out.push(c);
        }
    }
    out
}

/// A dotted place in JSON: `loops.0.final_rinse.film_mg_per_l`.
pub fn at<'a>(json: &'a serde_json::Value, path: &str) -> &'a serde_json::Value {
    let mut here = json;
    for part in path.split('.') {
        here = match part.parse::<usize>() {
            Ok(i) => &here[i],
            Err(_) => &here[part],
        };
    }
    here
}

/// A number in JSON.
pub fn number(json: &serde_json::Value, path: &str) -> f64 {
    at(json, path)
        .as_f64()
        .unwrap_or_else(|| panic!("{path} is no number: {}", at(json, path)))
}

pub fn shipped(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../scenarios")
        .join(name)
        .display()
        .to_string()
}

pub fn json(words: &[&str]) -> serde_json::Value {
    let ran = dragback(&[words, &["--json", "-"]].concat());
    assert!(ran.code < 2, "{words:?}: {}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

pub fn near(what: &str, found: f64, expected: f64, share: f64) {
    assert!(
        (found - expected).abs() <= share * expected.abs(),
        "{what} is {found}, expected {expected}"
    );
}
