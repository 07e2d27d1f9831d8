//! The plots over time: one shared axis of days, one shared cursor, names at the ends of the curves.

mod daily;
mod decimate;
mod scale;
mod values;

mod grid;
mod view;

mod curve_plot;
mod draw;
mod drawn;
mod ends;
mod overlay;
mod readout;
mod still;
mod strokes;

use dragback_study::curves::Kind;

pub use curve_plot::{CurvePlot, PlotInput, PlotSeen, Sides};
pub use daily::{Day, daily};
pub use decimate::decimate;
pub use dragback_drawing::plot::{
    Dash, Measure, TankKind, dash, day_marks, day_step, kind_name, marks, pen, pens, round_step,
    solute_pens, spread, tank_pen, tank_pens,
};
pub use drawn::{Band, DAILY_FROM, Drawn, DrawnCache, DrawnCurve};
pub(crate) use ends::elided;
pub use grid::{Grid, fitting, has_names};
pub(crate) use overlay::{Overlay, OverlayCurve, overlay_ui, sample_ui};
pub use scale::StillRange;
pub(crate) use still::{grid_mark, still_plot};
pub(crate) use strokes::line_style;
pub use values::{mean_around, mean_between, value_at};
pub use view::View;

/// What is plotted, in reading order.
pub const KINDS: [Kind; 9] = [
    Kind::Concentration,
    Kind::Level,
    Kind::Temperature,
    Kind::Evaporation,
    Kind::Strength,
    Kind::Heat,
    Kind::Loss,
    Kind::Impurity,
    Kind::Treatment,
];
