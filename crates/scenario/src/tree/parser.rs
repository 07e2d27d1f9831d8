//! From text to tree.

use std::borrow::Cow;

use super::{Entry, Node, Value};
use crate::problem::Problem;
use crate::text::{Lines, MAX_DEPTH, Span};

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
