//! The table: a column for each line, figures first, then the inputs that differ.

use std::sync::Arc;

use egui::accesskit::Role;
use egui::text::LayoutJob;
use egui::{
    Align, Button, Color32, FontId, Galley, Label, Layout, Rect, RichText, ScrollArea, Sense,
    Stroke, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::Line;
use crate::command::{Command, NameFor, VariantCommand};
use crate::compare::{Cell, Row, Sheet};
use crate::plots::sample_ui;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;

/// Width of the names of rows.
const NAMES: f32 = 136.0;
/// Width of a column.
const COLUMN: f32 = 108.0;
/// Room for the bar that scrolls.
const BAR: f32 = 14.0;
/// Height of the heads of columns.
const HEADS: f32 = 82.0;
/// Room above and below the words of a row.
const AIR: f32 = 3.0;

/// Width that the table would like to have.
pub(super) fn wanted_width(lines: &[Line<'_>]) -> f32 {
    #[expect(clippy::cast_precision_loss, reason = "a hundred at most")]
    let count = lines.len() as f32;
    NAMES + count * COLUMN + BAR
}

/// The columns in sight: the line itself, and the variants from `first` on for which there is room.
fn in_sight(lines: &[Line<'_>], width: f32, first: &mut usize) -> Vec<usize> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a hundred at most"
    )]
    let room = ((width - NAMES - BAR) / COLUMN).floor().max(2.0) as usize;
    let variants = lines.len() - 1;
    let shown = (room - 1).min(variants);
    *first = (*first).min(variants - shown);
    std::iter::once(0)
        .chain(1 + *first..1 + *first + shown)
        .collect()
}

/// Draws it; `first` is the first variant in sight.
pub(super) fn table_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    (lines, from): (&[Line<'_>], usize),
    sheet: &Sheet,
    first: &mut usize,
) {
    let seen = in_sight(lines, rect.width(), first);
    let heads = Rect::from_min_size(rect.min, vec2(rect.width(), HEADS));
    heads_ui(ctx, ui, heads, (lines, from), &seen, first);
    let body = Rect::from_min_max(pos2(rect.left(), rect.top() + HEADS), rect.max);
    let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("compared"));
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(&mut child, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            failures_ui(ctx, ui, lines, &seen);
            for row in &sheet.figures {
                row_ui(ctx, ui, row, lines, &seen, None);
            }
            ui.add_space(space::NEAR);
            let words = if sheet.inputs.is_empty() {
                "No input differs"
            } else {
                "Inputs that differ"
            };
            ui.label(RichText::new(words).strong().color(ctx.palette.ink));
            for row in &sheet.inputs {
                row_ui(ctx, ui, row, lines, &seen, Some(from));
            }
        });
}

/// Left edge of a column.
fn column_left(rect: Rect, place: usize) -> f32 {
    #[expect(clippy::cast_precision_loss, reason = "a hundred at most")]
    let place = place as f32;
    rect.left() + NAMES + place * COLUMN
}

fn heads_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    (lines, from): (&[Line<'_>], usize),
    seen: &[usize],
    first: &mut usize,
) {
    let names = Rect::from_min_size(rect.min, vec2(NAMES - space::NEAR, HEADS));
    let mut child = ui.new_child(UiBuilder::new().max_rect(names).id_salt("paging"));
    paging_ui(ctx, &mut child, lines.len() - 1, seen.len() - 1, first);
    for (place, &i) in seen.iter().enumerate() {
        let Some(line) = lines.get(i) else { continue };
        let at = Rect::from_min_size(
            pos2(column_left(rect, place), rect.top()),
            vec2(COLUMN - space::NEAR, HEADS),
        );
        let layout = Layout::top_down(Align::Max);
        let mut child = ui.new_child(
            UiBuilder::new()
                .max_rect(at)
                .layout(layout)
                .id_salt(("head", i)),
        );
        column_head_ui(ctx, &mut child, line, i == from);
    }
    let line = Stroke::new(1.0, ctx.palette.rule);
    ui.painter()
        .hline(rect.x_range(), rect.bottom() - 1.0, line);
}

/// Where there is no room for all variants: how many there are, and the ways to the others.
fn paging_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, all: usize, shown: usize, first: &mut usize) {
    if shown >= all {
        return;
    }
    let words = format!("{} to {} of {all} variants", *first + 1, *first + shown);
    ui.label(
        RichText::new(words)
            .size(size::SMALL)
            .color(ctx.palette.quiet),
    );
    ui.horizontal(|ui| {
        let back = ui.add_enabled(*first > 0, Button::new("Earlier").small());
        if back.accessible_name("Earlier variants").clicked() {
            *first -= 1;
        }
        let on = ui.add_enabled(*first + shown < all, Button::new("Later").small());
        if on.accessible_name("Later variants").clicked() {
            *first += 1;
        }
    });
}

