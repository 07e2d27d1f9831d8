//! The window without a display: driven by accessible names, compared with answers computed directly.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;
#[path = "window/pointer.rs"]
mod pointer;

use std::sync::Arc;

use dragback_gui::loop_view::words;
use dragback_gui::results::Standing;
use dragback_gui::{App, Options};
use dragback_plant::TowerCache;
use dragback_scenario::{Scenario, load, set, set_si};
use dragback_study::{AirChoice, Case, Counted, Depth, Hours, LoopAnswer, settled_answers};
use dragback_units::{Dim, System};
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{
    DEMO, FIGURES, TempFile, click, has_text, opened, options, shown_answer, texts, type_into,
    wait, window, window_with,
};

fn demo_scenario() -> Scenario {
    load(DEMO).0.unwrap()
}

/// The settled answer of a scenario, computed without the window.
fn answer_of(scenario: Scenario) -> LoopAnswer {
    let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
    let settled = settled_answers(
        &case,
        AirChoice::Mean,
        Hours::Calendar,
        Depth::Quick,
        &mut |_| true,
    )
    .unwrap();
    settled.answers.loops[0].clone()
}

/// What the drawing reads out under a name.
fn drawn(harness: &Harness<'_, App>, name: &str) -> String {
    let nodes = harness.get_all_by_label(name);
    let mut values = nodes.filter_map(|n| n.accesskit_node().value());
    values.next().unwrap_or_default()
}

/// The means of a settled week are not the values of its mean contents: a tank that is weak while it is full has a higher mean strength.
#[test]
fn the_drawing_of_the_settled_week_says_what_the_answers_say() {
    let system = System::Metric;
    for text in [
        DEMO,
        include_str!("../../../scenarios/zinc-barrel.ron"),
        include_str!("../../../scenarios/chromium.ron"),
    ] {
        let mut harness = window_with(Options {
            demo_text: text,
            ..options()
        });
        wait(&mut harness, |s| s.results.figures_are_current());
        let scenario = Arc::new(load(text).0.unwrap());
        let case = Case::new(scenario, &TowerCache::default()).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let direct = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let line = &direct.answers.loops[0];
        let lead = &line.final_rinse.species;
        // Chromium is weighed as chromic acid, and told so.
        let told = if lead == "Cr6" { "CrO₃" } else { lead };
        for tank in &direct.answers.vessels {
            let said = drawn(&harness, &tank.name);
            let strength = tank.concentration_g_per_l[lead];
            for words in [
                words::volume(1e-3 * tank.volume_l, system),
                words::temperature(tank.temperature_c, system),
                words::strength_of(strength, told, system),
            ] {
                assert!(said.contains(&words), "{}: {words} in {said}", tank.name);
            }
        }
        for tower in &line.stacks {
            let name = match tower.tower.contains("tower") {
                true => tower.tower.clone(),
                false => format!("tower {}", tower.tower),
            };
            let said = drawn(&harness, &name);
            let flow_m3_per_s = line.evaporation_l_per_h / 3.6e6 / line.stacks.len() as f64;
            let words = format!("evaporates {}", words::flow(flow_m3_per_s, system));
            assert!(said.contains(&words), "{words} in {said}");
        }
    }
}

fn assert_same(shown: &LoopAnswer, direct: &LoopAnswer) {
    let near = |a: f64, b: f64, what: &str| {
        assert!(
            (a - b).abs() <= 1e-9 * a.abs().max(b.abs()),
            "{what}: {a} and {b}"
        );
    };
    near(
        shown.final_rinse.film_mg_per_l,
        direct.final_rinse.film_mg_per_l,
        "final rinse",
    );
    near(
        shown.final_rinse.dilution_ratio,
        direct.final_rinse.dilution_ratio,
        "dilution ratio",
    );
    near(
        shown.closure_margin_l_per_h.as_ref().unwrap().week,
        direct.closure_margin_l_per_h.as_ref().unwrap().week,
        "margin",
    );
    near(shown.heater_duty, direct.heater_duty, "duty");
    near(
        shown.lost_kg_per_day["Ni"],
        direct.lost_kg_per_day["Ni"],
        "lost",
    );
}

#[test]
fn it_opens_on_the_demo_with_levers_plots_figures_and_the_caution() {
    let mut harness = window();
    harness.set_size(egui::vec2(1920.0, 1080.0));
    harness.run_steps(3);
    for name in ["Drag-out", "Rinse rate", "Heat input"] {
        harness.get_by_role_and_label(Role::Slider, name);
        harness.get_by_role_and_label(Role::TextInput, name);
    }
    let plots = [
        "Nickel in each tank, log scale",
        "Levels, m",
        "Temperatures, °C",
        "Evaporation against rinse feed, L/h",
        "Hot solution, chromic acid and nickel, electricity and exhaust air",
        "cbath / c3 = 1 + r + r2 + r3",
    ];
    for part in FIGURES.into_iter().chain(["Nickel lost"]).chain(plots) {
        assert!(has_text(&harness, part), "{part} is missing");
    }
    assert_same(&shown_answer(&harness), &answer_of(demo_scenario()));
    wait(&mut harness, |s| {
        s.results.standing() == Standing::Exact && s.results.full_is_current()
    });
    assert!(has_text(&harness, "● Exact"));
}

