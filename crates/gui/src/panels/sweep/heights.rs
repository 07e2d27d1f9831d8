//! Along which heights the settled answers are drawn.

/// Values whose greatest is more than this many times their least are drawn on a log axis.
const TALL: f64 = 30.0;

/// Whether values, all above zero, span so much that a straight axis would hide the small ones.
pub(super) fn spans_decades(points: &[[f64; 2]]) -> bool {
    let heights = || points.iter().map(|p| p[1]);
    let low = heights().fold(f64::INFINITY, f64::min);
    let high = heights().fold(f64::NEG_INFINITY, f64::max);
    low > 0.0 && high > TALL * low
}

/// Least range that is shown, as a share of the values: less than that is no difference to anyone.
const LEAST_RANGE: f64 = 0.02;

/// Least and greatest height, with some room where they are all but the same.
pub(super) fn extent(points: &[[f64; 2]]) -> (f64, f64) {
    let heights = || points.iter().map(|p| p[1]);
    let low = heights().fold(f64::INFINITY, f64::min);
    let high = heights().fold(f64::NEG_INFINITY, f64::max);
    let lacking = LEAST_RANGE * low.abs().max(high.abs()) - (high - low);
    let room = 0.5 * lacking.max(0.0);
    (low - room, high + room)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_that_span_decades_are_drawn_on_a_log_axis() {
        let points =
            |heights: &[f64]| -> Vec<[f64; 2]> { heights.iter().map(|y| [0.0, *y]).collect() };
        assert!(spans_decades(&points(&[1.0, 8.0, 31.0])));
        assert!(!spans_decades(&points(&[1.0, 29.0])));
        assert!(!spans_decades(&points(&[-1.0, 200.0])));
        assert!(!spans_decades(&points(&[0.0, 200.0])));
    }
}
