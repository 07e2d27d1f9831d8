//! Where a saving comes from: steps from the yearly cost before to the one after.

use dragback_drawing::{Canvas, Stroke, picture};
use dragback_study::money::{Payback, steps};
use emath::{Align2, Rect, pos2};

use super::frame::{Frame, GAP, PAPER, WIDE, cut, put, sheet};
use crate::document::Figure;
use crate::told::money::whole;

/// Height of a row.
const ROW: f32 = 18.0;
/// Width of the names, and of the amounts.
const NAMES: f32 = 210.0;
const AMOUNTS: f32 = 86.0;

/// The steps as a figure; `None` where nothing changes.
#[must_use]
pub fn steps_plot(payback: &Payback) -> Option<Figure> {
    let steps = steps(payback);
    if steps.is_empty() {
        return None;
    }
    let rows = steps.len() + 2;
    #[expect(clippy::cast_precision_loss, reason = "some dozens")]
    let high = rows as f32 * ROW + 4.0;
    let caption = "From the yearly cost before to the one after".to_owned();
    let each = steps
        .iter()
        .map(|s| format!("{} {}", s.name, signed(s.to - s.from)));
    let alt = format!(
        "Before {}; {}; after {}.",
        whole(payback.cost_before, &payback.currency),
        each.collect::<Vec<_>>().join(", "),
        whole(payback.cost_after, &payback.currency)
    );
    let svg = picture(sheet(high), &caption, &alt, |canvas| {
        let base = payback.cost_before;
        let ends = steps.iter().flat_map(|s| [s.from - base, s.to - base]);
        let (low, top) = ends.fold((0.0_f64, 0.0_f64), |(a, b), x| (a.min(x), b.max(x)));
        let frame = Frame {
            rect: Rect::from_min_max(pos2(NAMES + GAP, 0.0), pos2(WIDE - AMOUNTS - GAP, high)),
            x: (base + low, base + top.max(low + 1.0)),
            y: (0.0, 1.0),
        };
        let mut row = Row {
            canvas,
            frame,
            top: 2.0,
        };
        row.sum("before, a year", payback.cost_before);
        for step in &steps {
            row.step(&step.name, step.from, step.to);
        }
        row.sum("after, a year", payback.cost_after);
    });
    Some(Figure {
        name: "steps-of-cost".to_owned(),
        caption,
        alt,
        svg,
        aspect: f64::from(WIDE / high),
        numbers: None,
    })
}

fn signed(amount: f64) -> String {
    if amount > 0.0 {
        format!("+{}", whole(amount, ""))
    } else {
        whole(amount, "").replace('-', "−")
    }
}

struct Row<'c> {
    canvas: &'c dyn Canvas,
    frame: Frame,
    top: f32,
}

impl Row<'_> {
    fn texts(&self, name: &str, amount: &str, color: ecolor::Color32) {
        let middle = self.top + 0.5 * ROW;
        let name = cut(name, NAMES - GAP);
        put(
            self.canvas,
            Align2::LEFT_CENTER,
            pos2(0.0, middle),
            &name,
            PAPER.ink,
        );
        let right = pos2(WIDE, middle);
        put(self.canvas, Align2::RIGHT_CENTER, right, amount, color);
    }

    fn sum(&mut self, name: &str, cost: f64) {
        self.texts(name, &whole(cost, ""), PAPER.ink);
        let x = self.frame.x_at(cost);
        let ends = [pos2(x, self.top + 1.0), pos2(x, self.top + ROW - 1.0)];
        self.canvas.segment(ends, Stroke::new(2.0, PAPER.ink));
        self.top += ROW;
    }

    fn step(&mut self, name: &str, from: f64, to: f64) {
        let is_saved = to < from;
        let color = if is_saved { PAPER.good } else { PAPER.caution };
        self.texts(name, &signed(to - from), color);
        let (a, b) = (self.frame.x_at(from), self.frame.x_at(to));
        let bar = Rect::from_min_max(
            pos2(a.min(b), self.top + 4.0),
            pos2(a.max(b).max(a.min(b) + 1.0), self.top + ROW - 4.0),
        );
        // Saved is filled, added is hollow, so that grey print tells them apart.
        if is_saved {
            self.canvas.rect_filled(bar, 1.0, color);
        } else {
            let edge = Stroke::new(1.0, color);
            self.canvas
                .rect_stroke(bar, 1.0, edge, dragback_drawing::Side::Inside);
        }
        let thread = [pos2(b, self.top + ROW - 4.0), pos2(b, self.top + ROW + 4.0)];
        self.canvas.segment(thread, Stroke::new(0.75, PAPER.quiet));
        self.top += ROW;
    }
}
