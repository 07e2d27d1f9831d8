//! A physical input: its value as written, where it comes from, and how sure it is.

use dragback_units::{Dim, Dimension, Quantity, Unit, format_in};

use super::choice::choice;
use super::field::{Change, Kind, Leaf, LeafField, Spread};
use super::meta::Meta;
use super::reader::Reader;
use super::write::{Out, OutFields};
use crate::problem::Problem;
use crate::tree::{Node, Value};

choice! {
    /// Where the value of an input comes from.
    Origin {
        /// Measured on the line.
        Measured = "measured",
        /// Assumed by whoever wrote the scenario.
        Assumed = "assumed",
        /// Usual in the trade.
        Typical = "typical",
    }
}

/// One input with its dimension.
///
/// In a file it is a quoted quantity, `"4500 L"`, or the long form
/// `(value: "4500 L", origin: measured, low: "4000 L", likely: "4500 L", high: "5000 L", notes: "…")`, of which only `value` is needed. The text of
/// each quantity is kept as it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Input<D> {
    value: Quantity<D>,
    /// Where it comes from, when the scenario says so.
    pub origin: Option<Origin>,
    /// Low end of what it may be.
    pub low: Option<Quantity<D>>,
    /// What it most likely is.
    pub likely: Option<Quantity<D>>,
    /// High end of what it may be.
    pub high: Option<Quantity<D>>,
    /// Notes.
    pub notes: Option<String>,
    is_given: bool,
}

/// Names of the long form.
const LONG_FORM: [&str; 6] = ["value", "origin", "low", "likely", "high", "notes"];

impl<D: Dimension> Input<D> {
    /// A plain input.
    #[must_use]
    pub const fn new(value: Quantity<D>) -> Self {
        Self {
            value,
            origin: None,
            low: None,
            likely: None,
            high: None,
            notes: None,
            is_given: true,
        }
    }

    /// The value in SI.
    #[must_use]
    pub const fn si(&self) -> f64 {
        self.value.si()
    }

    /// The value with its text.
    #[must_use]
    pub const fn quantity(&self) -> &Quantity<D> {
        &self.value
    }

    /// Whether the scenario gives it; otherwise it is a default.
    #[must_use]
    pub const fn is_given(&self) -> bool {
        self.is_given
    }

