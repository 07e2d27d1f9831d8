//! The one binary: the window when nothing else is asked, the terminal otherwise.

use std::process::ExitCode;

use dragback_cli::{Request, Told, WindowRequest};
use dragback_gui::Options;

/// The line that the window opens on.
const DEMO: &str = include_str!("../../../scenarios/demo.ron");

fn main() -> ExitCode {
    match dragback_cli::parse(std::env::args_os()) {
        Ok(Request::Job(job)) => job.run(),
        Ok(Request::Window(request)) => window(&request),
        Err(told) => told.print_here(),
    }
}

/// Opens the window, or says why there is none and answers in the terminal.
fn window(request: &WindowRequest) -> ExitCode {
    let options = Options {
        demo_text: DEMO,
        demo_name: "demo",
        open: request.file.clone(),
        report_path: request.report.clone(),
    };
    match dragback_gui::run(options) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) if why.never_opened() => instead(request, &sentence(&why.to_string())),
        Err(why) => Told::wrong(why.to_string()).print_here(),
    }
}

fn instead(request: &WindowRequest, why: &str) -> ExitCode {
    match &request.file {
        None => dragback_cli::settle_demo_to_terminal(why, DEMO, request.units),
        Some(file) => dragback_cli::settle_file_to_terminal(why, file, request.units),
    }
}

/// Words with a capital first letter and a stop.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}.", letters.as_str())
}
