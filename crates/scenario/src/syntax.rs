//! Why a text cannot be read, in the words of someone who edits the file.
//!
//! The `ron` crate stops at the first place where it cannot go on. That is often far behind the bracket or the quote that was forgotten, so the
//! pieces of the text are looked at once more to name the place that wants mending.

mod here;

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
        .or_else(|| case.beginning())
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
        let last_start = self.tokens.last().map_or(0, |t| t.span.start);
        if doubtful.is_none() && open.len() > 1 && stumble.at >= last_start {
            return Some(self.cut_off(&open));
        }
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

    /// A file that ends within several brackets.
    fn cut_off(&self, open: &[(Token, usize)]) -> Problem {
        let lines: Vec<String> = open
            .iter()
            .map(|(token, _)| {
                format!(
                    "{} of line {}",
                    self.written(token.span),
                    self.line(token.span.start)
                )
            })
            .collect();
        let innermost = lines.last().map_or("", String::as_str);
        let message = format!(
            "the file ends here while {} brackets are open, the innermost {innermost}",
            lines.len()
        );
        self.problem(self.text.len(), message, "is the end of the file missing?")
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
            said("(a: (b: [1,").starts_with(
                "1:12: the file ends here while 3 brackets are open, the innermost [ of line 1"
            ),
            "{}",
            said("(a: (b: [1,")
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
            ("(a: {\"a\" 1})", "1:10: a colon is missing before `1`"),
            ("(b: [a: 1])", "1:6: a name and a colon"),
            ("(a 1)", "1:3: a colon is missing after `a`"),
            ("(a: 1 000)", "1:5: a number with a gap: 1 000"),
            ("name;volume", "1:1: this does not begin like a scenario"),
            ("(a: [\n- b])", "2:1: a dash"),
            ("", "the file is empty"),
            ("// x", "the file holds comments only"),
            ("(a: /* x", "1:5: the comment that begins here has no end"),
            ("(a: \"\\n\\q\")", "1:8: `\\q` means nothing"),
        ] {
            assert!(said(text).starts_with(start), "{text}: {}", said(text));
        }
    }
}
