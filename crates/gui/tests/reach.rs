//! Reaching things by hand and by keys: plots carried by their titles, the wheel where the window is too small for everything, keys for what the pointer does.

#![allow(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use dragback_gui::command::Command;
use dragback_gui::panels::reading;
use dragback_gui::plots::{KINDS, kind_name};
use dragback_gui::results::Standing;
use dragback_gui::{App, Options};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{click, has_text, texts, wait, window, window_with};

type Window = Harness<'static, App>;

#[test]
fn a_plot_is_carried_to_another_place_by_its_title() {
    let mut harness = window();
    harness.set_size(egui::vec2(1600.0, 1200.0));
    wait(&mut harness, |s| s.results.curves().is_some());
    let order = |h: &Window| h.state().state().prefs.arranged_plots();
    let (first, second) = (order(&harness)[0], order(&harness)[1]);
    let title = |h: &Window, n: usize| {
        let name = format!("Carry: {}", kind_name(order(h)[n]));
        h.get_by_label(&name).rect()
    };
    let (from, to) = (title(&harness, 0).center(), title(&harness, 1).center());
    harness.drag_at(from);
    harness.run_steps(2);
    harness.hover_at(from + 0.5 * (to - from));
    harness.run_steps(2);
    harness.hover_at(to);
    harness.run_steps(2);
    harness.drop_at(to);
    harness.run_steps(3);
    assert_eq!(order(&harness)[..2], [second, first]);
    assert_eq!(order(&harness).len(), KINDS.len());
}

/// Where large text leaves no room, the wheel brings every edge of the bench into sight.
#[test]
fn at_double_size_the_wheel_reaches_everything() {
    let mut harness = window();
    harness.set_size(egui::vec2(640.0, 400.0));
    harness.run_steps(4);
    let screen = harness.ctx.content_rect();
    let events = |h: &Window| h.get_by_label("Events").rect();
    assert!(!screen.contains_rect(events(&harness)));
    harness.hover_at(screen.center());
    harness.run_steps(2);
    for _ in 0..40 {
        for (delta, modifiers) in [
            (egui::vec2(0.0, -60.0), egui::Modifiers::NONE),
            (egui::vec2(0.0, -60.0), egui::Modifiers::SHIFT),
        ] {
            harness.event_modifiers(
                egui::Event::MouseWheel {
                    unit: egui::MouseWheelUnit::Point,
                    delta,
                    phase: egui::TouchPhase::Move,
                    source: egui::MouseWheelSource::Unknown,
                    modifiers,
                },
                modifiers,
            );
            harness.run_steps(1);
        }
    }
    harness.run_steps(4);
    assert!(
        screen.contains_rect(events(&harness)),
        "{:?}",
        events(&harness)
    );
}

/// All nine plots at common sizes of the screen, with the drawing's share as it is at first: how many are wholly in sight, and whether those that
/// are not can be seen to be there.
#[test]
fn many_of_nine_plots_are_in_sight() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.curves().is_some());
    harness
        .state_mut()
        .ask(Command::ShowPlots(Some(KINDS.to_vec())));
    for (size, wanted) in [
        ([1280.0, 720.0], 4),
        ([1920.0, 1080.0], 9),
        ([3840.0, 2160.0], 9),
    ] {
        harness.set_size(size.into());
        harness.run_steps(4);
        let sheet = harness.get_by_label("Plots").rect();
        let foot = harness.get_by_label("Events").rect().top();
        let found = harness
            .root()
            .query_all_by(|n| n.role() == Role::Canvas && n.description().is_some());
        let plots: Vec<egui::Rect> = found.map(|node| node.rect()).collect();
        let is_whole = |r: &&egui::Rect| r.top() > sheet.bottom() && r.bottom() < foot;
        let in_sight = plots.iter().filter(is_whole).count();
        assert!(in_sight >= wanted, "{size:?}: {in_sight} of {plots:?}");
        assert!(
            plots.iter().all(|r| r.width() <= 800.0),
            "{size:?}: {plots:?}"
        );
    }
}

const ZINC: &str = include_str!("../../../scenarios/zinc-barrel.ron");

fn zinc() -> Window {
    let mut harness = window_with(Options {
        demo_text: ZINC,
        ..common::options()
    });
    wait(&mut harness, |s| {
        s.results.full_is_current() && s.results.standing() == Standing::Exact
    });
    harness
}

fn press(harness: &mut Window, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    harness.run_steps(2);
}

/// What the verdict has no room for is read by pressing a button, without a pointer that hovers.
#[test]
fn what_the_verdict_has_no_room_for_stands_behind_a_button() {
    let mut harness = zinc();
    let state = harness.state().state();
    let full = state.results.full().unwrap();
    let (system, counted) = (state.prefs.system, state.prefs.counted);
    let told = reading(&full.answers, full.line().unwrap(), system, counted);
    let last = told.rest.last().unwrap();
    assert!(!has_text(&harness, last), "{last} stands there already");
    let more = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        let label = n.label().unwrap_or_default();
        n.role() == Role::Button && label.starts_with("+ ") && label.ends_with(" more")
    };
    let name = harness.get_by(more).accesskit_node().label().unwrap();
    click(&mut harness, &name);
    assert!(has_text(&harness, last), "{last} {:?}", texts(&harness));
}

