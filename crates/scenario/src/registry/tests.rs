use std::collections::BTreeSet;

use super::*;
use crate::record::join;
use crate::schema::*;
use crate::tree::{Node, Value, parse};

const DEMO: &str = include_str!("../../../../scenarios/demo.ron");
const MAXIMAL: &str = include_str!("../../tests/data/maximal.ron");

fn loaded(text: &str) -> Scenario {
    let (scenario, problems) = crate::load(text);
    let words: Vec<String> = problems.iter().map(|p| p.in_file("test.ron")).collect();
    assert!(words.is_empty(), "{}", words.join("\n"));
    scenario.unwrap()
}

/// Paths of everything in a file that is not a record, list or map.
fn leaves(node: &Node<'_>, path: &mut String, found: &mut BTreeSet<String>) {
    match &node.value {
        Value::Record(entries)
            if entries.iter().any(|e| e.name == "value") && !path.ends_with("do.set") =>
        {
            found.insert(path.clone());
        }
        Value::Record(entries) => {
            for e in entries {
                if path.is_empty() && e.name == "loops" {
                    leaves(&e.node, path, found);
                } else {
                    join(path, e.name, |path| leaves(&e.node, path, found));
                }
            }
        }
        Value::Map(pairs) => {
            for (key, value) in pairs {
                let Value::Text(key) = &key.value else {
                    panic!("a key in quotes")
                };
                join(path, key, |path| leaves(value, path, found));
            }
        }
        Value::List(items) => {
            for (i, item) in items.iter().enumerate() {
                join(path, &(i + 1).to_string(), |path| leaves(item, path, found));
            }
        }
        _ => {
            found.insert(path.clone());
        }
    }
}

/// Whatever stands in a file is a registered input, and whatever is registered as given stands in the file.
#[test]
fn every_leaf_of_a_file_is_registered() {
    for text in [DEMO, MAXIMAL] {
        let scenario = loaded(text);
        let mut in_file = BTreeSet::new();
        leaves(&parse(text).unwrap(), &mut String::new(), &mut in_file);
        // Air that is the same all year stands without `all` in the file.
        let in_file: BTreeSet<String> = in_file
            .into_iter()
            .map(|path| match path.strip_prefix("site.room.") {
                Some(rest) if !Month::WORDS.contains(&rest.split('.').next().unwrap()) => {
                    format!("site.room.all.{rest}")
                }
                _ => path,
            })
            .collect();
        let registry = Registry::of(&scenario);
        let all: BTreeSet<String> = registry.iter().map(|p| p.path.clone()).collect();
        let unregistered: Vec<&String> = in_file.difference(&all).collect();
        assert!(unregistered.is_empty(), "{unregistered:?}");
        let quantities = registry
            .iter()
            .filter(|p| p.dim().is_some() && !p.is_derived);
        for given in quantities.filter(|p| p.leaf.is_given) {
            assert!(
                in_file.contains(&given.path),
                "{} is not in the file",
                given.path
            );
        }
    }
}

/// What is set through an input that scales others must come back from the file.
#[test]
fn derived_inputs_keep_their_parts_within_range() {
    let mut scenario = loaded(DEMO);
    let path = "loop.holding_tank.heat_input";
    let before = scenario.clone();
    let problem = set(&mut scenario, path, "9999 kW").unwrap_err();
    assert_eq!(problem.path, path);
    assert!(
        problem.message.contains("is above the allowed 0–1000 kW"),
        "{problem}"
    );
    assert_eq!(scenario, before);
}

/// A text that would make the file too large to be read again is not set.
#[test]
fn endless_texts_are_not_set() {
    let mut scenario = loaded(DEMO);
    let before = scenario.clone();
    let problem = set(&mut scenario, "loop.bath.notes", &"x".repeat(1_000_000)).unwrap_err();
    assert!(problem.to_string().len() < 200, "{problem}");
    assert_eq!(scenario, before);
}

