//! What a record of a scenario is made of, declared once.
//!
//! The [`record!`](crate::record::record) macro takes each field with its type, default, hint, unit and ranges, and makes from them the struct, the
//! reading from the tree, the writing of text and the listing for the registry, so that no field can escape any of them.

mod choice;
mod field;
mod input;
mod macros;
mod map;
mod meta;
mod reader;
mod shape;
mod write;

pub(crate) use choice::{choice, not_a_choice, worded, words_of};
pub use field::{Change, Field, Kind, Leaf, LeafField, See, SetFault, Spread, join, one_based};
pub use input::{Input, Origin};
pub(crate) use macros::record;
pub use map::{LONGEST_KEY, Map, is_key};
pub use meta::{Mark, Meta, Names};
pub use reader::{MAX_PROBLEMS, Reader};
pub use shape::{Shape, Slot};
pub use write::{Out, OutFields, quoted, to_text, to_text_at};
