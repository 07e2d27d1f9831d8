//! Cuts a text into its number and the rest.

/// A text cut after its number.
pub(crate) struct Split<'a> {
    /// The number, always finite unless it overflowed.
    pub value: f64,
    /// What follows the number, with the space before it.
    pub rest: &'a str,
}

/// Why no number was found.
#[derive(Debug, PartialEq)]
pub(crate) enum NumberError {
    /// The text does not begin with a number.
    Missing,
    /// The digits are parted by something other than a decimal point.
    Separator,
}

/// Reads sign, digits, decimal point and exponent; the text must not begin with a space.
pub(crate) fn split(text: &str) -> Result<Split<'_>, NumberError> {
    // People paste the typographic minus; it is three bytes long in UTF-8.
    let (is_negative, digits_from) = match text.chars().next() {
        Some('-') => (true, 1),
        Some('−') => (true, '−'.len_utf8()),
        Some('+') => (false, 1),
        _ => (false, 0),
    };
    let body = &text[digits_from..];
    let length = number_length(body).ok_or(NumberError::Missing)?;
    let (number, rest) = body.split_at(length);
    if is_parted(rest) {
        return Err(NumberError::Separator);
    }
    let magnitude: f64 = number.parse().map_err(|_| NumberError::Missing)?;
    let value = if is_negative { -magnitude } else { magnitude };
    Ok(Split { value, rest })
}

/// Length in bytes of the unsigned number at the start.
fn number_length(body: &str) -> Option<usize> {
    let bytes = body.as_bytes();
    let digits = |from: usize| {
        bytes[from.min(bytes.len())..]
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count()
    };
    let whole = digits(0);
    let mut end = whole;
    let mut count = whole;
    if bytes.get(end) == Some(&b'.') {
        let decimals = digits(end + 1);
        // `5.` is read as a number, a lone point is not.
        if whole + decimals > 0 {
            end += 1 + decimals;
            count += decimals;
        }
    }
    if count == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits(end + 1 + sign);
        if exponent > 0 {
            end += 1 + sign + exponent;
        }
    }
    Some(end)
}

/// Whether more digits follow after a mark that some people use inside numbers.
fn is_parted(rest: &str) -> bool {
    let mut chars = rest.chars();
    let mark = chars.next();
    let next = chars.next();
    let digit_follows = next.is_some_and(|c| c.is_ascii_digit());
    match mark {
        Some(',' | '\'' | '’' | '_' | '.') => digit_follows,
        Some(c) if c.is_whitespace() => {
            // `1 000 L` is parted; `0.5 1/day` is not.
            digit_follows && !rest.trim_start().starts_with("1/")
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(text: &str) -> (f64, &str) {
        let split = split(text).unwrap();
        (split.value, split.rest)
    }

    #[test]
    fn numbers_end_where_the_unit_begins() {
        assert_eq!(parts("4500 L"), (4500.0, " L"));
        assert_eq!(parts("-1.5e3kg"), (-1500.0, "kg"));
        assert_eq!(parts("−2 °C"), (-2.0, " °C"));
        assert_eq!(parts("+.5"), (0.5, ""));
        assert_eq!(parts("5.%"), (5.0, "%"));
        assert_eq!(parts("1E-2m"), (0.01, "m"));
        assert_eq!(parts("3 e"), (3.0, " e"));
        assert_eq!(parts("0.5 1/day"), (0.5, " 1/day"));
        assert_eq!(parts("20/h"), (20.0, "/h"));
    }

    #[test]
    fn marks_inside_numbers_are_refused() {
        for text in [
            "1,000 L",
            "1,5 L",
            "1 000 L",
            "1'000",
            "1_000",
            "1.000.000 L",
            "1\u{a0}000 L",
        ] {
            assert_eq!(split(text).err(), Some(NumberError::Separator), "{text}");
        }
        for text in ["", "L", ".", "-", "nan", "inf", "−", "e5", "--3"] {
            assert_eq!(split(text).err(), Some(NumberError::Missing), "{text}");
        }
    }
}
