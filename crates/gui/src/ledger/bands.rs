//! Where the bands of a ledger go: at the outer edges each has a place of its own with room for its name, at the trunk they lie on one another.
//!
//! Every band is as wide as its amount, at one scale for both sides, so that the two stacks at the trunk show by their heights whether the books close.

/// One line of the ledger as a band. Heights run downwards from the top of the drawing, points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Where its place at the outer edge begins.
    pub place: f64,
    /// Height of that place.
    pub room: f64,
    /// Where it begins in the stack at the trunk.
    pub stacked: f64,
    /// Its width, true to scale.
    pub width: f64,
}

/// The bands of both sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Bands {
    /// What came in, in the order given.
    pub left: Vec<Band>,
    /// What went out, in the order given.
    pub right: Vec<Band>,
    /// Points for each unit of amount.
    pub scale: f64,
    /// Where the trunk begins.
    pub trunk_top: f64,
    /// Height of the trunk: the larger of the two stacks.
    pub trunk: f64,
}

/// Bands narrower than this are drawn as a line of this width, and told of, points.
pub const HAIRLINE: f64 = 1.0;

/// Gap between neighbours at the outer edge, points.
const GAP: f64 = 4.0;

impl Band {
    /// Whether it is too thin to be drawn to scale.
    #[must_use]
    pub fn is_hairline(&self) -> bool {
        self.width < HAIRLINE
    }

    /// Middle of its place at the outer edge.
    #[must_use]
    pub fn middle(&self) -> f64 {
        self.place + 0.5 * self.room
    }
}

/// Least height for so many lines on the longer side, each with `slot` points for its name.
#[must_use]
pub fn least_height(lines: usize, slot: f64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "dozens")]
    let count = lines as f64;
    count * slot + (count - 1.0).max(0.0) * GAP
}

/// Height of one side at the outer edge.
fn outer(amounts: &[f64], scale: f64, slot: f64) -> f64 {
    let bands: f64 = amounts.iter().map(|a| (a * scale).max(slot)).sum();
    bands + least_height(amounts.len(), 0.0)
}

/// Finds the widest bands for amounts, all above zero, in a drawing `height` points high where each name needs `slot` points.
///
/// `None` when there is nothing to draw, an amount is not a finite number above zero, or the names alone need more height.
#[must_use]
pub fn bands(left: &[f64], right: &[f64], height: f64, slot: f64) -> Option<Bands> {
    let total = |side: &[f64]| side.iter().sum::<f64>();
    let most = total(left).max(total(right));
    let are_sound = left
        .iter()
        .chain(right)
        .all(|a| a.is_finite() && *a > 0.0 && most.is_finite());
    let fits = |scale: f64| {
        let high = outer(left, scale, slot).max(outer(right, scale, slot));
        high <= height
    };
    if !are_sound || most <= 0.0 || !fits(0.0) {
        return None;
    }
    let (mut low, mut high) = (0.0, height / most);
    // Fifty halvings settle the scale to the last digits that matter.
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if fits(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    let scale = low;
    let trunk = scale * most;
    let trunk_top = 0.5 * (height - trunk);
    let side = |amounts: &[f64]| {
        let mut place = 0.5 * (height - outer(amounts, scale, slot));
        let mut stacked = trunk_top;
        let mut found = Vec::with_capacity(amounts.len());
        for amount in amounts {
            let width = amount * scale;
            let room = width.max(slot);
            found.push(Band {
                place,
                room,
                stacked,
                width,
            });
            place += room + GAP;
            stacked += width;
        }
        found
    };
    Some(Bands {
        left: side(left),
        right: side(right),
        scale,
        trunk_top,
        trunk,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few dozen sums and products of numbers up to a thousand.
    const NEAR: f64 = 1e-9;

    const CASES: [(&[f64], &[f64]); 4] = [
        (&[700.0, 250.0, 50.0], &[990.0, 9.9, 0.1]),
        (&[1e-6], &[5e-7, 5e-7]),
        (&[3.0e4, 2.0, 1e-3], &[1.5e4, 1.5e4, 2.001]),
        (&[], &[4.0, 4.0]),
    ];

    #[test]
    fn widths_are_as_the_amounts_at_one_scale() {
        for (left, right) in CASES {
            let found = bands(left, right, 400.0, 30.0).unwrap();
            assert!(found.scale > 0.0);
            let both = found.left.iter().chain(&found.right);
            for (band, amount) in both.zip(left.iter().chain(right)) {
                let apart = (band.width - found.scale * amount).abs();
                assert!(apart < NEAR, "{band:?} of {amount}");
            }
        }
    }

    #[test]
    fn each_stack_is_as_high_as_its_sum_and_has_no_gap() {
        for (left, right) in CASES {
            let found = bands(left, right, 400.0, 30.0).unwrap();
            for (side, amounts) in [(&found.left, left), (&found.right, right)] {
                let sum: f64 = amounts.iter().sum();
                let high: f64 = side.iter().map(|b| b.width).sum();
                assert!((high - found.scale * sum).abs() < NEAR);
                let mut end = found.trunk_top;
                for band in side {
                    assert!((band.stacked - end).abs() < NEAR);
                    end = band.stacked + band.width;
                }
                assert!(end <= found.trunk_top + found.trunk + NEAR);
            }
        }
    }

    #[test]
    fn places_lie_within_the_drawing_one_below_the_other_with_room_for_a_name() {
        for (left, right) in CASES {
            let found = bands(left, right, 400.0, 30.0).unwrap();
            for side in [&found.left, &found.right] {
                assert!(side.iter().all(|b| b.room >= 30.0 && b.room >= b.width));
                assert!(side.iter().all(|b| b.place >= -NEAR));
                assert!(side.iter().all(|b| b.place + b.room <= 400.0 + NEAR));
                let apart = |w: &[Band]| w[1].place - (w[0].place + w[0].room);
                assert!(side.windows(2).all(|w| (apart(w) - GAP).abs() < NEAR));
            }
        }
    }

    #[test]
    fn the_height_is_used_up() {
        let (left, right) = CASES[0];
        let found = bands(left, right, 400.0, 30.0).unwrap();
        let end = |side: &[Band]| side.last().map_or(0.0, |b| b.place + b.room);
        let start = |side: &[Band]| side.first().map_or(0.0, |b| b.place);
        let high =
            (end(&found.left) - start(&found.left)).max(end(&found.right) - start(&found.right));
        assert!((high - 400.0).abs() < 1e-6, "{high}");
    }

    #[test]
    fn only_what_is_thinner_than_a_hairline_is_called_one() {
        let (left, right) = CASES[0];
        let found = bands(left, right, 400.0, 30.0).unwrap();
        let thin: Vec<bool> = found.right.iter().map(Band::is_hairline).collect();
        assert_eq!(thin, [false, false, true], "{:?}", found.right);
        assert!(found.left.iter().all(|b| !b.is_hairline()));
    }

    #[test]
    fn what_cannot_be_drawn_is_not() {
        assert_eq!(bands(&[], &[], 400.0, 30.0), None);
        assert_eq!(bands(&[0.0], &[1.0], 400.0, 30.0), None);
        assert_eq!(bands(&[f64::NAN], &[1.0], 400.0, 30.0), None);
        assert_eq!(bands(&[f64::INFINITY], &[1.0], 400.0, 30.0), None);
        let twelve = [1.0; 12];
        let least = least_height(12, 30.0);
        assert_eq!(bands(&twelve, &[1.0], least - 1.0, 30.0), None);
        assert!(bands(&twelve, &[1.0], least + 1.0, 30.0).is_some());
    }
}
