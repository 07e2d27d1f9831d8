//! Names and values beside the ends of the curves.

use dragback_drawing::plot::width_of;
use dragback_study::curves::{Guide, GuideKind, Kind, Series};
use dragback_units::{Dim, Style, System};
use egui::accesskit::Role;
use egui::{
    Align2, Color32, Grid, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use egui_plot::PlotPoint;

use super::Measure;
use super::{Dash, pen};
use super::{Drawn, DrawnCurve, PlotInput, View, mean_around, mean_between, spread, value_at};
use crate::number::{joined, three};
use crate::playhead::moment_words;
use crate::results::PlotData;
use crate::theme::{CURVE_WIDTH, font, size};

/// Room for names and values beside the curves: as much as the longest needs, but never more than half; a duty behind a name gets no more than a third.
pub(super) fn gutter_width(ui: &Ui, data: &PlotData, measure: Measure, width: f32) -> f32 {
    let wide = |words: &str| SAMPLE + value_width(ui, measure) + text_width(ui, words) + 10.0;
    let each = data.series.iter().enumerate().map(|(i, s)| {
        // The widest duty: room that does not change with the value.
        let duty = full_power(data, measure, i).map(|full| duty_words(0.999 * full, full));
        let with_duty = wide(&format!("{}{}", s.name, duty.unwrap_or_default()));
        let alone = wide(&s.name).min(0.5 * width);
        alone.max(with_duty.min(width / 3.0))
    });
    each.fold(0.0, f32::max)
}

/// Length of the piece of curve in front of a name.
const SAMPLE: f32 = 24.0;
/// Room for a value with its unit; it does not change with the value.
fn value_width(ui: &Ui, measure: Measure) -> f32 {
    const MOSTLY: f32 = 58.0;
    match (measure.kind, measure.system) {
        (Kind::Concentration, System::Us) => {
            (text_width(ui, "0.888\u{a0}oz/gal") + 4.0).max(MOSTLY)
        }
        _ => MOSTLY,
    }
}
/// Height of one name.
const LABEL_HEIGHT: f32 = 15.0;

/// Power of heaters that all work, W, where a plot has heaters.
fn full_power(data: &PlotData, measure: Measure, curve: usize) -> Option<f64> {
    let is_full = |g: &&Guide| g.of == Some(curve) && g.kind == GuideKind::Limit;
    let guide = data.guides.iter().find(is_full);
    guide
        .filter(|g| measure.kind == Kind::Heat && g.high > 0.0)
        .map(|g| g.high)
}

/// The share of their power that heaters give, behind their name.
fn duty_words(power: f64, full: f64) -> String {
    let percent = Dim::Fraction.display_unit(System::Metric, Style::Default);
    let share = joined((three(percent.from_si(power / full), 1), percent.symbol));
    format!(", duty {share}")
}

pub(super) fn text_width(ui: &Ui, text: &str) -> f32 {
    ui.painter()
        .layout_no_wrap(text.to_owned(), font(size::SMALL), Color32::BLACK)
        .size()
        .x
}

pub(super) struct Ends<'a> {
    pub(super) frame: Rect,
    pub(super) range: (f64, f64),
    pub(super) data: &'a PlotData,
    pub(super) measure: Measure,
    pub(super) input: &'a PlotInput<'a>,
    pub(super) drawn: &'a Drawn,
    pub(super) hidden: &'a [bool],
}

