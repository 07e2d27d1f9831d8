//! Label and value, as data.

use serde::Serialize;

/// A label with its value.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fact {
    /// What it is; empty where it goes on with the one before.
    pub label: String,
    /// Its value with the unit, or words.
    pub value: String,
}

/// Labels with their values.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Facts(pub Vec<Fact>);

impl Facts {
    /// Adds one.
    pub fn push(&mut self, label: &str, value: impl Into<String>) {
        self.0.push(Fact {
            label: label.to_owned(),
            value: value.into(),
        });
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}
