//! The plating loop drawn: tanks at their level, liquids shaded by strength, streams as bands.
//!
//! A [`Scene`] is plain data, compiled by [`scene()`] from a plant and a [`Moment`] of it; [`layout::layout`] finds where everything goes;
//! [`paint()`] draws it on a [`Canvas`]: the window is one, [`svg()`] another. Height is level, shade is strength, width is flow.
//! The crate also holds what everything that is drawn shares: the [`Palette`], the [`size`]s of text and the [`font`]s of paper.

mod canvas;
mod compile;
pub mod font;
mod labels;
pub mod layout;
mod moment;
mod paint;
mod palette;
pub mod plot;
pub mod scene;
mod settled;
mod shade;
pub mod size;
mod svg;
pub mod words;

pub use canvas::{Canvas, Side, Stroke};
pub use compile::{scene, scene_counted};
pub use labels::Label;
pub use moment::{Circumstances, Moment};
pub use paint::{Brush, band_width, paint};
pub use palette::{DARK, LIGHT, Palette};
pub use scene::{Scene, Selection};
pub use settled::{settled_scene, settled_svg};
pub use svg::{Page, escaped, number, picture, svg};
