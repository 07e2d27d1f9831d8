//! Scenario text as a tree in which every value knows where it stands.
//!
//! The `ron` crate has accepted the text before this parser sees it; this one exists because every problem after the
//! syntax is reported at once and with its line, for which each record, value and key must carry its place.

mod parser;

pub use parser::parse;

use std::borrow::Cow;

use crate::text::Span;

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
