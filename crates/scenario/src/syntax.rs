//! Why a text cannot be read, in the words of someone who edits the file.
//!
//! The `ron` crate stops at the first place where it cannot go on. That is often far behind the bracket or the quote that was forgotten, so the
//! pieces of the text are looked at once more to name the place that wants mending.

use crate::problem::Problem;
use crate::text::{Lines, Span};
use crate::tokens::{Kind, Token, Tokens};

/// What the reader of RON stumbled over, and where.
#[derive(Clone, Debug)]
pub struct Stumble {
    /// Byte at which it stopped.
    pub at: usize,
    /// Why.
    pub why: ron::Error,
}

/// The problem of a text that cannot be read.
#[must_use]
pub fn diagnose(text: &str, stumble: &Stumble) -> Problem {
    let tokens: Vec<Token> = Tokens::new(text).collect();
    let case = Case {
        text,
        lines: Lines::new(text),
        tokens: &tokens,
    };
    case.nothing()
        .or_else(|| case.quote(stumble.at))
        .or_else(|| case.brackets(stumble))
        .unwrap_or_else(|| case.here(stumble))
}

/// A text under examination.
struct Case<'t> {
    text: &'t str,
    lines: Lines<'t>,
    tokens: &'t [Token],
}

/// A bracket and the one that closes it.
#[derive(Clone, Copy)]
struct Pair {
    open: Token,
    close: Token,
}

