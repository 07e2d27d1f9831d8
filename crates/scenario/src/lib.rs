//! Scenario files: read, checked, written, addressed by path, and turned into a network.
//!
//! [`load`] turns text into a [`Scenario`] or a list of everything that is wrong with it; [`save`] writes one. Every input has a dotted
//! path: [`Registry`] lists them all, [`get`], [`set`] and [`apply`] read and change them, and [`levers`] names the three that
//! matter most in a loop. No file is opened here; texts come from the caller and go back to it.

mod problem;
mod syntax;
mod text;
mod tokens;
mod tree;

mod record;
mod schema;

mod check;
mod load;
mod lower;

mod called;
mod derived;
mod registry;

mod outline;

mod layout;

mod edit;

mod variants;

pub use called::{called, event_words, in_words, tank_called};
pub use check::{MAX_EVENTS, MAX_LOOPS, MAX_SPECIES, MAX_VESSELS, check, tank_names};
pub use derived::levers;
pub use edit::{Body, Draft, Edit, LeafPart, Part, Said, Spot, rewrite, with_variants};
pub use layout::{Before, ClosedBy, Equipment, Layout, Layouts, Stands};
pub use load::{load, save};
pub use lower::{
    account, calendar_of, device_names, lower, lower_checked, relay_names, salt_yields, species_of,
};
pub use outline::{BATHS, BathKind, Key, Outline, QUESTIONS, Question, least_holding_m2, outline};
pub use problem::{Place, Problem};
pub use record::{Input, Kind, Leaf, Map, Mark, Meta, Names, Origin, Spread};
pub use registry::{Parameter, Registry, apply, get, set, set_origin, set_si};
pub use schema::*;
pub use text::{MAX_BYTES, MAX_DEPTH, MAX_VALUES, count_comments, decode, has_comments};
pub use variants::{LONGEST_NAME, MAX_VARIANTS, Variants};
