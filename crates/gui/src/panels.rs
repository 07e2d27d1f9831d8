//! The panels of the window, one file each.

mod caution;
mod curves;
mod figures;
mod formula;
mod levers;
mod problems;
mod reading;
mod top_bar;

pub use caution::caution_ui;
pub use formula::formula_ui;
pub use problems::problems_ui;
pub use reading::{Reading, reading};

/// Panels with what they keep for themselves between frames.
#[derive(Default)]
pub struct Panels {
    /// Title, files, units, theme.
    pub top_bar: top_bar::TopBarPanel,
    /// The line of key figures.
    pub figures: figures::FiguresPanel,
    /// The three levers and the remarks.
    pub levers: levers::LeversPanel,
    /// The four plots.
    pub curves: curves::CurvesPanel,
}
