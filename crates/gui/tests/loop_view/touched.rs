//! What pointer, keyboard and screen reader find in the drawing.

use super::*;

#[test]
fn a_tank_is_selected_by_pointer_and_by_keyboard_and_says_its_figures() {
    let scene = last_scene(DEMO);
    let id = named(&scene, "rinses 2").id;
    let mut harness = drawing(
        scene.clone(),
        vec2(1280.0, 720.0),
        Theme::Light,
        System::Metric,
    );
    let node = harness.get_by_label("rinses 2");
    let value = node.accesskit_node().value().unwrap();
    for part in ["L, ", "°C", "mg/L\u{a0}Ni"] {
        assert!(value.contains(part), "{value}");
    }
    node.click();
    harness.run_steps(2);
    assert_eq!(harness.state().selection, Selection::Station(id));
    let toggled = harness.get_by_label("rinses 2").accesskit_node().toggled();
    assert_eq!(toggled, Some(Toggled::True));
    harness.get_by_label("overflow rinses 2 to 1").focus();
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(2);
    let stream = scene
        .streams
        .iter()
        .find(|s| s.name == "overflow rinses 2 to 1")
        .unwrap();
    assert_eq!(harness.state().selection, Selection::Stream(stream.id));
    let value = harness
        .get_by_label("overflow rinses 2 to 1")
        .accesskit_node()
        .value()
        .unwrap();
    assert!(value.contains("L/h"), "{value}");
}

#[test]
fn every_station_and_stream_can_be_found_by_a_name_of_its_own() {
    for text in [
        DEMO.to_owned(),
        ZINC.to_owned(),
        with_loops(&["north", "south"]),
    ] {
        let scene = last_scene(&text);
        let harness = drawing(scene.clone(), vec2(1280.0, 720.0), Theme::Dark, System::Us);
        let several = scene.lines.len() > 1;
        let full = |line: usize, name: &str| {
            if several {
                format!("{}: {name}", scene.lines[line].title)
            } else {
                name.to_owned()
            }
        };
        for s in &scene.stations {
            let name = full(s.line, &s.name);
            let node = harness.get_by_label(&name);
            let is_tank = s.volume_m3.is_some();
            let value = node.accesskit_node().value().unwrap();
            assert!(
                !is_tank || (value.contains("gal") && value.contains("°F")),
                "{value}"
            );
        }
        for s in scene.streams.iter().filter(|s| s.to != Place::Floor) {
            let name = full(s.line, &s.name);
            let node = harness.get_by_label(&name);
            assert!(node.accesskit_node().value().unwrap().contains("gal/h"));
        }
    }
}

#[test]
fn a_click_on_nothing_selects_nothing() {
    let scene = last_scene(DEMO);
    let mut harness = drawing(scene, vec2(1280.0, 720.0), Theme::Light, System::Metric);
    harness.get_by_label("bath").click();
    harness.run_steps(2);
    assert_ne!(harness.state().selection, Selection::None);
    let empty = Pos2::new(1200.0, 600.0);
    harness.hover_at(empty);
    harness.run_steps(1);
    harness.drag_at(empty);
    harness.run_steps(1);
    harness.drop_at(empty);
    harness.run_steps(2);
    assert_eq!(harness.state().selection, Selection::None);
}

#[test]
fn the_drawing_asks_for_no_frame_by_itself() {
    let scene = last_scene(DEMO);
    let mut harness = drawing(scene, vec2(1280.0, 720.0), Theme::Light, System::Metric);
    harness.state_mut().view.is_playing = true;
    // Runs until nothing asks for another frame and stops the test if that never comes.
    harness.run();
}

/// The bands of round flows are told with their unit in both systems, once.
#[test]
fn the_legend_tells_flows_with_their_unit() {
    let scene = last_scene(DEMO);
    for (system, unit) in [(System::Metric, "L/h"), (System::Us, "gal/h")] {
        let size = vec2(1280.0, 720.0);
        let harness = drawing(scene.clone(), size, Theme::Light, system);
        let rounds = ["1", "10", "100"].map(|n| format!("{n} {unit}"));
        let labels = labels_drawn(&harness.ctx);
        let told = labels.iter().filter(|l| rounds.contains(&l.text));
        assert_eq!(told.count(), 1, "{unit}: {labels:?}");
    }
}
