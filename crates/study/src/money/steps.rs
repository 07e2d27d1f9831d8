//! The steps from the cost of one line to that of the other.

use super::costs::CostKind;
use super::payback::Payback;

/// One step from the cost before to the cost after.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What people call it.
    pub name: String,
    /// The path of its price; empty of the first and the last.
    pub path: String,
    /// What it is for; none where several are taken together.
    pub kind: Option<CostKind>,
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
    let mut step = |name: &str, (path, kind): (&str, Option<CostKind>), before: f64, after: f64| {
        let from = at;
        at += after - before;
        found.push(Step {
            name: name.to_owned(),
            path: path.to_owned(),
            kind,
            from,
            to: at,
            before,
            after,
        });
    };
    for line in lines {
        let of = (line.path.as_str(), Some(line.kind));
        step(&line.name, of, line.before, line.after);
    }
    if (after - before).abs() >= 0.5 {
        step("all else", ("", None), before, after);
    }
    found
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_scenario::load;

    use super::*;
    use crate::money::Plan;

    fn settled(text: &str) -> Plan {
        let scenario = load(text).0.unwrap();
        let cache = TowerCache::default();
        Plan::settled(Arc::new(scenario), &cache, &mut |_| true).unwrap()
    }

    #[test]
    fn the_steps_lead_from_the_one_cost_to_the_other() {
        let before = settled(include_str!("../../../../scenarios/demo-before.ron"));
        let after = settled(include_str!("../../../../scenarios/demo.ron"));
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
