//! What can be drawn on: the window, or a sheet of paper.

use ecolor::Color32;
use emath::{Pos2, Rect, Vec2};

/// A line's width and colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Width, points; 0 is no line.
    pub width: f32,
    /// Colour.
    pub color: Color32,
}

impl Stroke {
    /// No line.
    pub const NONE: Self = Self {
        width: 0.0,
        color: Color32::TRANSPARENT,
    };

    /// A line of a width, points, and a colour.
    #[must_use]
    pub const fn new(width: f32, color: Color32) -> Self {
        Self { width, color }
    }
}

/// On which side of a rectangle's edge its line runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Within the rectangle.
    Inside,
    /// Around the rectangle.
    Outside,
}

/// A sheet to draw on, in points from its left top. What comes later covers what came before.
///
/// It is drawn on through a shared reference, since the brush and the texts hold the same sheet.
pub trait Canvas {
    /// A rectangle, its corners rounded by `corner` points, filled and with a line along its edge.
    fn rect(&self, rect: Rect, corner: f32, fill: Color32, stroke: Stroke, side: Side);

    /// A convex polygon, filled and with a line along its edge.
    fn polygon(&self, corners: Vec<Pos2>, fill: Color32, stroke: Stroke);

    /// A line through points.
    fn line(&self, points: Vec<Pos2>, stroke: Stroke);

    /// A straight line.
    fn segment(&self, ends: [Pos2; 2], stroke: Stroke);

    /// A dashed line through points; dashes and gaps in points.
    fn dashed(&self, points: &[Pos2], stroke: Stroke, dash: f32, gap: f32);

    /// A circle, filled and with a line along its edge.
    fn circle(&self, at: Pos2, radius: f32, fill: Color32, stroke: Stroke);

    /// Draws what `draw` draws, but nothing of it beyond a rectangle.
    fn clipped(&self, rect: Rect, draw: &mut dyn FnMut(&dyn Canvas));

    /// The size of a text in type of so many points; it may have several lines.
    fn measure(&self, text: &str, points: f32) -> Vec2;

    /// A text from its left top corner.
    fn text(&self, left_top: Pos2, text: &str, points: f32, color: Color32);

    /// A rectangle without a line.
    fn rect_filled(&self, rect: Rect, corner: f32, fill: Color32) {
        self.rect(rect, corner, fill, Stroke::NONE, Side::Outside);
    }

    /// The edge of a rectangle alone.
    fn rect_stroke(&self, rect: Rect, corner: f32, stroke: Stroke, side: Side) {
        self.rect(rect, corner, Color32::TRANSPARENT, stroke, side);
    }
}
