//! Opens the window for work on the window alone: `cargo run -p dragback-gui --example window [REPORT]`.
//!
//! For pictures the size, look and file can be given by the environment: `DRAGBACK_SIZE=1920x1080`, `DRAGBACK_PREFS=file.json`, `DRAGBACK_OPEN=line.ron`.

use std::path::PathBuf;

fn main() -> Result<(), dragback_gui::GuiError> {
    let file = |name: &str| {
        let value = std::env::var_os(name).filter(|v| !v.is_empty());
        value.map(PathBuf::from)
    };
    let size = std::env::var("DRAGBACK_SIZE").ok();
    let size = size.and_then(|s| {
        let (wide, high) = s.split_once('x')?;
        Some([wide.parse().ok()?, high.parse().ok()?])
    });
    let options = dragback_gui::Options {
        pdf: None,
        demo_text: include_str!("../../../scenarios/demo.ron"),
        demo_name: "demo.ron",
        open: file("DRAGBACK_OPEN"),
        units: None,
        without_dialogs: false,
        report_path: std::env::args_os().nth(1).map(PathBuf::from),
    };
    dragback_gui::run_with(options, file("DRAGBACK_PREFS"), size)
}
