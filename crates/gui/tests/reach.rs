//! Reaching things by hand: plots carried by their titles, and the wheel where the window is too small for everything.

mod common;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::plots::{KINDS, kind_name};
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{wait, window};

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
