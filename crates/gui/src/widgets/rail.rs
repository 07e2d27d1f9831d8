//! The way that a lever's handle can go.

use dragback_units::Dim;

use crate::document::Lever;

/// A stretch of values, even in differences or in ratios.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rail {
    /// Lower end, SI.
    pub low: f64,
    /// Upper end, SI.
    pub high: f64,
    /// Equal ways are equal ratios.
    pub is_log: bool,
}

/// Ratio of the ends from which on a rail is even in ratios.
const LOG_FROM: f64 = 4.0;
/// Room beside a temperature, K.
const TEMPERATURE_ROOM: f64 = 5.0;

impl Rail {
    /// The usual range, the value of the file and that of the last edit, with some room beyond, as far as it is allowed.
    #[must_use]
    pub fn of(lever: &Lever) -> Self {
        let is_temperature = matches!(lever.dim, Dim::Temperature | Dim::TemperatureDifference);
        let known = lever.usual.unwrap_or((lever.file_si, lever.file_si));
        let usual = (known.0.min(lever.edited_si), known.1.max(lever.edited_si));
        if !is_temperature && lever.dim != Dim::Count {
            let positive = |v: &f64| *v > 0.0 && v.is_finite();
            let least = [usual.0, 0.4 * lever.file_si].into_iter().filter(positive);
            let most = [usual.1, 2.5 * lever.file_si].into_iter().filter(positive);
            let low = least.fold(f64::INFINITY, f64::min).max(lever.allowed.0);
            let high = most.fold(0.0, f64::max).min(lever.allowed.1);
            let counts_from_nothing = usual.0 <= 0.0 || lever.file_si <= 0.0;
            if low > 0.0 && high > LOG_FROM * low && !counts_from_nothing {
                return Self {
                    low,
                    high,
                    is_log: true,
                };
            }
        }
        Self::even(lever, usual, is_temperature)
    }

    fn even(lever: &Lever, usual: (f64, f64), is_temperature: bool) -> Self {
        let room = if is_temperature {
            TEMPERATURE_ROOM
        } else {
            0.25 * (usual.1 - usual.0).max(lever.file_si.abs())
        };
        let low = usual.0.min(lever.file_si - room);
        let low = if low < 0.0 && usual.0 >= 0.0 {
            0.0
        } else {
            low
        };
        let (low, high) = (
            low.max(lever.allowed.0),
            usual.1.max(lever.file_si + room).min(lever.allowed.1),
        );
        let is_good = low.is_finite() && high.is_finite() && high > low;
        Self {
            low: if is_good { low } else { 0.0 },
            high: if is_good { high } else { 1.0 },
            is_log: false,
        }
    }

    /// Where a value stands, 0 at the lower end, 1 at the upper one; values beyond stand at the ends.
    #[must_use]
    pub fn share(&self, si: f64) -> f64 {
        let share = if self.is_log {
            (si / self.low).ln() / (self.high / self.low).ln()
        } else {
            (si - self.low) / (self.high - self.low)
        };
        if share.is_finite() {
            share.clamp(0.0, 1.0)
        } else {
            0.0
        }
    }

    /// The value at a share of the way, SI.
    #[must_use]
    pub fn value(&self, share: f64) -> f64 {
        if self.is_log {
            self.low * (self.high / self.low).powf(share)
        } else {
            self.low + share * (self.high - self.low)
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::document::{Begun, Group};

    pub fn lever(dim: Dim, usual: (f64, f64), file_si: f64, allowed: (f64, f64)) -> Lever {
        Lever {
            role: None,
            name: String::new(),
            short: String::new(),
            group: Group::Other,
            path: "loop.x".to_owned(),
            dim,
            si: file_si,
            file_si,
            edited_si: file_si,
            begun: Begun::File,
            has_new_origin: false,
            begun_origin: None,
            clock: None,
            text: String::new(),
            allowed,
            usual: Some(usual),
            hint: "",
            origin: None,
            is_given: true,
            suits: true,
        }
    }

    fn ends(dim: Dim, usual: (f64, f64), file_si: f64, allowed: (f64, f64)) -> (f64, f64, bool) {
        let rail = Rail::of(&lever(dim, usual, file_si, allowed));
        (rail.low, rail.high, rail.is_log)
    }

    #[test]
    fn the_rail_holds_the_usual_range_and_the_file_within_what_is_allowed() {
        let power = |usual, file, allowed| ends(Dim::Power, usual, file, allowed);
        assert_eq!(power((10e3, 300e3), 54e3, (0.0, 1e7)), (10e3, 300e3, true));
        assert_eq!(power((10e3, 300e3), 5e3, (4e3, 1e7)), (4e3, 300e3, true));
        assert_eq!(power((10e3, 300e3), 500e3, (0.0, 1e6)), (10e3, 1e6, true));
        let (low, high, _) = power((0.0, 0.0), 0.0, (0.0, 1.0));
        assert!(high > low);
        let warm = ends(Dim::Temperature, (323.15, 343.15), 331.15, (293.15, 363.15));
        assert_eq!(warm, (323.15, 343.15, false));
        let count = ends(Dim::Count, (1.0, 4.0), 3.0, (1.0, 10.0));
        assert_eq!(count, (1.0, 4.0, false));
        let share = ends(Dim::Fraction, (0.0, 1.0), 0.2, (0.0, 1.0));
        assert_eq!(share, (0.0, 1.0, false));
    }

    #[test]
    fn shares_and_values_agree() {
        for (usual, file) in [((10.0, 300.0), 54.0), ((0.0, 5.0), 1.0), ((-4.0, 3.0), 0.0)] {
            let rail = Rail::of(&lever(Dim::Number, usual, file, (-1e9, 1e9)));
            for i in 0..=10 {
                let share = 0.1 * f64::from(i);
                assert!((rail.share(rail.value(share)) - share).abs() < 1e-12);
            }
        }
    }
}
