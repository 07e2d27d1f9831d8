//! A big lever: a slider on a rail of ratios, with a field that takes a value in any unit.

use dragback_scenario::Problem;
use dragback_units::{Dim, Style, System, Unit};
use egui::{
    Align, Button, Layout, Pos2, Rect, RichText, Slider, SliderClamping, Stroke, TextEdit, Ui,
    Vec2, pos2, vec2,
};

use crate::document::{Lever, Setting};
use crate::number::{joined, shown, three};
use crate::theme::{Palette, font, size};

/// The text under a lever's pen.
#[derive(Clone, Debug, Default)]
pub struct LeverEdit {
    text: String,
    is_writing: bool,
}

/// Where a lever was drawn, and what a hand did to it.
#[derive(Clone, Debug)]
pub struct LeverSeen {
    /// The rail.
    pub rail: Rect,
    /// Centre of the handle.
    pub handle: Pos2,
    /// A new value.
    pub asked: Option<Setting>,
    /// Put it back to what the file says.
    pub is_restored: bool,
}

/// Height of the slider, points; the handle follows from it.
const SLIDER_HEIGHT: f32 = 26.0;

/// Draws a lever and tells what was done to it.
pub fn lever_ui(
    ui: &mut Ui,
    palette: &Palette,
    system: System,
    lever: &Lever,
    fault: Option<&Problem>,
    edit: &mut LeverEdit,
) -> LeverSeen {
    let unit = lever.dim.display_unit(system, Style::Default);
    let name = lever.role.name();
    let is_moved = (lever.si - lever.file_si).abs() > 1e-9 * lever.file_si.abs();
    let mut is_restored = false;
    ui.horizontal(|ui| {
        ui.label(
            RichText::new(name)
                .size(size::HEADING)
                .color(palette.ink)
                .strong(),
        );
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let text = RichText::new("as in file").size(size::SMALL);
            let button = ui.add_enabled(is_moved, Button::new(text).small());
            let hint = format!(
                "Put {} back to {}, which the file says.",
                name.to_lowercase(),
                value_words(lever.dim, lever.file_si, system)
            );
            let button = button.accessible_name(format!("{name} as in file"));
            is_restored = button.on_hover_text(hint).clicked();
        });
    });
    let typed = field_ui(ui, palette, system, lever, unit, edit);
    let (rail, handle, slid) = slider_ui(ui, palette, lever, unit);
    if slid.is_some() {
        edit.is_writing = false;
    }
    let words = match fault {
        Some(problem) => {
            let advice = if problem.advice.is_empty() {
                String::new()
            } else {
                format!("; {}", problem.advice)
            };
            RichText::new(format!("{}{advice}", problem.message)).color(palette.alarm)
        }
        None => RichText::new(lever.hint).color(palette.quiet),
    };
    ui.label(words.size(size::SMALL));
    LeverSeen {
        rail,
        handle,
        asked: typed.or(slid),
        is_restored,
    }
}

fn value_words(dim: Dim, si: f64, system: System) -> String {
    joined(shown(dim, si, system, Style::Default))
}

