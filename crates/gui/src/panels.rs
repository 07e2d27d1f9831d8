//! The panels of the window, one file each.

mod caution;
mod curves;
mod figures;
mod formula;
mod keys;
mod levers;
mod problems;
mod question;
mod reading;
mod remarks;
mod sweep;
mod top_bar;
mod verdict;

pub use caution::caution_ui;
pub use curves::CurvesSeen;
pub use figures::figures_height;
pub use formula::formula_ui;
pub use keys::keys;
pub use problems::problems_ui;
pub use question::question_ui;
pub use reading::{Reading, reading};
pub use verdict::{VERDICT_HEIGHT, verdict_ui};

/// Panels with what they keep for themselves between frames.
#[derive(Default)]
pub struct Panels {
    /// Title, files, units, theme.
    pub top_bar: top_bar::TopBarPanel,
    /// The line of key figures.
    pub figures: figures::FiguresPanel,
    /// The levers and the remarks.
    pub levers: levers::LeversPanel,
    /// The plots over time.
    pub curves: curves::CurvesPanel,
}
