//! Changes of drafts, against the same changes made on plain trees.

use super::written::Text;
use super::*;
use crate::registry::{Registry, set};
use crate::tokens::{Kind as TokenKind, Tokens};
use crate::tree::{Node, Value};

const MAXIMAL: &str = include_str!("../../tests/data/maximal.ron");
const DEMO: &str = include_str!("../../../../scenarios/demo.ron");
const SHIPPED: [&str; 7] = [
    MAXIMAL,
    DEMO,
    include_str!("../../../../scenarios/demo-before.ron"),
    include_str!("../../../../scenarios/chromium.ron"),
    include_str!("../../../../scenarios/teaching.ron"),
    include_str!("../../../../scenarios/warm-bath.ron"),
    include_str!("../../../../scenarios/zinc-barrel.ron"),
];

/// A tree without places.
#[derive(Clone, Debug, PartialEq)]
enum Plain {
    Leaf(String),
    Things(Vec<(String, Plain)>),
}

fn plain(text: &str, node: &Node<'_>) -> Plain {
    let label = |n: &Node<'_>| match &n.value {
        Value::Text(text) => text.to_string(),
        _ => text[n.span.start..n.span.end].to_owned(),
    };
    match &node.value {
        Value::Record(all) => Plain::Things(
            all.iter()
                .map(|e| (e.name.to_owned(), plain(text, &e.node)))
                .collect(),
        ),
        Value::Map(all) => Plain::Things(
            all.iter()
                .map(|(k, v)| (label(k), plain(text, v)))
                .collect(),
        ),
        Value::List(all) => Plain::Things(
            all.iter()
                .map(|n| (String::new(), plain(text, n)))
                .collect(),
        ),
        _ => Plain::Leaf(label(node)),
    }
}

fn plain_of(text: &str) -> Plain {
    plain(text, &tree::parse(text).unwrap())
}

/// The things among which a spot stands, and its number among them.
fn among<'p>(root: &'p mut Plain, text: &str, at: &Spot) -> (&'p mut Vec<(String, Plain)>, usize) {
    let (parent, label) = at.split().unwrap();
    let read = Text::of(text).unwrap();
    let mut node = root;
    let mut spot = Spot::default();
    let number = |things: &[(String, Plain)], segment: &str| {
        let by_name = things.iter().position(|(l, _)| l == segment);
        by_name.unwrap_or_else(|| segment.parse::<usize>().unwrap() - 1)
    };
    for segment in parent.segments() {
        let Plain::Things(things) = node else {
            panic!("{at:?}")
        };
        let i = number(things, segment);
        node = &mut things[i].1;
        spot = spot.child(segment);
        assert!(read.node(&spot).is_some());
    }
    let Plain::Things(things) = node else {
        panic!("{at:?}")
    };
    let i = number(things, label);
    (things, i)
}

/// Every thing of every list and map.
fn things(text: &str) -> Vec<(Spot, bool)> {
    let draft = Draft::new(text).unwrap();
    let mut all = Vec::new();
    draft.root().walk(&mut |part| {
        let is_map = matches!(part.body, Body::Map(_));
        if is_map || matches!(part.body, Body::List(_)) {
            all.extend(part.parts().iter().map(|p| (p.spot.clone(), is_map)));
        }
    });
    all
}

fn comments(text: &str) -> Vec<&str> {
    let all = Tokens::new(text).filter(|t| matches!(t.kind, TokenKind::Comment { .. }));
    let mut all: Vec<&str> = all.map(|t| &text[t.span.start..t.span.end]).collect();
    all.sort_unstable();
    all
}

/// A remark above and behind each line that ends a value.
fn remarked(text: &str) -> String {
    let mut lines = Vec::new();
    for (n, line) in text.lines().enumerate() {
        let body = line.trim_start();
        let is_thing = body.starts_with(|c: char| c.is_ascii_alphabetic() || c == '"');
        if is_thing && n % 2 == 0 {
            lines.push(format!("{}// above {n}", &line[..line.len() - body.len()]));
        }
        let behind = if line.ends_with(',') && n % 3 == 0 {
            format!(" // behind {n}")
        } else if line.ends_with(['{', '(']) && n % 5 == 0 {
            format!(" /* of {n} */")
        } else {
            String::new()
        };
        lines.push(format!("{line}{behind}"));
    }
    lines.join("\n")
}

