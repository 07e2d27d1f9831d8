//! Every text that is drawn, read from what goes to the screen: nothing under eleven points, nothing cut short, nothing cut off, nothing on top of
//! other text.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop where a text is missing"
)]

mod common;
#[path = "loop_view/lines.rs"]
#[allow(dead_code, reason = "each test file uses its own part")]
mod lines;
#[path = "legible/seen.rs"]
mod seen;
#[path = "common/views.rs"]
mod views;

use dragback_gui::command::{Command, Kept};
use dragback_gui::document::Setting;
use dragback_gui::panels::{CAUTION, reading};
use dragback_gui::prefs::{SCALES, ThemeChoice};
use dragback_gui::results::Standing;
use dragback_gui::sweep::SweepChoice;
use dragback_gui::worker::Job;
use dragback_gui::{App, Options, State};
use dragback_units::System;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{FIGURES, GROUPS, options, press, wait, window, window_with};
use seen::{bars, check, faults, out_of_sight, texts};
use views::{go, settle, visit};

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
    let view = "all plots and settled answers";
    in_every_look(view, |harness| {
        // The last of them stands below the edge of a small window.
        harness.set_size(egui::vec2(1920.0, 1400.0));
        harness.run_steps(3);
        go(harness, view);
    });
}

#[test]
fn with_the_ledger() {
    let view = "the ledger of water";
    in_every_look(view, |harness| go(harness, view));
}

#[test]
fn with_a_table_of_layouts() {
    for view in ["a table of layouts", "what stops layouts"] {
        in_every_look(view, |harness| go(harness, view));
    }
}

#[test]
fn with_a_tank_selected_at_a_moment_with_events_around_it() {
    let view = "a moment with events around it";
    in_every_look(view, |harness| {
        go(harness, view);
        press(harness, "holding tank");
    });
}

#[test]
fn with_advice_on_a_loop_that_does_not_close() {
    in_every_look("advice", |harness| go(harness, "advice"));
}

#[test]
fn with_the_list_of_events_open() {
    let mut harness = window();
    settle(&mut harness);
    go(&mut harness, "the list of events");
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

/// A view that lies over the bench in every look, from a small window with large text to a great one.
fn over_every_look(view: &str, first: &str, last: &str) {
    let mut harness = window();
    settle(&mut harness);
    go(&mut harness, view);
    over_looks(&mut harness, view, (first, last), &[1.0, 2.0]);
}

/// What lies over the bench in every look, with the sizes of text that are told in the smallest window.
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
        ("the menu File", "Start…", "Compare with…"),
        ("the menu View", "Loop and curves", "Size of text"),
        ("the menu Help", "Lessons: predict", "About Dragback"),
    ] {
        over_every_look(menu, first, last);
    }
}

/// In a window too small for the bench its button may be out of sight, and the menu with it.
#[test]
fn with_the_menu_of_plots_open() {
    let mut harness = window();
    go(&mut harness, "the menu Plots");
    let ends = ("As many as there is room for", "All nine");
    over_looks(&mut harness, "the menu Plots", ends, &[1.0]);
}

#[test]
fn with_a_notice() {
    over_every_look("a notice", "was not saved", "Close");
}

#[test]
fn with_each_page_of_help() {
    over_every_look("shortcuts", "Shortcuts", "Close");
    over_every_look("about", "About Dragback", "Close");
}

#[test]
fn with_a_path_that_is_typed_and_with_the_question_of_unsaved_changes() {
    over_every_look("a path that is typed", "Save the scenario", "Cancel");
    let question = "the question of unsaved changes";
    over_every_look(question, "Save the changes", "Cancel");
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
    let ends = ("Bring unsaved changes back?", last);
    over_looks(&mut harness, "restore", ends, &[1.0, 2.0]);
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
    in_every_look("a lesson", |harness| go(harness, "a lesson"));
}

/// Views that lie over the bench; those of them with much text are read by themselves above.
const OVER: [&str; 20] = [
    "what can be done with a variant",
    "the name of a variant",
    "the question of the old line",
    "the ledger's quantities",
    "the levers to sweep",
    "the list of events",
    "the formula of what is lost",
    "the formula of the final rinse",
    "the formula of the dilution",
    "the formula of the margin",
    "the formula of the duty",
    "the question of unsaved changes",
    "a path that is typed",
    "a notice",
    "shortcuts",
    "about",
    "the menu File",
    "the menu View",
    "the menu Help",
    "the menu Plots",
];