/// The field: shows the value, takes another one in any unit of its dimension.
fn field_ui(
    ui: &mut Ui,
    palette: &Palette,
    system: System,
    lever: &Lever,
    unit: &'static Unit,
    edit: &mut LeverEdit,
) -> Option<Setting> {
    let mut asked = None;
    ui.horizontal(|ui| {
        if !edit.is_writing {
            edit.text = value_words(lever.dim, lever.si, system).replace('\u{a0}', " ");
        }
        // Long units such as gal/1000 ft² would not fit in the large size.
        let points = if edit.text.chars().count() > 11 { size::BODY } else { size::FIGURE };
        let field = TextEdit::singleline(&mut edit.text)
            .font(font(points))
            .min_size(vec2(0.0, 28.0))
            .align(egui::Align2::LEFT_CENTER)
            .text_color(palette.accent)
            .desired_width(134.0)
            .margin(vec2(6.0, 2.0));
        let response = ui.add(field).accessible_name(lever.role.name());
        if response.gained_focus() {
            edit.is_writing = true;
        }
        if response.changed() {
            edit.is_writing = true;
        }
        let is_done = response.lost_focus() && edit.is_writing;
        let is_dropped = ui.input(|i| i.key_pressed(egui::Key::Escape));
        if is_done {
            edit.is_writing = false;
            let is_same = edit.text.trim() == value_words(lever.dim, lever.si, system).replace('\u{a0}', " ");
            if !is_dropped && !is_same {
                asked = Some(Setting::Text(with_unit(&edit.text, unit)));
            }
        }
        let full = unit.from_si(lever.si);
        response.on_hover_text(format!(
            "{full} {}, written \"{}\". Type a value with any unit of {}, such as {}, and press Enter.",
            unit.symbol,
            lever.text,
            lever.dim.name(),
            examples(lever.dim),
        ));
        let (low, high) = (unit.from_si(lever.usual.0), unit.from_si(lever.usual.1));
        let usual = format!("usual\n{}–{}", plain(low), plain(high));
        ui.label(RichText::new(usual).size(size::SMALL).color(palette.quiet)).on_hover_text(
            "Usual in the trade: the thick part of the rail. The tick on the rail is what the file says.",
        );
    });
    asked
}

