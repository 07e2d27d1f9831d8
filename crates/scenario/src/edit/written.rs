//! A text with its tree: values put in, things put into brackets and taken out.

use super::apply::{Changed, nothing, shape_of};
use super::place::{Bracket, indent};
use super::spot::Spot;
use crate::problem::Problem;
use crate::record::{Out, Shape, quoted, to_text_at};
use crate::text::Span;
use crate::tree::{Node, Value, parse};

/// A text and its tree.
pub struct Text<'t> {
    pub text: &'t str,
    pub root: Node<'t>,
}

impl<'t> Text<'t> {
    pub fn of(text: &'t str) -> Result<Self, Problem> {
        Ok(Self {
            text,
            root: parse(text)?,
        })
    }

    /// What stands at a spot.
    pub fn node(&self, at: &Spot) -> Option<&Node<'t>> {
        let mut node = &self.root;
        for segment in at.segments() {
            node = match &node.value {
                Value::Record(entries) => &entries.iter().find(|e| e.name == segment)?.node,
                Value::Map(pairs) => {
                    let is_it = |key: &Node<'_>| match &key.value {
                        Value::Text(text) => text == segment,
                        Value::Word(word) => *word == segment,
                        _ => false,
                    };
                    &pairs.iter().find(|(key, _)| is_it(key))?.1
                }
                Value::List(items) | Value::Tuple(items) => {
                    items.get(segment.parse::<usize>().ok()?.checked_sub(1)?)?
                }
                _ => return None,
            };
        }
        Some(node)
    }

    pub fn raw(&self, span: Span) -> &'t str {
        self.text.get(span.start..span.end).unwrap_or_default()
    }

    /// The text with something else in a span.
    pub fn with(&self, span: Span, new: &str) -> String {
        let before = self.text.get(..span.start).unwrap_or_default();
        let after = self.text.get(span.end..).unwrap_or_default();
        format!("{before}{new}{after}")
    }

    /// The bracket around a spot, and which of its things that is.
    pub fn around(&self, at: &Spot) -> Result<(Bracket, usize), Problem> {
        let (parent, label) = at.split().ok_or_else(|| nothing(at))?;
        let node = self.node(&parent).ok_or_else(|| nothing(at))?;
        let bracket = Bracket::of(self.text, node).ok_or_else(|| nothing(at))?;
        let index = bracket.find(label).ok_or_else(|| nothing(at))?;
        Ok((bracket, index))
    }

    /// Puts a value at a spot: in the place of the one that is there, or as a new field or entry.
    pub fn put(&self, at: &Spot, out: &Out) -> Changed {
        if let Some(node) = self.node(at) {
            let depth = indent(self.text, node.span.start) / 4;
            let column = column(self.text, node.span.start);
            return Ok(self.with(node.span, &to_text_at(out, depth, column)));
        }
        let (parent, label) = at.split().ok_or_else(|| nothing(at))?;
        let holder = self.node(&parent).ok_or_else(|| nothing(at))?;
        let bracket = Bracket::of(self.text, holder).ok_or_else(|| nothing(at))?;
        let is_record = matches!(holder.value, Value::Record(_));
        let (name, after) = match shape_of(&parent) {
            Some((_, Shape::Record(slots))) if is_record => {
                let rank = |name: &str| slots.iter().position(|s| s.meta.name == name);
                let own = rank(label);
                let before = bracket.things.iter().rposition(|t| rank(&t.label) < own);
                (format!("{label}: "), before)
            }
            // The long form of an input.
            _ if is_record => {
                let last = bracket.things.len().checked_sub(1);
                (format!("{label}: "), last)
            }
            _ if matches!(holder.value, Value::Map(_)) => {
                let last = bracket.things.len().checked_sub(1);
                (format!("{}: ", quoted(label)), last)
            }
            _ => (String::new(), bracket.things.len().checked_sub(1)),
        };
        Ok(self.insert(&bracket, after, &name, out))
    }

    /// Puts a new thing behind another one, or first.
    pub fn insert(&self, bracket: &Bracket, after: Option<usize>, name: &str, out: &Out) -> String {
        let text = self.text;
        let is_spread = bracket.is_spread(text);
        let deep = bracket.things.first().map_or_else(
            || indent(text, bracket.open) + 4,
            |t| indent(text, t.start()),
        );
        let value = to_text_at(out, deep / 4, deep + name.chars().count());
        let thing = format!("{name}{value}");
        let line = format!("\n{:deep$}", "");
        let Some(last) = after.and_then(|i| bracket.things.get(i)) else {
            let Some(first) = bracket.things.first() else {
                return self.fill(bracket, &thing, deep);
            };
            let gap = if is_spread { line.as_str() } else { " " };
            let at = Span {
                start: first.lead,
                end: first.lead,
            };
            return self.with(at, &format!("{thing},{gap}"));
        };
        let is_remarked = last.tail > last.comma.unwrap_or(last.value.end);
        let gap = if is_spread || is_remarked {
            line.as_str()
        } else {
            " "
        };
        let is_last = after.is_some_and(|i| i + 1 == bracket.things.len());
        let close = if last.comma.is_some() && (is_spread || !is_last) {
            ","
        } else {
            ""
        };
        let at = |byte: usize| Span {
            start: byte,
            end: byte,
        };
        let with = self.with(at(last.tail), &format!("{gap}{thing}{close}"));
        if last.comma.is_some() {
            return with;
        }
        // Bytes before the place of insertion stand where they stood.
        let before = with.get(..last.value.end).unwrap_or_default();
        let rest = with.get(last.value.end..).unwrap_or_default();
        format!("{before},{rest}")
    }

    /// Puts the first thing into an empty bracket.
    fn fill(&self, bracket: &Bracket, thing: &str, deep: usize) -> String {
        let inner = self
            .text
            .get(bracket.open..bracket.close)
            .unwrap_or_default();
        let at = Span {
            start: bracket.open + inner.trim_end().len(),
            end: bracket.close,
        };
        let is_short = inner.trim().is_empty() && !thing.contains('\n');
        if is_short {
            return self.with(at, thing);
        }
        let outer = deep - 4;
        self.with(at, &format!("\n{:deep$}{thing},\n{:outer$}", "", ""))
    }

    /// Takes a thing out of its bracket, with what is remarked on it.
    pub fn remove(&self, at: &Spot) -> Changed {
        let (bracket, index) = self.around(at)?;
        let thing = bracket.things.get(index).ok_or_else(|| nothing(at))?;
        let is_spread = bracket.is_spread(self.text);
        let mut span = Span {
            start: thing.lead,
            end: thing.tail,
        };
        let before = self.text.get(..span.start).unwrap_or_default();
        if is_spread || before.trim_end_matches([' ', '\t']).ends_with('\n') {
            let line = before.trim_end_matches([' ', '\t']);
            span.start = line.strip_suffix('\n').map_or(line.len(), str::len);
        } else if let Some(last) = index
            .checked_sub(1)
            .filter(|_| index + 1 == bracket.things.len())
            .and_then(|i| bracket.things.get(i))
        {
            span.start = last.value.end;
        } else {
            let after = self.text.get(span.end..).unwrap_or_default();
            span.end += after.len() - after.trim_start_matches([' ', '\t']).len();
        }
        Ok(self.with(span, ""))
    }
}

/// Characters before a byte in its line.
fn column(text: &str, at: usize) -> usize {
    let before = text.get(..at).unwrap_or_default();
    let line = before.rfind('\n').map_or(0, |i| i + 1);
    before.get(line..).unwrap_or_default().chars().count()
}
