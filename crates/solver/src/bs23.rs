//! Bogacki–Shampine 3(2) with first-same-as-last and cubic dense output.
//!
//! Chosen because plants switch hundreds of times a week: a one-step method keeps its step size across a switch, and a
//! low order wastes little when a step is cut. The leading entries of the vector are states under error control; the rest
//! are running integrals, updated with the same weights so that linear sums over both stay exact.
//!
//! Source: P. Bogacki, L. F. Shampine, "A 3(2) pair of Runge–Kutta formulas", Appl. Math. Lett. 2 (1989) 321–325.

use thiserror::Error;

/// A system of ordinary differential equations.
pub trait System {
    /// Writes the rate of change of the whole vector. `y` holds at least the states; entries after them may be stale.
    fn rates(&mut self, t: f64, y: &[f64], dy: &mut [f64]);
}

/// Error tolerance: `relative·|y| + absolute[i]` for each state.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerance {
    /// Relative tolerance, dimensionless, above zero.
    pub relative: f64,
    /// Absolute tolerance of each state, in the state's unit.
    pub absolute: Vec<f64>,
}

/// Why no step could be taken.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum StepError {
    /// A state or rate stopped being a number.
    #[error("state {index} is not a number at t = {t} s")]
    NotFinite {
        /// Index of the state.
        index: usize,
        /// Time, s.
        t: f64,
    },
    /// The step had to become shorter than the smallest allowed.
    #[error("the step fell below {smallest} s at t = {t} s; state {index} changes too fast")]
    TooSmall {
        /// Time, s.
        t: f64,
        /// Smallest step allowed, s.
        smallest: f64,
        /// State with the largest error.
        index: usize,
    },
}

/// The integrator's scratch space and step size; holds no plant state.
#[derive(Clone, Debug)]
pub struct Bs23 {
    states: usize,
    k1: Vec<f64>,
    k2: Vec<f64>,
    k3: Vec<f64>,
    k4: Vec<f64>,
    stage: Vec<f64>,
    next: Vec<f64>,
    has_k1: bool,
    /// Step to try next, s.
    pub step_s: f64,
    /// Largest step, s.
    pub largest_s: f64,
    /// Smallest step, s.
    pub smallest_s: f64,
    /// Steps accepted since creation.
    pub accepted: u64,
    /// Steps rejected since creation.
    pub rejected: u64,
}

impl Bs23 {
    /// An integrator for vectors of `len` entries of which the first `states` are under error control.
    #[must_use]
    pub fn new(states: usize, len: usize, first_step_s: f64) -> Self {
        Self {
            states,
            k1: vec![0.0; len],
            k2: vec![0.0; len],
            k3: vec![0.0; len],
            k4: vec![0.0; len],
            stage: vec![0.0; len],
            next: vec![0.0; len],
            has_k1: false,
            step_s: first_step_s,
            largest_s: f64::INFINITY,
            smallest_s: 1.0e-6,
            accepted: 0,
            rejected: 0,
        }
    }

    /// Forgets the stored rate: call after anything but time has changed (a switch, an addition).
    pub fn restart(&mut self) {
        self.has_k1 = false;
    }

    /// Tries steps from `t` until one is accepted that ends at or before `limit`; returns its length.
    ///
    /// The new vector is in [`Bs23::proposal`] until [`Bs23::accept`] or [`Bs23::accept_part`] moves it.
    ///
    /// # Errors
    /// A state that is not a number, or a step below the smallest.
    pub fn propose(
        &mut self,
        system: &mut impl System,
        t: f64,
        limit: f64,
        y: &[f64],
        tolerance: &Tolerance,
    ) -> Result<f64, StepError> {
        if !self.has_k1 {
            system.rates(t, y, &mut self.k1);
            self.has_k1 = true;
        }
        loop {
            let room = limit - t;
            let wanted = self.step_s.min(self.largest_s);
            // A last step that would leave a crumb is stretched or halved instead.
            let h = if wanted >= room {
                room
            } else if wanted > 0.6 * room {
                0.5 * room
            } else {
                wanted
            };
            self.stages(system, t, h, y);
            let (error, worst) = self.error(h, y, tolerance);
            if !error.is_finite() {
                if h <= self.smallest_s {
                    return Err(StepError::NotFinite { index: worst, t });
                }
                self.rejected += 1;
                self.step_s = 0.1 * h;
                continue;
            }
            let factor = if error > 0.0 {
                0.9 * error.powf(-1.0 / 3.0)
            } else {
                5.0
            };
            if error <= 1.0 {
                let grown = h * factor.clamp(0.3, 5.0);
                // A step cut short by the limit says little about the step to try next.
                self.step_s = if h < 0.9 * wanted {
                    grown.max(self.step_s)
                } else {
                    grown
                };
                return Ok(h);
            }
            self.rejected += 1;
            self.step_s = h * factor.clamp(0.1, 0.9);
            if self.step_s < self.smallest_s {
                return Err(StepError::TooSmall {
                    t,
                    smallest: self.smallest_s,
                    index: worst,
                });
            }
        }
    }

