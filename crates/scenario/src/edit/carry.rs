//! Carries the differences between two scenarios over to a text.

use super::spot::Spot;
use super::written::Text;
use crate::record::Out;
use crate::schema::Scenario;
use crate::variants::whole;

/// A value to be put at a spot, or taken away.
type Difference = (Spot, Option<Out>);

/// The text with what differs; `None` where a difference has no place in it.
pub fn carry(text: &str, before: &Scenario, after: &Scenario) -> Option<String> {
    let (before, after) = (whole(before)?, whole(after)?);
    put(text, &before, &after, &Spot::default())
}

/// A text without variants with those of `after`. Remarks that stand among the variants of `source`, which was read as `before`, are kept. `None` where
/// there is no place for them.
pub fn with_variants(
    text: &str,
    (source, before): (&str, &Scenario),
    after: &Scenario,
) -> Option<String> {
    let at = Spot::of(&["variants"]);
    let old = Text::of(source).ok()?;
    let raw = Out::Word(old.raw(old.node(&at)?.span).to_owned());
    let text = Text::of(text).ok()?.put(&at, &raw).ok()?;
    put(&text, &variants_of(before)?, &variants_of(after)?, &at)
}

/// The variants of a scenario on their way to text.
fn variants_of(scenario: &Scenario) -> Option<Out> {
    let Out::Record(mut fields) = whole(scenario)? else {
        return None;
    };
    let (name, out) = fields.pop()?;
    (name == "variants").then_some(out)
}

/// The text with what differs between two values of what stands at a spot.
fn put(text: &str, before: &Out, after: &Out, at: &Spot) -> Option<String> {
    let mut differences = Vec::new();
    compare(before, after, at, &mut differences);
    let mut changed = text.to_owned();
    for (at, out) in differences {
        let now = Text::of(&changed).ok()?;
        changed = match out {
            Some(out) => now.put(&at, &out).ok()?,
            None if now.node(&at).is_none() => continue,
            None => now.remove(&at).ok()?,
        };
    }
    Some(changed)
}

fn compare(before: &Out, after: &Out, at: &Spot, found: &mut Vec<Difference>) {
    if before == after {
        return;
    }
    match (before, after) {
        (Out::Record(a), Out::Record(b)) => fields(a, b, at, found),
        (Out::Map(a), Out::Map(b)) if keeps_order(a, b) => fields(a, b, at, found),
        (Out::List(a), Out::List(b)) if a.len() == b.len() => {
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                compare(a, b, &at.child((i + 1).to_string()), found);
            }
        }
        _ => found.push((at.clone(), Some(after.clone()))),
    }
}

/// Whether entries that are in both stand in the same order, and new ones behind them.
fn keeps_order(a: &[(String, Out)], b: &[(String, Out)]) -> bool {
    let kept = a
        .iter()
        .filter(|(k, _)| b.iter().any(|(other, _)| other == k));
    let kept: Vec<&String> = kept.map(|(k, _)| k).collect();
    b.len() >= kept.len() && kept.iter().zip(b).all(|(k, (other, _))| *k == other)
}

fn fields<K: AsRef<str>>(a: &[(K, Out)], b: &[(K, Out)], at: &Spot, found: &mut Vec<Difference>) {
    let of =
        |all: &[(K, Out)], name: &str| all.iter().position(|(other, _)| other.as_ref() == name);
    for (name, out) in b {
        let spot = at.child(name.as_ref());
        match of(a, name.as_ref()).and_then(|i| a.get(i)) {
            Some((_, old)) => compare(old, out, &spot, found),
            None => found.push((spot, Some(out.clone()))),
        }
    }
    for (name, _) in a {
        if of(b, name.as_ref()).is_none() {
            found.push((at.child(name.as_ref()), None));
        }
    }
}
