//! Rules between inputs.
use crate::problem::Problem;
use crate::schema::Scenario;

/// A broken rule and the inputs that it is about.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What is wrong; its path is the first input involved.
    pub problem: Problem,
    others: Vec<String>,
}

impl Finding {
    /// Paths of the inputs involved.
    pub fn involved(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.problem.path.as_str()).chain(self.others.iter().map(String::as_str))
    }
}

/// Every broken rule.
pub fn findings(_: &Scenario) -> Vec<Finding> {
    Vec::new()
}

/// Checks every rule between inputs: order, exactly one of several ways, references, limits on number.
#[must_use]
pub fn check(scenario: &Scenario) -> Vec<Problem> {
    findings(scenario).into_iter().map(|f| f.problem).collect()
}
