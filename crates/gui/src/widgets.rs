//! Small parts that panels are made of.

mod answer;
mod entry;
mod field;
mod figure;
mod lever;
mod rail;

pub use answer::AnswerEdit;
pub use entry::entry_ui;
pub(crate) use field::with_unit;
pub use figure::{FigureText, Tone, figure_ui, key_figure_ui};
pub use lever::{LeverEdit, LeverPen, LeverSeen, lever_ui, slim_lever_ui, unit_of, value_words};
pub use rail::Rail;

use egui::{Response, RichText, Ui};

use crate::theme::{Palette, size};

/// A line of quiet text in the smallest size.
pub fn quiet(ui: &mut Ui, palette: &Palette, text: impl Into<String>) -> Response {
    ui.label(RichText::new(text).size(size::SMALL).color(palette.quiet))
}
