//! What a year costs, as the window tells it: the plan on the bench, the plan that is kept, and the steps from the cost of one to that of the other.

use std::sync::Arc;

use dragback_scenario::Scenario;
use dragback_study::money::{BreakEven, Costs, MoneyError, Payback, Plan, Swing};

use crate::results::Figures;

/// The plan of a scenario whose settled week is known. Its prices may have moved on since that week was found; they change no amount.
#[must_use]
pub fn plan(scenario: &Arc<Scenario>, figures: &Figures) -> Plan {
    Plan {
        scenario: Arc::clone(scenario),
        ..Plan::of(&figures.plant, Arc::clone(&figures.scenario), &figures.week)
    }
}

/// What can be told of money.
pub enum Told {
    /// Of one line: what it costs to run.
    Alone(Costs),
    /// Of a change.
    Change(Box<Payback>),
}

/// Tells what a plan costs, and what the change from another one brings.
///
/// # Errors
/// Without prices, with two currencies, and of a bath that runs down.
pub fn told(before: Option<&Plan>, now: &Plan) -> Result<Told, MoneyError> {
    match before {
        Some(before) => Ok(Told::Change(Box::new(Payback::of(before, now)?))),
        None => Ok(Told::Alone(now.costs()?)),
    }
}

/// What the answer in money hangs on is asked of: the line with its settled week, the state before, and within how many years the change is to pay.
#[derive(Clone)]
pub struct HangsOf {
    /// The line, whose prices may have moved on since its week was found.
    pub line: Arc<Scenario>,
    /// Its settled week.
    pub now: Arc<Figures>,
    /// The state before.
    pub before: Arc<Figures>,
    /// Years within which the change is to pay.
    pub years: f64,
}

impl HangsOf {
    /// Whether it asks the same.
    #[must_use]
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.line, &other.line)
            && Arc::ptr_eq(&self.now, &other.now)
            && Arc::ptr_eq(&self.before, &other.before)
            && self.years.to_bits() == other.years.to_bits()
    }
}

/// What the answer hangs on besides prices, as far as it has been found.
pub struct Hangs {
    /// What was asked.
    pub of: HangsOf,
    /// Drag-out, work and hours at which the change just pays.
    pub break_evens: Vec<BreakEven>,
    /// Uncertain inputs, those that move the payback most first.
    pub swings: Vec<Swing>,
    /// How much of it is found, 0 to 1.
    pub share: f64,
}

/// What has been found of what the answer hangs on, and what was asked last.
#[derive(Default)]
pub struct HangsKnown {
    found: Option<Arc<Hangs>>,
    asked: Option<HangsOf>,
    /// Number of the last request.
    pub number: u64,
}

impl HangsKnown {
    /// Whether something is to be asked: it has not been asked yet.
    pub fn ask(&mut self, of: HangsOf) -> bool {
        let is_asked = self.asked.as_ref().is_some_and(|a| a.is_same(&of));
        if !is_asked {
            self.asked = Some(of);
            self.number += 1;
        }
        !is_asked
    }

    /// Forgets what was asked, so that what was given up is asked anew.
    pub fn forget_asked(&mut self) {
        self.asked = None;
    }

    /// Takes what was found.
    pub fn take(&mut self, new: Arc<Hangs>) {
        self.found = Some(new);
    }

    /// What was found last, and whether it answers what is asked now.
    #[must_use]
    pub fn found(&self) -> Option<(&Hangs, bool)> {
        let found = self.found.as_ref()?;
        let is_current = self.asked.as_ref().is_some_and(|a| a.is_same(&found.of));
        Some((found, is_current))
    }
}

/// One step from the cost before to the cost after.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What people call it.
    pub name: String,
    /// The path of its price; empty of the first and the last.
    pub path: String,
    /// Where the step begins, and where it ends; a sum begins at nothing.
    pub from: f64,
    /// Its end.
    pub to: f64,
    /// A year before and after, as words for a hint.
    pub before: f64,
    /// After.
    pub after: f64,
}

/// Steps smaller than this share of the largest are told together.
const SMALL: f64 = 0.004;

/// The steps from the cost before to the cost after: what is saved first, the largest first, then what is added, the smallest first, so that the steps
/// make one valley. What does not change is left out, and small steps are taken together.
#[must_use]
pub fn steps(payback: &Payback) -> Vec<Step> {
    let largest = payback.lines.iter().map(|l| l.difference.abs());
    let largest = largest.fold(0.0, f64::max);
    let is_small = |difference: f64| difference.abs() <= SMALL * largest;
    let mut lines: Vec<_> = payback
        .lines
        .iter()
        .filter(|l| !is_small(l.difference))
        .collect();
    lines.sort_by(|a, b| {
        let key = |d: f64| if d < 0.0 { (0, d) } else { (1, d) };
        let (a, b) = (key(a.difference), key(b.difference));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let small = payback.lines.iter().filter(|l| is_small(l.difference));
    let (before, after) = small.fold((0.0, 0.0), |(b, a), l| (b + l.before, a + l.after));
    let mut at = payback.cost_before;
    let mut found = Vec::new();
    let mut step = |name: &str, path: &str, before: f64, after: f64| {
        let from = at;
        at += after - before;
        found.push(Step {
            name: name.to_owned(),
            path: path.to_owned(),
            from,
            to: at,
            before,
            after,
        });
    };
    for line in lines {
        step(&line.name, &line.path, line.before, line.after);
    }
    if (after - before).abs() >= 0.5 {
        step("all else", "", before, after);
    }
    found
}

#[cfg(test)]
mod tests {
    use dragback_plant::TowerCache;
    use dragback_scenario::load;

    use super::*;

    fn settled(text: &str) -> Plan {
        let scenario = load(text).0.unwrap();
        let cache = TowerCache::default();
        Plan::settled(Arc::new(scenario), &cache, &mut |_| true).unwrap()
    }

    #[test]
    fn the_steps_lead_from_the_one_cost_to_the_other() {
        let before = settled(include_str!("../../../scenarios/demo-before.ron"));
        let after = settled(include_str!("../../../scenarios/demo.ron"));
        let payback = Payback::of(&before, &after).unwrap();
        let steps = steps(&payback);
        assert_eq!(steps[0].from, payback.cost_before);
        let last = steps.last().unwrap();
        assert!((last.to - payback.cost_after).abs() < 1.0, "{last:?}");
        assert!(steps.windows(2).all(|w| w[0].to == w[1].from));
        // One valley: down first, then up.
        let falls: Vec<bool> = steps
            .iter()
            .filter(|s| s.name != "all else")
            .map(|s| s.to < s.from)
            .collect();
        assert!(falls.windows(2).all(|w| w[0] || !w[1]), "{falls:?}");
        assert!(falls[0] && !falls[falls.len() - 1]);
        assert!(steps[0].name.contains("NiSO4"), "{}", steps[0].name);
    }
}
