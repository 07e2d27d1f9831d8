//! What the workers have found of variants, kept until a variant is another one.

use std::sync::Arc;

use dragback_scenario::Scenario;
use dragback_study::money::Plan;

use super::Overlaid;
use crate::results::{Failure, Figures};

/// Answers of a variant.
pub struct VariantAnswers {
    /// Its settled week, with days to settle and every month's margin.
    pub figures: Arc<Figures>,
    /// What a year of it uses.
    pub plan: Plan,
    /// Its exact curves, from afar.
    pub curves: Overlaid,
}

/// A variant that is asked about.
#[derive(Clone)]
pub struct Wanted {
    /// The variant.
    pub line: Arc<Scenario>,
    /// Key of the loop.
    pub loop_key: String,
}

impl Wanted {
    /// Whether it is the very same variant, seen from the same loop.
    #[must_use]
    pub fn is_same(&self, line: &Arc<Scenario>, loop_key: &str) -> bool {
        Arc::ptr_eq(&self.line, line) && self.loop_key == loop_key
    }
}

/// What was found of a variant, or why nothing was.
pub struct VariantFound {
    /// Of which.
    pub of: Wanted,
    /// What was found.
    pub outcome: Result<VariantAnswers, Failure>,
}

/// Variants that are kept though no document has them now: undo may bring them back.
const MOST_KEPT: usize = 24;

/// What has been found so far, and what was asked last.
#[derive(Default)]
pub struct FoundVariants {
    found: Vec<VariantFound>,
    asked: Vec<Wanted>,
    is_given_up: bool,
    /// Number of the last request.
    pub number: u64,
}

impl FoundVariants {
    /// What was found of a variant.
    #[must_use]
    pub fn get(&self, line: &Arc<Scenario>, loop_key: &str) -> Option<&VariantFound> {
        self.found.iter().find(|f| f.of.is_same(line, loop_key))
    }

    /// What is to be asked so that something is known of each of these; none where that has been asked already, or is known.
    pub fn ask(&mut self, lines: Vec<Wanted>) -> Option<Vec<Wanted>> {
        let is_known = |w: &Wanted| self.get(&w.line, &w.loop_key).is_some();
        let missing: Vec<Wanted> = lines.into_iter().filter(|w| !is_known(w)).collect();
        let is_asked = |w: &Wanted| {
            let mut asked = self.asked.iter();
            asked.any(|a| a.is_same(&w.line, &w.loop_key))
        };
        if missing.iter().all(is_asked) {
            return None;
        }
        self.asked.clone_from(&missing);
        self.is_given_up = false;
        self.number += 1;
        Some(missing)
    }

    /// What was asked last is given up.
    pub const fn give_up(&mut self) {
        self.is_given_up = true;
    }

    /// Whether what was asked last was given up.
    #[must_use]
    pub const fn is_given_up(&self) -> bool {
        self.is_given_up
    }

    /// Forgets what was asked, so that what was given up is asked anew.
    pub fn forget_asked(&mut self) {
        self.asked.clear();
    }

    /// Takes what was found.
    pub fn take(&mut self, new: VariantFound) {
        self.found
            .retain(|f| !f.of.is_same(&new.of.line, &new.of.loop_key));
        self.found.push(new);
        if self.found.len() > MOST_KEPT {
            self.found.remove(0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::results::Asked;
    use dragback_study::Driver;

    fn wanted(line: &Arc<Scenario>) -> Wanted {
        Wanted {
            line: Arc::clone(line),
            loop_key: "loop".to_owned(),
        }
    }

    fn found(of: Wanted) -> VariantFound {
        let asked = Asked {
            generation: 0,
            document: 0,
            loop_key: of.loop_key.clone(),
            moved: None,
        };
        let failure = Failure {
            asked,
            driver: Driver::Preview,
            message: String::new(),
            fault: None,
            problems: Vec::new(),
        };
        VariantFound {
            of,
            outcome: Err(failure),
        }
    }

    #[test]
    fn a_variant_is_asked_once_and_only_when_it_is_another_one() {
        let text = include_str!("../../../../scenarios/teaching.ron");
        let one = Arc::new(dragback_scenario::load(text).0.unwrap());
        let two = Arc::new(Scenario::clone(&one));
        let mut all = FoundVariants::default();
        let asked = |all: &mut FoundVariants, lines: &[&Arc<Scenario>]| {
            let lines = lines.iter().map(|l| wanted(l)).collect();
            all.ask(lines).map_or(0, |missing| missing.len())
        };
        assert_eq!(asked(&mut all, &[&one]), 1);
        assert_eq!(asked(&mut all, &[&one]), 0, "it is under way");
        all.take(found(wanted(&one)));
        assert_eq!(asked(&mut all, &[&one]), 0, "it is known");
        assert_eq!(asked(&mut all, &[&one, &two]), 1, "the other alone");
        all.forget_asked();
        assert_eq!(asked(&mut all, &[&one, &two]), 1, "it was given up");
        assert!(all.get(&one, "loop").is_some() && all.get(&one, "other").is_none());
    }
}
