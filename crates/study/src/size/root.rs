//! The search for a flow.

/// A flow known to this share is known.
pub(super) const KNOWN: f64 = 0.002;

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

    pub(super) fn next(&self, miss: f64) -> f64 {
        self.at + miss / self.slope
    }

    pub(super) fn is_near(&self, miss: f64) -> bool {
        (miss / self.slope).abs() < KNOWN
    }

    pub(super) fn go(&mut self, miss: f64) {
        if let Some((x, f)) = self.last
            && (self.at - x).abs() > 1e-6
        {
            self.slope = ((f - miss) / (self.at - x)).clamp(0.15, self.steepest);
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
        self.at = if to <= self.low || to >= self.high {
            if self.low.is_finite() && self.high.is_finite() && self.low < self.high {
                0.5 * (self.low + self.high)
            } else {
                to
            }
        } else {
            to
        };
    }
}
