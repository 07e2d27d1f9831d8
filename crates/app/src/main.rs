//! The one binary: the window when nothing else is asked, the terminal otherwise.

use std::process::ExitCode;

use dragback_cli::{Request, Told, WindowRequest};
use dragback_gui::Options;
use dragback_gui::sentence;
use dragback_report::PdfMaker;

/// The line that the window opens on.
const DEMO: &str = include_str!("../../../scenarios/demo.ron");

fn main() -> ExitCode {
    match dragback_cli::parse(std::env::args_os()) {
        Ok(Request::Job(job)) => job.with_pdf(pdf()).run(),
        Ok(Request::Window(request)) => window(&request),
        Err(told) => told.print_here(),
    }
}

/// What makes PDF files, where the program was built with it.
#[cfg(feature = "pdf")]
#[expect(
    clippy::unnecessary_wraps,
    reason = "without the feature there is none"
)]
fn pdf() -> Option<PdfMaker> {
    Some(|document, paper| dragback_pdf::pdf(document, paper).map_err(|why| why.to_string()))
}

/// What makes PDF files, where the program was built with it.
#[cfg(not(feature = "pdf"))]
const fn pdf() -> Option<PdfMaker> {
    None
}

/// How the window starts for what the command line asked.
fn options(request: &WindowRequest) -> Options {
    Options {
        pdf: pdf(),
        demo_text: DEMO,
        demo_name: "demo",
        open: request.file.clone(),
        units: request.units.map(Into::into),
        without_dialogs: false,
        report_path: request.report.clone(),
    }
}

/// Opens the window, or says why there is none and answers in the terminal.
fn window(request: &WindowRequest) -> ExitCode {
    match dragback_gui::run(options(request)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) if why.never_opened() => instead(request, &sentence(&why.to_string())),
        Err(why) => Told::wrong(why.to_string()).print_here(),
    }
}

fn instead(request: &WindowRequest, why: &str) -> ExitCode {
    match &request.file {
        None => dragback_cli::settle_demo_to_terminal(why, DEMO, request.units.unwrap_or_default()),
        Some(file) => {
            dragback_cli::settle_file_to_terminal(why, file, request.units.unwrap_or_default())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_asked_for_on_the_command_line_reach_the_window() {
        let units = |words: &[&str]| {
            let words = std::iter::once("dragback").chain(words.iter().copied());
            match dragback_cli::parse(words.map(Into::into)) {
                Ok(Request::Window(request)) => options(&request).units.map(|u| format!("{u:?}")),
                other => Some(format!("{other:?}")),
            }
        };
        assert_eq!(units(&["--units", "us"]).as_deref(), Some("Us"));
        assert_eq!(units(&["--units", "metric"]).as_deref(), Some("Metric"));
        assert_eq!(units(&[]), None);
    }
}
