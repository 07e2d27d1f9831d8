//! The window as a sheet to draw on.

use dragback_drawing::{Canvas, Side, Stroke};
use egui::{Color32, Painter, Pos2, Rect, Shape, StrokeKind, Vec2};

use crate::theme::font;

/// What a painter paints on.
pub(super) struct Sheet<'p>(pub(super) &'p Painter);

fn line(stroke: Stroke) -> egui::Stroke {
    egui::Stroke::new(stroke.width, stroke.color)
}

impl Sheet<'_> {
    /// A text laid out, in no colour yet: one that is measured and then drawn is laid out once.
    fn galley(&self, text: &str, points: f32) -> std::sync::Arc<egui::Galley> {
        self.0
            .layout_no_wrap(text.to_owned(), font(points), Color32::PLACEHOLDER)
    }
}

impl Canvas for Sheet<'_> {
    fn rect(&self, rect: Rect, corner: f32, fill: Color32, stroke: Stroke, side: Side) {
        let kind = match side {
            Side::Inside => StrokeKind::Inside,
            Side::Outside => StrokeKind::Outside,
        };
        self.0.rect(rect, corner, fill, line(stroke), kind);
    }

    fn polygon(&self, corners: Vec<Pos2>, fill: Color32, stroke: Stroke) {
        let shape = Shape::convex_polygon(corners, fill, line(stroke));
        self.0.add(shape);
    }

    fn line(&self, points: Vec<Pos2>, stroke: Stroke) {
        self.0.add(Shape::line(points, line(stroke)));
    }

    fn segment(&self, ends: [Pos2; 2], stroke: Stroke) {
        self.0.line_segment(ends, line(stroke));
    }

    fn dashed(&self, points: &[Pos2], stroke: Stroke, dash: f32, gap: f32) {
        let dashes = Shape::dashed_line(points, line(stroke), dash, gap);
        self.0.extend(dashes);
    }

    fn circle(&self, at: Pos2, radius: f32, fill: Color32, stroke: Stroke) {
        self.0.circle(at, radius, fill, line(stroke));
    }

    fn clipped(&self, rect: Rect, draw: &mut dyn FnMut(&dyn Canvas)) {
        let within = self.0.with_clip_rect(rect.intersect(self.0.clip_rect()));
        draw(&Sheet(&within));
    }

    fn measure(&self, text: &str, points: f32) -> Vec2 {
        self.galley(text, points).size()
    }

    fn text(&self, left_top: Pos2, text: &str, points: f32, color: Color32) {
        let galley = self.galley(text, points);
        self.0.galley(left_top, galley, color);
    }
}
