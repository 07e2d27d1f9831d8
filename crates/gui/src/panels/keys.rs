//! Shortcuts.

use egui::{Id, Key, KeyboardShortcut, Modifiers, Popup};

use super::Help;
use crate::command::Command;
use crate::loop_view::Selection;
use crate::page::Page;
use crate::plots::View;
use crate::prefs::Shown;
use crate::view_ctx::ViewCtx;
use crate::worker::SPAN_DAYS;

/// Every shortcut, as people write it, with what it does. ⌘ stands for Ctrl on a Mac.
pub const SHORTCUTS: [(&str, &str); 29] = [
    ("Ctrl+O", "Open a scenario"),
    ("Ctrl+S", "Save"),
    ("Ctrl+Shift+S", "Save under another name"),
    ("Ctrl+Z", "Undo"),
    ("Ctrl+Shift+Z or Ctrl+Y", "Redo"),
    ("Ctrl+L", "Ledger, or back to the loop"),
    ("Ctrl+M", "Money, or back to the loop"),
    ("Ctrl+K", "Variants side by side, or back to the loop"),
    ("Ctrl+I", "Sizing: what to install, or back to the loop"),
    ("Ctrl+E", "Edit the line, or back to it"),
    ("Ctrl+R", "Report to hand over, or back to the line"),
    (
        "Ctrl+Plus, Ctrl+Minus, Ctrl+0",
        "Larger text, smaller text, text as at first",
    ),
    ("F1", "This list"),
    ("Tab, Shift+Tab", "Next control, the one before"),
    ("Arrow keys on a lever", "Move it"),
    (
        "Enter in a field",
        "Take the value that was typed, with any unit",
    ),
    (
        "Double click on a lever",
        "Put it back to what the file says",
    ),
    ("← →", "Cursor by an hour"),
    ("Shift+← →", "Cursor by a day"),
    ("Home, End", "Cursor to the start, to the end of the run"),
    ("Space", "Play time, or stop it"),
    ("Wheel over a plot", "Look closer, or from further away"),
    ("Ctrl+↑ ↓", "The same, about the cursor or the middle"),
    (
        "Wheel, Shift+wheel",
        "Move what large text leaves no room for",
    ),
    ("Drag with Shift or the right button", "Move along in time"),
    ("Ctrl+← →", "The same"),
    (
        "↑ ↓ on the line under the drawing",
        "More room for the plots, for the drawing",
    ),
    (
        "Double click on a plot",
        "Give it the whole sheet, or show all again",
    ),
    (
        "Escape",
        "Close what is open; back to the settled week; let go of a tank or stream",
    ),
];

const SHIFTED: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

/// Shortcuts with what they ask for; those with more modifiers stand first.
const KEYS: [(KeyboardShortcut, Command); 6] = [
    (KeyboardShortcut::new(SHIFTED, Key::Z), Command::Redo),
    (KeyboardShortcut::new(SHIFTED, Key::S), Command::SaveAs),
    (
        KeyboardShortcut::new(Modifiers::COMMAND, Key::Z),
        Command::Undo,
    ),
    (
        KeyboardShortcut::new(Modifiers::COMMAND, Key::Y),
        Command::Redo,
    ),
    (
        KeyboardShortcut::new(Modifiers::COMMAND, Key::S),
        Command::Save,
    ),
    (
        KeyboardShortcut::new(Modifiers::COMMAND, Key::O),
        Command::OpenDialog,
    ),
];

/// Asks for what the keys pressed in this frame mean. A field that is being written in keeps undo and redo for itself.
pub fn keys(ctx: &ViewCtx<'_>, egui: &egui::Context) {
    if ctx.question.is_some() || ctx.typing.is_some() || ctx.naming.is_some() {
        return;
    }
    if egui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::F1)) {
        let is_open = ctx.help == Some(Help::Shortcuts);
        ctx.ask(Command::ShowHelp((!is_open).then_some(Help::Shortcuts)));
    }
    text_size(ctx, egui);
    if ctx.help.is_some() {
        return;
    }
    let is_writing = egui.text_edit_focused();
    let is_editor = ctx.page == Some(Page::Editor);
    // A list that is open closes first; it is gone by now if this frame's Escape was for it.
    let id = Id::unique("a list was open");
    let has_popup = Popup::is_any_open(egui);
    let had_popup = egui.data(|d| d.get_temp(id)).unwrap_or(false);
    egui.data_mut(|d| d.insert_temp(id, has_popup));
    let is_report = ctx.page == Some(Page::Report);
    let report = KeyboardShortcut::new(Modifiers::COMMAND, Key::R);
    if (ctx.page.is_none() || is_report) && egui.input_mut(|i| i.consume_shortcut(&report)) {
        ctx.ask(Command::ShowPage((!is_report).then_some(Page::Report)));
    }
    let edit = KeyboardShortcut::new(Modifiers::COMMAND, Key::E);
    if (ctx.page.is_none() || is_editor) && egui.input_mut(|i| i.consume_shortcut(&edit)) {
        ctx.ask(Command::ShowPage((!is_editor).then_some(Page::Editor)));
    }
    if ctx.page.is_some() {
        // In a field of the editor, Escape drops what is typed; the next one leaves.
        let is_left =
            !(is_editor && (is_writing || had_popup)) && egui.input(|i| i.key_pressed(Key::Escape));
        if is_left {
            ctx.ask(Command::ShowPage(None));
        }
        if is_editor {
            document_keys(ctx, egui, is_writing);
        }
        return;
    }
    // The list that stands in front of everything, then the lesson beside it.
    if !(is_writing || had_popup) && (ctx.problems.is_some() || ctx.lesson.is_some()) {
        let close = if ctx.problems.is_some() {
            Command::CloseProblems
        } else {
            Command::BeginLesson(None)
        };
        // A moment of the run, or a plot that has the sheet to itself, goes before a lesson.
        let is_before = ctx.playhead.day.is_some() || ctx.prefs.large.is_some();
        let is_next = ctx.problems.is_some() || !is_before;
        if is_next && egui.input(|i| i.key_pressed(Key::Escape)) {
            ctx.ask(close);
        }
    }
    for (key, shown) in [
        (Key::L, Shown::Ledger),
        (Key::M, Shown::Money),
        (Key::K, Shown::Compare),
        (Key::I, Shown::Sizing),
    ] {
        let shortcut = KeyboardShortcut::new(Modifiers::COMMAND, key);
        if egui.input_mut(|i| i.consume_shortcut(&shortcut)) {
            ctx.ask(Command::Show(shown.toggled(ctx.prefs.shown)));
        }
    }
    document_keys(ctx, egui, is_writing);
}

