//! Levers of every input, undo, linked plots, pinning, sweeps and files, driven by accessible names.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use std::sync::Arc;

use dragback_gui::command::Command;
use dragback_gui::results::Standing;
use dragback_gui::sweep::{Figure, Sweep, SweepChoice};
use dragback_gui::{App, Options};
use dragback_plant::TowerCache;
use dragback_scenario::{Scenario, load, set, set_si};
use dragback_study::{AirChoice, Case, Depth, Hours, LoopAnswer, settled_answers};
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{
    DEMO, GROUPS, TempFile, click, has_text, is_dirty, opened, options, shown_answer, texts,
    type_into, wait, window,
};

type Window = Harness<'static, App>;

/// The settled answer of the demo with some inputs changed, computed without the window.
fn answer_with(changes: &[(&str, &str)]) -> LoopAnswer {
    let mut scenario = load(DEMO).0.unwrap();
    for (path, text) in changes {
        set(&mut scenario, path, text).unwrap();
    }
    answer_of(scenario)
}

fn answer_of(scenario: Scenario) -> LoopAnswer {
    answer_at(scenario, Depth::Quick)
}

fn answer_at(scenario: Scenario, depth: Depth) -> LoopAnswer {
    let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    let found = settled_answers(&case, air, hours, depth, &mut |_| true);
    found.unwrap().answers.loops[0].clone()
}

fn assert_near(a: f64, b: f64, what: &str) {
    assert!(
        (a - b).abs() <= 1e-9 * a.abs().max(b.abs()),
        "{what}: {a} and {b}"
    );
}

fn si_of(harness: &Window, path: &str) -> f64 {
    let document = opened(harness);
    document.lever(path).unwrap().si
}

fn search(harness: &mut Window, words: &str) {
    type_into(harness, "Find any input", words);
}

#[test]
fn each_group_holds_sliders_with_typed_entry_and_a_moved_one_changes_the_answers() {
    let mut harness = window();
    for group in GROUPS {
        harness.get_by_label(group);
    }
    harness.set_size(egui::vec2(1280.0, 1600.0));
    click(&mut harness, "Holding tank");
    harness.run_steps(5);
    let name = "Holding tank: set point";
    let slider = harness.get_by_role_and_label(Role::Slider, name);
    assert!(slider.accesskit_node().numeric_value().is_some());
    assert!(has_text(&harness, "usual 50–70"), "{:?}", texts(&harness));
    type_into(&mut harness, name, "131 °F");
    wait(&mut harness, |s| s.results.figures_are_current());
    let direct = answer_with(&[("loop.holding_tank.set_point", "131 °F")]);
    let shown = shown_answer(&harness);
    assert_near(
        shown.final_rinse.film_mg_per_l,
        direct.final_rinse.film_mg_per_l,
        "film",
    );
    assert_near(
        shown.closure_margin_l_per_h.as_ref().unwrap().week,
        direct.closure_margin_l_per_h.as_ref().unwrap().week,
        "margin",
    );
    assert!(has_text(&harness, "changed, file 58.0"));
}

#[test]
fn a_search_finds_any_registered_input_and_wrong_values_are_told_beside_it() {
    let mut harness = window();
    let document = opened(&harness);
    let paths: Vec<(String, String)> = document
        .controls
        .iter()
        .map(|c| (c.path().to_owned(), c.name().to_owned()))
        .collect();
    // One of each dozen, so that every part of the document is tried.
    for (path, name) in paths.iter().step_by(12) {
        search(&mut harness, path);
        let found = harness.query_all_by_label(name).count();
        assert!(found > 0, "{path} ({name}) is not found");
    }
    search(&mut harness, "mesh_pad");
    type_into(&mut harness, "Tower: t1, mesh pad", "7 kg");
    assert!(has_text(&harness, "mass"), "{:?}", texts(&harness));
    search(&mut harness, "altitude");
    type_into(&mut harness, "Room: altitude", "900 m");
    wait(&mut harness, |s| s.results.figures_are_current());
    let direct = answer_with(&[("site.altitude", "900 m")]);
    let shown = shown_answer(&harness);
    assert_near(shown.heater_mean_kw, direct.heater_mean_kw, "power");
    search(&mut harness, "no such input anywhere");
    assert!(has_text(&harness, "No input has all these words"));
}

