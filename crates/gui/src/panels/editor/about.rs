//! What an input says besides its value: where it comes from, its range, its notes.

use dragback_scenario::{Edit, Kind, LeafPart, Part, Said};
use egui::{ComboBox, RichText, TextEdit, Ui, vec2};

use super::EditorPanel;
use super::leaf::{LABEL, STEP, completed};
use super::pen::Pen;
use crate::theme::{size, space};
use crate::widgets::quiet;

impl EditorPanel {
    /// Where a value comes from.
    pub(super) fn origin_ui(&self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, leaf: &LeafPart) {
        let now = leaf.origin.as_deref();
        let mut asked = None;
        let combo = ComboBox::from_id_salt(("origin", &part.spot))
            .width(84.0)
            .selected_text(RichText::new(now.unwrap_or("as given")).size(size::SMALL))
            .show_ui(ui, |ui| {
                for word in [None, Some("measured"), Some("assumed"), Some("typical")] {
                    let is_now = word == now;
                    if ui
                        .selectable_label(is_now, word.unwrap_or("as given"))
                        .clicked()
                        && !is_now
                    {
                        asked = Some(word);
                    }
                }
            });
        let name = format!("Origin: {}", pen.name(part));
        combo
            .response
            .accessible_name(&name)
            .on_hover_text("Where the value comes from.");
        if let Some(word) = asked {
            let edit = say(part, Said::Origin, word.map(str::to_owned));
            pen.ask(vec![edit], name);
        }
    }

    pub(super) fn more_button(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, leaf: &LeafPart) {
        let has_more = leaf.notes.is_some() || leaf.spread.iter().any(Option::is_some);
        let is_open = self.open.contains(&part.spot);
        let words = match (is_open, has_more) {
            (true, _) => "Less",
            (false, true) => "More ●",
            (false, false) => "More",
        };
        let button = ui.small_button(words);
        let button = button.accessible_name(format!("More: {}", pen.name(part)));
        let hint = "Its low, likely and high value, and notes.";
        if button.on_hover_text(hint).clicked() {
            if is_open {
                self.open.remove(&part.spot);
            } else {
                self.open.insert(part.spot.clone());
            }
        }
    }

    /// Range and notes of an input.
    pub(super) fn more_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, leaf: &LeafPart) {
        ui.horizontal(|ui| {
            ui.add_space(LABEL + space::NEAR - STEP);
            let [low, likely, high] = &leaf.spread;
            for (said, now, width) in [
                (Said::Low, low, 84.0),
                (Said::Likely, likely, 84.0),
                (Said::High, high, 84.0),
                (Said::Notes, &leaf.notes, 220.0),
            ] {
                quiet(ui, pen.ctx.palette, said.name());
                self.said_ui(pen, ui, part, (said, now.as_deref()), width);
            }
        });
    }

    fn said_ui(
        &mut self,
        pen: &Pen<'_>,
        ui: &mut Ui,
        part: &Part,
        (said, now): (Said, Option<&str>),
        width: f32,
    ) {
        let at = part.spot.child(said.name());
        let mut text = match &self.writing {
            Some((spot, text)) if *spot == at => text.clone(),
            _ => now.unwrap_or_default().to_owned(),
        };
        let field = TextEdit::singleline(&mut text)
            .id_salt(("said", &at))
            .hint_text("left out")
            .text_color(pen.ctx.palette.accent)
            .desired_width(width - 12.0)
            .margin(vec2(6.0, 2.0));
        let name = format!("{}, {}", pen.name(part), said.name());
        let response = ui.add(field).accessible_name(&name);
        if self.is_typed(ui, &at, &response, &text) && text.trim() != now.unwrap_or_default() {
            let text = match (said, part.leaf().map(|l| l.kind)) {
                (Said::Notes, _) => text,
                (_, Some(Kind::Quantity(dim))) => completed(pen, part, dim, &text),
                _ => text,
            };
            let text = Some(text).filter(|t| !t.trim().is_empty());
            pen.ask(vec![say(part, said, text)], name);
        }
    }
}

fn say(part: &Part, said: Said, text: Option<String>) -> Edit {
    Edit::Say {
        at: part.spot.clone(),
        said,
        text,
    }
}
