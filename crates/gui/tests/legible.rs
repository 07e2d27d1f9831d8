//! Every text that is drawn, read from what goes to the screen: nothing under eleven points, nothing cut short, nothing cut off, nothing on top of
//! other text.

#![allow(clippy::panic, reason = "a test may stop where a text is missing")]

mod common;
#[path = "legible/seen.rs"]
mod seen;

use dragback_gui::App;
use dragback_gui::command::{Command, Kept};
use dragback_gui::document::{NewEvent, Setting};
use dragback_gui::page::Page;
use dragback_gui::panels::{CAUTION, Help, reading};
use dragback_gui::prefs::{SCALES, ThemeChoice};
use dragback_gui::results::Standing;
use dragback_gui::sweep::SweepChoice;
use dragback_units::System;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{FIGURES, GROUPS, wait, window};
use seen::{bars, check, faults, out_of_sight, texts};

/// The window in every look and a few sizes, after something was done to it.
fn in_every_look(what: &str, act: impl Fn(&mut Harness<'static, App>)) {
    every_look(what, act, false);
}

/// The same; on a bench that is `plain`, everything that must be in sight is looked for, too.
fn every_look(what: &str, act: impl Fn(&mut Harness<'static, App>), is_plain: bool) {
    let mut harness = window();
    wait(&mut harness, |s| {
        s.results.standing() == Standing::Exact && s.results.full_is_current()
    });
    act(&mut harness);
    // Advice comes last and takes its place beside what is there already.
    wait(&mut harness, |s| {
        s.results.advice().is_some() || s.results.failure().is_some() || s.problems.is_some()
    });
    for size in [[1280.0, 720.0], [1920.0, 1080.0], [3840.0, 2160.0]] {
        harness.set_size(size.into());
        for system in [System::Metric, System::Us] {
            for theme in [ThemeChoice::Light, ThemeChoice::Dark] {
                harness.state_mut().ask(Command::SetSystem(system));
                harness.state_mut().ask(Command::SetTheme(theme));
                harness.run_steps(4);
                let place = format!("{what} {size:?} {system:?} {theme:?}");
                check(&harness, &place);
                if is_plain {
                    let missing = out_of_sight(&harness, &must_be_in_sight(&harness));
                    assert!(missing.is_empty(), "{place}: out of sight: {missing:?}");
                }
            }
        }
    }
}

/// What must stand whole on the bench at every size: the main levers, the figures, what they mean, and the ways to everything else.
fn must_be_in_sight(harness: &Harness<'static, App>) -> Vec<String> {
    let state = harness.state().state();
    let levers = state.document.iter().flat_map(|d| &d.levers);
    let mut words: Vec<String> = levers.map(|l| l.name.clone()).collect();
    assert_eq!(words.len(), 3);
    words.extend(FIGURES.map(str::to_owned));
    words.extend(["Edit the line…", "Find any input", CAUTION].map(str::to_owned));
    let figures = state.results.full().and_then(|f| Some((f, f.line()?)));
    let (system, counted) = (state.prefs.system, state.prefs.counted);
    let told = figures.map(|(f, line)| reading(&f.answers, line, system, counted).first);
    assert!(told.is_some(), "there is a verdict");
    words.extend(told);
    words
}

#[test]
fn the_bench() {
    every_look("the bench", |_| {}, true);
}

#[test]
fn with_a_pinned_state_and_a_moved_lever() {
    in_every_look("pinned", |harness| {
        harness.state_mut().ask(Command::Pin);
        harness.state_mut().ask(Command::SetLever {
            path: "loop.sections.rinses.flow".to_owned(),
            setting: Setting::Text("130 L/h".to_owned()),
        });
        wait(harness, |s| {
            s.results.standing() == Standing::Exact && s.results.full_is_current()
        });
    });
}

#[test]
fn with_all_plots_and_settled_answers() {
    in_every_look("all plots", |harness| {
        harness.state_mut().ask(Command::ShowPlots(Some(
            dragback_gui::plots::KINDS.to_vec(),
        )));
        harness
            .state_mut()
            .ask(Command::SetSweep(Some(SweepChoice::default())));
        wait(harness, |s| s.results.sweep().is_some_and(|w| w.is_whole()));
    });
}

#[test]
fn with_the_ledger() {
    in_every_look("ledger", |harness| {
        harness.state_mut().ask(Command::ShowLedger(true));
        harness.run_steps(3);
    });
}

#[test]
fn with_a_tank_selected_at_a_moment_with_events_around_it() {
    in_every_look("a moment", |harness| {
        let device = "loop.holding_tank.elements.e1".to_owned();
        for (at_h, new) in [
            (500.0, NewEvent::Fail(device.clone())),
            (600.0, NewEvent::Restore(device)),
        ] {
            harness.state_mut().ask(Command::AddEvent { at_h, new });
        }
        harness.state_mut().ask(Command::MoveCursor(Some(22.4)));
        wait(harness, |s| s.results.standing() == Standing::Exact);
        harness
            .get_by_role_and_label(Role::Button, "holding tank")
            .click();
        harness.run_steps(4);
    });
}

#[test]
fn with_advice_on_a_loop_that_does_not_close() {
    in_every_look("advice", |harness| {
        harness.state_mut().ask(Command::SetLever {
            path: "loop.holding_tank.heat_input".to_owned(),
            setting: Setting::Text("20 kW".to_owned()),
        });
        wait(harness, |s| {
            s.results.standing() == Standing::Exact && s.results.full_is_current()
        });
    });
}

#[test]
fn with_the_list_of_events_open() {
    let mut harness = window();
    harness.state_mut().ask(Command::MoveCursor(Some(22.4)));
    let setting = Setting::Text("80 L/h".to_owned());
    harness.state_mut().ask(Command::SetStep {
        path: "loop.sections.rinses.flow".to_owned(),
        at_h: 537.6,
        setting,
    });
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.get_by_label("Events (1)").click();
    harness.run_steps(6);
    let list = harness.get_by_label_contains("Days are counted").rect();
    let screen = harness.ctx.content_rect();
    assert!(screen.contains_rect(list), "{list:?}");
}

#[test]
fn with_every_group_of_levers_open() {
    for group in GROUPS {
        in_every_look(group, |harness| {
            harness.set_size(egui::vec2(1280.0, 4000.0));
            harness.run_steps(2);
            harness.get_by_label(group).click();
            harness.run_steps(8);
            check(harness, group);
        });
    }
}

#[test]
fn with_one_plot_enlarged() {
    for plot in ["Levels, m", "Temperatures, °C"] {
        in_every_look(plot, |harness| {
            harness.state_mut().ask(Command::SetDrawingShare(0.0));
            harness.run_steps(3);
            let name = format!("Enlarge: {plot}");
            harness.get_by_label(&name).click();
            harness.run_steps(3);
        });
    }
}

#[test]
fn with_each_scenario() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios");
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let open = |harness: &mut Harness<'static, App>| {
            harness.state_mut().ask(Command::OpenPath(entry.path()));
            wait(harness, |s| {
                let is_open = s.document.as_ref().is_some_and(|d| d.origin.name == name);
                let is_done = s.results.full_is_current() || s.results.failure().is_some();
                is_open && is_done && s.results.standing() == Standing::Exact
            });
        };
        every_look(&name, open, true);
    }
}

