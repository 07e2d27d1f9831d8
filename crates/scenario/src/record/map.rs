//! Named things in the order in which the file gives them.

use super::field::{Change, Field, Leaf, See, SetFault, join};
use super::meta::Meta;
use super::reader::Reader;
use super::shape::Shape;
use super::write::Out;
use crate::problem::Problem;
use crate::tree::{Node, Value};

/// Longest key, characters.
pub const LONGEST_KEY: usize = 40;
/// Most entries of one map.
const MOST_ENTRIES: usize = 500;

/// A map that keeps the order of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Map<T>(Vec<(String, T)>);

impl<T> Default for Map<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> Map<T> {
    /// Entries in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (&str, &T)> {
        self.0.iter().map(|(k, v)| (k.as_str(), v))
    }

    /// Keys in order.
    pub fn keys(&self) -> impl ExactSizeIterator<Item = &str> {
        self.0.iter().map(|(k, _)| k.as_str())
    }

    /// Values in order.
    pub fn values(&self) -> impl ExactSizeIterator<Item = &T> {
        self.0.iter().map(|(_, v)| v)
    }

    /// The entry of that key.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&T> {
        self.0.iter().find(|(k, _)| k == key).map(|(_, v)| v)
    }

    /// The entry of that key, to change it.
    pub fn get_mut(&mut self, key: &str) -> Option<&mut T> {
        self.0.iter_mut().find(|(k, _)| k == key).map(|(_, v)| v)
    }

    /// Whether there is an entry of that key.
    #[must_use]
    pub fn contains_key(&self, key: &str) -> bool {
        self.get(key).is_some()
    }

    /// Adds or replaces an entry.
    pub fn insert(&mut self, key: impl Into<String>, value: T) {
        let key = key.into();
        match self.get_mut(&key) {
            Some(old) => *old = value,
            None => self.0.push((key, value)),
        }
    }

    /// Number of entries.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// Whether a key can stand in a path.
#[must_use]
pub fn is_key(key: &str, may_be_formula: bool) -> bool {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    let is_formula =
        |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | '·' | '(' | ')');
    let is_short = !key.is_empty() && key.chars().count() <= LONGEST_KEY;
    is_short
        && if may_be_formula {
            key.chars().all(is_formula)
        } else {
            key.chars().all(is_plain)
        }
}

impl<T> Map<T> {
    /// Splits a path after the key that it begins with; a formula may hold dots.
    fn split<'p, 's>(&self, path: &'p [&'s str]) -> Option<(usize, &'p [&'s str])> {
        (1..=path.len().min(4)).find_map(|n| {
            let key = path[..n].join(".");
            let at = self.0.iter().position(|(k, _)| *k == key)?;
            Some((at, &path[n..]))
        })
    }
}

impl<T: Field> Map<T> {
    fn read_entry<'n>(
        &mut self,
        (key, value): (&'n Node<'_>, &'n Node<'_>),
        meta: &'static Meta,
        reader: &mut Reader<'_>,
    ) {
        let Value::Text(name) = &key.value else {
            reader.wrong_form(key, "a key in quotes", "put the key in quotes");
            return;
        };
        if !is_key(name, meta.has_formulas()) {
            let shown = reader.excerpt(key.span);
            let message = format!("{shown} cannot be a key");
            let advice = format!(
                "use the letters a to z, digits, `_` and `-`, at most {LONGEST_KEY} of them; names for people go into `title` or `notes`"
            );
            reader.fault(key.span, Problem::of_text(None, message, advice));
            return;
        }
        if self.contains_key(name) {
            reader.within(name, |r| {
                r.fault(
                    key.span,
                    Problem::of_text(None, "is given twice", "keep one of them"),
                );
            });
            return;
        }
        let value = reader.within(name, |r| T::read(value, meta, r));
        self.0.push((name.to_string(), value));
    }
}

impl<T: Field> Field for Map<T> {
    const IS_LEAF: bool = false;

    fn shape() -> Shape {
        Shape::Map(Box::new(T::shape()))
    }

    fn read(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Self {
        let mut map = Self::default();
        let pairs = match &node.value {
            Value::Map(pairs) => pairs,
            Value::Record(entries) if entries.is_empty() => return map,
            _ => {
                reader.wrong_form(
                    node,
                    "a map { \"key\": … }",
                    "put { } around the entries and quotes around their keys",
                );
                return map;
            }
        };
        if pairs.len() > MOST_ENTRIES {
            let message = format!(
                "{} entries are more than the allowed {MOST_ENTRIES}",
                pairs.len()
            );
            reader.fault(
                node.span,
                Problem::of_text(None, message, "split the scenario"),
            );
            return map;
        }
        for (key, value) in pairs {
            map.read_entry((key, value), meta, reader);
        }
        map
    }

    fn absent(_: &'static Meta) -> Option<Self> {
        Some(Self::default())
    }

    fn placeholder(_: &'static Meta) -> Self {
        Self::default()
    }

    fn write(&self, meta: &'static Meta) -> Option<Out> {
        if self.is_empty() {
            return None;
        }
        let one = |(k, v): &(String, T)| {
            Some((k.clone(), v.write(meta).or_else(|| v.write(&Meta::EMPTY))?))
        };
        Some(Out::Map(self.0.iter().filter_map(one).collect()))
    }

    fn visit(&self, path: &mut String, meta: &'static Meta, see: &mut See<'_>) {
        for (key, value) in self.iter() {
            join(path, key, |path| value.visit(path, meta, see));
        }
    }

    fn visit_absent(_: &mut String, _: &'static Meta, _: &mut See<'_>) {}

    fn find(&self, path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        let (at, rest) = self.split(path)?;
        self.0[at].1.find(rest, meta)
    }

    fn find_absent(_: &[&str], _: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        None
    }

    fn set(
        &mut self,
        path: &[&str],
        meta: &'static Meta,
        change: Change<'_>,
    ) -> Result<(), SetFault> {
        let (at, rest) = self.split(path).ok_or(SetFault::NoSuchPath)?;
        self.0[at].1.set(rest, meta, change)
    }
}