impl Ends<'_> {
    pub(super) fn y_of(&self, height: f64) -> f32 {
        self.place_of(height.clamp(self.range.0, self.range.1))
    }

    /// The same also beyond head and foot.
    fn place_of(&self, height: f64) -> f32 {
        let share = (height - self.range.0) / (self.range.1 - self.range.0);
        #[expect(clippy::cast_possible_truncation, reason = "a share of the frame")]
        let share = share as f32;
        self.frame.bottom() - share * self.frame.height()
    }

    /// Day at a place along the frame.
    pub(super) fn day_at(&self, view: &View, x: f32) -> f64 {
        let share = f64::from((x - self.frame.left()) / self.frame.width().max(1.0));
        view.from + share * (view.to - view.from)
    }

    fn end_of(&self, curve: &DrawnCurve, view: &View) -> f32 {
        let is_seen = |p: &&PlotPoint| p.x <= view.to + 1e-9 && p.y.is_finite();
        let last = curve.line.iter().rev().find(is_seen);
        last.map_or(self.frame.bottom(), |p| self.y_of(p.y))
    }

    pub(super) fn pen(&self, curve: usize) -> (Color32, Dash) {
        let place = self.data.pens.get(curve).copied().unwrap_or(curve);
        pen(self.measure.kind, place, self.input.palette)
    }

    /// Whether a curve steps back because others have been brought forward.
    fn is_back(&self, series: &Series) -> bool {
        is_back(self.data, self.input, &series.name)
    }

    /// The duty at a power behind the name of heaters; nothing behind other names.
    pub(super) fn duty(&self, curve: usize, value: f64) -> String {
        let full = full_power(self.data, self.measure, curve).filter(|_| value.is_finite());
        full.map_or_else(String::new, |full| duty_words(value, full))
    }

    /// The value on a day: of a state as it was then, of a flow or power the mean of the hours around it.
    pub(super) fn value_on(&self, series: &Series, day: f64) -> f64 {
        if self.measure.is_flow() {
            mean_around(series, day)
        } else {
            value_at(series, day)
        }
    }

    /// The value at the cursor, or else the mean of the last week that is seen.
    fn value(&self, series: &Series, view: &View) -> f64 {
        match view.cursor {
            Some(day) => self.value_on(series, day),
            None if self.measure.kind == Kind::Loss => value_at(series, view.to),
            None => mean_between(series, view.from.max(view.to - 7.0), view.to),
        }
    }
}

/// Whether a curve steps back: others of its plot have been brought forward.
pub(super) fn is_back(data: &PlotData, input: &PlotInput<'_>, name: &str) -> bool {
    let is_forward = |name: &str| input.forward.iter().any(|f| f == name);
    data.series.iter().any(|s| is_forward(&s.name)) && !is_forward(name)
}

/// Where names want to stand.
fn told_places(ends: &Ends<'_>, view: &View, wanted: &[f32]) -> Vec<f32> {
    // A name stands at the height of the value that it tells, so that values are in order; its stroke leads to the end of the curve.
    let told = ends.data.series.iter().zip(wanted).map(|(series, end)| {
        let height = ends.measure.height(ends.value(series, view));
        if height.is_finite() {
            ends.place_of(height)
        } else {
            *end
        }
    });
    told.collect()
}

/// Names beside the ends of the curves, with their values. Returns the name of a curve that was clicked.
pub(super) fn end_labels(ui: &Ui, ends: &Ends<'_>, view: &View, right: f32) -> Option<String> {
    let palette = ends.input.palette;
    let wanted: Vec<f32> = ends
        .drawn
        .curves
        .iter()
        .map(|c| ends.end_of(c, view))
        .collect();
    let room = (ends.frame.top() - 6.0, ends.frame.bottom() + 6.0);
    let told = told_places(ends, view, &wanted);
    let places = spread(&told, LABEL_HEIGHT, room);
    let left = ends.frame.right() + 2.0;
    let mut toggled = None;
    for (i, series) in ends.data.series.iter().enumerate() {
        let (Some(&y), Some(&end)) = (places.get(i), wanted.get(i)) else {
            continue;
        };
        let is_hidden = ends.hidden.get(i).copied().unwrap_or(false);
        let row = Rect::from_x_y_ranges(
            left..=right,
            (y - 0.5 * LABEL_HEIGHT)..=(y + 0.5 * LABEL_HEIGHT),
        );
        let id = ui.scope_id().with(("curve", ends.input.place, i));
        let response = ui.interact(row, id, egui::Sense::CLICK);
        response.widget_info(|| {
            let title = ends.input.title(ends.measure);
            let name = format!("{} in {title}", series.name);
            WidgetInfo::selected(Role::CheckBox, true, !is_hidden, name)
        });
        if response.clicked() {
            toggled = Some(series.name.clone());
        }
        let painter = ui.painter();
        if response.hovered() {
            painter.rect_filled(row, 3.0, palette.tint(palette.accent, 0.08));
        }
        let (color, style) = ends.pen(i);
        // A hairline leads from the end of the curve to its name; only the sample beside the name has the look of the curve.
        let from = pos2(left + 6.0, y);
        let sample = [from, pos2(left + SAMPLE - 4.0, y)];
        if !is_hidden {
            let leader = Stroke::new(0.5, palette.quiet);
            painter.line_segment([pos2(left, end), from], leader);
            painter.extend(stroke_of(&sample, color, style));
        }
        let value_right = left + SAMPLE + value_width(ui, ends.measure);
        let value = ends.value(series, view);
        let duty = if is_hidden {
            String::new()
        } else {
            ends.duty(i, value)
        };
        let (words, ink) = if is_hidden {
            ("hidden".to_owned(), palette.quiet)
        } else {
            let ink = if ends.is_back(series) {
                palette.quiet
            } else {
                palette.ink
            };
            (ends.measure.words(value), ink)
        };
        painter.text(
            pos2(value_right, y),
            Align2::RIGHT_CENTER,
            words,
            font(size::SMALL),
            palette.quiet,
        );
        let name_left = value_right + 6.0;
        let with_duty = format!("{}{duty}", series.name);
        // In a narrow plot the duty is read off its scale.
        let has_room = text_width(ui, &with_duty) <= right - name_left;
        let name = if has_room { &with_duty } else { &series.name };
        let name = elided(ui, name, right - name_left, ink);
        painter.galley(pos2(name_left, y - 0.5 * name.size().y), name, ink);
        response.on_hover_text(format!("{}: click to hide or show", series.name));
    }
    toggled
}

