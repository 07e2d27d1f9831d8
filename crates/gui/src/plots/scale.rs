//! Axes: ranges that keep still.

use dragback_drawing::plot::round_step;

/// A range that grows at once and shrinks reluctantly, so that axes do not jump while a lever moves.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StillRange {
    range: Option<(f64, f64)>,
}

/// Shrink only when the values fill less than this share of the range.
const SHRINK_BELOW: f64 = 0.55;

impl StillRange {
    /// The range for values from `low` to `high`, at ends that are multiples of a round step.
    pub fn linear(&mut self, low: f64, high: f64) -> (f64, f64) {
        let span = (high - low).max(1e-9 * high.abs()).max(1e-12);
        let step = round_step(span, 3.0);
        let ends = ((low / step).floor() * step, (high / step).ceil() * step);
        let ends = if ends.0 < ends.1 {
            ends
        } else {
            (ends.0 - step, ends.1 + step)
        };
        self.follow((low, high), ends)
    }

    /// The range for logarithms from `low` to `high`, at whole decades.
    pub fn decades(&mut self, low: f64, high: f64) -> (f64, f64) {
        let ends = (
            (low + 1e-9).floor(),
            (high - 1e-9).ceil().max((low + 1e-9).floor() + 1.0),
        );
        self.follow((low, high), ends)
    }

    /// The range for heights from `low` to `high` from its lowest to its highest mark, and the same with a little room beyond, so that marks at
    /// the ends are not cut in half.
    pub fn rounded(&mut self, is_log: bool, low: f64, high: f64) -> ((f64, f64), (f64, f64)) {
        let marked = if is_log {
            self.decades(low, high)
        } else {
            self.linear(low, high)
        };
        let room = 0.03 * (marked.1 - marked.0);
        (marked, (marked.0 - room, marked.1 + room))
    }

    fn follow(&mut self, values: (f64, f64), ends: (f64, f64)) -> (f64, f64) {
        let range = match self.range {
            None => ends,
            Some((low, high)) => {
                let is_outside = values.0 < low || values.1 > high;
                let is_loose = values.1 - values.0 < SHRINK_BELOW * (high - low);
                if is_outside || is_loose {
                    ends
                } else {
                    (low, high)
                }
            }
        };
        self.range = Some(range);
        range
    }

    /// Forgets the range: another unit or another scenario.
    pub fn forget(&mut self) {
        self.range = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_holds_still_until_it_must_move() {
        let mut range = StillRange::default();
        assert_eq!(range.linear(51.3, 58.7), (50.0, 60.0));
        assert_eq!(range.linear(53.0, 59.9), (50.0, 60.0));
        assert_eq!(range.linear(52.0, 60.4), (52.0, 62.0));
        assert_eq!(range.linear(56.0, 58.0), (56.0, 58.0));
        range.forget();
        assert_eq!(
            range.linear(5.0, 5.0).0 < 5.0,
            range.linear(5.0, 5.0).1 > 5.0
        );
    }

    #[test]
    fn decades_are_whole() {
        let mut range = StillRange::default();
        assert_eq!(range.decades(-0.3, 4.8), (-1.0, 5.0));
        assert_eq!(range.decades(0.2, 4.9), (-1.0, 5.0));
        range.forget();
        assert_eq!(range.decades(2.0, 3.0), (2.0, 3.0));
    }
}
