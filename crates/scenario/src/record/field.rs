//! What every field can do: be read, written, listed, found by path and set by path.

use dragback_units::Dim;

use super::input::Origin;
use super::meta::Meta;
use super::reader::Reader;
use super::shape::Shape;
use super::write::Out;
use crate::problem::Problem;
use crate::tree::Node;

/// Most items of one list.
const MOST_ITEMS: usize = 500;

/// What kind of input a leaf is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A number with a unit, or a bare one.
    Quantity(Dim),
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// Free text, a name, or the key of something else.
    Text,
    /// Yes or no.
    Flag,
}

/// The low, likely and high value of an uncertain input, SI; each may be missing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spread {
    /// Low.
    pub low: Option<f64>,
    /// Likely.
    pub likely: Option<f64>,
    /// High.
    pub high: Option<f64>,
}

/// An input as the registry shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Leaf {
    /// What kind it is.
    pub kind: Kind,
    /// The value as written; `None` when an optional input is absent.
    pub text: Option<String>,
    /// The value in SI, for quantities.
    pub si: Option<f64>,
    /// Where the value comes from, when the scenario says so.
    pub origin: Option<Origin>,
    /// Its spread.
    pub spread: Spread,
    /// Notes on the input.
    pub notes: Option<String>,
    /// Whether the scenario gives it; otherwise it is a default or absent.
    pub is_given: bool,
}

impl Leaf {
    /// A leaf without a value.
    #[must_use]
    pub fn empty(kind: Kind) -> Self {
        Self {
            kind,
            text: None,
            si: None,
            origin: None,
            spread: Spread::default(),
            notes: None,
            is_given: false,
        }
    }

    /// A leaf of plain text.
    #[must_use]
    pub fn of(kind: Kind, text: impl Into<String>) -> Self {
        Self {
            text: Some(text.into()),
            is_given: true,
            ..Self::empty(kind)
        }
    }
}

/// A new value for an input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change<'c> {
    /// As a person writes it; `none` takes an optional input away.
    Text(&'c str),
    /// In SI; the text keeps its unit.
    Si(f64),
    /// Where the value comes from; the value stays.
    Origin(Origin),
}

impl Change<'_> {
    /// Whether it takes an optional input away.
    #[must_use]
    pub fn is_none(self) -> bool {
        matches!(self, Self::Text(t) if t.trim() == "none")
    }
}

/// Why an input could not be set.
#[derive(Clone, Debug, PartialEq)]
pub enum SetFault {
    /// There is no such input.
    NoSuchPath,
    /// The record that would hold it is not in the scenario.
    AbsentRecord(&'static str),
    /// The value does not fit; the problem carries no path yet.
    Value(Box<Problem>),
}

/// The visitor of [`Field::visit`]: path, declaration, input.
pub type See<'s> = dyn FnMut(&str, &'static Meta, Leaf) + 's;

/// A field of a record: a leaf, a record, a list or a map.
pub trait Field: Sized {
    /// It is a leaf: one input.
    const IS_LEAF: bool;
    /// It may be left out and is not there then.
    const IS_OPTION: bool = false;

    /// What it can hold.
    fn shape() -> Shape;

