//! A lever: a slider on its rail, with a field that takes a value in any unit. Three are large, all others are one slim row.

use dragback_scenario::Problem;
use dragback_units::{Dim, Style, System, Unit};
use egui::{
    Align, Button, Layout, Pos2, Rect, RichText, Sense, Slider, SliderClamping, Stroke, Ui, Vec2,
    pos2, vec2,
};

use super::Rail;
use super::field::{Field, field_ui, plain};
use crate::document::{Begun, Lever, Setting};
use crate::number::{joined, shown};
use crate::theme::{Palette, size, space};

/// The text under a lever's pen.
#[derive(Clone, Debug, Default)]
pub struct LeverEdit {
    pub(super) text: String,
    pub(super) is_writing: bool,
}

impl LeverEdit {
    /// Whether somebody is writing in the field.
    #[must_use]
    pub const fn is_being_written(&self) -> bool {
        self.is_writing
    }
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

/// What a lever is drawn with.
pub struct LeverPen<'a> {
    /// Colours.
    pub palette: &'static Palette,
    /// Units.
    pub system: System,
    /// What is wrong with the value last given to it.
    pub fault: Option<&'a Problem>,
}

/// Heights of large and slim sliders, points; the handle follows from it.
const LARGE: f32 = 26.0;
const SLIM: f32 = 18.0;
/// Width of the field of a slim lever.
pub(super) const FIELD_WIDTH: f32 = 104.0;

/// The unit in which a lever's value is shown; it stays the same while the lever moves.
#[must_use]
pub fn unit_of(lever: &Lever, system: System) -> &'static Unit {
    lever.dim.display_unit(system, style_of(lever))
}

fn style_of(lever: &Lever) -> Style {
    match lever.dim {
        Dim::Concentration if lever.file_si < 1.0 => Style::Rinse,
        Dim::Concentration => Style::Bath,
        Dim::VolumeFlow if lever.path.ends_with("air_flow") => Style::Air,
        _ => Style::Default,
    }
}

/// A value of a lever in words.
#[must_use]
pub fn value_words(lever: &Lever, si: f64, system: System) -> String {
    if lever.dim == Dim::Count && (si - si.round()).abs() < 1e-9 {
        return format!("{si:.0}");
    }
    let (number, unit) = shown(lever.dim, si, system, style_of(lever));
    let is_nothing = number.chars().all(|c| matches!(c, '0' | '.'));
    let number = if is_nothing && unit_of(lever, system).from_si(si) == 0.0 {
        "0".to_owned()
    } else {
        number
    };
    if lever.dim.is_money() {
        // Shorter than `per kWh`, and read as well.
        return joined((number, &unit.replace("per ", "/")));
    }
    joined((number, unit))
}

/// Draws a large lever and tells what was done to it.
pub fn lever_ui(ui: &mut Ui, pen: &LeverPen<'_>, lever: &Lever, edit: &mut LeverEdit) -> LeverSeen {
    let mut is_restored = false;
    ui.horizontal(|ui| {
        let name = RichText::new(&lever.name).size(size::HEADING).strong();
        ui.label(name.color(pen.palette.ink));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            is_restored = restore_ui(ui, pen, lever);
        });
    });
    let mut typed = None;
    ui.horizontal(|ui| {
        typed = field_ui(ui, pen, lever, edit, &Field::LARGE);
        usual_ui(ui, pen, lever);
    });
    let (rail, handle, slid) = slider_ui(ui, pen, lever, LARGE);
    finish(
        ui,
        pen,
        lever,
        edit,
        Done {
            rail,
            handle,
            typed,
            slid,
            is_restored,
        },
        true,
    )
}

/// Draws a slim lever and tells what was done to it.
pub fn slim_lever_ui(
    ui: &mut Ui,
    pen: &LeverPen<'_>,
    lever: &Lever,
    name: &str,
    edit: &mut LeverEdit,
) -> LeverSeen {
    let mut typed = None;
    name_and_field(ui, pen.palette, name, lever.hint, |ui| {
        typed = field_ui(ui, pen, lever, edit, &Field::SLIM);
    });
    let (rail, handle, slid) = slider_ui(ui, pen, lever, SLIM);
    finish(
        ui,
        pen,
        lever,
        edit,
        Done {
            rail,
            handle,
            typed,
            slid,
            is_restored: false,
        },
        false,
    )
}

