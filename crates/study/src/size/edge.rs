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

/// Most steps that are taken at once.
const FURTHEST: i32 = 2;

impl Span {
    /// A little beyond where the straight line through two values with their margins is nought.
    fn beyond(&self, before: (f64, f64), here: (f64, f64)) -> Option<f64> {
        let per_margin = (here.0 - before.0) / (here.1 - before.1);
        let zero = here.0 - here.1 * per_margin;
        let a_little = KNOWN * (self.step - 1.0) * zero * (here.0 - before.0).signum();
        zero.is_finite().then_some(zero + a_little)
    }
}

/// Where a loop ceases to close.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Found {
    /// This side of this value it closes.
    At(f64),
    /// It closes, or does not, at all values that were looked at.
    Nowhere,
    /// A value on which the answer would rest has none.
    NoAnswer,
}

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

    /// The value at which the loop just closes, on the side where it does; `at` gives the margin at a value.
    pub(super) fn find(
        &self,
        at: &mut dyn FnMut(f64) -> Result<Option<f64>, StudyError>,
    ) -> Result<Found, StudyError> {
        let Some(now) = self.now else {
            return Ok(Found::NoAnswer);
        };
        let (inside, outside) = match self.enclosed(now, at)? {
            Ok(both) => both,
            Err(why) => return Ok(why),
        };
        let near = KNOWN * (self.span.step - 1.0) * inside.0.abs();
        Ok(match pinned(inside, outside, near, at)? {
            Pinned::Between(inside, _) => Found::At(inside),
            Pinned::Hole(_) => Found::NoAnswer,
        })
    }

    /// Two neighbouring values with their margins, between which the loop ceases to close, the one that closes first; or what
    /// there is instead.
    #[expect(clippy::type_complexity, reason = "two points")]
    fn enclosed(
        &self,
        now: f64,
        at: &mut dyn FnMut(f64) -> Result<Option<f64>, StudyError>,
    ) -> Result<Result<((f64, f64), (f64, f64)), Found>, StudyError> {
        let span = self.span;
        let is_up = (now >= 0.0) == span.low_closes;
        let mut here = (span.now, now);
        let mut before = None;
        loop {
            let step = if is_up {
                here.0 * span.step
            } else {
                here.0 / span.step
            };
            // After a whole step, to just beyond where the straight line through both values says; a line that misleads costs one value.
            let straight = before.take().and_then(|before| {
                let beyond = span.beyond(before, here)?;
                let furthest = here.0 * (step / here.0).powi(FURTHEST);
                let is_ahead = beyond > here.0.min(furthest) && beyond < here.0.max(furthest);
                is_ahead.then_some(beyond)
            });
            let next = straight.unwrap_or(step);
            let next = next.clamp(span.low, span.high);
            if next == here.0 {
                return Ok(Err(Found::Nowhere));
            }
            let Some(margin) = at(next)? else {
                return Ok(Err(Found::NoAnswer));
            };
            let there = (next, margin);
            if (margin >= 0.0) != (now >= 0.0) {
                return Ok(Ok(if now >= 0.0 {
                    (here, there)
                } else {
                    (there, here)
                }));
            }
            before = straight.is_none().then_some(here);
            here = there;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(low_closes: bool, now: f64, margin: impl Fn(f64) -> Option<f64>) -> (usize, Found) {
        let span = Span {
            now,
            low: 1.0,
            high: 400.0,
            step: 1.4,
            low_closes,
        };
        let mut tried = 0;
        let edge = Edge::of(&span, margin(now));
        let at = edge.find(&mut |x| {
            tried += 1;
            Ok(margin(x))
        });
        (tried, at.unwrap())
    }

    #[test]
    fn the_edge_is_found_on_the_side_that_closes() {
        for (low_closes, now) in [(true, 20.0), (true, 90.0)] {
            let (tried, at) = found(low_closes, now, |x| Some(50.0 - x));
            assert!(
                matches!(at, Found::At(at) if at <= 50.0 && at > 49.7),
                "{at:?} from {now}"
            );
            assert!(tried <= 8, "{tried}");
        }
        let (tried, at) = found(false, 20.0, |x| Some((x / 50.0).powi(3) - 1.0));
        assert!(
            matches!(at, Found::At(at) if (50.0..50.3).contains(&at)),
            "{at:?}"
        );
        assert!(tried <= 8, "{tried}");
    }

    /// The straight line through two values leads far beyond the edge, or falls short of it: it costs a value, and no more.
    #[test]
    fn a_line_that_misleads_costs_one_value() {
        let kinks: [fn(f64) -> f64; 3] = [
            |x| if x < 35.0 { 10.0 } else { 80.0 - x },
            |x| if x < 30.0 { 51.0 - x } else { (90.0 - x) / 3.0 },
            |x| 200.0 / x - 1.0,
        ];
        for (n, kink) in kinks.into_iter().enumerate() {
            let edge = [80.0, 90.0, 200.0][n];
            let (tried, at) = found(true, 20.0, |x| Some(kink(x)));
            assert!(
                matches!(at, Found::At(at) if at <= edge && at > 0.99 * edge),
                "{n}: {at:?}"
            );
            assert!(tried <= 14, "{n}: {tried}");
        }
    }

    #[test]
    fn where_it_closes_everywhere_or_nowhere_there_is_no_edge() {
        assert_eq!(found(true, 20.0, |_| Some(1.0)).1, Found::Nowhere);
        assert_eq!(found(true, 20.0, |_| Some(-1.0)).1, Found::Nowhere);
    }

    /// What does not settle on the way is not taken for what closes.
    #[test]
    fn without_an_answer_on_the_way_there_is_none() {
        assert_eq!(found(true, 20.0, |_| None).1, Found::NoAnswer);
        let far = |x: f64| (x < 100.0).then_some(1.0);
        assert_eq!(found(true, 20.0, far).1, Found::NoAnswer);
        let between = |x: f64| ((x - 50.0).abs() > 5.0).then_some(50.0 - x);
        assert_eq!(found(true, 20.0, between).1, Found::NoAnswer);
    }
}
