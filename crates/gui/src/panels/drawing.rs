//! The loop drawn: the heart of the sheet. What is clicked in it stands beside it in numbers.

use egui::{Button, Label, Rect, RichText, ScrollArea, Ui, UiBuilder, pos2};

use crate::command::Command;
use crate::loop_view::{self, Scene, Selection};
use crate::selected::Selected;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use dragback_study::verdict::capitalised;

/// Width of the numbers of what is selected.
const NUMBERS: f32 = 220.0;

/// Draws the loop into a rectangle.
pub fn drawing_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect) {
    let Some(scene) = ctx.scene else {
        let words = match ctx.results.failure() {
            Some(_) => "No run to draw: the levers as they stand give none.",
            None => "The first run is under way.",
        };
        ui.painter().text(
            rect.center(),
            egui::Align2::CENTER_CENTER,
            words,
            crate::theme::font(size::BODY),
            ctx.palette.quiet,
        );
        return;
    };
    let split = match ctx.selected {
        Some(_) => rect.right() - NUMBERS,
        None => rect.right(),
    };
    let left = Rect::from_min_max(rect.min, pos2(split, rect.bottom()));
    loop_ui(ctx, ui, scene, left);
    if let Some(selected) = ctx.selected {
        let right = Rect::from_min_max(pos2(split, rect.top()), rect.max);
        let right = right.shrink2(egui::vec2(space::NEAR, space::TIGHT));
        let mut child = ui.new_child(UiBuilder::new().max_rect(right).id_salt("numbers"));
        numbers_ui(ctx, &mut child, selected);
    }
}

fn loop_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, scene: &Scene, rect: Rect) {
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("loop"));
    let mut selection = ctx.selection;
    let view = loop_view::View {
        system: ctx.prefs.system,
        is_playing: ctx.playhead.is_playing,
        phase: ctx.playhead.played_s,
    };
    let response = loop_view::show(&mut child, scene, &mut selection, view);
    if response.changed() || selection != ctx.selection {
        ctx.ask(Command::Select(selection));
    }
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::Canvas, true, "The loop, drawn")
    });
}

fn numbers_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, selected: &Selected) {
    ui.horizontal(|ui| {
        let name = capitalised(&selected.name);
        let text = RichText::new(name).size(size::HEADING).strong();
        ui.add(Label::new(text.color(ctx.palette.ink)).wrap());
    });
    ui.horizontal(|ui| {
        let back = RichText::new("Let go").size(size::SMALL);
        let button = ui.add(Button::new(back).small());
        let hint = "Show everything alike again. A click beside the tanks does the same.";
        if button.on_hover_text(hint).clicked() {
            ctx.ask(Command::Select(Selection::None));
        }
        if let Some(path) = selected.paths.first() {
            let edit = RichText::new("Edit…").size(size::SMALL);
            let button = ui.add(Button::new(edit).small());
            let button = button.accessible_name(format!("Edit {}", selected.name));
            let hint = "Open the editor at its chapter: everything that the line says of it.";
            if button.on_hover_text(hint).clicked() {
                ctx.ask(Command::EditPart(path.clone()));
            }
        }
    });
    ui.add_space(space::TIGHT);
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            for number in &selected.numbers {
                let text = RichText::new(capitalised(number)).color(ctx.palette.ink);
                ui.add(Label::new(text).wrap());
            }
        });
}
