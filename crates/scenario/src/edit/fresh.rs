//! What a new thing begins with: values usual in the trade, marked as assumed, and names of what is there.

use dragback_units::Dim;

use super::SHAPE;
use super::known::known;
use super::part;
use super::spot::Spot;
use super::written::Text;
use crate::record::{Kind, Meta, Names, Out, Shape};
use crate::schema::Scenario;

/// A value as it is written: a bare word or number where that can be read, else in quotes.
pub fn leaf(kind: Kind, text: &str) -> Out {
    let is_bare = match kind {
        Kind::Quantity(Dim::Fraction | Dim::Number | Dim::Count) => {
            let is_plain = text
                .bytes()
                .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-'));
            let is_short = text.parse::<f64>().is_ok() && !text.starts_with('.');
            is_plain && is_short && !text.ends_with('.')
        }
        Kind::Choice(words) => words.contains(&text),
        Kind::Flag => matches!(text, "true" | "false"),
        Kind::Quantity(_) | Kind::Text => false,
    };
    if is_bare {
        Out::Word(text.to_owned())
    } else {
        Out::Text(text.to_owned())
    }
}

/// A new thing at a spot, in a text in which it is to stand.
pub fn fresh(
    text: &Text<'_>,
    at: &Spot,
    (meta, shape): (&'static Meta, &'static Shape),
    scenario: Option<&Scenario>,
) -> Out {
    let root = part::root(text.text, &text.root, &SHAPE);
    let maker = Maker {
        root: &root,
        scenario,
    };
    // The whole record is new: its fields have no values before.
    maker.make(at, meta, shape)
}

struct Maker<'m> {
    root: &'m part::Part,
    scenario: Option<&'m Scenario>,
}

impl Maker<'_> {
    fn make(&self, at: &Spot, meta: &'static Meta, shape: &Shape) -> Out {
        match shape {
            Shape::Leaf { kind, example } => self.leaf(at, meta, *kind, *example),
            Shape::Map(_) | Shape::Apart => Out::Map(Vec::new()),
            Shape::List(_) => Out::List(Vec::new()),
            Shape::Year(air) => self.make(at, meta, air),
            Shape::Record(slots) => {
                let each = slots.iter().filter_map(|slot| {
                    let is_inner = matches!(slot.shape, Shape::Record(_)) && !slot.is_option;
                    let is_begun = slot.is_needed || slot.meta.example.is_some();
                    if !is_begun && !is_inner {
                        return None;
                    }
                    let out = self.make(&at.child(slot.meta.name), slot.meta, &slot.shape);
                    let is_empty = matches!(&out, Out::Record(all) if all.is_empty());
                    (is_begun || !is_empty).then_some((slot.meta.name, out))
                });
                Out::Record(each.collect())
            }
        }
    }

    fn leaf(
        &self,
        at: &Spot,
        meta: &'static Meta,
        kind: Kind,
        example: Option<&'static str>,
    ) -> Out {
        let first = |names: Names| {
            known(self.root, names, at, self.scenario)
                .into_iter()
                .next()
        };
        match kind {
            Kind::Quantity(dim) => {
                let written = meta.example.map(str::to_owned);
                let value = leaf(
                    kind,
                    &written.or_else(|| meta.example(dim)).unwrap_or_default(),
                );
                if dim == Dim::Count {
                    return value;
                }
                let assumed = Out::Word("assumed".to_owned());
                Out::Record(vec![("value", value), ("origin", assumed)])
            }
            Kind::Choice(words) => leaf(kind, words.first().copied().unwrap_or_default()),
            Kind::Flag => leaf(kind, "false"),
            Kind::Text => {
                let named = meta.names.and_then(first);
                let given = meta.example.filter(|e| !e.is_empty()).or(example);
                // A name for people begins as the key.
                let key = || {
                    let (parent, _) = at.split()?;
                    Some(parent.last().to_owned())
                };
                let words = named.or_else(|| given.map(str::to_owned)).or_else(key);
                Out::Text(words.unwrap_or_default())
            }
        }
    }
}
