//! The drawing of the loop in the window: [`show()`] draws a scene into what room there is, and lets a tank or stream be selected.
//!
//! What is drawn, where and how is the business of [`dragback_drawing`], which draws the same on paper.

mod canvas;
mod show;

pub use dragback_drawing::{
    Circumstances, Label, Moment, Scene, Selection, layout, scene, scene_counted, words,
};
pub use show::{View, labels_drawn, show};
