//! The text of a file cut into pieces, whether or not they make sense together.
//!
//! Knows texts in quotes, raw texts, characters and comments, so that nothing inside of them is taken for a bracket or a comma.

use crate::text::Span;

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// `(`, `[` or `{`.
    Open(u8),
    /// `)`, `]` or `}`.
    Close(u8),
    /// `,`.
    Comma,
    /// A text in quotes, and whether its closing quote is there.
    Text {
        /// It ends before the file does.
        is_closed: bool,
    },
    /// A comment, and whether its end is there.
    Comment {
        /// It ends before the file does.
        is_closed: bool,
    },
    /// Letters, digits, `_`, `+`, `-` and `.` in a row.
    Word,
    /// Anything else.
    Mark(char),
}

/// A piece and where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// What.
    pub kind: Kind,
    /// Where.
    pub span: Span,
}

/// The pieces of a text in order, without white space.
#[derive(Clone, Debug)]
pub struct Tokens<'t> {
    text: &'t str,
    at: usize,
}

impl<'t> Tokens<'t> {
    /// Begins at the start of `text`.
    #[must_use]
    pub const fn new(text: &'t str) -> Self {
        Self { text, at: 0 }
    }
}

impl Iterator for Tokens<'_> {
    type Item = Token;

    fn next(&mut self) -> Option<Token> {
        let rest = self.text.get(self.at..)?;
        let start = self.at + (rest.len() - rest.trim_start().len());
        let first = self.text.get(start..)?.chars().next()?;
        let bytes = self.text.as_bytes();
        let (kind, end) = match first {
            '(' | '[' | '{' => (Kind::Open(bytes[start]), start + 1),
            ')' | ']' | '}' => (Kind::Close(bytes[start]), start + 1),
            ',' => (Kind::Comma, start + 1),
            '"' => text(after_string(bytes, start + 1)),
            'r' if starts_raw(bytes, start) => text(after_raw(bytes, start + 1)),
            'b' if bytes.get(start + 1) == Some(&b'r') && starts_raw(bytes, start + 1) => {
                text(after_raw(bytes, start + 2))
            }
            '\'' => (Kind::Mark('\''), after_char(self.text, start)),
            '/' if bytes.get(start + 1) == Some(&b'/') => {
                let rest = self.text.get(start..).unwrap_or_default();
                let end = rest
                    .find('\n')
                    .map_or(self.text.len(), |length| start + length);
                (Kind::Comment { is_closed: true }, end)
            }
            '/' if bytes.get(start + 1) == Some(&b'*') => {
                let (end, is_closed) = after_block_comment(bytes, start + 2);
                (Kind::Comment { is_closed }, end)
            }
            c if is_word(c) => (Kind::Word, after_word(self.text, start)),
            c => (Kind::Mark(c), start + c.len_utf8()),
        };
        self.at = end.clamp(start + 1, self.text.len());
        Some(Token {
            kind,
            span: Span {
                start,
                end: self.at,
            },
        })
    }
}

fn text((end, is_closed): (usize, bool)) -> (Kind, usize) {
    (Kind::Text { is_closed }, end)
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '_' | '+' | '-' | '.')
}

fn after_word(text: &str, start: usize) -> usize {
    let rest = text.get(start..).unwrap_or_default();
    start + rest.find(|c| !is_word(c)).unwrap_or(rest.len())
}

/// The end of a text whose opening quote ends at `i`, and whether it is closed.
fn after_string(bytes: &[u8], mut i: usize) -> (usize, bool) {
    while i < bytes.len() {
        match bytes[i] {
            b'\\' => i += 2,
            b'"' => return (i + 1, true),
            _ => i += 1,
        }
    }
    (bytes.len(), false)
}

/// Whether the `r` at `i` opens a raw text.
fn starts_raw(bytes: &[u8], i: usize) -> bool {
    let hashes = bytes.iter().skip(i + 1).take_while(|&&b| b == b'#').count();
    bytes.get(i + 1 + hashes) == Some(&b'"')
}

/// The end of a raw text whose `r` ends at `i`, and whether it is closed.
fn after_raw(bytes: &[u8], mut i: usize) -> (usize, bool) {
    let hashes = bytes.iter().skip(i).take_while(|&&b| b == b'#').count();
    i += hashes + 1;
    while i < bytes.len() {
        let run = || {
            bytes
                .iter()
                .skip(i + 1)
                .take(hashes)
                .take_while(|&&b| b == b'#')
                .count()
        };
        if bytes[i] == b'"' && run() == hashes {
            return (i + 1 + hashes, true);
        }
        i += 1;
    }
    (bytes.len(), false)
}

/// The end of a character in quotes at `i`; a lone quote ends behind itself.
fn after_char(text: &str, i: usize) -> usize {
    let rest = text.get(i + 1..).unwrap_or_default();
    let mut letters = rest.char_indices();
    match letters.next() {
        Some((_, '\\')) => {
            // The longest escape is `\u{10ffff}`.
            let mut escaped = rest.char_indices().skip(2).take(10);
            escaped
                .find(|&(_, c)| c == '\'')
                .map_or(i + 1, |(k, _)| i + 2 + k)
        }
        Some(_) => match letters.next() {
            Some((k, '\'')) => i + 2 + k,
            _ => i + 1,
        },
        None => i + 1,
    }
}

/// The end of a block comment whose opening ends at `i`, and whether it is closed; such comments nest.
fn after_block_comment(bytes: &[u8], mut i: usize) -> (usize, bool) {
    let mut depth = 1;
    while i < bytes.len() {
        match (bytes[i], bytes.get(i + 1)) {
            (b'/', Some(b'*')) => {
                depth += 1;
                i += 2;
            }
            (b'*', Some(b'/')) => {
                depth -= 1;
                i += 2;
                if depth == 0 {
                    return (i, true);
                }
            }
            _ => i += 1,
        }
    }
    (bytes.len(), false)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<Kind> {
        Tokens::new(text).map(|t| t.kind).collect()
    }

    #[test]
    fn texts_and_comments_hide_what_is_in_them() {
        const TEXT: Kind = Kind::Text { is_closed: true };
        const COMMENT: Kind = Kind::Comment { is_closed: true };
        assert_eq!(kinds(r#" "(," "\"" "#), [TEXT, TEXT]);
        assert_eq!(kinds(r###"r#"a " ("# br"(" // ("###), [TEXT, TEXT, COMMENT]);
        assert_eq!(
            kinds("/* ( /* , */ [ */ x // \"\n'\"' '\\'' 'é'"),
            [
                COMMENT,
                Kind::Word,
                COMMENT,
                Kind::Mark('\''),
                Kind::Mark('\''),
                Kind::Mark('\'')
            ]
        );
    }

    #[test]
    fn what_is_not_closed_is_told() {
        assert_eq!(kinds("\"a\\"), [Kind::Text { is_closed: false }]);
        assert_eq!(kinds("r#\"a\""), [Kind::Text { is_closed: false }]);
        assert_eq!(kinds("/* /* */"), [Kind::Comment { is_closed: false }]);
    }

    #[test]
    fn pieces_cover_the_text_in_order() {
        let text = "(a_1: -2.5e3, “é” °C\u{0}{[']})";
        let mut last = 0;
        for token in Tokens::new(text) {
            assert!(token.span.start >= last && token.span.end > token.span.start);
            assert!(
                text.get(token.span.start..token.span.end).is_some(),
                "{token:?}"
            );
            assert!(text[last..token.span.start].trim().is_empty());
            last = token.span.end;
        }
        assert_eq!(last, text.len());
    }
}