fn edited(text: &str, edit: &Edit) -> String {
    apply::apply(text, edit, None).unwrap_or_else(|p| panic!("{edit:?}: {p}"))
}

#[test]
fn things_are_moved_copied_renamed_and_removed_and_all_else_stays() {
    let with_remarks = remarked(MAXIMAL);
    let told = comments(&with_remarks);
    assert!(told.len() > 60);
    let texts = SHIPPED.into_iter().chain([with_remarks.as_str()]);
    for text in texts {
        let whole = plain_of(text);
        let all = things(text);
        assert!(all.len() > 5);
        for (at, is_map) in all {
            let (at, key) = (at, is_map.then(|| "Zz9".to_owned()));
            for is_down in [false, true] {
                let at = at.clone();
                let mut wanted = whole.clone();
                let (things, i) = among(&mut wanted, text, &at);
                let other = if is_down { i + 1 } else { i.wrapping_sub(1) };
                if other < things.len() {
                    things.swap(i, other);
                }
                let found = edited(text, &Edit::Move { at, is_down });
                assert_eq!(plain_of(&found), wanted);
                assert_eq!(comments(&found), comments(text));
            }
            let mut wanted = whole.clone();
            let (things, i) = among(&mut wanted, text, &at);
            let label = key.clone().unwrap_or_default();
            things.insert(i + 1, (label, things[i].1.clone()));
            let found = edited(
                text,
                &Edit::Copy {
                    at: at.clone(),
                    key: key.clone(),
                },
            );
            assert_eq!(plain_of(&found), wanted);
            assert!(comments(&found).len() >= comments(text).len());
            let mut wanted = whole.clone();
            let (things, i) = among(&mut wanted, text, &at);
            things.remove(i);
            let found = edited(text, &Edit::Remove { at: at.clone() });
            assert_eq!(plain_of(&found), wanted, "{at:?} in\n{found}");
            let left = comments(&found);
            assert!(left.iter().all(|c| comments(text).contains(c)));
            if let Some(key) = key {
                let found = edited(
                    text,
                    &Edit::Rename {
                        at: at.clone(),
                        key,
                    },
                );
                let (parent, _) = at.split().unwrap();
                let found_text = Text::of(&found).unwrap();
                assert!(found_text.node(&parent.child("Zz9")).is_some());
                assert!(found_text.node(&at).is_none());
                assert_eq!(comments(&found), comments(text));
            }
        }
    }
}

#[test]
fn each_input_takes_its_own_value_again_and_loses_it() {
    for text in [MAXIMAL, DEMO] {
        let draft = Draft::new(text).unwrap();
        let scenario = draft.scenario().unwrap();
        draft.root().walk(&mut |part| {
            let Some(leaf) = part.leaf() else { return };
            let at = part.spot.clone();
            let Some(written) = leaf.written.clone() else {
                return;
            };
            let same = edited(
                text,
                &Edit::Write {
                    at: at.clone(),
                    text: written,
                },
            );
            let again = load(&same).0.unwrap_or_else(|| panic!("{at:?}"));
            assert_eq!(again, **scenario, "{at:?}");
            let without = edited(text, &Edit::Remove { at: at.clone() });
            let without = Draft::new(without).unwrap();
            let gone = without.part(&at).and_then(|p| p.leaf()?.written.clone());
            let is_listed = at.split().is_some_and(|(parent, _)| {
                matches!(draft.part(&parent).map(|p| &p.body), Some(Body::List(_)))
            });
            assert!(gone.is_none() || is_listed, "{at:?}");
        });
    }
}

/// Every path of the registry has a part that can be written.
#[test]
fn every_input_of_the_registry_is_a_part() {
    for text in SHIPPED {
        let draft = Draft::new(text).unwrap();
        let mut paths = Vec::new();
        draft.root().walk(&mut |part| {
            if part.leaf().is_some() {
                paths.push(part.path.clone());
                assert_eq!(draft.root().of_path(&part.path).path, part.path);
            }
        });
        let registry = Registry::of(draft.scenario().unwrap());
        for parameter in registry.iter().filter(|p| !p.is_derived) {
            assert!(paths.contains(&parameter.path), "{}", parameter.path);
        }
    }
}

