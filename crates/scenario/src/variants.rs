//! Named variants of a line: whole scenarios that stand in one file with it.
//!
//! In the file each is told by what it has otherwise than the line itself: paths as everywhere, each with the value or part that stands there, and `None`
//! for what is not there. A whole part, such as one more tower, is written as a whole. In memory each variant is a scenario of its own, so that the line
//! may be changed without them.

mod differ;
mod patch;

use std::sync::Arc;

pub(crate) use differ::whole;

use crate::check::is_newer;
use crate::problem::Problem;
use crate::record::{Change, Field, Leaf, Meta, Reader, See, SetFault, Shape};
use crate::schema::Scenario;
use crate::text::{Lines, Span};
use crate::tree::{Node, Value};

/// Most variants of a line.
pub const MAX_VARIANTS: usize = 100;
/// Longest name of a variant, characters.
pub const LONGEST_NAME: usize = 60;
/// The field in which they stand.
const FIELD: &str = "variants";

/// Variants by name, in the order in which they were kept.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Variants(Vec<(String, Arc<Scenario>)>);

impl Variants {
    /// Names and scenarios, in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (&str, &Arc<Scenario>)> {
        self.0.iter().map(|(name, line)| (name.as_str(), line))
    }

    /// Number of variants.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The variant of that name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Arc<Scenario>> {
        let found = self.0.iter().find(|(own, _)| own == name);
        found.map(|(_, line)| line)
    }

    /// The same with one more; variants of its own are left behind.
    ///
    /// # Errors
    /// A name that cannot be one or is taken, and more than [`MAX_VARIANTS`].
    pub fn with(&self, name: &str, line: &Scenario) -> Result<Self, Problem> {
        self.check_name(name)?;
        if self.len() >= MAX_VARIANTS {
            let message = format!("there are {MAX_VARIANTS} variants already");
            let advice = "delete one that is no longer needed";
            return Err(Problem::at(FIELD, message, advice));
        }
        let mut all = self.clone();
        all.0.push((name.to_owned(), Arc::new(line.alone())));
        Ok(all)
    }

    /// The same without one.
    #[must_use]
    pub fn without(&self, name: &str) -> Self {
        let kept = self.0.iter().filter(|(own, _)| own != name);
        Self(kept.cloned().collect())
    }

    /// The same with another name for one.
    ///
    /// # Errors
    /// A name that cannot be one, or is that of another.
    pub fn renamed(&self, name: &str, new: &str) -> Result<Self, Problem> {
        if name != new {
            self.check_name(new)?;
        }
        let mut all = self.clone();
        let found = all.0.iter_mut().find(|(own, _)| own == name);
        if let Some((own, _)) = found {
            new.clone_into(own);
        }
        Ok(all)
    }

    /// Whether a name may be given to one more.
    ///
    /// # Errors
    /// Why it may not.
    pub fn check_name(&self, name: &str) -> Result<(), Problem> {
        let fault = |message: String, advice: &str| Err(Problem::at(FIELD, message, advice));
        let count = name.chars().count();
        if name.trim().is_empty() {
            return fault(
                "a variant needs a name".to_owned(),
                "say what is different in it",
            );
        }
        if count > LONGEST_NAME {
            let message =
                format!("a name of {count} characters is longer than the allowed {LONGEST_NAME}");
            return fault(message, "shorten it");
        }
        if name.trim() != name || name.chars().any(char::is_control) {
            let message = format!("{name:?} cannot be a name");
            return fault(message, "use one line without spaces at its ends");
        }
        if self.get(name).is_some() {
            let message = format!("“{name}” is the name of another variant");
            return fault(message, "choose another name");
        }
        Ok(())
    }
}

impl Scenario {
    /// The line without its variants.
    #[must_use]
    pub fn alone(&self) -> Self {
        Self {
            variants: Variants::default(),
            ..self.clone()
        }
    }

    /// The line with other variants.
    #[must_use]
    pub fn with_variants(&self, variants: Variants) -> Self {
        Self {
            variants,
            ..self.clone()
        }
    }
}

/// Inputs of variants are no inputs of the line, and what they are can only be read beside it: see [`read`] and [`whole`].
impl Field for Variants {
    const IS_LEAF: bool = false;

    fn shape() -> Shape {
        Shape::Apart
    }

    fn read(_: &Node<'_>, _: &'static Meta, _: &mut Reader<'_>) -> Self {
        Self::default()
    }

    fn absent(_: &'static Meta) -> Option<Self> {
        Some(Self::default())
    }

    fn placeholder(_: &'static Meta) -> Self {
        Self::default()
    }

    fn write(&self, _: &'static Meta) -> Option<crate::record::Out> {
        None
    }

    fn visit(&self, _: &mut String, _: &'static Meta, _: &mut See<'_>) {}

    fn visit_absent(_: &mut String, _: &'static Meta, _: &mut See<'_>) {}

    fn find(&self, _: &[&str], _: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        None
    }

    fn find_absent(_: &[&str], _: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        None
    }

    fn set(&mut self, _: &[&str], _: &'static Meta, _: Change<'_>) -> Result<(), SetFault> {
        Err(SetFault::NoSuchPath)
    }
}

