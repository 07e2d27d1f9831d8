//! From text to a scenario and back.

use crate::check::{findings, is_newer};
use crate::lower::lower_checked;
use crate::problem::Problem;
use crate::record::{Field, MAX_PROBLEMS, Meta, Reader, to_text};
use crate::schema::Scenario;
use crate::text::{Lines, check_syntax, without_mark};
use crate::tree::{self, Node};
use crate::variants::{self, whole};

/// Reads a scenario.
///
/// A syntax error comes alone, with its line and column. After that everything that is wrong comes at once, in the order
/// of the file, and the scenario is returned only when nothing is. Values that break a rule between fields only because one of them is itself wrong
/// are not reported twice. Of a file of a later format only that is said. Variants are read once the line itself is in order.
///
/// Limits: 1 MB of text, 50 000 values, 32 nested brackets, 8 loops, 80 vessels, 48 species, 200 events.
///
/// ```
/// let (scenario, problems) = dragback_scenario::load("(version: 1, titel: \"x\")");
/// assert!(scenario.is_none());
/// assert!(problems.iter().any(|p| p.to_string().contains("did you mean `title`?")));
/// ```
#[must_use]
pub fn load(text: &str) -> (Option<Scenario>, Vec<Problem>) {
    let text = without_mark(text);
    if let Err(problem) = check_syntax(text) {
        return (None, vec![problem]);
    }
    let root = match tree::parse(text) {
        Ok(root) => root,
        Err(problem) => return (None, vec![problem]),
    };
    let mut reader = Reader::new(text);
    let mut scenario = Scenario::read(&root, &Meta::EMPTY, &mut reader);
    let (mut problems, misspelt) = reader.finish();
    if is_newer(&scenario) {
        // Its other words are not known here.
        problems.clear();
    }
    add_findings(
        &scenario,
        &root,
        &Lines::new(text),
        &mut problems,
        &misspelt,
    );
    if problems.is_empty() {
        add_settings(&scenario, &root, &Lines::new(text), &mut problems);
    }
    if problems.is_empty() {
        scenario.variants = variants::read(text, &root, &scenario, &mut problems);
    }
    problems.sort_by_key(|p| p.place.map_or((1, 0, 0), |at| (0, at.line, at.column)));
    cut_short(&mut problems);
    (problems.is_empty().then_some(scenario), problems)
}

/// Keeps a list of problems to a length that somebody reads.
fn cut_short(problems: &mut Vec<Problem>) {
    if problems.len() > MAX_PROBLEMS + 1 {
        let more = problems.len() - MAX_PROBLEMS;
        problems.truncate(MAX_PROBLEMS);
        let message = format!("{more} more problems are not listed");
        problems.push(Problem::of_text(None, message, "put these right first"));
    }
}

/// Adds what is wrong between fields, unless a field involved is already reported.
pub(crate) fn add_findings(
    scenario: &Scenario,
    root: &Node<'_>,
    lines: &Lines<'_>,
    problems: &mut Vec<Problem>,
    misspelt: &[String],
) {
    let known: Vec<String> = problems
        .iter()
        .map(|p| p.path.clone())
        .chain(misspelt.iter().cloned())
        .collect();
    for finding in findings(scenario) {
        if known.iter().any(|path| finding.follows_from(path)) {
            continue;
        }
        let mut problem = finding.problem;
        problem.place = Some(lines.place(tree::locate(root, &problem.path).start));
        problems.push(problem);
    }
}

/// Adds what is wrong with the plant as it is after an event has set an input.
pub(crate) fn add_settings(
    scenario: &Scenario,
    root: &Node<'_>,
    lines: &Lines<'_>,
    problems: &mut Vec<Problem>,
) {
    if scenario.events.iter().all(|event| event.act.set.is_none()) {
        return;
    }
    for mut problem in lower_checked(scenario).err().into_iter().flatten() {
        problem.place = Some(lines.place(tree::locate(root, &problem.path).start));
        problems.push(problem);
    }
}

/// Writes a scenario as text that people read. Texts of quantities are as they were written; fields left at their default are left out;
/// comments of a file that was read are not kept (see [`has_comments`](crate::has_comments)).
#[must_use]
pub fn save(scenario: &Scenario) -> String {
    whole(scenario).map_or_else(String::new, |out| to_text(&out))
}