/// Months are spelt in paths as in files; a person need not mind upper and lower case.
#[test]
fn months_are_named_as_in_the_file() {
    let mut scenario = loaded(DEMO);
    let path = "site.room.Jan.temperature";
    assert!(Registry::of(&scenario).get(path).is_some());
    for (typed, value) in [(path, "11 °C"), ("site.room.jan.temperature", "12 °C")] {
        set(&mut scenario, typed, value).unwrap();
        assert_eq!(get(&scenario, path).unwrap().text(), Some(value));
    }
    assert!(set(&mut scenario, "site.room.January.temperature", "12 °C").is_err());
}

/// What is declared about the fields of every record.
const RECORDS: [&[&Meta]; 45] = [
    Air::FIELDS,
    TitleBlock::FIELDS,
    Additions::FIELDS,
    Bath::FIELDS,
    Calendar::FIELDS,
    Coil::FIELDS,
    Collection::FIELDS,
    Contact::FIELDS,
    Deed::FIELDS,
    DragIn::FIELDS,
    DragOut::FIELDS,
    Dump::FIELDS,
    Electrodes::FIELDS,
    Element::FIELDS,
    Event::FIELDS,
    Holding::FIELDS,
    Loop::FIELDS,
    MakeUp::FIELDS,
    Measured::FIELDS,
    PartClass::FIELDS,
    Prices::FIELDS,
    Treatment::FIELDS,
    Electricity::FIELDS,
    Fuel::FIELDS,
    Labour::FIELDS,
    Capital::FIELDS,
    Fee::FIELDS,
    Rated::FIELDS,
    Rectifier::FIELDS,
    Return::FIELDS,
    SaltDef::FIELDS,
    Scenario::FIELDS,
    Section::FIELDS,
    SetValue::FIELDS,
    Shutdown::FIELDS,
    Site::FIELDS,
    SpeciesDef::FIELDS,
    Spray::FIELDS,
    Still::FIELDS,
    Tank::FIELDS,
    Tower::FIELDS,
    Visit::FIELDS,
    Water::FIELDS,
    Window::FIELDS,
    Work::FIELDS,
];

/// Fields that hold records have no value of their own: what they hold is in the list above.
const HOLDERS: &str = "site room outside calendars waters species salts loops events prices more shutdowns work bath stills sections route collection holding_tank towers tank drag_in drag_out measured classes rectifier additions make_up spray elements coil electrodes return transfer rated do dump set treatment electricity fuel labour capital yearly variants title_block";

