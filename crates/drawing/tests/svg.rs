//! The drawing on paper: well formed, complete, the same every time, and no text on another.

#![expect(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

use std::sync::{Arc, LazyLock};

use dragback_drawing::font::{ascent, holds, line_height, width};
use dragback_drawing::scene::{Place, Scene, StationKind};
use dragback_drawing::{Page, settled_scene, settled_svg, svg, words};
use dragback_plant::TowerCache;
use dragback_scenario::load;
use dragback_study::{AirChoice, Case, Counted, Depth, Hours, SettledCase, settled_answers};
use dragback_units::System;
use emath::{Rect, Vec2, pos2, vec2};
use roxmltree::{Document, Node};

const SHIPPED: [(&str, &str); 6] = [
    ("demo", include_str!("../../../scenarios/demo.ron")),
    (
        "demo-before",
        include_str!("../../../scenarios/demo-before.ron"),
    ),
    (
        "zinc-barrel",
        include_str!("../../../scenarios/zinc-barrel.ron"),
    ),
    ("chromium", include_str!("../../../scenarios/chromium.ron")),
    (
        "warm-bath",
        include_str!("../../../scenarios/warm-bath.ron"),
    ),
    ("teaching", include_str!("../../../scenarios/teaching.ron")),
];

/// Width and height of a figure of a report, points.
const PAPER: Vec2 = vec2(1000.0, 420.0);
/// The same for an upright page, on which it is shrunk.
const UPRIGHT: Vec2 = vec2(700.0, 340.0);
const SYSTEMS: [System; 2] = [System::Metric, System::Us];

fn settled(text: &str) -> SettledCase {
    let (scenario, problems) = load(text);
    let scenario = scenario.unwrap_or_else(|| panic!("{problems:?}"));
    let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap()
}

fn scene_of(settled: &SettledCase) -> Scene {
    let plant = &settled.settled.world.plant;
    let (week, answers) = (&settled.week, &settled.answers);
    settled_scene(plant, week, answers, AirChoice::Mean, Counted::Metal)
}

/// Every shipped line, settled once.
static LINES: LazyLock<Vec<(&'static str, SettledCase)>> = LazyLock::new(|| {
    let each = SHIPPED.into_iter();
    each.map(|(name, text)| (name, settled(text))).collect()
});

const fn page(size: Vec2, system: System) -> Page<'static> {
    Page {
        size,
        system,
        title: "The loop, drawn",
    }
}

/// The demo with two lines, `north` and `south`.
fn two_lines() -> String {
    let demo = SHIPPED[0].1;
    let start = demo.find("        \"loop\": (").unwrap();
    let end = start + demo[start..].find("    },\n    prices:").unwrap();
    let body = demo[start..end]
        .strip_prefix("        \"loop\": (")
        .unwrap();
    let loops = ["north", "south"].map(|key| format!("        \"{key}\": ({body}"));
    format!("{}{}{}", &demo[..start], loops.concat(), &demo[end..])
}

/// A text of a picture and the rectangle that it fills.
struct Text {
    text: String,
    rect: Rect,
    points: f32,
}

fn number(node: Node<'_, '_>, name: &str) -> f32 {
    let told = node.attribute(name).unwrap_or_default();
    told.parse()
        .unwrap_or_else(|_| panic!("{name} of {node:?}"))
}

/// The texts of a picture, each in the width that the fonts give it.
fn texts(document: &Document<'_>) -> Vec<Text> {
    let nodes = document.descendants().filter(|n| n.has_tag_name("text"));
    let each = nodes.map(|node| {
        let text = node.text().unwrap_or_default().to_owned();
        let points = number(node, "font-size");
        let size = vec2(width(&text, points, false), line_height(points));
        let left_top = pos2(number(node, "x"), number(node, "y") - ascent(points));
        assert!((number(node, "textLength") - size.x).abs() <= 0.005 + 1e-3);
        let rect = Rect::from_min_size(left_top, size);
        Text { text, rect, points }
    });
    each.collect()
}

