//! Changing the text of a scenario part by part, whether or not it makes sense meanwhile.
//!
//! A [`Draft`] is a text that can be read as records. Each [`Edit`] changes the few bytes that it is about and leaves everything else, comments
//! included, as it was written. What is wrong with the draft comes with the path of the part that it is about; the
//! scenario is there when nothing is.

mod apply;
mod carry;
mod fresh;
mod known;
mod part;
mod place;
mod rename;
mod spot;
#[cfg(test)]
mod tests;
mod written;

use std::sync::{Arc, LazyLock};

pub use part::{Body, LeafPart, Part};
pub use spot::Spot;

use crate::load::{load, save};
use crate::problem::Problem;
use crate::record::{Field as _, Names, Shape};
use crate::schema::Scenario;
use crate::text::{check_syntax, without_mark};
use crate::tree;

/// What a scenario can hold.
pub(crate) static SHAPE: LazyLock<Shape> = LazyLock::new(Scenario::shape);

/// What an input says besides its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// Where it comes from.
    Origin,
    /// Low end of what it may be.
    Low,
    /// What it most likely is.
    Likely,
    /// High end of what it may be.
    High,
    /// Notes.
    Notes,
}

impl Said {
    /// Its name in the file.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Origin => "origin",
            Self::Low => "low",
            Self::Likely => "likely",
            Self::High => "high",
            Self::Notes => "notes",
        }
    }
}

/// One change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Give an input a value, as a person writes it.
    Write {
        /// The input.
        at: Spot,
        /// Its value.
        text: String,
    },
    /// Say more of an input that has a value; `None` says it no longer.
    Say {
        /// The input.
        at: Spot,
        /// What is said.
        said: Said,
        /// The words.
        text: Option<String>,
    },
    /// Put a record where none is, or a new thing at the end of a list or map. It begins with usual values that are marked as assumed.
    Add {
        /// The record, list or map.
        at: Spot,
        /// Key of the new thing, for a map.
        key: Option<String>,
    },
    /// Put a copy of a thing behind it.
    Copy {
        /// The thing.
        at: Spot,
        /// Key of the copy, in a map.
        key: Option<String>,
    },
    /// Let a thing of a list or map change places with its neighbour.
    Move {
        /// The thing.
        at: Spot,
        /// With the one after it, else with the one before.
        is_down: bool,
    },
    /// Give a thing of a map another key, and everything that names it too.
    Rename {
        /// The thing.
        at: Spot,
        /// The new key.
        key: String,
    },
    /// Take an input, a record or a thing away.
    Remove {
        /// What.
        at: Spot,
    },
    /// Give the air of each month a state of its own, all alike at first.
    EachMonth {
        /// The air.
        at: Spot,
    },
    /// Give the whole year the air of January.
    WholeYear {
        /// The air.
        at: Spot,
    },
}

/// A text that can be read as records, with its parts and what is wrong with them.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    text: String,
    root: Part,
    problems: Vec<Problem>,
    scenario: Option<Arc<Scenario>>,
}

impl Draft {
    /// Reads a text.
    ///
    /// # Errors
    /// When it is no RON; anything else that is wrong is kept with the draft.
    pub fn new(text: impl Into<String>) -> Result<Self, Problem> {
        let text = text.into();
        let text = match without_mark(&text) {
            rest if rest.len() == text.len() => text,
            rest => rest.to_owned(),
        };
        check_syntax(&text)?;
        let root = tree::parse(&text)?;
        let root = part::root(&text, &root, &SHAPE);
        let (scenario, problems) = load(&text);
        Ok(Self {
            text,
            root,
            problems,
            scenario: scenario.map(Arc::new),
        })
    }

    /// The text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Everything that is there and that may be there.
    #[must_use]
    pub const fn root(&self) -> &Part {
        &self.root
    }

    /// Everything that is wrong, in the order of the text.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// The scenario, when nothing is wrong.
    #[must_use]
    pub const fn scenario(&self) -> Option<&Arc<Scenario>> {
        self.scenario.as_ref()
    }

    /// The part at a spot.
    #[must_use]
    pub fn part(&self, at: &Spot) -> Option<&Part> {
        self.root.find(at)
    }

    /// The draft after some changes, one upon the other.
    ///
    /// # Errors
    /// When a change cannot be made: what it is about is not there, or a key is taken.
    pub fn edited(&self, edits: &[Edit]) -> Result<Self, Problem> {
        let mut text = self.text.clone();
        for edit in edits {
            text = apply::apply(&text, edit, self.scenario())?;
        }
        Self::new(text)
    }

    /// The draft with the differences between two scenarios: the second stands to the first as the result to this draft. What cannot be carried over is
    /// left.
    #[must_use]
    pub fn carried(&self, before: &Scenario, after: &Scenario) -> Self {
        carry::carry(&self.text, before, after)
            .and_then(|text| Self::new(text).ok())
            .unwrap_or_else(|| self.clone())
    }

    /// Names that may stand at a spot, the likeliest first. Paths of devices and inputs are those of `last`, for a draft with faults has none.
    #[must_use]
    pub fn known(&self, names: Names, at: &Spot, last: Option<&Scenario>) -> Vec<String> {
        known::known(&self.root, names, at, self.scenario.as_deref().or(last))
    }
}

/// The text of a scenario that was read from `source` as `before` and is `after` now: comments and everything that did not change
/// stand as they were written. Where that cannot be, it is [`save`]d anew.
#[must_use]
pub fn rewrite(source: &str, before: &Scenario, after: &Scenario) -> String {
    carry::carry(source, before, after)
        .filter(|text| load(text).0.as_ref() == Some(after))
        .unwrap_or_else(|| save(after))
}

/// The text of a line that was read without variants from `text`, with the variants of `line`. Remarks among the variants of `source`, which was read as
/// `before`, are kept where that can be.
#[must_use]
pub fn with_variants(text: &str, (source, before): (&str, &Scenario), line: &Scenario) -> String {
    if line.variants.is_empty() {
        return text.to_owned();
    }
    carry::with_variants(text, (source, before), line)
        .filter(|text| load(text).0.as_ref() == Some(line))
        .unwrap_or_else(|| rewrite(text, &line.alone(), line))
}
