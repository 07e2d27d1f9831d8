//! The line above: what is compared with what, and the ways to more variants.

use dragback_scenario::MAX_VARIANTS;
use egui::{Align, Button, ComboBox, Layout, Rect, RichText, Ui, UiBuilder};

use super::Line;
use crate::command::{Command, NameFor, VariantCommand};
use crate::export::Export;
use crate::prefs::Shown;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// Draws it; differences are told from the line of the number `from`.
pub(super) fn head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, lines: &[Line<'_>], from: usize) {
    let layout = Layout::right_to_left(Align::Center);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    let ui = &mut child;
    ui.add_space(space::WIDE);
    let hint = "Show the drawing of the loop and the curves again (Ctrl+K).";
    if ui.button("Back to the loop").on_hover_text(hint).clicked() {
        ctx.ask(Command::Show(Shown::Loop));
    }
    let has_variants = lines.len() > 1;
    if has_variants {
        buttons_ui(ctx, ui, lines.len() - 1);
    }
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        ui.add_space(space::WIDE);
        let name = RichText::new("Compare").size(size::HEADING).strong();
        ui.label(name.color(ctx.palette.ink));
        if has_variants {
            ui.add_space(space::NEAR);
            reference_ui(ctx, ui, lines, from);
        }
    });
}

fn buttons_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, variants: usize) {
    let can_write = !ctx.is_opening && ctx.results.figures().is_some();
    let button = ui.add_enabled(can_write, Button::new("Write to a file…"));
    let hint = "Write the figures of all lines and the inputs that differ to a CSV file.";
    if button.on_hover_text(hint).clicked() {
        ctx.ask(Command::Export(Export::Comparison));
    }
    let has_room = variants < MAX_VARIANTS;
    let full = format!("There are {MAX_VARIANTS} variants; delete one first.");
    let button = ui.add_enabled(!ctx.is_opening && has_room, Button::new("Add from a file…"));
    let hint = "Take the line of another scenario file as a variant.";
    let button = button.on_hover_text(hint).on_disabled_hover_text(&full);
    if button.clicked() {
        ctx.ask(Command::Variant(VariantCommand::FileDialog));
    }
    let button = ui.add_enabled(has_room, Button::new("Keep as a variant…"));
    let hint = "Keep the line as it stands now under a name.";
    let button = button.on_hover_text(hint).on_disabled_hover_text(&full);
    if button.clicked() {
        ctx.ask(Command::Variant(VariantCommand::AskName(NameFor::Keep)));
    }
}

fn reference_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, lines: &[Line<'_>], from: usize) {
    ui.label(RichText::new("with").color(ctx.palette.quiet));
    let chosen = lines.get(from).map_or("", |l| l.name);
    let combo = ComboBox::from_id_salt("reference")
        .selected_text(chosen)
        .width(150.0)
        .truncate()
        .height(420.0)
        .show_ui(ui, |ui| {
            for line in lines {
                if ui
                    .selectable_label(line.number == from, line.name)
                    .clicked()
                {
                    let name = (line.number > 0).then(|| line.name.to_owned());
                    ctx.ask(Command::Variant(VariantCommand::Against(name)));
                }
            }
        });
    combo
        .response
        .accessible_name("Line that all are compared with")
        .on_hover_text("Differences and payback are told from this line.");
}
