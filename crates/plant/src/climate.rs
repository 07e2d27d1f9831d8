//! Room and outside air through the year.

use dragback_properties::air::AirState;

use crate::calendar::{MONTH_S, YEAR_S};

/// A body of air: constant, or month by month.
#[derive(Clone, Debug, PartialEq)]
pub struct Climate {
    /// Name that people use: `room`, `outside`.
    pub name: String,
    /// The air of each month, January first; one entry when it is constant.
    pub months: Vec<AirState>,
    /// Month (0 = January) in which time zero falls.
    pub start_month: usize,
}

/// Which air a run sees.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum AirChoice {
    /// Month by month as time passes.
    #[default]
    Calendar,
    /// One month (0 = January) throughout.
    Month(usize),
    /// The mean of the year's temperature and humidity ratio.
    Mean,
}

/// Number under which an air condition is kept: months 0–11, then the mean.
pub const MEAN_SLOT: usize = 12;

impl AirChoice {
    /// The slot in force at `t_s`, for air that starts in `start_month`.
    #[must_use]
    pub fn slot(self, t_s: f64, start_month: usize) -> usize {
        match self {
            Self::Month(m) => m % 12,
            Self::Mean => MEAN_SLOT,
            Self::Calendar => {
                let passed = (t_s.rem_euclid(YEAR_S) / MONTH_S).floor();
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "0 to 11"
                )]
                let passed = passed as usize;
                (start_month + passed) % 12
            }
        }
    }

    /// Next time at which the slot changes, s.
    #[must_use]
    pub fn next_change_s(self, t_s: f64) -> f64 {
        match self {
            Self::Calendar => ((t_s / MONTH_S).floor() + 1.0) * MONTH_S,
            _ => f64::INFINITY,
        }
    }
}

impl Climate {
    /// Whether every month is alike.
    #[must_use]
    pub fn is_constant(&self) -> bool {
        self.months.len() < 2
    }

    /// The air in `slot` (see [`MEAN_SLOT`]).
    #[must_use]
    pub fn air(&self, slot: usize) -> AirState {
        if slot == MEAN_SLOT || self.is_constant() {
            return self.mean();
        }
        self.months[slot % self.months.len()]
    }

    /// Mean of temperature and humidity ratio over the months.
    #[must_use]
    pub fn mean(&self) -> AirState {
        #[expect(clippy::cast_precision_loss, reason = "at most twelve")]
        let n = self.months.len().max(1) as f64;
        let first = self.months[0];
        AirState {
            temp_c: self.months.iter().map(|a| a.temp_c).sum::<f64>() / n,
            humidity_ratio: self.months.iter().map(|a| a.humidity_ratio).sum::<f64>() / n,
            pressure_pa: first.pressure_pa,
        }
    }
}
