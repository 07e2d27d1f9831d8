//! Puts what a variant has otherwise into the tree of its line.

use std::borrow::Cow;

use crate::edit::SHAPE;
use crate::problem::{Problem, nearest};
use crate::record::{Shape, Slot};
use crate::registry::Registry;
use crate::schema::{Month, Scenario};
use crate::text::Span;
use crate::tree::{Entry, Node, Value};

/// Why a path leads nowhere.
#[derive(Debug)]
pub enum Stray {
    /// There is no such input or part; what was meant by the segment that is not known, if that can be guessed.
    Unknown(Option<&'static str>),
    /// The line lacks the part that would hold it; its path.
    Absent(String),
    /// An item of a list that is not there, or that is to be taken away.
    Item,
    /// The air is the same all year, or is given for each month.
    Air,
}

impl Stray {
    /// In words, at the place where it was met; `path` is as written.
    pub fn problem(self, line: &Scenario, at: String, path: &str) -> Problem {
        match self {
            Self::Unknown(meant) => {
                let registry = Registry::of(line);
                let near = registry.suggest(path).map(str::to_owned);
                let near = near.or_else(|| meant.map(str::to_owned));
                let advice = near.map_or_else(
                    || "list the inputs to see what there is".to_owned(),
                    |near| format!("did you mean `{near}`?"),
                );
                Problem::at(at, "there is no such input or part", advice)
            }
            Self::Absent(part) => Problem::at(
                at,
                format!("the line has no `{part}`"),
                format!("write all of it under `{part}`"),
            ),
            Self::Item => Problem::at(
                at,
                "the list has no such item, or it is to be taken away",
                "write the whole list under its path",
            ),
            Self::Air => Problem::at(
                at,
                "the air of the line is told in another way",
                "`all` stands for the whole year and `Jan` to `Dec` for months; or write all of the air under its path",
            ),
        }
    }
}

/// Puts a value at a path; the word `None` takes away what stands there. `from` is where the path is written.
pub fn put<'t>(root: &mut Node<'t>, path: &str, new: &Node<'t>, from: Span) -> Result<(), Stray> {
    let put = Put { path, new, from };
    if let Shape::Record(slots) = &*SHAPE
        && !slots.iter().any(|s| begins(path, s.meta.name))
        && let Some(slot) = slots.iter().find(|s| s.meta.is_flat())
        && let Some(loops) = field(root, slot.meta.name)
    {
        // Loops stand in paths under their own keys.
        let known = map_keys(loops);
        if known.iter().any(|key| begins(path, key)) || !path.contains('.') && !put.is_none() {
            return put.at(loops, &slot.shape, path);
        }
        return Err(Stray::Unknown(None));
    }
    put.at(root, &SHAPE, path)
}

/// Whether a path begins with a name or key.
fn begins(path: &str, name: &str) -> bool {
    rest(path, name).is_some()
}

/// What of a path follows a name.
fn rest<'p>(path: &'p str, name: &str) -> Option<&'p str> {
    let rest = path.strip_prefix(name)?;
    if rest.is_empty() {
        return Some(rest);
    }
    rest.strip_prefix('.')
}

fn field<'n, 't>(node: &'n mut Node<'t>, name: &str) -> Option<&'n mut Node<'t>> {
    let Value::Record(entries) = &mut node.value else {
        return None;
    };
    let entry = entries.iter_mut().find(|e| e.name == name)?;
    Some(&mut entry.node)
}

fn map_keys(node: &Node<'_>) -> Vec<String> {
    let Value::Map(pairs) = &node.value else {
        return Vec::new();
    };
    let text = |key: &Node<'_>| match &key.value {
        Value::Text(text) => Some(text.to_string()),
        _ => None,
    };
    pairs.iter().filter_map(|(key, _)| text(key)).collect()
}

struct Put<'p, 't> {
    path: &'p str,
    new: &'p Node<'t>,
    from: Span,
}

