//! The plating loop drawn: tanks at their level, liquids shaded by strength, streams as bands.
//!
//! A [`Scene`] is plain data, compiled by [`scene()`] from a plant and a [`Moment`] of it; [`layout::layout`] finds where everything goes; [`show`]
//! paints it and lets a tank or stream be selected. Height is level, shade is strength, width is flow.

mod compile;
mod draw;
mod labels;
pub mod layout;
mod moment;
pub mod scene;
pub mod shade;
mod show;
pub mod words;

pub use compile::{scene, scene_counted};
pub use labels::Label;
pub use moment::{Circumstances, Moment};
pub use scene::{Scene, Selection};
pub use show::{View, labels_drawn, show};
