//! Temperature scales.

/// 0 °C in kelvin, exact by definition of the Celsius scale.
pub const KELVIN_AT_ZERO_CELSIUS: f64 = 273.15;

/// Degrees Celsius from kelvin.
#[must_use]
pub const fn celsius_from_kelvin(temp_k: f64) -> f64 {
    temp_k - KELVIN_AT_ZERO_CELSIUS
}

/// Kelvin from degrees Celsius.
#[must_use]
pub const fn kelvin_from_celsius(temp_c: f64) -> f64 {
    temp_c + KELVIN_AT_ZERO_CELSIUS
}

/// Degrees Celsius from degrees Fahrenheit.
#[must_use]
pub const fn celsius_from_fahrenheit(temp_f: f64) -> f64 {
    (temp_f - 32.0) / 1.8
}

/// Degrees Fahrenheit from degrees Celsius.
#[must_use]
pub const fn fahrenheit_from_celsius(temp_c: f64) -> f64 {
    temp_c * 1.8 + 32.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Dim;

    #[test]
    fn scales_agree_with_the_unit_table() {
        for (text, temp_c) in [
            ("62 °C", 62.0),
            ("160 °F", 71.111_111_111_111),
            ("32 °F", 0.0),
            ("-40 °F", -40.0),
        ] {
            let temp_k = Dim::Temperature.parse(text).unwrap();
            assert!(
                (celsius_from_kelvin(temp_k) - temp_c).abs() < 1e-11,
                "{text}"
            );
            assert!(
                (kelvin_from_celsius(temp_c) - temp_k).abs() < 1e-11,
                "{text}"
            );
        }
        assert!((celsius_from_fahrenheit(160.0) - 71.111_111_111_111).abs() < 1e-11);
        assert!((fahrenheit_from_celsius(71.111_111_111_111) - 160.0).abs() < 1e-11);
    }
}