/// A number alone is meant in the unit that is shown.
fn with_unit(text: &str, unit: &Unit) -> String {
    let is_bare = text
        .trim()
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E' | '−'));
    if is_bare {
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
fn plain(value: f64) -> String {
    let text = three(value, 4);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Ends of the rail: the usual range and the value of the file, with some room beyond, as far as it is allowed.
#[must_use]
pub fn rail_ends(lever: &Lever) -> (f64, f64) {
    let positive = |v: f64| {
        if v > 0.0 && v.is_finite() {
            Some(v)
        } else {
            None
        }
    };
    let low = [lever.usual.0, 0.4 * lever.file_si]
        .into_iter()
        .filter_map(positive)
        .fold(f64::INFINITY, f64::min);
    let high = [lever.usual.1, 2.5 * lever.file_si]
        .into_iter()
        .filter_map(positive)
        .fold(0.0, f64::max);
    let low = low.max(lever.allowed.0);
    let high = high.min(lever.allowed.1);
    if low.is_finite() && high > low {
        (low, high)
    } else {
        (1e-9, 1.0)
    }
}

/// The slider on its rail. Equal ways on the rail are equal ratios.
fn slider_ui(
    ui: &mut Ui,
    palette: &Palette,
    lever: &Lever,
    unit: &Unit,
) -> (Rect, Pos2, Option<Setting>) {
    let (low, high) = rail_ends(lever);
    let (low_shown, high_shown) = (unit.from_si(low), unit.from_si(high));
    let width = ui.available_width();
    let radius = SLIDER_HEIGHT / 2.5;
    let area = Rect::from_min_size(ui.cursor().min, vec2(width, SLIDER_HEIGHT));
    let rail = Rect::from_min_max(
        pos2(area.left() + radius, area.center().y - 2.0),
        pos2(area.right() - radius, area.center().y + 2.0),
    );
    let place = |si: f64| {
        let share = ((si / low).ln() / (high / low).ln()).clamp(0.0, 1.0);
        #[expect(clippy::cast_possible_truncation, reason = "a share of the rail")]
        let share = if share.is_finite() { share as f32 } else { 0.0 };
        egui::lerp(rail.x_range(), share)
    };
    let mut asked = None;
    let now = unit.from_si(lever.si);
    let response = ui
        .scope(|ui| {
            ui.spacing_mut().slider_width = width;
            ui.spacing_mut().interact_size.y = SLIDER_HEIGHT;
            ui.visuals_mut().widgets.inactive.bg_fill = palette.rule;
            paint_usual(
                ui,
                palette,
                rail,
                place(lever.usual.0),
                place(lever.usual.1),
                place(lever.file_si),
            );
            let get_set = |new: Option<f64>| {
                if let Some(v) = new {
                    asked = Some(Setting::Si(unit.to_si(v)));
                    return v;
                }
                now
            };
            let widgets = &mut ui.visuals_mut().widgets;
            for state in [&mut widgets.hovered, &mut widgets.active] {
                state.bg_fill = palette.accent;
                state.fg_stroke = Stroke::new(1.0, palette.accent);
            }
            let slider = Slider::from_get_set(low_shown..=high_shown, get_set)
                .logarithmic(true)
                .clamping(SliderClamping::Never)
                .show_value(false);
            ui.add(slider)
        })
        .inner;
    let handle = pos2(place(lever.si), rail.center().y);
    paint_handle(
        ui,
        palette,
        handle,
        0.5 * SLIDER_HEIGHT - 3.0,
        response.hovered() || response.dragged(),
    );
    if response.has_focus() {
        ui.painter().circle_stroke(
            handle,
            0.5 * SLIDER_HEIGHT,
            Stroke::new(1.5, palette.accent),
        );
    }
    // The hint stands under the rail already; a tooltip would cover the curves that the hand wants to see.
    let hint = lever.hint;
    ui.ctx()
        .accesskit_node_builder(response.id, |node| node.set_description(hint));
    response.accessible_name(lever.role.name());
    let is_new = |s: &Setting| !matches!(s, Setting::Si(si) if (si - lever.si).abs() <= 1e-12 * lever.si.abs());
    (rail, handle, asked.filter(is_new))
}

fn paint_usual(ui: &Ui, palette: &Palette, rail: Rect, from: f32, to: f32, file: f32) {
    let band = Rect::from_min_max(pos2(from, rail.top() - 2.0), pos2(to, rail.bottom() + 2.0));
    ui.painter()
        .rect_filled(band, 4.0, palette.tint(palette.accent, 0.28));
    let tick = [
        pos2(file, rail.top() - 8.0),
        pos2(file, rail.bottom() + 8.0),
    ];
    ui.painter()
        .line_segment(tick, Stroke::new(1.5, palette.quiet));
}

/// Drawn over the slider's own handle: a filled disc in the colour of what a hand can move.
fn paint_handle(ui: &Ui, palette: &Palette, at: Pos2, radius: f32, is_held: bool) {
    let painter = ui.painter();
    let radius = if is_held { radius + 0.5 } else { radius };
    painter.circle_filled(at, radius + 1.0, palette.ground);
    painter.circle_filled(at, radius, palette.accent);
    let grip = Vec2::new(0.0, 3.5);
    for dx in [-2.0, 2.0] {
        let x = Vec2::new(dx, 0.0);
        painter.line_segment(
            [at + x - grip, at + x + grip],
            Stroke::new(1.0, palette.sheet),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Role;

    fn lever(usual: (f64, f64), file_si: f64, allowed: (f64, f64)) -> Lever {
        Lever {
            role: Role::HeatInput,
            path: "loop.x".to_owned(),
            dim: Dim::Power,
            si: file_si,
            file_si,
            text: String::new(),
            allowed,
            usual,
            hint: "",
        }
    }

    #[test]
    fn the_rail_holds_the_usual_range_and_the_file_within_what_is_allowed() {
        assert_eq!(
            rail_ends(&lever((10e3, 300e3), 54e3, (0.0, 1e7))),
            (10e3, 300e3)
        );
        assert_eq!(
            rail_ends(&lever((10e3, 300e3), 5e3, (4e3, 1e7))),
            (4e3, 300e3)
        );
        assert_eq!(
            rail_ends(&lever((10e3, 300e3), 500e3, (0.0, 1e6))),
            (10e3, 1e6)
        );
        let (low, high) = rail_ends(&lever((0.0, 0.0), 0.0, (0.0, 1.0)));
        assert!(low > 0.0 && high > low);
    }

    #[test]
    fn a_bare_number_is_meant_in_the_unit_shown() {
        let unit = Dim::VolumeFlow.find_unit("L/h").unwrap();
        assert_eq!(with_unit(" 120 ", unit), "120 L/h");
        assert_eq!(with_unit("30 gal/h", unit), "30 gal/h");
        assert_eq!(plain(0.030), "0.03");
        assert_eq!(plain(300.0), "300");
    }
}