/// What lies over the bench is read by itself: the texts under it are covered by it and do not count.
fn check_what_lies_over(harness: &Harness<'_, App>, place: &str, first: &str, last: &str) {
    let seen = texts(&harness.output().shapes);
    let at = |words: &str| seen.iter().rposition(|s| s.words.contains(words));
    let (from, to) = (at(first), at(last));
    assert!(
        from.is_some() && to.is_some(),
        "{place}: {first:?} or {last:?} is not on the screen"
    );
    let (from, to) = (from.unwrap_or_default(), to.unwrap_or_default());
    let over = &seen[from.min(to)..=from.max(to)];
    let faults = faults(over, &bars(harness));
    assert!(faults.is_empty(), "{place}:\n{}", faults.join("\n"));
    let screen = harness.ctx.content_rect();
    for text in over {
        let inside = screen.contains_rect(text.rect) || !text.rect.intersects(text.clip);
        assert!(inside, "{place}: {:?} at {:?}", text.words, text.rect);
    }
}

/// Does something in every look, from a small window with large text to a great one.
fn over_every_look(harness: &mut Harness<'static, App>, what: &str, first: &str, last: &str) {
    over_looks(harness, what, (first, last), &[1.0, 2.0]);
}

/// The same, with the sizes of text that are told in the smallest window.
fn over_looks(
    harness: &mut Harness<'static, App>,
    what: &str,
    (first, last): (&str, &str),
    scales: &[f32],
) {
    let small = scales.iter().map(|scale| ([1280.0, 720.0], *scale));
    let large = [([1920.0, 1080.0], 1.0), ([3840.0, 2160.0], 1.0)];
    for (size, scale) in small.chain(large) {
        harness.set_size(egui::Vec2::from(size) / scale);
        for system in [System::Metric, System::Us] {
            for theme in [ThemeChoice::Light, ThemeChoice::Dark] {
                harness.state_mut().ask(Command::SetSystem(system));
                harness.state_mut().ask(Command::SetTheme(theme));
                harness.run_steps(6);
                let place = format!("{what} {size:?} × {scale} {system:?} {theme:?}");
                check_what_lies_over(harness, &place, first, last);
            }
        }
    }
}

