//! An input without a slider: a list of words, a yes or no, or a text.

use dragback_scenario::Kind;
use egui::{ComboBox, TextEdit, Ui};

use super::field::typed;
use super::lever::{LeverEdit, LeverPen, fault_ui, name_and_field};
use crate::document::{Entry, Setting};
use crate::theme::space;

/// Draws the input; returns what it is to be.
pub fn entry_ui(
    ui: &mut Ui,
    pen: &LeverPen<'_>,
    entry: &Entry,
    name: &str,
    edit: &mut LeverEdit,
) -> Option<Setting> {
    let mut asked = None;
    let words: &[&str] = match entry.kind {
        Kind::Choice(words) => words,
        Kind::Flag => &["true", "false"],
        Kind::Quantity(_) | Kind::Text => &[],
    };
    name_and_field(ui, pen.palette, name, entry.hint, |ui| {
        asked = if words.is_empty() {
            text_ui(ui, pen, entry, edit)
        } else {
            choice_ui(ui, entry, words)
        };
    });
    if let Some(problem) = pen.fault {
        fault_ui(ui, pen.palette, problem);
    }
    ui.add_space(space::TIGHT);
    asked.map(Setting::Text)
}

fn choice_ui(ui: &mut Ui, entry: &Entry, words: &[&str]) -> Option<String> {
    let mut asked = None;
    let now = entry.text.as_deref().unwrap_or("not set");
    let combo = ComboBox::from_id_salt(&entry.path)
        .width(ui.available_width() - 4.0)
        .selected_text(said(now))
        .show_ui(ui, |ui| {
            for word in words {
                if ui.selectable_label(*word == now, said(word)).clicked() {
                    asked = Some((*word).to_owned());
                }
            }
        });
    combo
        .response
        .accessible_name(&entry.name)
        .on_hover_text(entry.hint);
    asked.filter(|word| word != now)
}

/// A word of the file as it is said.
fn said(word: &str) -> String {
    match word {
        "true" => "yes".to_owned(),
        "false" => "no".to_owned(),
        other => other.replace('_', " "),
    }
}

fn text_ui(ui: &mut Ui, pen: &LeverPen<'_>, entry: &Entry, edit: &mut LeverEdit) -> Option<String> {
    let now = entry.text.clone().unwrap_or_default();
    if !edit.is_writing {
        edit.text.clone_from(&now);
    }
    let field = TextEdit::singleline(&mut edit.text)
        .hint_text("not set")
        .text_color(pen.palette.accent)
        .desired_width(ui.available_width() - 12.0)
        .margin(egui::vec2(6.0, 2.0));
    let response = ui.add(field).accessible_name(&entry.name);
    let typed = typed(ui, &response, edit, &now);
    let more = if matches!(entry.kind, Kind::Quantity(_)) {
        " Type a value with its unit and press Enter."
    } else {
        ""
    };
    let hint = format!("{}{more}", entry.hint);
    response.on_hover_text(hint);
    // An emptied field takes an optional input away.
    typed.map(|text| {
        if text.is_empty() {
            "none".to_owned()
        } else {
            text
        }
    })
}