/// What every picture keeps to; its texts.
fn check(drawn: &str, size: Vec2, what: &str) -> Vec<Text> {
    let document = Document::parse(drawn).unwrap_or_else(|e| panic!("{what}: {e}"));
    let root = document.root_element();
    assert!(root.has_tag_name(("http://www.w3.org/2000/svg", "svg")));
    assert_eq!(root.attribute("role"), Some("img"));
    assert!(!root.attribute("aria-label").unwrap().is_empty());
    assert_eq!(
        root.first_element_child().unwrap().tag_name().name(),
        "title"
    );
    assert_eq!(
        (number(root, "width"), number(root, "height")),
        (size.x, size.y)
    );
    for node in document.descendants().filter(Node::is_element) {
        let name = node.tag_name().name();
        let known = [
            "svg", "title", "desc", "g", "rect", "line", "polyline", "polygon", "circle", "text",
        ];
        assert!(known.contains(&name), "{what}: {name}");
        for attribute in node.attributes() {
            let (name, value) = (attribute.name(), attribute.value());
            assert!(!name.contains("href") && !name.starts_with("on") && name != "id");
            assert!(!value.contains("url(") && !value.contains("NaN") && !value.contains("inf"));
        }
    }
    let texts = texts(&document);
    let frame = Rect::from_min_size(pos2(0.0, 0.0), size).expand(0.01);
    for (i, a) in texts.iter().enumerate() {
        let told = &a.text;
        assert!(a.points >= 11.0, "{what}: {told}");
        assert!(frame.contains_rect(a.rect), "{what}: {told} {:?}", a.rect);
        // Both places are rounded to a hundredth.
        let own = a.rect.shrink(0.02);
        for b in &texts[..i] {
            assert!(!own.intersects(b.rect), "{what}: {told} on {}", b.text);
        }
    }
    texts
}

/// Whether a station's name stands in a picture, in one line or broken before its last word.
fn is_named(texts: &[Text], name: &str) -> bool {
    let is = |t: &str| texts.iter().any(|l| l.text == t);
    let parts = name
        .split_once(" tank")
        .map(|(a, b)| (a, format!("tank{b}")));
    is(name) || parts.is_some_and(|(a, b)| is(a) && is(&b))
}

fn all_named(scene: &Scene, texts: &[Text], what: &str) {
    for s in &scene.stations {
        assert!(is_named(texts, &s.name), "{what}: no {}", s.name);
    }
}

/// Whether a strength stands in a picture in a brief form: without what is dissolved, before a temperature, or over two lines.
fn is_brief(texts: &[Text], kg_per_m3: f64, system: System) -> bool {
    let told = words::strength_of(kg_per_m3, "", system);
    let bare = told.trim_end();
    let has = texts.iter().any(|t| t.text.starts_with(bare));
    let (number, unit) = bare.split_once('\u{a0}').unwrap();
    has || texts
        .windows(2)
        .any(|w| w[0].text == number && w[1].text == unit)
}

#[test]
fn every_shipped_line_is_drawn_with_all_names_and_strengths() {
    for (name, settled) in LINES.iter() {
        let scene = scene_of(settled);
        let pages = SYSTEMS.into_iter().flat_map(|s| [(PAPER, s), (UPRIGHT, s)]);
        for (size, system) in pages {
            let what = format!("{name} {system:?} at {size:?}");
            let drawn = settled_svg(settled, Counted::Metal, &page(size, system));
            let texts = check(&drawn, size, &what);
            all_named(&scene, &texts, &what);
            for s in &scene.stations {
                let lead = &scene.lines[s.line].lead;
                let Some(c) = s
                    .strength_kg_per_m3
                    .filter(|_| s.kind != StationKind::Tower)
                else {
                    continue;
                };
                let strength = words::strength_of(c, lead, system);
                let is_told = texts.iter().any(|t| t.text == strength);
                // Ounces in a gallon take much room, and an upright page has little.
                let may_be_brief = size == UPRIGHT || system == System::Us;
                let is_told = is_told || may_be_brief && is_brief(&texts, c, system);
                assert!(is_told, "{what}: no {strength}");
            }
            let is_told = texts.iter().any(|t| t.text.ends_with("settled week"));
            assert!(is_told, "{what}");
            for s in scene.streams.iter().filter(|s| s.from == Place::Tap) {
                let flow = words::flow(s.flow_m3_per_s, system);
                let is_told = texts.iter().any(|t| t.text.ends_with(&flow));
                assert!(is_told || s.flow_m3_per_s == 0.0, "{what}: no {flow}");
            }
        }
    }
}

#[test]
fn two_lines_are_drawn_with_all_names_and_titles() {
    let settled = settled(&two_lines());
    let scene = scene_of(&settled);
    let size = vec2(1000.0, Page::height_for(scene.lines.len(), 1000.0));
    for system in SYSTEMS {
        let drawn = svg(&scene, &page(size, system));
        let texts = check(&drawn, size, "two lines");
        all_named(&scene, &texts, "two lines");
        for line in &scene.lines {
            assert!(texts.iter().any(|t| t.text == line.title));
        }
    }
}

