//! The line above the table: the wanted final rinse, the button that begins, how far it is.

use dragback_units::{Dim, Style};
use egui::{Align, Button, Key, Layout, ProgressBar, Rect, RichText, Ui, UiBuilder};

use super::SizingPanel;
use crate::command::Command;
use crate::export::Export;
use crate::prefs::Shown;
use crate::sizing::Progress;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::AnswerEdit;

/// Width of the field.
const FIELD: f32 = 96.0;
/// Width of the bar.
const BAR: f32 = 140.0;

impl SizingPanel {
    /// Whether a table can be asked for: a line runs that is not under repair, and there are threads.
    pub(super) fn can_size(&self, ctx: &ViewCtx<'_>) -> bool {
        let is_sound = ctx.document.is_some_and(|d| d.faulty().is_none());
        is_sound && ctx.has_workers && !self.limit.answer().is_empty()
    }

    pub(super) fn head_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect) {
        self.follow_limit(ctx);
        let layout = Layout::right_to_left(Align::Center);
        let mut child = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
        let ui = &mut child;
        ui.add_space(space::WIDE);
        let hint = "Show the drawing of the loop and the curves again (Ctrl+I).";
        if ui.button("Back to the loop").on_hover_text(hint).clicked() {
            ctx.ask(Command::Show(Shown::Loop));
        }
        let has_rows = ctx.results.sizing().is_some_and(|t| !t.rows.is_empty());
        let can_write = !ctx.is_opening && has_rows;
        let hint = "Write every layout, with its figures or with what stops it, to a CSV file.";
        let button = ui.add_enabled(can_write, Button::new("Write to a file…"));
        if button.on_hover_text(hint).clicked() {
            ctx.ask(Command::Export(Export::Sizing));
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            ui.add_space(space::WIDE);
            let name = RichText::new("Sizing").size(size::HEADING).strong();
            ui.label(name.color(ctx.palette.ink));
            ui.add_space(space::NEAR);
            self.limit_ui(ctx, ui);
            self.begin_ui(ctx, ui);
        });
    }

    /// Puts the limit of the loop into the field where another line has come.
    fn follow_limit(&mut self, ctx: &ViewCtx<'_>) {
        let Some(document) = ctx.document else { return };
        let is_of = |known: &(u64, String)| known.0 == document.id && known.1 == document.loop_key;
        if self.limit_of.as_ref().is_some_and(is_of) {
            return;
        }
        self.limit_of = Some((document.id, document.loop_key.clone()));
        let line = document.scenario.loops.get(&document.loop_key);
        let limit = line.and_then(|l| l.final_limit.as_ref());
        let text = limit.map_or_else(String::new, |l| l.quantity().to_string());
        self.limit = AnswerEdit::of(&text);
        self.fault = None;
        self.chosen = None;
    }

    fn limit_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        ui.label(RichText::new("Final rinse below").color(ctx.palette.quiet));
        let unit = Dim::Concentration.display_unit(ctx.prefs.system, Style::Rinse);
        let mut is_entered = false;
        ui.scope(|ui| {
            ui.set_max_width(FIELD);
            let name = "Final rinse below";
            let field = self.limit.ui(ui, ctx.palette, name, "such as 20 mg/L", unit);
            is_entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            field.on_hover_text(
                "Strength below which the film on the work stays in the worst hour of the settled week, with its unit.",
            );
        });
        let line = ctx.document.and_then(|d| d.scenario.loops.get(&d.loop_key));
        if let Some(line) = line {
            ui.label(RichText::new(format!("of {}", line.lead)).color(ctx.palette.quiet));
        }
        if is_entered && self.can_size(ctx) {
            self.size(ctx);
        }
    }

    fn begin_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let table = ctx.results.sizing();
        if let Some(table) = table.filter(|t| t.progress == Progress::Underway) {
            #[expect(clippy::cast_possible_truncation, reason = "a share")]
            let share = table.share() as f32;
            let words = format!("{} of {} layouts", table.rows.len(), 3 * (table.wanted - 1));
            let words = if table.wanted > 1 {
                words
            } else {
                String::new()
            };
            let bar = ProgressBar::new(share).desired_width(BAR);
            ui.add(bar)
                .accessible_name("Share of the layouts that are sized");
            if ui.button("Give up").clicked() {
                ctx.ask(Command::GiveUpSizing);
            }
            ui.label(RichText::new(words).color(ctx.palette.quiet));
            return;
        }
        // While there is nothing to see, the button stands where the table is going to be.
        if table.is_none_or(|t| t.rows.is_empty()) {
            return;
        }
        self.begin_button(ctx, ui, "Size anew");
    }

    /// The button that asks for a table, or says why it cannot.
    pub(super) fn begin_button(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, words: &str) {
        let button = ui.add_enabled(self.can_size(ctx), Button::new(words));
        let hint = "Go through the layouts for this final rinse, from the line as it stands now.";
        let why = if self.limit.answer().is_empty() {
            "Say first how strong the film may be."
        } else {
            "There is no line that runs: put right what the editor shows first."
        };
        if button
            .on_hover_text(hint)
            .on_disabled_hover_text(why)
            .clicked()
        {
            self.size(ctx);
        }
    }
}