#[test]
fn differences_are_carried_over_and_remarks_stay() {
    let text = remarked(MAXIMAL);
    let before = load(&text).0.unwrap();
    let registry = Registry::of(&before);
    let mut carried = 0;
    for parameter in registry.iter() {
        let Some((low, high)) = parameter.allowed_si() else {
            continue;
        };
        let Some(si) = parameter.si() else { continue };
        let mut after = before.clone();
        let other = if si < 0.5 * (low + high) {
            si + 0.01 * (high - low)
        } else {
            si - 0.01 * (high - low)
        };
        if crate::set_si(&mut after, &parameter.path, other).is_err() || after == before {
            continue;
        }
        let found = carry::carry(&text, &before, &after).unwrap();
        let read = Draft::new(found.as_str()).unwrap();
        match read.scenario() {
            Some(scenario) => {
                assert_eq!(**scenario, after, "{}", parameter.path);
                carried += 1;
            }
            None => assert!(!crate::check(&after).is_empty(), "{}", parameter.path),
        }
        assert_eq!(comments(&found), comments(&text), "{}", parameter.path);
    }
    assert!(carried > 60, "{carried}");
    // What cannot be put into the text is written anew.
    let mut after = before.clone();
    set(&mut after, "a.holding_tank.coil.cap", "21 kW").unwrap();
    after.events.truncate(3);
    let found = rewrite(&text, &before, &after);
    assert_eq!(load(&found).0.unwrap(), after);
    assert!(comments(&found).len() > 50);
}

#[test]
fn new_things_begin_with_usual_values_and_run() {
    let draft = Draft::new(DEMO).unwrap();
    let line = Spot::of(&["loops", "loop"]);
    let add = |at: Spot, key: &str| Edit::Add {
        at,
        key: Some(key.to_owned()),
    };
    for (at, key) in [
        (Spot::of(&["calendars"]), "third_shift"),
        (Spot::of(&["waters"]), "well"),
        (Spot::of(&["species"]), "Wetter"),
        (Spot::of(&["salts"]), "NaWetter.2H2O"),
        (line.child("sections"), "last"),
        (line.child("stills"), "drag"),
        (line.child("towers"), "t2"),
        (line.child("holding_tank").child("elements"), "e9"),
        (line.child("bath").child("recipe"), "NiCO3"),
        (line.child("bath").child("contaminants"), "Zn"),
        (line.child("work").child("soil"), "Zn"),
        (
            line.child("work").child("drag_out").child("classes"),
            "cups",
        ),
        (line.child("route"), ""),
        (Spot::of(&["events"]), ""),
        (Spot::of(&["calendars", "shifts", "more"]), ""),
        (Spot::of(&["calendars", "shifts", "shutdowns"]), ""),
    ] {
        let new = draft.edited(&[add(at.clone(), key)]).unwrap();
        let count = |d: &Draft| d.part(&at).map_or(0, |p| p.parts().len());
        assert_eq!(count(&new), count(&draft) + 1, "{at:?}");
        // These say too little by themselves, and the draft tells what is missing.
        let is_half = ["NiCO3", "cups", "NaWetter.2H2O"].contains(&key);
        assert!(
            new.scenario().is_some() || is_half,
            "{at:?} {key}: {:?}",
            new.problems()
        );
        let inner = new.part(&at.child(key)).map(|p| {
            let mut count = 0;
            p.walk(&mut |part| {
                let leaf = part.leaf();
                let is_assumed = leaf.is_some_and(|l| l.origin.as_deref() == Some("assumed"));
                count += usize::from(is_assumed);
            });
            count
        });
        if key == "last" {
            assert!(inner.unwrap() >= 3);
        }
    }
    let bare = Draft::new("(version: 1)").unwrap();
    assert!(bare.scenario().is_none() && !bare.problems().is_empty());
    let taken = draft.edited(&[add(Spot::of(&["waters"]), "tap")]);
    assert!(taken.unwrap_err().message.contains("is there already"));
    let bad = draft.edited(&[add(Spot::of(&["waters"]), "tap water")]);
    assert!(bad.unwrap_err().message.contains("cannot be a key"));
}

