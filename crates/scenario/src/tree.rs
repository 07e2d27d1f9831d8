//! Scenario text as a tree in which every value knows where it stands.
//!
//! The `ron` crate has accepted the text before this parser sees it; this one exists because every problem after the
//! syntax is reported at once and with its line, for which each record, value and key must carry its place.

use std::borrow::Cow;

use crate::problem::Problem;
use crate::text::{Lines, MAX_DEPTH, Span};

/// A value and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Node<'t> {
    /// Where.
    pub span: Span,
    /// What.
    pub value: Value<'t>,
}

/// A named field of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry<'t> {
    /// Name.
    pub name: &'t str,
    /// Where the name stands.
    pub name_span: Span,
    /// Its value.
    pub node: Node<'t>,
}

/// What a node holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Value<'t> {
    /// `(a: 1, b: 2)`, with or without a name in front; `()` is an empty one.
    Record(Vec<Entry<'t>>),
    /// `(1, 2)`.
    Tuple(Vec<Node<'t>>),
    /// `[1, 2]`.
    List(Vec<Node<'t>>),
    /// `{"a": 1}`.
    Map(Vec<(Node<'t>, Node<'t>)>),
    /// `"text"`.
    Text(Cow<'t, str>),
    /// `12.5`, as written.
    Number(&'t str),
    /// A bare word: `measured`, `true`, `None`.
    Word(&'t str),
    /// A character or bytes, which no scenario uses.
    Other,
}

impl Value<'_> {
    /// What it is, in words for a message.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Record(_) => "a record ( … )",
            Self::Tuple(_) => "a bracket ( … ) without names",
            Self::List(_) => "a list [ … ]",
            Self::Map(_) => "a map { … }",
            Self::Text(_) => "a text in quotes",
            Self::Number(_) => "a number",
            Self::Word(_) => "a word",
            Self::Other => "a character or bytes",
        }
    }
}

/// Reads text that the `ron` crate has accepted.
///
/// # Errors
/// Text that this parser does not follow (RON that no scenario uses), with its place.
pub fn parse(text: &str) -> Result<Node<'_>, Problem> {
    let mut parser = Parser {
        text,
        at: 0,
        depth: 0,
    };
    let read = parser
        .attributes()
        .and_then(|()| parser.value())
        .and_then(|node| {
            parser.space();
            if parser.at == text.len() {
                Ok(node)
            } else {
                Err("text after the end")
            }
        });
    read.map_err(|what| {
        Problem::of_text(
            Some(Lines::new(text).place(parser.at)),
            format!("this cannot be read: {what}"),
            "write the scenario as records ( ), lists [ ] and maps { } of quoted values",
        )
    })
}

type Read<T> = Result<T, &'static str>;

struct Parser<'t> {
    text: &'t str,
    at: usize,
    depth: usize,
}

impl<'t> Parser<'t> {
    fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn take(&mut self, token: &str) -> bool {
        let found = self.rest().starts_with(token);
        if found {
            self.at += token.len();
        }
        found
    }

    fn take_while(&mut self, keep: impl Fn(char) -> bool) -> &'t str {
        let rest = self.rest();
        let end = rest.find(|c| !keep(c)).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    /// Skips white space and comments.
    fn space(&mut self) {
        loop {
            self.take_while(char::is_whitespace);
            if self.take("//") {
                self.take_while(|c| c != '\n');
            } else if self.take("/*") {
                let mut depth = 1;
                while depth > 0 && self.at < self.text.len() {
                    if self.take("/*") {
                        depth += 1;
                    } else if self.take("*/") {
                        depth -= 1;
                    } else {
                        self.at += self.peek().map_or(1, char::len_utf8);
                    }
                }
            } else {
                return;
            }
        }
    }

    /// Skips `#![enable(…)]` lines, which change nothing here.
    fn attributes(&mut self) -> Read<()> {
        self.space();
        while self.take("#") {
            let rest = self.rest();
            let end = rest.find(']').ok_or("an attribute that is not closed")?;
            self.at += end + 1;
            self.space();
        }
        Ok(())
    }

