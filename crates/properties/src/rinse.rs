//! The counterflow series: what ideal counterflow rinses do, for sizing by hand and to check the network against.
//!
//! Perfect mixing, equal drag-in and drag-out `D`, clean feed and no evaporation are assumed; `r = Q/D` is the flow ratio. A standard mass
//! balance over the stages (textbook). Its published checks stand in `tests/src/rinse.rs`, with the closed forms that only tests use.

/// The terms `1, r, r², … rⁿ` whose sum is [`counterflow_dilution`] (–), for `stages` counterflow rinses; a single 1 without stages.
pub fn counterflow_terms(flow_ratio: f64, stages: u32) -> impl Iterator<Item = f64> {
    (0..=stages).scan(1.0, move |next, _| {
        let term = *next;
        *next *= flow_ratio;
        Some(term)
    })
}

/// Dilution ratio c0/c_n of `stages` counterflow rinses: `1 + r + r² + … + rⁿ` (–).
///
/// `flow_ratio` is rinse flow over drag-out, ≥ 0. Without stages the ratio is 1.
#[must_use]
pub fn counterflow_dilution(flow_ratio: f64, stages: u32) -> f64 {
    // Horner's scheme: no cancellation at r = 1, unlike (r^(n+1) − 1)/(r − 1).
    (0..stages).fold(1.0, |sum, _| sum * flow_ratio + 1.0)
}

/// Flow ratio r at which `stages` counterflow rinses reach `dilution` = c0/c_n (–).
///
/// `None` when there is no stage, or the dilution is below 1 or not finite.
#[must_use]
pub fn counterflow_flow_ratio(dilution: f64, stages: u32) -> Option<f64> {
    if stages == 0 || !(dilution >= 1.0 && dilution.is_finite()) {
        return None;
    }
    // The series rises with r and lies above rⁿ, so the short form is an upper bound; Newton's iteration
    // on a convex rising function from above falls monotonically to the root.
    let mut r = dilution.powf(1.0 / f64::from(stages));
    for _ in 0..200 {
        let (mut value, mut slope) = (1.0, 0.0);
        for _ in 0..stages {
            slope = slope * r + value;
            value = value * r + 1.0;
        }
        let step = (value - dilution) / slope;
        r = (r - step).max(0.0);
        if step.abs() <= 1e-14 * (1.0 + r) {
            break;
        }
    }
    Some(r)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The closed form of the geometric series (textbook), and the sum of ones at r = 1.
    #[test]
    fn terms_add_up_to_the_dilution_and_to_the_closed_form() {
        for stages in 1..=5 {
            for ratio in [0.5, 2.0, 19.8, 100.0_f64] {
                let sum: f64 = counterflow_terms(ratio, stages).sum();
                let power = i32::try_from(stages).unwrap() + 1;
                let closed = (ratio.powi(power) - 1.0) / (ratio - 1.0);
                assert!((sum / closed - 1.0).abs() < 1e-12);
                assert!((counterflow_dilution(ratio, stages) / closed - 1.0).abs() < 1e-12);
            }
        }
        let ones: Vec<f64> = counterflow_terms(1.0, 3).collect();
        assert_eq!(ones, vec![1.0; 4]);
        assert_eq!(counterflow_terms(7.0, 0).sum::<f64>(), 1.0);
    }
}