/// Keys of the document: undo, redo, save, open.
fn document_keys(ctx: &ViewCtx<'_>, egui: &egui::Context, is_writing: bool) {
    for (keys, command) in &KEYS {
        let is_text = matches!(command, Command::Undo | Command::Redo);
        if !(is_text && is_writing) && egui.input_mut(|i| i.consume_shortcut(keys)) {
            ctx.ask(command.clone());
        }
    }
}

/// Size of text: the next one that the menu offers, so that the menu always tells what is in force.
fn text_size(ctx: &ViewCtx<'_>, egui: &egui::Context) {
    let pressed = |key| egui.input_mut(|i| i.consume_key(Modifiers::COMMAND, key));
    let scale = if pressed(Key::Plus) || pressed(Key::Equals) {
        ctx.prefs.next_scale(true)
    } else if pressed(Key::Minus) {
        ctx.prefs.next_scale(false)
    } else if pressed(Key::Num0) {
        1.0
    } else {
        return;
    };
    ctx.ask(Command::SetScale(scale));
}

/// Days that the arrow keys step, without and with Shift.
const STEP_DAYS: f64 = 1.0 / 24.0;
const LONG_STEP_DAYS: f64 = 1.0;

/// Keys of time: they are free while nothing else has the keyboard, or the strip of time has it. Taken before the panels are laid out: a text that
/// is selected would else follow the same arrows.
pub fn time_keys(ctx: &ViewCtx<'_>, egui: &egui::Context, view: &mut View) {
    let is_covered = ctx.question.is_some()
        || ctx.typing.is_some()
        || ctx.naming.is_some()
        || ctx.help.is_some()
        || ctx.page.is_some()
        || ctx.problems.is_some()
        || Popup::is_any_open(egui);
    let focused = egui.memory(egui::Memory::focused);
    let is_free = focused.is_none() || focused == egui.data(|d| d.get_temp(strip_id()));
    if is_covered || !is_free || ctx.results.curves().is_none() {
        return;
    }
    if let Some(seen) = view_keys(egui, *view, ctx.playhead.day) {
        *view = seen;
        return;
    }
    let pressed = |modifiers, key| egui.input_mut(|i| i.consume_key(modifiers, key));
    let none = Modifiers::NONE;
    for (modifiers, key, command) in [
        (
            Modifiers::SHIFT,
            Key::ArrowLeft,
            Command::StepCursor(-LONG_STEP_DAYS),
        ),
        (
            Modifiers::SHIFT,
            Key::ArrowRight,
            Command::StepCursor(LONG_STEP_DAYS),
        ),
        (none, Key::ArrowLeft, Command::StepCursor(-STEP_DAYS)),
        (none, Key::ArrowRight, Command::StepCursor(STEP_DAYS)),
        (none, Key::Home, Command::MoveCursor(Some(0.0))),
        (none, Key::End, Command::MoveCursor(Some(SPAN_DAYS))),
        (none, Key::Space, Command::TogglePlay),
    ] {
        if pressed(modifiers, key) {
            ctx.ask(command);
            return;
        }
    }
    let back = if ctx.playhead.day.is_some() {
        Command::MoveCursor(None)
    } else if ctx.selection != Selection::None && ctx.lesson.is_none() && ctx.prefs.large.is_none()
    {
        Command::Select(Selection::None)
    } else {
        return;
    };
    if egui.input(|i| i.key_pressed(Key::Escape)) {
        ctx.ask(back);
    }
}

/// Part of what is seen that a key moves the plots along, and how much closer a key looks.
const PAN: f64 = 0.25;
const ZOOM: f64 = 1.5;

/// What is seen of the run after the keys of this frame; `None` where none of them was pressed.
fn view_keys(egui: &egui::Context, mut view: View, cursor: Option<f64>) -> Option<View> {
    let pressed = |key| egui.input_mut(|i| i.consume_key(Modifiers::COMMAND, key));
    let span = view.to - view.from;
    let seen = cursor.filter(|day| (view.from..=view.to).contains(day));
    let about = seen.unwrap_or(view.from + 0.5 * span);
    if pressed(Key::ArrowLeft) {
        view.shift(-PAN * span);
    } else if pressed(Key::ArrowRight) {
        view.shift(PAN * span);
    } else if pressed(Key::ArrowUp) {
        view.zoom(ZOOM, about);
    } else if pressed(Key::ArrowDown) {
        view.zoom(1.0 / ZOOM, about);
    } else {
        return None;
    }
    Some(view)
}

/// Where the strip of time leaves its id, so that its keys are known.
pub(super) fn strip_id() -> egui::Id {
    egui::Id::unique("strip of time")
}
