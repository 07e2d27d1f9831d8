//! The text of a scenario file before anything in it is understood: limits, nesting, comments, lines.
//!
//! The limits are checked first, in one pass over the bytes, so that no later step can be made to hang, to use much memory
//! or to overflow the stack by a file of any content.

use serde::de::IgnoredAny;

use crate::problem::{Place, Problem};
use crate::syntax::{Stumble, diagnose};
use crate::tokens::{Kind, Tokens};

/// Largest scenario text that is read, bytes.
pub const MAX_BYTES: usize = 1_000_000;
/// Deepest nesting of brackets that is read.
pub const MAX_DEPTH: usize = 32;

/// Most values that are read: commas and brackets outside of texts and comments.
pub const MAX_VALUES: usize = 50_000;

/// A stretch of the text, in bytes from its start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// Where each line of a text begins.
#[derive(Clone, Debug)]
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    /// Finds the lines of `text`.
    #[must_use]
    pub fn new(text: &'t str) -> Self {
        let mut starts = vec![0];
        starts.extend(
            text.bytes()
                .enumerate()
                .filter(|&(_, b)| b == b'\n')
                .map(|(i, _)| i + 1),
        );
        Self { text, starts }
    }

    /// Line and column of a byte, both from 1, the column counted in characters.
    #[must_use]
    pub fn place(&self, byte: usize) -> Place {
        let line = self.starts.partition_point(|&s| s <= byte).max(1);
        let from = self.starts[line - 1];
        let before = self
            .text
            .get(from..byte.min(self.text.len()))
            .unwrap_or_default();
        Place {
            line,
            column: before.chars().count() + 1,
        }
    }

    /// The byte of a line and column, both from 1.
    #[must_use]
    pub fn byte(&self, line: usize, column: usize) -> usize {
        let from = self
            .starts
            .get(line.saturating_sub(1))
            .copied()
            .unwrap_or(self.text.len());
        let rest = self.text.get(from..).unwrap_or_default();
        let within = rest
            .char_indices()
            .nth(column.saturating_sub(1))
            .map_or(rest.len(), |(i, _)| i);
        from + within
    }
}

/// What one pass over the pieces of a text found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Scan {
    /// Byte at which the allowed nesting was first passed.
    too_deep_at: Option<usize>,
    /// Whether there is a comment.
    has_comments: bool,
    /// Commas and opening brackets.
    values: usize,
}

/// Number of comments in a text.
#[must_use]
pub fn count_comments(text: &str) -> usize {
    let all = Tokens::new(text);
    all.filter(|t| matches!(t.kind, Kind::Comment { .. }))
        .count()
}

/// Whether the text holds comments, which [`save`](crate::save) does not keep; [`rewrite`](crate::rewrite) does.
#[must_use]
pub fn has_comments(text: &str) -> bool {
    scan(text).has_comments
}

/// Reads the bytes of a file as text, without the mark that some editors put in front.
///
/// # Errors
/// More than [`MAX_BYTES`], and bytes that are not UTF-8.
pub fn decode(bytes: &[u8]) -> Result<&str, Problem> {
    check_size(bytes.len())?;
    if let [0xfe, 0xff, ..] | [0xff, 0xfe, ..] = bytes {
        let message = "the file is text in UTF-16, which is not read";
        return Err(Problem::of_text(None, message, "save it as UTF-8"));
    }
    let text = std::str::from_utf8(bytes).map_err(|fault| {
        let good = bytes.get(..fault.valid_up_to()).unwrap_or_default();
        let good = std::str::from_utf8(good).unwrap_or_default();
        Problem::of_text(
            Some(Lines::new(good).place(good.len())),
            "here the file is not UTF-8 text",
            "is this the right file? if it is, save it as UTF-8",
        )
    })?;
    Ok(without_mark(text))
}

/// The text behind a byte order mark.
#[must_use]
pub fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

fn check_size(bytes: usize) -> Result<(), Problem> {
    if bytes <= MAX_BYTES {
        return Ok(());
    }
    Err(Problem::of_text(
        None,
        format!("the file holds more than {MAX_BYTES} bytes, which is the most that is read"),
        "a scenario is a few kilobytes: is this the right file?",
    ))
}

/// Checks size, nesting and RON syntax; the first fault is returned with its line and column.
///
/// # Errors
/// A text above [`MAX_BYTES`], nested deeper than [`MAX_DEPTH`], or that is not RON.
pub fn check_syntax(text: &str) -> Result<(), Problem> {
    check_size(text.len())?;
    let found = scan(text);
    if found.values > MAX_VALUES {
        return Err(Problem::of_text(
            None,
            format!(
                "the file holds {} values; at most {MAX_VALUES} are read",
                found.values
            ),
            "a scenario holds some hundreds: is this the right file?",
        ));
    }
    if let Some(at) = found.too_deep_at {
        return Err(Problem::of_text(
            Some(Lines::new(text).place(at)),
            format!("brackets are nested deeper than {MAX_DEPTH}"),
            "look for brackets that are not closed",
        ));
    }
    let options = ron::Options::default().with_recursion_limit(4 * MAX_DEPTH);
    options
        .from_str::<IgnoredAny>(text)
        .map(|_| ())
        .map_err(|fault| {
            let at = Lines::new(text).byte(fault.span.start.line, fault.span.start.col);
            diagnose(
                text,
                &Stumble {
                    at,
                    why: fault.code,
                },
            )
        })
}

/// One pass over the pieces of a text.
fn scan(text: &str) -> Scan {
    let mut found = Scan::default();
    let mut depth = 0_usize;
    for token in Tokens::new(text) {
        match token.kind {
            Kind::Comment { .. } => found.has_comments = true,
            Kind::Comma => found.values += 1,
            Kind::Open(_) => {
                found.values += 1;
                depth += 1;
                if depth > MAX_DEPTH && found.too_deep_at.is_none() {
                    found.too_deep_at = Some(token.span.start);
                }
            }
            Kind::Close(_) => depth = depth.saturating_sub(1),
            Kind::Text { .. } | Kind::Word | Kind::Mark(_) => {}
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_are_told_from_strings() {
        assert!(has_comments("(a: 1) // why"));
        assert!(has_comments("/* x */ ()"));
        assert!(!has_comments(r#"(a: "http://x /* y */")"#));
        assert!(!has_comments(r###"(a: r#"a " // b"#)"###));
        assert!(!has_comments(r#"(a: '"')"#));
    }

    #[test]
    fn nesting_is_bounded_before_parsing() {
        let deep = "(".repeat(33);
        let fault = check_syntax(&deep).unwrap_err();
        assert!(fault.message.contains("deeper than 32"), "{fault}");
        assert_eq!(
            fault.place,
            Some(Place {
                line: 1,
                column: 33
            })
        );
        let in_string = format!("(a: \"{}\")", "(".repeat(100));
        assert!(check_syntax(&in_string).is_ok());
    }

    #[test]
    fn the_first_syntax_error_has_line_and_column() {
        let fault = check_syntax("(\n  a: 1,\n  b 2,\n)").unwrap_err();
        assert_eq!(fault.place.map(|p| p.line), Some(3), "{fault}");
    }

    #[test]
    fn columns_count_characters() {
        let lines = Lines::new("\"°C\" x\ny");
        assert_eq!(lines.place(6), Place { line: 1, column: 6 });
        assert_eq!(lines.place(8), Place { line: 2, column: 1 });
    }
}
