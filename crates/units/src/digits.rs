//! Numbers as they stand in the window and on paper: a fixed number of digits, so that nothing jumps while a lever moves and columns line up.

use crate::{Dim, Style, System, Unit};

/// What stands where there is no number.
pub const NO_NUMBER: &str = "–";

/// Three significant digits, trailing zeros kept, never more than `most_decimals` decimals.
///
/// ```
/// use dragback_units::digits::three;
/// assert_eq!(three(9.996, 3), "10.0");
/// assert_eq!(three(-4.5, 3), "−4.50");
/// assert_eq!(three(0.0321, 2), "0.03");
/// assert_eq!(three(8168.0, 2), "8170");
/// ```
#[must_use]
pub fn three(value: f64, most_decimals: usize) -> String {
    if !value.is_finite() {
        return NO_NUMBER.to_owned();
    }
    // Rounding first settles the exponent: 9.996 has one decimal, not two.
    let rounded: f64 = format!("{value:.2e}").parse().unwrap_or(value);
    if rounded.abs() >= 1e7 {
        return with_minus(&format!("{rounded:.2e}"));
    }
    let wanted = [(100.0, 0), (10.0, 1), (1.0, 2), (0.1, 3), (0.01, 4)]
        .into_iter()
        .find(|(least, _)| rounded.abs() >= *least)
        .map_or(5, |(_, decimals)| decimals);
    let text = if most_decimals < wanted {
        // What is rounded twice may end on the wrong digit: 8.149 is not 8.2.
        format!("{value:.most_decimals$}")
    } else {
        format!("{rounded:.wanted$}")
    };
    let is_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if is_zero {
        text.trim_start_matches('-').to_owned()
    } else {
        with_minus(&text)
    }
}

/// [`three`] with a sign in front of positive numbers too.
#[must_use]
pub fn signed(value: f64, most_decimals: usize) -> String {
    let text = three(value, most_decimals);
    let is_zero = text.chars().all(|c| matches!(c, '0' | '.'));
    if value > 0.0 && value.is_finite() && !is_zero {
        format!("+{text}")
    } else {
        text
    }
}

fn with_minus(text: &str) -> String {
    text.replace('-', "−")
}

/// An SI value in the unit of the system and style: number and unit apart.
#[must_use]
pub fn shown(dim: Dim, si: f64, system: System, style: Style) -> (String, &'static str) {
    let unit = dim.display_unit(system, style);
    (told(unit.from_si(si)), unit.symbol)
}

/// Three digits; nothing is told as nothing, not as four noughts.
fn told(value: f64) -> String {
    let number = three(value, 4);
    let is_nothing = number.chars().all(|c| matches!(c, '0' | '.'));
    if is_nothing { "0".to_owned() } else { number }
}

/// The strength of a solution, in the unit that suits it: mg/L for rinse water, g/L or oz/gal for a bath.
#[must_use]
pub fn strength(kg_per_m3: f64, system: System) -> (String, &'static str) {
    let style = if kg_per_m3 < 1.0 {
        Style::Rinse
    } else {
        Style::Bath
    };
    let unit = Dim::Concentration.display_unit(system, style);
    (told(unit.from_si(kg_per_m3)), unit.symbol)
}

/// The unit of an axis of daily amounts: kg or lb when they are large, g or oz when they are small.
#[must_use]
pub fn daily_unit(system: System, is_large: bool) -> &'static Unit {
    let symbol = match (system, is_large) {
        (System::Metric, true) => "kg/d",
        (System::Metric, false) => "g/d",
        (System::Us, true) => "lb/d",
        (System::Us, false) => "oz/d",
    };
    Dim::MassFlow
        .find_unit(symbol)
        .unwrap_or_else(|| Dim::MassFlow.si())
}

/// An SI value with five significant digits and its unit: what a hint adds to a figure of three.
#[must_use]
pub fn fine(dim: Dim, si: f64, system: System, style: Style) -> String {
    let unit = dim.display_unit(system, style);
    joined((significant(unit.from_si(si), 5), unit.symbol))
}

/// A value with so many significant digits, without zeros that say nothing.
///
/// ```
/// use dragback_units::digits::significant;
/// assert_eq!(significant(0.012_345_678, 5), "0.012346");
/// assert_eq!(significant(81_654.3, 3), "81700");
/// assert_eq!(significant(2.0, 5), "2");
/// ```
#[must_use]
pub fn significant(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let rounded: f64 = format!("{value:.*e}", digits.saturating_sub(1))
        .parse()
        .unwrap_or(value);
    let size = rounded.abs();
    if size != 0.0 && !(1e-6..1e9).contains(&size) {
        return with_minus(&format!("{rounded:e}"));
    }
    let text = with_minus(&format!("{rounded}"));
    if rounded == 0.0 { "0".to_owned() } else { text }
}