#[test]
fn words_are_chosen_from_a_list() {
    let mut harness = window();
    search(&mut harness, "loop.towers.t1.fan ");
    let combo = harness.get_by_role_and_label(Role::ComboBox, "Tower: t1, fan");
    combo.click();
    harness.run_steps(4);
    click(&mut harness, "after");
    let document = opened(&harness);
    assert_eq!(
        document.changed_texts(),
        vec![("loop.towers.t1.fan".to_owned(), "after".to_owned())]
    );
}

const RINSE: &str = "loop.sections.rinses.flow";

/// Drags the rinse lever by the pointer.
fn drag_rinse(harness: &mut Window, by: f32) {
    let rect = harness
        .get_by_role_and_label(Role::Slider, "Rinse rate")
        .rect();
    harness.drag_at(rect.center());
    harness.run_steps(2);
    for step in 1_u8..=6 {
        harness.hover_at(rect.center() + egui::vec2(by * f32::from(step) / 6.0, 0.0));
        harness.run_steps(2);
    }
    harness.drop_at(rect.center() + egui::vec2(by, 0.0));
    harness.run_steps(2);
}

#[test]
fn undo_and_redo_take_one_step_per_drag_by_button_and_by_key() {
    let mut harness = window();
    let file = si_of(&harness, RINSE);
    drag_rinse(&mut harness, 60.0);
    let first = si_of(&harness, RINSE);
    drag_rinse(&mut harness, -40.0);
    let second = si_of(&harness, RINSE);
    assert!(first > file && second != first);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    harness.run_steps(3);
    assert_eq!(si_of(&harness, RINSE), first);
    click(&mut harness, "Undo");
    assert_eq!(si_of(&harness, RINSE), file);
    assert!(!is_dirty(&harness));
    let both = egui::Modifiers::COMMAND | egui::Modifiers::SHIFT;
    harness.key_press_modifiers(both, egui::Key::Z);
    harness.run_steps(3);
    assert_eq!(si_of(&harness, RINSE), first);
    click(&mut harness, "Redo");
    assert_eq!(si_of(&harness, RINSE), second);
    wait(&mut harness, |s| s.results.figures_are_current());
    let mut scenario = load(DEMO).0.unwrap();
    set_si(&mut scenario, RINSE, second).unwrap();
    let direct = answer_of(scenario);
    let shown = shown_answer(&harness);
    assert_near(
        shown.final_rinse.film_mg_per_l,
        direct.final_rinse.film_mg_per_l,
        "film",
    );
}

#[test]
fn a_double_click_puts_a_lever_back_to_what_the_file_says() {
    let mut harness: Window = Harness::builder()
        .with_size([1280.0, 720.0])
        .with_step_dt(0.05)
        .build_eframe(|cc| App::new(&cc.egui_ctx, options()));
    wait(&mut harness, |s| s.results.figures_are_current());
    let file = si_of(&harness, RINSE);
    drag_rinse(&mut harness, 60.0);
    assert!(si_of(&harness, RINSE) > file);
    let rect = harness
        .get_by_role_and_label(Role::Slider, "Rinse rate")
        .rect();
    // Longer apart than a double click from the drag before.
    harness.run_steps(10);
    let at = rect.center() + egui::vec2(20.0, 0.0);
    let button = |pressed| egui::Event::PointerButton {
        pos: at,
        button: egui::PointerButton::Primary,
        pressed,
        modifiers: egui::Modifiers::NONE,
    };
    harness.hover_at(at);
    harness.run_steps(1);
    for _ in 0..2 {
        for pressed in [true, false] {
            harness.event(button(pressed));
            harness.run_steps(1);
        }
    }
    harness.run_steps(3);
    assert_eq!(si_of(&harness, RINSE), file);
    assert!(!is_dirty(&harness));
}

#[test]
fn nine_plots_share_one_cursor_and_one_can_be_enlarged() {
    let mut harness = window();
    harness.set_size(egui::vec2(1920.0, 1080.0));
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.state_mut().ask(Command::SetDrawingShare(0.0));
    harness.run_steps(3);
    for title in [
        "Nickel in each tank, log scale",
        "Levels, m",
        "Temperatures, °C",
        "Evaporation against rinse feed, L/h",
        "Nickel in bath and holding tank, g/L",
        "Heater power, kW",
        "Nickel since the start, log scale",
        "Impurities in the bath, % of limit",
        "Water to treatment and to the bath, L/h",
    ] {
        assert_eq!(harness.query_all_by_label(title).count(), 1, "{title}");
        harness.get_by_label(&format!("Enlarge: {title}"));
    }
    let plot = harness.get_by_label("Levels, m").rect();
    assert!(has_text(&harness, "values are means of the last week"));
    harness.state_mut().ask(Command::MoveCursor(Some(20.5)));
    harness.run_steps(3);
    assert!(has_text(&harness, "values on Sun, day 20, 12:00"));
    click(&mut harness, "Enlarge: Levels, m");
    assert!(harness.query_by_label("Heater power, kW").is_none());
    let large = harness.get_by_label("Levels, m").rect();
    assert!(large.width() > 2.0 * plot.width());
    click(&mut harness, "Back to all: Levels, m");
    harness.get_by_label("Heater power, kW");
}

