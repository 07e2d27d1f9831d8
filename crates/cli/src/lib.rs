//! The terminal: commands, tables, CSV and JSON.
//!
//! [`parse`] reads the command line; [`Job::run`] does a command and gives its exit code: 0 good, 1 an alarm or limit was hit,
//! 2 could not run. Everything is rendered to text first and printed at one edge, [`Io`], so tests run commands without a terminal.
//! [`settle_demo_to_terminal`] is what the program does where no window can be opened.

mod args;
mod io;

mod progress;
mod source;
mod target;

mod facts;
mod table;

mod verdict;

mod answers_text;
mod capacity;
mod check;
mod compare;
mod dragout;
mod payback;
mod report;
mod run;
mod settle;
mod size;
mod trace_csv;

mod command;

pub use args::{Units, WindowRequest};
pub use command::{
    Job, Request, Told, parse, run, run_with, settle_demo_to_terminal, settle_file_to_terminal,
};
pub use io::Io;
pub use source::{Loaded, load_file};
pub use verdict::Verdict;