    fn value(&mut self) -> Read<Node<'t>> {
        self.space();
        self.depth += 1;
        if self.depth > 2 * MAX_DEPTH {
            return Err("too deep");
        }
        let start = self.at;
        let value = match self.peek().ok_or("the text ends too early")? {
            '(' => self.round()?,
            '[' => self.list()?,
            '{' => self.map()?,
            '"' => self.string()?,
            '\'' => self.character()?,
            c if c.is_ascii_digit() || matches!(c, '+' | '-' | '.') => {
                Value::Number(self.take_while(is_number_part))
            }
            c if c.is_alphabetic() || c == '_' => self.word()?,
            _ => return Err("an unexpected character"),
        };
        self.depth -= 1;
        Ok(Node {
            span: Span {
                start,
                end: self.at,
            },
            value,
        })
    }

    /// A bare word, a raw string, or a named record such as `Scenario(…)`.
    fn word(&mut self) -> Read<Value<'t>> {
        let start = self.at;
        for prefix in ["r\"", "r#", "br\"", "br#", "b\"", "b'"] {
            if !self.rest().starts_with(prefix) {
                continue;
            }
            if prefix == "b\"" || prefix == "b'" {
                self.at += 1;
                let _ = if prefix == "b\"" {
                    self.string()?
                } else {
                    self.character()?
                };
                return Ok(Value::Other);
            }
            self.at += prefix.len() - 1;
            if let Some(text) = self.raw() {
                let is_bytes = prefix.starts_with('b');
                return Ok(if is_bytes {
                    Value::Other
                } else {
                    Value::Text(Cow::Borrowed(text))
                });
            }
            self.at = start;
        }
        let word = self.name();
        let after = self.at;
        self.space();
        if self.peek() != Some('(') {
            self.at = after;
            return Ok(Value::Word(word));
        }
        match self.round()? {
            // `Some(x)` is `x`; the schema has no use for the wrapper.
            Value::Tuple(mut items) if word == "Some" && items.len() == 1 => {
                Ok(items.pop().map_or(Value::Other, |n| n.value))
            }
            other => Ok(other),
        }
    }

    fn name(&mut self) -> &'t str {
        self.take("r#");
        self.take_while(|c| c.is_alphanumeric() || c == '_')
    }

    /// The rest of a raw string after its `r`; `None` (and nothing moved that matters) for a raw name.
    fn raw(&mut self) -> Option<&'t str> {
        let hashes = self.take_while(|c| c == '#');
        if !self.take("\"") {
            return None;
        }
        let close = format!("\"{hashes}");
        let rest = self.rest();
        let end = rest.find(&close)?;
        self.at += end + close.len();
        Some(&rest[..end])
    }

    fn string(&mut self) -> Read<Value<'t>> {
        self.at += 1;
        let rest = self.rest();
        let stop = rest.find(['"', '\\']).ok_or("a text that is not closed")?;
        if rest.as_bytes()[stop] == b'"' {
            self.at += stop + 1;
            return Ok(Value::Text(Cow::Borrowed(&rest[..stop])));
        }
        let mut text = String::new();
        loop {
            let rest = self.rest();
            let stop = rest.find(['"', '\\']).ok_or("a text that is not closed")?;
            text.push_str(&rest[..stop]);
            self.at += stop + 1;
            if rest.as_bytes()[stop] == b'"' {
                return Ok(Value::Text(Cow::Owned(text)));
            }
            self.escape(&mut text)?;
        }
    }

    /// One escape sequence, after its backslash.
    fn escape(&mut self, text: &mut String) -> Read<()> {
        let letter = self.peek().ok_or("a text that is not closed")?;
        self.at += letter.len_utf8();
        let plain = match letter {
            'n' => '\n',
            't' => '\t',
            'r' => '\r',
            '0' => '\0',
            '\\' | '"' | '\'' => letter,
            'x' => self.code(2)?,
            'u' => {
                if !self.take("{") {
                    return Err("an unknown escape in a text");
                }
                let digits = self.take_while(|c| c.is_ascii_hexdigit());
                self.take("}");
                from_hex(digits)?
            }
            '\n' => {
                self.take_while(char::is_whitespace);
                return Ok(());
            }
            _ => return Err("an unknown escape in a text"),
        };
        text.push(plain);
        Ok(())
    }

    fn code(&mut self, digits: usize) -> Read<char> {
        let hex = self
            .rest()
            .get(..digits)
            .ok_or("a text that is not closed")?;
        self.at += digits;
        from_hex(hex)
    }

    fn character(&mut self) -> Read<Value<'t>> {
        self.at += 1;
        if self.take("\\") {
            let mut ignored = String::new();
            self.escape(&mut ignored)?;
        } else {
            self.at += self
                .peek()
                .ok_or("a character that is not closed")?
                .len_utf8();
        }
        if self.take("'") {
            Ok(Value::Other)
        } else {
            Err("a character that is not closed")
        }
    }

    /// Values until `close`, separated by commas, a comma after the last one allowed.
    fn items<T>(&mut self, close: char, one: impl Fn(&mut Self) -> Read<T>) -> Read<Vec<T>> {
        let mut items = Vec::new();
        loop {
            self.space();
            if self.peek() == Some(close) {
                self.at += close.len_utf8();
                return Ok(items);
            }
            items.push(one(self)?);
            self.space();
            if !self.take(",") && self.peek() != Some(close) {
                return Err("a comma is missing");
            }
        }
    }

    fn list(&mut self) -> Read<Value<'t>> {
        self.at += 1;
        Ok(Value::List(self.items(']', Self::value)?))
    }

    fn map(&mut self) -> Read<Value<'t>> {
        self.at += 1;
        let pairs = self.items('}', |p| {
            let key = p.value()?;
            p.space();
            if !p.take(":") {
                return Err("a colon is missing after a key");
            }
            Ok((key, p.value()?))
        })?;
        Ok(Value::Map(pairs))
    }

    /// A record or a tuple: told apart by whether a name and a colon come first.
    fn round(&mut self) -> Read<Value<'t>> {
        self.at += 1;
        self.space();
        let start = self.at;
        let is_record = self.peek() == Some(')') || {
            let name = self.name();
            self.space();
            !name.is_empty() && self.peek() == Some(':')
        };
        self.at = start;
        if !is_record {
            return Ok(Value::Tuple(self.items(')', Self::value)?));
        }
        let entries = self.items(')', |p| {
            let start = p.at;
            let name = p.name();
            let name_span = Span { start, end: p.at };
            p.space();
            if name.is_empty() || !p.take(":") {
                return Err("a name and a colon are missing");
            }
            Ok(Entry {
                name,
                name_span,
                node: p.value()?,
            })
        })?;
        Ok(Value::Record(entries))
    }
}

