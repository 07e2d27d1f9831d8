//! Text with raised and lowered parts, for equations.

use serde::Serialize;

/// Where a part of a formula stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Height {
    /// On the line.
    Line,
    /// Above it: an exponent.
    Raised,
    /// Below it: an index.
    Lowered,
}

/// A part of a formula.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Run {
    /// Its text.
    pub text: String,
    /// Where it stands.
    pub height: Height,
}

/// A formula as parts that stand on, above or below the line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Runs(pub Vec<Run>);

impl Runs {
    /// Reads `C_{N} = C_{0}/r^{N}`: what stands in braces behind `_` is lowered, behind `^` raised.
    #[must_use]
    pub fn parse(text: &str) -> Self {
        let mut runs = Self::default();
        let mut rest = text;
        while let Some(at) = rest.find(['_', '^']) {
            let (before, marked) = rest.split_at(at);
            let inside = marked[1..]
                .strip_prefix('{')
                .and_then(|m| m.split_once('}'));
            let Some((inside, after)) = inside else {
                let (kept, after) = rest.split_at(at + 1);
                runs.push(kept, Height::Line);
                rest = after;
                continue;
            };
            runs.push(before, Height::Line);
            let height = if marked.starts_with('_') {
                Height::Lowered
            } else {
                Height::Raised
            };
            runs.push(inside, height);
            rest = after;
        }
        runs.push(rest, Height::Line);
        runs
    }

    fn push(&mut self, text: &str, height: Height) {
        if !text.is_empty() {
            let text = text.to_owned();
            self.0.push(Run { text, height });
        }
    }

    /// The text alone, for spreadsheets.
    #[must_use]
    pub fn plain(&self) -> String {
        self.0.iter().map(|run| run.text.as_str()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_raise_and_lower() {
        let runs = Runs::parse("C_{N} = C_{0}·r^{−N}, a_b");
        let told: Vec<(&str, Height)> = (runs.0.iter())
            .map(|r| (r.text.as_str(), r.height))
            .collect();
        let (line, low, high) = (Height::Line, Height::Lowered, Height::Raised);
        let wanted = [
            ("C", line),
            ("N", low),
            (" = C", line),
            ("0", low),
            ("·r", line),
            ("−N", high),
            (", a_", line),
            ("b", line),
        ];
        assert_eq!(told, wanted);
        assert_eq!(runs.plain(), "CN = C0·r−N, a_b");
        assert_eq!(Runs::parse("").0, []);
    }
}