impl Case<'_> {
    fn problem(&self, at: usize, message: String, advice: &str) -> Problem {
        Problem::of_text(Some(self.lines.place(at)), message, advice)
    }

    fn line(&self, at: usize) -> usize {
        self.lines.place(at).line
    }

    fn written(&self, span: Span) -> &str {
        self.text.get(span.start..span.end).unwrap_or_default()
    }

    /// The first piece at or behind a byte that is no comment.
    fn piece_at(&self, at: usize) -> Option<Token> {
        let pieces = self
            .tokens
            .iter()
            .filter(|t| !matches!(t.kind, Kind::Comment { .. }));
        pieces.copied().find(|t| t.span.end > at)
    }

    /// The last piece before a byte that is no comment.
    fn piece_before(&self, at: usize) -> Option<Token> {
        let before = self.tokens.iter().rev().filter(|t| t.span.end <= at);
        before
            .copied()
            .find(|t| !matches!(t.kind, Kind::Comment { .. }))
    }

    /// A file without anything to read.
    fn nothing(&self) -> Option<Problem> {
        let is_comment = |t: &Token| matches!(t.kind, Kind::Comment { is_closed: true });
        let message = match self.tokens {
            [] => "the file is empty",
            all if all.iter().all(is_comment) => "the file holds comments only",
            _ => return None,
        };
        let advice = "start from one of the scenarios that come with the program";
        Some(Problem::of_text(None, message, advice))
    }

    /// A quote that is missing, or a comment without its end.
    fn quote(&self, stumble: usize) -> Option<Problem> {
        if let Some(comment) = self
            .tokens
            .iter()
            .find(|t| t.kind == Kind::Comment { is_closed: false })
            && comment.span.start <= stumble
        {
            let message = "the comment that begins here has no end".to_owned();
            return Some(self.problem(comment.span.start, message, "close it with */"));
        }
        let is_text = |t: &Token| matches!(t.kind, Kind::Text { .. });
        let open = self
            .tokens
            .iter()
            .find(|t| t.kind == Kind::Text { is_closed: false });
        if let Some(open) = open.filter(|t| t.span.start <= stumble) {
            let message = "the text that begins at this quote has no closing quote".to_owned();
            return Some(self.problem(open.span.start, message, "close it with \""));
        }
        // A forgotten quote makes the next opening one close the text; what that should have opened then follows at once.
        let next = self.piece_at(stumble)?;
        let before = self.piece_before(next.span.start).filter(is_text)?;
        let touches = before.span.end == next.span.start
            && !matches!(next.kind, Kind::Close(_) | Kind::Comma);
        if !touches {
            return None;
        }
        let (from, to) = (self.line(before.span.start), self.line(before.span.end - 1));
        let message = if from == to {
            "the text that begins at this quote ends at the next quote, in the middle of other text"
                .to_owned()
        } else {
            format!("the text that begins at this quote goes on to the next quote, on line {to}")
        };
        Some(self.problem(
            before.span.start,
            message,
            "look for a quote that is missing, or write a quote inside of a text as \\\"",
        ))
    }

    /// Brackets that do not pair up, as far as that explains the stumble.
    fn brackets(&self, stumble: &Stumble) -> Option<Problem> {
        let mut open: Vec<(Token, usize)> = Vec::new();
        // The innermost bracket whose end begins a line further left than the one in which it was opened.
        let mut doubtful: Option<Pair> = None;
        let mut indent = 0;
        let mut end_before = 0;
        for &token in self.tokens {
            let gap = self
                .text
                .get(end_before..token.span.start)
                .unwrap_or_default();
            end_before = token.span.end;
            let line_break = gap.rfind('\n');
            if let Some(at) = line_break {
                indent = gap.len() - at - 1;
            }
            match token.kind {
                Kind::Open(_) => open.push((token, indent)),
                Kind::Close(found) => {
                    let Some((last, width)) = open.pop() else {
                        return (token.span.start <= stumble.at).then(|| self.too_many(token));
                    };
                    let pair = Pair {
                        open: last,
                        close: token,
                    };
                    if line_break.is_some() && indent < width {
                        doubtful = doubtful.or(Some(pair));
                    }
                    if Some(found) != closing(last) {
                        let blamed = doubtful.unwrap_or(pair);
                        let explains =
                            (blamed.open.span.start..=token.span.start).contains(&stumble.at);
                        return explains.then(|| self.not_closed(blamed.open, Some(token)));
                    }
                }
                _ => {}
            }
        }
        let (first, _) = *open.first()?;
        let blamed = doubtful.map_or(first, |pair| pair.open);
        let explains =
            blamed.span.start <= stumble.at && stumble.why != ron::Error::TrailingCharacters;
        explains.then(|| self.not_closed(blamed, doubtful.map(|pair| pair.close)))
    }

    fn not_closed(&self, open: Token, end: Option<Token>) -> Problem {
        let bracket = self.written(open.span);
        let wanted = closing(open).map_or(')', char::from);
        let message = match end {
            Some(end) => format!(
                "the bracket {bracket} is still open where {} on line {} closes something else",
                self.written(end.span),
                self.line(end.span.start)
            ),
            None => format!("the bracket {bracket} is never closed"),
        };
        self.problem(
            open.span.start,
            message,
            &format!("add {wanted} where it should end"),
        )
    }

    fn too_many(&self, close: Token) -> Problem {
        let bracket = self.written(close.span);
        let message = format!("the bracket {bracket} closes nothing");
        self.problem(
            close.span.start,
            message,
            "take it away, or look for a bracket too many before it",
        )
    }

    /// What is wrong at the very place.
    fn here(&self, stumble: &Stumble) -> Problem {
        let next = self.piece_at(stumble.at);
        let at = next.map_or(self.text.len(), |t| t.span.start);
        if let Some(Token {
            kind: Kind::Mark(c),
            ..
        }) = next
            && let Some((message, advice)) = odd_character(c)
        {
            return self.problem(at, message, advice);
        }
        match &stumble.why {
            ron::Error::TrailingCharacters => self.after_the_end(at),
            ron::Error::ExpectedComma
            | ron::Error::ExpectedArrayEnd
            | ron::Error::ExpectedMapEnd
            | ron::Error::ExpectedStructLikeEnd
            | ron::Error::ExpectedOptionEnd => self.comma(at, next),
            ron::Error::ExpectedMapColon => self.problem(
                at,
                format!("a colon is missing before {}", self.shown(next)),
                "write name: value, or \"key\": value",
            ),
            ron::Error::InvalidEscape(_) => self.problem(
                stumble.at,
                "this text holds a backslash with something that is no escape".to_owned(),
                "write \\\\ for a backslash and \\\" for a quote",
            ),
            ron::Error::Eof => self.problem(
                at,
                "the file ends too early".to_owned(),
                "look for brackets that are not closed",
            ),
            why => self.problem(
                at,
                format!("{} cannot be read here: {}", self.shown(next), plain(why)),
                "check brackets, quotes and commas here and on the line before",
            ),
        }
    }

    fn shown(&self, token: Option<Token>) -> String {
        const LONGEST: usize = 30;
        let Some(token) = token else {
            return "the end of the file".to_owned();
        };
        let written = self.written(token.span);
        let line = written.lines().next().unwrap_or_default();
        let mut short: String = line.chars().take(LONGEST).collect();
        if short.len() < written.len() {
            short.push('…');
        }
        format!("`{short}`")
    }

    fn after_the_end(&self, at: usize) -> Problem {
        let last = self.piece_before(at);
        if let Some(Token {
            kind: Kind::Close(_),
            span,
        }) = last
        {
            let message = format!(
                "more text follows, but {} on line {} has closed the scenario",
                self.written(span),
                self.line(span.start)
            );
            return self.problem(
                at,
                message,
                "take away the text, or look for a closing bracket too many before it",
            );
        }
        let message = "this does not begin like a scenario".to_owned();
        self.problem(
            at,
            message,
            "a scenario begins with ( and holds name: value, separated by commas",
        )
    }

    fn comma(&self, at: usize, next: Option<Token>) -> Problem {
        let before = self.piece_before(at);
        let starts_value =
            next.is_some_and(|t| matches!(t.kind, Kind::Word | Kind::Mark('%' | '/')));
        let number = before.filter(|t| {
            t.kind == Kind::Word
                && self
                    .written(t.span)
                    .starts_with(|c: char| c.is_ascii_digit())
        });
        if let Some(number) = number.filter(|_| starts_value)
            && self.line(number.span.start) == self.line(at)
        {
            let message = format!(
                "a value with a unit stands without quotes: {} …",
                self.written(number.span)
            );
            return self.problem(
                number.span.start,
                message,
                "write it in quotes, like \"4500 L\"",
            );
        }
        if next.is_some_and(|t| t.kind == Kind::Mark(':')) {
            let message = "a name and a colon stand where a value is expected".to_owned();
            let at = before.map_or(at, |t| t.span.start);
            return self.problem(
                at,
                message,
                "use ( ) for names with values, { } for keys in quotes, [ ] for values alone",
            );
        }
        let after = before.map_or(at, |t| t.span.end);
        let message = format!("a comma is missing before {}", self.shown(next));
        self.problem(after, message, "separate values by commas")
    }
}

