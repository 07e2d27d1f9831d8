//! Shortcuts.

use egui::{Key, KeyboardShortcut, Modifiers};

use crate::command::Command;
use crate::view_ctx::ViewCtx;

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
    if ctx.question.is_some() {
        return;
    }
    let is_writing = egui.text_edit_focused();
    for (keys, command) in &KEYS {
        let is_text = matches!(command, Command::Undo | Command::Redo);
        if !(is_text && is_writing) && egui.input_mut(|i| i.consume_shortcut(keys)) {
            ctx.ask(command.clone());
        }
    }
}
