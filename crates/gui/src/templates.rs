//! Lines to begin with: the shipped scenarios, and one with as little as a line can have.

/// A line to begin with.
#[derive(Clone, Copy, Debug)]
pub struct Template {
    /// Its name.
    pub name: &'static str,
    /// What it is, in a sentence.
    pub about: &'static str,
    /// The scenario.
    pub text: &'static str,
}

/// All of them, the least first.
pub const TEMPLATES: [Template; 7] = [
    Template {
        name: "Bath and one rinse",
        about: "As little as a line can have: a bath and a running rinse to treatment, to build upon.",
        text: include_str!("templates/least.ron"),
    },
    Template {
        name: "Nickel, closed loop",
        about: "Bright nickel on racks: three counterflow rinses, heated holding tank, one evaporator.",
        text: include_str!("../../../scenarios/demo.ron"),
    },
    Template {
        name: "Nickel before recovery",
        about: "The same nickel line without evaporator: all rinse water goes to treatment.",
        text: include_str!("../../../scenarios/demo-before.ron"),
    },
    Template {
        name: "Chromium",
        about: "A chromium line with recovery.",
        text: include_str!("../../../scenarios/chromium.ron"),
    },
    Template {
        name: "Zinc in barrels",
        about: "A zinc barrel line, whose heavy drag-out is caught again.",
        text: include_str!("../../../scenarios/zinc-barrel.ron"),
    },
    Template {
        name: "Warm bath",
        about: "A bath warm enough to evaporate its own rinse water.",
        text: include_str!("../../../scenarios/warm-bath.ron"),
    },
    Template {
        name: "Teaching line",
        about: "A small line with round figures.",
        text: include_str!("../../../scenarios/teaching.ron"),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    /// A line to begin with whose bath runs down would show figures of an empty bath.
    #[test]
    fn every_template_holds_its_bath() {
        use std::sync::Arc;

        use dragback_study::{AirChoice, Case, Depth, Hours, settled_answers};

        let cache = dragback_plant::TowerCache::default();
        for template in TEMPLATES {
            let scenario = Arc::new(dragback_scenario::load(template.text).0.unwrap());
            let case = Case::new(scenario, &cache).unwrap();
            let (air, hours) = (AirChoice::Mean, Hours::Calendar);
            let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
            for line in &found.answers.loops {
                let share = line.bath.lead_g_per_l / line.bath.lead_at_start_g_per_l;
                assert!((share - 1.0).abs() < 0.05, "{}: {share}", template.name);
            }
        }
    }

    #[test]
    fn every_template_can_be_read() {
        for template in TEMPLATES {
            let (scenario, problems) = dragback_scenario::load(template.text);
            assert!(scenario.is_some(), "{}: {problems:?}", template.name);
            assert!(template.about.ends_with('.') && template.name.len() < 30);
        }
    }
}
