//! Small parts that panels are made of.

mod figure;
mod lever;

pub use figure::{FigureText, Tone, figure_ui, key_figure_ui};
pub use lever::{LeverEdit, LeverSeen, lever_ui};

use egui::{Response, RichText, Ui};

use crate::theme::{Palette, size};

/// A line of quiet text in the smallest size.
pub fn quiet(ui: &mut Ui, palette: &Palette, text: impl Into<String>) -> Response {
    ui.label(RichText::new(text).size(size::SMALL).color(palette.quiet))
}
