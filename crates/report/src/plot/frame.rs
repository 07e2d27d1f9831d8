//! The frame of a plot: where values stand, and the marks on its axes.

use dragback_drawing::plot::{CURVE_WIDTH, Dash};
use dragback_drawing::{Canvas, LIGHT, Palette, Stroke, size};
use ecolor::Color32;
use emath::{Align2, Pos2, Rect, Vec2, pos2, vec2};

/// Colours of paper.
pub(super) const PAPER: &Palette = &LIGHT;
/// Width of a plot, points.
pub(super) const WIDE: f32 = 660.0;
/// Gap between a mark and its word, and between a curve and its name.
pub(super) const GAP: f32 = 6.0;
/// Width of an axis and of grid lines.
const THIN: f32 = 0.75;

/// Where values stand on the sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// The rectangle of the curves.
    pub rect: Rect,
    /// Values at its left and right edge.
    pub x: (f64, f64),
    /// Values at its foot and head.
    pub y: (f64, f64),
}

impl Frame {
    /// Where a value stands across.
    pub fn x_at(&self, x: f64) -> f32 {
        self.rect.left() + share(x, self.x) * self.rect.width()
    }

    /// Where a value stands in height.
    pub fn y_at(&self, y: f64) -> f32 {
        self.rect.bottom() - share(y, self.y) * self.rect.height()
    }

    /// Where both stand.
    pub fn at(&self, [x, y]: [f64; 2]) -> Pos2 {
        pos2(self.x_at(x), self.y_at(y))
    }

    /// Grid lines across with words at their left.
    pub fn y_axis(&self, canvas: &dyn Canvas, marks: &[(f64, String)]) {
        for (value, words) in marks {
            let y = self.y_at(*value);
            let ends = [pos2(self.rect.left(), y), pos2(self.rect.right(), y)];
            canvas.segment(ends, Stroke::new(THIN, PAPER.rule));
            let at = pos2(self.rect.left() - GAP, y);
            put(canvas, Align2::RIGHT_CENTER, at, words, PAPER.quiet);
        }
    }

    /// Ticks below with words under them.
    pub fn x_axis(&self, canvas: &dyn Canvas, marks: &[(f64, String)]) {
        let foot = self.rect.bottom();
        let axis = [self.rect.left_bottom(), self.rect.right_bottom()];
        canvas.segment(axis, Stroke::new(THIN, PAPER.quiet));
        for (value, words) in marks {
            let x = self.x_at(*value);
            canvas.segment(
                [pos2(x, foot), pos2(x, foot + 3.0)],
                Stroke::new(THIN, PAPER.quiet),
            );
            put(
                canvas,
                Align2::CENTER_TOP,
                pos2(x, foot + 5.0),
                words,
                PAPER.quiet,
            );
        }
    }
}

fn share(value: f64, (low, high): (f64, f64)) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "a share of the sheet")]
    let share = ((value - low) / (high - low).max(f64::MIN_POSITIVE)) as f32;
    if share.is_finite() { share } else { 0.0 }
}

/// Writes a text in the smallest type at an anchor; the rectangle that it takes.
pub(super) fn put(
    canvas: &dyn Canvas,
    align: Align2,
    at: Pos2,
    text: &str,
    color: Color32,
) -> Rect {
    let rect = align.anchor_size(at, canvas.measure(text, size::SMALL));
    canvas.text(rect.min, text, size::SMALL, color);
    rect
}

/// Width of a text in the smallest type.
pub(super) fn width(text: &str) -> f32 {
    dragback_drawing::font::width(text, size::SMALL, false)
}

/// A text cut to a width in the smallest type, with `…` where something is missing.
pub(super) fn cut(text: &str, most: f32) -> String {
    if width(text) <= most {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if width(&kept) + width("…") > most {
            kept.pop();
            break;
        }
    }
    format!("{}…", kept.trim_end())
}

/// Draws a curve; where it has no number it breaks off.
pub(super) fn curve(
    canvas: &dyn Canvas,
    frame: &Frame,
    points: &[[f64; 2]],
    color: Color32,
    dash: Dash,
) {
    let stroke = Stroke::new(CURVE_WIDTH, color);
    for run in points.split(|p| !p[1].is_finite()) {
        let through: Vec<Pos2> = run.iter().map(|p| frame.at(*p)).collect();
        line(canvas, through, stroke, dash);
    }
}

/// A line in a dash; gaps are half as long as dashes, as in the window.
pub(super) fn line(canvas: &dyn Canvas, through: Vec<Pos2>, stroke: Stroke, dash: Dash) {
    if through.len() < 2 {
        return;
    }
    match dash {
        Dash::Solid => canvas.line(through, stroke),
        Dash::Dashed { length } => canvas.dashed(&through, stroke, length, 0.5 * length),
        Dash::Dotted { spacing } => {
            let dot = stroke.width;
            canvas.dashed(&through, stroke, dot, (spacing - dot).max(dot));
        }
    }
}

/// The size of a plot of some height.
pub(super) const fn sheet(high: f32) -> Vec2 {
    vec2(WIDE, high)
}
