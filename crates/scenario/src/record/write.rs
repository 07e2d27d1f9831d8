//! From records back to text that people read.

use std::fmt::Write as _;

/// Widest line on which a short record is kept whole, characters.
const WIDTH: usize = 92;

/// A value on its way to text.
#[derive(Clone, Debug, PartialEq)]
pub enum Out {
    /// A bare word or number.
    Word(String),
    /// A quoted text.
    Text(String),
    /// Named fields.
    Record(Vec<(&'static str, Out)>),
    /// Keys and values.
    Map(Vec<(String, Out)>),
    /// A list.
    List(Vec<Out>),
}

/// Fields of a record on their way to text.
#[derive(Clone, Debug, Default)]
pub struct OutFields(Vec<(&'static str, Out)>);

impl OutFields {
    /// Adds a field, unless it need not be written.
    pub fn push(&mut self, name: &'static str, out: Option<Out>) {
        if let Some(out) = out {
            self.0.push((name, out));
        }
    }

    /// The record.
    #[must_use]
    pub fn into_out(self) -> Out {
        Out::Record(self.0)
    }
}

/// The whole document as text, ended by a line break.
#[must_use]
pub fn to_text(out: &Out) -> String {
    let mut text = String::new();
    put(&mut text, out, 0, 0);
    text.push('\n');
    text
}

/// A value that begins at column `column` of a line indented by `depth` steps of four.
#[must_use]
pub fn to_text_at(out: &Out, depth: usize, column: usize) -> String {
    let mut text = String::new();
    put(&mut text, out, depth, column);
    text
}

/// Writes a value that begins at column `column` of a line indented by `depth`.
fn put(text: &mut String, out: &Out, depth: usize, column: usize) {
    let line = flat(out);
    // The document itself and its main parts are always spread out, one field a line.
    let fits = depth > 0 && column + line.chars().count() < WIDTH && !line.contains('\n');
    let (open, close) = match out {
        Out::Word(_) | Out::Text(_) => {
            text.push_str(&line);
            return;
        }
        _ if fits => {
            text.push_str(&line);
            return;
        }
        Out::Record(_) => ('(', ')'),
        Out::Map(_) => ('{', '}'),
        Out::List(_) => ('[', ']'),
    };
    text.push(open);
    for (label, value) in parts(out) {
        text.push('\n');
        let indent = 4 * (depth + 1);
        let _ = write!(text, "{:indent$}{label}", "");
        put(text, value, depth + 1, indent + label.chars().count());
        text.push(',');
    }
    let indent = 4 * depth;
    let _ = write!(text, "\n{:indent$}{close}", "");
}

fn parts(out: &Out) -> Vec<(String, &Out)> {
    match out {
        Out::Record(fields) => fields.iter().map(|(n, o)| (format!("{n}: "), o)).collect(),
        Out::Map(pairs) => pairs
            .iter()
            .map(|(k, o)| (format!("{}: ", quoted(k)), o))
            .collect(),
        Out::List(items) => items.iter().map(|o| (String::new(), o)).collect(),
        Out::Word(_) | Out::Text(_) => Vec::new(),
    }
}

/// The value on one line.
fn flat(out: &Out) -> String {
    let inner = || {
        let all: Vec<String> = parts(out)
            .into_iter()
            .map(|(label, value)| label + &flat(value))
            .collect();
        all.join(", ")
    };
    match out {
        Out::Word(word) => word.clone(),
        Out::Text(text) => quoted(text),
        Out::Record(_) => format!("({})", inner()),
        Out::Map(_) => format!("{{{}}}", inner()),
        Out::List(_) => format!("[{}]", inner()),
    }
}

/// A text in quotes; line breaks stay line breaks, so that long notes remain readable.
pub fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' | '\t' => quoted.push(c),
            c if c.is_control() => {
                let _ = write!(quoted, "\\u{{{:x}}}", u32::from(c));
            }
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_records_stay_on_one_line_and_long_ones_are_spread() {
        let air = Out::Record(vec![("temperature", Out::Text("21 °C".into()))]);
        let site = Out::Record(vec![
            ("room", air.clone()),
            ("notes", Out::Text("a\nb".into())),
        ]);
        let text = to_text(&Out::Record(vec![("site", site), ("air", air)]));
        let wanted = "(\n    site: (\n        room: (temperature: \"21 °C\"),\n        notes: \"a\nb\",\n    ),\n    air: (temperature: \"21 °C\"),\n)\n";
        assert_eq!(text, wanted);
    }

    #[test]
    fn texts_are_escaped() {
        assert_eq!(quoted("a \"b\" \\ \u{7}"), "\"a \\\"b\\\" \\\\ \\u{7}\"");
    }
}
