//! The field of a lever: it shows the value and takes another one in any unit of its dimension.

use dragback_units::{Dim, Unit};
use egui::{Response, TextEdit, Ui, vec2};

use super::lever::{FIELD_WIDTH, LeverEdit, LeverPen, unit_of, value_words};
use crate::document::{Lever, Setting};
use crate::number::three;
use crate::theme::{font, size};

/// Sizes of a field.
pub(super) struct Field {
    width: f32,
    points: f32,
    /// Size for texts of more than [`Field::long_from`] signs: gal/1000 ft² would not fit in the large one.
    long_points: f32,
    long_from: usize,
    height: f32,
}

impl Field {
    pub(super) const LARGE: Self = Self {
        width: 134.0,
        points: size::FIGURE,
        long_points: size::BODY,
        long_from: 11,
        height: 28.0,
    };
    pub(super) const SLIM: Self = Self {
        width: FIELD_WIDTH - 12.0,
        points: size::BODY,
        long_points: size::SMALL,
        long_from: 13,
        height: 20.0,
    };
}

/// The field: shows the value, takes another one in any unit of its dimension.
pub(super) fn field_ui(
    ui: &mut Ui,
    pen: &LeverPen<'_>,
    lever: &Lever,
    edit: &mut LeverEdit,
    field: &Field,
) -> Option<Setting> {
    let unit = unit_of(lever, pen.system);
    let now = value_words(lever, lever.si, pen.system).replace('\u{a0}', " ");
    if !edit.is_writing {
        edit.text.clone_from(&now);
    }
    let is_long = edit.text.chars().count() > field.long_from;
    let points = if is_long {
        field.long_points
    } else {
        field.points
    };
    let text = TextEdit::singleline(&mut edit.text)
        .font(font(points))
        .min_size(vec2(0.0, field.height))
        .align(egui::Align2::LEFT_CENTER)
        .text_color(pen.palette.accent)
        .desired_width(field.width)
        .margin(vec2(6.0, 2.0));
    let response = ui.add(text).accessible_name(&lever.name);
    let full = unit.from_si(lever.si);
    let hint = format!(
        "{full} {}, written \"{}\". Type a value with any unit of {}, such as {}, and press Enter.",
        unit.symbol,
        lever.text,
        lever.dim.name(),
        examples(lever.dim),
    );
    let typed = typed(ui, &response, edit, &now);
    response.on_hover_text(hint);
    typed.map(|text| Setting::Text(with_unit(&text, unit)))
}

/// What was typed into a field, once it is done and differs from what stood there. Escape drops it.
pub(super) fn typed(
    ui: &Ui,
    response: &Response,
    edit: &mut LeverEdit,
    now: &str,
) -> Option<String> {
    if response.gained_focus() || response.changed() {
        edit.is_writing = true;
    }
    let is_done = response.lost_focus() && edit.is_writing;
    if !is_done {
        return None;
    }
    edit.is_writing = false;
    let is_dropped = ui.input(|i| i.key_pressed(egui::Key::Escape));
    let is_new = edit.text.trim() != now && !is_dropped;
    is_new.then(|| edit.text.trim().to_owned())
}

/// A number alone is meant in the unit that is shown.
pub(crate) fn with_unit(text: &str, unit: &Unit) -> String {
    let is_bare = text
        .trim()
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E' | '−'));
    if is_bare && !unit.symbol.is_empty() {
        format!("{} {}", text.trim(), unit.symbol)
    } else {
        text.trim().to_owned()
    }
}

fn examples(dim: Dim) -> String {
    let symbols: Vec<&str> = dim.units().iter().take(3).map(|u| u.symbol).collect();
    symbols.join(", ")
}

/// Up to three digits without zeros that say nothing.
pub(super) fn plain(value: f64) -> String {
    let text = three(value, 4);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_is_meant_in_the_unit_shown() {
        let unit = Dim::VolumeFlow.find_unit("L/h").unwrap();
        assert_eq!(with_unit(" 120 ", unit), "120 L/h");
        assert_eq!(with_unit("30 gal/h", unit), "30 gal/h");
        assert_eq!(plain(0.030), "0.03");
        assert_eq!(plain(300.0), "300");
    }
}
