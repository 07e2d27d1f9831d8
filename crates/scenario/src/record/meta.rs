//! What is declared about one field.

use dragback_units::{Dim, format_in};

/// Everything that is declared about a field besides its type.
#[derive(Debug, PartialEq)]
pub struct Meta {
    /// Name in the file and in paths.
    pub name: &'static str,
    /// What it is and what moving it does, in the trade's words.
    pub hint: &'static str,
    /// Unit of the ranges below; empty for bare numbers.
    pub unit: &'static str,
    /// Least and greatest value that is accepted, in `unit`.
    pub allowed: Option<(f64, f64)>,
    /// Least and greatest value that is usual in the trade, in `unit`.
    pub usual: Option<(f64, f64)>,
    /// Value when the file gives none, as it would be written.
    pub default: Option<&'static str>,
    /// Marks that change how the field is treated.
    pub marks: &'static [Mark],
    /// What its text is the name of.
    pub names: Option<Names>,
    /// What its keys are the names of.
    pub keys: Option<Names>,
    /// What a new record begins with here, where the ranges do not say; in a record that needs one of several fields it marks the one to begin with.
    pub example: Option<&'static str>,
}

/// What a text in a scenario is the name of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Names {
    /// A calendar.
    Calendar,
    /// A water supply.
    Water,
    /// A dissolved species.
    Species,
    /// A chemical as bought.
    Salt,
    /// A chemical as bought or a species.
    Dosed,
    /// A station of the same loop, or one stage of it.
    Station,
    /// A heater, pump, blower or valve, by its path.
    Device,
    /// An electrode, thermostat or alarm, by its path.
    Relay,
    /// A station or tank, by its path.
    Vessel,
    /// An input, by its path.
    Input,
}

/// Marks on a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// It makes sense to move it by a lever while a run goes on.
    Lever,
    /// Its entries stand in paths under their own key, without the field's name in front.
    Flat,
    /// Its keys may be formulas of chemicals, with dots and brackets.
    Formula,
}

impl Meta {
    /// A field without unit and ranges.
    pub const EMPTY: Self = Self {
        name: "",
        hint: "",
        unit: "",
        allowed: None,
        usual: None,
        default: None,
        marks: &[],
        names: None,
        keys: None,
        example: None,
    };

    /// Whether a lever suits it.
    #[must_use]
    pub fn suits_lever(&self) -> bool {
        self.marks.contains(&Mark::Lever)
    }

    /// Whether its entries stand in paths under their own key.
    #[must_use]
    pub fn is_flat(&self) -> bool {
        self.marks.contains(&Mark::Flat)
    }

    /// Whether its keys may be formulas of chemicals.
    #[must_use]
    pub fn has_formulas(&self) -> bool {
        self.marks.contains(&Mark::Formula)
    }

    /// Allowed range in SI.
    #[must_use]
    pub fn allowed_si(&self, dim: Dim) -> Option<(f64, f64)> {
        self.si(dim, self.allowed)
    }

    /// Usual range in SI.
    #[must_use]
    pub fn usual_si(&self, dim: Dim) -> Option<(f64, f64)> {
        self.si(dim, self.usual)
    }

    fn si(&self, dim: Dim, range: Option<(f64, f64)>) -> Option<(f64, f64)> {
        let unit = dim.find_unit(self.unit)?;
        range.map(|(low, high)| (unit.to_si(low), unit.to_si(high)))
    }

    /// The allowed range in words: `20–90 °C`.
    #[must_use]
    pub fn allowed_words(&self, dim: Dim) -> Option<String> {
        let unit = dim.find_unit(self.unit)?;
        let (low, high) = self.allowed?;
        let end = format_in(unit, unit.to_si(high), 6);
        let dash = if low < 0.0 { " to " } else { "–" };
        Some(format!("{}{dash}{end}", short(low)))
    }

    /// A value that may stand in the file, for advice: the middle of the usual range, else of the allowed one.
    #[must_use]
    pub fn example_si(&self, dim: Dim) -> Option<f64> {
        let (low, high) = self.usual_si(dim).or_else(|| self.allowed_si(dim))?;
        Some(if dim == Dim::Count {
            low.ceil()
        } else if low > 0.0 && high > 10.0 * low {
            (low * high).sqrt()
        } else {
            0.5 * (low + high)
        })
    }

    /// [`Meta::example_si`] as text.
    #[must_use]
    pub fn example(&self, dim: Dim) -> Option<String> {
        Some(format_in(
            dim.find_unit(self.unit)?,
            self.example_si(dim)?,
            2,
        ))
    }
}

fn short(value: f64) -> String {
    if value != 0.0 && !(1e-4..1e9).contains(&value.abs()) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_said_in_the_declared_unit() {
        let meta = Meta {
            unit: "°C",
            allowed: Some((20.0, 90.0)),
            usual: Some((40.0, 60.0)),
            ..Meta::EMPTY
        };
        assert_eq!(
            meta.allowed_words(Dim::Temperature).as_deref(),
            Some("20–90 °C")
        );
        assert_eq!(meta.example(Dim::Temperature).as_deref(), Some("50 °C"));
        assert_eq!(meta.allowed_si(Dim::Temperature), Some((293.15, 363.15)));
        assert_eq!(meta.allowed_si(Dim::Volume), None);
    }
}