/// The maximal scenario holds every field of every record, so that the test above means every field.
#[test]
fn the_maximal_scenario_holds_every_field() {
    let mut seen: BTreeSet<(&str, &str)> = BTreeSet::new();
    let declared = |meta: &Meta| (meta.name, meta.hint);
    let scenario = loaded(MAXIMAL);
    let text = crate::save(&scenario);
    let (again, _) = crate::load(&text);
    let mut path = String::new();
    again
        .unwrap()
        .visit(&mut path, &Meta::EMPTY, &mut |_, meta, leaf| {
            if leaf.text.is_some() {
                seen.insert(declared(meta));
            }
        });
    let mut missing = Vec::new();
    let is_holder = |name: &str| HOLDERS.split(' ').any(|holder| holder == name);
    for meta in RECORDS.into_iter().flatten() {
        if !seen.contains(&declared(meta)) && !is_holder(meta.name) {
            missing.push(meta.name);
        }
    }
    // A map of values shows the map's own declaration.
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn declarations_make_sense() {
    let registry = Registry::of(&loaded(MAXIMAL));
    for p in registry.iter() {
        assert!(p.hint().ends_with('.'), "{}: {}", p.path, p.hint());
        let Some(dim) = p.dim() else { continue };
        assert!(
            dim.find_unit(p.meta.unit).is_some(),
            "{}: unit {:?}",
            p.path,
            p.meta.unit
        );
        let Some((low, high)) = p.allowed_si() else {
            continue;
        };
        assert!(low < high, "{}", p.path);
        if let Some((from, to)) = p.usual_si() {
            assert!(
                low <= from && from < to && to <= high,
                "{}: usual range",
                p.path
            );
        }
        if let Some(default) = p.meta.default {
            let si = dim.parse(default).unwrap();
            assert!((low..=high).contains(&si), "{}: default {default}", p.path);
        }
    }
}

#[test]
fn every_input_can_be_read_and_set_by_its_path() {
    let scenario = loaded(MAXIMAL);
    for p in Registry::of(&scenario).iter() {
        let found = get(&scenario, &p.path).unwrap();
        assert_eq!(&found, p);
        let Some(text) = p.text() else { continue };
        let mut changed = scenario.clone();
        set(&mut changed, &p.path, text).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(
            get(&changed, &p.path).unwrap().text(),
            Some(text),
            "{}",
            p.path
        );
        if let Some(si) = p.si() {
            set_si(&mut changed, &p.path, si).unwrap_or_else(|e| panic!("{e}"));
            let again = get(&changed, &p.path).unwrap().si().unwrap();
            assert!(
                (again - si).abs() <= 1e-12 * si.abs(),
                "{}: {again} for {si}",
                p.path
            );
        }
    }
}

#[test]
fn setting_checks_path_dimension_and_range() {
    let mut scenario = loaded(DEMO);
    let before = scenario.clone();
    let fault =
        |s: &mut Scenario, path: &str, text: &str| set(s, path, text).unwrap_err().to_string();
    let said = fault(&mut scenario, "loop.holding_tank.setpoint", "60 °C");
    assert!(
        said.contains("did you mean `loop.holding_tank.set_point`?"),
        "{said}"
    );
    let said = fault(&mut scenario, "loop.holding_tank.set_point", "60 L");
    assert!(said.contains("'60 L' is a volume; a temperature"), "{said}");
    let said = fault(&mut scenario, "loop.holding_tank.set_point", "95 °C");
    assert!(
        said.contains("\"95 °C\" is above the allowed 20–90 °C; lower it"),
        "{said}"
    );
    let said = fault(&mut scenario, "loop.holding_tank.coil.cap", "20 kW");
    assert!(said.contains("no `coil`"), "{said}");
    let said = fault(&mut scenario, "loop.holding_tank.control", "on_of");
    assert!(said.contains("did you mean `on_off`?"), "{said}");
    assert_eq!(scenario, before);
    set(&mut scenario, "loop.holding_tank.set_point", "140 °F").unwrap();
    set(&mut scenario, "loop.bath.purge", "1 gal/h").unwrap();
    set(&mut scenario, "loop.bath.recipe.NiSO4.6H2O", "300 g/L").unwrap();
    assert_eq!(
        get(&scenario, "loop.bath.purge").unwrap().text(),
        Some("1 gal/h")
    );
    set(&mut scenario, "loop.bath.purge", "none").unwrap();
    assert_eq!(get(&scenario, "loop.bath.purge").unwrap().text(), None);
    assert_eq!(
        get(&scenario, "loop.bath.recipe.NiSO4.6H2O")
            .unwrap()
            .text(),
        Some("300 g/L")
    );
}

#[test]
fn applying_checks_the_whole_and_changes_all_or_nothing() {
    let mut scenario = loaded(DEMO);
    let before = scenario.clone();
    let changes = [
        ("loop.holding_tank.set_point", "71 °C"),
        ("loop.bath.set_point", "50 °C"),
    ];
    let problems = apply(&mut scenario, changes).unwrap_err();
    assert!(
        problems
            .iter()
            .any(|p| p.to_string().contains("above the ceiling")),
        "{problems:?}"
    );
    assert_eq!(scenario, before);
    apply(&mut scenario, [("loop.holding_tank.set_point", "62 °C")]).unwrap();
    assert_ne!(scenario, before);
}

#[test]
fn setting_a_value_keeps_its_unit() {
    let mut scenario = loaded(MAXIMAL);
    set_si(&mut scenario, "a.work.drag_out.film", 1.5e-4).unwrap();
    let text = get(&scenario, "a.work.drag_out.film")
        .unwrap()
        .leaf
        .text
        .unwrap();
    assert!(text.ends_with(" gal/1000ft2"), "{text}");
}

#[test]
fn the_three_levers_are_there_in_every_way_of_giving_drag_out() {
    let scenario = loaded(MAXIMAL);
    let tails = |key: &str| levers_of(&scenario, key);
    assert_eq!(
        tails("a"),
        [
            "work.drag_out.film",
            "sections.rinses.flow",
            "holding_tank.heat_input"
        ]
    );
    assert_eq!(tails("b")[0], "work.drag_out.flow");
    assert_eq!(tails("c")[0], "work.drag_out.per_load");
    assert_eq!(tails("e")[0], "work.drag_out.measured.rise");
    assert_eq!(
        tails("d"),
        [
            "work.drag_out.mean_film",
            "sections.rinses.flow",
            "bath.heater_power"
        ]
    );
    assert!(crate::levers(&scenario, "f").is_none());
}

fn levers_of(scenario: &Scenario, key: &str) -> [String; 3] {
    let paths = crate::levers(scenario, key).unwrap();
    paths.map(|path| {
        assert!(get(scenario, &path).unwrap().suits_lever(), "{path}");
        path.strip_prefix(&format!("{key}.")).unwrap().to_owned()
    })
}

#[test]
fn heat_input_scales_every_heater_alike() {
    let mut scenario = loaded(MAXIMAL);
    let path = "a.holding_tank.heat_input";
    assert_eq!(get(&scenario, path).unwrap().si(), Some(40_000.0));
    set(&mut scenario, path, "60 kW").unwrap();
    let power = |s: &Scenario, p: &str| get(s, p).unwrap().si().unwrap();
    assert!((power(&scenario, "a.holding_tank.elements.e1.power") - 15_000.0).abs() < 1e-6);
    assert!((power(&scenario, "a.holding_tank.coil.cap") - 30_000.0).abs() < 1e-6);
    set(&mut scenario, path, "0 kW").unwrap();
    set(&mut scenario, path, "30 kW").unwrap();
    assert!((power(&scenario, "a.holding_tank.elements.e2.power") - 10_000.0).abs() < 1e-6);
    assert!(set(&mut scenario, path, "-1 kW").is_err());
}

/// Reads a text without the rules between inputs.
fn read_only(text: &str) -> Scenario {
    let root = parse(text).unwrap();
    let mut reader = crate::record::Reader::new(text);
    let scenario = Scenario::read(&root, &Meta::EMPTY, &mut reader);
    let (problems, _) = reader.finish();
    assert!(problems.is_empty(), "{problems:?}");
    scenario
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig {
        cases: 300,
        failure_persistence: None,
        ..proptest::prelude::ProptestConfig::default()
    })]

    /// Whatever inputs are set, saving and loading gives the same scenario, text for text.
    #[test]
    fn saving_and_loading_gives_the_same(
        picks in proptest::collection::vec((0_usize..10_000, 0.0_f64..1.0), 1..12),
        words in "[ -~\n\t°µ²³“\u{1}\r\"\\\\]{0,40}",
    ) {
        let mut scenario = read_only(MAXIMAL);
        let registry = Registry::of(&scenario);
        for (pick, share) in picks {
            let p = registry.iter().nth(pick % registry.len()).unwrap();
            match p.leaf.kind {
                Kind::Quantity(Dim::Count) => {}
                Kind::Quantity(_) => {
                    let (low, high) = p.usual_si().or_else(|| p.allowed_si()).unwrap_or((0.0, 1.0));
                    let _ = set_si(&mut scenario, &p.path, low + share * (high - low));
                }
                Kind::Text => {
                    let _ = set(&mut scenario, &p.path, &words);
                }
                Kind::Choice(list) => {
                    let at = (share * 0.999 * list.len() as f64) as usize;
                    set(&mut scenario, &p.path, list[at]).unwrap();
                }
                Kind::Flag => set(&mut scenario, &p.path, if share < 0.5 { "true" } else { "false" }).unwrap(),
            }
        }
        let text = crate::save(&scenario);
        crate::text::check_syntax(&text).unwrap();
        let again = read_only(&text);
        proptest::prop_assert_eq!(&again, &scenario);
        proptest::prop_assert_eq!(crate::save(&again), text);
    }
}
