//! Sizes of text, points.

/// The smallest.
pub const SMALL: f32 = 11.0;
/// Body.
pub const BODY: f32 = 13.0;
/// Headings and figures.
pub const HEADING: f32 = 15.0;
/// Companions of the key figure.
pub const FIGURE: f32 = 19.0;
/// The key figure.
pub const KEY: f32 = 28.0;
