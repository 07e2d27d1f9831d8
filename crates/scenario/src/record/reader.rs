//! Reads records from the tree and collects everything that is wrong on the way.

use dragback_units::Dim;

use super::field::{Field, Kind};
use super::meta::Meta;
use crate::problem::{Problem, nearest, one_of};
use crate::text::{Lines, Span};
use crate::tree::{Entry, Node, Value};

/// Most problems that are listed; further ones are counted only.
pub const MAX_PROBLEMS: usize = 200;

/// Most fields that are looked at in one record.
const MOST_FIELDS: usize = 200;

/// Collects problems while a tree is read.
pub struct Reader<'t> {
    lines: Lines<'t>,
    text: &'t str,
    path: String,
    problems: Vec<Problem>,
    unlisted: usize,
    /// Paths of fields that are absent because their name is misspelt.
    misspelt: Vec<String>,
}

impl<'t> Reader<'t> {
    /// A reader of `text`.
    #[must_use]
    pub fn new(text: &'t str) -> Self {
        Self {
            lines: Lines::new(text),
            text,
            path: String::new(),
            problems: Vec::new(),
            unlisted: 0,
            misspelt: Vec::new(),
        }
    }

    /// The lines of the text.
    #[must_use]
    pub const fn lines(&self) -> &Lines<'t> {
        &self.lines
    }

    /// Dotted path of what is being read.
    #[must_use]
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Everything that was wrong, in the order of reading, and the paths of fields whose names are misspelt.
    #[must_use]
    pub fn finish(self) -> (Vec<Problem>, Vec<String>) {
        let mut problems = self.problems;
        if self.unlisted > 0 {
            problems.push(Problem::of_text(
                None,
                format!("{} more problems are not listed", self.unlisted),
                "put these right first",
            ));
        }
        (problems, self.misspelt)
    }

    /// Adds a problem of the place that is being read.
    pub fn fault(&mut self, span: Span, mut problem: Problem) {
        if self.problems.len() >= MAX_PROBLEMS {
            self.unlisted += 1;
            return;
        }
        problem.place = Some(self.lines.place(span.start));
        if problem.path.is_empty() {
            problem.path.clone_from(&self.path);
        }
        self.problems.push(problem);
    }

    /// Adds a problem of a value that is of the wrong form.
    pub fn wrong_form(&mut self, node: &Node<'_>, wanted: &str, advice: &str) {
        let found = node.value.kind();
        let value = self.excerpt(node.span);
        self.fault(
            node.span,
            Problem::of_text(
                None,
                format!("{found} stands where {wanted} is expected"),
                advice,
            )
            .with_value(value),
        );
    }

    /// The text at a span, cut short.
    #[must_use]
    pub fn excerpt(&self, span: Span) -> String {
        const LONGEST: usize = 60;
        let text = self.text.get(span.start..span.end).unwrap_or_default();
        let mut short: String = text.chars().take(LONGEST).collect();
        if short.len() < text.len() {
            short.push('…');
        }
        short
    }

    /// Reads something one segment further down the path.
    pub fn within<R>(&mut self, segment: &str, read: impl FnOnce(&mut Self) -> R) -> R {
        let length = self.path.len();
        if length > 0 {
            self.path.push('.');
        }
        self.path.push_str(segment);
        let result = read(self);
        self.path.truncate(length);
        result
    }

    /// The items of a list.
    pub fn items<'n, 'x>(&mut self, node: &'n Node<'x>) -> Option<&'n [Node<'x>]> {
        match &node.value {
            Value::List(items) | Value::Tuple(items) => Some(items),
            Value::Record(entries) if entries.is_empty() => Some(&[]),
            _ => {
                self.wrong_form(node, "a list [ … ]", "put [ ] around the items");
                None
            }
        }
    }

    /// The fields of a record, with unknown and repeated names reported.
    pub fn fields<'n, 'x>(
        &mut self,
        node: &'n Node<'x>,
        names: &[&'static str],
    ) -> Option<Fields<'n, 'x>> {
        let entries = match &node.value {
            Value::Record(entries) => entries,
            _ => {
                let first = names.first().copied().unwrap_or("notes");
                let advice = format!("write it as ({first}: …) with any of {}", one_of(names));
                self.wrong_form(node, "a record ( … )", &advice);
                return None;
            }
        };
        if entries.len() > MOST_FIELDS {
            let message = format!("{} fields are more than any record holds", entries.len());
            self.fault(
                node.span,
                Problem::of_text(None, message, "is this the right file?"),
            );
            return None;
        }
        let mut meant = Vec::new();
        for (i, entry) in entries.iter().enumerate() {
            if !names.contains(&entry.name) {
                meant.extend(self.unknown(entry, names));
            } else if entries[..i].iter().any(|e| e.name == entry.name) {
                let name = entry.name;
                self.within(name, |r| {
                    r.fault(
                        entry.name_span,
                        Problem::of_text(None, "is given twice", "keep one of them"),
                    );
                });
            }
        }
        Some(Fields {
            entries,
            meant,
            span: node.span,
        })
    }

    /// Reports a field of an unknown name and returns the name that was probably meant.
    fn unknown(&mut self, entry: &Entry<'_>, names: &[&'static str]) -> Option<&'static str> {
        let meant = nearest(entry.name, names.iter().copied());
        let advice = match meant {
            Some(name) => format!("did you mean `{name}`?"),
            None => format!("known here: {}", one_of(names)),
        };
        let name: String = entry.name.chars().take(60).collect();
        self.within(&name, |r| {
            r.fault(
                entry.name_span,
                Problem::of_text(None, "is not known here", advice),
            );
        });
        meant
    }
}

