//! The value of an input at which a margin is nought.

use crate::case::StudyError;
use crate::pin::{Pinned, pinned};

/// What is looked at: from a value on, between two others, in steps of a ratio; whether the lower values are those that close.
pub(super) struct Span {
    pub now: f64,
    pub low: f64,
    pub high: f64,
    pub step: f64,
    pub low_closes: bool,
}

/// The value is known to this share of a step.
const KNOWN: f64 = 0.01;

/// The search for the value at which a loop just closes.
pub(super) struct Edge<'a> {
    span: &'a Span,
    now: Option<f64>,
}

impl<'a> Edge<'a> {
    /// From the margin at the value that there is now.
    pub(super) const fn of(span: &'a Span, now: Option<f64>) -> Self {
        Self { span, now }
    }

    /// The value at which the loop just closes, on the side where it does; `at` gives the margin at a value. `None` where none is found.
    pub(super) fn find(
        &self,
        at: &mut dyn FnMut(f64) -> Result<Option<f64>, StudyError>,
    ) -> Result<Option<f64>, StudyError> {
        let Some(now) = self.now else {
            return Ok(None);
        };
        let Some((inside, outside)) = self.enclosed(now, at)? else {
            return Ok(None);
        };
        let near = KNOWN * (self.span.step - 1.0) * inside.0.abs();
        Ok(match pinned(inside, outside, near, at)? {
            Pinned::Between(inside, _) => Some(inside),
            Pinned::Hole(_) => None,
        })
    }

    /// Two neighbouring values with their margins, between which the loop ceases to close: the one that closes first.
    #[expect(clippy::type_complexity, reason = "two points")]
    fn enclosed(
        &self,
        now: f64,
        at: &mut dyn FnMut(f64) -> Result<Option<f64>, StudyError>,
    ) -> Result<Option<((f64, f64), (f64, f64))>, StudyError> {
        let span = self.span;
        let is_up = (now >= 0.0) == span.low_closes;
        let mut here = (span.now, now);
        loop {
            let next = if is_up {
                here.0 * span.step
            } else {
                here.0 / span.step
            };
            let next = next.clamp(span.low, span.high);
            if next == here.0 {
                return Ok(None);
            }
            let Some(margin) = at(next)? else {
                return Ok(None);
            };
            let there = (next, margin);
            if (margin >= 0.0) != (now >= 0.0) {
                return Ok(Some(if now >= 0.0 {
                    (here, there)
                } else {
                    (there, here)
                }));
            }
            here = there;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(low_closes: bool, now: f64, margin: impl Fn(f64) -> f64) -> (usize, Option<f64>) {
        let span = Span {
            now,
            low: 1.0,
            high: 400.0,
            step: 1.4,
            low_closes,
        };
        let mut tried = 0;
        let edge = Edge::of(&span, Some(margin(now)));
        let at = edge.find(&mut |x| {
            tried += 1;
            Ok(Some(margin(x)))
        });
        (tried, at.unwrap())
    }

    #[test]
    fn the_edge_is_found_on_the_side_that_closes() {
        for (low_closes, now) in [(true, 20.0), (true, 90.0)] {
            let (tried, at) = found(low_closes, now, |x| 50.0 - x);
            let at = at.unwrap();
            assert!(at <= 50.0 && at > 49.7, "{at} from {now}");
            assert!(tried <= 8, "{tried}");
        }
        let (tried, at) = found(false, 20.0, |x| (x / 50.0).powi(3) - 1.0);
        let at = at.unwrap();
        assert!((50.0..50.3).contains(&at), "{at}");
        assert!(tried <= 8, "{tried}");
    }

    #[test]
    fn where_it_closes_everywhere_or_nowhere_there_is_no_edge() {
        assert_eq!(found(true, 20.0, |_| 1.0).1, None);
        assert_eq!(found(true, 20.0, |_| -1.0).1, None);
    }
}
