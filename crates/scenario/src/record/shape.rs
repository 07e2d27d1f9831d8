//! What can stand where, without a scenario at hand: the same declarations as a tree of its own.

use super::field::Kind;
use super::meta::Meta;

/// What a place in a scenario can hold.
#[derive(Debug)]
pub enum Shape {
    /// One input.
    Leaf {
        /// What kind of input.
        kind: Kind,
        /// How a text with a form of its own is written.
        example: Option<&'static str>,
    },
    /// Named fields, in the order in which they are written.
    Record(Vec<Slot>),
    /// Any number of things by key.
    Map(Box<Shape>),
    /// Any number of things in order.
    List(Box<Shape>),
    /// One for the whole year, or one for each month.
    Year(Box<Shape>),
    /// Something that is no part of the line itself.
    Apart,
}

/// A field of a record.
#[derive(Debug)]
pub struct Slot {
    /// Everything declared about it.
    pub meta: &'static Meta,
    /// The file must give it.
    pub is_needed: bool,
    /// It may be left out and then is not there, which is something else than a default.
    pub is_option: bool,
    /// What it holds.
    pub shape: Shape,
}

impl Shape {
    /// What stands one segment further down.
    #[must_use]
    pub fn inner(&self, segment: &str) -> Option<(&'static Meta, &Self)> {
        match self {
            Self::Leaf { .. } | Self::Apart => None,
            Self::Record(slots) => {
                let slot = slots.iter().find(|s| s.meta.name == segment)?;
                Some((slot.meta, &slot.shape))
            }
            Self::Map(item) | Self::List(item) => Some((&Meta::EMPTY, item)),
            Self::Year(air) => air.inner(segment).or(Some((&Meta::EMPTY, air))),
        }
    }
}
