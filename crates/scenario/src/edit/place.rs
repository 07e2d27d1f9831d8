//! Where the things in a bracket begin and end, with the commas and comments that belong to them.

use crate::text::Span;
use crate::tokens::{Kind, Tokens};
use crate::tree::{Node, Value};

/// A field, an entry or an item in its bracket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thing {
    /// Its name, its key, or its number from 1.
    pub label: String,
    /// Where the name or key stands; of an item, where nothing is.
    pub name: Span,
    /// The value.
    pub value: Span,
    /// Where it begins, with the comments above it.
    pub lead: usize,
    /// The end of its comma, if one follows.
    pub comma: Option<usize>,
    /// Where it ends, with its comma and what is remarked on the same line.
    pub tail: usize,
}

impl Thing {
    /// Where its name or value begins.
    pub const fn start(&self) -> usize {
        if self.name.start < self.name.end {
            self.name.start
        } else {
            self.value.start
        }
    }
}

/// A bracket with its things.
#[derive(Clone, Debug)]
pub struct Bracket {
    /// Just behind the opening one.
    pub open: usize,
    /// Just before the closing one.
    pub close: usize,
    /// What stands in it.
    pub things: Vec<Thing>,
}

impl Bracket {
    /// The bracket of a record, list or map.
    pub fn of(text: &str, node: &Node<'_>) -> Option<Self> {
        let mut things: Vec<Thing> = match &node.value {
            Value::Record(entries) => entries
                .iter()
                .map(|e| thing(e.name, e.name_span, e.node.span))
                .collect(),
            Value::Map(pairs) => pairs
                .iter()
                .map(|(key, value)| {
                    let label = match &key.value {
                        Value::Text(text) => text.to_string(),
                        Value::Word(word) | Value::Number(word) => (*word).to_owned(),
                        _ => String::new(),
                    };
                    thing(&label, key.span, value.span)
                })
                .collect(),
            Value::List(items) | Value::Tuple(items) => items
                .iter()
                .enumerate()
                .map(|(i, n)| thing(&(i + 1).to_string(), Span::default(), n.span))
                .collect(),
            _ => return None,
        };
        let close = node.span.end.checked_sub(1)?;
        let first = things.first().map_or(close, Thing::start);
        let head = text.get(node.span.start..first)?;
        let open = Tokens::new(head)
            .filter(|t| matches!(t.kind, Kind::Open(_)))
            .last()?;
        let open = node.span.start + open.span.end;
        attach(text, open, close, &mut things)?;
        Some(Self {
            open,
            close,
            things,
        })
    }

    /// The thing of that name, key or number.
    pub fn find(&self, label: &str) -> Option<usize> {
        self.things.iter().position(|t| t.label == label)
    }

    /// Whether each thing stands on a line of its own.
    pub fn is_spread(&self, text: &str) -> bool {
        let to = self.things.first().map_or(self.close, |t| t.lead);
        text.get(self.open..to)
            .is_some_and(|gap| gap.contains('\n'))
    }
}

fn thing(label: &str, name: Span, value: Span) -> Thing {
    Thing {
        label: label.to_owned(),
        name,
        value,
        lead: 0,
        comma: None,
        tail: 0,
    }
}

/// Finds commas and comments between the things of a bracket.
fn attach(text: &str, open: usize, close: usize, things: &mut [Thing]) -> Option<()> {
    let has_break = |from: usize, to: usize| text.get(from..to).is_some_and(|t| t.contains('\n'));
    let mut from = open;
    for i in 0..=things.len() {
        let to = things.get(i).map_or(close, Thing::start);
        let between = text.get(from..to)?;
        // What stands on the line on which the thing before ends belongs to that, or to the bracket.
        let mut own = from;
        let mut above: Option<usize> = None;
        let mut last = from;
        for token in Tokens::new(between) {
            let (start, end) = (from + token.span.start, from + token.span.end);
            match token.kind {
                Kind::Comma => {
                    if let Some(before) = i.checked_sub(1).and_then(|b| things.get_mut(b)) {
                        before.comma = Some(end);
                    }
                    own = end;
                    above = None;
                }
                _ if above.is_none() && !has_break(own, start) => own = end,
                _ => {
                    let gap = text.get(last..start)?;
                    let is_apart = gap.matches('\n').count() > 1;
                    if above.is_none() || is_apart {
                        above = Some(start);
                    }
                }
            }
            last = end;
        }
        let is_near = text
            .get(last..to)
            .is_some_and(|gap| gap.matches('\n').count() <= 1);
        if let Some(before) = i.checked_sub(1).and_then(|b| things.get_mut(b)) {
            before.tail = own.max(before.value.end);
        }
        if let Some(now) = things.get_mut(i) {
            now.lead = above.filter(|_| is_near).unwrap_or(to);
            from = now.value.end;
        }
    }
    Some(())
}

/// The spaces before the first sign of the line in which a byte stands.
pub fn indent(text: &str, at: usize) -> usize {
    let before = text.get(..at).unwrap_or_default();
    let line = before.rfind('\n').map_or(0, |i| i + 1);
    let rest = text.get(line..).unwrap_or_default();
    rest.bytes().take_while(|&b| b == b' ').count()
}
