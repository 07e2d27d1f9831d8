//! Acceptance tests of the whole program live in this crate's `tests` folder.