    fn stages(&mut self, system: &mut impl System, t: f64, h: f64, y: &[f64]) {
        let n = self.states;
        for i in 0..n {
            self.stage[i] = y[i] + 0.5 * h * self.k1[i];
        }
        system.rates(t + 0.5 * h, &self.stage, &mut self.k2);
        for i in 0..n {
            self.stage[i] = y[i] + 0.75 * h * self.k2[i];
        }
        system.rates(t + 0.75 * h, &self.stage, &mut self.k3);
        let (a, b, c) = (2.0 / 9.0 * h, 1.0 / 3.0 * h, 4.0 / 9.0 * h);
        let rates = self.k1.iter().zip(&self.k2).zip(&self.k3);
        for ((next, y), ((k1, k2), k3)) in self.next.iter_mut().zip(y).zip(rates) {
            *next = y + a * k1 + b * k2 + c * k3;
        }
        system.rates(t + h, &self.next, &mut self.k4);
    }

    fn error(&self, h: f64, y: &[f64], tolerance: &Tolerance) -> (f64, usize) {
        let (mut worst, mut at) = (0.0_f64, 0);
        for i in 0..self.states {
            let e = h
                * (-5.0 / 72.0 * self.k1[i] + self.k2[i] / 12.0 + self.k3[i] / 9.0
                    - self.k4[i] / 8.0);
            let scale =
                tolerance.relative * y[i].abs().max(self.next[i].abs()) + tolerance.absolute[i];
            let ratio = (e / scale).abs();
            if ratio.is_nan() {
                return (f64::NAN, i);
            }
            if ratio > worst {
                (worst, at) = (ratio, i);
            }
        }
        (worst, at)
    }

    /// The vector at the end of the proposed step.
    #[must_use]
    pub fn proposal(&self) -> &[f64] {
        &self.next
    }

    /// Takes the whole proposed step.
    pub fn accept(&mut self, y: &mut [f64]) {
        y.copy_from_slice(&self.next);
        std::mem::swap(&mut self.k1, &mut self.k4);
        self.accepted += 1;
    }

    /// The vector after a share `theta` (0 to 1) of a proposed step of length `h`, by cubic Hermite interpolation.
    pub fn interpolate(&self, y: &[f64], h: f64, theta: f64, out: &mut [f64]) {
        self.interpolate_range(y, h, theta, 0..y.len(), out);
    }

    /// As [`Bs23::interpolate`], for the entries of `range` only; `out` has the length of the range.
    pub fn interpolate_range(
        &self,
        y: &[f64],
        h: f64,
        theta: f64,
        range: std::ops::Range<usize>,
        out: &mut [f64],
    ) {
        let (t2, t3) = (theta * theta, theta * theta * theta);
        let (h01, h10, h11) = (3.0 * t2 - 2.0 * t3, t3 - 2.0 * t2 + theta, t3 - t2);
        let rates = self.k1[range.clone()].iter().zip(&self.k4[range.clone()]);
        let ends = y[range.clone()].iter().zip(&self.next[range]);
        for ((out, (a, b)), (k1, k4)) in out.iter_mut().zip(ends).zip(rates) {
            // What stands still must not move by a rounding: a meter would seem to run.
            *out = a + (h01 * (b - a) + h * (h10 * k1 + h11 * k4));
        }
    }

