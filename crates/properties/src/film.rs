//! The film that work drags out of a tank: how it drains, how much it is, how to measure it.
//!
//! # Measuring
//! A still rinse (or a running rinse with its water shut) of volume V is dosed by the film: after N loads
//! that each bring d of solution at `c_bath` and take d of rinse away,
//! `(c_bath − c_N)/(c_bath − c_start) = (V/(V + d))^N`. Solved for d this gives the drag-out exactly. The linear
//! form `d = V·Δc/(N·c_bath)` is allowed only while the rinse stays below 2 % of the bath.

use thiserror::Error;

use crate::amount::{Amount, told_in_metric};

#[cfg(test)]
mod tests;

/// How the film on work thins while it hangs over the tank:
/// `f(t) = f∞ + (f0 − f∞)·exp(−t/τ)`.
///
/// The form is that of the drain curves in the EPA-grant rinsing manual (appendix D: a part that drains away
/// exponentially and a part that never does); the default numbers are from memory, to be replaced by a
/// shop's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrainCurve {
    /// Share of the initial film that never drains, f∞/f0 (–), 0 to 1.
    pub undrained_share: f64,
    /// Time constant τ (s), > 0.
    pub time_constant_s: f64,
}

impl Default for DrainCurve {
    /// f∞/f0 = 0.3 and τ = 5 s (from memory). Draining 10 s instead of 3 s then cuts the film by 42 %.
    fn default() -> Self {
        Self {
            undrained_share: 0.3,
            time_constant_s: 5.0,
        }
    }
}

impl DrainCurve {
    /// Film after draining for `drain_s` (s) over the film at the start, f(t)/f0 (–). Times below 0 count as 0.
    #[must_use]
    pub fn share_left(&self, drain_s: f64) -> f64 {
        let decay = (-drain_s.max(0.0) / self.time_constant_s).exp();
        self.undrained_share + (1.0 - self.undrained_share) * decay
    }

    /// Factor by which the film changes when work drains `drain_s` instead of `reference_s` (–).
    ///
    /// A film given as measured belongs to the drain time it was measured at, the reference.
    #[must_use]
    pub fn factor(&self, drain_s: f64, reference_s: f64) -> f64 {
        let reference = self.share_left(reference_s);
        if reference > 0.0 {
            self.share_left(drain_s) / reference
        } else {
            1.0
        }
    }
}

/// One row of the classic drag-out table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmHint {
    /// Kind of work and draining, for people.
    pub work: &'static str,
    /// Lowest film (m³/m² of plated area); 1e-3 m³/m² = 1 L/m².
    pub low_m3_per_m2: f64,
    /// Highest film (m³/m²); equal to the lowest where the table gives one value.
    pub high_m3_per_m2: f64,
}

const fn hint(work: &'static str, low_l_per_m2: f64, high_l_per_m2: f64) -> FilmHint {
    FilmHint {
        work,
        low_m3_per_m2: low_l_per_m2 * 1e-3,
        high_m3_per_m2: high_l_per_m2 * 1e-3,
    }
}

/// Film by kind of work: hints for someone who has not measured.
///
/// The first six rows are the classic table of the 1930s, repeated in EPA reports and handbooks (0.4 to
/// 24 gal/1000 ft²); the last two are general practice. All from memory, the last two with little confidence.
pub static FILM_HINTS: &[FilmHint] = &[
    hint("vertical, well drained", 0.016, 0.016),
    hint("vertical, poorly drained", 0.08, 0.08),
    hint("vertical, very poorly drained", 0.16, 0.16),
    hint("horizontal, well drained", 0.03, 0.03),
    hint("horizontal, very poorly drained", 0.4, 0.4),
    hint("cup shapes, very poorly drained", 0.33, 0.98),
    hint("rack work, planning range", 0.05, 0.2),
    hint("barrel work, planning range", 0.2, 0.5),
];

/// Share of bath strength below which the linear form is allowed.
pub const LINEAR_LIMIT: f64 = 0.02;