#[test]
fn each_lever_moves_the_figures_to_what_is_computed_directly() {
    let mut harness = window();
    for (name, path, unit, dim) in [
        ("Drag-out", "loop.work.drag_out.film", "L/m²", Dim::Film),
        (
            "Rinse rate",
            "loop.sections.rinses.flow",
            "L/h",
            Dim::VolumeFlow,
        ),
        (
            "Heat input",
            "loop.holding_tank.heat_input",
            "kW",
            Dim::Power,
        ),
    ] {
        let mut harness = if name == "Drag-out" {
            std::mem::replace(&mut harness, window())
        } else {
            window()
        };
        let before = shown_answer(&harness);
        let node = harness.get_by_role_and_label(Role::Slider, name);
        let now = node.accesskit_node().numeric_value().unwrap();
        node.set_value_accesskit(0.8 * now);
        harness.run_steps(3);
        wait(&mut harness, |s| s.results.figures_are_current());
        let mut scenario = demo_scenario();
        set_si(
            &mut scenario,
            path,
            dim.find_unit(unit).unwrap().to_si(0.8 * now),
        )
        .unwrap();
        let shown = shown_answer(&harness);
        assert_same(&shown, &answer_of(scenario));
        assert_ne!(shown, before, "{name} changes something");
        assert!(opened(&harness).is_changed(path));
    }
}

#[test]
fn a_value_is_typed_in_any_unit_and_a_wrong_one_is_refused_with_advice() {
    let mut harness = window();
    type_into(&mut harness, "Rinse rate", "25 gal/h");
    wait(&mut harness, |s| s.results.figures_are_current());
    let lever = opened(&harness).levers[1].clone();
    assert_eq!(lever.text, "25 gal/h");
    let mut scenario = demo_scenario();
    set(&mut scenario, "loop.sections.rinses.flow", "25 gal/h").unwrap();
    let direct = answer_of(scenario);
    assert_same(&shown_answer(&harness), &direct);
    type_into(&mut harness, "Rinse rate", "25 °C");
    assert!(
        has_text(&harness, "is a temperature"),
        "{:?}",
        texts(&harness)
    );
    assert_same(&shown_answer(&harness), &direct);
    type_into(&mut harness, "Rinse rate", "95");
    let lever = opened(&harness).levers[1].clone();
    assert_eq!(
        lever.text, "95 L/h",
        "a bare number is meant in the unit shown"
    );
    assert!(!has_text(&harness, "is a temperature"));
    harness.get_by_label("Rinse rate as in file");
}

#[test]
fn the_unit_switch_converts_levers_figures_and_axes() {
    let mut harness = window();
    let value = |h: &Harness<'_, App>| {
        h.get_by_role_and_label(Role::TextInput, "Rinse rate")
            .value()
            .unwrap()
    };
    assert_eq!(value(&harness), "95.0 L/h");
    let changed = opened(&harness).changed_texts();
    harness.set_size(egui::vec2(1920.0, 1080.0));
    harness.run_steps(3);
    harness.get_by_label("US").click();
    harness.run_steps(3);
    assert_eq!(harness.state().state().prefs.system, System::Us);
    // 95 L/h over 3.785 411 784 L per US gallon (NIST SP 811, table B.8).
    assert_eq!(value(&harness), "25.1 gal/h");
    for part in [
        "Temperatures, °F",
        "Levels, ft",
        "Evaporation against rinse feed, gal/h",
        "oz a day",
        "mg/L",
    ] {
        assert!(has_text(&harness, part), "{part} is missing");
    }
    let after = opened(&harness).changed_texts();
    assert_eq!(changed, after, "looking at other units changes no input");
    harness.get_by_label("Metric").click();
    harness.run_steps(3);
    assert_eq!(value(&harness), "95.0 L/h");
}