/// The fields of one record in the file.
pub struct Fields<'n, 't> {
    entries: &'n [Entry<'t>],
    /// Names that misspelt fields probably mean.
    meant: Vec<&'static str>,
    span: Span,
}

impl<'n, 't> Fields<'n, 't> {
    /// The field of that name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&'n Node<'t>> {
        self.entries
            .iter()
            .find(|e| e.name == name)
            .map(|e| &e.node)
    }

    /// Reads a field, or its default when the file does not give it.
    pub fn read<T: Field>(&self, meta: &'static Meta, reader: &mut Reader<'_>) -> T {
        let read = |r: &mut Reader<'_>| match self.get(meta.name) {
            Some(node) => T::read(node, meta, r),
            None => {
                let is_misspelt = self.meant.contains(&meta.name);
                if is_misspelt {
                    r.misspelt.push(r.path.clone());
                }
                T::absent(meta).unwrap_or_else(|| {
                    if !is_misspelt {
                        r.missing::<T>(self.span, meta);
                    }
                    T::placeholder(meta)
                })
            }
        };
        if meta.is_flat() {
            let known = reader.problems.len();
            let value = read(reader);
            reader.name_flat(known, meta.name);
            value
        } else {
            reader.within(meta.name, read)
        }
    }
}

impl Reader<'_> {
    /// What is wrong with a field as a whole, whose name is no part of the paths within it, gets its name.
    fn name_flat(&mut self, known: usize, name: &str) {
        let outer = self.path.clone();
        for problem in &mut self.problems[known..] {
            if problem.path == outer {
                problem.path = match outer.as_str() {
                    "" => name.to_owned(),
                    outer => format!("{outer}.{name}"),
                };
            }
        }
    }

    /// Reports that a record lacks a field.
    fn missing<T: Field>(&mut self, span: Span, meta: &'static Meta) {
        let example = T::find_absent(&[], meta).and_then(|(_, leaf)| match leaf.kind {
            Kind::Quantity(dim @ (Dim::Count | Dim::Number)) => meta.example(dim),
            Kind::Quantity(dim) => meta.example(dim).map(|text| format!("\"{text}\"")),
            Kind::Choice(words) => words.first().map(|&word| word.to_owned()),
            Kind::Text | Kind::Flag => None,
        });
        let hint = meta.hint;
        let advice = match example {
            Some(example) => format!("add it, such as `{}: {example}`. {hint}", meta.name),
            None => format!("add it. {hint}"),
        };
        self.fault(span, Problem::of_text(None, "is missing", advice));
    }
}
