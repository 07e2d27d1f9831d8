//! Makes one change in a text.

use super::fresh::{fresh, leaf};
use super::rename::rename;
use super::spot::Spot;
use super::written::Text;
use super::{Edit, SHAPE, Said};
use crate::problem::Problem;
use crate::record::{Kind, LONGEST_KEY, Meta, Out, OutFields, Shape, is_key, quoted};
use crate::schema::{Month, Scenario};
use crate::text::{Span, check_syntax};
use crate::tree::Value;

/// What came of a change.
pub type Changed = Result<String, Problem>;

/// Makes a change.
pub fn apply(text: &str, edit: &Edit, scenario: Option<&std::sync::Arc<Scenario>>) -> Changed {
    let text = Text::of(text)?;
    let changed = match edit {
        Edit::Write { at, text: value } => write(&text, at, value),
        Edit::Say {
            at,
            said,
            text: words,
        } => say(&text, at, *said, words.as_deref()),
        Edit::Add { at, key } => add(&text, at, key.as_deref(), scenario.map(AsRef::as_ref)),
        Edit::Copy { at, key } => copy(&text, at, key.as_deref()),
        Edit::Move { at, is_down } => shift(&text, at, *is_down),
        Edit::Rename { at, key } => {
            check_key(&text, at, key)?;
            rename(&text, at, key)
        }
        Edit::Remove { at } => text.remove(at),
        Edit::EachMonth { at } => months(&text, at),
        Edit::WholeYear { at } => year(&text, at),
    }?;
    // No change may leave a text behind that cannot be read; this is for ways of writing that nobody thought of.
    match check_syntax(&changed) {
        Ok(()) => Ok(changed),
        Err(problem) => Err(Problem {
            path: at_of(edit).segments().join("."),
            ..problem
        }),
    }
}

fn at_of(edit: &Edit) -> &Spot {
    match edit {
        Edit::Write { at, .. }
        | Edit::Say { at, .. }
        | Edit::Add { at, .. }
        | Edit::Copy { at, .. }
        | Edit::Move { at, .. }
        | Edit::Rename { at, .. }
        | Edit::Remove { at }
        | Edit::EachMonth { at }
        | Edit::WholeYear { at } => at,
    }
}

/// What can stand at a spot, and what is declared about it.
pub fn shape_of(at: &Spot) -> Option<(&'static Meta, &'static Shape)> {
    let mut meta = &Meta::EMPTY;
    let mut shape: &'static Shape = &SHAPE;
    for segment in at.segments() {
        let (own, inner) = shape.inner(segment)?;
        if !own.name.is_empty() {
            meta = own;
        }
        shape = inner;
    }
    Some((meta, shape))
}

/// The problem of a spot at which nothing is.
pub fn nothing(at: &Spot) -> Problem {
    let path = at.segments().join(".");
    Problem::at(
        path,
        "nothing stands here any more",
        "look at the list again",
    )
}

fn write(text: &Text<'_>, at: &Spot, value: &str) -> Changed {
    let (_, shape) = shape_of(at).ok_or_else(|| nothing(at))?;
    let Shape::Leaf { kind, .. } = shape else {
        return Err(nothing(at));
    };
    let out = leaf(*kind, value.trim());
    let is_long = text
        .node(at)
        .is_some_and(|n| matches!(n.value, Value::Record(_)));
    if is_long && matches!(kind, Kind::Quantity(_)) {
        text.put(&at.child("value"), &out)
    } else {
        text.put(at, &out)
    }
}

fn say(text: &Text<'_>, at: &Spot, said: Said, words: Option<&str>) -> Changed {
    let (_, shape) = shape_of(at).ok_or_else(|| nothing(at))?;
    let Shape::Leaf {
        kind: kind @ Kind::Quantity(_),
        ..
    } = shape
    else {
        return Err(nothing(at));
    };
    let node = text.node(at).ok_or_else(|| nothing(at))?;
    let mut fields = OutFields::default();
    let raw = |span: Span| Some(Out::Word(text.raw(span).to_owned()));
    let old = |name: &str| match &node.value {
        Value::Record(entries) => raw(entries.iter().find(|e| e.name == name)?.node.span),
        _ if name == "value" => raw(node.span),
        _ => None,
    };
    let new = words.map(str::trim).filter(|w| !w.is_empty());
    let new = new.map(|words| match said {
        Said::Origin => Out::Word(words.to_owned()),
        Said::Low | Said::Likely | Said::High => leaf(*kind, words),
        Said::Notes => Out::Text(words.to_owned()),
    });
    fields.push("value", old("value"));
    let mut count = 0;
    for name in ["origin", "low", "likely", "high", "notes"] {
        let out = if name == said.name() {
            new.clone()
        } else {
            old(name)
        };
        count += usize::from(out.is_some());
        fields.push(name, out);
    }
    let out = match (count, old("value")) {
        (0, Some(value)) => value,
        _ => fields.into_out(),
    };
    text.put(at, &out)
}