/// A name that wraps beside something at the right edge.
pub(super) fn name_and_field(
    ui: &mut Ui,
    palette: &Palette,
    name: &str,
    hint: &str,
    field: impl FnOnce(&mut Ui),
) {
    let rest = ui.available_width() - FIELD_WIDTH - space::NEAR;
    ui.horizontal_top(|ui| {
        ui.vertical(|ui| {
            ui.set_width(rest);
            ui.add_space(3.0);
            ui.label(RichText::new(name).color(palette.ink))
                .on_hover_text(hint);
        });
        field(ui);
    });
}

struct Done {
    rail: Rect,
    handle: Pos2,
    typed: Option<Setting>,
    slid: Slid,
    is_restored: bool,
}

/// The words under the rail, and what came of it all.
fn finish(
    ui: &mut Ui,
    pen: &LeverPen<'_>,
    lever: &Lever,
    edit: &mut LeverEdit,
    done: Done,
    is_large: bool,
) -> LeverSeen {
    let is_slid = done.slid.asked.is_some();
    if is_slid || done.slid.is_reset {
        edit.is_writing = false;
    }
    if let Some(problem) = pen.fault {
        fault_ui(ui, pen.palette, problem);
    } else if is_large {
        // What else is to be said of its hours waits under the pointer: there is room for three levers.
        let clock = lever.clock;
        let when = clock.map_or_else(String::new, |c| format!("{}; ", c.words()));
        let words = format!("{} ({when}{})", lever.hint, standing(pen, lever));
        let words = RichText::new(words).size(size::SMALL);
        let told = ui.label(words.color(pen.palette.quiet));
        if let Some(clock) = clock {
            told.on_hover_text(clock.sentence());
        }
    } else {
        ui.label(
            RichText::new(about(pen, lever))
                .size(size::SMALL)
                .color(pen.palette.quiet),
        )
        .on_hover_text(lever.hint);
    }
    LeverSeen {
        rail: done.rail,
        handle: done.handle,
        asked: done
            .typed
            .or(done.slid.asked)
            .filter(|_| !done.slid.is_reset),
        is_restored: done.is_restored || done.slid.is_reset,
    }
}

/// What is wrong with a value, and what to try.
pub(super) fn fault_ui(ui: &mut Ui, palette: &Palette, problem: &Problem) {
    let advice = if problem.advice.is_empty() {
        String::new()
    } else {
        format!("; {}", problem.advice)
    };
    let words = format!("{}{advice}", problem.message);
    ui.label(RichText::new(words).size(size::SMALL).color(palette.alarm));
}

/// Where a value comes from, and what it was when it has left that.
fn standing(pen: &LeverPen<'_>, lever: &Lever) -> String {
    let words = lever.origin_word();
    if !lever.is_moved() {
        return words.to_owned();
    }
    let before = value_words(lever, lever.file_si, pen.system);
    let then = lever.begun.then();
    match lever.moved_from() {
        Some(origin) => format!("{words}, {then} {before}, {}", origin.word()),
        None => format!("{words}, {then} {before}"),
    }
}

/// Origin and usual range of a slim lever.
fn about(pen: &LeverPen<'_>, lever: &Lever) -> String {
    let mut words = standing(pen, lever);
    if let Some((low, high)) = lever.usual {
        let unit = unit_of(lever, pen.system);
        let unit_words = if unit.symbol.is_empty() {
            String::new()
        } else {
            format!("\u{a0}{}", unit.symbol)
        };
        let range = format!("{}–{}", plain(unit.from_si(low)), plain(unit.from_si(high)));
        words = format!("{words}; usual {range}{unit_words}");
    }
    if let Some(clock) = lever.clock {
        words = format!("{words}; {}", clock.words());
    }
    words
}

fn restore_ui(ui: &mut Ui, pen: &LeverPen<'_>, lever: &Lever) -> bool {
    let words = lever.begun.as_then();
    let text = RichText::new(words).size(size::SMALL);
    let button = ui.add_enabled(lever.is_moved(), Button::new(text).small());
    let hint = format!(
        "Put {} back to {}, {}. A double click on the rail does the same.",
        lever.name.to_lowercase(),
        value_words(lever, lever.file_si, pen.system),
        whence(lever.begun)
    );
    let button = button.accessible_name(format!("{} {words}", lever.name));
    button.on_hover_text(hint).clicked()
}

fn usual_ui(ui: &mut Ui, pen: &LeverPen<'_>, lever: &Lever) {
    let Some((low, high)) = lever.usual else {
        return;
    };
    let unit = unit_of(lever, pen.system);
    let (low, high) = (unit.from_si(low), unit.from_si(high));
    let usual = format!("usual\n{}–{}", plain(low), plain(high));
    let label = ui.label(
        RichText::new(usual)
            .size(size::SMALL)
            .color(pen.palette.quiet),
    );
    label.on_hover_text(format!(
        "Usual in the trade: the thick part of the rail. The tick on the rail is {}.",
        whence(lever.begun)
    ));
}

