//! What can be written down of the window: curves, settled answers, figures and the ledger as tables, all answers as JSON, and pictures of plots.
//!
//! Nothing here opens a file; see `command::exporting`.

mod comparison;
mod picture;
mod sizing_table;
mod table;
mod tables;
mod vector;

use dragback_study::curves::Kind;

use crate::handover::ReportAsked;
use crate::ledger::Back;
use crate::plots::kind_name;

pub use comparison::comparison_table;
pub use picture::{Picture, Shot, png};
pub use sizing_table::sizing_table;
pub use table::Table;
pub use tables::{
    curves_table, figure_unit, figures_table, ledger_table, money_table, sweep_table,
};
pub use vector::vector;

/// Something to write down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Export {
    /// The curves of one plot.
    Plot(Kind),
    /// All curves.
    Curves,
    /// The settled answers against the chosen lever.
    Sweep,
    /// Key figures of the settled week.
    Figures,
    /// All answers of the settled week.
    Answers,
    /// The ledger of a stretch of time.
    Ledger(Back),
    /// What a year costs, before and after where a state is pinned.
    Money,
    /// The line and its variants side by side.
    Comparison,
    /// A report to hand over.
    Report(ReportAsked),
    /// Every layout with its sizes.
    Sizing,
    /// A picture.
    Picture(Picture),
    /// The same as lines and texts that stay sharp at any size.
    Drawing(Picture),
}

impl Export {
    /// What is written, for titles of dialogs and words about it.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Plot(kind) => kind_name(kind).to_owned(),
            Self::Curves => "All curves".to_owned(),
            Self::Sweep | Self::Picture(Picture::Sweep) | Self::Drawing(Picture::Sweep) => {
                "Settled answers".to_owned()
            }
            Self::Figures => "Key figures".to_owned(),
            Self::Answers => "All answers".to_owned(),
            Self::Ledger(_) => "Ledger".to_owned(),
            Self::Money => "Money".to_owned(),
            Self::Sizing => "Sizing".to_owned(),
            Self::Comparison => "Comparison".to_owned(),
            Self::Report(_) => "Report".to_owned(),
            Self::Picture(Picture::Plot(kind)) | Self::Drawing(Picture::Plot(kind)) => {
                kind_name(kind).to_owned()
            }
            Self::Picture(Picture::Window) | Self::Drawing(Picture::Window) => {
                "The window".to_owned()
            }
        }
    }

    /// Ending of its file's name.
    #[must_use]
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Answers => "json",
            Self::Picture(_) => "png",
            Self::Drawing(_) => "svg",
            Self::Report(asked) => asked.kind.ending(),
            _ => "csv",
        }
    }

    /// A name for its file to begin with.
    #[must_use]
    pub fn file_name(self) -> String {
        let name = self.name().to_lowercase().replace(' ', "-");
        format!("{name}.{}", self.ending())
    }
}
