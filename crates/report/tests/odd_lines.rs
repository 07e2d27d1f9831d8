//! Reports of lines that are not like the demo: two baths, thirty species, long names, next to nothing given. Every part is there, every figure parses, and no
//! text of a figure stands beyond its edge or over another.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop where a value is missing"
)]

use std::sync::Arc;

use dragback_report::{Block, Document, Findings, Show, Wanted, compose, csv, html};
use dragback_scenario::{Scenario, load};
use dragback_units::System;
use roxmltree::Node;

const DEMO: &str = include_str!("../../../scenarios/demo.ron");
const BEFORE: &str = include_str!("../../../scenarios/demo-before.ron");

fn read(text: &str) -> Arc<Scenario> {
    let (scenario, problems) = load(text);
    Arc::new(scenario.unwrap_or_else(|| panic!("{problems:#?}")))
}

/// The demo with its loop twice.
fn two_baths() -> String {
    let (from, up_to) = ("        \"loop\": (", "    },\n    prices:");
    let start = DEMO.find(from).unwrap();
    let end = start + DEMO[start..].find(up_to).unwrap();
    let body = DEMO[start..end].strip_prefix(from).unwrap();
    let loops = format!("        \"north\": ({body}        \"south\": ({body}");
    format!("{}{loops}{}", &DEMO[..start], &DEMO[end..])
}

/// The demo with thirty species more.
fn many_species() -> String {
    let names: Vec<String> = (1..=30).map(|i| format!("Tracer{i}")).collect();
    let defined: String = names
        .iter()
        .map(|n| format!("\"{n}\": (name: \"tracer\", molar_mass: \"60 g/mol\", apparent_volume: \"0.3 L/kg\"), "))
        .collect();
    let held: String = names
        .iter()
        .map(|n| format!("\"{n}\": \"40 mg/L\", "))
        .collect();
    DEMO.replace("    species: {", &format!("    species: {{{defined}"))
        .replace("contaminants: {", &format!("contaminants: {{{held}"))
}

/// The demo with names that no figure has room for.
fn long_names() -> String {
    let long = "the_third_and_last_counterflow_rinses";
    DEMO.replace("\"rinses\"", &format!("\"{long}\"")).replace(
        "title: \"Bright nickel rack line with a closed rinse loop\"",
        &format!(
            "title: \"{}\"",
            "A line whose name never ends, & <so> on. ".repeat(12)
        ),
    )
}

/// The line before recovery with as little said as can be.
fn next_to_nothing() -> String {
    let start = BEFORE.find("    prices: (").unwrap();
    let text = format!("{})", &BEFORE[..start]);
    text.replace("final_limit: \"20 mg/L\",", "")
}

fn report(text: &str, before: Option<&str>, system: System, has_sizes: bool) -> Document {
    let scenario = read(text);
    let wanted = Wanted {
        before: before.map(read),
        within_years: 2.0,
        limits: if has_sizes {
            Wanted::own_limits(&scenario)
        } else {
            Vec::new()
        },
        all_layouts: false,
        scenario,
    };
    let found = Findings::of(&wanted, |_, _| true);
    compose(&found.unwrap(), Show::in_units(system))
}

/// Where a text stands: left, top, right, bottom.
fn place(node: &Node<'_, '_>) -> [f64; 4] {
    let of = |name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
    let (x, y, size) = (of("x"), of("y"), of("font-size"));
    [x, y - 0.8 * size, x + of("textLength"), y + 0.2 * size]
}

fn assert_legible(document: &Document) {
    for figure in document.figures() {
        let svg = roxmltree::Document::parse(&figure.svg).unwrap();
        let root = svg.root_element();
        let side = |name: &str| root.attribute(name).unwrap().parse::<f64>().unwrap();
        let (wide, high) = (side("width"), side("height"));
        assert!(
            (figure.aspect - wide / high).abs() < 1e-6,
            "{}",
            figure.name
        );
        let texts: Vec<Node<'_, '_>> = svg
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .collect();
        assert!(!texts.is_empty(), "{}", figure.name);
        let places: Vec<[f64; 4]> = texts.iter().map(place).collect();
        for (i, (text, a)) in texts.iter().zip(&places).enumerate() {
            let what = || format!("{}: {:?}", figure.name, text.text());
            let is_inside =
                a[0] >= -0.5 && a[1] >= -1.0 && a[2] <= wide + 0.5 && a[3] <= high + 1.0;
            assert!(is_inside, "{} stands at {a:?} of {wide} × {high}", what());
            for (b, other) in places[i + 1..].iter().zip(&texts[i + 1..]) {
                let apart = a[2] <= b[0] + 0.5
                    || b[2] <= a[0] + 0.5
                    || a[3] <= b[1] + 2.0
                    || b[3] <= a[1] + 2.0;
                assert!(apart, "{} lies over {:?}", what(), other.text());
            }
        }
    }
}