#[test]
fn the_line_under_the_drawing_moves_by_up_and_down() {
    let mut harness = window();
    harness.set_size(egui::vec2(1280.0, 1000.0));
    harness.run_steps(3);
    let line = |h: &Window| h.get_by_label("Room of the drawing").rect().center().y;
    harness.get_by_label("Room of the drawing").focus();
    harness.run_steps(3);
    let before = line(&harness);
    press(&mut harness, Modifiers::NONE, Key::ArrowUp);
    harness.run_steps(2);
    let above = line(&harness);
    assert!(above < before - 10.0, "{before} became {above}");
    for _ in 0..2 {
        press(&mut harness, Modifiers::NONE, Key::ArrowDown);
    }
    harness.run_steps(2);
    let below = line(&harness);
    assert!(below > above + 10.0, "{above} became {below}");
    let handle = harness.get_by_label("Room of the drawing");
    assert!(
        handle.accesskit_node().is_focused(),
        "the keys stay with it"
    );
}

#[test]
fn keys_move_the_plots_along_in_time_and_look_closer() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.curves().is_some());
    let seen = |h: &Window| h.state().seen_days();
    let whole = seen(&harness);
    press(&mut harness, Modifiers::COMMAND, Key::ArrowUp);
    let close = seen(&harness);
    let span = |(from, to): (f64, f64)| to - from;
    assert!((span(whole) / span(close) - 1.5).abs() < 1e-9, "{close:?}");
    press(&mut harness, Modifiers::COMMAND, Key::ArrowRight);
    let later = seen(&harness);
    assert!(
        (later.0 - close.0 - 0.25 * span(close)).abs() < 1e-9,
        "{later:?}"
    );
    press(&mut harness, Modifiers::COMMAND, Key::ArrowLeft);
    assert!((seen(&harness).0 - close.0).abs() < 1e-9);
    press(&mut harness, Modifiers::COMMAND, Key::ArrowDown);
    assert_eq!(seen(&harness), whole);
    // The cursor stays where it was, and in a field the keys belong to the field.
    assert_eq!(harness.state().state().playhead.day, None);
    let field = harness.get_by_role_and_label(Role::TextInput, "Rinse rate");
    field.focus();
    harness.run_steps(2);
    press(&mut harness, Modifiers::COMMAND, Key::ArrowUp);
    assert_eq!(seen(&harness), whole);
}

/// The cursor alone follows Shift with an arrow, not a text that happens to be selected.
#[test]
fn a_step_of_the_cursor_extends_no_selected_text() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.curves().is_some());
    harness.state_mut().ask(Command::MoveCursor(Some(10.0)));
    harness.run_steps(3);
    let copied = |h: &mut Window| {
        h.event(egui::Event::Copy);
        h.step();
        let commands = h.output().platform_output.commands.clone();
        commands.into_iter().find_map(|c| match c {
            egui::OutputCommand::CopyText(text) => Some(text),
            _ => None,
        })
    };
    let at = harness.get_by_label("Levers act").rect();
    harness.drag_at(at.left_center() + egui::vec2(1.0, 0.0));
    harness.run_steps(2);
    harness.hover_at(at.left_center() + egui::vec2(30.0, 0.0));
    harness.run_steps(2);
    harness.drop_at(at.left_center() + egui::vec2(30.0, 0.0));
    harness.run_steps(2);
    let before = copied(&mut harness);
    assert!(before.is_some(), "a text was selected");
    press(&mut harness, Modifiers::SHIFT, Key::ArrowRight);
    assert_eq!(harness.state().state().playhead.day, Some(11.0));
    assert_eq!(copied(&mut harness), before);
}

/// The levers of a selected tank come into sight below the main ones, which stay where they are.
#[test]
fn what_acts_on_a_selected_tank_is_scrolled_to_below_the_main_levers() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness
        .get_by_role_and_label(Role::Button, "holding tank")
        .click();
    harness.run_steps(30);
    let rect = |name: &str| harness.get_by_role_and_label(Role::Slider, name).rect();
    let head = harness.get_by_label("What acts on holding tank").rect();
    for name in ["Drag-out", "Rinse rate", "Heat input"] {
        assert!(rect(name).bottom() < head.top(), "{name}");
    }
    let remarks = harness.get_by_label("Remarks").rect();
    assert!(
        head.bottom() < remarks.top() && head.top() > 44.0,
        "{head:?}"
    );
}

/// An answer that brings remarks moves no lever.
#[test]
fn levers_stay_where_they_are_when_remarks_come() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.full_is_current());
    let group = |h: &Window| h.get_by_label("Find any input").rect();
    let tank = |h: &Window| h.get_by_label("Holding tank").rect();
    let remarks = |h: &Window| {
        let mut all = texts(h);
        all.retain(|t| t.starts_with("Day ") || t.starts_with("Settled figures hold"));
        all
    };
    let before = remarks(&harness);
    // More water than can evaporate: tanks fill, and alarms say so.
    let path = "loop.sections.rinses.flow".to_owned();
    let setting = dragback_gui::document::Setting::Text("300 L/h".to_owned());
    harness.state_mut().ask(Command::SetLever { path, setting });
    harness.run_steps(2);
    let moved = (group(&harness), tank(&harness));
    wait(&mut harness, |s| {
        s.results.full_is_current() && s.results.standing() == Standing::Exact
    });
    assert_ne!(remarks(&harness), before, "other remarks have come");
    assert_eq!((group(&harness), tank(&harness)), moved);
}
