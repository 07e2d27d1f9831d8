//! The drawing, the cursor, the play of time and the timeline, driven by accessible names and keys.

mod common;

use std::time::{Duration, Instant};

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::loop_view::Selection;
use dragback_gui::playhead::{ActsFrom, Speed};
use dragback_gui::results::Standing;
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{has_text, opened, press, shown_answer, texts, type_into, wait, window};

type Window = Harness<'static, App>;

const RINSE: &str = "loop.sections.rinses.flow";

fn day(harness: &Window) -> Option<f64> {
    harness.state().state().playhead.day
}

fn ask(harness: &mut Window, command: Command) {
    harness.state_mut().ask(command);
    harness.run_steps(2);
}

fn settled() -> Window {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness
}

#[test]
fn a_tank_that_is_clicked_brings_its_numbers_and_levers_forward() {
    let mut harness = settled();
    let tank = harness.get_by_role_and_label(Role::Button, "holding tank");
    tank.click();
    harness.run_steps(4);
    assert!(harness.state().state().selection != Selection::None);
    for part in [
        "What acts on holding tank",
        "Let go",
        "Evaporation between 0.6",
    ] {
        assert!(has_text(&harness, part), "{part}: {:?}", texts(&harness));
    }
    harness.get_by_role_and_label(Role::Slider, "Holding tank: set point");
    harness.get_by_label("Let go").click();
    harness.run_steps(4);
    assert_eq!(harness.state().state().selection, Selection::None);
    assert!(!has_text(&harness, "What acts on"));
}

#[test]
fn every_station_and_stream_of_the_shipped_line_has_something_to_bring_forward() {
    let mut harness = settled();
    for name in [
        "bath",
        "rinses 1",
        "rinses 3",
        "collection tank",
        "tower t1",
    ] {
        harness.get_by_role_and_label(Role::Button, name).click();
        harness.run_steps(4);
        assert!(
            has_text(&harness, &format!("What acts on {name}")),
            "{name}"
        );
        assert!(!has_text(&harness, "Only the main levers above."), "{name}");
        harness.get_by_label("Let go").click();
        harness.run_steps(3);
    }
}

#[test]
fn arrow_keys_step_the_cursor_and_figures_are_those_of_the_moment() {
    let mut harness = settled();
    assert_eq!(day(&harness), None);
    let settled_words = texts(&harness);
    assert!(
        settled_words
            .iter()
            .any(|t| t.contains("Nickel lost for good"))
    );
    for (modifiers, key, wanted) in [
        (Modifiers::NONE, Key::ArrowRight, 1.0 / 24.0),
        (Modifiers::SHIFT, Key::ArrowRight, 25.0 / 24.0),
        (Modifiers::NONE, Key::ArrowLeft, 1.0),
        (Modifiers::NONE, Key::End, 90.0),
        (Modifiers::NONE, Key::Home, 0.0),
    ] {
        harness.key_press_modifiers(modifiers, key);
        harness.run_steps(3);
        assert!((day(&harness).unwrap() - wanted).abs() < 1e-9, "{key:?}");
    }
    // A Sunday evening: no work for more than a day.
    ask(&mut harness, Command::MoveCursor(Some(34.9)));
    harness.run_steps(2);
    for part in [
        "Sun, day 34, 21:36",
        "Nickel lost, last 24 h",
        "no work, so no drag-out",
    ] {
        assert!(has_text(&harness, part), "{part}: {:?}", texts(&harness));
    }
    // A working day: 80 of 168 hours are work, and 16 of these 24 are.
    ask(&mut harness, Command::MoveCursor(Some(30.0)));
    harness.run_steps(2);
    assert!(has_text(&harness, "fed 63.3"), "95 L/h over 16 of 24 h");
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert_eq!(day(&harness), None);
    assert!(has_text(&harness, "Nickel lost for good"));
}

#[test]
fn time_plays_with_the_drawing_and_stands_still_otherwise() {
    let mut harness = settled();
    harness.key_press(Key::Space);
    harness.run_steps(2);
    assert!(harness.state().state().playhead.is_playing);
    assert!(has_text(&harness, "Pause"));
    let before = day(&harness).unwrap();
    let drawn = texts(&harness);
    ask(&mut harness, Command::SetSpeed(Speed::Week));
    harness.run_steps(20);
    let after = day(&harness).unwrap();
    assert!(after > before + 1.0, "{before} {after}");
    assert_ne!(texts(&harness), drawn, "tanks and figures follow");
    harness.get_by_label("Pause").click();
    harness.run_steps(3);
    let stands = day(&harness);
    harness.run_steps(10);
    assert_eq!(day(&harness), stands);
}