fn column_head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, line: &Line<'_>, is_reference: bool) {
    ui.spacing_mut().item_spacing.y = 1.0;
    let (color, style) = line.pen(ctx.palette);
    sample_ui(ui, color, style, line.number == 0);
    let (text, ink) = (font(size::BODY), ctx.palette.ink);
    let mut job = LayoutJob::simple(line.name.to_owned(), text, ink, COLUMN - space::NEAR);
    job.wrap.max_rows = 2;
    let name = ui.add(Label::new(job).halign(Align::Max));
    name.on_hover_text(format!("{}: {}", line.name, line.scenario.title));
    ui.horizontal(|ui| {
        if line.number > 0 {
            menu_ui(ctx, ui, line);
        }
        let state = match (line.number, line.found.map(|f| f.outcome.is_ok())) {
            _ if is_reference => "the base",
            (0, _) | (_, Some(true)) => "",
            (_, Some(false)) => "no answer",
            (_, None) if ctx.variants.is_given_up() => "given up",
            (_, None) => "working",
        };
        if !state.is_empty() {
            let text = RichText::new(state).size(size::SMALL);
            let told = ui.label(text.color(ctx.palette.quiet));
            if is_reference {
                told.on_hover_text("Differences and payback are told from this line.");
            }
        }
    });
}

/// What can be done with a variant.
fn menu_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, line: &Line<'_>) {
    let words = RichText::new("More…").size(size::SMALL);
    let menu = ui.menu_button(words, |ui| {
        ui.set_min_width(190.0);
        let name = || line.name.to_owned();
        let item = |ui: &mut Ui, words: &str, hint: &str, command: VariantCommand| {
            if ui.button(words).on_hover_text(hint).clicked() {
                ctx.ask(Command::Variant(command));
                ui.close();
            }
        };
        item(
            ui,
            "Make it the line",
            "Its inputs become those of the line, in one step that Undo takes back.",
            VariantCommand::TakeUp(name()),
        );
        item(
            ui,
            "Compare all with it",
            "Tell differences and payback from this variant.",
            VariantCommand::Against(Some(name())),
        );
        item(
            ui,
            "Rename…",
            "Give it another name.",
            VariantCommand::AskName(NameFor::Rename(name())),
        );
        item(
            ui,
            "Delete",
            "Take it away; Undo brings it back.",
            VariantCommand::Delete(name()),
        );
    });
    menu.response
        .accessible_name(format!("What to do with {}", line.name))
        .on_hover_text("Make it the line, compare with it, rename or delete it.");
}

/// Why variants have no answer.
fn failures_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, lines: &[Line<'_>], seen: &[usize]) {
    for line in seen.iter().filter_map(|&i| lines.get(i)) {
        let failure = line.found.and_then(|f| f.outcome.as_ref().err());
        if let Some(failure) = failure {
            let mut words = format!("{}: {}", line.name, failure.words(ctx.prefs.system));
            for problem in &failure.problems {
                words.push_str(&format!(" {}: {}.", problem.path, problem.message));
            }
            let text = RichText::new(words)
                .size(size::SMALL)
                .color(ctx.palette.caution);
            ui.add(Label::new(text).wrap());
        }
    }
}

/// Words wrapped to a width.
fn wrapped(
    ui: &Ui,
    words: &str,
    (font, color): (FontId, Color32),
    (width, align): (f32, Align),
) -> Arc<Galley> {
    let mut job = LayoutJob::simple(words.to_owned(), font, color, width);
    job.halign = align;
    ui.painter().layout_job(job)
}

/// A row. Of inputs, where `quiet_as` is the number of a line, what is as in that line is told quietly.
fn row_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    row: &Row,
    lines: &[Line<'_>],
    seen: &[usize],
    quiet_as: Option<usize>,
) {
    let palette = ctx.palette;
    let (body, small) = (font(size::BODY), font(size::SMALL));
    let name = wrapped(
        ui,
        &row.name,
        (body.clone(), palette.quiet),
        (NAMES - space::NEAR, Align::Min),
    );
    let none = Cell::default();
    let same = quiet_as.and_then(|i| row.cells.get(i)).map(|c| &c.value);
    let mut high = name.size().y;
    let mut told: Vec<(Arc<Galley>, Arc<Galley>)> = Vec::new();
    for &i in seen {
        let cell = row.cells.get(i).unwrap_or(&none);
        let is_quiet = quiet_as.is_some_and(|from| i != from && Some(&cell.value) == same);
        let color = if is_quiet { palette.quiet } else { palette.ink };
        let room = (COLUMN - space::NEAR, Align::Max);
        let value = wrapped(ui, &cell.value, (body.clone(), color), room);
        let moved = wrapped(ui, &cell.moved, (small.clone(), palette.quiet), room);
        let of_moved = if cell.moved.is_empty() {
            0.0
        } else {
            moved.size().y
        };
        high = high.max(value.size().y + of_moved);
        told.push((value, moved));
    }
    let size = vec2(ui.available_width(), high + 2.0 * AIR);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    if ui.is_rect_visible(rect) {
        let top = rect.top() + AIR;
        ui.painter()
            .galley(pos2(rect.left(), top), name, palette.quiet);
        for (place, (value, moved)) in told.into_iter().enumerate() {
            let right = column_left(rect, place) + COLUMN - space::NEAR;
            let below = top + value.size().y;
            ui.painter().galley(pos2(right, top), value, palette.ink);
            ui.painter()
                .galley(pos2(right, below), moved, palette.quiet);
        }
        let line = Stroke::new(0.5, palette.rule);
        ui.painter().hline(rect.x_range(), rect.bottom(), line);
    }
    let each = seen.iter().filter_map(|&i| {
        let (line, cell) = (lines.get(i)?, row.cells.get(i)?);
        let moved = if cell.moved.is_empty() {
            String::new()
        } else {
            format!(", {}", cell.moved)
        };
        Some(format!("{} {}{moved}", line.name, cell.value))
    });
    let said = format!("{}: {}", row.name, each.collect::<Vec<_>>().join("; "));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    response.on_hover_text(&row.hint);
}