const fn is_number_part(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '.' | '_')
}

fn from_hex(digits: &str) -> Read<char> {
    u32::from_str_radix(digits, 16)
        .ok()
        .and_then(char::from_u32)
        .ok_or("an unknown escape in a text")
}

/// Where a dotted path stands: the deepest part of it that the tree holds.
///
/// The first segment that is no top-level field is looked for among the keys of `loops`.
#[must_use]
pub fn locate(root: &Node<'_>, path: &str) -> Span {
    let mut node = root;
    let mut span = Span {
        start: root.span.start,
        end: root.span.start,
    };
    let mut rest = path;
    while !rest.is_empty() {
        let mut next = child(node, rest);
        if next.is_none() && std::ptr::eq(node, root) {
            next = child(root, "loops").and_then(|(_, loops, _)| child(loops, rest));
        }
        let Some((at, inner, length)) = next else {
            break;
        };
        span = at;
        node = inner;
        rest = rest
            .get(length..)
            .unwrap_or_default()
            .trim_start_matches('.');
    }
    span
}

/// The part of a node that a path begins with, and how much of the path it took.
fn child<'n, 't>(node: &'n Node<'t>, path: &str) -> Option<(Span, &'n Node<'t>, usize)> {
    let begins = |name: &str| {
        let is_head = path.get(..name.len()).is_some_and(|head| head == name);
        is_head && matches!(path.as_bytes().get(name.len()), None | Some(b'.'))
    };
    match &node.value {
        Value::Record(entries) => {
            let entry = entries.iter().find(|e| begins(e.name))?;
            Some((entry.name_span, &entry.node, entry.name.len()))
        }
        Value::Map(pairs) => pairs.iter().find_map(|(key, inner)| match &key.value {
            Value::Text(name) if begins(name) => Some((key.span, inner, name.len())),
            _ => None,
        }),
        Value::List(items) | Value::Tuple(items) => {
            let segment = path.split('.').next()?;
            let item = items.get(segment.parse::<usize>().ok()?.checked_sub(1)?)?;
            Some((item.span, item, segment.len()))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text_at(text: &str, path: &str) -> String {
        let root = parse(text).unwrap();
        let span = locate(&root, path);
        text[span.start..span.end].to_owned()
    }

    #[test]
    fn every_form_is_read() {
        let text = r####"#![enable(implicit_some)]
            Scenario( // comment
                a: "x\n\u{b0}", b: r#"raw "q""#, c: [1, -2.5e3,], /* block /* nested */ */
                d: {"k": (e: measured), "l": Some(4)}, e: (1, "two"), f: None, g: (),
            )"####;
        let Value::Record(entries) = parse(text).unwrap().value else {
            panic!("a record")
        };
        let names: Vec<&str> = entries.iter().map(|e| e.name).collect();
        assert_eq!(names, ["a", "b", "c", "d", "e", "f", "g"]);
        assert_eq!(entries[0].node.value, Value::Text("x\n°".into()));
        assert_eq!(entries[1].node.value, Value::Text("raw \"q\"".into()));
        let Value::List(items) = &entries[2].node.value else {
            panic!("a list")
        };
        assert_eq!(items[1].value, Value::Number("-2.5e3"));
        assert_eq!(entries[5].node.value, Value::Word("None"));
        assert_eq!(entries[6].node.value, Value::Record(vec![]));
    }

    #[test]
    fn a_path_leads_to_its_place() {
        let text =
            r#"(site: (altitude: "5 m"), loops: {"loop": (route: [(at: "bath"), (at: "r")])})"#;
        assert_eq!(text_at(text, "site.altitude"), "altitude");
        assert_eq!(text_at(text, "loop.route.2.at"), "at");
        assert_eq!(text_at(text, "loop.route.3.at"), "route");
        let text = r#"(waters: {"TAP": (a: 1), "tap": (b: 2)})"#;
        assert_eq!(text_at(text, "waters.tap"), "\"tap\"", "case matters");
    }

    #[test]
    fn what_is_not_understood_is_refused_with_its_place() {
        for text in [
            "",
            "(",
            "(a: )",
            "(a: \"",
            "(a: \"\\q\")",
            "[1 2]",
            "(a: 1) x",
            "{1 2}",
            "(1, b: 2",
        ] {
            assert!(parse(text).is_err(), "{text}");
        }
    }
}
