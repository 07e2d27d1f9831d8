//! What people call the parts of a line and what happens to them, where their paths would be in the way.

use crate::check::stage_of;
use crate::schema::Event;

/// What people call the device, electrode, alarm or input at a path: `low alarm of the holding tank` for
/// `loop.holding_tank.electrodes.low_alarm`, `feed valve of rinses` for `loop.sections.rinses.feed_valve`.
///
/// Where the plant has several loops the key of the part's loop goes before its tank. A path of fewer than three parts is a tank
/// or a loop; it is called as [`tank_called`] says.
#[must_use]
pub fn called(path: &str, loops: usize) -> String {
    let parts: Vec<&str> = path.split('.').collect();
    let (of, own) = match parts.as_slice() {
        [] | [_] | [_, _] => return tank_called(path, loops),
        [_, "sections" | "stills" | "towers", _] => return tank_called(path, loops),
        [
            key,
            group @ ("sections" | "stills" | "towers"),
            name,
            own @ ..,
        ] => (format!("{key}.{group}.{name}"), own),
        [key, tank, own @ ..] => (format!("{key}.{tank}"), own),
    };
    let mut words: Vec<String> = own.iter().filter_map(|part| own_word(part)).collect();
    if own.first() == Some(&"electrodes") && own.last().is_some_and(|p| !p.ends_with("alarm")) {
        words.push("electrode".to_owned());
    }
    format!("{} of {}", words.join(" "), with_article(&of, loops))
}

/// What people call the tank or tower at a path: `holding tank`, `rinses 2`, `tower t1`.
#[must_use]
pub fn tank_called(path: &str, loops: usize) -> String {
    let (key, rest) = path.split_once('.').unwrap_or((path, ""));
    let name = match rest {
        "" => return key.to_owned(),
        "holding_tank" => "holding tank".to_owned(),
        "collection" => "collection tank".to_owned(),
        _ => {
            let (group, name) = rest.split_once('.').unwrap_or(("", rest));
            match group {
                "towers" => format!("tower {name}"),
                _ => stage_of(name)
                    .map_or_else(|| name.to_owned(), |(section, n)| format!("{section} {n}")),
            }
        }
    };
    if loops > 1 {
        format!("{key} {name}")
    } else {
        name
    }
}

/// Tanks of which there is one in a loop go by `the`; others have names of their own.
fn with_article(path: &str, loops: usize) -> String {
    let name = tank_called(path, loops);
    if path.matches('.').count() == 1 {
        format!("the {name}")
    } else {
        name
    }
}

/// A part of a path in words; nothing for a group that says no more than its members.
fn own_word(part: &str) -> Option<String> {
    Some(match part {
        "electrodes" | "tank" => return None,
        "over_temperature" => "over-temperature alarm".to_owned(),
        "over_temperature_offset" => "over-temperature offset".to_owned(),
        "dry_run" => "dry-run protection".to_owned(),
        "elements" => "element".to_owned(),
        _ => spaced(part),
    })
}

fn spaced(part: &str) -> String {
    let words = part.replace('_', " ");
    // As the trade writes them.
    match words.as_str() {
        "drag out" => "drag-out".to_owned(),
        "make up" => "make-up".to_owned(),
        _ => words,
    }
}

/// The path of an input in words, part by part: `drag-out, film` for `drag_out.film`, `chemicals, NiSO4·6H2O` for `chemicals.NiSO4.6H2O`.
#[must_use]
pub fn in_words(path: &str) -> String {
    let mut words: Vec<String> = Vec::new();
    for part in path.split('.') {
        match words.last_mut() {
            // The dot of a hydrate parts no words.
            Some(salt) if is_crystal_water(part) => *salt = format!("{salt}·{part}"),
            _ => words.push(spaced(part)),
        }
    }
    words.join(", ")
}

/// Whether a part of a path is the crystal water of a salt: `6H2O`.
fn is_crystal_water(part: &str) -> bool {
    let count = part.strip_suffix("H2O");
    count.is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
}