    /// Takes only a share `theta` of a proposed step of length `h`.
    pub fn accept_part(&mut self, y: &mut [f64], h: f64, theta: f64) {
        let mut out = std::mem::take(&mut self.stage);
        self.interpolate(y, h, theta, &mut out);
        y.copy_from_slice(&out);
        self.stage = out;
        self.has_k1 = false;
        self.accepted += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Linear decay with its integral carried along as an accumulator.
    struct Decay;
    impl System for Decay {
        fn rates(&mut self, _: f64, y: &[f64], dy: &mut [f64]) {
            dy[0] = -0.01 * y[0];
            dy[1] = 0.01 * y[0];
        }
    }

    fn run(relative: f64, until: f64) -> (Vec<f64>, u64) {
        let tol = Tolerance {
            relative,
            absolute: vec![1e-12],
        };
        let mut rk = Bs23::new(1, 2, 1.0);
        let (mut t, mut y) = (0.0, vec![1.0, 0.0]);
        while t < until {
            let h = rk.propose(&mut Decay, t, until, &y, &tol).unwrap();
            rk.accept(&mut y);
            t += h;
        }
        (y, rk.accepted)
    }

    #[test]
    fn matches_the_exponential_and_keeps_the_sum() {
        let (y, _) = run(1e-8, 300.0);
        assert!((y[0] - (-3.0_f64).exp()).abs() < 1e-7);
        assert!(
            (y[0] + y[1] - 1.0).abs() < 1e-14,
            "the sum is a linear invariant"
        );
    }

    #[test]
    fn third_order_costs_ten_times_the_steps_for_a_thousandth_of_the_error() {
        let exact = (-3.0_f64).exp();
        let (coarse, n1) = run(1e-4, 300.0);
        let (fine, n2) = run(1e-7, 300.0);
        let gain = (coarse[0] - exact).abs() / (fine[0] - exact).abs();
        let cost = n2 as f64 / n1 as f64;
        assert!(gain > 300.0, "{gain}");
        assert!((5.0..20.0).contains(&cost), "{cost}");
    }

    #[test]
    fn interpolation_meets_the_exact_curve_within_the_step() {
        let tol = Tolerance {
            relative: 1e-6,
            absolute: vec![1e-12],
        };
        let mut rk = Bs23::new(1, 2, 5.0);
        let y = vec![1.0, 0.0];
        let h = rk.propose(&mut Decay, 0.0, 100.0, &y, &tol).unwrap();
        let mut mid = vec![0.0; 2];
        rk.interpolate(&y, h, 0.4, &mut mid);
        assert!((mid[0] - (-0.01 * 0.4 * h).exp()).abs() < 1e-6);
    }

    #[test]
    fn what_stands_still_keeps_its_last_digit_between_the_ends_of_a_step() {
        struct Rest;
        impl System for Rest {
            fn rates(&mut self, _: f64, _: &[f64], dy: &mut [f64]) {
                dy.fill(0.0);
            }
        }
        let tol = Tolerance {
            relative: 1e-6,
            absolute: vec![1e-12],
        };
        let mut rk = Bs23::new(1, 1, 5.0);
        let y = [0.1 + 0.2];
        let h = rk.propose(&mut Rest, 0.0, 100.0, &y, &tol).unwrap();
        for i in 0..1000_i32 {
            let mut out = [0.0];
            rk.interpolate(&y, h, f64::from(i) / 1000.0, &mut out);
            assert_eq!(out[0].to_bits(), y[0].to_bits(), "{i}");
        }
    }

    #[test]
    fn a_state_that_is_not_a_number_is_named() {
        struct Bad;
        impl System for Bad {
            fn rates(&mut self, _: f64, _: &[f64], dy: &mut [f64]) {
                dy.fill(f64::NAN);
            }
        }
        let tol = Tolerance {
            relative: 1e-6,
            absolute: vec![1e-9],
        };
        let mut rk = Bs23::new(1, 1, 1.0);
        let failed = rk.propose(&mut Bad, 0.0, 10.0, &[1.0], &tol);
        assert!(matches!(failed, Err(StepError::NotFinite { index: 0, .. })));
    }
}
