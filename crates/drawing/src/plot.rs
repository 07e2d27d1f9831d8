//! What plots over time share, in the window and on paper: how values become heights and words, marks on axes, pens of curves, places of their names.

mod axis;
mod labels;
mod measure;
mod pen;

pub use axis::{day_marks, day_step, marks, round_step};
pub use labels::spread;
pub use measure::{Measure, kind_name};
pub use pen::{
    CURVE_WIDTH, Dash, TankKind, dash, pen, pens, solute_pens, tank_pen, tank_pens, width_of,
};