#[test]
fn a_drag_in_a_plot_moves_the_cursor_through_all_plots_and_hovering_moves_nothing() {
    let mut harness = settled();
    let plot = harness
        .get_by_role_and_label(Role::Canvas, "Levels, m")
        .rect();
    let before = texts(&harness);
    harness.hover_at(plot.center());
    harness.run_steps(4);
    let after: Vec<String> = texts(&harness);
    assert_eq!(day(&harness), None);
    assert_eq!(before, after, "figures keep still under a passing pointer");
    harness.drag_at(plot.center());
    harness.run_steps(2);
    harness.hover_at(plot.center() + egui::vec2(30.0, 0.0));
    harness.run_steps(2);
    let first = day(&harness).unwrap();
    harness.hover_at(plot.center() + egui::vec2(60.0, 0.0));
    harness.run_steps(2);
    let second = day(&harness).unwrap();
    harness.drop_at(plot.center() + egui::vec2(60.0, 0.0));
    harness.run_steps(2);
    assert!(second > first + 1.0, "{first} {second}");
    assert!(has_text(&harness, "values on "));
}

#[test]
fn a_lever_moved_from_the_cursor_becomes_an_event_that_can_be_edited_moved_and_taken_back() {
    let mut harness = settled();
    let film = shown_answer(&harness).final_rinse.film_mg_per_l;
    ask(&mut harness, Command::MoveCursor(Some(40.0)));
    harness.get_by_label("from the cursor").click();
    harness.run_steps(3);
    assert_eq!(harness.state().state().playhead.acts, ActsFrom::Cursor);
    let slider = harness.get_by_role_and_label(Role::Slider, "Rinse rate");
    slider.set_value_accesskit(60.0);
    harness.run_steps(3);
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    let document = || harness.state().state().document.clone().unwrap();
    let events = document().events();
    assert_eq!((events.len(), events[0].at_h), (1, Some(960.0)));
    let file = document().lever(RINSE).unwrap().file_si;
    assert_eq!(document().lever(RINSE).unwrap().si, file, "the input stays");
    let now = shown_answer(&harness).final_rinse.film_mg_per_l;
    assert!(
        (now / film - 1.0).abs() < 1e-9,
        "the settled week knows no events"
    );
    let set = harness.state().state().results.curves().unwrap().clone();
    assert_eq!(set.events.len(), 1);
    // The last station ends dirtier than it stood before the step.
    let series = &set.plots[0].series[set.final_station.unwrap()];
    let (before, after) = (
        dragback_gui::plots::mean_between(series, 33.0, 40.0),
        dragback_gui::plots::mean_between(series, 80.0, 87.0),
    );
    assert!(after > 1.8 * before, "{before} {after}");
    harness.get_by_label("Events (1)").click();
    harness.run_steps(4);
    let value = "Value of: Rinse rate becomes 60 L/h";
    assert!(
        has_text(&harness, "Rinse rate becomes"),
        "{:?}",
        texts(&harness)
    );
    harness
        .get_by_role_and_label(Role::TextInput, value)
        .focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness
        .get_by_role_and_label(Role::TextInput, value)
        .type_text("70 L/h");
    harness.run_steps(2);
    harness.key_press(Key::Enter);
    harness.run_steps(4);
    let events = opened(&harness).events();
    assert_eq!(events[0].value.as_deref(), Some("70 L/h"));
    ask(
        &mut harness,
        Command::MoveEvent {
            index: 0,
            at_h: 480.0,
        },
    );
    harness.get_by_label_contains("Remove: ").click();
    harness.run_steps(4);
    assert!(opened(&harness).events().is_empty());
    // The typed value and the move that was asked for right after it are one gesture here.
    for left in [1, 1, 0] {
        ask(&mut harness, Command::Undo);
        assert_eq!(opened(&harness).events().len(), left);
    }
    assert!(!opened(&harness).is_dirty());
}

#[test]
fn an_event_on_the_strip_is_dragged_to_another_time() {
    let mut harness = settled();
    let device = "loop.holding_tank.elements.e1".to_owned();
    let new = dragback_gui::document::NewEvent::Fail(device);
    ask(&mut harness, Command::AddEvent { at_h: 240.0, new });
    harness.run_steps(3);
    let mark = harness
        .get_by_label_contains("element e1 of the holding tank fails")
        .rect();
    harness.drag_at(mark.center());
    harness.run_steps(2);
    for step in [20.0, 60.0, 100.0] {
        harness.hover_at(mark.center() + egui::vec2(step, 0.0));
        harness.run_steps(2);
    }
    harness.drop_at(mark.center() + egui::vec2(100.0, 0.0));
    harness.run_steps(2);
    let document = harness.state().state().document.clone().unwrap();
    let at_h = document.events()[0].at_h.unwrap();
    assert!(at_h > 340.0 && at_h < 600.0, "{at_h}");
    assert_eq!(day(&harness), None, "the cursor stays where it was");
    ask(&mut harness, Command::Undo);
    let document = harness.state().state().document.clone().unwrap();
    assert_eq!(
        document.events()[0].at_h,
        Some(240.0),
        "one drag is one step"
    );
}