    fn read_long(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Option<Self> {
        let fields = reader.fields(node, &LONG_FORM)?;
        let mut part = |name: &str| {
            let node = fields.get(name)?;
            reader.within(name, |r| read_quantity::<D>(node, meta, r))
        };
        let (value, low) = (part("value"), part("low"));
        let (likely, high) = (part("likely"), part("high"));
        let origin = fields
            .get("origin")
            .and_then(|n| reader.within("origin", |r| Origin::read_leaf(n, &Meta::EMPTY, r)));
        let notes = fields
            .get("notes")
            .and_then(|n| reader.within("notes", |r| String::read_leaf(n, &Meta::EMPTY, r)));
        if fields.get("value").is_none() {
            reader.fault(
                node.span,
                Problem::of_text(None, "the long form has no `value`", "add `value: \"…\"`"),
            );
        }
        let given: Vec<f64> = [&low, &likely, &high]
            .into_iter()
            .flatten()
            .map(Quantity::si)
            .collect();
        if given.windows(2).any(|pair| pair[0] > pair[1]) {
            let message = "low, likely and high are not in rising order";
            reader.fault(node.span, Problem::of_text(None, message, "swap them"));
        }
        Some(Self {
            origin,
            low,
            likely,
            high,
            notes,
            ..Self::new(value?)
        })
    }
}

/// Reads a quoted quantity, or a bare number where the dimension has no unit.
fn read_quantity<D: Dimension>(
    node: &Node<'_>,
    meta: &'static Meta,
    reader: &mut Reader<'_>,
) -> Option<Quantity<D>> {
    let text = match &node.value {
        Value::Text(text) => text.as_ref(),
        Value::Number(text) => text,
        _ => {
            let wanted = wanted(D::DIM);
            reader.wrong_form(node, &wanted, &advice(meta, D::DIM));
            return None;
        }
    };
    match checked::<D>(text, meta) {
        Ok(quantity) => Some(quantity),
        Err((quantity, problem)) => {
            reader.fault(node.span, *problem);
            quantity.map(|q| within_range(&q, meta))
        }
    }
}

/// A problem, and the value beside it where only its size is wrong.
type Refused<D> = (Option<Quantity<D>>, Box<Problem>);

/// Parses and checks against the allowed range; a value out of range comes back beside its problem.
fn checked<D: Dimension>(text: &str, meta: &'static Meta) -> Result<Quantity<D>, Refused<D>> {
    let quantity = Quantity::<D>::parse(text).map_err(|fault| {
        let mut problem = Problem::of_text(None, fault.to_string(), advice(meta, D::DIM));
        problem = problem.with_value(text);
        problem.allowed = meta.allowed_words(D::DIM);
        (None, Box::new(problem))
    })?;
    match out_of_range(&quantity, meta) {
        None => Ok(quantity),
        Some(problem) => Err((Some(quantity), Box::new(problem))),
    }
}

/// What stands for a value of a dimension, in words.
fn wanted(dim: Dim) -> String {
    let name = dim.name();
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    match dim {
        Dim::Count => "a whole number".to_owned(),
        Dim::Number => "a number".to_owned(),
        _ => format!("{article} {name} in quotes"),
    }
}

fn advice(meta: &'static Meta, dim: Dim) -> String {
    let Some(example) = meta.example(dim) else {
        return format!("write {}", wanted(dim));
    };
    let allowed = meta
        .allowed_words(dim)
        .map_or_else(String::new, |words| format!(" (allowed: {words})"));
    let example = match dim {
        Dim::Count | Dim::Number => example,
        _ => format!("\"{example}\""),
    };
    format!("write it like {example}{allowed}")
}

/// The allowed value nearest to one that is not, to go on with after the problem.
fn within_range<D: Dimension>(quantity: &Quantity<D>, meta: &'static Meta) -> Quantity<D> {
    let (low, high) = meta.allowed_si(D::DIM).unwrap_or((f64::MIN, f64::MAX));
    Quantity::from_si(quantity.si().max(low).min(high))
}

/// The problem of a value outside its allowed range.
fn out_of_range<D: Dimension>(quantity: &Quantity<D>, meta: &'static Meta) -> Option<Problem> {
    let (low, high) = meta.allowed_si(D::DIM)?;
    // A bound converted through another unit may differ in the last place.
    let slack = 1e-9 * low.abs().max(high.abs());
    let (side, verb) = if quantity.si() < low - slack {
        ("below", "raise")
    } else if quantity.si() > high + slack {
        ("above", "lower")
    } else {
        return None;
    };
    let allowed = meta.allowed_words(D::DIM)?;
    let own = own_unit(quantity, meta);
    let usual = match (own, meta.usual_si(D::DIM), meta.usual) {
        (Some(own), Some(ends), _) => format!(" (usual: {})", from_to(own, ends)),
        (None, _, Some((from, to))) if meta.unit.is_empty() => format!(" (usual: {from}–{to})"),
        (None, _, Some((from, to))) => format!(" (usual: {from}–{to} {})", meta.unit),
        _ => String::new(),
    };
    let text = quantity.text();
    let told = own.map_or_else(|| allowed.clone(), |own| from_to(own, (low, high)));
    let message = format!("\"{text}\" is {side} the allowed {told}");
    let is_meant_in_percent = D::DIM == Dim::Fraction
        && !text.contains('%')
        && (low..=high).contains(&(quantity.si() / 100.0));
    let advice = if is_meant_in_percent {
        format!("write \"{text} %\" if per cent is meant")
    } else {
        format!("{verb} it{usual}")
    };
    let problem = Problem::of_text(None, message, advice);
    Some(problem.with_value(text).with_allowed(allowed))
}

/// The unit in which a quantity is written, where that is not the declared one: ranges are told in it.
fn own_unit<D: Dimension>(quantity: &Quantity<D>, meta: &'static Meta) -> Option<&'static Unit> {
    let declared = D::DIM.find_unit(meta.unit)?;
    let own = quantity.unit();
    (own.symbol != declared.symbol && !own.symbol.is_empty()).then_some(own)
}

/// A range in a unit: `68 °F to 194 °F`.
fn from_to(unit: &Unit, (low, high): (f64, f64)) -> String {
    const DIGITS: usize = 4;
    format!(
        "{} to {}",
        format_in(unit, low, DIGITS),
        format_in(unit, high, DIGITS)
    )
}

fn write_quantity<D: Dimension>(quantity: &Quantity<D>) -> Out {
    let text = quantity.text();
    let is_unitless = matches!(D::DIM, Dim::Fraction | Dim::Number | Dim::Count);
    let is_bare = text
        .bytes()
        .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-'))
        && text.bytes().any(|b| b.is_ascii_digit())
        && text.parse::<f64>().is_ok()
        && !text.starts_with('.')
        && !text.ends_with('.');
    if is_unitless && is_bare {
        Out::Word(text.to_owned())
    } else {
        Out::Text(text.to_owned())
    }
}

impl<D: Dimension> LeafField for Input<D> {
    fn kind() -> Kind {
        Kind::Quantity(D::DIM)
    }

    fn read_leaf(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Option<Self> {
        if matches!(node.value, Value::Record(_)) {
            return Self::read_long(node, meta, reader);
        }
        read_quantity(node, meta, reader).map(Self::new)
    }

    fn from_words(text: &str, meta: &'static Meta) -> Result<Self, Box<Problem>> {
        checked(text, meta)
            .map(Self::new)
            .map_err(|(_, problem)| problem)
    }

    fn stand_in(meta: &'static Meta) -> Self {
        Self::new(Quantity::from_si(meta.example_si(D::DIM).unwrap_or(0.0)))
    }

    fn write_leaf(&self, _: &'static Meta) -> Option<Out> {
        if !self.is_given {
            return None;
        }
        let value = write_quantity(&self.value);
        let is_plain = self.origin.is_none()
            && self.notes.is_none()
            && [&self.low, &self.likely, &self.high]
                .iter()
                .all(|q| q.is_none());
        if is_plain {
            return Some(value);
        }
        let mut fields = OutFields::default();
        fields.push("value", Some(value));
        fields.push(
            "origin",
            self.origin
                .as_ref()
                .and_then(|o| o.write_leaf(&Meta::EMPTY)),
        );
        fields.push("low", self.low.as_ref().map(write_quantity));
        fields.push("likely", self.likely.as_ref().map(write_quantity));
        fields.push("high", self.high.as_ref().map(write_quantity));
        fields.push("notes", self.notes.clone().map(Out::Text));
        Some(fields.into_out())
    }

    fn leaf(&self) -> Leaf {
        let si = |q: &Option<Quantity<D>>| q.as_ref().map(Quantity::si);
        Leaf {
            si: Some(self.value.si()),
            origin: self.origin,
            spread: Spread {
                low: si(&self.low),
                likely: si(&self.likely),
                high: si(&self.high),
            },
            notes: self.notes.clone(),
            is_given: self.is_given,
            ..Leaf::of(Self::kind(), self.value.text())
        }
    }

    fn change(&mut self, meta: &'static Meta, change: Change<'_>) -> Result<(), Box<Problem>> {
        self.value = match change {
            Change::Origin(origin) => {
                self.origin = Some(origin);
                return Ok(());
            }
            Change::Text(text) => checked(text, meta).map_err(|(_, problem)| problem)?,
            Change::Si(si) => {
                let fault = |e: dragback_units::QuantityError| {
                    Box::new(Problem::of_text(None, e.to_string(), advice(meta, D::DIM)))
                };
                Quantity::<D>::try_from_si(si).map_err(fault)?;
                let quantity = self.value.with_si_keeping_unit(si);
                match out_of_range(&quantity, meta) {
                    Some(problem) => return Err(Box::new(problem)),
                    None => quantity,
                }
            }
        };
        self.is_given = true;
        Ok(())
    }

    fn into_default(mut self) -> Self {
        self.is_given = false;
        self
    }
}