/// What an event does in words: its name, if it has one. `input` says what people call an input.
#[must_use]
pub fn event_words(event: &Event, loops: usize, input: &dyn Fn(&str) -> String) -> String {
    if let Some(name) = &event.name {
        return name.clone();
    }
    let act = &event.act;
    if let Some(set) = &act.set {
        return format!("{} becomes {}", input(&set.path), set.value);
    }
    if let Some(dump) = &act.dump {
        let tank = tank_called(&dump.tank, loops);
        return match dump.share.si() {
            share if share < 1.0 => format!("{:.0} % of {tank} is pumped out", 100.0 * share),
            _ => format!("{tank} is pumped out"),
        };
    }
    let others = [
        (&act.fail, "fails"),
        (&act.restore, "works again"),
        (&act.by_hand, "is run by hand"),
        (&act.automatic, "is back to automatic"),
        (&act.stick, "sticks"),
        (&act.free, "moves again"),
        (&act.reset, "is reset"),
    ];
    let of_parts = others
        .iter()
        .find_map(|(path, what)| Some(format!("{} {what}", called(path.as_ref()?, loops))));
    let waters = [
        (&act.stop_water, "water fails"),
        (&act.restore_water, "water returns"),
    ];
    let of_waters = || {
        waters
            .iter()
            .find_map(|(key, what)| Some(format!("{} {what}", key.as_ref()?)))
    };
    of_parts
        .or_else(of_waters)
        .unwrap_or_else(|| "nothing happens".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_read_as_words() {
        for (path, words) in [
            ("drag_out.film", "drag-out, film"),
            (
                "prices.chemicals.NiSO4.6H2O",
                "prices, chemicals, NiSO4·6H2O",
            ),
            ("recipe.H2O", "recipe, H2O"),
            ("set_point", "set point"),
            ("", ""),
        ] {
            assert_eq!(in_words(path), words);
        }
    }

    #[test]
    fn parts_are_called_as_people_call_them() {
        for (path, words) in [
            (
                "loop.holding_tank.over_temperature",
                "over-temperature alarm of the holding tank",
            ),
            (
                "loop.holding_tank.electrodes.low_alarm",
                "low alarm of the holding tank",
            ),
            (
                "loop.holding_tank.electrodes.transfer",
                "transfer electrode of the holding tank",
            ),
            (
                "loop.holding_tank.elements.e1",
                "element e1 of the holding tank",
            ),
            (
                "loop.collection.dry_run",
                "dry-run protection of the collection tank",
            ),
            ("loop.bath.low_alarm", "low alarm of the bath"),
            ("loop.sections.rinses.feed_valve", "feed valve of rinses"),
            (
                "loop.stills.drag_out.return_pump",
                "return pump of drag_out",
            ),
            ("loop.towers.t1.blower", "blower of tower t1"),
            ("loop.sections.rinses/2", "rinses 2"),
            ("loop.holding_tank", "holding tank"),
            ("loop.bath", "bath"),
        ] {
            assert_eq!(called(path, 1), words);
        }
        let two = called("nickel.bath.over_temperature", 2);
        assert_eq!(two, "over-temperature alarm of the nickel bath");
        assert_eq!(
            called("nickel.sections.rinses.feed_valve", 2),
            "feed valve of nickel rinses"
        );
        assert_eq!(called("", 1), "");
    }

    /// Every device, electrode and alarm of the shipped lines has a name of its own without a dot.
    #[test]
    fn no_two_parts_of_a_line_are_called_alike() {
        for text in [
            include_str!("../../../scenarios/demo.ron"),
            include_str!("../../../scenarios/zinc-barrel.ron"),
            include_str!("../../../scenarios/chromium.ron"),
        ] {
            let scenario = crate::load(text).0.unwrap();
            let net = crate::lower(&scenario).unwrap();
            let devices = net.devices.iter().map(|d| &d.name);
            let paths = devices.chain(net.relays.iter().map(|r| &r.name));
            let mut names: Vec<String> = paths.map(|p| called(p, net.loops.len())).collect();
            let count = names.len();
            assert!(names.iter().all(|n| !n.contains('.')), "{names:?}");
            names.sort();
            names.dedup();
            assert_eq!(names.len(), count);
        }
    }
}