    /// Reads it; what is wrong goes to the reader, and something stands in for it so that reading goes on.
    fn read(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Self;

    /// Its value when the file gives none; `None` when the file must give one.
    fn absent(meta: &'static Meta) -> Option<Self>;

    /// Something to go on with after a problem.
    fn placeholder(meta: &'static Meta) -> Self;

    /// As it is written; `None` when it need not be.
    fn write(&self, meta: &'static Meta) -> Option<Out>;

    /// Shows every input in it.
    fn visit(&self, path: &mut String, meta: &'static Meta, see: &mut See<'_>);

    /// Shows the input that is absent, if it is one.
    fn visit_absent(path: &mut String, meta: &'static Meta, see: &mut See<'_>);

    /// The input at a path.
    fn find(&self, path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)>;

    /// The input at a path below something absent.
    fn find_absent(path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)>;

    /// Sets the input at a path; nothing changes on a fault.
    ///
    /// # Errors
    /// See [`SetFault`].
    fn set(
        &mut self,
        path: &[&str],
        meta: &'static Meta,
        change: Change<'_>,
    ) -> Result<(), SetFault>;
}

/// A field that is one input.
pub trait LeafField: Sized {
    /// Kind.
    fn kind() -> Kind;
    /// How a text with a form of its own is written.
    #[must_use]
    fn example() -> Option<&'static str> {
        None
    }
    /// Reads it.
    fn read_leaf(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Option<Self>;
    /// From text as a person writes it.
    ///
    /// # Errors
    /// What is wrong with the text.
    fn from_words(text: &str, meta: &'static Meta) -> Result<Self, Box<Problem>>;
    /// Stands in after a problem.
    fn stand_in(meta: &'static Meta) -> Self;
    /// As it is written; `None` when it is the default.
    fn write_leaf(&self, meta: &'static Meta) -> Option<Out>;
    /// As the registry shows it.
    fn leaf(&self) -> Leaf;
    /// Changes it.
    ///
    /// # Errors
    /// What is wrong with the new value.
    fn change(&mut self, meta: &'static Meta, change: Change<'_>) -> Result<(), Box<Problem>>;
    /// Marks it as a default that the file did not give.
    #[must_use]
    fn into_default(self) -> Self {
        self
    }
}

impl<T: LeafField> Field for T {
    const IS_LEAF: bool = true;

    fn shape() -> Shape {
        Shape::Leaf {
            kind: Self::kind(),
            example: Self::example(),
        }
    }

    fn read(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Self {
        Self::read_leaf(node, meta, reader).unwrap_or_else(|| Self::stand_in(meta))
    }

    fn absent(meta: &'static Meta) -> Option<Self> {
        Self::from_words(meta.default?, meta)
            .ok()
            .map(Self::into_default)
    }

    fn placeholder(meta: &'static Meta) -> Self {
        Self::absent(meta).unwrap_or_else(|| Self::stand_in(meta))
    }

    fn write(&self, meta: &'static Meta) -> Option<Out> {
        self.write_leaf(meta)
    }

    fn visit(&self, path: &mut String, meta: &'static Meta, see: &mut See<'_>) {
        see(path, meta, self.leaf());
    }

    fn visit_absent(path: &mut String, meta: &'static Meta, see: &mut See<'_>) {
        see(path, meta, Leaf::empty(Self::kind()));
    }

    fn find(&self, path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        path.is_empty().then(|| (meta, self.leaf()))
    }

    fn find_absent(path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        path.is_empty().then(|| (meta, Leaf::empty(Self::kind())))
    }

    fn set(
        &mut self,
        path: &[&str],
        meta: &'static Meta,
        change: Change<'_>,
    ) -> Result<(), SetFault> {
        if !path.is_empty() {
            return Err(SetFault::NoSuchPath);
        }
        self.change(meta, change).map_err(SetFault::Value)
    }
}

impl<T: Field> Field for Option<T> {
    const IS_LEAF: bool = T::IS_LEAF;
    const IS_OPTION: bool = true;

    fn shape() -> Shape {
        T::shape()
    }

    fn read(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Self {
        if matches!(node.value, crate::tree::Value::Word("None")) {
            return None;
        }
        Some(T::read(node, meta, reader))
    }

    fn absent(_: &'static Meta) -> Option<Self> {
        Some(None)
    }

    fn placeholder(_: &'static Meta) -> Self {
        None
    }

    fn write(&self, meta: &'static Meta) -> Option<Out> {
        // An optional leaf that is there is written even where it equals a default.
        let inner = self.as_ref()?;
        if T::IS_LEAF {
            inner.write(&Meta::EMPTY)
        } else {
            inner.write(meta)
        }
    }

    fn visit(&self, path: &mut String, meta: &'static Meta, see: &mut See<'_>) {
        match self {
            Some(inner) => inner.visit(path, meta, see),
            None => T::visit_absent(path, meta, see),
        }
    }

    fn visit_absent(path: &mut String, meta: &'static Meta, see: &mut See<'_>) {
        T::visit_absent(path, meta, see);
    }

    fn find(&self, path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        match self {
            Some(inner) => inner.find(path, meta),
            None => T::find_absent(path, meta),
        }
    }

    fn find_absent(path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        T::find_absent(path, meta)
    }

    fn set(
        &mut self,
        path: &[&str],
        meta: &'static Meta,
        change: Change<'_>,
    ) -> Result<(), SetFault> {
        if T::IS_LEAF && path.is_empty() && change.is_none() {
            *self = None;
            return Ok(());
        }
        if let Some(inner) = self {
            return inner.set(path, meta, change);
        }
        let mut new = if T::IS_LEAF {
            T::placeholder(meta)
        } else {
            if !path.is_empty() && T::find_absent(path, meta).is_none() {
                return Err(SetFault::NoSuchPath);
            }
            T::absent(meta).ok_or(SetFault::AbsentRecord(meta.name))?
        };
        new.set(path, meta, change)?;
        *self = Some(new);
        Ok(())
    }
}

impl<T: Field> Field for Vec<T> {
    const IS_LEAF: bool = false;

    fn shape() -> Shape {
        Shape::List(Box::new(T::shape()))
    }

    fn read(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Self {
        let Some(items) = reader.items(node) else {
            return Self::new();
        };
        if items.len() > MOST_ITEMS {
            let message = format!(
                "{} items are more than the allowed {MOST_ITEMS}",
                items.len()
            );
            reader.fault(
                node.span,
                Problem::of_text(None, message, "split the scenario"),
            );
            return Self::new();
        }
        let mut list = Self::with_capacity(items.len());
        for (i, item) in items.iter().enumerate() {
            list.push(reader.within(&(i + 1).to_string(), |r| T::read(item, meta, r)));
        }
        list
    }

    fn absent(_: &'static Meta) -> Option<Self> {
        Some(Self::new())
    }

    fn placeholder(_: &'static Meta) -> Self {
        Self::new()
    }

    fn write(&self, meta: &'static Meta) -> Option<Out> {
        let items = || self.iter().filter_map(|item| item.write(meta)).collect();
        (!self.is_empty()).then(|| Out::List(items()))
    }

    fn visit(&self, path: &mut String, meta: &'static Meta, see: &mut See<'_>) {
        for (i, item) in self.iter().enumerate() {
            join(path, &(i + 1).to_string(), |path| {
                item.visit(path, meta, see)
            });
        }
    }

    fn visit_absent(_: &mut String, _: &'static Meta, _: &mut See<'_>) {}

    fn find(&self, path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        let (head, rest) = path.split_first()?;
        self.get(one_based(head)?)?.find(rest, meta)
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
        let (head, rest) = path.split_first().ok_or(SetFault::NoSuchPath)?;
        let item = one_based(head)
            .and_then(|i| self.get_mut(i))
            .ok_or(SetFault::NoSuchPath)?;
        item.set(rest, meta, change)
    }
}

/// Position in a list of a number from 1.
#[must_use]
pub fn one_based(segment: &str) -> Option<usize> {
    segment.parse::<usize>().ok()?.checked_sub(1)
}

/// Runs `inner` with `segment` at the end of the path.
pub fn join<R>(path: &mut String, segment: &str, inner: impl FnOnce(&mut String) -> R) -> R {
    let length = path.len();
    if !path.is_empty() {
        path.push('.');
    }
    path.push_str(segment);
    let result = inner(path);
    path.truncate(length);
    result
}