#[test]
fn with_each_menu_open() {
    for (menu, first, last) in [
        ("File", "Start…", "Compare with…"),
        ("View", "As the system", "Text 200 %"),
        ("Help", "Lessons: predict", "About Dragback"),
    ] {
        let mut harness = window();
        harness.get_by_label(menu).click();
        harness.run_steps(4);
        over_every_look(&mut harness, menu, first, last);
    }
}

/// In a window too small for the bench its button may be out of sight, and the menu with it.
#[test]
fn with_the_menu_of_plots_open() {
    let mut harness = window();
    harness.get_by_label("Plots").click();
    harness.run_steps(4);
    let ends = ("As many as there is room for", "All nine");
    over_looks(&mut harness, "Plots", ends, &[1.0]);
}

#[test]
fn with_a_notice() {
    let mut harness = window();
    // A file stands where the folder should be.
    let file = common::TempFile::new("no-folder", "");
    let path = file.0.join("line.ron");
    harness.state_mut().ask(Command::SaveTo(path));
    harness.run_steps(4);
    over_every_look(&mut harness, "a notice", "was not saved", "Close");
}

#[test]
fn with_each_page_of_help() {
    for (help, first, last) in [
        (Help::Shortcuts, "Shortcuts", "Close"),
        (Help::About, "About Dragback", "Close"),
    ] {
        let mut harness = window();
        harness.state_mut().ask(Command::ShowHelp(Some(help)));
        harness.run_steps(4);
        over_every_look(&mut harness, &format!("{help:?}"), first, last);
    }
}

#[test]
fn with_a_path_that_is_typed_and_with_the_question_of_unsaved_changes() {
    let mut harness = window();
    harness.state_mut().ask(Command::SaveAs);
    wait(&mut harness, |s| s.typing.is_some());
    over_every_look(&mut harness, "a path", "Save the scenario", "Stay here");
    harness.state_mut().ask(Command::GiveUpPath);
    harness.state_mut().ask(Command::SetLever {
        path: "loop.sections.rinses.flow".to_owned(),
        setting: Setting::Text("130 L/h".to_owned()),
    });
    harness.state_mut().ask(Command::OpenDemo);
    harness.run_steps(4);
    over_every_look(&mut harness, "unsaved", "Save the changes", "Stay here");
}

