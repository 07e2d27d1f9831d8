//! A scenario under changes by levers.

use std::collections::BTreeMap;

use dragback_scenario::{Origin, Problem, Registry, Scenario, get, set, set_origin, set_si};

use super::Setting;

/// A scenario under changes by levers. What was measured, or is typical, is so no longer where it has been moved: it is assumed.
pub(super) fn moved(
    base: &Scenario,
    changes: &BTreeMap<String, Setting>,
) -> Result<Scenario, Problem> {
    let mut scenario = base.clone();
    for (path, setting) in changes {
        match setting {
            Setting::Si(si) => set_si(&mut scenario, path, *si)?,
            Setting::Text(text) => set(&mut scenario, path, text)?,
        }
    }
    let is_derived = |path: &String| get(base, path).is_ok_and(|p| p.is_derived);
    let paths: Vec<String> = if changes.keys().any(is_derived) {
        // One lever moves several inputs.
        let all = Registry::of(base);
        all.iter().map(|p| p.path.clone()).collect()
    } else {
        changes.keys().cloned().collect()
    };
    for path in paths {
        let (Ok(was), Ok(now)) = (get(base, &path), get(&scenario, &path)) else {
            continue;
        };
        let is_known = matches!(was.leaf.origin, Some(Origin::Measured | Origin::Typical));
        if is_known && was.si() != now.si() {
            set_origin(&mut scenario, &path, Origin::Assumed)?;
        }
    }
    Ok(scenario)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Document, Origin as From};

    const FILM: &str = "loop.work.drag_out.film";
    const HEAT: &str = "loop.holding_tank.heat_input";

    fn demo() -> Document {
        let text = include_str!("../../../../scenarios/demo.ron");
        let text = text.replacen(
            "power: \"13 kW\"",
            "power: (value: \"13 kW\", origin: typical)",
            1,
        );
        Document::read(&text, From::default(), 1).unwrap()
    }

    fn origin(document: &Document, path: &str) -> Option<Origin> {
        get(&document.scenario, path).unwrap().leaf.origin
    }

    #[test]
    fn a_measured_value_that_is_moved_is_assumed_until_it_is_back() {
        let mut document = demo();
        assert_eq!(origin(&document, FILM), Some(Origin::Measured));
        let first = document.lever(FILM).unwrap().si;
        document.change(FILM, Setting::Si(1.5 * first), 1).unwrap();
        assert_eq!(origin(&document, FILM), Some(Origin::Assumed));
        let lever = document.lever(FILM).unwrap();
        assert_eq!(
            (lever.origin_word(), lever.moved_from()),
            ("assumed", Some(Origin::Measured))
        );
        // So it lies in the file, beside what it may be.
        let text = document.text();
        assert!(
            text.contains("origin: assumed,\n                        low: \"0.09 L/m²\""),
            "{text}"
        );
        // Back by hand, and by undo.
        document.change(FILM, Setting::Si(first), 2).unwrap();
        assert_eq!(origin(&document, FILM), Some(Origin::Measured));
        document.undo().unwrap();
        document.undo().unwrap();
        assert_eq!(origin(&document, FILM), Some(Origin::Measured));
        assert!(!document.is_dirty());
        // Saved, it is what it is now.
        document.change(FILM, Setting::Si(1.5 * first), 3).unwrap();
        document.note_saved(From::default());
        let lever = document.lever(FILM).unwrap();
        assert_eq!((lever.origin_word(), lever.moved_from()), ("assumed", None));
    }

    #[test]
    fn a_lever_that_moves_several_inputs_marks_each_that_was_known() {
        let mut document = demo();
        let registry = Registry::of(&document.scenario);
        let typical = registry
            .iter()
            .find(|p| p.leaf.origin == Some(Origin::Typical) && p.path.contains("elements"));
        let path = typical.unwrap().path.clone();
        let first = document.lever(HEAT).unwrap().si;
        document.change(HEAT, Setting::Si(0.9 * first), 1).unwrap();
        assert_eq!(origin(&document, &path), Some(Origin::Assumed));
        assert_eq!(origin(&document, FILM), Some(Origin::Measured));
    }
}
