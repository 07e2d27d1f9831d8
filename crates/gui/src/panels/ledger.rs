//! The ledger: what came in, went out and is held of one quantity over a stretch of time, as bands and as a table.

mod drawing;
mod table;

use egui::{Align, ComboBox, Layout, Rect, RichText, Slider, Ui, UiBuilder, pos2, vec2};

use crate::command::Command;
use crate::export::Export;
use crate::ledger::{Back, Sheet, Told, quantity_name, told};
use crate::prefs::Shown;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::worker::SPAN_DAYS;

/// The panel; it keeps what is told.
pub struct LedgerPanel {
    key: String,
    back: Back,
}

impl Default for LedgerPanel {
    fn default() -> Self {
        Self {
            key: "water".to_owned(),
            back: Back::Settled,
        }
    }
}

/// Height of the line with the choices.
const HEAD: f32 = 32.0;
/// Width of the table.
const TABLE: f32 = 330.0;

impl LedgerPanel {
    /// Draws the ledger into what is left of the window.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let area = ui.available_rect_before_wrap();
        let head = Rect::from_min_size(area.min, vec2(area.width(), HEAD));
        let books = told(ctx.results, self.back, ctx.playhead.day);
        // Another scenario may not know the solute that was told.
        if books
            .as_ref()
            .is_some_and(|b| !b.entries.contains_key(&self.key))
        {
            "water".clone_into(&mut self.key);
        }
        let lead = ctx.results.figures().and_then(|f| f.line());
        let lead = lead.map_or("", |l| l.final_rinse.species.as_str());
        self.head_ui(ctx, ui, head, books.as_ref(), lead);
        let body = Rect::from_min_max(
            pos2(area.left() + space::WIDE, area.top() + HEAD + space::TIGHT),
            pos2(area.right() - space::WIDE, area.bottom() - space::NEAR),
        );
        let sheet = books
            .as_ref()
            .and_then(|b| Sheet::of(&b.entries, &self.key, lead));
        let (Some(sheet), Some(books)) = (sheet, books) else {
            empty_ui(ctx, ui, body, self.back);
            return;
        };
        let split = body.right() - TABLE;
        let left = Rect::from_min_max(body.min, pos2(split - space::WIDE, body.bottom()));
        let right = Rect::from_min_max(pos2(split, body.top()), body.max);
        drawing::drawing_ui(ctx, ui, left, &sheet, lead, &books.words);
        table::table_ui(ctx, ui, right, &sheet);
    }

    fn head_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        rect: Rect,
        books: Option<&Told>,
        lead: &str,
    ) {
        let layout = Layout::right_to_left(Align::Center);
        let mut child = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
        let ui = &mut child;
        ui.add_space(space::WIDE);
        let hint = "Show the drawing of the loop and the curves again (Ctrl+L).";
        if ui.button("Back to the loop").on_hover_text(hint).clicked() {
            ctx.ask(Command::Show(Shown::Loop));
        }
        let hint =
            "Write every line of water, energy and all solutes over this stretch to a CSV file.";
        let button = ui.add_enabled(!ctx.is_opening, egui::Button::new("Write to a file…"));
        if button.on_hover_text(hint).clicked() {
            ctx.ask(Command::Export(Export::Ledger(self.back)));
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            ui.add_space(space::WIDE);
            let name = RichText::new("Ledger").size(size::HEADING).strong();
            ui.label(name.color(ctx.palette.ink));
            ui.add_space(space::NEAR);
            self.quantity_ui(ui, books, lead);
            self.span_ui(ctx, ui);
            if let Some(books) = books.filter(|_| self.back != Back::Settled) {
                let words = RichText::new(&books.words).color(ctx.palette.quiet);
                ui.add(egui::Label::new(words).truncate())
                    .on_hover_text(&books.words);
            }
        });
    }

    fn quantity_ui(&mut self, ui: &mut Ui, books: Option<&Told>, lead: &str) {
        let combo = ComboBox::from_id_salt("quantity")
            .width(110.0)
            .selected_text(quantity_name(&self.key))
            .show_ui(ui, |ui| {
                // What the line is judged by comes first.
                let rank = |key: &str| {
                    let firsts = ["water", lead, "energy"];
                    firsts
                        .iter()
                        .position(|f| *f == key)
                        .unwrap_or(firsts.len())
                };
                let mut keys: Vec<&String> = books.iter().flat_map(|b| b.entries.keys()).collect();
                keys.sort_by_key(|key| rank(key));
                for key in keys {
                    let is_chosen = *key == self.key;
                    if ui.selectable_label(is_chosen, quantity_name(key)).clicked() {
                        self.key.clone_from(key);
                    }
                }
            });
        combo
            .response
            .accessible_name("Quantity of the ledger")
            .on_hover_text("What is counted: water, energy, or one of the solutes.");
    }

    fn span_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let cursor = ctx.playhead.day;
        let (has_cursor, end) = (cursor.is_some(), cursor.unwrap_or(SPAN_DAYS));
        let from = match self.back {
            Back::From(day) => day,
            _ => (end - 14.0).max(0.0),
        };
        let all = [
            Back::Settled,
            Back::Day,
            Back::Week,
            Back::Start,
            Back::From(from),
        ];
        let combo = ComboBox::from_id_salt("stretch")
            .width(170.0)
            .selected_text(self.back.name(has_cursor))
            .show_ui(ui, |ui| {
                for back in all {
                    let is_chosen = self.back == back;
                    if ui
                        .selectable_label(is_chosen, back.name(has_cursor))
                        .clicked()
                    {
                        self.back = back;
                    }
                }
            });
        combo
            .response
            .accessible_name("Stretch of the ledger")
            .on_hover_text(
                "Which time is counted. The cursor is moved on the strip of time below.",
            );
        if let Back::From(day) = &mut self.back {
            let slider = Slider::new(day, 0.0..=SPAN_DAYS)
                .step_by(0.25)
                .fixed_decimals(2)
                .suffix(" d");
            ui.add(slider)
                .accessible_name("Beginning of the stretch, days")
                .on_hover_text("Days from the start of the run at which counting begins.");
        }
    }
}

/// Says why there is nothing to see.
fn empty_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, back: Back) {
    let words = match back.days(ctx.playhead.day) {
        None => "Finding the settled week",
        Some((from, to)) if to - from < 0.05 => {
            "The stretch is empty: put its beginning before its end."
        }
        Some(_) if ctx.results.curves().is_none() => "Running the plant",
        Some(_) => "Nothing was recorded in this stretch. Choose a longer one.",
    };
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("no ledger"));
    child.centered_and_justified(|ui| {
        ui.label(RichText::new(words).color(ctx.palette.quiet));
    });
}
