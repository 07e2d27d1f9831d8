//! Up to which flow a collection tank holds back what a shift brings.

use super::edge::Span;
use crate::case::StudyError;

/// To this share the flow is known.
const HOLDS: f64 = 0.01;

/// Up to which flow a collection tank holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Holds {
    Everywhere,
    UpTo(f64),
    Nowhere,
    NoAnswer,
}

/// The most of a flow, up to `most`, at which the collection tank does not run over: between what was tried already, or below it. `holds` says whether it does at
/// a flow.
pub(super) fn holds_to(
    tried: &[(f64, bool)],
    most: f64,
    span: &Span,
    holds: &mut dyn FnMut(f64) -> Result<Option<bool>, StudyError>,
) -> Result<Holds, StudyError> {
    let of = |is_held: bool| {
        let all = tried.iter().filter(move |t| t.1 == is_held && t.0 <= most);
        all.map(|t| t.0)
    };
    let mut over = of(false).fold(f64::INFINITY, f64::min);
    if over.is_infinite() {
        return Ok(Holds::Everywhere);
    }
    let mut held = of(true).filter(|x| *x < over).fold(0.0, f64::max);
    while held <= 0.0 {
        if over <= span.low {
            return Ok(Holds::Nowhere);
        }
        let next = (over / span.step).max(span.low);
        match holds(next)? {
            Some(true) => held = next,
            Some(false) => over = next,
            None => return Ok(Holds::NoAnswer),
        }
    }
    while over - held > HOLDS * held {
        let middle = 0.5 * (over + held);
        match holds(middle)? {
            Some(true) => held = middle,
            Some(false) => over = middle,
            None => return Ok(Holds::NoAnswer),
        }
    }
    Ok(Holds::UpTo(held))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_a_tank_begins_to_run_over_is_found_or_said_not_to_be() {
        let span = Span {
            now: 20.0,
            low: 1.0,
            high: 400.0,
            step: 1.4,
            low_closes: true,
        };
        let of = |tried: &[f64], most: f64, holds: fn(f64) -> Option<bool>| {
            let tried: Vec<_> = tried.iter().map(|x| (*x, holds(*x).unwrap())).collect();
            holds_to(&tried, most, &span, &mut |x| Ok(holds(x))).unwrap()
        };
        let below: fn(f64) -> Option<bool> = |x| Some(x < 30.0);
        for tried in [&[20.0, 28.0, 39.2][..], &[50.0, 70.0]] {
            let found = of(tried, 100.0, below);
            assert!(
                matches!(found, Holds::UpTo(x) if (29.6..30.0).contains(&x)),
                "{found:?}"
            );
        }
        // What runs over only where the week no longer closes is not asked about.
        assert_eq!(of(&[20.0, 39.2], 25.0, below), Holds::Everywhere);
        assert_eq!(of(&[20.0, 39.2], 100.0, |_| Some(false)), Holds::Nowhere);
        let hole: fn(f64) -> Option<bool> = |x| ((x - 30.0).abs() > 3.0).then_some(x < 30.0);
        assert_eq!(of(&[20.0, 39.2], 100.0, hole), Holds::NoAnswer);
    }
}
