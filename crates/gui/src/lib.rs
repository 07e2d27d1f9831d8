//! The window of Dragback.
//!
//! [`run`] opens it. Read [`app`] first: it takes what the [`worker`] threads have found and lays out the [`panels`], which see everything through a
//! [`view_ctx::ViewCtx`] and ask for changes by a [`command::Command`]. Simulation never runs on the thread that draws.

pub mod app;
mod at_cursor;
pub mod compare;
mod launch;
pub mod margin;
pub mod money;
mod options;

pub mod document;
pub mod export;
pub mod ledger;
pub mod lessons;
pub mod measured;
pub mod page;
pub mod playhead;
pub mod prefs;
pub mod problems;
pub mod results;
mod selected;
pub mod sizing;
mod state;
pub mod sweep;
pub mod templates;

pub mod command;
pub mod view_ctx;
pub mod worker;

pub mod loop_view;
pub mod panels;
pub mod plots;
pub mod widgets;

pub mod formula;
pub mod handover;
pub mod number;
mod report;
pub mod theme;
mod words;
pub mod workings;

pub use app::App;
pub use launch::{run, run_with};
pub use options::{GuiError, Options};
pub use selected::Selected;
pub use state::{Notice, State};
pub use words::sentence;
