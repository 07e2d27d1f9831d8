//! How values become heights on an axis and words beside it.

use dragback_study::curves::Kind;
use dragback_units::{Dim, Style, System, Unit};

use super::{marks, round_step};
use dragback_units::digits::{amount, amount_unit, joined, significant, strength, three};

/// How values of a plot become heights and words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// What is plotted.
    pub kind: Kind,
    /// Units.
    pub system: System,
    /// Mass as which a unit mass of the lead solute is told, kg/kg: 1 for itself, more for a salt of it.
    pub per_solute: f64,
}

/// Strengths below this are drawn at the foot of a log axis, kg/m³.
const LEAST_STRENGTH: f64 = 1.0e-8;

/// Amounts below this are drawn at the foot of a log axis, kg.
const LEAST_AMOUNT_KG: f64 = 1.0e-6;

impl Measure {
    /// In some units, the lead solute told as itself.
    #[must_use]
    pub const fn of(kind: Kind, system: System) -> Self {
        Self {
            kind,
            system,
            per_solute: 1.0,
        }
    }

    /// An SI value as it is told: strengths of the lead solute as what stands for it.
    fn told(self, si: f64) -> f64 {
        if self.is_strength() {
            si * self.per_solute
        } else {
            si
        }
    }

    /// Whether its values are strengths of the lead solute.
    pub const fn is_strength(self) -> bool {
        matches!(self.kind, Kind::Concentration | Kind::Strength)
    }

    const fn dim(self) -> Dim {
        match self.kind {
            Kind::Concentration | Kind::Strength => Dim::Concentration,
            Kind::Level => Dim::Length,
            Kind::Temperature => Dim::Temperature,
            Kind::Evaporation | Kind::Treatment => Dim::VolumeFlow,
            Kind::Heat => Dim::Power,
            Kind::Impurity => Dim::Fraction,
            Kind::Loss => Dim::Mass,
        }
    }

    /// Whether its axis is logarithmic.
    #[must_use]
    pub const fn is_log(self) -> bool {
        matches!(self.kind, Kind::Concentration | Kind::Loss)
    }

    /// Whether its values are means over some hours rather than states.
    pub const fn is_flow(self) -> bool {
        matches!(self.kind, Kind::Evaporation | Kind::Heat | Kind::Treatment)
    }

    /// Whether it is read from nothing upwards.
    pub const fn is_from_zero(self) -> bool {
        self.is_flow() || matches!(self.kind, Kind::Level | Kind::Impurity | Kind::Strength)
    }

