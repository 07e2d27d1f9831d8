//! Plots for paper, drawn on the sheet of the drawing crate: axes are thin, names stand at the ends of curves, and each curve has a dash of its own besides its
//! hue.

mod cash;
mod course;
mod frame;
mod steps;
mod tornado;
mod trade_off;

pub use cash::cash;
pub use course::course;
pub use steps::steps_plot;
pub use tornado::tornado_plot;
pub use trade_off::{Against, trade_off};
