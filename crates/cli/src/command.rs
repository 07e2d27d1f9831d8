//! From a command line to an exit code.

use std::ffi::OsString;
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Result;
use clap::Parser;
use dragback_study::{AirChoice, Hours, StudyError};

use crate::answers_text::{ending, render};
use crate::args::{Cli, Command, Units, WindowRequest};
use crate::io::{Io, printable};
use crate::source::{Loaded, load_file};
use crate::verdict::{Verdict, reasons};
use crate::{capacity, check, compare, dragout, payback, report, run as run_command, settle, size};
use dragback_report::{PdfMaker, Show};

/// What a command line asks for.
#[derive(Debug)]
pub enum Request {
    /// To open the window.
    Window(WindowRequest),
    /// To do something in the terminal.
    Job(Job),
}

/// Something to do in the terminal.
#[derive(Debug)]
pub struct Job {
    command: Command,
    units: Units,
    pdf: Option<PdfMaker>,
}

/// A command line that asks for nothing that can be done: help, the version, or what is wrong with it.
#[derive(Debug)]
pub struct Told {
    text: String,
    verdict: Verdict,
}

impl Told {
    /// What is wrong; the exit code is 2.
    #[must_use]
    pub fn wrong(text: String) -> Self {
        Self {
            text,
            verdict: Verdict::CouldNotRun,
        }
    }

    /// Prints it.
    pub fn print(&self, io: &mut Io<'_>) -> Verdict {
        match self.verdict {
            Verdict::Good => drop(io.print(&self.text)),
            _ => io.complain(&self.text),
        }
        self.verdict
    }

    /// Prints it on the process's own streams.
    #[must_use]
    pub fn print_here(&self) -> ExitCode {
        at_the_edge(|io| self.print(io))
    }
}

/// Reads a command line; the first word is the program's name.
///
/// # Errors
/// Help, version, or what is wrong, ready to print.
pub fn parse(words: impl IntoIterator<Item = OsString>) -> Result<Request, Told> {
    let cli = Cli::try_parse_from(words).map_err(|e| {
        let verdict = if e.use_stderr() {
            Verdict::CouldNotRun
        } else {
            Verdict::Good
        };
        Told {
            text: e.render().to_string(),
            verdict,
        }
    })?;
    let mut words = cli.words.into_iter();
    let (file, rest) = (words.next(), words.next());
    match (cli.command, file, rest) {
        (Some(_), Some(word), _) | (None, Some(word), Some(_)) => Err(no_command(&word)),
        (Some(command), None, _) => Ok(Request::Job(Job {
            command,
            units: cli.units.unwrap_or_default(),
            pdf: None,
        })),
        (None, file, _) => {
            let file = file.map(PathBuf::from);
            if let Some(path) = file.as_ref().filter(|p| !p.exists()) {
                return Err(no_file(path));
            }
            Ok(Request::Window(WindowRequest {
                file,
                report: cli.window_report,
                units: cli.units,
            }))
        }
    }
}

const COMMANDS: [&str; 9] = [
    "check", "run", "settle", "capacity", "dragout", "payback", "compare", "size", "report",
];

/// The command that a misspelt word may mean: the same letters but for one or two.
fn meant(word: &str) -> Option<&'static str> {
    let word = word.to_lowercase();
    let same = |command: &str| {
        let shared = command.chars().filter(|&c| word.contains(c)).count();
        let longest = command.chars().count().max(word.chars().count());
        longest.saturating_sub(shared) <= 1 && word.chars().next() == command.chars().next()
    };
    COMMANDS.into_iter().find(|command| same(command))
}

fn no_command(word: &OsString) -> Told {
    let word = printable(&word.to_string_lossy());
    if word.ends_with(".ron") {
        return Told::wrong(format!(
            "{word}: the window opens one file and no more words; or give a command, such as `settle {word}`"
        ));
    }
    let advice = meant(&word).map_or_else(
        || format!("the commands are {}", COMMANDS.join(", ")),
        |command| format!("did you mean `{command}`?"),
    );
    Told::wrong(format!("there is no command `{word}`; {advice}"))
}

fn no_file(path: &Path) -> Told {
    let shown = printable(&path.display().to_string());
    let advice = meant(&shown).map_or_else(String::new, |c| {
        format!("; did you mean the command `{c}`?")
    });
    Told::wrong(format!("{shown}: there is no such file{advice}"))
}

/// Does a command line without a window on the process's own streams; the first word is the program's name.
pub fn run(words: impl IntoIterator<Item = OsString>) -> ExitCode {
    at_the_edge(|io| run_with(words, io))
}

