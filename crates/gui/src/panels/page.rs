//! Pages over the bench: what they share, and the ways to begin.

use egui::{Align, Button, CentralPanel, Frame, Layout, RichText, ScrollArea, Ui, UiBuilder, vec2};

use super::Panels;
use crate::command::Command;
use crate::lessons::LESSONS;
use crate::page::Page;
use crate::templates::TEMPLATES;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// Greatest width of a page, points: longer rows are hard to follow.
const MOST_WIDTH: f32 = 1080.0;

/// Draws a page in the place of the bench.
pub fn page_ui(panels: &mut Panels, page: Page, ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let sheet = Frame::NONE.fill(ctx.palette.sheet);
    CentralPanel::default().frame(sheet).show(ui, |ui| {
        ScrollArea::vertical()
            .auto_shrink([false, false])
            .show(ui, |ui| {
                let room = ui.available_rect_before_wrap();
                let width = (room.width() - 2.0 * space::WIDE).min(MOST_WIDTH);
                let x = room.center().x;
                let rect = egui::Rect::from_x_y_ranges(
                    (x - width / 2.0)..=(x + width / 2.0),
                    (room.top() + 12.0)..=room.bottom(),
                );
                ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
                    ui.set_width(width);
                    match page {
                        Page::Start => start_ui(ctx, ui),
                        Page::Line => panels.line.ui(ctx, ui),
                        Page::DragOut => panels.drag_out.ui(ctx, ui),
                        Page::Report => panels.handover.ui(ctx, ui),
                        // It has the figures above it and stands in a layout of its own.
                        Page::Editor => {}
                    }
                    ui.add_space(space::WIDE);
                });
            });
    });
}

/// The head of a page with a button that puts it away.
pub(super) fn head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, head: &str, about: &str) {
    ui.horizontal(|ui| {
        let words = RichText::new(head).size(size::FIGURE).strong();
        ui.label(words.color(ctx.palette.ink));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let back = ui.button("Back to the line");
            if back.on_hover_text("Nothing is changed (Esc).").clicked() {
                ctx.ask(Command::ShowPage(None));
            }
        });
    });
    ui.label(RichText::new(about).color(ctx.palette.quiet));
    ui.add_space(space::NEAR);
}

/// A column of a row.
pub(super) fn cell<R>(ui: &mut Ui, width: f32, add: impl FnOnce(&mut Ui) -> R) -> R {
    let down = Layout::top_down(Align::Min);
    let cell = ui.allocate_ui_with_layout(vec2(width, 0.0), down, |ui| {
        ui.set_width(width);
        add(ui)
    });
    cell.inner
}

/// The ways to begin.
fn start_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let shown = ctx.document.map_or("nothing", |d| d.title());
    let about = format!("The window shows “{shown}” until you choose something else.");
    head_ui(ctx, ui, "Where to begin?", &about);
    let ways = [
        (
            "My line in ten answers",
            "What you know of your own line, in about a minute; what you do not know stays open. It runs at once.",
            Command::ShowPage(Some(Page::Line)),
        ),
        (
            "The demo line",
            "A bright nickel line with three rinses and an evaporator, to try things on.",
            Command::OpenDemo,
        ),
        (
            "Open a file…",
            "A scenario that was saved before. It may also be dropped onto the window.",
            Command::OpenDialog,
        ),
        (
            "Edit the line…",
            "The line that is open, part by part: route, stations, recipe, calendars, air, events.",
            Command::ShowPage(Some(Page::Editor)),
        ),
    ];
    lessons_ui(ctx, ui);
    for (words, about, command) in ways {
        ui.add_space(space::NEAR);
        ui.horizontal_top(|ui| {
            let words = RichText::new(words).size(size::HEADING);
            let button = ui.add_enabled_ui(!ctx.is_opening, |ui| {
                ui.add_sized(vec2(240.0, 40.0), Button::new(words))
            });
            if button.inner.clicked() {
                ctx.ask(command);
            }
            ui.add_space(space::NEAR);
            cell(ui, 480.0, |ui| {
                ui.add_space(space::NEAR);
                ui.label(RichText::new(about).color(ctx.palette.quiet));
            });
        });
    }
    templates_ui(ctx, ui);
}

/// The lessons, first of all: whoever is new here begins with them.
fn lessons_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let words = "New here? Short lessons on the line that is open: predict, drag, see.";
    ui.label(RichText::new(words).color(ctx.palette.ink));
    ui.add_space(space::TIGHT);
    ui.horizontal_wrapped(|ui| {
        for (n, lesson) in LESSONS.iter().enumerate() {
            let button = ui.add(Button::new(lesson.name));
            if button.on_hover_text(lesson.about).clicked() {
                ctx.ask(Command::BeginLesson(Some(n)));
            }
        }
    });
    ui.add_space(space::NEAR);
}

/// Lines to begin with and change.
pub(super) fn templates_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.add_space(space::WIDE);
    let words = "A line of your own that begins as one of these, in no file yet:";
    ui.label(RichText::new(words).color(ctx.palette.ink));
    ui.add_space(space::NEAR);
    ui.horizontal_wrapped(|ui| {
        for (n, template) in TEMPLATES.iter().enumerate() {
            let button = ui.add(Button::new(template.name));
            if button.on_hover_text(template.about).clicked() {
                ctx.ask(Command::BeginTemplate(n));
            }
        }
    });
}