#[test]
fn a_new_key_is_followed_by_everything_that_names_it() {
    for (segments, key) in [
        (vec!["calendars", "shifts"], "two-shifts"),
        (vec!["waters", "tap"], "town"),
        (vec!["species", "Tracer"], "Dye"),
        (vec!["salts", "NaTracer.2H2O"], "NaDye.2H2O"),
        (vec!["loops", "a", "sections", "rinses"], "counterflow"),
        (vec!["loops", "a", "stills", "drag"], "drag-out"),
        (vec!["loops", "a", "holding_tank", "elements", "e1"], "left"),
        (vec!["loops", "b"], "second"),
    ] {
        let draft = Draft::new(MAXIMAL).unwrap();
        let at = Spot::of(&segments);
        let new = draft
            .edited(&[Edit::Rename {
                at: at.clone(),
                key: key.to_owned(),
            }])
            .unwrap();
        assert_eq!(new.problems(), [], "{segments:?}");
        // And back again.
        let (parent, old) = at.split().unwrap();
        let back = new
            .edited(&[Edit::Rename {
                at: parent.child(key),
                key: old.to_owned(),
            }])
            .unwrap();
        assert_eq!(back.text(), MAXIMAL, "{segments:?}");
    }
}

#[test]
fn a_draft_with_faults_tells_them_where_they_are_and_comes_right() {
    let draft = Draft::new(DEMO).unwrap();
    let flow = Spot::of(&["loops", "loop", "sections", "rinses", "flow"]);
    let write = |text: &str| Edit::Write {
        at: flow.clone(),
        text: text.to_owned(),
    };
    for bad in ["much", "95 °C", "-3 L/h", "\" , ) (", ""] {
        let faulty = draft.edited(&[write(bad)]).unwrap();
        assert!(faulty.scenario().is_none());
        let problem = &faulty.problems()[0];
        assert_eq!(faulty.root().of_path(&problem.path).spot, flow, "{problem}");
        let leaf = faulty.part(&flow).unwrap().leaf().unwrap();
        assert_eq!(leaf.written.as_deref(), Some(bad.trim()));
        let right = faulty.edited(&[write("95 L/h")]).unwrap();
        assert_eq!(right.problems(), []);
    }
    let gone = draft.edited(&[Edit::Remove { at: flow.clone() }]).unwrap();
    let problem = &gone.problems()[0];
    assert_eq!(gone.root().of_path(&problem.path).spot, flow, "{problem}");
    let say = |said, text: &str| Edit::Say {
        at: flow.clone(),
        said,
        text: Some(text.to_owned()),
    };
    let more = draft
        .edited(&[
            say(Said::Notes, "read at the meter"),
            say(Said::Low, "80 L/h"),
            say(Said::High, "120 L/h"),
            say(Said::Origin, "measured"),
        ])
        .unwrap();
    let leaf = more.part(&flow).unwrap().leaf().unwrap().clone();
    assert_eq!(leaf.notes.as_deref(), Some("read at the meter"));
    assert_eq!(leaf.spread[0].as_deref(), Some("80 L/h"));
    assert_eq!(more.problems(), []);
    let low = more.edited(&[say(Said::Low, "300 L/h")]).unwrap();
    let problem = &low.problems()[0];
    assert_eq!(low.root().of_path(&problem.path).spot, flow, "{problem}");
}

#[test]
fn the_year_is_split_into_months_and_joined_again() {
    let draft = Draft::new(DEMO).unwrap();
    let at = Spot::of(&["site", "room"]);
    assert!(matches!(draft.part(&at).unwrap().body, Body::Months(_)));
    let whole = draft.edited(&[Edit::WholeYear { at: at.clone() }]).unwrap();
    assert_eq!(whole.problems(), []);
    let part = whole.part(&at.child("temperature")).unwrap();
    assert_eq!(part.path, "site.room.all.temperature");
    let again = whole.edited(&[Edit::EachMonth { at: at.clone() }]).unwrap();
    assert_eq!(again.problems(), []);
    let july = again.part(&at.child("Jul").child("temperature")).unwrap();
    assert_eq!(july.path, "site.room.Jul.temperature");
    assert_eq!(july.leaf().unwrap().written.as_deref(), Some("18 °C"));
}
