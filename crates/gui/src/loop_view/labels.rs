//! Every text of the drawing goes through [`Labels`], which refuses what would overlap or be cut off, and remembers what it placed.

use egui::{Align2, Color32, FontId, Painter, Pos2, Rect};

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
    painter: &'p Painter,
    placed: Vec<Label>,
    /// Things that no text may cover.
    taken: Vec<Rect>,
}

/// Gap that is kept between texts, points: beside one another they would read as one, above one another they do not.
const GAP: egui::Vec2 = egui::vec2(6.0, 1.0);
/// Gap that is kept from what no text may cover, points.
const CLEAR: f32 = 1.0;

impl<'p> Labels<'p> {
    /// No text yet.
    #[must_use]
    pub const fn new(painter: &'p Painter) -> Self {
        Self {
            painter,
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
    pub fn measure(&self, text: &str, points: f32) -> egui::Vec2 {
        let font = FontId::proportional(points);
        let galley = self
            .painter
            .layout_no_wrap(text.to_owned(), font, Color32::PLACEHOLDER);
        galley.size()
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
        for text in wordings.iter().filter(|t| !t.is_empty()) {
            let font = FontId::proportional(points);
            let galley = self.painter.layout_no_wrap((*text).to_owned(), font, color);
            let rect = align.anchor_size(at, galley.size());
            let fits = bounds.expand(0.5).contains_rect(rect);
            let mut texts = self.placed.iter();
            let touches_text = texts.any(|l| l.rect.intersects(rect.expand2(GAP)));
            let mut things = self.taken.iter();
            let covers = things.any(|thing| thing.intersects(rect.expand(CLEAR)));
            if fits && !touches_text && !covers {
                self.painter.galley(rect.min, galley, color);
                self.placed.push(Label {
                    text: (*text).to_owned(),
                    rect,
                    points,
                });
                return Some(rect);
            }
        }
        None
    }

    /// What was drawn.
    #[must_use]
    pub fn into_placed(self) -> Vec<Label> {
        self.placed
    }
}
