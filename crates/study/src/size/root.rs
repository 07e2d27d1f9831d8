//! The search for a flow.

/// A flow known to this share is known: a last step by the slope leaves a hundredth of it.
pub(super) const KNOWN: f64 = 0.005;

/// Least slope that is believed: where the film hardly falls with the flow, two of its values say little.
pub(super) const LEAST_SLOPE: f64 = 0.15;

/// The search for the root of log film over log flow, which falls about as steeply as there are stages.
pub(super) struct Root {
    pub at: f64,
    pub slope: f64,
    steepest: f64,
    last: Option<(f64, f64)>,
    /// Flows known to be too small and large enough.
    low: f64,
    high: f64,
}

impl Root {
    pub(super) const fn new(at: f64, stages: f64) -> Self {
        Self {
            at,
            slope: stages,
            steepest: stages + 1.0,
            last: None,
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
        }
    }

    /// Forgets what was found with other equipment.
    pub(super) const fn reset(&mut self) {
        *self = Self::new(self.at, self.steepest - 1.0);
    }

    /// Whether a miss is so small that the flow is known, or the film jumps just below a flow that is enough.
    pub(super) fn is_found(&self, miss: f64) -> bool {
        (miss / self.slope).abs() < KNOWN || self.is_at_jump(miss)
    }

    fn is_at_jump(&self, miss: f64) -> bool {
        miss <= 0.0 && self.at - self.low < KNOWN
    }

    /// The flow that is known.
    pub(super) fn found(&self, miss: f64) -> f64 {
        if (miss / self.slope).abs() < KNOWN {
            self.at + miss / self.slope
        } else {
            self.at
        }
    }

    /// Goes on to the next flow.
    pub(super) fn go(&mut self, miss: f64) {
        if let Some((x, f)) = self.last
            && (self.at - x).abs() > 1e-6
        {
            self.slope = ((f - miss) / (self.at - x)).clamp(LEAST_SLOPE, self.steepest);
        }
        self.last = Some((self.at, miss));
        if miss > 0.0 {
            self.low = self.low.max(self.at);
        } else {
            self.high = self.high.min(self.at);
        }
        let step = (miss / self.slope).clamp(-1.2, 1.2);
        let to = self.at + step;
        // A step out of what encloses the root is halved into it.
        let is_enclosed = self.low.is_finite() && self.high.is_finite() && self.low < self.high;
        let is_out = to <= self.low || to >= self.high;
        self.at = if is_out && is_enclosed {
            let middle = 0.5 * (self.low + self.high);
            // Where the film jumps, what is enough is looked at once more.
            if self.high - self.low < KNOWN {
                self.high
            } else {
                middle
            }
        } else {
            to
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Flows tried until one is known, and that flow.
    fn tried(film: impl Fn(f64) -> f64, from: f64) -> (usize, f64) {
        let mut root = Root::new(from, 3.0);
        for n in 1..40 {
            let miss = film(root.at);
            if root.is_found(miss) {
                return (n, root.found(miss));
            }
            root.go(miss);
        }
        (usize::MAX, f64::NAN)
    }

    #[test]
    fn a_film_that_falls_as_the_stages_say_is_found_at_once() {
        let (weeks, at) = tried(|x| 3.0 * (2.0 - x), 1.7);
        assert!(weeks == 2 && (at - 2.0).abs() < 1e-9, "{weeks} {at}");
        let (weeks, at) = tried(|x| 2.0 * (2.0 - x) + 0.3 * (2.0 - x).powi(2), 1.5);
        assert!(weeks <= 4 && (at - 2.0).abs() < 1e-4, "{weeks} {at}");
    }

    /// Where the film falls by a step there is no flow at which it is just right: the least that is enough is.
    #[test]
    fn a_step_of_the_film_is_found_from_above() {
        let (weeks, at) = tried(|x| if x < 2.0 { 0.4 } else { -0.3 }, 1.2);
        assert!(weeks < 14, "{weeks}");
        assert!((2.0..2.0 + KNOWN).contains(&at), "{at}");
    }
}
