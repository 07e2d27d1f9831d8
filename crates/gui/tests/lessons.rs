//! The lessons on the demo: predicted, dragged, seen; what is told agrees with the settled answers.

#![allow(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::lessons::LESSONS;
use dragback_gui::loop_view::Selection;
use dragback_gui::loop_view::scene::StationId;
use dragback_gui::page::Page;
use dragback_plant::ids::VesselId;
use egui::accesskit::Role;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{TempFile, has_text, opened, set_lever, shown_answer, take, wait, window};

#[test]
fn each_lesson_is_gone_through_on_the_demo() {
    for lesson in LESSONS {
        let mut harness = window();
        harness
            .state_mut()
            .ask(Command::ShowPage(Some(Page::Start)));
        harness.run_steps(3);
        harness
            .get_by_role_and_label(Role::Button, lesson.name)
            .click();
        harness.run_steps(3);
        assert_eq!(harness.state().state().page, None);
        for (n, step) in lesson.steps.iter().enumerate() {
            assert!(has_text(&harness, step.ask), "{}", step.ask);
            let before = step.figure.si(&shown_answer(&harness)).unwrap();
            harness
                .get_by_role_and_label(Role::Button, step.choices[0].words)
                .click();
            harness.run_steps(3);
            assert!(has_text(&harness, "Now drag"));
            assert!(!has_text(&harness, step.why), "told before it was seen");
            take(&mut harness, step);
            let after = step.figure.si(&shown_answer(&harness)).unwrap();
            let came = step
                .choices
                .iter()
                .find(|c| c.outcome.fits(before, after))
                .unwrap();
            assert!(
                has_text(&harness, step.why),
                "{}: {before} {after}",
                step.ask
            );
            let is_right = *came == step.choices[0];
            assert_eq!(
                has_text(&harness, "As you said"),
                is_right,
                "{before} {after}"
            );
            if !is_right {
                let words = came.words[1..].to_owned();
                assert!(has_text(
                    &harness,
                    &format!(
                        "It came otherwise: {}{words}",
                        came.words[..1].to_lowercase()
                    )
                ));
            }
            let button = if n + 1 < lesson.steps.len() {
                "Next step"
            } else {
                "Done"
            };
            let button = harness.get_by_label(button);
            // The way on is in sight, however long the text before it is.
            assert!(harness.ctx.content_rect().contains_rect(button.rect()));
            button.click();
            harness.run_steps(3);
        }
        assert_eq!(harness.state().state().lesson, None);
    }
}

/// A prediction cannot be changed once it is made, and a lesson can be left.
#[test]
fn a_prediction_stands_and_a_lesson_can_be_left() {
    let mut harness = window();
    harness.state_mut().ask(Command::BeginLesson(Some(0)));
    harness.run_steps(2);
    let choices = LESSONS[0].steps[0].choices;
    harness.get_by_label(choices[1].words).click();
    harness.run_steps(2);
    let other = harness.get_by_label(choices[2].words);
    assert!(other.accesskit_node().is_disabled());
    harness.get_by_label("Leave the lesson").click();
    harness.run_steps(2);
    assert!(!has_text(&harness, choices[0].words));
    harness.state_mut().ask(Command::BeginLesson(Some(99)));
    assert_eq!(harness.state().state().lesson, None);
}

/// Escape closes what is open, one after the other: the list of what is wrong with a file, a moment of the run, the lesson; at last it lets go of a tank.
#[test]
fn escape_closes_the_list_the_moment_and_the_lesson() {
    let broken = TempFile::new("escape.ron", "(version: 1)");
    let mut harness = window();
    let tank = Selection::Station(StationId::Vessel(VesselId(0)));
    harness.state_mut().ask(Command::Select(tank));
    harness.state_mut().ask(Command::BeginLesson(Some(0)));
    harness.state_mut().ask(Command::MoveCursor(Some(20.0)));
    harness.state_mut().ask(Command::OpenPath(broken.0.clone()));
    wait(&mut harness, |s| s.problems.is_some());
    let open = |h: &egui_kittest::Harness<'_, dragback_gui::App>| {
        let state = h.state().state();
        let (list, moment) = (state.problems.is_some(), state.playhead.day.is_some());
        let is_held = state.selection == tank;
        (list, moment, state.lesson.is_some(), is_held)
    };
    let mut stood = vec![open(&harness)];
    for _ in 0..4 {
        harness.key_press(egui::Key::Escape);
        harness.run_steps(3);
        stood.push(open(&harness));
    }
    let wanted = [
        (true, true, true, true),
        (false, true, true, true),
        (false, false, true, true),
        (false, false, false, true),
        (false, false, false, false),
    ];
    assert_eq!(stood, wanted);
}

