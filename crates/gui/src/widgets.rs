//! Small parts that panels are made of.

mod answer;
mod entry;
mod field;
mod figure;
mod lever;
mod rail;

pub use answer::AnswerEdit;
pub use entry::entry_ui;
pub(crate) use field::with_unit;
pub use figure::{FigureText, Tone, figure_ui, key_figure_ui};
pub use lever::{LeverEdit, LeverPen, LeverSeen, lever_ui, slim_lever_ui, unit_of, value_words};
pub use rail::Rail;

use egui::text::{CCursor, CCursorRange};
use egui::text_edit::TextEditState;
use egui::{Id, Label, Rect, Response, RichText, ScrollArea, Stroke, Ui, UiBuilder, Vec2};

use crate::theme::{Palette, font, size};

/// Selects all of a field, so that what is typed takes its place.
pub(crate) fn select_all(ui: &Ui, field: Id, text: &str) {
    let mut state = TextEditState::load(ui.ctx(), field).unwrap_or_default();
    let end = CCursor::new(text.chars().count());
    let all = CCursorRange::two(CCursor::new(0), end);
    state.cursor.set_char_range(Some(all));
    state.store(ui.ctx(), field);
}

/// Room for the bars that scroll.
pub const BAR: f32 = 12.0;

/// Draws into a rectangle; what has less room than the least in which it can be read is drawn so large, and scrolls.
pub fn roomy(ui: &mut Ui, rect: Rect, least: Vec2, add: impl FnOnce(&mut Ui, Rect)) {
    let builder = UiBuilder::new().max_rect(rect).id_salt("roomy");
    let mut child = ui.new_child(builder);
    if rect.width() >= least.x && rect.height() >= least.y {
        add(&mut child, rect);
        return;
    }
    ScrollArea::both()
        .auto_shrink([false, false])
        .show(&mut child, |ui| {
            let room = rect.size() - Vec2::splat(BAR);
            let (_, rect) = ui.allocate_space(room.max(least));
            add(ui, rect);
        });
}

/// A line of quiet text in the smallest size.
pub fn quiet(ui: &mut Ui, palette: &Palette, text: impl Into<String>) -> Response {
    ui.label(RichText::new(text).size(size::SMALL).color(palette.quiet))
}

/// Gives fields in a menu a frame: a menu takes it from them, and nobody would write into them.
pub(crate) fn frame_fields(ui: &mut Ui, palette: &Palette) {
    ui.visuals_mut().widgets.inactive.bg_stroke = Stroke::new(1.0, palette.rule);
}

/// A line of quiet text: the first of several wordings, from the longest to the shortest, that has room, or the last one cut short; with a hint.
pub fn fitting_words(ui: &mut Ui, palette: &Palette, wordings: &[String], hint: &str) {
    let wide = |words: &str| {
        let font = font(size::BODY);
        let galley = ui
            .painter()
            .layout_no_wrap(words.to_owned(), font, palette.quiet);
        galley.size().x
    };
    let room = ui.available_width();
    let fits = wordings.iter().find(|w| wide(w) <= room);
    if let Some(fitting) = fits.or(wordings.last()) {
        let text = RichText::new(fitting).size(size::BODY).color(palette.quiet);
        ui.add(Label::new(text).truncate()).on_hover_text(hint);
    }
}