#[test]
fn a_legend_entry_hides_its_curve_and_shows_it_again() {
    let mut harness = window();
    let name = "holding tank in Levels, m";
    let toggled = |h: &Window| h.get_by_label(name).accesskit_node().toggled();
    assert_eq!(toggled(&harness), Some(egui::accesskit::Toggled::True));
    click(&mut harness, name);
    assert_eq!(toggled(&harness), Some(egui::accesskit::Toggled::False));
    click(&mut harness, name);
    assert_eq!(toggled(&harness), Some(egui::accesskit::Toggled::True));
}

#[test]
fn plots_are_chosen_from_a_list() {
    let mut harness = window();
    let is_shown = |h: &Window, title: &str| h.query_by_label(title).is_some();
    assert!(is_shown(&harness, "Levels, m"));
    click(&mut harness, "Plots");
    // What is there stays there when another is added, and goes when it is ticked off.
    click(&mut harness, "Heater power");
    assert!(is_shown(&harness, "Heater power, kW"));
    assert!(is_shown(&harness, "Levels, m"));
    click(&mut harness, "Levels");
    assert!(is_shown(&harness, "Heater power, kW"));
    assert!(!is_shown(&harness, "Levels, m"));
    click(&mut harness, "All nine");
    assert!(is_shown(&harness, "Levels, m"));
}

#[test]
fn a_pinned_state_stays_beside_the_figures() {
    let mut harness = window();
    wait(&mut harness, |s| {
        s.results.standing() == Standing::Exact && s.results.full_is_current()
    });
    let before = shown_answer(&harness);
    click(&mut harness, "Pin");
    type_into(&mut harness, "Rinse rate", "120 L/h");
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.run_steps(2);
    let now = shown_answer(&harness);
    let percent = 100.0 * (now.final_rinse.film_mg_per_l / before.final_rinse.film_mg_per_l - 1.0);
    assert!(percent < -30.0);
    let words = format!(
        "was {:.2} (−{:.1}",
        before.final_rinse.film_mg_per_l, -percent
    );
    assert!(
        has_text(&harness, &words),
        "{words} in {:?}",
        texts(&harness)
    );
    let pinned = harness.state().state().pinned.as_ref().unwrap();
    assert!(pinned.curves.is_some());
    assert_eq!(pinned.figures.line().unwrap(), &before);
    click(&mut harness, "Unpin");
    assert!(!has_text(&harness, "was "));
}

#[test]
fn another_scenario_is_loaded_as_the_reference() {
    let mut harness = window();
    let text = DEMO.replace("flow: \"95 L/h\"", "flow: \"140 L/h\"");
    assert_ne!(text, DEMO);
    let file = TempFile::new("reference.ron", &text);
    let other = answer_with(&[(RINSE, "140 L/h")]);
    let path = file.0.clone();
    harness.state_mut().ask(Command::ReferencePath(path));
    wait(&mut harness, |s| s.pinned.is_some());
    let words = format!("was {:.2}", other.final_rinse.film_mg_per_l);
    assert!(
        has_text(&harness, &words),
        "{words} in {:?}",
        texts(&harness)
    );
    let origin = &opened(&harness).origin;
    assert_eq!(origin.name, "demo.ron");
}

