//! What is wrong at the very place where a text cannot be read on.

use super::{Case, Stumble};
use crate::problem::Problem;
use crate::text::Span;
use crate::tokens::{Kind, Token};

impl Case<'_> {
    /// What is wrong at the very place.
    pub(super) fn here(&self, stumble: &Stumble) -> Problem {
        let next = self.piece_at(stumble.at);
        let at = next.map_or(self.text.len(), |t| t.span.start);
        if let Some(odd) = self.odd(next) {
            return odd;
        }
        match &stumble.why {
            ron::Error::TrailingCharacters => self.after_the_end(at),
            ron::Error::ExpectedComma
            | ron::Error::ExpectedArrayEnd
            | ron::Error::ExpectedMapEnd
            | ron::Error::ExpectedStructLikeEnd
            | ron::Error::ExpectedOptionEnd => self.comma(at, next),
            ron::Error::ExpectedMapColon => self.colon(at, next),
            ron::Error::InvalidEscape(_) => self.escape(stumble.at),
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

    /// A text that is no scenario at all, but begins in another way.
    pub(super) fn beginning(&self) -> Option<Problem> {
        let mut pieces = self
            .tokens
            .iter()
            .filter(|t| !matches!(t.kind, Kind::Comment { .. }));
        let first = *pieces.next()?;
        let is_named = pieces.next().is_some_and(|t| t.kind == Kind::Open(b'('));
        let is_strange = match first.kind {
            Kind::Word => !is_named,
            Kind::Open(bracket) => bracket != b'(',
            Kind::Text { .. } => true,
            _ => false,
        };
        is_strange.then(|| self.no_scenario(first.span.start))
    }

    fn no_scenario(&self, at: usize) -> Problem {
        self.problem(
            at,
            "this does not begin like a scenario".to_owned(),
            "a scenario begins with ( and holds name: value, separated by commas",
        )
    }

    /// A character that stands for one that is read.
    fn odd(&self, next: Option<Token>) -> Option<Problem> {
        let token = next?;
        let (message, advice) = match token.kind {
            Kind::Mark(c) => odd_character(c)?,
            Kind::Word if self.written(token.span) == "-" => (
                "a dash stands where a name or a value is expected".to_owned(),
                "write a list as [a, b]",
            ),
            _ => return None,
        };
        Some(self.problem(token.span.start, message, advice))
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
        let Some(Token {
            kind: Kind::Close(_),
            span,
        }) = self.piece_before(at)
        else {
            return self.no_scenario(at);
        };
        let message = format!(
            "more text follows, but {} on line {} has closed the scenario",
            self.written(span),
            self.line(span.start)
        );
        let advice = "take away the text, or look for a closing bracket too many before it";
        self.problem(at, message, advice)
    }

    fn comma(&self, at: usize, next: Option<Token>) -> Problem {
        let before = self.piece_before(at);
        if let Some(problem) = self.number_without_quotes(before, next) {
            return problem;
        }
        if next.is_some_and(|t| t.kind == Kind::Mark(':')) {
            let message = "a name and a colon stand where a value is expected".to_owned();
            let at = before.map_or(at, |t| t.span.start);
            let advice =
                "use ( ) for names with values, { } for keys in quotes, [ ] for values alone";
            return self.problem(at, message, advice);
        }
        if let Some(name) = before.filter(|t| t.kind == Kind::Word && self.is_name(*t)) {
            let message = format!("a colon is missing after `{}`", self.written(name.span));
            return self.problem(name.span.end, message, "write name: value");
        }
        let after = before.map_or(at, |t| t.span.end);
        let message = format!("a comma is missing before {}", self.shown(next));
        self.problem(after, message, "separate values by commas")
    }

    /// A number and a unit, or a number with a gap, on one line.
    fn number_without_quotes(&self, before: Option<Token>, next: Option<Token>) -> Option<Problem> {
        let begins_with_digit =
            |t: Token| t.kind == Kind::Word && self.written(t.span).starts_with(is_digit);
        let number = before.filter(|t| begins_with_digit(*t))?;
        let unit = next.filter(|t| matches!(t.kind, Kind::Word | Kind::Mark('%' | '/' | '°')))?;
        let place = number.span.start;
        if self.line(place) != self.line(unit.span.start) {
            return None;
        }
        let both = self.written(Span {
            start: place,
            end: unit.span.end,
        });
        let (message, advice) = if begins_with_digit(unit) {
            let message = format!("a number with a gap: {both}");
            (message, "write it without spaces inside, such as 1000")
        } else {
            let message = format!("a value with a unit stands without quotes: {both} …");
            (message, "write it in quotes, like \"4500 L\"")
        };
        Some(self.problem(place, message, advice))
    }

    /// Whether a word stands where the name of a field is expected.
    fn is_name(&self, word: Token) -> bool {
        let mut open = Vec::new();
        let mut last = None;
        for token in self
            .tokens
            .iter()
            .take_while(|t| t.span.start < word.span.start)
        {
            match token.kind {
                Kind::Open(bracket) => open.push(bracket),
                Kind::Close(_) => drop(open.pop()),
                Kind::Comment { .. } => continue,
                _ => {}
            }
            last = Some(token.kind);
        }
        open.last() == Some(&b'(') && matches!(last, Some(Kind::Comma | Kind::Open(_)))
    }

    fn colon(&self, at: usize, next: Option<Token>) -> Problem {
        let before = self.piece_before(at);
        let is_word = |t: &Token| t.kind == Kind::Word;
        if let (Some(first), Some(second)) = (before.filter(is_word), next.filter(is_word)) {
            let both = self.written(Span {
                start: first.span.start,
                end: second.span.end,
            });
            let message = format!("a colon is missing in `{both}`");
            let advice = "write name: value; a name holds no spaces";
            return self.problem(first.span.start, message, advice);
        }
        let message = format!("a colon is missing before {}", self.shown(next));
        self.problem(at, message, "write name: value, or \"key\": value")
    }

    /// A backslash in a text that does not begin an escape.
    fn escape(&self, at: usize) -> Problem {
        let text = self
            .piece_at(at)
            .map_or(at..at, |t| t.span.start..t.span.end);
        let written = self.text.get(text.clone()).unwrap_or_default();
        let found = first_odd_escape(written);
        let place = text.start + found.map_or(0, |(from, _)| from);
        let shown = found.map_or("a backslash", |(from, to)| {
            written.get(from..to).unwrap_or("\\")
        });
        self.problem(
            place,
            format!("`{shown}` means nothing in a text"),
            "write \\\\ for a backslash and \\\" for a quote",
        )
    }
}

/// The first backslash of a text that does not begin an escape, with what follows it.
fn first_odd_escape(written: &str) -> Option<(usize, usize)> {
    let mut letters = written.char_indices();
    while let Some((from, letter)) = letters.next() {
        if letter != '\\' {
            continue;
        }
        let (at, kind) = letters.next()?;
        let rest = written.get(at + kind.len_utf8()..).unwrap_or_default();
        let is_good = match kind {
            'n' | 't' | 'r' | '0' | '\\' | '"' | '\'' => true,
            'x' => rest.len() >= 2 && rest.chars().take(2).all(|c| c.is_ascii_hexdigit()),
            'u' => rest
                .strip_prefix('{')
                .and_then(|r| r.split_once('}'))
                .is_some_and(|(hex, _)| {
                    u32::from_str_radix(hex, 16).is_ok_and(|code| char::from_u32(code).is_some())
                }),
            _ => false,
        };
        if !is_good {
            return Some((from, at + kind.len_utf8()));
        }
    }
    None
}

const fn is_digit(c: char) -> bool {
    c.is_ascii_digit()
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
