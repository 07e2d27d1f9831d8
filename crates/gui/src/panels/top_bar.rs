//! Title, files, units, theme.

use std::path::PathBuf;

use dragback_units::System;
use egui::{Align, Button, ComboBox, Key, Label, Layout, RichText, TextEdit, Ui};

use crate::command::Command;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// The bar; it keeps the path that is being typed.
#[derive(Default)]
pub struct TopBarPanel {
    path: String,
}

impl TopBarPanel {
    /// Draws the bar.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(space::WIDE);
            theme_ui(ctx, ui);
            ui.add_space(space::NEAR);
            units_ui(ctx, ui);
            ui.add_space(space::NEAR);
            self.files_ui(ctx, ui);
            ui.add_space(space::NEAR);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add_space(space::WIDE);
                ui.label(
                    RichText::new("Dragback")
                        .size(size::HEADING)
                        .color(ctx.palette.accent)
                        .strong(),
                );
                title_ui(ctx, ui);
            });
        });
    }

    fn files_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let is_free = !ctx.is_opening;
        let demo = ui.add_enabled(is_free, Button::new("Demo"));
        if demo
            .on_hover_text("Go back to the built-in demo line.")
            .clicked()
        {
            ctx.ask(Command::OpenDemo);
        }
        let text = if is_free { "Open…" } else { "Opening" };
        let open = ui.add_enabled(is_free, Button::new(text).min_size(egui::vec2(66.0, 0.0)));
        let hint = "Choose a scenario file. If no dialog appears, type its path in the field and press Enter.";
        if open.on_hover_text(hint).clicked() {
            ctx.ask(Command::OpenDialog);
        }
        let field = TextEdit::singleline(&mut self.path)
            .hint_text("path of a scenario file")
            .desired_width(190.0);
        let field = ui
            .add_enabled(is_free, field)
            .accessible_name("Path of a scenario file");
        let is_entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        field.on_hover_text("Type or paste the path of a scenario file and press Enter.");
        let path = self.path.trim().trim_matches('"');
        if is_entered && !path.is_empty() {
            ctx.ask(Command::OpenPath(PathBuf::from(path)));
        }
    }
}

fn title_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let Some(document) = ctx.document else {
        ui.label(RichText::new("no scenario").color(ctx.palette.quiet));
        return;
    };
    let loops = document.loops();
    if loops.len() > 1 {
        let chosen = loops.iter().find(|(key, _)| *key == document.loop_key);
        let title = chosen.map_or(document.loop_key.as_str(), |(_, title)| title.as_str());
        let combo = ComboBox::from_id_salt("loop")
            .selected_text(title)
            .show_ui(ui, |ui| {
                for (key, title) in &loops {
                    if ui
                        .selectable_label(*key == document.loop_key, title)
                        .clicked()
                    {
                        ctx.ask(Command::ChooseLoop(key.clone()));
                    }
                }
            });
        combo
            .response
            .accessible_name("Loop")
            .on_hover_text("The bath and its loop that is shown.");
    }
    let title = RichText::new(document.title()).color(ctx.palette.ink);
    let about = document
        .scenario
        .description
        .as_deref()
        .unwrap_or("This scenario has no description.");
    ui.add(Label::new(title).truncate())
        .on_hover_text(format!("{}\n\n{about}", document.origin.name));
}

fn units_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    for (system, name, hint) in [
        (
            System::Us,
            "US",
            "Show gallons, °F and ounces per gallon. Rinses stay in mg/L.",
        ),
        (
            System::Metric,
            "Metric",
            "Show litres, °C and grams per litre.",
        ),
    ] {
        let is_chosen = ctx.prefs.system == system;
        let button = ui.add(Button::selectable(is_chosen, name));
        if button.on_hover_text(hint).clicked() {
            ctx.ask(Command::SetSystem(system));
        }
    }
}

fn theme_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    for (is_dark, name, hint) in [
        (true, "Dark", "Light curves on a dark sheet."),
        (false, "Light", "Dark curves on a white sheet."),
    ] {
        let button = ui.add(Button::selectable(ctx.prefs.is_dark == is_dark, name));
        if button.on_hover_text(hint).clicked() {
            ctx.ask(Command::SetDark(is_dark));
        }
    }
}
