//! The program as it is started: arguments, pipes, exit codes, and what it does without a display.

#![allow(clippy::expect_used, reason = "a test that cannot go on has failed")]

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// The scenario that the window opens on.
fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/demo.ron")
}

/// The program without any display.
fn dragback() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_dragback"));
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        command.env_remove(name);
    }
    command
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

/// Text with its lines joined.
#[cfg(target_os = "linux")]
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

#[cfg(target_os = "linux")]
#[test]
fn without_a_display_the_demo_is_settled_in_the_terminal() {
    let ran = dragback().output().expect("it starts");
    assert_eq!(ran.status.code(), Some(0), "{}", err(&ran));
    let text = out(&ran);
    assert!(text.starts_with("There is no display"), "{text}");
    assert!(
        words(&text).contains("Here is where the demo line settles."),
        "{text}"
    );
    let settled = dragback()
        .arg("settle")
        .arg(demo())
        .output()
        .expect("it starts");
    let answer = out(&settled);
    assert!(answer.contains("Lost for good"), "{answer}");
    assert!(
        text.ends_with(&answer),
        "the same answer as `settle`:\n{text}"
    );
    assert_eq!(err(&ran), "");
}

#[cfg(target_os = "linux")]
#[test]
fn without_a_display_a_file_is_settled_in_the_terminal() {
    let ran = dragback().arg(demo()).output().expect("it starts");
    let settled = dragback()
        .arg("settle")
        .arg(demo())
        .output()
        .expect("it starts");
    assert_eq!(ran.status.code(), settled.status.code());
    assert!(
        out(&ran).starts_with("There is no display"),
        "{}",
        out(&ran)
    );
    assert!(out(&ran).ends_with(&out(&settled)));
    let ran = dragback()
        .arg("no-such-file.ron")
        .output()
        .expect("it starts");
    assert_eq!(ran.status.code(), Some(2));
    assert_eq!(err(&ran), "no-such-file.ron: there is no such file\n");
}

#[test]
fn pipes_carry_scenario_and_answer() {
    let mut child = dragback()
        .args(["settle", "-", "--json", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let text = std::fs::read(demo()).expect("the demo");
    child
        .stdin
        .take()
        .expect("a pipe")
        .write_all(&text)
        .expect("it reads");
    let ran = child.wait_with_output().expect("it ends");
    assert!(ran.status.code().is_some_and(|c| c < 2), "{}", err(&ran));
    let json: serde_json::Value = serde_json::from_str(&out(&ran)).expect("JSON and nothing else");
    assert_eq!(json["driver"], "settled");
    assert_eq!(err(&ran), "", "quiet where nobody watches");
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let mut child = dragback()
        .arg("settle")
        .arg(demo())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    drop(child.stdout.take());
    let ran = child.wait_with_output().expect("it ends");
    assert!(
        ran.status.code().is_some_and(|c| c < 2),
        "{:?} {}",
        ran.status,
        err(&ran)
    );
    assert_eq!(err(&ran), "");
}

#[test]
fn exit_code_2_when_it_cannot_run() {
    for words in [
        &["settle"][..],
        &["settle", "no-such-file.ron"],
        &["setle", "x"],
        &["--no-such-option"],
    ] {
        let ran = dragback().args(words).output().expect("it starts");
        assert_eq!(ran.status.code(), Some(2), "{words:?}");
        assert!(!err(&ran).is_empty() && ran.stdout.is_empty(), "{words:?}");
    }
}
