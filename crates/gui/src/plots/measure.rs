//! How values become heights on an axis and words beside it.

use dragback_study::curves::Kind;
use dragback_units::{Dim, Style, System};

use super::{marks, round_step};
use crate::number::{joined, strength, three};

/// How values of a plot become heights and words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// What is plotted.
    pub kind: Kind,
    /// Units.
    pub system: System,
}

/// Strengths below this are drawn at the foot of a log axis, kg/m³.
const LEAST_STRENGTH: f64 = 1.0e-8;

impl Measure {
    const fn dim(self) -> Dim {
        match self.kind {
            Kind::Concentration => Dim::Concentration,
            Kind::Level => Dim::Length,
            Kind::Temperature => Dim::Temperature,
            Kind::Evaporation => Dim::VolumeFlow,
        }
    }

    pub(super) const fn is_log(self) -> bool {
        matches!(self.kind, Kind::Concentration)
    }

    /// Height at which an SI value is drawn: the value in its unit, or the logarithm of mg/L.
    #[must_use]
    pub fn height(self, si: f64) -> f64 {
        if self.is_log() {
            (1000.0 * si.max(LEAST_STRENGTH)).log10()
        } else {
            self.dim()
                .display_unit(self.system, Style::Default)
                .from_si(si)
        }
    }

    /// An SI value in words.
    #[must_use]
    pub fn words(self, si: f64) -> String {
        if self.is_log() {
            return joined(strength(si, self.system));
        }
        let unit = self.dim().display_unit(self.system, Style::Default);
        joined((three(unit.from_si(si), 2), unit.symbol))
    }

    /// Title, with the unit of the axis.
    #[must_use]
    pub fn title(self, lead: &str) -> String {
        let unit = self.dim().display_unit(self.system, Style::Default).symbol;
        match self.kind {
            Kind::Concentration => format!("{lead} in each tank, log scale"),
            Kind::Level => format!("Levels, {unit}"),
            Kind::Temperature => format!("Temperatures, {unit}"),
            Kind::Evaporation => format!("Evaporation against rinse feed, {unit}"),
        }
    }

    /// Words at a mark; `step` parts the marks, so that all of an axis have the same decimals.
    pub(super) fn mark_words(self, height: f64, step: f64) -> String {
        if !self.is_log() {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to 9"
            )]
            let decimals = (-step.log10() - 1e-9).ceil().clamp(0.0, 9.0) as usize;
            return format!("{height:.decimals$}").replace('-', "−");
        }
        let mg_per_l = 10_f64.powf(height);
        match self.system {
            System::Metric if mg_per_l > 999.0 => format!("{} g/L", tidy(mg_per_l / 1000.0)),
            _ => format!("{} mg/L", tidy(mg_per_l)),
        }
    }

    pub(super) fn y_marks(self, (low, high): (f64, f64), height_px: f32) -> Vec<f64> {
        if self.is_log() {
            let step = ((high - low) / f64::from(height_px / 22.0).max(1.0))
                .ceil()
                .max(1.0);
            return marks((low, high), step);
        }
        marks(
            (low, high),
            round_step(high - low, f64::from(height_px / 40.0).clamp(2.0, 8.0)),
        )
    }
}

/// A round number without noise in its last place.
pub(super) fn tidy(value: f64) -> String {
    let rounded: f64 = format!("{value:.6e}").parse().unwrap_or(value);
    format!("{rounded}").replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_said_in_the_unit_that_suits_them() {
        let metric = Measure {
            kind: Kind::Concentration,
            system: System::Metric,
        };
        assert_eq!(metric.words(0.0092), "9.20\u{a0}mg/L");
        assert_eq!(metric.mark_words(4.0, 1.0), "10 g/L");
        assert_eq!(metric.mark_words(-1.0, 1.0), "0.1 mg/L");
        let us = Measure {
            kind: Kind::Temperature,
            system: System::Us,
        };
        assert_eq!(us.words(344.261_111), "160\u{a0}°F");
        assert!((us.height(344.261_111) - 160.0).abs() < 1e-3);
    }
}