/// A rise measured in a still or shut rinse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredRise {
    /// Liquid in the rinse tank (m³), > 0.
    pub tank_m3: f64,
    /// Concentration in the rinse before the first load (kg/m³), ≥ 0. 0 for a fresh still rinse; for a
    /// running rinse whose water was shut, what it held then.
    pub start_kg_per_m3: f64,
    /// Rise over the loads (kg/m³), > 0.
    pub rise_kg_per_m3: f64,
    /// Concentration of the solution the film comes from (kg/m³), > start + rise.
    pub bath_kg_per_m3: f64,
    /// Loads (racks, barrels) rinsed, > 0.
    pub loads: f64,
}

/// Relative uncertainties of the inputs, each as the half-width of the same coverage (say 95 %) (–).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RelativeUncertainty {
    /// Of the tank volume.
    pub tank: f64,
    /// Of the rise.
    pub rise: f64,
    /// Of the bath concentration.
    pub bath: f64,
    /// Of the number of loads.
    pub loads: f64,
}

impl Default for RelativeUncertainty {
    /// 5 % of volume, 5 % of rise and 3 % of bath by ordinary titration, loads counted exactly (practice, from
    /// memory).
    fn default() -> Self {
        Self {
            tank: 0.05,
            rise: 0.05,
            bath: 0.03,
            loads: 0.0,
        }
    }
}

/// Drag-out per load with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DragOut {
    /// Best value (m³ per load).
    pub m3_per_load: f64,
    /// Low end (m³ per load), by the combined uncertainty of the inputs.
    pub low_m3_per_load: f64,
    /// High end (m³ per load).
    pub high_m3_per_load: f64,
    /// Combined relative uncertainty (–), with the coverage of the inputs.
    pub relative_uncertainty: f64,
}

/// Most loads of one measurement (–).
pub const MOST_LOADS: f64 = 1e6;
/// Above this a share of the value says less than a factor, by which it may be more or less.
const FEW: f64 = 0.3;

/// Why a measured rise gives no drag-out.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum RiseError {
    /// An input is not a positive number.
    NotPositive {
        /// The input.
        field: &'static str,
        /// Its value.
        value: Amount,
    },
    /// The starting concentration or an uncertainty is negative or not a number.
    Negative {
        /// The input.
        field: &'static str,
        /// Its value.
        value: Amount,
    },
    /// The rinse ended at or above the bath.
    RiseReachesBath {
        /// Start plus rise (kg/m³).
        end_kg_per_m3: f64,
        /// Bath (kg/m³).
        bath_kg_per_m3: f64,
    },
    /// More loads than anyone counts between two analyses.
    TooManyLoads {
        /// The number (–), above [`MOST_LOADS`].
        loads: f64,
    },
    /// The rinse ended so near the bath that the analyses do not tell them apart.
    TooNearBath {
        /// Start plus rise (kg/m³).
        end_kg_per_m3: f64,
        /// Bath (kg/m³).
        bath_kg_per_m3: f64,
        /// Uncertainty of the difference (kg/m³).
        uncertain_kg_per_m3: f64,
    },
    /// The linear form was asked for outside its range.
    LinearOutOfRange {
        /// End concentration over bath (–), above [`LINEAR_LIMIT`].
        share: f64,
    },
}

