//! Opens the window on the demo scenario, for work on the window alone: `cargo run -p dragback-gui --example window [REPORT]`.

use std::path::PathBuf;

fn main() -> Result<(), dragback_gui::GuiError> {
    dragback_gui::run(dragback_gui::Options {
        demo_text: include_str!("../../../scenarios/demo.ron"),
        demo_name: "demo.ron",
        open: None,
        report_path: std::env::args_os().nth(1).map(PathBuf::from),
    })
}
