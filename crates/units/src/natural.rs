//! Finds the text that stands for a value exactly.

use crate::dimension::Dim;
use crate::unit::Unit;

/// A number as text, with what it costs a reader.
struct Candidate {
    number: String,
    digits: usize,
}

/// The shortest text in a natural unit which reads back as exactly `si`.
pub(crate) fn text_for(dim: Dim, si: f64) -> String {
    let mut best: Option<((usize, bool), String)> = None;
    for unit in dim.units().iter().filter(|unit| unit.is_natural) {
        let Some(candidate) = exact_number(unit, si) else {
            continue;
        };
        let value = unit.from_si(si).abs();
        let is_awkward = value != 0.0 && !(0.1..10_000.0).contains(&value);
        let cost = (candidate.digits, is_awkward);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, join(&candidate.number, unit.symbol)));
        }
    }
    // The SI unit always works: its factor is one and Rust writes enough digits.
    best.map_or_else(|| join(&decimal(si), dim.si().symbol), |(_, text)| text)
}

/// The shortest number which, in `unit`, reads back as exactly `si`; `None` when rounding leaves no such number.
fn exact_number(unit: &Unit, si: f64) -> Option<Candidate> {
    let value = unit.from_si(si);
    if !value.is_finite() {
        return None;
    }
    // Fifteen digits identify any short decimal; sixteen and seventeen identify the neighbours of the quotient.
    let rounded = [format!("{value:.14e}"), format!("{value:.15e}")];
    let values = rounded.iter().filter_map(|text| text.parse::<f64>().ok());
    let neighbours = [value, value.next_up(), value.next_down()];
    let exact = values.chain(neighbours).find(|&v| unit.to_si(v) == si)?;
    let number = decimal(exact);
    Some(Candidate {
        digits: significant_digits(&number),
        number,
    })
}

/// The number in `unit` for `si`: exact when there is one, else the nearest.
pub(crate) fn number_in(unit: &Unit, si: f64) -> String {
    exact_number(unit, si).map_or_else(|| decimal(unit.from_si(si)), |candidate| candidate.number)
}

/// The shortest decimal that identifies `value`, with an exponent only when plain digits would be long.
pub(crate) fn decimal(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 || !size.is_finite() || (1e-5..1e15).contains(&size) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

fn significant_digits(number: &str) -> usize {
    let mantissa = number.split('e').next().unwrap_or_default();
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let digits = digits.trim_start_matches('0');
    digits.trim_end_matches('0').len()
}

fn join(number: &str, symbol: &str) -> String {
    if symbol.is_empty() {
        number.to_owned()
    } else {
        format!("{number} {symbol}")
    }
}
