//! From text to SI.

use crate::dimension::Dim;
use crate::error::{MAX_TEXT_BYTES, QuantityError, excerpt};
use crate::key::key_of;
use crate::number::{self, NumberError};
use crate::unit::Unit;

/// A text that was read as a quantity.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Parsed<'a> {
    /// The SI value; finite.
    pub si: f64,
    /// The unit that was used.
    pub unit: &'static Unit,
    /// The unit as written, with the space before it.
    pub unit_text: &'a str,
}

impl Dim {
    /// Reads a quantity of this dimension and returns its SI value.
    ///
    /// The number has an optional sign, a decimal point and an optional exponent (`1e3`); a space before the unit is
    /// optional. Bare numbers are read by [`Dim::Fraction`] (where 1 is the whole), [`Dim::Number`], [`Dim::Count`] and
    /// [`Dim::Money`] only.
    ///
    /// # Errors
    /// A [`QuantityError`] that says what is wrong and what would be accepted.
    ///
    /// ```
    /// use dragback_units::Dim;
    /// assert_eq!(Dim::Volume.parse("4500 L").unwrap(), 4.5);
    /// let error = Dim::Volume.parse("62 °C").unwrap_err();
    /// assert_eq!(error.to_string(), "'62 °C' is a temperature; a volume such as L or gal is expected");
    /// ```
    pub fn parse(self, text: &str) -> Result<f64, QuantityError> {
        self.parse_with_unit(text).map(|parsed| parsed.si)
    }

    /// Like [`Dim::parse`], and also tells which unit was used.
    ///
    /// # Errors
    /// As for [`Dim::parse`].
    pub fn parse_with_unit(self, text: &str) -> Result<Parsed<'_>, QuantityError> {
        let dim = self;
        let trimmed = text.trim();
        if trimmed.is_empty() {
            return Err(QuantityError::Empty { dim });
        }
        let shown = || excerpt(trimmed);
        if trimmed.len() > MAX_TEXT_BYTES {
            return Err(QuantityError::TooLong { text: shown(), dim });
        }
        let split = number::split(trimmed).map_err(|error| match error {
            NumberError::Missing => QuantityError::NoNumber { text: shown(), dim },
            NumberError::Separator => QuantityError::SeparatorInNumber { text: shown(), dim },
        })?;
        let unit = dim.unit_for(trimmed, split.rest)?;
        let si = unit.to_si(split.value);
        dim.check_si(si, trimmed)?;
        Ok(Parsed {
            si,
            unit,
            unit_text: split.rest,
        })
    }

    /// Whether an SI value can be a value of this dimension at all: finite, a temperature not below absolute zero, a
    /// count whole. `text` is what the message quotes.
    pub(crate) fn check_si(self, si: f64, text: &str) -> Result<(), QuantityError> {
        let (dim, shown) = (self, || excerpt(text));
        if !si.is_finite() {
            return Err(QuantityError::NotFinite { text: shown(), dim });
        }
        match dim {
            // -273.15 °C itself may come out a rounding below zero in other units.
            Dim::Temperature if si < -1e-9 => {
                Err(QuantityError::BelowAbsoluteZero { text: shown(), dim })
            }
            Dim::Count if si < 0.0 || si.fract() != 0.0 => {
                Err(QuantityError::NotWhole { text: shown(), dim })
            }
            _ => Ok(()),
        }
    }

    /// Whether its values are money, or money per something; a currency stands in their texts.
    #[must_use]
    pub const fn is_money(self) -> bool {
        matches!(self, Self::Money) || self.is_price()
    }

    /// Whether its values are money per something, with a currency before the stroke.
    const fn is_price(self) -> bool {
        matches!(
            self,
            Self::MoneyPerMass
                | Self::MoneyPerVolume
                | Self::MoneyPerEnergy
                | Self::MoneyPerPower
                | Self::MoneyPerTime
        )
    }

    fn unit_for(self, text: &str, unit_text: &str) -> Result<&'static Unit, QuantityError> {
        let dim = self;
        let key = key_of(unit_text);
        if let Some(unit) = dim.find_key(&key) {
            return Ok(unit);
        }
        if dim == Dim::Money && is_currency(unit_text.trim()) {
            return Ok(dim.si());
        }
        if dim.is_price()
            && let Some(unit) = without_currency(&key).and_then(|key| dim.find_key(key))
        {
            return Ok(unit);
        }
        Err(dim.unit_error(text, unit_text, &key))
    }

    #[cold]
    fn unit_error(self, text: &str, unit_text: &str, key: &str) -> QuantityError {
        let (dim, text) = (self, excerpt(text));
        if let Some(hint) = hint(dim, key) {
            return QuantityError::DoubtfulUnit {
                text,
                hint: hint.to_owned(),
                dim,
            };
        }
        if key.is_empty() {
            return QuantityError::MissingUnit { text, dim };
        }
        if let Some(unit) = dim.find_ignoring_case(key) {
            let hint = format!(
                "upper and lower case matter in units; write {}",
                unit.symbol
            );
            return QuantityError::DoubtfulUnit { text, hint, dim };
        }
        match Dim::ALL.iter().find(|other| other.find_key(key).is_some()) {
            Some(&found) => QuantityError::WrongDimension { text, found, dim },
            None => QuantityError::UnknownUnit {
                text,
                unit: excerpt(unit_text.trim()),
                dim,
            },
        }
    }
}

