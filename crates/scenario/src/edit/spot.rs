//! Where a part stands.

/// Names of fields, keys, and numbers from 1, from the whole scenario down to one part.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot(Vec<String>);

impl Spot {
    /// From its segments.
    #[must_use]
    pub fn of(segments: &[&str]) -> Self {
        Self(segments.iter().map(|&s| s.to_owned()).collect())
    }

    /// The segments.
    #[must_use]
    pub fn segments(&self) -> &[String] {
        &self.0
    }

    /// One segment further down.
    #[must_use]
    pub fn child(&self, segment: impl Into<String>) -> Self {
        let mut segments = self.0.clone();
        segments.push(segment.into());
        Self(segments)
    }

    /// What holds it, and its own segment; `None` for the whole.
    #[must_use]
    pub fn split(&self) -> Option<(Self, &str)> {
        let (last, rest) = self.0.split_last()?;
        Some((Self(rest.to_vec()), last))
    }

    /// Its own segment; empty for the whole.
    #[must_use]
    pub fn last(&self) -> &str {
        self.0.last().map_or("", String::as_str)
    }

    /// Whether it is another spot or lies within it.
    #[must_use]
    pub fn is_within(&self, outer: &Self) -> bool {
        self.0.starts_with(&outer.0)
    }
}
