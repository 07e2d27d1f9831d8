//! What can be wrong with a quantity as written.

use crate::dimension::Dim;
use crate::display::{Style, System};

/// Longest text that is read as a quantity, bytes.
pub(crate) const MAX_TEXT_BYTES: usize = 120;

/// Why a text is not a quantity of the expected dimension. The message names the value, what was expected and
/// what to write instead.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing but spaces.
    #[error("no value is written; {} is expected", expected(*.dim))]
    Empty {
        /// The expected dimension.
        dim: Dim,
    },
    /// Longer than any quantity.
    #[error("'{text}' is too long for a value with a unit; {} is expected", expected(*.dim))]
    TooLong {
        /// The beginning of what was written.
        text: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// Does not begin with a number.
    #[error("'{text}' does not begin with a number; {} is expected", expected(*.dim))]
    NoNumber {
        /// What was written.
        text: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// Digits parted by a comma, space or apostrophe, which may mean a decimal mark or thousands.
    #[error(
        "'{text}' has a mark inside its number that may mean decimals or thousands; write a decimal point and \
         nothing between thousands, such as 1000 or 1.5 ({} is expected)",
        expected(*.dim)
    )]
    SeparatorInNumber {
        /// What was written.
        text: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// Too large for the program's numbers, or not a number at all.
    #[error("'{text}' is not a finite number; {} is expected", expected(*.dim))]
    NotFinite {
        /// What was written.
        text: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// A number alone where a unit is needed.
    #[error("'{text}' has no unit; {} is expected", expected(*.dim))]
    MissingUnit {
        /// What was written.
        text: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// A known unit, of another dimension.
    #[error("'{text}' is {}; {} is expected", with_article(*.found), expected(*.dim))]
    WrongDimension {
        /// What was written.
        text: String,
        /// The dimension that the unit belongs to.
        found: Dim,
        /// The expected dimension.
        dim: Dim,
    },
    /// A unit that is ambiguous or easily confused.
    #[error("'{text}': {hint} ({} is expected)", expected(*.dim))]
    DoubtfulUnit {
        /// What was written.
        text: String,
        /// What to write instead, and why.
        hint: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// A unit that no dimension has.
    #[error("'{text}' has an unknown unit '{unit}'; {} is expected{}", expected(*.dim), all_units(*.dim))]
    UnknownUnit {
        /// What was written.
        text: String,
        /// The part that was taken for the unit.
        unit: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// A count with decimals or below zero.
    #[error("'{text}' is not a whole number from 0 up; {} is expected", expected(*.dim))]
    NotWhole {
        /// What was written.
        text: String,
        /// The expected dimension.
        dim: Dim,
    },
    /// A temperature that cannot exist.
    #[error("'{text}' is below absolute zero; {} is expected", expected(*.dim))]
    BelowAbsoluteZero {
        /// What was written.
        text: String,
        /// The expected dimension.
        dim: Dim,
    },
}

/// `"a volume"`, `"an area"`.
fn with_article(dim: Dim) -> String {
    let name = dim.name();
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {name}")
}

/// `"a volume such as L or gal"`.
fn expected(dim: Dim) -> String {
    let name = with_article(dim);
    match dim {
        Dim::Number => "a bare number such as 2.5".to_owned(),
        Dim::Count => "a whole number such as 3".to_owned(),
        Dim::Money => format!("{name} such as 4.20 USD"),
        Dim::MoneyPerMass => format!("{name} such as 17 USD/kg"),
        Dim::MoneyPerVolume => format!("{name} such as 4.50 USD/m³"),
        Dim::MoneyPerEnergy => format!("{name} such as 0.19 USD/kWh"),
        Dim::MoneyPerPower => format!("{name} such as 12 USD/kW"),
        Dim::MoneyPerTime => format!("{name} such as 900 USD/year"),
        Dim::Fraction => format!("{name} such as 45 % or 0.45"),
        _ => {
            let metric = dim.display_unit(System::Metric, Style::Default).symbol;
            let us = dim.display_unit(System::Us, Style::Default).symbol;
            let second = if us == metric {
                dim.units().get(1).map(|unit| unit.symbol)
            } else {
                Some(us)
            };
            match second {
                Some(second) => format!("{name} such as {metric} or {second}"),
                None => format!("{name} such as {metric}"),
            }
        }
    }
}

/// The tail of a message that lists every unit, or nothing for dimensions without units.
fn all_units(dim: Dim) -> String {
    let symbols: Vec<&str> = dim
        .units()
        .iter()
        .map(|unit| unit.symbol)
        .filter(|symbol| !symbol.is_empty())
        .collect();
    if symbols.is_empty() {
        String::new()
    } else {
        format!(" (accepted: {})", symbols.join(", "))
    }
}

/// A piece of text short enough for a message.
pub(crate) fn excerpt(text: &str) -> String {
    const LONGEST_CHARS: usize = 40;
    let clean = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    if text.chars().count() <= LONGEST_CHARS {
        text.chars().map(clean).collect()
    } else {
        text.chars()
            .take(LONGEST_CHARS)
            .map(clean)
            .chain(['…'])
            .collect()
    }
}