#[test]
fn every_kind_of_line_has_a_report_that_can_be_read() {
    let lines = [
        ("the demo", DEMO.to_owned(), Some(BEFORE)),
        ("two baths", two_baths(), None),
        ("many species", many_species(), None),
        ("long names", long_names(), None),
        ("next to nothing", next_to_nothing(), None),
    ];
    for (what, text, before) in lines {
        for system in [System::Metric, System::Us] {
            let document = report(&text, before, system, what == "the demo");
            assert_legible(&document);
            assert!(document.answer().next().is_some(), "{what}");
            for section in &document.sections {
                assert!(!section.blocks.is_empty(), "{what}: {}", section.title);
            }
            let page = html(&document);
            assert!(page.ends_with("</html>"), "{what}");
            assert!(!csv(&document).unwrap().is_empty(), "{what}");
        }
    }
}

/// The answer says what to install: the first of the layouts that were sized, and what is bought for a change.
#[test]
fn the_answer_says_what_to_install() {
    let document = report(DEMO, Some(BEFORE), System::Metric, true);
    let said: Vec<&str> = document.answer().map(|s| s.text.as_str()).collect();
    let bought = "evaporator with blower and mist eliminator, 24500 EUR";
    assert!(said.iter().any(|s| s.contains(bought)), "{said:#?}");
    assert!(
        said.iter().any(|s| s.starts_with("How sure that is:")),
        "{said:#?}"
    );
    assert!(said.iter().any(|s| s.contains("Invented")), "{said:#?}");
    assert!(!said.iter().any(|s| s.starts_with("Of ")), "{said:#?}");
    let document = report(DEMO, None, System::Metric, true);
    let said: Vec<&str> = document.answer().map(|s| s.text.as_str()).collect();
    let first = said.iter().find(|s| s.starts_with("Of 18 layouts"));
    let first = first.unwrap_or_else(|| panic!("{said:#?}"));
    let blocks = document.sections.iter().flat_map(|s| &s.blocks);
    let table = blocks
        .filter_map(|block| match block {
            Block::Table { table, .. } => Some(table),
            _ => None,
        })
        .find(|t| t.heads.first().is_some_and(|h| h == "rinses"))
        .unwrap();
    // The row that is marked is the one that is told, with its flow.
    let row = &table.rows[0];
    assert!(row[0].starts_with("* "), "{row:?}");
    let stages: String = row[0].chars().filter(char::is_ascii_digit).collect();
    assert!(
        first.contains(&format!("{stages} counterflow rinses")),
        "{first}"
    );
    assert!(
        first.contains(&format!("{} L/h of rinse water", row[2])),
        "{first} {row:?}"
    );
    let without = report(DEMO, None, System::Metric, false);
    assert!(without.answer().all(|s| !s.text.contains("layouts")));
}

/// Both loops have their figures, and what they share stands once.
#[test]
fn two_baths_stand_one_after_the_other() {
    let document = report(&two_baths(), None, System::Metric, false);
    let names: Vec<&str> = document.figures().map(|f| f.name.as_str()).collect();
    assert_eq!(names.iter().filter(|n| **n == "line").count(), 1);
    for key in ["north", "south"] {
        assert!(
            names.contains(&format!("{key}-concentrations").as_str()),
            "{names:?}"
        );
    }
    let heads = document.sections.iter().flat_map(|s| &s.blocks);
    let heads = heads.filter(|b| matches!(b, Block::Heading(h) if h.contains("(north)")));
    assert!(heads.count() >= 2);
}

/// What nobody gave is not made up: no limit, no prices.
#[test]
fn what_is_not_known_is_said() {
    let document = report(&next_to_nothing(), None, System::Metric, true);
    let titles: Vec<&str> = document.sections.iter().map(|s| s.title.as_str()).collect();
    assert!(!titles.contains(&"What must be installed"), "{titles:?}");
    let money = document
        .sections
        .iter()
        .find(|s| s.title == "Money")
        .unwrap();
    let Some(Block::Text(words)) = money.blocks.first() else {
        panic!("{:?}", money.blocks);
    };
    assert!(words.contains("has no prices"), "{words}");
}

/// Where most of what a year takes has no price, no layout has a cost: nothing is drawn of it, and the year's cost does not stand alone.
#[test]
fn no_figure_is_empty_and_no_cost_looks_whole() {
    let teaching = include_str!("../../../scenarios/teaching.ron");
    let document = report(teaching, None, System::Metric, true);
    let blocks = || document.sections.iter().flat_map(|s| &s.blocks);
    let figures: Vec<&str> = blocks()
        .filter_map(|b| match b {
            Block::Figure(f) => Some(f.name.as_str()),
            _ => None,
        })
        .collect();
    assert!(
        figures.contains(&"rinses-and-water") && figures.contains(&"rinses-and-duty"),
        "{figures:?}"
    );
    assert!(!figures.contains(&"rinses-and-cost"), "{figures:?}");
    let is_said = |part: &str| blocks().any(|b| matches!(b, Block::Text(t) if t.contains(part)));
    assert!(is_said("to run, as far as what it takes has a price."));
    let demo = report(DEMO, None, System::Metric, false);
    let mut all = demo.sections.iter().flat_map(|s| &s.blocks);
    assert!(all.any(|b| matches!(b, Block::Text(t) if t.ends_with(" EUR to run."))));
}