#[test]
fn a_broken_file_is_explained_and_the_last_run_stays() {
    let mut harness = window();
    let before = shown_answer(&harness);
    let text = DEMO
        .replace("set_point: \"58 °C\"", "set_point: \"95 °C\"")
        .replace("volume: \"4200 L\"", "volume: \"4200 °C\"");
    let file = TempFile::new("broken.ron", &text);
    let path = file.0.display().to_string();
    type_into(&mut harness, "Path of a scenario file", &path);
    wait(&mut harness, |s| s.problems.is_some());
    for part in [
        "broken.ron was not opened",
        "loop.holding_tank.set_point",
        "95 °C",
        "loop.bath.tank.volume",
        "stays open",
    ] {
        assert!(
            has_text(&harness, part),
            "{part} is missing in {:?}",
            texts(&harness)
        );
    }
    let problems = &harness.state().state().problems.as_ref().unwrap().problems;
    assert!(
        problems
            .iter()
            .all(|p| p.place.is_some() && !p.advice.is_empty())
    );
    assert_eq!(shown_answer(&harness), before);
    std::fs::write(
        &file.0,
        DEMO.replace("set_point: \"58 °C\"", "set_point: \"56 °C\""),
    )
    .unwrap();
    harness.get_by_label("Read it again").click();
    wait(&mut harness, |s| {
        s.problems.is_none() && s.results.figures_are_current() && s.opening.is_none()
    });
    assert_eq!(opened(&harness).origin.name, "broken.ron");
    assert_ne!(shown_answer(&harness), before);
    harness.get_by_label("File").click();
    harness.run_steps(2);
    harness.get_by_label("Demo").click();
    harness.run_steps(2);
    wait(&mut harness, |s| s.results.figures_are_current());
    assert_eq!(shown_answer(&harness), before);
}

#[test]
fn files_that_are_none_are_explained() {
    let mut harness = window();
    let folder = std::env::temp_dir();
    for (path, part) in [
        ("/no/such/file.ron".to_owned(), "there is no file"),
        (folder.display().to_string(), "is not a file"),
    ] {
        type_into(&mut harness, "Path of a scenario file", &path);
        wait(&mut harness, |s| s.problems.is_some());
        assert!(has_text(&harness, part), "{part}");
        harness.get_by_label("Close the list").click();
        wait(&mut harness, |s| s.problems.is_none());
    }
}

#[test]
fn the_report_tells_each_answered_lever_change_and_where_things_are() {
    let file = TempFile::new("report.jsonl", "");
    let mut harness = window_with(Options {
        report_path: Some(file.0.clone()),
        ..options()
    });
    wait(&mut harness, |s| s.results.figures_are_current());
    let node = harness.get_by_role_and_label(Role::Slider, "Drag-out");
    node.set_value_accesskit(0.1);
    harness.run_steps(3);
    wait(&mut harness, |s| s.results.figures_are_current());
    let text = std::fs::read_to_string(&file.0).unwrap();
    let lines: Vec<serde_json::Value> = text
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    let layout = lines.iter().find_map(|l| l.get("layout")).unwrap();
    assert_eq!(layout["levers"].as_array().unwrap().len(), 3);
    assert_eq!(
        layout["final_station_rgb"],
        serde_json::json!([0, 0x8f, 0x68])
    );
    let answer = lines.iter().find(|l| l.get("lever").is_some()).unwrap();
    assert_eq!(answer["lever"], "loop.work.drag_out.film");
    assert_eq!(
        answer["set"],
        serde_json::json!(["loop.work.drag_out.film=0.1 L/m²"])
    );
    let told = answer["final_rinse_film_mg_per_l"].as_f64().unwrap();
    assert_eq!(told, shown_answer(&harness).final_rinse.film_mg_per_l);
}

#[test]
fn nothing_reaches_out_of_the_window() {
    for size in [
        [1280.0, 720.0],
        [1180.0, 680.0],
        [1920.0, 1080.0],
        [3840.0, 2160.0],
    ] {
        let mut harness = window();
        harness.set_size(size.into());
        harness.run_steps(3);
        let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, size.into()).expand(1.0);
        for node in harness.root().query_all_by(|_| true) {
            let role = node.accesskit_node().role();
            if matches!(
                role,
                Role::Slider | Role::TextInput | Role::Button | Role::Unknown
            ) {
                let rect = node.rect();
                assert!(
                    screen.contains_rect(rect),
                    "{size:?}: {role:?} {:?} at {rect:?}",
                    node.accesskit_node().label()
                );
            }
        }
    }
}

/// Nickel sulfate hexahydrate holds 0.2233 of its mass as nickel (by stoichiometry, four digits).
#[test]
fn strengths_are_shown_as_the_salt_of_the_bath_and_the_choice_is_kept() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    let film = |harness: &Harness<'_, App>| shown_answer(harness).final_rinse.film_mg_per_l;
    let before = film(&harness);
    assert!(!has_text(&harness, "NiSO4"));
    click(&mut harness, "View");
    click(&mut harness, "Strengths as salt");
    harness.run_steps(3);
    assert_eq!(harness.state().state().prefs.counted, Counted::Salt);
    for part in [
        "mg/L, film, limit 89.6\nas NiSO4·6H2O",
        "Nickel as NiSO4·6H2O in each tank",
        "g/L\u{a0}as NiSO4·6H2O",
    ] {
        assert!(has_text(&harness, part), "{part}: {:?}", texts(&harness));
    }
    let told = dragback_gui::number::three(before / 0.2233, 2);
    assert!(texts(&harness).iter().any(|t| t.contains(&told)), "{told}");
    // The answers themselves stay those of the metal.
    assert_eq!(film(&harness).to_bits(), before.to_bits());
}