#[test]
fn with_the_question_after_a_crash() {
    let folder = std::env::temp_dir().join(format!("dragback-legible-{}", std::process::id()));
    assert!(std::fs::create_dir_all(&folder).is_ok());
    let kept = Kept {
        name: "night shift.ron".to_owned(),
        path: None,
        saved: common::DEMO.to_owned(),
        text: common::DEMO.to_owned(),
        draft: None,
        stands_in: false,
    };
    let text = serde_json::to_string(&kept).unwrap_or_default();
    assert!(std::fs::write(folder.join("unsaved-0.json"), text).is_ok());
    let prefs = folder.join("window.json");
    let mut harness = Harness::builder()
        .with_size([1280.0, 720.0])
        .build_eframe(move |cc| App::with_prefs(&cc.egui_ctx, common::options(), Some(prefs)));
    harness.run_steps(4);
    let last = "Throw them away";
    over_every_look(&mut harness, "restore", "Bring unsaved changes back?", last);
    drop(harness);
    let _ = std::fs::remove_dir_all(&folder);
}

/// Large text on a small screen: the bars with the menus and the whole caution stay in sight.
#[test]
fn at_every_size_of_text_the_menus_and_the_caution_are_in_sight() {
    let mut harness = window();
    for scale in SCALES {
        harness.set_size(egui::vec2(1280.0, 720.0) / scale);
        harness.run_steps(4);
        let screen = harness.ctx.content_rect();
        let seen = texts(&harness.output().shapes);
        for words in ["View", "Help", CAUTION] {
            let found = seen.iter().find(|s| s.words.contains(words));
            let is_whole = found.is_some_and(|s| {
                screen.contains_rect(s.rect) && s.clip.expand(1.0).contains_rect(s.rect)
            });
            assert!(
                is_whole,
                "{words:?} at {scale}: {:?}",
                found.map(|s| s.rect)
            );
            assert!(
                found.is_some_and(|s| !s.is_elided()),
                "{words:?} at {scale}"
            );
        }
    }
}

#[test]
fn with_a_lesson_under_way() {
    in_every_look("a lesson", |harness| {
        harness.state_mut().ask(Command::BeginLesson(Some(1)));
        harness.run_steps(4);
    });
}

#[test]
fn with_each_page_over_the_bench() {
    let mut harness = window();
    for page in [Page::Start, Page::Line, Page::DragOut] {
        harness.state_mut().ask(Command::ShowPage(Some(page)));
        for size in [[1280.0, 720.0], [1920.0, 1080.0], [3840.0, 2160.0]] {
            harness.set_size(size.into());
            for system in [System::Metric, System::Us] {
                for theme in [ThemeChoice::Light, ThemeChoice::Dark] {
                    harness.state_mut().ask(Command::SetSystem(system));
                    harness.state_mut().ask(Command::SetTheme(theme));
                    harness.run_steps(4);
                    let seen = texts(&harness.output().shapes);
                    assert!(seen.len() > 20, "{page:?}: {} texts", seen.len());
                    let faults = faults(&seen, &bars(&harness));
                    let place = format!("{page:?} {size:?} {system:?} {theme:?}");
                    assert!(faults.is_empty(), "{place}:\n{}", faults.join("\n"));
                }
            }
        }
    }
}

#[test]
fn with_each_chapter_of_the_editor() {
    let mut harness = window();
    harness
        .state_mut()
        .ask(Command::ShowPage(Some(Page::Editor)));
    harness.run_steps(3);
    let of_chapters = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        n.label().is_some_and(|l| l.starts_with("Chapter: "))
    };
    let nodes = harness.root().query_all_by(of_chapters);
    let chapters: Vec<String> = nodes.filter_map(|n| n.accesskit_node().label()).collect();
    assert!(chapters.len() > 15);
    for chapter in chapters {
        harness.get_by_label(&chapter).click();
        for (size, system) in [
            ([1280.0, 720.0], System::Metric),
            ([1280.0, 2400.0], System::Us),
            ([1920.0, 1080.0], System::Metric),
        ] {
            harness.set_size(size.into());
            harness.state_mut().ask(Command::SetSystem(system));
            harness.run_steps(4);
            let seen = texts(&harness.output().shapes);
            let faults = faults(&seen, &bars(&harness));
            assert!(
                faults.is_empty(),
                "{chapter} {size:?}:\n{}",
                faults.join("\n")
            );
        }
    }
}