/// Three capital letters, as ISO 4217 writes currencies.
fn is_currency(text: &str) -> bool {
    text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase())
}

/// The currency that stands in an amount of money or a price, as written: `EUR` of `17 EUR/kg`.
///
/// ```
/// use dragback_units::currency_of;
/// assert_eq!(currency_of("17 EUR/kg"), Some("EUR"));
/// assert_eq!(currency_of("17 per kg"), None);
/// ```
#[must_use]
pub fn currency_of(text: &str) -> Option<&str> {
    let mut words = text.split(|c: char| !c.is_ascii_alphabetic());
    words.find(|word| is_currency(word))
}

/// What a price is for: `/kg` of `EUR/kg`.
fn without_currency(key: &str) -> Option<&str> {
    let stroke = key.find('/')?;
    is_currency(&key[..stroke]).then_some(&key[stroke..])
}

/// Units that are known to be misread, with what to write instead.
fn hint(dim: Dim, key: &str) -> Option<&'static str> {
    let hint = match (dim, key) {
        (_, "ppm") => {
            "ppm may mean mass or volume parts; write mg/L for a concentration or % for a fraction"
        }
        (_, "ppb") => "ppb may mean mass or volume parts; write µg/L",
        (Dim::Volume, "oz") => "an oz alone is a mass; write fl oz for a volume",
        (Dim::Mass, "ton" | "tons") => {
            "a ton differs between countries; write t (1000 kg) or short ton (2000 lb)"
        }
        (Dim::Time, "m") => "m is a metre; write min for minutes",
        (Dim::Time, "month" | "months" | "mo") => {
            "months differ in length; write the number of days, such as 30 d"
        }
        (Dim::Pressure, "psig" | "barg") => {
            "gauge pressure depends on the place; write the absolute pressure in psi or kPa"
        }
        (Dim::VolumeFlow, "scfm" | "SCFM" | "Nm3/h") => {
            "standard volumes depend on the standard; write the actual flow at the inlet in m³/h or cfm"
        }
        (Dim::VolumePerCharge | Dim::MassPerCharge, _) if key.ends_with("/A") => {
            "consumption is per charge; write Ah or kAh below the line"
        }
        (Dim::Money, "$" | "€" | "£" | "¥") => {
            "write the currency as three letters, such as USD or EUR"
        }
        _ => return None,
    };
    Some(hint)
}