/// Does a command line without a window on given streams; one that asks for the window is answered in the terminal.
pub fn run_with(words: impl IntoIterator<Item = OsString>, io: &mut Io<'_>) -> Verdict {
    match parse(words) {
        Ok(Request::Job(job)) => job.run_with(io),
        Ok(Request::Window(_)) => {
            io.complain("this needs the window; give a command, such as `settle FILE`");
            Verdict::CouldNotRun
        }
        Err(told) => told.print(io),
    }
}

impl Job {
    /// The same with what makes PDF files, if there is any.
    #[must_use]
    pub fn with_pdf(self, pdf: Option<PdfMaker>) -> Self {
        Self { pdf, ..self }
    }

    /// Does it on the process's own streams.
    #[must_use]
    pub fn run(&self) -> ExitCode {
        at_the_edge(|io| self.run_with(io))
    }

    /// Does it on given streams.
    pub fn run_with(&self, io: &mut Io<'_>) -> Verdict {
        let show = Show::in_units(self.units.into());
        let done = match &self.command {
            Command::Check(args) => check::check(args, show, io),
            Command::Run(args) => run_command::run(args, show, io),
            Command::Settle(args) => settle::settle(args, show, io),
            Command::Capacity(args) => capacity::capacity(args, show, io),
            Command::Dragout(args) => dragout::dragout(args, show, io),
            Command::Payback(args) => payback::payback(args, show, io),
            Command::Compare(args) => compare::compare(args, show, io),
            Command::Size(args) => size::size(args, show, io),
            Command::Report(args) => report::report(args, show, self.pdf, io),
        };
        or_complain(done, show, io)
    }
}

fn or_complain(done: Result<Verdict>, show: Show, io: &mut Io<'_>) -> Verdict {
    done.unwrap_or_else(|error| {
        io.complain(&printable(&told(&error, show)));
        Verdict::of_error(&error)
    })
}

/// An error with what it comes of, its numbers in the units chosen.
fn told(error: &anyhow::Error, show: Show) -> String {
    let mut parts = Vec::new();
    for cause in error.chain() {
        let Some(fault) = cause.downcast_ref::<StudyError>() else {
            parts.push(cause.to_string());
            continue;
        };
        parts.push(fault.words(&|amount| show.amount(amount)));
        if fault.tells_all() {
            break;
        }
    }
    parts.join(": ")
}

fn at_the_edge(act: impl FnOnce(&mut Io<'_>) -> Verdict) -> ExitCode {
    let is_watched = io::stderr().is_terminal();
    let (mut input, mut out, mut err) = (io::stdin().lock(), io::stdout().lock(), io::stderr());
    let mut io = Io {
        input: &mut input,
        out: &mut out,
        err: &mut err,
        is_watched,
    };
    act(&mut io).into()
}

/// Says why there is no window and prints where the built-in demo settles. The exit code is 0 whenever there is an answer.
pub fn settle_demo_to_terminal(why: &str, demo: &str, units: Units) -> ExitCode {
    let show = Show::in_units(units.into());
    at_the_edge(|io| {
        let done = Loaded::from_text("built-in demo", demo)
            .and_then(|loaded| settle_instead(why, "the demo line", &loaded, show, io));
        match or_complain(done, show, io) {
            Verdict::LimitHit => Verdict::Good,
            verdict => verdict,
        }
    })
}

/// Says why there is no window and prints where a scenario file settles. The exit code is that of `settle`.
pub fn settle_file_to_terminal(why: &str, path: &Path, units: Units) -> ExitCode {
    let show = Show::in_units(units.into());
    at_the_edge(|io| {
        let done = load_file(path).and_then(|loaded| {
            let name = loaded.name.clone();
            settle_instead(why, &name, &loaded, show, io)
        });
        or_complain(done, show, io)
    })
}

fn settle_instead(
    why: &str,
    what: &str,
    loaded: &Loaded,
    show: Show,
    io: &mut Io<'_>,
) -> Result<Verdict> {
    let found = settle::settled(loaded, AirChoice::Mean, Hours::Calendar, io)?;
    let reasons = reasons(&found.answers, show);
    let answer = render(&found.answers, &loaded.scenario, show);
    let why = crate::facts::paragraph(&format!("{why} Here is where {what} settles."));
    io.print(&format!("{why}\n{answer}{}", ending(&reasons)))?;
    Ok(Verdict::of(&reasons))
}