    fn unit(self) -> &'static Unit {
        let style = match self.kind {
            Kind::Strength => Style::Bath,
            _ => Style::Default,
        };
        self.dim().display_unit(self.system, style)
    }

    /// The one unit of a whole table of such values, where an axis or a word may choose among several.
    #[must_use]
    pub fn table_unit(self) -> &'static Unit {
        match self.kind {
            Kind::Concentration => self.dim().display_unit(self.system, Style::Rinse),
            _ => self.unit(),
        }
    }

    /// That unit in words.
    #[must_use]
    pub fn table_unit_words(self) -> &'static str {
        match self.kind {
            Kind::Impurity => "% of limit",
            _ => self.table_unit().symbol,
        }
    }

    /// An SI value in that unit, as what stands for the lead solute.
    #[must_use]
    pub fn in_table(self, si: f64) -> f64 {
        self.table_unit().from_si(self.told(si))
    }

    /// Height at which an SI value is drawn: the value in its unit, or the logarithm of mg/L, kg or lb.
    #[must_use]
    pub fn height(self, si: f64) -> f64 {
        let si = self.told(si);
        match self.kind {
            Kind::Concentration => (1000.0 * si.max(LEAST_STRENGTH)).log10(),
            Kind::Loss => self.unit().from_si(si.max(LEAST_AMOUNT_KG)).log10(),
            _ => self.unit().from_si(si),
        }
    }

    /// An SI value in words.
    #[must_use]
    pub fn words(self, si: f64) -> String {
        let si = self.told(si);
        match self.kind {
            Kind::Concentration => joined(strength(si, self.system)),
            Kind::Loss => joined(amount(si, self.system)),
            _ => joined((three(self.unit().from_si(si), 2), self.unit().symbol)),
        }
    }

    /// Title, with the unit of the axis.
    #[must_use]
    pub fn title(self, lead: &str) -> String {
        let unit = self.unit().symbol;
        match self.kind {
            Kind::Concentration => format!("{lead} in each tank, log scale"),
            Kind::Level => format!("Levels, {unit}"),
            Kind::Temperature => format!("Temperatures, {unit}"),
            Kind::Evaporation => format!("Evaporation against rinse feed, {unit}"),
            Kind::Strength => format!("{lead} in bath and holding tank, {unit}"),
            Kind::Heat => format!("Heater power, {unit}"),
            Kind::Impurity => "Impurities in the bath, % of limit".to_owned(),
            Kind::Loss => format!("{lead} since the start, log scale"),
            Kind::Treatment => format!("Water to treatment and to the bath, {unit}"),
        }
    }

    /// What stands on the axis: its unit, or that it is one of decades.
    #[must_use]
    pub fn axis_words(self) -> &'static str {
        match self.kind {
            Kind::Concentration | Kind::Loss => "log scale",
            Kind::Impurity => "% of limit",
            _ => self.unit().symbol,
        }
    }

    /// Name in lists, with the unit of the axis: a title for narrow plots.
    pub fn short_title(self) -> String {
        let name = kind_name(self.kind);
        match self.kind {
            Kind::Concentration | Kind::Loss => name.to_owned(),
            Kind::Impurity => format!("{name}, % of limit"),
            _ => format!("{name}, {}", self.unit().symbol),
        }
    }

    /// Words at a mark; `step` parts the marks, so that all of an axis have the same decimals.
    pub fn mark_words(self, height: f64, step: f64) -> String {
        match (self.kind, self.system) {
            (Kind::Concentration, System::Metric) if height > 2.999 => {
                format!("{} g/L", significant(10_f64.powf(height - 3.0), 6))
            }
            (Kind::Concentration, System::Us) if height > OUNCES_FROM => {
                let ounces = Dim::Concentration.display_unit(System::Us, Style::Bath);
                let value = ounces.from_si(1e-3 * 10_f64.powf(height));
                format!("{} {}", significant(value, 3), ounces.symbol)
            }
            (Kind::Concentration, _) => format!("{} mg/L", significant(10_f64.powf(height), 6)),
            // Decades of pounds are no round numbers of ounces.
            (Kind::Loss, System::Us) => format!("{} lb", significant(10_f64.powf(height), 6)),
            (Kind::Loss, system) => {
                let kg = self.unit().to_si(10_f64.powf(height));
                let unit = amount_unit(kg, system);
                format!("{} {}", significant(unit.from_si(kg), 3), unit.symbol)
            }
            _ => {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "0 to 9"
                )]
                let decimals = (-step.log10() - 1e-9).ceil().clamp(0.0, 9.0) as usize;
                format!("{height:.decimals$}").replace('-', "−")
            }
        }
    }

    /// Heights of the marks of an axis of so many points.
    #[must_use]
    pub fn y_marks(self, (low, high): (f64, f64), height_px: f32) -> Vec<f64> {
        if self.kind == Kind::Concentration && self.system == System::Us {
            return ounce_marks((low, high), height_px);
        }
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

/// Marks above this height, the logarithm of mg/L, are told in oz/gal.
const OUNCES_FROM: f64 = 2.5;

/// Decades of mg/L for rinses, and above them decades of oz/gal for baths.
fn ounce_marks((low, high): (f64, f64), height_px: f32) -> Vec<f64> {
    let ounce = Dim::Concentration.display_unit(System::Us, Style::Bath);
    let tenth = (1e3 * ounce.to_si(0.1)).log10();
    let step = ((high - low) / f64::from(height_px / 22.0).max(1.0))
        .ceil()
        .max(1.0);
    let weak = marks((low, high.min(OUNCES_FROM)), step);
    let strong = marks((low.max(OUNCES_FROM) - tenth, high - tenth), step);
    // Where a mark stands for several decades, the first in ounces may come too close upon the last in milligrams.
    let clear = weak.last().map_or(low, |last| last + 0.85 * step);
    let strong = strong.into_iter().map(|m| m + tenth);
    let strong = strong.filter(|m| *m >= clear);
    weak.iter().copied().chain(strong).collect()
}

/// Name of a plot in lists.
#[must_use]
pub const fn kind_name(kind: Kind) -> &'static str {
    match kind {
        Kind::Concentration => "Concentrations",
        Kind::Level => "Levels",
        Kind::Temperature => "Temperatures",
        Kind::Evaporation => "Evaporation and feed",
        Kind::Strength => "Bath and holding tank",
        Kind::Heat => "Heater power",
        Kind::Impurity => "Impurities",
        Kind::Loss => "Loss and return",
        Kind::Treatment => "Water to treatment",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_said_in_the_unit_that_suits_them() {
        let metric = Measure::of(Kind::Concentration, System::Metric);
        assert_eq!(metric.words(0.0092), "9.20\u{a0}mg/L");
        assert_eq!(metric.mark_words(4.0, 1.0), "10 g/L");
        assert_eq!(metric.mark_words(-1.0, 1.0), "0.1 mg/L");
        let us = Measure::of(Kind::Concentration, System::Us);
        let told: Vec<String> = us
            .y_marks((0.0, 5.0), 400.0)
            .into_iter()
            .map(|m| us.mark_words(m, 1.0))
            .collect();
        let wanted = [
            "1 mg/L",
            "10 mg/L",
            "100 mg/L",
            "0.1 oz/gal",
            "1 oz/gal",
            "10 oz/gal",
        ];
        assert_eq!(told, wanted);
        for high_px in [40.0, 60.0, 90.0, 130.0, 400.0] {
            let marks = us.y_marks((0.0, 5.0), high_px);
            let apart = |w: &[f64]| (w[1] - w[0]) * f64::from(high_px) / 5.0;
            assert!(
                marks.windows(2).all(|w| apart(w) > 13.0),
                "{high_px}: {marks:?}"
            );
        }
        let us = Measure::of(Kind::Temperature, System::Us);
        assert_eq!(us.words(344.261_111), "160\u{a0}°F");
        assert!((us.height(344.261_111) - 160.0).abs() < 1e-3);
    }
}