/// The bracket that closes one.
fn closing(open: Token) -> Option<u8> {
    match open.kind {
        Kind::Open(b'(') => Some(b')'),
        Kind::Open(b'[') => Some(b']'),
        Kind::Open(b'{') => Some(b'}'),
        _ => None,
    }
}

/// Characters that people and word processors put in place of those that are read.
fn odd_character(c: char) -> Option<(String, &'static str)> {
    let (what, advice) = match c {
        '“' | '”' | '„' | '‟' | '«' | '»' | '‘' | '’' | '‚' | '`' => (
            format!("the quote {c} is not read"),
            "use the straight quote \"",
        ),
        '\'' => (
            "the quote ' is not read".to_owned(),
            "use the straight quote \"",
        ),
        '=' => (
            "an equals sign stands where a colon or a comma is expected".to_owned(),
            "write name: value",
        ),
        ';' => (
            "a semicolon stands where a comma is expected".to_owned(),
            "separate values by commas",
        ),
        '#' => (
            "a # stands where a name or a value is expected".to_owned(),
            "begin comments with //",
        ),
        '<' => (
            "a < stands where a scenario is expected".to_owned(),
            "is this the right file? it looks like a web page",
        ),
        c if c.is_control() || c == '\u{fffd}' => (
            format!("the character U+{:04X} is no text", u32::from(c)),
            "is this the right file? save it as plain text in UTF-8",
        ),
        _ => return None,
    };
    Some((what, advice))
}

