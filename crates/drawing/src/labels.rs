//! Every text of the drawing goes through [`Labels`], which refuses what would overlap or be cut off, and remembers what it placed.

use ecolor::Color32;
use emath::{Align2, Pos2, Rect, Vec2, vec2};

use crate::canvas::Canvas;

/// A text that was drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The text.
    pub text: String,
    /// Where it stands.
    pub rect: Rect,
    /// Size of its type, points.
    pub points: f32,
}

/// Places texts, first come first served.
pub struct Labels<'p> {
    canvas: &'p dyn Canvas,
    placed: Vec<Label>,
    /// Things that no text may cover.
    taken: Vec<Rect>,
}

/// Gap that is kept between texts, points: beside one another they would read as one, above one another they do not.
const GAP: Vec2 = vec2(6.0, 1.0);
/// How far a plate reaches beyond the text on it, points.
const PLATE: Vec2 = vec2(2.0, 0.0);

/// What a text may stand over.
#[derive(Clone, Copy)]
enum Over {
    /// Only the sheet.
    Nothing,
    /// Whatever is there, on a plate of this colour or without one.
    Things(Option<Color32>),
}

/// Gap that is kept from what no text may cover, points.
const CLEAR: f32 = 1.0;

impl<'p> Labels<'p> {
    /// No text yet.
    #[must_use]
    pub const fn new(canvas: &'p dyn Canvas) -> Self {
        Self {
            canvas,
            placed: Vec::new(),
            taken: Vec::new(),
        }
    }

    /// Keeps a place free of texts.
    pub fn keep_free(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// The size that a text would take.
    #[must_use]
    pub fn measure(&self, text: &str, points: f32) -> Vec2 {
        self.canvas.measure(text, points)
    }

    /// Draws the first of several wordings that fits within `bounds` at an anchor and touches nothing; the rectangle taken, if any fits.
    pub fn place(
        &mut self,
        wordings: &[&str],
        points: f32,
        color: Color32,
        (align, at): (Align2, Pos2),
        bounds: Rect,
    ) -> Option<Rect> {
        let mut fitting = wordings.iter().filter(|t| !t.is_empty());
        fitting
            .find_map(|text| self.write(text, points, color, (align, at), (bounds, Over::Nothing)))
    }

    /// Draws a text within something that other texts keep off, such as a tank, if it fits within `bounds` and touches no other text;
    /// on a plate of a colour where one is given.
    pub fn place_inside(
        &mut self,
        text: &str,
        (points, color): (f32, Color32),
        plate: Option<Color32>,
        anchor: (Align2, Pos2),
        bounds: Rect,
    ) -> Option<Rect> {
        self.write(text, points, color, anchor, (bounds, Over::Things(plate)))
    }

    fn write(
        &mut self,
        text: &str,
        points: f32,
        color: Color32,
        (align, at): (Align2, Pos2),
        (bounds, over): (Rect, Over),
    ) -> Option<Rect> {
        let rect = align.anchor_size(at, self.canvas.measure(text, points));
        let fits = bounds.expand(0.5).contains_rect(rect);
        let mut texts = self.placed.iter();
        let touches_text = texts.any(|l| l.rect.intersects(rect.expand2(GAP)));
        let mut things = self.taken.iter();
        let covers = matches!(over, Over::Nothing)
            && things.any(|thing| thing.intersects(rect.expand(CLEAR)));
        if !fits || touches_text || covers {
            return None;
        }
        if let Over::Things(Some(plate)) = over {
            self.canvas.rect_filled(rect.expand2(PLATE), 2.0, plate);
        }
        self.canvas.text(rect.min, text, points, color);
        self.placed.push(Label {
            text: text.to_owned(),
            rect,
            points,
        });
        Some(rect)
    }

    /// What was drawn.
    #[must_use]
    pub fn into_placed(self) -> Vec<Label> {
        self.placed
    }
}
