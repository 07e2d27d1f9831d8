//! Events.

use super::Findings;
use crate::check::names::{stage_of, station};
use crate::lower::{device_names, relay_names};
use crate::problem::Problem;
use crate::schema::{Deed, Scenario};

/// Most unknown inputs for which the nearest known one is searched; further ones are only named, so that no file takes long.
const MOST_SEARCHED: usize = 3;

pub(super) fn check(scenario: &Scenario, found: &mut Findings) {
    if scenario.events.is_empty() {
        return;
    }
    let devices = device_names(scenario);
    let relays = relay_names(scenario);
    // Whether an input can be set does not depend on what was set before.
    let mut changed = scenario.clone();
    let mut strangers = 0;
    for (i, event) in scenario.events.iter().enumerate() {
        let base = format!("events.{}", i + 1);
        let advice = "give exactly one of `at` and `when`";
        match (&event.at, &event.when) {
            (Some(_), Some(_)) => {
                found.add(
                    format!("{base}.when"),
                    "the event has a time and a condition",
                    advice,
                );
            }
            (None, None) => {
                let others = ["at", "when"].map(|name| format!("{base}.{name}"));
                found.add_presence(base.clone(), &others, "the event has no time", advice);
            }
            (None, Some(when)) => known(
                found,
                format!("{base}.when"),
                "electrode or alarm",
                when,
                &relays,
            ),
            (Some(_), None) => {}
        }
        let deed = &event.act;
        let parts = [
            ("fail", &deed.fail, "device", &devices),
            ("restore", &deed.restore, "device", &devices),
            ("by_hand", &deed.by_hand, "device", &devices),
            ("automatic", &deed.automatic, "device", &devices),
            ("stick", &deed.stick, "electrode or alarm", &relays),
            ("free", &deed.free, "electrode or alarm", &relays),
            ("reset", &deed.reset, "electrode or alarm", &relays),
        ];
        for (name, path, what, list) in parts {
            if let Some(path) = path {
                known(found, format!("{base}.do.{name}"), what, path, list);
            }
        }
        exactly_one(deed, &base, found);
        for (name, key) in [
            ("stop_water", &deed.stop_water),
            ("restore_water", &deed.restore_water),
        ] {
            if let Some(key) = key {
                found.water(scenario, format!("{base}.do.{name}"), key);
            }
        }
        if let Some(dump) = &deed.dump {
            self::dump(scenario, &base, &dump.tank, found);
        }
        if let Some(set) = &deed.set {
            let is_known = crate::registry::exists(scenario, &set.path);
            if is_known || strangers < MOST_SEARCHED {
                strangers += usize::from(!is_known);
                if let Err(problem) = crate::set(&mut changed, &set.path, &set.value) {
                    set_problem(found, &base, &problem);
                }
            } else {
                let shown: String = set.path.chars().take(80).collect();
                let problem = Problem::at(shown, "there is no such input", "correct its path");
                set_problem(found, &base, &problem);
            }
        }
    }
}

fn set_problem(found: &mut Findings, base: &str, problem: &Problem) {
    let shown = if problem.path.is_empty() {
        "\"\""
    } else {
        &problem.path
    };
    let message = format!("{shown}: {}", problem.message);
    found.add(format!("{base}.do.set"), message, problem.advice.clone());
}

fn known(found: &mut Findings, path: String, what: &str, name: &str, list: &[String]) {
    if !list.iter().any(|known| known == name) {
        found.unknown((path, name), what, name, list.iter().map(String::as_str));
    }
}

fn exactly_one(deed: &Deed, base: &str, found: &mut Findings) {
    let count = [
        deed.fail.is_some(),
        deed.restore.is_some(),
        deed.by_hand.is_some(),
        deed.automatic.is_some(),
        deed.stick.is_some(),
        deed.free.is_some(),
        deed.reset.is_some(),
        deed.dump.is_some(),
        deed.stop_water.is_some(),
        deed.restore_water.is_some(),
        deed.set.is_some(),
    ]
    .into_iter()
    .filter(|is| *is)
    .count();
    if count != 1 {
        let message = if count == 0 {
            "the event does nothing".to_owned()
        } else {
            format!("the event does {count} things at once")
        };
        let advice = "give exactly one of `fail`, `restore`, `by_hand`, `automatic`, `stick`, `free`, `reset`, `dump`, `stop_water`, `restore_water`, `set`";
        found.add(format!("{base}.do"), message, advice);
    }
}

/// Paths of all tanks that an event can pump out.
#[must_use]
pub fn tank_names(scenario: &Scenario) -> Vec<String> {
    let mut names = Vec::new();
    for (key, line) in scenario.loops.iter() {
        names.push(format!("{key}.bath"));
        names.extend(line.stills.keys().map(|s| format!("{key}.stills.{s}")));
        for (name, section) in line.sections.iter() {
            let stages = (1_u32..=10).take_while(|&n| f64::from(n) <= section.stages.si());
            names.extend(stages.map(|n| format!("{key}.sections.{name}/{n}")));
        }
        names.extend(line.collection.iter().map(|_| format!("{key}.collection")));
        let holding = line.holding_tank.iter();
        names.extend(holding.map(|_| format!("{key}.holding_tank")));
    }
    names
}

/// The tank of a `dump`: `loop.bath`, `loop.rinses/1`, `loop.drag`, `loop.collection`, `loop.holding_tank`.
fn dump(scenario: &Scenario, base: &str, tank: &str, found: &mut Findings) {
    let is_known = tank.split_once('.').is_some_and(|(key, rest)| {
        scenario.loops.get(key).is_some_and(|line| match rest {
            "bath" => true,
            "collection" => line.collection.is_some(),
            "holding_tank" => line.holding_tank.is_some(),
            _ => {
                let at = rest.rsplit('.').next().unwrap_or(rest);
                let is_single = line.stills.contains_key(at) || stage_of(at).is_some();
                is_single && station(line, at).is_some()
            }
        })
    });
    if is_known {
        return;
    }
    let names = tank_names(scenario);
    let path = format!("{base}.do.dump.tank");
    found.unknown((path, tank), "tank", tank, names.iter().map(String::as_str));
}