impl RiseError {
    /// What is wrong; `write` writes a number with its unit.
    pub fn words(&self, write: &dyn Fn(Amount) -> String) -> String {
        match *self {
            Self::NotPositive { field, value } => {
                format!("{field} is {}; it must be above 0", write(value))
            }
            Self::Negative { field, value } => {
                format!("{field} is {}; it must be 0 or more", write(value))
            }
            Self::RiseReachesBath {
                end_kg_per_m3,
                bath_kg_per_m3,
            } => format!(
                "the rinse ends at {}, but the bath it comes from holds {}; a rinse stays below its bath, so check the units \
                 of both analyses",
                write(Amount::KgPerM3(end_kg_per_m3)),
                write(Amount::KgPerM3(bath_kg_per_m3))
            ),
            Self::TooManyLoads { loads } => format!(
                "number of loads is {}; up to {} is allowed, so count the loads between the two analyses",
                write(Amount::Number(loads)),
                write(Amount::Number(MOST_LOADS))
            ),
            Self::TooNearBath {
                end_kg_per_m3,
                bath_kg_per_m3,
                uncertain_kg_per_m3,
            } => format!(
                "the rinse ends at {} and the bath holds {}; analyses that may be off by {} together do not tell them apart, so \
                 measure over fewer loads or in a larger tank",
                write(Amount::KgPerM3(end_kg_per_m3)),
                write(Amount::KgPerM3(bath_kg_per_m3)),
                write(Amount::KgPerM3(uncertain_kg_per_m3))
            ),
            Self::LinearOutOfRange { share } => format!(
                "the rinse ends at {} of the bath; the linear form holds below {}, use the exact build-up",
                write(Amount::Share(share)),
                write(Amount::Share(LINEAR_LIMIT))
            ),
        }
    }
}

told_in_metric!(RiseError);

impl MeasuredRise {
    /// Drag-out per load (m³) by the exact build-up:
    /// `d = V·([(c_bath − c_start)/(c_bath − c_N)]^(1/N) − 1)`.
    ///
    /// # Errors
    /// An input that is not positive (the start may be 0), more loads than [`MOST_LOADS`], or a rinse that ends at or above the bath.
    pub fn drag_out_m3_per_load(&self) -> Result<f64, RiseError> {
        self.check()?;
        Ok(self.exact())
    }

    /// Drag-out per load (m³) by the linear form `V·Δc/(N·c_bath)`.
    ///
    /// # Errors
    /// As [`Self::drag_out_m3_per_load`], and when the rinse ends above [`LINEAR_LIMIT`] of the bath.
    pub fn linear_drag_out_m3_per_load(&self) -> Result<f64, RiseError> {
        self.check()?;
        let share = (self.start_kg_per_m3 + self.rise_kg_per_m3) / self.bath_kg_per_m3;
        if share > LINEAR_LIMIT {
            return Err(RiseError::LinearOutOfRange { share });
        }
        Ok(self.tank_m3 * self.rise_kg_per_m3 / (self.loads * self.bath_kg_per_m3))
    }

    /// Drag-out per load with its range.
    ///
    /// First-order propagation: `u² = Σ (∂ln d/∂ln x·u_x)²`, the derivatives in closed form; the range is
    /// `d·exp(±u)`, which stays positive.
    ///
    /// # Errors
    /// As [`Self::drag_out_m3_per_load`], a negative uncertainty, and a rinse that ends nearer the bath than the analyses tell.
    pub fn drag_out(&self, uncertainty: &RelativeUncertainty) -> Result<DragOut, RiseError> {
        self.check()?;
        for (field, value) in [
            ("uncertainty of the tank volume", uncertainty.tank),
            ("uncertainty of the rise", uncertainty.rise),
            ("uncertainty of the bath", uncertainty.bath),
            ("uncertainty of the loads", uncertainty.loads),
        ] {
            if !(value >= 0.0 && value.is_finite()) {
                let value = Amount::Share(value);
                return Err(RiseError::Negative { field, value });
            }
        }
        let d = self.exact();
        let end_gap = self.bath_kg_per_m3 - self.start_kg_per_m3 - self.rise_kg_per_m3;
        let off_kg_per_m3 =
            (self.rise_kg_per_m3 * uncertainty.rise).hypot(self.bath_kg_per_m3 * uncertainty.bath);
        if end_gap <= off_kg_per_m3 {
            return Err(RiseError::TooNearBath {
                end_kg_per_m3: self.start_kg_per_m3 + self.rise_kg_per_m3,
                bath_kg_per_m3: self.bath_kg_per_m3,
                uncertain_kg_per_m3: off_kg_per_m3,
            });
        }
        let start_gap = self.bath_kg_per_m3 - self.start_kg_per_m3;
        // With L = ln(start gap/end gap)/N, d = V·(e^L − 1), so dln d = dln V + e^L/(e^L − 1)·dL.
        let per_load = (start_gap / end_gap).ln() / self.loads;
        let gain = per_load.exp() / per_load.exp_m1();
        let sensitivities = [
            (1.0, uncertainty.tank),
            (
                gain * self.rise_kg_per_m3 / (end_gap * self.loads),
                uncertainty.rise,
            ),
            (
                gain * self.bath_kg_per_m3 * (1.0 / start_gap - 1.0 / end_gap) / self.loads,
                uncertainty.bath,
            ),
            (-gain * per_load, uncertainty.loads),
        ];
        let u = sensitivities
            .iter()
            .map(|(s, u)| (s * u).powi(2))
            .sum::<f64>()
            .sqrt();
        Ok(DragOut {
            m3_per_load: d,
            low_m3_per_load: d * (-u).exp(),
            high_m3_per_load: d * u.exp(),
            relative_uncertainty: u,
        })
    }

