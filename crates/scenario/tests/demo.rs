//! The demo scenario that the program opens with.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::time::Instant;

use dragback_scenario::{Scenario, load, lower, save};

const DEMO: &str = include_str!("../../../scenarios/demo.ron");

fn demo() -> Scenario {
    let (scenario, problems) = load(DEMO);
    let words: Vec<String> = problems.iter().map(|p| p.in_file("demo.ron")).collect();
    assert!(words.is_empty(), "{}", words.join("\n"));
    scenario.unwrap()
}

#[test]
fn it_loads_and_saves_to_the_same() {
    let first = demo();
    let text = save(&first);
    let (again, problems) = load(&text);
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!(again.unwrap(), first);
    assert_eq!(save(&first), text);
}

#[test]
fn it_lowers_and_the_network_is_sound() {
    let scenario = demo();
    let network = lower(&scenario).map_err(|p| format!("{p:?}")).unwrap();
    let cache = dragback_plant::TowerCache::default();
    dragback_plant::Plant::new(std::sync::Arc::new(network), &cache).unwrap();
}

#[test]
fn a_lever_drag_is_quick() {
    let mut scenario = demo();
    let _ = lower(&scenario);
    let start = Instant::now();
    const TIMES: u32 = 50;
    for i in 0..TIMES {
        let text = format!("{} L/h", 60 + i);
        dragback_scenario::set(&mut scenario, "loop.sections.rinses.flow", &text).unwrap();
        lower(&scenario).unwrap();
    }
    let each = start.elapsed() / TIMES;
    let start = Instant::now();
    for _ in 0..TIMES {
        assert!(load(DEMO).0.is_some());
    }
    println!("set and lower {each:?}, load {:?}", start.elapsed() / TIMES);
}
