//! A value with its dimension in the type and its text as written.

use std::fmt;
use std::marker::PhantomData;
use std::ops::{Add, Sub};

use crate::dimension::{Dimension, dim};
use crate::display::format_in;
use crate::error::QuantityError;
use crate::natural;
use crate::temperature::celsius_from_kelvin;
use crate::unit::Unit;

/// A quantity of dimension `D`: the SI value and the text that stands for it.
///
/// The text always reads back as the SI value, except when the value is not finite.
///
/// ```
/// use dragback_units::{Quantity, dim};
/// let volume: Quantity<dim::Volume> = Quantity::parse("4500 L").unwrap();
/// assert_eq!((volume.si(), volume.text()), (4.5, "4500 L"));
/// assert_eq!(volume.with_si_keeping_unit(5.2).text(), "5200 L");
/// ```
pub struct Quantity<D> {
    si: f64,
    text: Box<str>,
    dimension: PhantomData<fn() -> D>,
}

impl<D: Dimension> Quantity<D> {
    /// Reads a text; it is kept as written, without surrounding spaces.
    ///
    /// # Errors
    /// As for [`Dim::parse`](crate::Dim::parse).
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let si = D::DIM.parse(text)?;
        Ok(Self::new(si, text.trim().to_owned()))
    }

    /// A quantity from its SI value; the text is the shortest one in an everyday metric unit which reads back as
    /// exactly this value.
    ///
    /// A value that is not finite is kept as it is, with a text that no reader accepts; use
    /// [`Quantity::try_from_si`] where that may happen.
    #[must_use]
    pub fn from_si(si: f64) -> Self {
        Self::new(si, natural::text_for(D::DIM, si))
    }

    /// Like [`Quantity::from_si`], for values that may be no value of this dimension.
    ///
    /// # Errors
    /// When the value is not finite, a temperature below absolute zero, or a count that is not whole.
    pub fn try_from_si(si: f64) -> Result<Self, QuantityError> {
        let quantity = Self::from_si(si);
        D::DIM.check_si(si, &quantity.text)?;
        Ok(quantity)
    }

    /// The SI value.
    #[must_use]
    pub const fn si(&self) -> f64 {
        self.si
    }

    /// The text as written.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// A new value written in the unit of the old text, spelt as it was.
    ///
    /// Where no number in that unit stands for the value exactly, the nearest one is taken and the SI value is that
    /// of the text; the two differ by a few units in the last place at most.
    #[must_use]
    pub fn with_si_keeping_unit(&self, si: f64) -> Self {
        let Ok(old) = D::DIM.parse_with_unit(&self.text) else {
            return Self::from_si(si);
        };
        let text = format!("{}{}", natural::number_in(old.unit, si), old.unit_text);
        match D::DIM.parse(&text) {
            Ok(si) => Self::new(si, text),
            Err(_) => Self::from_si(si),
        }
    }

    /// The unit in which it is written.
    #[must_use]
    pub fn unit(&self) -> &'static Unit {
        let parsed = D::DIM.parse_with_unit(&self.text);
        parsed.map_or_else(|_| D::DIM.si(), |p| p.unit)
    }

    /// Another SI value of the same dimension in the unit of this one, with so many significant digits.
    ///
    /// ```
    /// use dragback_units::{Quantity, dim};
    /// let typed: Quantity<dim::Temperature> = Quantity::parse("140 °F").unwrap();
    /// assert_eq!(typed.in_its_unit(373.15, 3), "212 °F");
    /// ```
    #[must_use]
    pub fn in_its_unit(&self, si: f64, digits: usize) -> String {
        format_in(self.unit(), si, digits)
    }

    fn new(si: f64, text: String) -> Self {
        Self {
            si,
            text: text.into_boxed_str(),
            dimension: PhantomData,
        }
    }
}

impl Quantity<dim::Temperature> {
    /// The temperature in degrees Celsius.
    #[must_use]
    pub const fn celsius(&self) -> f64 {
        celsius_from_kelvin(self.si)
    }
}

// Written by hand because derives would ask the marker for the same traits.
impl<D> Clone for Quantity<D> {
    fn clone(&self) -> Self {
        Self {
            si: self.si,
            text: self.text.clone(),
            dimension: PhantomData,
        }
    }
}

/// Equal when value and text are equal: `4500 L` and `4.5 m³` are different quantities with the same `si()`.
impl<D> PartialEq for Quantity<D> {
    fn eq(&self, other: &Self) -> bool {
        self.si == other.si && self.text == other.text
    }
}

impl<D> fmt::Debug for Quantity<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Quantity({:?} = {} SI)", self.text, self.si)
    }
}

impl<D> fmt::Display for Quantity<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl<D: Dimension> std::str::FromStr for Quantity<D> {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

impl<D> serde::Serialize for Quantity<D> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text)
    }
}

impl<'de, D: Dimension> serde::Deserialize<'de> for Quantity<D> {
    fn deserialize<R: serde::Deserializer<'de>>(deserializer: R) -> Result<Self, R::Error> {
        struct Visitor<D>(PhantomData<D>);

        impl<D: Dimension> serde::de::Visitor<'_> for Visitor<D> {
            type Value = Quantity<D>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "a quoted {} with its unit", D::DIM.name())
            }

            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Quantity<D>, E> {
                Quantity::parse(text).map_err(E::custom)
            }
        }

        deserializer.deserialize_str(Visitor(PhantomData))
    }
}

/// A temperature and a difference make a temperature, written in the unit of the first.
impl Add<&Quantity<dim::TemperatureDifference>> for &Quantity<dim::Temperature> {
    type Output = Quantity<dim::Temperature>;

    fn add(self, difference: &Quantity<dim::TemperatureDifference>) -> Self::Output {
        self.with_si_keeping_unit(self.si + difference.si)
    }
}

/// A temperature less a difference makes a temperature, written in the unit of the first.
impl Sub<&Quantity<dim::TemperatureDifference>> for &Quantity<dim::Temperature> {
    type Output = Quantity<dim::Temperature>;

    fn sub(self, difference: &Quantity<dim::TemperatureDifference>) -> Self::Output {
        self.with_si_keeping_unit(self.si - difference.si)
    }
}

/// Two temperatures differ by a temperature difference.
impl Sub<&Quantity<dim::Temperature>> for &Quantity<dim::Temperature> {
    type Output = Quantity<dim::TemperatureDifference>;

    fn sub(self, other: &Quantity<dim::Temperature>) -> Self::Output {
        Quantity::from_si(self.si - other.si)
    }
}
