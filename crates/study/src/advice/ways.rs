//! Inputs that may help towards a goal, and in which direction.

use dragback_scenario::{Loop, Scenario, levers};

use super::Goal;
use super::standing::has_heat_to_spare;
use crate::answers::LoopAnswer;

/// The bleed of the bath, within its loop.
pub(super) const PURGE: &str = "bath.purge";

/// In which direction an input is moved, and how far at most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Way {
    /// Up to so many times its value; from nothing, as far as is usual.
    Up(f64),
    /// Down to this share of its value.
    Down(f64),
    /// Up by so many kelvins.
    Warmer(f64),
    /// Up to so many more of what is counted.
    More(u32),
}

/// Inputs that may help towards a goal, what is nearest at hand first.
pub(super) fn ways(scenario: &Scenario, now: &LoopAnswer, goal: &Goal) -> Vec<(String, Way)> {
    let loop_key = now.name.as_str();
    let Some(line) = scenario.loops.get(loop_key) else {
        return Vec::new();
    };
    let main = levers(scenario, loop_key);
    let mut main = main.into_iter().flatten();
    let (drag_out, rinse, heat) = (main.next(), main.next(), main.next());
    let of_loop = |tail: String| Some(format!("{loop_key}.{tail}"));
    let all = match goal {
        Goal::Closes => vec![
            (heat, Way::Up(3.0)),
            (rinse, Way::Down(0.2)),
            (
                of_loop("holding_tank.set_point".to_owned()),
                Way::Warmer(12.0),
            ),
            (of_loop("collection.tank.volume".to_owned()), Way::Up(4.0)),
            (first_tower(line).and_then(of_loop), Way::Up(1.5)),
        ],
        Goal::CleanRinse => vec![
            (rinse.clone(), Way::Up(5.0)),
            (drag_out, Way::Down(0.2)),
            (rinse.and_then(|path| stages(&path)), Way::More(2)),
        ],
        // Without a limit nobody can say how much rinse water is enough.
        Goal::Saves => vec![
            (rinse.filter(|_| line.final_limit.is_some()), Way::Down(0.2)),
            (heat.filter(|_| has_heat_to_spare(now)), Way::Down(0.0)),
        ],
        Goal::Holds(species) => match species.as_slice() {
            [one] => holding(scenario, line, loop_key, one),
            // Only a bleed takes out all alike.
            _ => vec![(of_loop(PURGE.to_owned()), Way::Up(20.0))],
        },
    };
    all.into_iter()
        .filter_map(|(path, way)| Some((path?, way)))
        .collect()
}

/// The number of stages of the section whose flow a path means.
fn stages(flow: &str) -> Option<String> {
    let section = flow.strip_suffix(".flow")?;
    section
        .contains(".sections.")
        .then(|| format!("{section}.stages"))
}

fn first_tower(line: &Loop) -> Option<String> {
    let key = line.towers.keys().next()?;
    Some(format!("towers.{key}.air_flow"))
}

/// Ways to hold an impurity: a bleed, purer water where it comes with the water, more of what takes it out where something does.
fn holding(
    scenario: &Scenario,
    line: &Loop,
    loop_key: &str,
    species: &str,
) -> Vec<(Option<String>, Way)> {
    let mut found = Vec::new();
    if line.bath.purification.contains_key(species) {
        let path = format!("{loop_key}.bath.purification.{species}");
        found.push((Some(path), Way::Up(10.0)));
    }
    found.push((Some(format!("{loop_key}.{PURGE}")), Way::Up(20.0)));
    let sections = line.sections.values().map(|s| &s.water);
    let stills = line.stills.values().map(|s| &s.water);
    let mut waters: Vec<&String> = sections
        .chain(stills)
        .chain([&line.bath.make_up.water])
        .collect();
    waters.sort_unstable();
    waters.dedup();
    let brings = |water: &&String| {
        let water = scenario.waters.get(water.as_str());
        water.is_some_and(|w| w.solutes.contains_key(species))
    };
    let brought = waters.into_iter().filter(brings);
    found.extend(brought.map(|water| {
        let path = format!("waters.{water}.solutes.{species}");
        (Some(path), Way::Down(0.0))
    }));
    found
}
