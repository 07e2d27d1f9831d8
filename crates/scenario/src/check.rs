//! Rules between inputs, and limits on their number.
//!
//! Each rule says what is wrong at the first input that it is about and knows the others, so that a rule that is broken only because
//! one of them could not be read is not reported besides.

mod bath;
mod events;
mod holding;
mod limits;
mod line;
mod names;
mod prices;
mod site;
mod tower;

pub use events::tank_names;
pub(crate) use limits::is_newer;
pub use limits::{MAX_EVENTS, MAX_LOOPS, MAX_SPECIES, MAX_VESSELS};
pub(crate) use names::{ALWAYS, Station, stage_of, station};

use crate::problem::{Problem, nearest, one_of};
use crate::schema::Scenario;

/// A broken rule and the inputs that it is about.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What is wrong; its path is the first input involved.
    pub problem: Problem,
    others: Vec<String>,
    /// It is about whether the inputs are there, not about what is in them.
    is_about_presence: bool,
}

impl Finding {
    /// Whether another problem explains this one: it is about an input involved, about something that holds it, or, where the
    /// rule looks into the input, about something within it.
    pub fn follows_from(&self, path: &str) -> bool {
        self.involved().any(|involved| {
            is_within(involved, path) || (!self.is_about_presence && is_within(path, involved))
        })
    }

    /// Paths of the inputs involved.
    fn involved(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.problem.path.as_str()).chain(self.others.iter().map(String::as_str))
    }
}

/// Whether a path is another one or lies within it; everything lies within the empty one.
fn is_within(path: &str, outer: &str) -> bool {
    let rest = path.strip_prefix(outer);
    outer.is_empty() || rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

/// Collects broken rules.
#[derive(Default)]
struct Findings(Vec<Finding>);

impl Findings {
    /// A broken rule about one input.
    fn add(&mut self, path: String, message: impl Into<String>, advice: impl Into<String>) {
        self.add_about(path, &[], message, advice);
    }

    /// A broken rule about several inputs.
    fn add_about(
        &mut self,
        path: String,
        others: &[String],
        message: impl Into<String>,
        advice: impl Into<String>,
    ) {
        let problem = Problem::at(path, message, advice);
        self.0.push(Finding {
            problem,
            others: others.to_vec(),
            is_about_presence: false,
        });
    }

    /// A broken rule about whether inputs are there, whatever is in them.
    fn add_presence(
        &mut self,
        path: String,
        others: &[String],
        message: impl Into<String>,
        advice: impl Into<String>,
    ) {
        self.add_about(path, others, message, advice);
        if let Some(last) = self.0.last_mut() {
            last.is_about_presence = true;
        }
    }

    /// A key that means nothing; `list` is the path of what it should be a key of.
    fn unknown<'n>(
        &mut self,
        (path, list): (String, &str),
        what: &str,
        key: &str,
        known: impl Iterator<Item = &'n str>,
    ) {
        let known: Vec<&str> = known.collect();
        let shown: String = key.chars().take(60).collect();
        let advice = match nearest(key, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if known.is_empty() => "there are none yet; add it".to_owned(),
            None => format!("known: {}", one_of(&known[..known.len().min(40)])),
        };
        let message = format!("there is no {what} called `{shown}`");
        let problem = Problem::at(path, message, advice).with_value(shown);
        let others = if list.is_empty() {
            Vec::new()
        } else {
            vec![list.to_owned()]
        };
        self.0.push(Finding {
            problem,
            others,
            is_about_presence: true,
        });
    }
}

/// Every broken rule, in the order of the document.
pub fn findings(scenario: &Scenario) -> Vec<Finding> {
    let mut found = Findings::default();
    if !limits::check(scenario, &mut found) {
        // Past its limits a scenario is not looked into, so that no file takes long.
        return found.0;
    }
    site::check(scenario, &mut found);
    prices::check(scenario, &mut found);
    for (key, line) in scenario.loops.iter() {
        let part = Part {
            scenario,
            key,
            line,
        };
        line::check(&part, &mut found);
        bath::check(&part, &mut found);
        holding::check(&part, &mut found);
        tower::check(&part, &mut found);
    }
    events::check(scenario, &mut found);
    found.0
}

/// One loop under check.
struct Part<'s> {
    scenario: &'s Scenario,
    key: &'s str,
    line: &'s crate::schema::Loop,
}

impl Part<'_> {
    /// Full path of an input of the loop.
    fn path(&self, tail: &str) -> String {
        format!("{}.{tail}", self.key)
    }
}

/// Checks every rule between inputs: order, exactly one of several ways, references, limits on number.
#[must_use]
pub fn check(scenario: &Scenario) -> Vec<Problem> {
    findings(scenario).into_iter().map(|f| f.problem).collect()
}