#[test]
fn no_text_stands_on_another_at_any_size() {
    for (name, settled) in LINES.iter() {
        let scene = scene_of(settled);
        for size in [
            vec2(240.0, 160.0),
            vec2(500.0, 300.0),
            vec2(760.0, 360.0),
            vec2(1600.0, 900.0),
        ] {
            for system in SYSTEMS {
                let drawn = svg(&scene, &page(size, system));
                check(&drawn, size, &format!("{name} at {size:?}"));
            }
        }
    }
}

#[test]
fn the_same_week_gives_the_same_bytes() {
    let page = page(PAPER, System::Metric);
    let (name, first) = &LINES[0];
    assert_eq!(*name, "demo");
    let again = settled(SHIPPED[0].1);
    let drawn = settled_svg(first, Counted::Metal, &page);
    assert_eq!(drawn, settled_svg(&again, Counted::Metal, &page));
    // The picture of another line is another picture.
    assert_ne!(drawn, settled_svg(&LINES[1].1, Counted::Metal, &page));
}

#[test]
fn what_the_program_writes_is_in_the_fonts() {
    for (name, settled) in LINES.iter() {
        for counted in [Counted::Metal, Counted::Salt] {
            for system in SYSTEMS {
                let drawn = settled_svg(settled, counted, &page(PAPER, system));
                let document = Document::parse(&drawn).unwrap();
                for text in texts(&document) {
                    let lacking: String = text.text.chars().filter(|c| !holds(*c)).collect();
                    assert_eq!(lacking, "", "{name}: {}", text.text);
                }
            }
        }
    }
}

#[test]
fn the_picture_is_told_in_words_too() {
    let (_, demo) = &LINES[0];
    let drawn = settled_svg(demo, Counted::Metal, &page(PAPER, System::Metric));
    let document = Document::parse(&drawn).unwrap();
    let desc = document.descendants().find(|n| n.has_tag_name("desc"));
    let told = desc.unwrap().text().unwrap();
    let scene = scene_of(demo);
    for s in &scene.stations {
        assert!(told.contains(&s.name), "{}", s.name);
        for part in words::station_parts(&scene, s, System::Metric) {
            assert!(told.contains(&part), "{part}");
        }
    }
}

#[test]
fn names_of_any_length_and_any_characters_do_no_harm() {
    let mut scene = scene_of(&LINES[0].1);
    let long = "a tank whose name goes on and on so that nothing beside it could ever have room "
        .repeat(5);
    let odd = "<b> & \"Süd\" '水槽' \u{1}\t\n]]>".to_owned();
    for (i, s) in scene.stations.iter_mut().enumerate() {
        s.name = if i % 2 == 0 {
            long.clone()
        } else {
            odd.clone()
        };
    }
    for s in &mut scene.streams {
        s.name.clone_from(&odd);
        s.source = s.source.as_ref().map(|_| long.clone());
    }
    scene.lines[0].title.clone_from(&odd);
    scene.lines[0].lead.clone_from(&long);
    let title = odd.as_str();
    let drawn = svg(
        &scene,
        &Page {
            title,
            ..page(PAPER, System::Us)
        },
    );
    let texts = check(&drawn, PAPER, "odd names");
    // Figures still stand at the tanks.
    let strength = scene.stations[0].strength_kg_per_m3.unwrap();
    let told = words::strength_of(strength, "", System::Us);
    assert!(texts.iter().any(|t| t.text == told.trim_end()));
}

/// A bath of forty species is drawn like one of a few: the strengths are those of its lead.
#[test]
fn forty_species_are_drawn() {
    let names = || (0..40).map(|i| format!("Tracer{i}"));
    let define = |key: String| {
        format!(
            "\"{key}\": (name: \"tracer\", molar_mass: \"60 g/mol\", apparent_volume: \"0.3 L/kg\"), "
        )
    };
    let defined: String = names().map(define).collect();
    let held: String = names()
        .map(|key| format!("\"{key}\": \"40 mg/L\", "))
        .collect();
    let text = SHIPPED[0]
        .1
        .replace("    species: {", &format!("    species: {{{defined}"))
        .replace("contaminants: {", &format!("contaminants: {{{held}"));
    let settled = settled(&text);
    assert!(settled.answers.solutes.len() > 40);
    let drawn = settled_svg(&settled, Counted::Metal, &page(PAPER, System::Metric));
    let texts = check(&drawn, PAPER, "forty species");
    all_named(&scene_of(&settled), &texts, "forty species");
}
