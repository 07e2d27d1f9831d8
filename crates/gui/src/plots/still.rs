//! What all plots share: nothing in them moves by the pointer, and their marks are chosen by their own axes.

use egui::{AsIdSalt, Color32};
use egui_plot::{GridMark, Plot};

use crate::theme::Palette;

/// A plot that stays as it is drawn under the pointer and the wheel.
pub(crate) fn still_plot<'a>(id: impl AsIdSalt, palette: &Palette) -> Plot<'a> {
    Plot::new(id)
        .show_background(false)
        .show_crosshair(false)
        .allow_zoom(false)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .allow_axis_zoom_drag(false)
        .cursor_color(Color32::TRANSPARENT)
        .grid_color(palette.rule)
        .label_formatter(|_| None)
}

/// A mark of an axis; its step is so large that its line is never faded for want of room.
pub(crate) const fn grid_mark(value: f64) -> GridMark {
    GridMark {
        value,
        step_size: 1e9,
    }
}