#[test]
fn the_window_asks_for_no_frame_while_nothing_plays() {
    let mut harness = settled();
    wait(&mut harness, |s| {
        s.results.full_is_current()
            && s.results.standing() == Standing::Exact
            && s.results.advice().is_some()
    });
    let delay = |harness: &Window| {
        let output = &harness.output().viewport_output;
        output.values().map(|v| v.repaint_delay).min().unwrap()
    };
    // Everything is there, and the last picture may still be under way; after that nothing asks for another frame.
    let (began, limit) = (Instant::now(), Duration::from_secs(60));
    while delay(&harness) < Duration::from_millis(200) && began.elapsed() < limit {
        std::thread::sleep(Duration::from_millis(20));
        harness.run_steps(1);
    }
    for _ in 0..30 {
        let delay = delay(&harness);
        assert!(delay > Duration::from_millis(200), "{delay:?}");
        harness.run_steps(1);
    }
}

/// The settled week knows nothing of what happens once: a rinse that is cut on day 38 leaves it as clean as before, and the work leaves too strong all the same.
#[test]
fn a_step_that_passes_the_limit_is_told_beside_the_settled_week() {
    let mut harness = settled();
    let film = shown_answer(&harness).final_rinse.film_mg_per_l;
    assert!(!has_text(&harness, "passes its limit"));
    let step = Command::SetStep {
        path: RINSE.to_owned(),
        at_h: 38.0 * 24.0,
        setting: Setting::Text("30 L/h".to_owned()),
    };
    ask(&mut harness, step);
    // What is under way for long takes the room of the words that come after the verdict.
    wait(&mut harness, |s| {
        s.results.standing() == Standing::Exact && s.results.advice().is_some()
    });
    harness.run_steps(2);
    assert_eq!(shown_answer(&harness).final_rinse.film_mg_per_l, film);
    let run = harness
        .state()
        .state()
        .results
        .curves()
        .unwrap()
        .run
        .as_ref();
    let day = run.unwrap().passed_limit_on_day.unwrap();
    assert!((38.0..45.0).contains(&day), "{day}");
    let words = format!("In the run the final rinse passes its limit on day {day:.1}.");
    assert!(has_text(&harness, &words), "{words}: {:?}", texts(&harness));
    assert!(has_text(&harness, "more than the final rinse's limit"));
}

/// A step that was made at the cursor is taken back at the cursor, by the button beside the lever.
#[test]
fn a_step_is_put_back_to_the_file_from_where_the_cursor_stands() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.state_mut().ask(Command::MoveCursor(Some(20.0)));
    harness.state_mut().ask(Command::SetActs(ActsFrom::Cursor));
    harness.run_steps(3);
    type_into(&mut harness, "Rinse rate", "60 L/h");
    let steps = |h: &Window| {
        let document = h.state().state().document.as_ref().unwrap();
        let all = document.events().into_iter();
        all.map(|e| (e.at_h.unwrap(), e.value)).collect::<Vec<_>>()
    };
    assert_eq!(steps(&harness), [(480.0, Some("60 L/h".to_owned()))]);
    press(&mut harness, "Rinse rate as in file");
    harness.run_steps(3);
    assert_eq!(steps(&harness), [(480.0, Some("95 L/h".to_owned()))]);
}

/// With a state that is kept, figures of a moment stand beside those of the same day there.
#[test]
fn a_moment_is_compared_with_the_same_day_of_the_kept_run() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.state_mut().ask(Command::Pin);
    harness.state_mut().ask(Command::MoveCursor(Some(30.0)));
    harness.run_steps(3);
    let film = |h: &Window| {
        let all = texts(h);
        let found = all.iter().find(|t| t.starts_with("Final rinse at work: "));
        found.cloned().unwrap_or_else(|| panic!("{all:?}"))
    };
    let same = film(&harness);
    assert!(
        same.contains("was ") && same.contains("(0.0\u{a0}%)"),
        "{same}"
    );
    let day = |text: &str| {
        let (_, was) = text.split_once("was ").unwrap();
        was.split([' ', '\u{a0}']).next().unwrap().to_owned()
    };
    type_into(&mut harness, "Rinse rate", "60 L/h");
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.run_steps(3);
    let moved = film(&harness);
    assert_eq!(day(&moved), day(&same), "{moved}");
    assert!(moved.contains("(+"), "{moved}");
    let all = texts(&harness);
    let fed = all.iter().find(|t| t.starts_with("Evaporated less fed: "));
    assert!(fed.unwrap().contains("(+"), "{fed:?}");
    // Another day, another figure that was.
    harness.state_mut().ask(Command::MoveCursor(Some(2.5)));
    harness.run_steps(3);
    assert_ne!(day(&film(&harness)), day(&same));
}
