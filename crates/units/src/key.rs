//! Brings the many spellings of a unit to one.
//!
//! A unit is cut into words at spaces, slashes, dots of multiplication, brackets; each word is replaced by its usual
//! symbol (`hours` by `h`, `sq ft` by `ft2`), and the words are joined again with only the slashes kept.
//! So `gal / 1000 sq ft`, `gal/1000ft²` and `gallons per 1000 ft^2` are the same key.

/// The canonical spelling of a unit, for comparison only.
pub(crate) fn key_of(spelling: &str) -> String {
    let mut keys = KeyWriter::default();
    let mut word = String::new();
    for c in spelling.chars() {
        match plain(c) {
            Plain::Char(c) => word.push(c),
            Plain::Text(text) => word.push_str(text),
            Plain::Gap => keys.take(&mut word),
            Plain::Slash => {
                keys.take(&mut word);
                keys.key.push('/');
            }
            Plain::Nothing => {}
        }
    }
    keys.take(&mut word);
    match keys.key.strip_prefix("1/") {
        Some(rest) => format!("/{rest}"),
        None => keys.key,
    }
}

enum Plain {
    Char(char),
    Text(&'static str),
    Gap,
    Slash,
    Nothing,
}

fn plain(c: char) -> Plain {
    match c {
        '²' => Plain::Char('2'),
        '³' => Plain::Char('3'),
        '¹' => Plain::Char('1'),
        '₂' => Plain::Char('2'),
        '⁻' | '−' => Plain::Char('-'),
        // Micro sign and Greek mu.
        '\u{b5}' | '\u{3bc}' => Plain::Char('u'),
        // Masculine ordinal and ring above are common stand-ins for the degree sign.
        'º' | '˚' => Plain::Char('°'),
        '℃' => Plain::Text("°C"),
        '℉' => Plain::Text("°F"),
        '㎡' => Plain::Text("m2"),
        '㎥' => Plain::Text("m3"),
        '/' | '∕' | '⁄' => Plain::Slash,
        '·' | '⋅' | '∙' | '•' | '*' | '×' | '(' | ')' | '.' => Plain::Gap,
        '^' => Plain::Nothing,
        c if c.is_whitespace() => Plain::Gap,
        c => Plain::Char(c),
    }
}

#[derive(Default)]
struct KeyWriter {
    key: String,
    /// Waits for the next word after `sq` or `cu`.
    power: Option<char>,
}

impl KeyWriter {
    fn take(&mut self, word: &mut String) {
        if word.is_empty() {
            return;
        }
        let letters = word.trim_start_matches(|c: char| c.is_ascii_digit());
        self.key.push_str(&word[..word.len() - letters.len()]);
        match letters {
            "sq" | "square" => self.power = Some('2'),
            "cu" | "cubic" => self.power = Some('3'),
            _ => {
                self.key.push_str(symbol_of(letters));
                self.key.extend(self.power.take());
            }
        }
        word.clear();
    }
}

fn symbol_of(word: &str) -> &str {
    match word {
        "per" => "/",
        "l" | "ltr" | "liter" | "liters" | "litre" | "litres" => "L",
        "ml" | "milliliter" | "milliliters" | "millilitre" | "millilitres" => "mL",
        "gallon" | "gallons" | "gals" | "Gal" | "GAL" => "gal",
        "hr" | "hrs" | "hour" | "hours" => "h",
        "mins" | "minute" | "minutes" => "min",
        "sec" | "secs" | "second" | "seconds" => "s",
        "day" | "days" => "d",
        "wk" | "wks" | "weeks" => "week",
        "a" | "yr" | "yrs" | "years" => "year",
        "metre" | "metres" | "meter" | "meters" => "m",
        "foot" | "feet" => "ft",
        "inch" | "inches" => "in",
        "sqft" | "sf" => "ft2",
        "sqm" => "m2",
        "sqin" => "in2",
        "cuft" => "ft3",
        "gram" | "grams" => "g",
        "kilogram" | "kilograms" | "kgs" => "kg",
        "lbs" | "pound" | "pounds" => "lb",
        "ounce" | "ounces" => "oz",
        "deg" | "degree" | "degrees" => "°",
        "degC" | "degc" => "°C",
        "degF" | "degf" => "°F",
        "Celsius" | "celsius" => "C",
        "Fahrenheit" | "fahrenheit" => "F",
        "kelvin" | "Kelvin" | "kelvins" => "K",
        "BTU" | "btu" => "Btu",
        "amp" | "amps" | "ampere" | "amperes" => "A",
        "volt" | "volts" => "V",
        "watt" | "watts" => "W",
        "kw" | "KW" | "Kw" | "kilowatt" | "kilowatts" => "kW",
        "kwh" | "KWH" | "KWh" => "kWh",
        "ah" | "AH" => "Ah",
        "kah" | "KAH" | "KAh" => "kAh",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::key_of;

    #[test]
    fn spellings_of_one_unit_have_one_key() {
        for spelling in [
            "gal/1000 ft²",
            "gal/1000ft2",
            "gallons per 1000 sq ft",
            "gal / 1000 ft^2",
            "gal/(1000 sqft)",
        ] {
            assert_eq!(key_of(spelling), "gal/1000ft2", "{spelling}");
        }
        for spelling in ["W/(m²·K)", "W/(m2 K)", "W / m² K", "W/m2*K"] {
            assert_eq!(key_of(spelling), "W/m2K", "{spelling}");
        }
        for spelling in ["°C", "degC", "deg C", "degrees Celsius", "℃", "º C"] {
            assert_eq!(key_of(spelling), "°C", "{spelling}");
        }
        assert_eq!(key_of("\u{b5}S/cm"), key_of("\u{3bc}S/cm"));
        assert_eq!(key_of("1/day"), "/d");
        assert_eq!(key_of("cubic feet per minute"), "ft3/min");
        assert_eq!(key_of("gal (imperial)"), "galimperial");
    }
}