fn add(text: &Text<'_>, at: &Spot, key: Option<&str>, scenario: Option<&Scenario>) -> Changed {
    let (meta, shape) = shape_of(at).ok_or_else(|| nothing(at))?;
    match (shape, key) {
        (Shape::Map(item), Some(key)) => {
            let spot = at.child(key);
            check_key(text, &spot, key)?;
            let out = fresh(text, &spot, (meta, item), scenario);
            if text.node(at).is_none() {
                return text.put(at, &Out::Map(vec![(key.to_owned(), out)]));
            }
            text.put(&spot, &out)
        }
        (Shape::List(item), _) => {
            let node = text.node(at);
            let count = node.map_or(0, |n| match &n.value {
                Value::List(items) => items.len(),
                _ => 0,
            });
            let spot = at.child((count + 1).to_string());
            let out = fresh(text, &spot, (meta, item), scenario);
            if node.is_none() {
                return text.put(at, &Out::List(vec![out]));
            }
            text.put(&spot, &out)
        }
        (Shape::Record(_) | Shape::Year(_), _) => {
            text.put(at, &fresh(text, at, (meta, shape), scenario))
        }
        (Shape::Leaf { .. } | Shape::Map(_) | Shape::Apart, _) => Err(nothing(at)),
    }
}

fn copy(text: &Text<'_>, at: &Spot, key: Option<&str>) -> Changed {
    let (bracket, index) = text.around(at)?;
    let thing = bracket.things.get(index).ok_or_else(|| nothing(at))?;
    let body = Out::Word(text.raw(thing.value).to_owned());
    let name = match (key, at.split()) {
        (Some(key), Some((parent, _))) => {
            check_key(text, &parent.child(key), key)?;
            format!("{}: ", quoted(key))
        }
        _ => String::new(),
    };
    Ok(text.insert(&bracket, Some(index), &name, &body))
}

/// Lets a thing change places with the next one or the one before; remarks go with them.
fn shift(text: &Text<'_>, at: &Spot, is_down: bool) -> Changed {
    let (bracket, index) = text.around(at)?;
    let first = if is_down {
        Some(index)
    } else {
        index.checked_sub(1)
    };
    let pair = first.and_then(|i| Some((bracket.things.get(i)?, bracket.things.get(i + 1)?)));
    let Some((a, b)) = pair else {
        return Ok(text.text.to_owned());
    };
    let cut = |from: usize, to: usize| text.text.get(from..to).unwrap_or_default();
    let comma = |t: &super::place::Thing| t.comma.unwrap_or(t.value.end);
    let core = |t: &super::place::Thing| cut(t.lead, t.value.end);
    let remark = |t: &super::place::Thing| cut(comma(t), t.tail);
    let mut gap = cut(a.tail, b.lead).to_owned();
    // What follows a remark behind `//` stands on the next line.
    if remark(b).contains("//") && !gap.contains('\n') {
        gap.insert(0, '\n');
    }
    let mut end = remark(a).to_owned();
    let after = cut(b.tail, bracket.close);
    if end.contains("//") && !after.contains('\n') {
        end.push('\n');
    }
    let swapped = [
        core(b),
        cut(a.value.end, comma(a)),
        remark(b),
        &gap,
        core(a),
        cut(b.value.end, comma(b)),
        &end,
    ]
    .concat();
    let span = Span {
        start: a.lead,
        end: b.tail,
    };
    Ok(text.with(span, &swapped))
}

fn check_key(text: &Text<'_>, at: &Spot, key: &str) -> Result<(), Problem> {
    let path = at.segments().join(".");
    let (parent, _) = at.split().ok_or_else(|| nothing(at))?;
    let has_formulas = shape_of(&parent).is_some_and(|(meta, _)| meta.has_formulas());
    if !is_key(key, has_formulas) {
        let advice = format!(
            "use the letters a to z, digits, `_` and `-`, at most {LONGEST_KEY} of them; names for people go into a title or notes"
        );
        return Err(Problem::at(
            path,
            format!("“{key}” cannot be a key"),
            advice,
        ));
    }
    if text.node(&parent.child(key)).is_some() {
        let message = format!("“{key}” is there already");
        return Err(Problem::at(path, message, "choose another key"));
    }
    Ok(())
}

fn months(text: &Text<'_>, at: &Spot) -> Changed {
    let node = text.node(at).ok_or_else(|| nothing(at))?;
    let one = Out::Word(text.raw(node.span).to_owned());
    let each = Month::WORDS
        .iter()
        .map(|month| ((*month).to_owned(), one.clone()));
    text.put(at, &Out::Map(each.collect()))
}

fn year(text: &Text<'_>, at: &Spot) -> Changed {
    let january = at.child(Month::Jan.word());
    let node = text.node(&january).ok_or_else(|| nothing(at))?;
    text.put(at, &Out::Word(text.raw(node.span).to_owned()))
}