/// The unit in which an amount is told: kg, g or mg; lb or, however little it is, oz.
#[must_use]
pub fn amount_unit(kg: f64, system: System) -> &'static Unit {
    let (symbols, smallest) = match system {
        System::Metric => (&["kg", "g"][..], "mg"),
        System::Us => (&["lb"][..], "oz"),
    };
    let suits = |symbol: &&&str| {
        let unit = Dim::Mass.find_unit(symbol);
        // Rounding to three digits must not tell 999.9 g where a kilogram is meant.
        kg == 0.0 || unit.is_some_and(|u| u.from_si(kg.abs()) >= 0.9995)
    };
    let symbol = symbols.iter().find(suits).copied().unwrap_or(smallest);
    Dim::Mass
        .find_unit(symbol)
        .unwrap_or_else(|| Dim::Mass.si())
}

/// An amount with three significant digits in the unit that suits it.
#[must_use]
pub fn amount(kg: f64, system: System) -> (String, &'static str) {
    let unit = amount_unit(kg, system);
    let value = unit.from_si(kg);
    let number = if value == 0.0 {
        "0".to_owned()
    } else if value.abs() < 0.01 {
        significant(value, 3)
    } else {
        three(value, 4)
    };
    (number, unit.symbol)
}

/// An amount of money, to three digits.
#[must_use]
pub fn money(amount: f64, currency: &str) -> String {
    joined((three(amount, 2), currency))
}

/// Number and unit with a space that does not break.
#[must_use]
pub fn joined((number, unit): (String, &str)) -> String {
    if unit.is_empty() {
        number
    } else {
        format!("{number}\u{a0}{unit}")
    }
}

/// An amount of money to whole units, thousands apart.
#[must_use]
pub fn whole(amount: f64) -> String {
    let digits = format!("{:.0}", amount.abs());
    let mut told = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            told.push('\u{202f}');
        }
        told.push(digit);
    }
    if amount <= -0.5 {
        format!("−{told}")
    } else {
        told
    }
}

/// The same with its sign, also above nothing.
#[must_use]
pub fn whole_moved(amount: f64) -> String {
    let told = whole(amount);
    if amount >= 0.5 {
        format!("+{told}")
    } else {
        told
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_of_money_are_whole_and_thousands_stand_apart() {
        assert_eq!(whole(0.4), "0");
        assert_eq!(whole(-0.4), "0");
        assert_eq!(whole(999.6), "1\u{202f}000");
        assert_eq!(whole(-1_234_567.0), "−1\u{202f}234\u{202f}567");
        assert_eq!(whole_moved(25_201.2), "+25\u{202f}201");
    }

    #[test]
    fn digits_stay_three() {
        for (value, text) in [
            (0.0, "0.00000"),
            (0.012_34, "0.0123"),
            (0.5, "0.500"),
            (1.0, "1.00"),
            (99.96, "100"),
            (12_345.0, "12300"),
            (1.5e8, "1.50e8"),
            (f64::NAN, "–"),
        ] {
            assert_eq!(three(value, 5), text);
        }
    }

    #[test]
    fn nothing_is_rounded_twice() {
        assert_eq!(three(8.149, 1), "8.1");
        assert_eq!(three(-2.1527, 1), "−2.2");
        assert_eq!(three(0.9951, 2), "1.00");
        assert_eq!(three(0.9996, 2), "1.00");
        assert_eq!(three(9.996, 1), "10.0");
    }

    #[test]
    fn a_rounded_zero_has_no_sign() {
        assert_eq!(three(-0.001, 2), "0.00");
        assert_eq!(signed(0.001, 2), "0.00");
        assert_eq!(signed(3.0, 1), "+3.0");
        assert_eq!(signed(-3.0, 1), "−3.0");
    }

    #[test]
    fn amounts_choose_their_unit_and_keep_three_digits() {
        let told = |kg: f64, system| joined(amount(kg, system));
        assert_eq!(told(12.345, System::Metric), "12.3\u{a0}kg");
        assert_eq!(told(0.999_99, System::Metric), "1.00\u{a0}kg");
        assert_eq!(told(0.012_345, System::Metric), "12.3\u{a0}g");
        assert_eq!(told(4.2e-5, System::Metric), "42.0\u{a0}mg");
        assert_eq!(told(0.0, System::Metric), "0\u{a0}kg");
        // 16 avoirdupois ounces of 28.349 523 125 g are a pound (NIST SP 811, B.8).
        assert_eq!(told(0.453_592_37, System::Us), "1.00\u{a0}lb");
        assert_eq!(told(0.028_349_523, System::Us), "1.00\u{a0}oz");
        assert_eq!(told(1e-6, System::Us), "0.0000353\u{a0}oz");
        assert_eq!(told(3e-4, System::Us), "0.0106\u{a0}oz");
    }

    #[test]
    fn nothing_is_told_as_nothing() {
        let power = |w: f64| joined(shown(Dim::Power, w, System::Metric, Style::Default));
        assert_eq!(power(0.0), "0\u{a0}kW");
        assert_eq!(power(-1e-9), "0\u{a0}kW");
        assert_eq!(power(12.3), "0.0123\u{a0}kW");
    }

    #[test]
    fn strengths_choose_their_unit() {
        assert_eq!(joined(strength(0.009, System::Us)), "9.00\u{a0}mg/L");
        assert_eq!(joined(strength(74.89, System::Metric)), "74.9\u{a0}g/L");
        assert_eq!(joined(strength(74.89, System::Us)), "10.0\u{a0}oz/gal");
    }
}