/// The names where a plot has no room for them: under the pointer, with the time and the values there.
pub(super) fn folded_names(response: &Response, ends: &Ends<'_>, view: &View) {
    let Some(at) = response.hover_pos().filter(|at| ends.frame.contains(*at)) else {
        return;
    };
    let day = ends.day_at(view, at.x);
    response.clone().on_hover_ui_at_pointer(|ui| {
        ui.label(moment_words(day));
        Grid::new("folded names").num_columns(3).show(ui, |ui| {
            for (i, series) in ends.data.series.iter().enumerate() {
                if ends.hidden.get(i).copied().unwrap_or(false) {
                    continue;
                }
                let (color, style) = ends.pen(i);
                let (row, _) = ui.allocate_exact_size(vec2(SAMPLE, LABEL_HEIGHT), Sense::hover());
                let sample = [row.left_center(), row.right_center()];
                ui.painter().extend(stroke_of(&sample, color, style));
                let value = ends.value_on(series, day);
                ui.label(ends.measure.words(value));
                ui.label(format!("{}{}", series.name, ends.duty(i, value)));
                ui.end_row();
            }
        });
    });
}

/// How near a pointer must be to a guide to learn its name, points.
const NEAR_GUIDE: f32 = 5.0;

/// Names of guides: all of them on a large plot, else the one under the pointer.
pub(super) fn guide_names(ui: &Ui, ends: &Ends<'_>, pointer: Option<Pos2>) {
    let shown: Vec<&Guide> = ends
        .data
        .guides
        .iter()
        .filter(|g| {
            g.of.is_none_or(|i| !ends.hidden.get(i).copied().unwrap_or(false))
        })
        .collect();
    let place = |g: &Guide| {
        let first = g.points.first().map_or(0.5 * (g.low + g.high), |p| p[1]);
        ends.y_of(ends.measure.height(first))
    };
    let words = |g: &Guide| {
        let value = if g.high > g.low && g.points.is_empty() {
            format!(
                "{} to {}",
                ends.measure.words(g.low),
                ends.measure.words(g.high)
            )
        } else {
            ends.measure.words(g.high)
        };
        let is_above = ends.measure.height(g.high) > ends.range.1;
        let above = if is_above { " ↑" } else { "" };
        format!("{}, {value}{above}", g.name)
    };
    if ends.input.is_large {
        let wanted: Vec<f32> = shown.iter().map(|g| place(g) - 7.0).collect();
        let room = (ends.frame.top(), ends.frame.bottom());
        let places = spread(&wanted, LABEL_HEIGHT - 1.0, room);
        for (guide, y) in shown.iter().zip(places) {
            name_guide(ui, ends, &words(guide), y);
        }
    } else if let Some(pointer) = pointer {
        let near = shown
            .iter()
            .map(|g| (g, (place(g) - pointer.y).abs()))
            .filter(|(_, apart)| *apart <= NEAR_GUIDE)
            .min_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((guide, _)) = near {
            let y = (place(guide) - 8.0).max(ends.frame.top() + 8.0);
            name_guide(ui, ends, &words(guide), y);
        }
    }
}

/// Least distance of marks on the scale of duty, points.
const DUTY_APART: f32 = 26.0;

