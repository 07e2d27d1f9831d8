//! A zero pinned down between two values.

/// Most values that are tried: each four at least halve the gap, so that these pin a zero down to a hundred-thousandth of where it was looked for.
const MOST: usize = 80;
/// A straight line that has not halved the gap within so many steps misleads: where values leap, or are nothing for a while.
const PATIENCE: usize = 3;
/// How far beyond the zero, as a share of what it is to be known to, the next value is tried, so that the other end comes near as well.
const PAST: f64 = 0.4;

/// What came of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Pinned {
    /// It lies between these two, which have opposite signs: what stood first, then what stood second.
    Between(f64, f64),
    /// This value, on which the answer would rest, has no number.
    Hole(f64),
}

/// Pins a zero down to `near`, between two values with what they give, of which one is less than nothing. `at` says what a value gives.
///
/// By the rule of false position, with the end that stays halved (Illinois; Dowell and Jarratt, BIT 11, 1971, from memory).
///
/// # Errors
/// Those of `at`.
pub(crate) fn pinned<E>(
    (mut a, mut f): (f64, f64),
    (mut b, mut g): (f64, f64),
    near: f64,
    at: &mut dyn FnMut(f64) -> Result<Option<f64>, E>,
) -> Result<Pinned, E> {
    let (mut a_moved, mut b_moved) = (false, false);
    let mut gaps = vec![f64::INFINITY; PATIENCE];
    while gaps.len() < MOST && (b - a).abs() >= near {
        let gap = (b - a).abs();
        let is_slow = gap > 0.5 * gaps[gaps.len() - PATIENCE];
        gaps.push(gap);
        let past = PAST * near * (b - a).signum();
        let straight = a + (b - a) * f / (f - g) + if a_moved { past } else { -past };
        let is_between = straight > a.min(b) && straight < a.max(b);
        let next = if is_between && !is_slow {
            straight
        } else {
            0.5 * (a + b)
        };
        let Some(given) = at(next)? else {
            return Ok(Pinned::Hole(next));
        };
        if (given >= 0.0) == (f >= 0.0) {
            (a, f) = (next, given);
            if a_moved {
                g *= 0.5;
            }
            (a_moved, b_moved) = (true, false);
        } else {
            (b, g) = (next, given);
            if b_moved {
                f *= 0.5;
            }
            (a_moved, b_moved) = (false, true);
        }
    }
    Ok(Pinned::Between(a, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where a function passes nothing between 1 and 5, and how many values that took.
    fn found(of: impl Fn(f64) -> f64) -> (f64, f64, usize) {
        let mut tried = 0;
        let mut at = |x: f64| {
            tried += 1;
            Ok::<_, ()>(Some(of(x)))
        };
        let pinned = pinned((1.0, of(1.0)), (5.0, of(5.0)), 1e-4, &mut at).unwrap();
        let Pinned::Between(a, b) = pinned else {
            panic!("it has numbers everywhere");
        };
        (a, b, tried)
    }

    #[test]
    fn a_curve_takes_a_few_values_and_a_leap_no_more_than_there_are() {
        let (a, b, tried) = found(|x| x - 2.0);
        assert!(a <= 2.0 && b >= 2.0 && b - a < 1e-4, "{a} {b}");
        assert!(tried <= 4, "{tried}");
        let (a, b, tried) = found(|x| 8.0 - x.powi(3));
        assert!(a <= 2.0 && b >= 2.0 && b - a < 1e-4, "{a} {b}");
        assert!(tried <= 10, "{tried}");
        let leaps: [fn(f64) -> f64; 4] = [
            |x| if x < 2.0 { -1e-3 } else { 1e3 },
            |x| if x < 2.0 { 1e3 } else { -1e-3 },
            // Nothing is not less than nothing.
            |x| if x < 2.0 { -1.0 } else { 0.0 },
            |x| (x - 2.0).powi(9),
        ];
        for leap in leaps {
            let (a, b, tried) = found(leap);
            assert!(a <= 2.0 && b >= 2.0 && b - a < 1e-4, "{a} {b}");
            assert!(tried < MOST - PATIENCE, "{tried}");
        }
    }

    #[test]
    fn what_has_no_number_is_told() {
        let mut at = |x: f64| Ok::<_, ()>((x < 2.5).then_some(x - 3.0));
        let hole = pinned((1.0, -2.0), (5.0, 2.0), 1e-3, &mut at).unwrap();
        assert!(
            matches!(hole, Pinned::Hole(x) if (2.5..5.0).contains(&x)),
            "{hole:?}"
        );
    }
}
