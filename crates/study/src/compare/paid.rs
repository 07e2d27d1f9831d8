//! Whether lines that stand side by side pay against one of them.

use serde::Serialize;

use crate::money::{Payback, Plan, Years};

/// At whose prices the cost of a line and its payback are.
pub const WHOSE_PRICES: &str = "The running cost of each line is at its own prices; a payback counts those of the later line for both, so that the two need not agree.";

/// What changing over to a line from another one brings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Paid {
    /// Payback without interest.
    pub years: Years,
    /// What is saved in a year; below zero where it costs more.
    pub saving_per_year: f64,
    /// What is laid out for equipment that the other line has not.
    pub laid_out: f64,
    /// What is to be known before it is believed, in sentences.
    pub warnings: Vec<String>,
}

impl Paid {
    /// In a few words; `years` writes a time.
    #[must_use]
    pub fn words(&self, years: &dyn Fn(f64) -> String) -> String {
        match self.years {
            Years::After(after) => years(after),
            _ if self.laid_out > 0.0 => "never".to_owned(),
            _ if self.saving_per_year > 0.0 => "at once".to_owned(),
            _ if self.saving_per_year < 0.0 => "costs more".to_owned(),
            _ => "no change".to_owned(),
        }
    }
}

/// For each line whether it pays against the one at `from`, at the prices of the line itself; none for that one, and where one of the two has no prices,
/// has them in another currency, or has a bath that runs down.
#[must_use]
pub fn paid(plans: &[Option<&Plan>], from: usize) -> Vec<Option<Paid>> {
    let reference = plans.get(from).copied().flatten();
    let each = plans.iter().enumerate().map(|(i, plan)| {
        if i == from {
            return None;
        }
        let payback = Payback::of(reference?, (*plan)?).ok()?;
        let mut warnings = payback.warnings();
        if !payback.uncounted.is_empty() {
            let all = payback.uncounted.join("; ");
            warnings.push(format!("What has no price is not counted: {all}."));
        }
        Some(Paid {
            years: payback.simple,
            saving_per_year: payback.saving_per_year,
            laid_out: payback.laid_out,
            warnings,
        })
    });
    each.collect()
}

/// Why lines that have prices have no payback against the one at `from`, each reason once.
#[must_use]
pub fn unpaid(plans: &[Option<&Plan>], from: usize) -> Vec<String> {
    let Some(reference) = plans.get(from).copied().flatten() else {
        return Vec::new();
    };
    let others = plans.iter().enumerate().filter(|(i, _)| *i != from);
    let mut all: Vec<String> = Vec::new();
    for plan in others.filter_map(|(_, plan)| *plan) {
        match Payback::of(reference, plan) {
            Err(why) if plan.scenario.prices.is_some() => {
                let why = why.to_string();
                if !all.contains(&why) {
                    all.push(why);
                }
            }
            _ => {}
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_scenario::load;

    use super::*;

    fn plan(text: &str) -> Plan {
        let scenario = load(text).0.unwrap();
        Plan::settled(Arc::new(scenario), &TowerCache::default(), &mut |_| true).unwrap()
    }

    #[test]
    fn each_line_is_paid_against_the_one_that_is_chosen() {
        let before = plan(include_str!("../../../../scenarios/demo-before.ron"));
        let after = plan(include_str!("../../../../scenarios/demo.ron"));
        let other = plan(include_str!("../../../../scenarios/chromium.ron"));
        let all = [Some(&before), Some(&after), Some(&other), None];
        let found = paid(&all, 0);
        let wanted = Payback::of(&before, &after).unwrap();
        let own = found[1].as_ref().unwrap();
        assert_eq!(own.years, wanted.simple);
        assert_eq!(own.saving_per_year, wanted.saving_per_year);
        assert!(own.warnings.is_empty(), "{:?}", own.warnings);
        // Itself, another currency, no prices.
        for none in [0, 2, 3] {
            assert_eq!(found[none], None);
        }
        // Where there is none, and prices would let one expect it, it is said why.
        let why = unpaid(&all, 0);
        assert_eq!(why.len(), 1, "{why:?}");
        assert!(
            why[0].contains("prices in EUR, the other in USD"),
            "{why:?}"
        );
        let mut bare = (*before.scenario).clone();
        bare.prices = None;
        let bare = Plan {
            scenario: Arc::new(bare),
            usage: before.usage.clone(),
        };
        let mute = [Some(&bare), Some(&after), Some(&bare)];
        assert_eq!(paid(&mute, 0), [None, None, None]);
        let why = unpaid(&mute, 0);
        let shared = Payback::of(&bare, &after).unwrap_err().to_string();
        assert_eq!(why, [shared]);
        // The other way round nothing is laid out, and it costs more.
        let back = paid(&all, 1)[0].clone().unwrap();
        assert_eq!(back.words(&|_| String::new()), "costs more");
        assert_eq!(
            paid(&[Some(&after), Some(&after)], 0)[1]
                .as_ref()
                .unwrap()
                .words(&|_| String::new()),
            "no change"
        );
    }
}