/// The second scale of a plot of heaters: the duty of those that the first curve is of, at the right edge.
pub(super) fn duty_scale(ui: &Ui, ends: &Ends<'_>) {
    let is_hidden = ends.hidden.first().copied().unwrap_or(false);
    let Some(full) = full_power(ends.data, ends.measure, 0).filter(|_| !is_hidden) else {
        return;
    };
    let (color, _) = ends.pen(0);
    let place = |share: f64| ends.place_of(ends.measure.height(share * full));
    if place(1.0) < ends.frame.top() {
        // Far above what is drawn, but what the duty is a share of all the same.
        let words = format!("duty 100 % at {} ↑", ends.measure.words(full));
        name_guide(ui, ends, &words, ends.frame.top() + 8.0);
        return;
    }
    let has_half = place(0.5) - place(1.0) >= DUTY_APART;
    for share in [1.0, 0.5] {
        let y = place(share);
        if y < ends.frame.top() + 6.0 || (share < 1.0 && !has_half) {
            continue;
        }
        let right = ends.frame.right();
        let tick = [pos2(right - 6.0, y), pos2(right, y)];
        ui.painter().line_segment(tick, Stroke::new(1.0, color));
        let words = if share < 1.0 { "50 %" } else { "duty 100 %" };
        let quiet = ends.input.palette.quiet;
        let text = elided(ui, words, ends.frame.width(), quiet);
        let at = pos2(right - 10.0 - text.size().x, y - 0.5 * text.size().y);
        let back = Rect::from_min_size(at, text.size()).expand2(vec2(2.0, 0.0));
        let fill = ends.input.palette.sheet.gamma_multiply(0.8);
        ui.painter().rect_filled(back, 2.0, fill);
        ui.painter().galley(at, text, quiet);
    }
}

/// Limits that move beyond the head of the picture are said there, so that nobody takes what is not drawn for what is not. A large plot names all of
/// them.
pub(super) fn limits_beyond(ui: &Ui, ends: &Ends<'_>) {
    if ends.input.is_large {
        return;
    }
    let is_beyond = |g: &&Guide| {
        let is_shown =
            g.of.is_none_or(|i| !ends.hidden.get(i).copied().unwrap_or(false));
        let is_moving = !g.points.is_empty();
        is_shown && is_moving && ends.measure.height(g.low) > ends.range.1
    };
    let beyond = ends.data.guides.iter().filter(is_beyond);
    // The lowest is met first.
    let Some(guide) = beyond.min_by(|a, b| a.low.total_cmp(&b.low)) else {
        return;
    };
    let words = format!("saturated at {} ↑", ends.measure.words(guide.low));
    name_guide(ui, ends, &words, ends.frame.top() + 8.0);
}

fn name_guide(ui: &Ui, ends: &Ends<'_>, words: &str, y: f32) {
    let palette = ends.input.palette;
    let width = ends.frame.width() - 12.0;
    let text = elided(ui, words, width, palette.quiet);
    let at = pos2(ends.frame.left() + 6.0, y - 0.5 * text.size().y);
    let back = Rect::from_min_size(at, text.size()).expand2(egui::vec2(2.0, 0.0));
    let fill = palette.sheet.gamma_multiply(0.8);
    ui.painter().rect_filled(back, 2.0, fill);
    ui.painter().galley(at, text, palette.quiet);
}

/// A small text in one line, cut short where it has no room.
pub(crate) fn elided(
    ui: &Ui,
    text: &str,
    width: f32,
    color: Color32,
) -> std::sync::Arc<egui::Galley> {
    let mut job =
        egui::text::LayoutJob::simple_singleline(text.to_owned(), font(size::SMALL), color);
    job.wrap = egui::text::TextWrapping::truncate_at_width(width);
    ui.painter().layout_job(job)
}

pub(super) fn stroke_of(points: &[Pos2], color: Color32, style: Dash) -> Vec<Shape> {
    match style {
        Dash::Dashed { length } => {
            let length = length.min(8.0);
            Shape::dashed_line(
                points,
                Stroke::new(CURVE_WIDTH, color),
                length,
                0.6 * length,
            )
        }
        Dash::Dotted { spacing } => Shape::dotted_line(points, color, spacing, width_of(style)),
        Dash::Solid => vec![Shape::line(
            points.to_vec(),
            Stroke::new(CURVE_WIDTH, color),
        )],
    }
}
