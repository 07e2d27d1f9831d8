//! What tests of the window share: the window itself, waiting, texts, files.

#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

use std::path::PathBuf;
use std::time::{Duration, Instant};

use dragback_gui::command::Command;
use dragback_gui::document::{Document, Setting};
use dragback_gui::lessons::Step;
use dragback_gui::results::Figures;
use dragback_gui::{App, Options, State};
use dragback_study::LoopAnswer;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

pub const DEMO: &str = include_str!("../../../../scenarios/demo.ron");

/// What the names of the key figures hold.
pub const FIGURES: [&str; 7] = [
    " lost for good",
    "Final rinse",
    "Dilution ratio",
    "Closure margin",
    "Tank temperature",
    "Heater duty",
    "Time to settle",
];

/// The groups of levers.
pub const GROUPS: [&str; 7] = [
    "Work",
    "Rinses",
    "Holding tank",
    "Tower",
    "Bath",
    "Room",
    "Prices",
];

/// Presses what has this name, and lets the window answer.
pub fn click(harness: &mut Harness<'_, App>, name: &str) {
    harness.get_by_label(name).click();
    harness.run_steps(4);
}

/// Presses the button of this name, where other things have it too.
pub fn press(harness: &mut Harness<'_, App>, button: &str) {
    harness.get_by_role_and_label(Role::Button, button).click();
    harness.run_steps(4);
}

/// Chooses a word from a list.
pub fn choose(harness: &mut Harness<'_, App>, list: &str, word: &str) {
    harness.get_by_role_and_label(Role::ComboBox, list).click();
    harness.run_steps(3);
    // Other buttons may have the word, too, but they are not chosen.
    let is_it = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        let is_named = n.label().as_deref() == Some(word);
        n.role() == Role::Button && is_named && n.toggled().is_some()
    };
    harness.get_by(is_it).click();
    harness.run_steps(3);
}

/// What the window works on.
pub fn opened<'h>(harness: &'h Harness<'_, App>) -> &'h Document {
    harness.state().state().document.as_ref().unwrap()
}

pub fn is_dirty(harness: &Harness<'_, App>) -> bool {
    opened(harness).is_dirty()
}

/// The figures of the settled week that are shown.
pub fn figures<'h>(harness: &'h Harness<'_, App>) -> &'h Figures {
    harness.state().state().results.figures().unwrap()
}

/// Moves a lever to a value, and waits for what comes of it.
pub fn set_lever(harness: &mut Harness<'_, App>, path: &str, setting: Setting) {
    harness.state_mut().ask(Command::SetLever {
        path: path.to_owned(),
        setting,
    });
    wait(harness, |s| s.results.figures_are_current());
}

/// Does what a step of a lesson asks for.
pub fn take(harness: &mut Harness<'_, App>, step: &Step) {
    let document = opened(harness);
    let path = step.lever.path(document).unwrap();
    let si = step.goal.target(document.lever(&path).unwrap().si);
    set_lever(harness, &path, Setting::Si(si));
}

pub fn window_with(options: Options) -> Harness<'static, App> {
    Harness::builder()
        .with_size([1280.0, 720.0])
        .build_eframe(move |cc| App::new(&cc.egui_ctx, options))
}

pub fn window() -> Harness<'static, App> {
    let mut harness = window_with(options());
    // Figures and curves come from two threads, in either order.
    wait(&mut harness, |s| {
        s.results.figures_are_current() && s.results.curves().is_some()
    });
    harness
}

pub fn options() -> Options {
    Options {
        demo_text: DEMO,
        demo_name: "demo.ron",
        without_dialogs: true,
        ..Options::default()
    }
}

/// Steps the window until something holds.
pub fn wait(harness: &mut Harness<'_, App>, what: impl Fn(&State) -> bool) {
    let began = Instant::now();
    while !what(harness.state().state()) {
        assert!(
            began.elapsed() < Duration::from_secs(120),
            "it never happened"
        );
        harness.run_steps(1);
        std::thread::sleep(Duration::from_millis(5));
    }
    harness.run_steps(2);
}

pub fn shown_answer(harness: &Harness<'_, App>) -> LoopAnswer {
    figures(harness).line().unwrap().clone()
}

/// Every text in the window.
pub fn texts(harness: &Harness<'_, App>) -> Vec<String> {
    let all = harness.root().query_all_by(|_| true);
    let words = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        [n.label(), n.value()]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
    };
    all.flat_map(|n| words(&n.accesskit_node())).collect()
}

pub fn has_text(harness: &Harness<'_, App>, part: &str) -> bool {
    texts(harness).iter().any(|t| t.contains(part))
}

pub fn type_into(harness: &mut Harness<'_, App>, name: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, name).focus();
    harness.run_steps(2);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run_steps(1);
    harness
        .get_by_role_and_label(Role::TextInput, name)
        .type_text(text);
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(3);
}

/// A file of its own for one test, gone when the test is.
pub struct TempFile(pub PathBuf);

impl TempFile {
    pub fn new(name: &str, text: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("dragback-gui-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let path = folder.join(name);
        std::fs::write(&path, text).unwrap();
        Self(path)
    }
}

impl Drop for TempFile {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.0);
    }
}
