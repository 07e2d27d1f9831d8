//! The text of a scenario file before anything in it is understood: limits, nesting, comments, lines.
//!
//! The limits are checked first, in one pass over the bytes, so that no later step can be made to hang, to use much memory
//! or to overflow the stack by a file of any content.

use serde::de::IgnoredAny;

use crate::problem::{Place, Problem};

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
        starts.extend(text.bytes().enumerate().filter(|&(_, b)| b == b'\n').map(|(i, _)| i + 1));
        Self { text, starts }
    }

    /// Line and column of a byte, both from 1, the column counted in characters.
    #[must_use]
    pub fn place(&self, byte: usize) -> Place {
        let line = self.starts.partition_point(|&s| s <= byte).max(1);
        let from = self.starts[line - 1];
        let before = self.text.get(from..byte.min(self.text.len())).unwrap_or_default();
        Place { line, column: before.chars().count() + 1 }
    }
}

/// What one pass over the bytes of a text found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Scan {
    /// Deepest nesting of brackets.
    depth: usize,
    /// Byte at which the allowed nesting was first passed.
    too_deep_at: Option<usize>,
    /// Whether there is a comment.
    has_comments: bool,
    /// Commas and opening brackets.
    values: usize,
}

/// Whether the text holds comments, which saving does not keep.
#[must_use]
pub fn has_comments(text: &str) -> bool {
    scan(text).has_comments
}

/// Checks size, nesting and RON syntax; the first fault is returned with its line and column.
///
/// # Errors
/// A text above [`MAX_BYTES`], nested deeper than [`MAX_DEPTH`], or that is not RON.
pub fn check_syntax(text: &str) -> Result<(), Problem> {
    if text.len() > MAX_BYTES {
        return Err(Problem::of_text(
            None,
            format!("the file holds {} bytes; at most {MAX_BYTES} are read", text.len()),
            "a scenario is a few kilobytes: is this the right file?",
        ));
    }
    let found = scan(text);
    if found.values > MAX_VALUES {
        return Err(Problem::of_text(
            None,
            format!("the file holds {} values; at most {MAX_VALUES} are read", found.values),
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
    options.from_str::<IgnoredAny>(text).map(|_| ()).map_err(|fault| {
        let place = Place { line: fault.span.start.line, column: fault.span.start.col };
        Problem::of_text(
            Some(place),
            format!("this cannot be read: {}", plain(&fault.code)),
            "check brackets, quotes and commas here and on the line before",
        )
    })
}

/// The words of a syntax error, in the terms of someone who edits the file.
fn plain(fault: &ron::Error) -> String {
    let words = fault.to_string();
    let mut letters = words.chars();
    let first = letters.next().map(|c| c.to_lowercase().to_string()).unwrap_or_default();
    first + letters.as_str()
}

/// One pass over the bytes; knows strings, raw strings, characters and comments.
fn scan(text: &str) -> Scan {
    let bytes = text.as_bytes();
    let mut found = Scan::default();
    let mut depth = 0_usize;
    let mut i = 0;
    while i < bytes.len() {
        match bytes[i] {
            b'"' => i = after_string(bytes, i + 1),
            b'r' if starts_raw(bytes, i) => i = after_raw(bytes, i + 1),
            b'\'' => i = after_char(text, i),
            b'/' if bytes.get(i + 1) == Some(&b'/') => {
                found.has_comments = true;
                while i < bytes.len() && bytes[i] != b'\n' {
                    i += 1;
                }
            }
            b'/' if bytes.get(i + 1) == Some(&b'*') => {
                found.has_comments = true;
                i = after_block_comment(bytes, i + 2);
            }
            b',' => {
                found.values += 1;
                i += 1;
            }
            b'(' | b'[' | b'{' => {
                found.values += 1;
                depth += 1;
                found.depth = found.depth.max(depth);
                if depth > MAX_DEPTH && found.too_deep_at.is_none() {
                    found.too_deep_at = Some(i);
                }
                i += 1;
            }
            b')' | b']' | b'}' => {
                depth = depth.saturating_sub(1);
                i += 1;
            }
            _ => i += 1,
        }
    }
    found
}

fn after_string(bytes: &[u8], mut i: usize) -> usize {
    while i < bytes.len() {
        match bytes[i] {
            b'\\' => i += 2,
            b'"' => return i + 1,
            _ => i += 1,
        }
    }
    i
}

const fn is_word(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || byte == b'_' || byte >= 0x80
}

/// Whether the `r` at `i` opens a raw string.
fn starts_raw(bytes: &[u8], i: usize) -> bool {
    let word_before = |at: usize| at > 0 && is_word(bytes[at - 1]);
    let is_free = !word_before(i) || (bytes[i - 1] == b'b' && !word_before(i - 1));
    let mut k = i + 1;
    while bytes.get(k) == Some(&b'#') {
        k += 1;
    }
    is_free && bytes.get(k) == Some(&b'"')
}

fn after_raw(bytes: &[u8], mut i: usize) -> usize {
    let mut hashes = 0;
    while bytes.get(i) == Some(&b'#') {
        hashes += 1;
        i += 1;
    }
    i += 1;
    while i < bytes.len() {
        if bytes[i] == b'"' && bytes[i + 1..].iter().take(hashes).filter(|&&b| b == b'#').count() == hashes {
            return i + 1 + hashes;
        }
        i += 1;
    }
    i
}

fn after_char(text: &str, i: usize) -> usize {
    let rest = text.get(i + 1..).unwrap_or_default();
    let mut letters = rest.char_indices();
    match letters.next() {
        Some((_, '\\')) => rest
            .char_indices()
            .skip(2)
            .find(|&(_, c)| c == '\'')
            .map_or(i + 1, |(k, _)| i + 2 + k),
        Some(_) => match letters.next() {
            Some((k, '\'')) => i + 2 + k,
            _ => i + 1,
        },
        None => i + 1,
    }
}

fn after_block_comment(bytes: &[u8], mut i: usize) -> usize {
    let mut depth = 1;
    while i < bytes.len() && depth > 0 {
        match (bytes[i], bytes.get(i + 1)) {
            (b'/', Some(b'*')) => {
                depth += 1;
                i += 2;
            }
            (b'*', Some(b'/')) => {
                depth -= 1;
                i += 2;
            }
            _ => i += 1,
        }
    }
    i
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
        assert_eq!(fault.place, Some(Place { line: 1, column: 33 }));
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
