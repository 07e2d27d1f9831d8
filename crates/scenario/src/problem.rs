//! What is wrong with a scenario, said so that a person can put it right.

use std::fmt;

/// Line and column in the file, both from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line.
    pub line: usize,
    /// Column, in characters.
    pub column: usize,
}

/// One thing that is wrong.
///
/// Shown as `41: loop.holding_tank.set_point: "95 °C" is above the allowed 20–90 °C; lower it`; [`Problem::in_file`] puts the name of the file in front.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Problem {
    /// Where it stands in the file; `None` for a problem that has no place there, such as one of a value set by path.
    pub place: Option<Place>,
    /// Dotted path of the input; empty when the text as a whole is meant.
    pub path: String,
    /// The value as written, if one was.
    pub value: Option<String>,
    /// The allowed range or the allowed words, if there are such.
    pub allowed: Option<String>,
    /// What is wrong, with value and allowed range.
    pub message: String,
    /// What to try.
    pub advice: String,
}

impl Problem {
    /// A problem of the text as a whole.
    #[must_use]
    pub fn of_text(
        place: Option<Place>,
        message: impl Into<String>,
        advice: impl Into<String>,
    ) -> Self {
        Self {
            place,
            path: String::new(),
            value: None,
            allowed: None,
            message: message.into(),
            advice: advice.into(),
        }
    }

    /// A problem at a path.
    #[must_use]
    pub fn at(
        path: impl Into<String>,
        message: impl Into<String>,
        advice: impl Into<String>,
    ) -> Self {
        Self {
            path: path.into(),
            ..Self::of_text(None, message, advice)
        }
    }

    /// The same problem with the value that was written.
    #[must_use]
    pub fn with_value(mut self, value: impl Into<String>) -> Self {
        self.value = Some(value.into());
        self
    }

    /// The same problem with what is allowed.
    #[must_use]
    pub fn with_allowed(mut self, allowed: impl Into<String>) -> Self {
        self.allowed = Some(allowed.into());
        self
    }

    /// The problem with the name of the file in front, the way compilers write it.
    #[must_use]
    pub fn in_file(&self, file: &str) -> String {
        match self.place {
            Some(_) => format!("{file}:{self}"),
            None => format!("{file}: {self}"),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = self.place {
            write!(f, "{}", place.line)?;
            if self.path.is_empty() {
                write!(f, ":{}", place.column)?;
            }
            write!(f, ": ")?;
        }
        if !self.path.is_empty() {
            write!(f, "{}: ", self.path)?;
        }
        write!(f, "{}", self.message)?;
        if !self.advice.is_empty() {
            write!(f, "; {}", self.advice)?;
        }
        Ok(())
    }
}

/// The nearest of `names` to a misspelt `word`, if one is near enough to be meant.
#[must_use]
pub fn nearest<'n>(word: &str, names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    const LONGEST: usize = 80;
    // Words that differ by more are strangers, however long they are; it also keeps the search in long lists short.
    const MOST_EDITS: usize = 6;
    // Of words of one or two letters, such as symbols of elements, each stands for something else.
    const LEAST_LETTERS: usize = 3;
    if word.is_empty() || word.len() > LONGEST {
        return None;
    }
    let word = letters(word);
    let is_short = word.len() < LEAST_LETTERS;
    let mut limit = if is_short {
        0
    } else {
        (1 + word.len() / 3).min(MOST_EDITS)
    };
    let mut best = None;
    let mut longer = None;
    for name in names {
        let begins_alike = || name.len() <= LONGEST && letters(name).starts_with(&word);
        if longer.is_none() && !is_short && begins_alike() {
            longer = Some(name);
        }
        if name.len() < LEAST_LETTERS && !is_short {
            continue;
        }
        // Bytes over characters are at most four, so that a much longer name needs no closer look.
        if name.len() > LONGEST || name.len() > 4 * (word.len() + limit) {
            continue;
        }
        if let Some(edits) = distance(&word, &letters(name), limit) {
            best = Some(name);
            let Some(closer) = edits.checked_sub(1) else {
                break;
            };
            limit = closer;
        }
    }
    // A slip of one letter comes first; but a formula without its crystal water is nearer to the whole one than to another.
    if limit == 0 {
        best.or(longer)
    } else {
        longer.or(best)
    }
}

/// The letters of a word, upper and lower case alike.
fn letters(word: &str) -> Vec<char> {
    word.chars().flat_map(char::to_lowercase).collect()
}

/// Edits between two words, if they are at most `limit`: insert, delete, replace, or swap of two neighbours.
fn distance(a: &[char], b: &[char], limit: usize) -> Option<usize> {
    if a.len().abs_diff(b.len()) > limit {
        return None;
    }
    let mut before = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    let mut row = vec![0; b.len() + 1];
    for i in 1..=a.len() {
        row[0] = i;
        for j in 1..=b.len() {
            let replaced = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = replaced.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        // A swap reaches back over one row, so that two rows beyond the limit end the search.
        if row.iter().chain(&last).all(|&edits| edits > limit) {
            return None;
        }
        std::mem::swap(&mut before, &mut last);
        std::mem::swap(&mut last, &mut row);
    }
    last.last().copied().filter(|&edits| edits <= limit)
}

/// A list of words for a message: `a, b or c`.
#[must_use]
pub fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} or {last}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_finds_slips_and_leaves_strangers() {
        let names = ["set_point", "dead_band", "elements"];
        assert_eq!(nearest("setpoint", names), Some("set_point"));
        assert_eq!(nearest("elemnets", names), Some("elements"));
        assert_eq!(nearest("colour", names), None);
        assert_eq!(nearest("Dead_Bnad", names), Some("dead_band"));
        assert_eq!(
            nearest("dead_band", ["dead_bond", "dead_band"]),
            Some("dead_band")
        );
        assert_eq!(
            nearest("abc", ["abd", "aec"]),
            Some("abd"),
            "the first of equals"
        );
        assert_eq!(nearest("Pb", ["B", "Pd"]), None, "another element");
        assert_eq!(nearest("Tin", ["Ni"]), None, "another element");
        let salts = ["H2SO4", "NiSO4.6H2O"];
        assert_eq!(nearest("NiSO4", salts), Some("NiSO4.6H2O"));
        let calendars = ["shifting", "shifts"];
        assert_eq!(nearest("shift", calendars), Some("shifts"));
        assert_eq!(nearest(&"x".repeat(60), [&*"y".repeat(60)]), None);
    }

    #[test]
    fn a_problem_reads_like_a_sentence() {
        let mut p = Problem::at(
            "loop.x",
            "\"95 °C\" is above the allowed 20–90 °C",
            "lower it",
        );
        p.place = Some(Place {
            line: 41,
            column: 5,
        });
        assert_eq!(
            p.in_file("demo.ron"),
            "demo.ron:41: loop.x: \"95 °C\" is above the allowed 20–90 °C; lower it"
        );
    }
}