/// A line without an evaporator has no closure margin to predict; the lesson says so before anything is predicted, and goes on with the demo.
#[test]
fn a_lesson_says_where_it_can_be_shown() {
    let before = TempFile::new(
        "before.ron",
        include_str!("../../../scenarios/demo-before.ron"),
    );
    let mut harness = window();
    let document = |h: &egui_kittest::Harness<'_, dragback_gui::App>| opened(h).id;
    let demo = document(&harness);
    harness.state_mut().ask(Command::OpenPath(before.0.clone()));
    wait(&mut harness, |s| {
        s.document.as_ref().is_some_and(|d| d.id != demo)
    });
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.state_mut().ask(Command::BeginLesson(Some(1)));
    harness.run_steps(2);
    assert!(!has_text(&harness, LESSONS[1].steps[0].ask));
    let before = document(&harness);
    harness.get_by_label("Open the demo").click();
    harness.run_steps(2);
    assert_ne!(document(&harness), before);
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.run_steps(2);
    assert!(has_text(&harness, LESSONS[1].steps[0].ask));
}

/// What the lesson says of itself: after both steps the work leaves cleaner than at first, with two fifths of the water saved.
#[test]
fn one_more_rinse_pays_for_less_water_on_the_demo() {
    let mut harness = window();
    let before = shown_answer(&harness);
    let lesson = LESSONS.iter().find(|l| l.name.contains("one more rinse"));
    for step in lesson.unwrap().steps {
        take(&mut harness, step);
    }
    let after = shown_answer(&harness);
    let (film, was) = (
        after.final_rinse.film_mg_per_l,
        before.final_rinse.film_mg_per_l,
    );
    assert!(film < was, "{was} became {film}");
    let saved = 1.0 - after.rinse_feed_l_per_h / before.rinse_feed_l_per_h;
    assert!((saved - 0.4).abs() < 0.01, "{saved}");
    let margin = |a: &dragback_study::LoopAnswer| a.closure_margin_l_per_h.as_ref().unwrap().week;
    assert!(margin(&after) > margin(&before));
}

/// Whoever is new finds the lessons where help is looked for, and the lever of a lesson at hand.
#[test]
fn lessons_begin_from_the_help_menu_and_bring_their_lever_along() {
    let mut harness = window();
    harness.get_by_label("Help").click();
    harness.run_steps(3);
    harness
        .get_by_role_and_label(Role::Button, LESSONS[2].name)
        .click();
    harness.run_steps(3);
    let lesson = harness.state().state().lesson.unwrap();
    assert_eq!(lesson.lesson, 2);
    let document = opened(&harness);
    let path = LESSONS[2].steps[0].lever.path(document).unwrap();
    let name = document.name_of(&path);
    let lever = harness.get_by_role_and_label(Role::Slider, &name);
    assert!(harness.ctx.content_rect().contains_rect(lever.rect()));
}

/// What comes of the lever is not told while something else has been moved, too.
#[test]
fn a_lesson_judges_its_own_lever_alone() {
    let mut harness = window();
    let lesson = &LESSONS[2];
    harness.state_mut().ask(Command::BeginLesson(Some(2)));
    harness.run_steps(3);
    harness.state_mut().ask(Command::Predict(0));
    harness.run_steps(3);
    take(&mut harness, &lesson.steps[0]);
    harness.run_steps(3);
    let is_told = |h: &egui_kittest::Harness<'_, dragback_gui::App>| {
        has_text(h, "As you said") || has_text(h, "It came otherwise")
    };
    assert!(is_told(&harness));
    let film = "loop.work.drag_out.film";
    set_lever(&mut harness, film, Setting::Text("0.06 L/m²".to_owned()));
    harness.run_steps(3);
    assert!(!is_told(&harness) && has_text(&harness, "Something else has been moved"));
    harness.state_mut().ask(Command::Undo);
    wait(&mut harness, |s| s.results.figures_are_current());
    harness.run_steps(3);
    assert!(is_told(&harness));
}
