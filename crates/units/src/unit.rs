//! One unit: its symbol, how else it is written, and how it converts.

use crate::display::System;

/// A unit of some dimension. The SI value of `v` in this unit is `(v + offset) · factor_to_si`.
#[derive(Copy, Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Unit {
    /// How the program writes the unit; empty for bare numbers.
    pub symbol: &'static str,
    /// Further spellings that are read, beyond those that the reader treats alike anyway
    /// (superscripts, `hr` for `h`, `gallons` for `gal`, and so on).
    pub aliases: &'static [&'static str],
    /// SI units per one of this unit.
    pub factor_to_si: f64,
    /// Added to the value before scaling; zero except for temperatures.
    pub offset: f64,
    /// How many of this unit make one SI unit, where that is a whole number. Dividing by it rounds once where
    /// multiplying by its reciprocal rounds twice: 55 µS/cm is then exactly the number that `0.0055` is.
    pub(crate) per_si: Option<f64>,
    /// The system of units it belongs to; `None` when both use it.
    pub system: Option<System>,
    /// Whether the program chooses it by itself when it has to write a value that came without text.
    pub(crate) is_natural: bool,
}

impl Unit {
    /// The SI value of `value` in this unit.
    #[must_use]
    pub fn to_si(&self, value: f64) -> f64 {
        let value = value + self.offset;
        match self.per_si {
            Some(per_si) => value / per_si,
            None => value * self.factor_to_si,
        }
    }

    /// The value in this unit of an SI value.
    #[must_use]
    pub fn from_si(&self, si: f64) -> f64 {
        let value = match self.per_si {
            Some(per_si) => si * per_si,
            None => si / self.factor_to_si,
        };
        value - self.offset
    }
}

/// The value in `unit` of an SI value.
#[must_use]
pub fn to_unit(si: f64, unit: &Unit) -> f64 {
    unit.from_si(si)
}

/// The SI value of `value` in `unit`.
#[must_use]
pub fn from_unit(value: f64, unit: &Unit) -> f64 {
    unit.to_si(value)
}

fn unit(
    symbol: &'static str,
    aliases: &'static [&'static str],
    composed_factor: f64,
    system: Option<System>,
    is_natural: bool,
) -> Unit {
    let per_si = whole_reciprocal(composed_factor);
    let factor_to_si = per_si.map_or_else(|| without_noise(composed_factor), |per_si| 1.0 / per_si);
    Unit {
        symbol,
        aliases,
        factor_to_si,
        offset: 0.0,
        per_si,
        system,
        is_natural,
    }
}

/// A metric unit in everyday use.
pub(crate) fn metric(symbol: &'static str, aliases: &'static [&'static str], factor: f64) -> Unit {
    unit(symbol, aliases, factor, Some(System::Metric), true)
}

/// A metric unit that is read but not chosen by the program.
pub(crate) fn metric_read(
    symbol: &'static str,
    aliases: &'static [&'static str],
    factor: f64,
) -> Unit {
    unit(symbol, aliases, factor, Some(System::Metric), false)
}

/// A unit that both systems use every day.
pub(crate) fn common(symbol: &'static str, aliases: &'static [&'static str], factor: f64) -> Unit {
    unit(symbol, aliases, factor, None, true)
}

/// A unit of both systems that is read but not chosen by the program.
pub(crate) fn common_read(
    symbol: &'static str,
    aliases: &'static [&'static str],
    factor: f64,
) -> Unit {
    unit(symbol, aliases, factor, None, false)
}

/// A US customary unit (or another one outside the metric system).
pub(crate) fn us(symbol: &'static str, aliases: &'static [&'static str], factor: f64) -> Unit {
    unit(symbol, aliases, factor, Some(System::Us), false)
}

/// Takes the noise of the last bit out of a composed factor that is a short decimal.
///
/// `1e-6 / 1e-2` is `9.999999999999999e-5` in binary; µS/cm should be exactly the double nearest to `1e-4`.
/// Factors that are not short decimals (at most nine digits) are left alone.
fn without_noise(factor: f64) -> f64 {
    let text = format!("{factor:.14e}");
    let digits = text
        .split('e')
        .next()
        .unwrap_or_default()
        .trim_end_matches('0');
    let is_short = digits.chars().filter(char::is_ascii_digit).count() <= 9;
    match text.parse() {
        Ok(short) if is_short => short,
        _ => factor,
    }
}

/// The reciprocal of a factor below one, when it is a whole number but for rounding.
fn whole_reciprocal(factor: f64) -> Option<f64> {
    // Beyond this size any number is nearly whole.
    const LARGEST: f64 = 1e13;
    let whole = factor.recip().round();
    let is_whole = (factor * whole - 1.0).abs() <= 4.0 * f64::EPSILON;
    (is_whole && (2.0..=LARGEST).contains(&whole)).then_some(whole)
}

#[cfg(test)]
mod tests {
    use crate::Dim;

    #[test]
    fn metric_decimals_become_the_nearest_si_number() {
        for (dim, text, si) in [
            (Dim::ElectricConductivity, "55 µS/cm", 0.0055),
            (Dim::Volume, "0.3 L", 0.0003),
            (Dim::Fraction, "7 %", 0.07),
            (Dim::VolumeFlow, "110 L/min", 0.11 / 60.0),
            (Dim::LoadRate, "20 /h", 20.0 / 3600.0),
            (Dim::Concentration, "37 mg/L", 0.037),
        ] {
            assert_eq!(dim.parse(text), Ok(si), "{text}");
        }
    }
}