#[test]
fn the_heat_sweep_shows_its_kink_and_agrees_with_direct_answers() {
    let mut harness = window();
    click(&mut harness, "Settled answers");
    wait(&mut harness, |s| {
        s.results.sweep().is_some_and(|w| w.is_whole())
    });
    let sweep = Arc::clone(harness.state().state().results.sweep().unwrap());
    // Evenly spread, around the present position, and where it bends.
    assert!((30..=37).contains(&sweep.points.len()));
    let values = sweep.values(Figure::ClosureMargin);
    assert_eq!(values.len(), sweep.points.len());
    // Below the kink more heat gives more room; above it the set point is the limit.
    let slope =
        |i: usize| (values[i + 1][1] - values[i][1]) / (values[i + 1][0] / values[i][0]).ln();
    let (first, last) = (slope(2), slope(values.len() - 2));
    assert!(
        first > 0.0 && last.abs() < 0.05 * first,
        "{first} and {last}"
    );
    for place in [3, values.len() - 1] {
        let mut scenario = load(DEMO).0.unwrap();
        set_si(&mut scenario, &sweep.path, values[place][0]).unwrap();
        let direct = Figure::ClosureMargin.si(&answer_of(scenario)).unwrap();
        assert_near(values[place][1], direct, "margin");
    }
    let now = Figure::ClosureMargin.si(&shown_answer(&harness));
    assert_eq!(sweep.present_value(Figure::ClosureMargin), now);
    // Another lever and figure.
    harness.state_mut().ask(Command::SetSweep(Some(SweepChoice {
        figure: Figure::FinalRinse,
        path: Some(RINSE.to_owned()),
    })));
    wait(&mut harness, |s| {
        s.results
            .sweep()
            .is_some_and(|w| w.path == RINSE && w.is_whole())
    });
    let sweep = harness.state().state().results.sweep().unwrap();
    let film = sweep.values(Figure::FinalRinse);
    assert!(
        film.windows(2).all(|w| w[1][1] < w[0][1]),
        "more water rinses better: {film:?}"
    );
    assert!(has_text(&harness, "Final rinse against rinse rate"));
}

/// What takes a look ahead, or all months, is swept too: every point is what `settle` tells there.
#[test]
fn the_worst_month_and_the_first_limit_are_swept() {
    let mut harness = window();
    let stages = "loop.sections.rinses.stages";
    harness.state_mut().ask(Command::SetSweep(Some(SweepChoice {
        figure: Figure::WorstMonth,
        path: Some(stages.to_owned()),
    })));
    wait(&mut harness, |s| {
        let is_whole = |w: &Arc<Sweep>| w.path == stages && w.is_whole();
        s.results.sweep().is_some_and(is_whole)
    });
    let sweep = Arc::clone(harness.state().state().results.sweep().unwrap());
    let mut scenario = load(DEMO).0.unwrap();
    set_si(&mut scenario, stages, 2.0).unwrap();
    let direct = answer_at(scenario, Depth::Full);
    for figure in [
        Figure::WorstMonth,
        Figure::DaysToSettle,
        Figure::FirstLimit,
        Figure::WaterUse,
    ] {
        let values = sweep.values(figure);
        let swept = values.iter().find(|v| (v[0] - 2.0).abs() < 1e-9).unwrap()[1];
        let told = figure.si(&direct).unwrap();
        assert_near(swept, told, figure.name());
    }
    assert!(has_text(&harness, "Margin, worst month against"));
}

#[test]
fn each_plot_says_in_words_what_it_shows() {
    let harness = window();
    let plot = harness.get_by_label("Levels, m");
    let said = plot.accesskit_node().description().unwrap();
    assert!(
        said.contains("bath ") && said.contains("at the end, between "),
        "{said}"
    );
}

#[test]
fn preferences_are_kept_between_starts() {
    let file = TempFile::new("prefs.json", "");
    std::fs::remove_file(&file.0).unwrap();
    let start = |path: std::path::PathBuf, options: Options| {
        Harness::builder()
            .with_size([1280.0, 720.0])
            .build_eframe(move |cc| App::with_prefs(&cc.egui_ctx, options, Some(path)))
    };
    let mut first: Window = start(file.0.clone(), options());
    wait(&mut first, |s| s.results.figures_are_current());
    click(&mut first, "US");
    click(&mut first, "View");
    click(&mut first, "Dark");
    click(&mut first, "View");
    click(&mut first, "Size of text");
    click(&mut first, "Text 115 %");
    first.run_steps(3);
    drop(first);
    let mut second: Window = start(file.0.clone(), options());
    wait(&mut second, |s| s.results.figures_are_current());
    let prefs = &second.state().state().prefs;
    assert_eq!(prefs.system, dragback_units::System::Us);
    assert_eq!(prefs.scale, 1.15);
    assert_eq!(second.ctx.theme(), egui::Theme::Dark);
    assert!(has_text(&second, "gal/h"));
}
