//! A field that is answered with a quantity, or left open.

use dragback_units::Unit;
use egui::{Response, TextEdit, Ui, vec2};

use super::field::with_unit;
use crate::theme::Palette;

/// What stands in the field.
#[derive(Clone, Debug, Default)]
pub struct AnswerEdit {
    text: String,
    answer: String,
}

impl AnswerEdit {
    /// A field that is answered already.
    #[must_use]
    pub fn of(answer: &str) -> Self {
        Self {
            text: answer.to_owned(),
            answer: answer.to_owned(),
        }
    }

    /// The answer as written; empty while it is open. A number alone has the unit that was shown when it was typed, whatever is shown later.
    #[must_use]
    pub fn answer(&self) -> &str {
        &self.answer
    }

    /// Draws the field. Its name is that of the question; `open` stands in it while it is empty.
    pub fn ui(
        &mut self,
        ui: &mut Ui,
        palette: &Palette,
        name: &str,
        open: &str,
        unit: &Unit,
    ) -> Response {
        let field = TextEdit::singleline(&mut self.text)
            .hint_text(open)
            .text_color(palette.accent)
            .desired_width(ui.available_width() - 12.0)
            .margin(vec2(6.0, 3.0));
        let response = ui.add(field).accessible_name(name);
        if response.changed() {
            self.answer = if self.text.trim().is_empty() {
                String::new()
            } else {
                with_unit(&self.text, unit)
            };
        }
        if response.lost_focus() {
            self.text.clone_from(&self.answer);
        }
        response
    }
}