/// The words of a fault without the terms of programmers.
fn plain(fault: &ron::Error) -> String {
    use ron::Error as E;
    match fault {
        E::ExpectedInteger
        | E::ExpectedFloat
        | E::FloatUnderscore
        | E::UnderscoreAtBeginning
        | E::IntegerOutOfBounds
        | E::InvalidIntegerDigit { .. } => {
            "it is not a number of digits and a decimal point".to_owned()
        }
        E::ExpectedString | E::ExpectedStringEnd | E::ExpectedByteString => {
            "a text in quotes is expected".to_owned()
        }
        E::ExpectedIdentifier | E::InvalidIdentifier(_) | E::SuggestRawIdentifier(_) => {
            "a name is expected".to_owned()
        }
        E::ExpectedAttribute | E::ExpectedAttributeEnd | E::NoSuchExtension(_) => {
            "it is not part of a scenario".to_owned()
        }
        _ => "a value is expected".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use crate::text::check_syntax;

    fn said(text: &str) -> String {
        check_syntax(text).map_or_else(|p| p.to_string(), |()| "good".to_owned())
    }

    #[test]
    fn the_bracket_that_was_forgotten_is_named_not_the_end_of_the_file() {
        let text = "(\n    a: (\n        b: 1,\n    c: [\n        1,\n    ],\n)\n";
        assert!(
            said(text).starts_with("2:8: the bracket ( is still open where ) on line 7"),
            "{}",
            said(text)
        );
        let text = "(\n    a: {\n        \"b\": 1,\n    c: 2,\n)\n";
        assert!(
            said(text).starts_with("2:8: the bracket { is still open"),
            "{}",
            said(text)
        );
        assert!(
            said("(a: (1)").starts_with("1:1: the bracket ( is never closed"),
            "{}",
            said("(a: (1)")
        );
    }

    #[test]
    fn a_bracket_too_many_is_named() {
        let text = "(\n  a: (b: 1)),\n  c: 2,\n)";
        assert!(
            said(text).starts_with("2:13: more text follows, but ) on line 2"),
            "{}",
            said(text)
        );
        assert!(said("(a: 1))").starts_with("1:7: "), "{}", said("(a: 1))"));
    }

    #[test]
    fn the_text_without_its_quote_is_named() {
        let text = "(\n  a: \"x,\n  b: \"y\",\n)";
        assert!(
            said(text).starts_with("2:6: the text that begins at this quote goes on"),
            "{}",
            said(text)
        );
        let text = "(a: \"x, b: \"y\")";
        assert!(
            said(text).starts_with("1:5: the text that begins at this quote ends"),
            "{}",
            said(text)
        );
        assert!(
            said("(a: \"x)").starts_with("1:5: the text that begins at this quote has"),
            "{}",
            said("(a: \"x)")
        );
    }

    #[test]
    fn what_people_write_by_habit_is_told() {
        for (text, start) in [
            (
                "(a: 4500 L)",
                "1:5: a value with a unit stands without quotes: 4500",
            ),
            ("(a: “x”)", "1:5: the quote “ is not read"),
            ("(a = 1)", "1:4: an equals sign"),
            ("(a: 1; b: 2)", "1:6: a semicolon"),
            ("(a: 1\n b: 2)", "1:6: a comma is missing before `b`"),
            ("{\"a\" 1}", "1:6: a colon is missing before `1`"),
            ("[a: 1]", "1:2: a name and a colon"),
            ("", "the file is empty"),
            ("// x", "the file holds comments only"),
            ("(a: /* x", "1:5: the comment that begins here has no end"),
            ("(a: \"\\q\")", "1:"),
        ] {
            assert!(said(text).starts_with(start), "{text}: {}", said(text));
        }
    }
}