#[test]
fn with_each_view_on_the_bench_and_each_page() {
    let mut over = 0;
    // There is room for the way to each of them.
    let large = egui::vec2(1920.0, 1400.0);
    let mut harness = window();
    harness.set_size(large);
    visit(&mut harness, |harness, view| {
        if OVER.contains(&view) {
            over += 1;
            return;
        }
        for (size, system, theme) in [
            ([1280.0, 720.0], System::Metric, ThemeChoice::Light),
            ([1280.0, 720.0], System::Us, ThemeChoice::Dark),
            ([1280.0, 2400.0], System::Us, ThemeChoice::Light),
            ([1920.0, 1080.0], System::Metric, ThemeChoice::Dark),
            ([3840.0, 2160.0], System::Us, ThemeChoice::Light),
        ] {
            harness.set_size(size.into());
            harness.state_mut().ask(Command::SetSystem(system));
            harness.state_mut().ask(Command::SetTheme(theme));
            harness.run_steps(4);
            let seen = texts(&harness.output().shapes);
            let place = format!("{view} {size:?} {system:?} {theme:?}");
            assert!(seen.len() > 20, "{place}: {} texts", seen.len());
            let faults = faults(&seen, &bars(harness));
            assert!(faults.is_empty(), "{place}:\n{}", faults.join("\n"));
        }
        harness.set_size(large);
    });
    assert_eq!(over, OVER.len());
}

/// Large text on a small screen leaves the sheets less room than they need: they scroll, and nothing in them lies over anything.
#[test]
fn at_every_size_of_text_nothing_in_a_sheet_lies_over_anything() {
    for view in [
        "a table of layouts",
        "whether a change pays",
        "what moves the payback",
        "variants side by side",
    ] {
        let mut harness = window();
        harness.set_size(egui::vec2(1920.0, 1400.0));
        settle(&mut harness);
        go(&mut harness, view);
        for scale in SCALES {
            harness.set_size(egui::vec2(1280.0, 720.0) / scale);
            harness.run_steps(4);
            let seen = texts(&harness.output().shapes);
            let mut faults = faults(&seen, &bars(&harness));
            faults.retain(|fault| fault.starts_with("on one another"));
            let place = format!("{view} at {scale}");
            assert!(faults.is_empty(), "{place}:\n{}", faults.join("\n"));
        }
    }
}

/// An exact run, a sweep and the search for advice at once: how far they are and the way to give them up are in sight, and lie on nothing.
#[test]
fn with_three_jobs_under_way() {
    let mut harness = window_with(Options {
        demo_text: Box::leak(lines::hall().into_boxed_str()),
        ..options()
    });
    let sweep = Some(SweepChoice::default());
    harness.state_mut().ask(Command::SetSweep(sweep));
    let jobs = |s: &State| -> Vec<Job> {
        let told = s.workers.as_ref().map_or_else(Vec::new, |w| w.underway());
        told.iter().map(|work| work.job).collect()
    };
    let wanted = [Job::Exact, Job::Sweep, Job::Advice];
    for system in [System::Metric, System::Us] {
        for theme in [ThemeChoice::Light, ThemeChoice::Dark] {
            harness.state_mut().ask(Command::SetSystem(system));
            harness.state_mut().ask(Command::SetTheme(theme));
            // The look ahead may be under way as well, and may end while the picture is taken.
            let count = loop {
                wait(&mut harness, |s| {
                    wanted.iter().all(|job| jobs(s).contains(job))
                });
                let before = jobs(harness.state().state());
                harness.run_steps(1);
                if jobs(harness.state().state()) == before {
                    break before.len();
                }
            };
            let place = format!("three jobs {system:?} {theme:?}");
            check(&harness, &place);
            let more = format!(" and {} more", count - 1);
            let words = ["Cancel", &more, CAUTION].map(str::to_owned);
            let missing = out_of_sight(&harness, &words);
            assert!(missing.is_empty(), "{place}: out of sight: {missing:?}");
        }
    }
}