/// Reads the variants of a line that is itself in order; everything that is wrong with them goes to `problems`, with the line in the text.
pub(crate) fn read(
    text: &str,
    root: &Node<'_>,
    line: &Scenario,
    problems: &mut Vec<Problem>,
) -> Variants {
    let mut read = Reading {
        text,
        lines: Lines::new(text),
        root,
        line,
        problems,
    };
    let Value::Record(entries) = &root.value else {
        return Variants::default();
    };
    let Some(entry) = entries.iter().find(|e| e.name == FIELD) else {
        return Variants::default();
    };
    read.all(&entry.node)
}

struct Reading<'r, 't> {
    text: &'t str,
    lines: Lines<'t>,
    root: &'r Node<'t>,
    line: &'r Scenario,
    problems: &'r mut Vec<Problem>,
}

impl<'t> Reading<'_, 't> {
    fn fault(&mut self, span: Span, mut problem: Problem) {
        problem.place = Some(self.lines.place(span.start));
        self.problems.push(problem);
    }

    fn all(&mut self, node: &Node<'t>) -> Variants {
        let mut found = Variants::default();
        let pairs = match &node.value {
            Value::Map(pairs) => pairs,
            Value::Record(entries) if entries.is_empty() => return found,
            other => {
                let message = format!(
                    "{} stands where a map {{ \"name\": … }} is expected",
                    other.kind()
                );
                let advice = "write { \"its name\": { \"path\": value } }";
                self.fault(node.span, Problem::at(FIELD, message, advice));
                return found;
            }
        };
        if pairs.len() > MAX_VARIANTS {
            let message = format!(
                "{} variants are more than the allowed {MAX_VARIANTS}",
                pairs.len()
            );
            self.fault(node.span, Problem::at(FIELD, message, "take some away"));
            return found;
        }
        for (key, value) in pairs {
            let Value::Text(name) = &key.value else {
                let problem = Problem::at(
                    FIELD,
                    "a name in quotes is expected",
                    "put the name in quotes",
                );
                self.fault(key.span, problem);
                continue;
            };
            if let Err(problem) = found.check_name(name) {
                self.fault(key.span, problem);
                continue;
            }
            if let Some(line) = self.one(name, key.span, value) {
                found.0.push((name.to_string(), Arc::new(line)));
            }
        }
        found
    }

    /// One variant; `None` when something is wrong with it.
    fn one(&mut self, name: &str, key: Span, value: &Node<'t>) -> Option<Scenario> {
        let before = self.problems.len();
        let changed = self.patched(name, value);
        if self.problems.len() > before {
            return None;
        }
        let mut reader = Reader::new(self.text);
        let line = Scenario::read(&changed, &Meta::EMPTY, &mut reader);
        let (mut found, misspelt) = reader.finish();
        if is_newer(&line) {
            found.clear();
        }
        crate::load::add_findings(&line, &changed, &self.lines, &mut found, &misspelt);
        if found.is_empty() {
            crate::load::add_settings(&line, &changed, &self.lines, &mut found);
        }
        let within = (
            self.lines.place(value.span.start),
            self.lines.place(value.span.end),
        );
        for mut problem in found {
            problem.path = joined(name, &problem.path);
            // What is wrong only beside the variant's own words is told where they stand.
            let is_own = |at: &crate::problem::Place| *at >= within.0 && *at <= within.1;
            problem.place = problem
                .place
                .filter(is_own)
                .or(Some(self.lines.place(key.start)));
            self.problems.push(problem);
        }
        (self.problems.len() == before).then_some(line)
    }

    /// The tree of the line with what the variant has otherwise.
    fn patched(&mut self, name: &str, value: &Node<'t>) -> Node<'t> {
        let mut changed = self.root.clone();
        if let Value::Record(entries) = &mut changed.value {
            entries.retain(|e| e.name != FIELD);
        }
        let pairs = match &value.value {
            Value::Map(pairs) => pairs.as_slice(),
            Value::Record(entries) if entries.is_empty() => &[],
            other => {
                let message = format!(
                    "{} stands where a map {{ \"path\": … }} is expected",
                    other.kind()
                );
                let advice = "write { \"path of an input or a part\": its value }";
                self.fault(value.span, Problem::at(joined(name, ""), message, advice));
                return changed;
            }
        };
        let mut seen: Vec<&str> = Vec::new();
        for (path, new) in pairs {
            let Value::Text(words) = &path.value else {
                let problem = Problem::at(
                    joined(name, ""),
                    "a path in quotes is expected",
                    "put the path in quotes",
                );
                self.fault(path.span, problem);
                continue;
            };
            if seen.contains(&words.as_ref()) {
                let problem =
                    Problem::at(joined(name, words), "is given twice", "keep one of them");
                self.fault(path.span, problem);
                continue;
            }
            seen.push(words);
            if let Err(stray) = patch::put(&mut changed, words, new, path.span) {
                let problem = stray.problem(self.line, joined(name, words), words);
                self.fault(path.span, problem);
            }
        }
        changed
    }
}

/// The path of something in a variant, as problems name it.
fn joined(name: &str, path: &str) -> String {
    let dot = if path.is_empty() { "" } else { "." };
    format!("{FIELD}.{name}{dot}{path}")
}

#[cfg(test)]
mod tests;