/// What the value of then is, in words.
const fn whence(begun: Begun) -> &'static str {
    match begun {
        Begun::File => "what the file says",
        Begun::Line => "what the line began with",
        Begun::Added => "what it was added with",
    }
}

/// What was done to a slider.
#[derive(Default)]
struct Slid {
    asked: Option<Setting>,
    is_reset: bool,
}

/// The slider on its rail.
fn slider_ui(ui: &mut Ui, pen: &LeverPen<'_>, lever: &Lever, height: f32) -> (Rect, Pos2, Slid) {
    let palette = pen.palette;
    let unit = unit_of(lever, pen.system);
    let way = Rail::of(lever);
    let width = ui.available_width();
    let radius = height / 2.5;
    let area = Rect::from_min_size(ui.cursor().min, vec2(width, height));
    let rail = Rect::from_min_max(
        pos2(area.left() + radius, area.center().y - 2.0),
        pos2(area.right() - radius, area.center().y + 2.0),
    );
    let place = |si: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "a share of the rail")]
        let share = way.share(si) as f32;
        egui::lerp(rail.x_range(), share)
    };
    let mut asked = None;
    let now = unit.from_si(lever.si);
    let response = ui
        .scope(|ui| {
            ui.spacing_mut().slider_width = width;
            ui.spacing_mut().interact_size.y = height;
            ui.visuals_mut().widgets.inactive.bg_fill = palette.rule;
            if let Some((low, high)) = lever.usual {
                paint_usual(ui, palette, rail, place(low), place(high));
            }
            paint_file(ui, palette, rail, place(lever.file_si), 0.3 * height);
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
            let (low, high) = (unit.from_si(way.low), unit.from_si(way.high));
            let mut slider = Slider::from_get_set(low..=high, get_set)
                .logarithmic(way.is_log)
                .clamping(SliderClamping::Never)
                .show_value(false);
            if lever.dim == Dim::Count {
                slider = slider.step_by(1.0);
            }
            ui.add(slider)
        })
        .inner;
    let handle = pos2(place(lever.si), rail.center().y);
    let is_held = response.hovered() || response.dragged();
    paint_handle(ui, palette, handle, 0.5 * height - 3.0, is_held);
    if response.has_focus() {
        let ring = Stroke::new(1.5, palette.accent);
        ui.painter().circle_stroke(handle, 0.5 * height, ring);
    }
    // The slider feels drags only; what lies over it feels clicks only.
    let clicks = ui.interact(response.rect, response.id.with("reset"), Sense::CLICK);
    // The hint stands under the rail already; a tooltip would cover the curves that the hand wants to see.
    let hint = lever.hint;
    ui.ctx()
        .accesskit_node_builder(response.id, |node| node.set_description(hint));
    response.accessible_name(&lever.name);
    let is_new = |s: &Setting| !matches!(s, Setting::Si(si) if (si - lever.si).abs() <= 1e-12 * lever.si.abs());
    let slid = Slid {
        asked: asked.filter(is_new),
        is_reset: clicks.double_clicked(),
    };
    (rail, handle, slid)
}

fn paint_usual(ui: &Ui, palette: &Palette, rail: Rect, from: f32, to: f32) {
    let band = Rect::from_min_max(pos2(from, rail.top() - 2.0), pos2(to, rail.bottom() + 2.0));
    let fill = palette.tint(palette.accent, 0.28);
    ui.painter().rect_filled(band, 4.0, fill);
}

fn paint_file(ui: &Ui, palette: &Palette, rail: Rect, file: f32, beyond: f32) {
    let tick = [
        pos2(file, rail.top() - beyond),
        pos2(file, rail.bottom() + beyond),
    ];
    let stroke = Stroke::new(1.5, palette.quiet);
    ui.painter().line_segment(tick, stroke);
}

/// Drawn over the slider's own handle: a filled disc in the colour of what a hand can move.
fn paint_handle(ui: &Ui, palette: &Palette, at: Pos2, radius: f32, is_held: bool) {
    let painter = ui.painter();
    let radius = if is_held { radius + 0.5 } else { radius };
    painter.circle_filled(at, radius + 1.0, palette.ground);
    painter.circle_filled(at, radius, palette.accent);
    if radius < 8.0 {
        return;
    }
    let grip = Vec2::new(0.0, 3.5);
    for dx in [-2.0, 2.0] {
        let x = Vec2::new(dx, 0.0);
        painter.line_segment(
            [at + x - grip, at + x + grip],
            Stroke::new(1.0, palette.sheet),
        );
    }
}