    fn exact(&self) -> f64 {
        let end_gap = self.bath_kg_per_m3 - self.start_kg_per_m3 - self.rise_kg_per_m3;
        // ln((c_bath − c_start)/(c_bath − c_N)) = ln(1 + rise/gap), exact for small rises too.
        self.tank_m3 * ((self.rise_kg_per_m3 / end_gap).ln_1p() / self.loads).exp_m1()
    }

    fn check(&self) -> Result<(), RiseError> {
        let strength = Amount::KgPerM3;
        positive("tank volume", Amount::M3, self.tank_m3)?;
        positive("rise", strength, self.rise_kg_per_m3)?;
        positive("bath concentration", strength, self.bath_kg_per_m3)?;
        positive("number of loads", Amount::Number, self.loads)?;
        if self.loads > MOST_LOADS {
            return Err(RiseError::TooManyLoads { loads: self.loads });
        }
        if !(self.start_kg_per_m3 >= 0.0 && self.start_kg_per_m3.is_finite()) {
            let field = "starting concentration";
            let value = strength(self.start_kg_per_m3);
            return Err(RiseError::Negative { field, value });
        }
        let end_kg_per_m3 = self.start_kg_per_m3 + self.rise_kg_per_m3;
        if end_kg_per_m3 >= self.bath_kg_per_m3 {
            let bath_kg_per_m3 = self.bath_kg_per_m3;
            return Err(RiseError::RiseReachesBath {
                end_kg_per_m3,
                bath_kg_per_m3,
            });
        }
        Ok(())
    }
}

/// Refuses a value that is no number above 0; `of` says what it measures.
///
/// # Errors
/// [`RiseError::NotPositive`].
pub fn positive(field: &'static str, of: fn(f64) -> Amount, value: f64) -> Result<(), RiseError> {
    if value > 0.0 && value.is_finite() {
        return Ok(());
    }
    let value = of(value);
    Err(RiseError::NotPositive { field, value })
}

impl DragOut {
    /// How well it is known, in words: as a share where that is small, else as the factor by which it may be more or less.
    #[must_use]
    pub fn known_within(&self) -> String {
        let share = self.relative_uncertainty;
        if share > FEW {
            format!("a factor of {:.1}", share.exp())
        } else {
            format!("± {:.1} %", 100.0 * share)
        }
    }

    /// The same as film (m³/m²) on work of `area_m2` per load; `None` unless the area is positive.
    #[must_use]
    pub fn per_area(&self, area_m2: f64) -> Option<FilmEstimate> {
        (area_m2 > 0.0 && area_m2.is_finite()).then(|| FilmEstimate {
            m3_per_m2: self.m3_per_load / area_m2,
            low_m3_per_m2: self.low_m3_per_load / area_m2,
            high_m3_per_m2: self.high_m3_per_load / area_m2,
        })
    }
}

/// Film per area with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmEstimate {
    /// Best value (m³/m²); 1e-3 m³/m² = 1 L/m².
    pub m3_per_m2: f64,
    /// Low end (m³/m²).
    pub low_m3_per_m2: f64,
    /// High end (m³/m²).
    pub high_m3_per_m2: f64,
}
