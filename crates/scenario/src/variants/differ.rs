//! What a variant has otherwise than its line.

use super::Variants;
use crate::edit::SHAPE;
use crate::record::{Field as _, Meta, Out, Shape, Slot};
use crate::schema::Scenario;

/// What stands for something that is not there.
const NOTHING: &str = "None";

/// A scenario with its variants on the way to text.
pub fn whole(scenario: &Scenario) -> Option<Out> {
    let mut out = scenario.write(&Meta::EMPTY)?;
    let variants = out_of(&scenario.variants, &out);
    if let (Out::Record(fields), Some(variants)) = (&mut out, variants) {
        fields.push(("variants", variants));
    }
    Some(out)
}

fn out_of(variants: &Variants, line: &Out) -> Option<Out> {
    if variants.is_empty() {
        return None;
    }
    let each = variants.iter().filter_map(|(name, own)| {
        let own = own.write(&Meta::EMPTY)?;
        Some((name.to_owned(), Out::Map(between(line, &own))))
    });
    Some(Out::Map(each.collect()))
}

fn between(line: &Out, other: &Out) -> Vec<(String, Out)> {
    let mut found = Vec::new();
    let top = At {
        own: String::new(),
        inner: String::new(),
    };
    compare(&SHAPE, line, other, &top, &mut found);
    found
}

/// Where a part stands: its own path, and what stands in front of the paths within it.
struct At {
    own: String,
    inner: String,
}

impl At {
    fn child(&self, segment: &str) -> Self {
        let own = join(&self.inner, segment);
        Self {
            inner: own.clone(),
            own,
        }
    }

    fn field(&self, slot: &Slot) -> Self {
        let child = self.child(slot.meta.name);
        if slot.meta.is_flat() {
            Self {
                own: child.own,
                inner: self.inner.clone(),
            }
        } else {
            child
        }
    }
}

fn join(path: &str, segment: &str) -> String {
    if path.is_empty() {
        segment.to_owned()
    } else {
        format!("{path}.{segment}")
    }
}

fn compare(shape: &Shape, a: &Out, b: &Out, at: &At, found: &mut Vec<(String, Out)>) {
    if a == b {
        return;
    }
    match (shape, a, b) {
        (Shape::Record(slots), Out::Record(a), Out::Record(b)) => {
            let of = |all: &[(&'static str, Out)], name: &str| {
                all.iter()
                    .find(|(own, _)| *own == name)
                    .map(|(_, o)| o.clone())
            };
            for slot in slots {
                let pair = (of(a, slot.meta.name), of(b, slot.meta.name));
                either(&slot.shape, pair, &at.field(slot), found);
            }
        }
        (Shape::Map(item), Out::Map(a), Out::Map(b)) if keeps_order(a, b) => {
            entries(item, a, b, at, found);
        }
        (Shape::List(item), Out::List(a), Out::List(b)) if a.len() == b.len() => {
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                compare(item, a, b, &at.child(&(i + 1).to_string()), found);
            }
        }
        (Shape::Year(air), Out::Record(_), Out::Record(_)) => {
            compare(air, a, b, &at.child("all"), found);
        }
        (Shape::Year(air), Out::Map(a), Out::Map(b)) => entries(air, a, b, at, found),
        _ => found.push((at.own.clone(), b.clone())),
    }
}

fn entries(
    item: &Shape,
    a: &[(String, Out)],
    b: &[(String, Out)],
    at: &At,
    found: &mut Vec<(String, Out)>,
) {
    let of = |all: &[(String, Out)], key: &str| {
        all.iter()
            .find(|(own, _)| own == key)
            .map(|(_, o)| o.clone())
    };
    for (key, old) in a {
        either(item, (Some(old.clone()), of(b, key)), &at.child(key), found);
    }
    for (key, new) in b {
        if of(a, key).is_none() {
            found.push((at.child(key).own, new.clone()));
        }
    }
}

fn either(
    shape: &Shape,
    pair: (Option<Out>, Option<Out>),
    at: &At,
    found: &mut Vec<(String, Out)>,
) {
    match pair {
        (Some(a), Some(b)) => compare(shape, &a, &b, at, found),
        (None, Some(b)) => found.push((at.own.clone(), b)),
        (Some(_), None) => found.push((at.own.clone(), Out::Word(NOTHING.to_owned()))),
        (None, None) => {}
    }
}

/// Whether entries that are in both stand in the same order, and new ones behind them.
fn keeps_order(a: &[(String, Out)], b: &[(String, Out)]) -> bool {
    let is_in = |all: &[(String, Out)], key: &str| all.iter().any(|(own, _)| own == key);
    let kept: Vec<&String> = a.iter().map(|(k, _)| k).filter(|k| is_in(b, k)).collect();
    b.len() >= kept.len() && kept.iter().zip(b).all(|(k, (own, _))| *k == own)
}