impl<'t> Put<'_, 't> {
    fn is_none(&self) -> bool {
        matches!(self.new.value, Value::Word("None"))
    }

    /// The path as far as it has been followed.
    fn so_far(&self, left: &str) -> String {
        let length = self.path.len() - left.len();
        let done = self.path.get(..length).unwrap_or(self.path);
        done.trim_end_matches('.').to_owned()
    }

    fn at(&self, node: &mut Node<'t>, shape: &'static Shape, path: &str) -> Result<(), Stray> {
        match shape {
            Shape::Record(slots) => self.field(node, slots, path),
            Shape::Map(item) => self.entry(node, item, path),
            Shape::List(item) => self.item(node, item, path),
            Shape::Year(air) => self.air(node, air, path),
            Shape::Leaf { .. } | Shape::Apart => Err(Stray::Unknown(None)),
        }
    }

    fn field(&self, node: &mut Node<'t>, slots: &'static [Slot], path: &str) -> Result<(), Stray> {
        let known = slots.iter().filter(|s| !matches!(s.shape, Shape::Apart));
        let found = known.clone().find(|s| begins(path, s.meta.name));
        let Some(slot) = found else {
            let first = path.split('.').next().unwrap_or(path);
            let near = nearest(first, known.map(|s| s.meta.name));
            return Err(Stray::Unknown(near));
        };
        let left = rest(path, slot.meta.name).unwrap_or_default();
        let Value::Record(entries) = &mut node.value else {
            return Err(Stray::Unknown(None));
        };
        let place = entries.iter().position(|e| e.name == slot.meta.name);
        let is_there = place.is_some_and(|i| !matches!(entries[i].node.value, Value::Word("None")));
        match (place, left.is_empty()) {
            (Some(i), true) if self.is_none() => {
                entries.remove(i);
            }
            (Some(i), true) => {
                entries[i].name_span = self.from;
                entries[i].node = self.new.clone();
            }
            (None, true) if self.is_none() => {}
            (None, true) => entries.push(self.entry_of(slot, self.new.clone())),
            (Some(i), false) if is_there => {
                return self.at(&mut entries[i].node, &slot.shape, left);
            }
            _ if slot.is_option || matches!(slot.shape, Shape::Year(_)) => {
                return Err(Stray::Absent(self.so_far(left)));
            }
            _ => {
                // What a record holds by default is not written; there is room for what is otherwise.
                let value = match slot.shape {
                    Shape::Map(_) => Value::Map(Vec::new()),
                    Shape::List(_) => return Err(Stray::Item),
                    _ => Value::Record(Vec::new()),
                };
                let span = self.from;
                entries.push(self.entry_of(slot, Node { span, value }));
                let last = entries.len() - 1;
                return self.at(&mut entries[last].node, &slot.shape, left);
            }
        }
        Ok(())
    }

    const fn entry_of(&self, slot: &'static Slot, node: Node<'t>) -> Entry<'t> {
        Entry {
            name: slot.meta.name,
            name_span: self.from,
            node,
        }
    }

    fn entry(&self, node: &mut Node<'t>, item: &'static Shape, path: &str) -> Result<(), Stray> {
        let is_empty = matches!(&node.value, Value::Record(entries) if entries.is_empty());
        if is_empty {
            node.value = Value::Map(Vec::new());
        }
        let keys = map_keys(node);
        let Value::Map(pairs) = &mut node.value else {
            return Err(Stray::Unknown(None));
        };
        let mut fitting: Vec<&String> = keys
            .iter()
            .filter(|key| rest(path, key).is_some_and(|left| leads_on(item, left)))
            .collect();
        // A formula may hold the dot of its crystal water: the longest key that fits is meant.
        fitting.sort_by_key(|key| std::cmp::Reverse(key.len()));
        let found = fitting.first().and_then(|key| {
            let is_it =
                |(own, _): &(Node<'_>, Node<'_>)| matches!(&own.value, Value::Text(t) if t == *key);
            Some((pairs.iter().position(is_it)?, rest(path, key)?))
        });
        let Some((place, left)) = found else {
            // What stands below a thing that is there is no new thing: the thing says what it lacks.
            let is_below = |(own, _): &(Node<'_>, Node<'_>)| matches!(&own.value, Value::Text(t) if begins(path, t));
            let below = pairs.iter().position(is_below);
            let below = below.filter(|_| matches!(item, Shape::Record(_)));
            return match below.and_then(|i| Some((i, path.split_once('.')?.1))) {
                Some((i, left)) => self.at(&mut pairs[i].1, item, left),
                None => self.new_entry(pairs, item, path),
            };
        };
        if !left.is_empty() {
            return self.at(&mut pairs[place].1, item, left);
        }
        if self.is_none() {
            pairs.remove(place);
        } else {
            pairs[place].0.span = self.from;
            pairs[place].1 = self.new.clone();
        }
        Ok(())
    }

    /// A thing under a new key.
    fn new_entry(
        &self,
        pairs: &mut Vec<(Node<'t>, Node<'t>)>,
        item: &'static Shape,
        path: &str,
    ) -> Result<(), Stray> {
        if let Some((head, left)) = path.split_once('.')
            && leads_on(item, left)
        {
            let part = self.so_far(path);
            let dot = if part.is_empty() { "" } else { "." };
            return Err(Stray::Absent(format!("{part}{dot}{head}")));
        }
        if self.is_none() {
            return Err(Stray::Unknown(None));
        }
        let key = Node {
            span: self.from,
            value: Value::Text(Cow::Owned(path.to_owned())),
        };
        pairs.push((key, self.new.clone()));
        Ok(())
    }

    fn item(&self, node: &mut Node<'t>, item: &'static Shape, path: &str) -> Result<(), Stray> {
        let (Value::List(items) | Value::Tuple(items)) = &mut node.value else {
            return Err(Stray::Item);
        };
        let (head, left) = path.split_once('.').unwrap_or((path, ""));
        let place = crate::record::one_based(head).ok_or(Stray::Item)?;
        let found = items.get_mut(place).ok_or(Stray::Item)?;
        if !left.is_empty() {
            return self.at(found, item, left);
        }
        if self.is_none() {
            return Err(Stray::Item);
        }
        *found = self.new.clone();
        Ok(())
    }

    fn air(&self, node: &mut Node<'t>, air: &'static Shape, path: &str) -> Result<(), Stray> {
        let (head, left) = path.split_once('.').unwrap_or((path, ""));
        let month = Month::WORDS.iter().find(|m| m.eq_ignore_ascii_case(head));
        let found = match (&mut node.value, month) {
            (Value::Map(pairs), Some(month)) => {
                let is_it = |(key, _): &&mut (Node<'_>, Node<'_>)| match &key.value {
                    Value::Text(text) => text == month,
                    Value::Word(word) => word == month,
                    _ => false,
                };
                let pair = pairs.iter_mut().find(is_it).ok_or(Stray::Air)?;
                &mut pair.1
            }
            (Value::Record(_), None) if head.eq_ignore_ascii_case("all") => node,
            (_, None) if !head.eq_ignore_ascii_case("all") => return Err(Stray::Unknown(None)),
            _ => return Err(Stray::Air),
        };
        if !left.is_empty() {
            return self.at(found, air, left);
        }
        if self.is_none() {
            return Err(Stray::Air);
        }
        *found = self.new.clone();
        Ok(())
    }
}

/// Whether a path may lead on into something of a shape; the empty one is at its end.
fn leads_on(shape: &Shape, path: &str) -> bool {
    match shape {
        _ if path.is_empty() => true,
        Shape::Record(slots) => slots.iter().any(|s| begins(path, s.meta.name)),
        Shape::Leaf { .. } | Shape::Apart => false,
        _ => true,
    }
}
