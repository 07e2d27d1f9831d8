//! The four plots over time: one shared axis of days, one shared cursor, names at the ends of the curves.

mod daily;
mod decimate;
mod drawn;
mod labels;
mod scale;

use dragback_study::curves::{Kind, Series};
use dragback_units::{Dim, Style, System};
use egui::accesskit::Role;
use egui::{Align2, Color32, Pos2, Rect, Shape, Stroke, Ui, UiBuilder, Vec2, pos2, vec2};
use egui_plot::{FilledArea, GridMark, Line, LineStyle, Plot, PlotResponse, VLine};

pub use daily::{Day, daily};
pub use decimate::decimate;
pub use drawn::{Band, DAILY_FROM, Drawn, DrawnCache, DrawnCurve};
pub use labels::spread;
pub use scale::{StillRange, day_step, marks, round_step};

use crate::number::{joined, strength, three};
use crate::results::CurveSet;
use crate::theme::{CURVE_WIDTH, Palette, font, size, space};
use crate::worker::SPAN_DAYS;

/// What is plotted, in reading order.
pub const KINDS: [Kind; 4] = [
    Kind::Concentration,
    Kind::Level,
    Kind::Temperature,
    Kind::Evaporation,
];

/// The part of the time axis that is seen, days, and where the cursor stands. All plots share it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Left end.
    pub from: f64,
    /// Right end.
    pub to: f64,
    /// Cursor.
    pub cursor: Option<f64>,
}

/// The shortest time that can be seen, days.
const SHORTEST: f64 = 0.5;

impl Default for View {
    fn default() -> Self {
        Self {
            from: 0.0,
            to: SPAN_DAYS,
            cursor: None,
        }
    }
}

impl View {
    /// Whether so much is seen that curves are day means.
    #[must_use]
    pub fn is_daily(&self) -> bool {
        self.to - self.from > DAILY_FROM
    }

    /// Moves by so many days, as far as there is something to see.
    pub fn shift(&mut self, days: f64) {
        let days = days.clamp(-self.from, SPAN_DAYS - self.to);
        self.from += days;
        self.to += days;
    }

    /// Magnifies about a day.
    pub fn zoom(&mut self, factor: f64, about: f64) {
        let span = ((self.to - self.from) / factor).clamp(SHORTEST, SPAN_DAYS);
        let share = ((about - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.from = (about - share * span).clamp(0.0, SPAN_DAYS - span);
        self.to = self.from + span;
    }
}

/// How values of a plot become heights and words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// What is plotted.
    pub kind: Kind,
    /// Units.
    pub system: System,
}

/// Strengths below this are drawn at the foot of a log axis, kg/m³.
const LEAST_STRENGTH: f64 = 1.0e-8;

impl Measure {
    const fn dim(self) -> Dim {
        match self.kind {
            Kind::Concentration => Dim::Concentration,
            Kind::Level => Dim::Length,
            Kind::Temperature => Dim::Temperature,
            Kind::Evaporation => Dim::VolumeFlow,
        }
    }

    const fn is_log(self) -> bool {
        matches!(self.kind, Kind::Concentration)
    }

    /// Height at which an SI value is drawn: the value in its unit, or the logarithm of mg/L.
    #[must_use]
    pub fn height(self, si: f64) -> f64 {
        if self.is_log() {
            (1000.0 * si.max(LEAST_STRENGTH)).log10()
        } else {
            self.dim()
                .display_unit(self.system, Style::Default)
                .from_si(si)
        }
    }

    /// An SI value in words.
    #[must_use]
    pub fn words(self, si: f64) -> String {
        if self.is_log() {
            return joined(strength(si, self.system));
        }
        let unit = self.dim().display_unit(self.system, Style::Default);
        joined((three(unit.from_si(si), 2), unit.symbol))
    }

    /// Title, with the unit of the axis.
    #[must_use]
    pub fn title(self, lead: &str) -> String {
        let unit = self.dim().display_unit(self.system, Style::Default).symbol;
        match self.kind {
            Kind::Concentration => format!("{lead} in each tank, log scale"),
            Kind::Level => format!("Levels, {unit}"),
            Kind::Temperature => format!("Temperatures, {unit}"),
            Kind::Evaporation => format!("Evaporation against rinse feed, {unit}"),
        }
    }

    /// Words at a mark; `step` parts the marks, so that all of an axis have the same decimals.
    fn mark_words(self, height: f64, step: f64) -> String {
        if !self.is_log() {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to 9"
            )]
            let decimals = (-step.log10() - 1e-9).ceil().clamp(0.0, 9.0) as usize;
            return format!("{height:.decimals$}").replace('-', "−");
        }
        let mg_per_l = 10_f64.powf(height);
        match self.system {
            System::Metric if mg_per_l > 999.0 => format!("{} g/L", tidy(mg_per_l / 1000.0)),
            _ => format!("{} mg/L", tidy(mg_per_l)),
        }
    }

    fn y_marks(self, (low, high): (f64, f64), height_px: f32) -> Vec<f64> {
        if self.is_log() {
            let step = ((high - low) / f64::from(height_px / 22.0).max(1.0))
                .ceil()
                .max(1.0);
            return marks((low, high), step);
        }
        marks(
            (low, high),
            round_step(high - low, f64::from(height_px / 40.0).clamp(2.0, 8.0)),
        )
    }
}

/// A round number without noise in its last place.
fn tidy(value: f64) -> String {
    let rounded: f64 = format!("{value:.6e}").parse().unwrap_or(value);
    format!("{rounded}").replace('-', "−")
}

/// Dash of a curve by its number, so that hue is never the only carrier.
#[must_use]
pub fn dash(index: usize) -> LineStyle {
    match index % 8 {
        0 => LineStyle::Solid,
        1 => LineStyle::Dashed { length: 12.0 },
        2 => LineStyle::Dashed { length: 5.0 },
        3 => LineStyle::Dashed { length: 20.0 },
        4 => LineStyle::Dotted { spacing: 4.0 },
        5 => LineStyle::Dashed { length: 8.0 },
        6 => LineStyle::Dashed { length: 3.0 },
        _ => LineStyle::Dotted { spacing: 8.0 },
    }
}

/// Width of a curve; for dots it is their radius.
const fn width_of(style: LineStyle) -> f32 {
    match style {
        LineStyle::Dotted { .. } => 0.65 * CURVE_WIDTH,
        _ => CURVE_WIDTH,
    }
}

/// Hue and dash of one curve. Tanks keep theirs across all plots; flows have others.
#[must_use]
pub fn pen(kind: Kind, index: usize, palette: &Palette) -> (Color32, LineStyle) {
    if kind == Kind::Evaporation {
        let hues = [palette.series[6], palette.series[7], palette.accent];
        let dashes = [
            LineStyle::Solid,
            LineStyle::Dashed { length: 6.0 },
            LineStyle::Dashed { length: 14.0 },
        ];
        return (hues[index % 3], dashes[index % 3]);
    }
    (palette.series[index % palette.series.len()], dash(index))
}

/// One plot with what it remembers between frames.
pub struct CurvePlot {
    kind: Kind,
    still: StillRange,
    cache: DrawnCache,
}

/// What a plot needs from outside.
pub struct PlotInput<'a> {
    /// Curves of all plots.
    pub set: &'a CurveSet,
    /// Number of this plot among them.
    pub place: usize,
    /// Units.
    pub system: System,
    /// Colours.
    pub palette: &'static Palette,
    /// Name of the solute by which rinse quality is judged.
    pub lead: &'a str,
}

impl CurvePlot {
    /// An empty plot.
    #[must_use]
    pub fn new(kind: Kind) -> Self {
        Self {
            kind,
            still: StillRange::default(),
            cache: DrawnCache::default(),
        }
    }

    /// Lets the axis find its range anew.
    pub fn forget(&mut self) {
        self.still.forget();
    }

    /// Draws title, plot and names into `rect`; pans, zooms and moves the cursor. Returns the rectangle of the curves.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        input: &PlotInput<'_>,
        view: &mut View,
    ) -> Rect {
        let empty = Vec::new();
        let series = input.set.plots.get(input.place).unwrap_or(&empty);
        let measure = Measure {
            kind: self.kind,
            system: input.system,
        };
        let gutter = gutter_width(ui, series, rect.width());
        let title_height = 22.0;
        let title = measure.title(input.lead);
        let at = rect.left_top() + vec2(space::TIGHT, 3.0);
        ui.painter().text(
            at,
            Align2::LEFT_TOP,
            &title,
            font(size::BODY),
            input.palette.ink,
        );
        let plot_rect = Rect::from_min_max(
            pos2(rect.left(), rect.top() + title_height),
            pos2(rect.right() - gutter, rect.bottom()),
        );
        let columns = plot_rect.width().clamp(50.0, 1000.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "50 to 1000"
        )]
        let drawn = self.cache.get(
            input.set,
            series,
            measure,
            (view.from, view.to),
            columns as usize,
        );
        let (low, high) = drawn.extent;
        let marked = if measure.is_log() {
            self.still.decades(low, high)
        } else {
            self.still.linear(low, high)
        };
        // The end marks would be cut in half without a little room beyond them.
        let room = 0.03 * (marked.1 - marked.0);
        let range = (marked.0 - room, marked.1 + room);
        let mut child = ui.new_child(UiBuilder::new().max_rect(plot_rect).id_salt(input.place));
        let response = draw(
            &mut child,
            plot_rect.size(),
            drawn,
            &Drawing {
                measure,
                range,
                marked,
                view,
                input,
            },
        );
        name_axis(&response, &title);
        let frame = *response.transform.frame();
        let ends = Ends {
            frame,
            range,
            series,
            measure,
            input,
            drawn,
        };
        end_labels(ui, &ends, view, rect.right());
        self.follow_pointer(&response, view);
        frame
    }

    /// Pan, zoom and cursor.
    fn follow_pointer(&self, response: &PlotResponse<()>, view: &mut View) {
        let plot = &response.response;
        let day_at = |pos: Pos2| response.transform.value_from_position(pos).x;
        let per_point =
            (view.to - view.from) / f64::from(response.transform.frame().width().max(1.0));
        if plot.dragged() {
            view.shift(-f64::from(plot.drag_delta().x) * per_point);
        }
        if plot.double_clicked() {
            *view = View {
                cursor: view.cursor,
                ..View::default()
            };
        }
        if let Some(pos) = plot.hover_pos() {
            let day = day_at(pos);
            view.cursor = Some(day.clamp(view.from, view.to));
            let (zoom, scroll) = plot
                .ctx
                .input(|i| (i.zoom_delta(), i.smooth_scroll_delta()));
            let factor = f64::from(zoom) * f64::from(scroll.y * 0.005).exp();
            if (factor - 1.0).abs() > 1e-6 {
                view.zoom(factor, day);
            }
            if scroll.x != 0.0 {
                view.shift(-f64::from(scroll.x) * per_point);
            }
        }
    }
}

fn name_axis(response: &PlotResponse<()>, title: &str) {
    response
        .response
        .widget_info(|| egui::WidgetInfo::labeled(Role::Canvas, true, title));
}

struct Drawing<'a> {
    measure: Measure,
    /// From foot to head of the picture.
    range: (f64, f64),
    /// From the lowest to the highest mark.
    marked: (f64, f64),
    view: &'a View,
    input: &'a PlotInput<'a>,
}

fn draw(ui: &mut Ui, area: Vec2, drawn: &Drawn, d: &Drawing<'_>) -> PlotResponse<()> {
    let (measure, range, view, palette) = (d.measure, d.range, d.view, d.input.palette);
    let most = f64::from(area.x / 56.0).max(2.0);
    let step = day_step(view.to - view.from, most);
    let (from, to) = (view.from, view.to);
    let y_marks = measure.y_marks(d.marked, area.y - 20.0);
    let y_step = y_marks
        .windows(2)
        .map(|w| w[1] - w[0])
        .next()
        .unwrap_or(1.0);
    let mark = |value: f64| GridMark {
        value,
        step_size: 1e9,
    };
    let x_marks: Vec<GridMark> = marks((from, to), step).into_iter().map(mark).collect();
    let last_mark = x_marks.last().map_or(0.0, |m| m.value);
    let y_marks: Vec<GridMark> = y_marks.into_iter().map(mark).collect();
    Plot::new(("curves", d.input.place))
        .width(area.x)
        .height(area.y)
        .show_background(false)
        .show_crosshair(false)
        .allow_zoom(false)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .allow_axis_zoom_drag(false)
        .sense(egui::Sense::click_and_drag())
        .cursor_color(Color32::TRANSPARENT)
        .grid_color(palette.rule)
        .y_axis_min_width(46.0)
        .label_formatter(|_| None)
        .x_grid_spacer(move |_| x_marks.clone())
        .y_grid_spacer(move |_| y_marks.clone())
        .x_axis_formatter(move |mark, _| {
            let is_last = (mark.value - last_mark).abs() < 1e-9;
            if is_last {
                format!("{} days", tidy(mark.value))
            } else {
                tidy(mark.value)
            }
        })
        .y_axis_formatter(move |mark, _| measure.mark_words(mark.value, y_step))
        .show(ui, |plot| {
            plot.set_plot_bounds_x(from..=to);
            plot.set_plot_bounds_y(range.0..=range.1);
            if let Some(cursor) = view.cursor {
                plot.vline(
                    VLine::new("cursor", cursor)
                        .color(palette.quiet)
                        .width(1.0)
                        .allow_hover(false),
                );
            }
            for (i, curve) in drawn.curves.iter().enumerate() {
                let Some(band) = &curve.band else { continue };
                let (color, _) = pen(measure.kind, i, palette);
                let fill = color.gamma_multiply(BAND_STRENGTH);
                let area =
                    FilledArea::new(format!("band {i}"), &band.days, &band.least, &band.greatest);
                plot.add(
                    area.fill_color(fill)
                        .stroke(Stroke::NONE)
                        .allow_hover(false),
                );
            }
            for (i, curve) in drawn.curves.iter().enumerate() {
                let (color, style) = pen(measure.kind, i, palette);
                let line = Line::new(format!("curve {i}"), curve.line.as_slice());
                plot.line(
                    line.color(color)
                        .width(width_of(style))
                        .style(style)
                        .allow_hover(false),
                );
            }
        })
}

/// Room for names and values beside the curves: as much as the longest needs, but never more than two fifths.
fn gutter_width(ui: &Ui, series: &[Series], width: f32) -> f32 {
    let long = series
        .iter()
        .map(|s| text_width(ui, &s.name))
        .fold(0.0, f32::max);
    (SAMPLE + VALUE_WIDTH + long + 10.0).min(0.45 * width)
}

/// Share of a curve's hue in the band of its range.
const BAND_STRENGTH: f32 = 0.22;
/// Length of the piece of curve in front of a name.
const SAMPLE: f32 = 24.0;
/// Room for a value with its unit.
const VALUE_WIDTH: f32 = 58.0;
/// Height of one name.
const LABEL_HEIGHT: f32 = 15.0;

fn text_width(ui: &Ui, text: &str) -> f32 {
    ui.painter()
        .layout_no_wrap(text.to_owned(), font(size::SMALL), Color32::BLACK)
        .size()
        .x
}

struct Ends<'a> {
    frame: Rect,
    range: (f64, f64),
    series: &'a [Series],
    measure: Measure,
    input: &'a PlotInput<'a>,
    drawn: &'a Drawn,
}

/// Names beside the ends of the curves, with the value at the cursor, or else the mean of the last week that is seen.
fn end_labels(ui: &Ui, ends: &Ends<'_>, view: &View, right: f32) {
    let painter = ui.painter();
    let palette = ends.input.palette;
    let y_of = |height: f64| {
        let height = height.clamp(ends.range.0, ends.range.1);
        let share = (height - ends.range.0) / (ends.range.1 - ends.range.0);
        #[expect(clippy::cast_possible_truncation, reason = "a share of the frame")]
        let share = share as f32;
        ends.frame.bottom() - share * ends.frame.height()
    };
    let end_of = |curve: &DrawnCurve| {
        let seen = curve
            .line
            .iter()
            .rev()
            .find(|p| p.x <= view.to + 1e-9 && p.y.is_finite());
        seen.map_or(ends.frame.bottom(), |p| y_of(p.y))
    };
    let wanted: Vec<f32> = ends.drawn.curves.iter().map(end_of).collect();
    let places = spread(
        &wanted,
        LABEL_HEIGHT,
        (ends.frame.top() - 6.0, ends.frame.bottom() + 6.0),
    );
    let left = ends.frame.right() + 2.0;
    for ((i, series), (y, end)) in ends
        .series
        .iter()
        .enumerate()
        .zip(places.into_iter().zip(wanted))
    {
        let (color, style) = pen(ends.measure.kind, i, palette);
        let sample = [
            pos2(left, end),
            pos2(left + 6.0, y),
            pos2(left + SAMPLE - 4.0, y),
        ];
        painter.extend(stroke_of(&sample, color, style));
        let si = match view.cursor {
            Some(day) if view.is_daily() => mean_between(series, day_of(day), day_of(day) + 1.0),
            Some(day) => value_at(series, day),
            None => mean_between(series, view.from.max(view.to - 7.0), view.to),
        };
        let value_right = left + SAMPLE + VALUE_WIDTH;
        let value_at = pos2(value_right, y);
        painter.text(
            value_at,
            Align2::RIGHT_CENTER,
            ends.measure.words(si),
            font(size::SMALL),
            palette.quiet,
        );
        let name_left = value_right + 6.0;
        let name = elided(ui, &series.name, right - name_left, palette.ink);
        painter.galley(pos2(name_left, y - 0.5 * name.size().y), name, palette.ink);
    }
}

fn elided(ui: &Ui, text: &str, width: f32, color: Color32) -> std::sync::Arc<egui::Galley> {
    let mut job =
        egui::text::LayoutJob::simple_singleline(text.to_owned(), font(size::SMALL), color);
    job.wrap = egui::text::TextWrapping::truncate_at_width(width);
    ui.painter().layout_job(job)
}

fn stroke_of(points: &[Pos2], color: Color32, style: LineStyle) -> Vec<Shape> {
    match style {
        LineStyle::Dashed { length } => {
            let length = length.min(8.0);
            Shape::dashed_line(
                points,
                Stroke::new(CURVE_WIDTH, color),
                length,
                0.6 * length,
            )
        }
        LineStyle::Dotted { spacing } => {
            Shape::dotted_line(points, color, spacing, width_of(style))
        }
        LineStyle::Solid => vec![Shape::line(
            points.to_vec(),
            Stroke::new(CURVE_WIDTH, color),
        )],
    }
}

/// SI value of a curve at a day: that of the last moment before it.
#[must_use]
pub fn value_at(series: &Series, day: f64) -> f64 {
    let hour = day * 24.0;
    let next = series.points.partition_point(|p| p[0] <= hour + 1e-6);
    let place = next.saturating_sub(1);
    series.points.get(place).map_or(f64::NAN, |p| p[1])
}

/// Beginning of the day in which the cursor stands; the end of the run belongs to its last day.
#[must_use]
pub fn day_of(cursor: f64) -> f64 {
    cursor.floor().min(SPAN_DAYS - 1.0)
}

/// Mean over time of a curve between two days, SI; a value holds over the time before it, the first one from the start.
#[must_use]
pub fn mean_between(series: &Series, from: f64, to: f64) -> f64 {
    let (from_h, to_h) = (24.0 * from, 24.0 * to);
    let first = series
        .points
        .partition_point(|p| p[0] <= from_h)
        .saturating_sub(1);
    let (mut sum, mut hours) = (0.0, 0.0);
    let mut before_h = if first == 0 {
        0.0
    } else {
        series.points[first - 1][0]
    };
    for &[hour, value] in series.points.get(first..).unwrap_or_default() {
        let dt = hour.min(to_h) - before_h.max(from_h);
        if dt > 0.0 && value.is_finite() {
            sum += dt * value;
            hours += dt;
        }
        if hour >= to_h {
            break;
        }
        before_h = hour;
    }
    if hours > 0.0 {
        sum / hours
    } else {
        value_at(series, to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_view_never_leaves_the_run() {
        let mut view = View::default();
        view.shift(10.0);
        assert_eq!((view.from, view.to), (0.0, SPAN_DAYS));
        view.zoom(3.0, 45.0);
        assert!((view.from - 30.0).abs() < 1e-9 && (view.to - 60.0).abs() < 1e-9);
        view.shift(1000.0);
        assert!((view.to - SPAN_DAYS).abs() < 1e-9);
        view.zoom(1e9, 80.0);
        assert!((view.to - view.from - SHORTEST).abs() < 1e-9);
        view.zoom(1e-9, 80.0);
        assert_eq!((view.from, view.to), (0.0, SPAN_DAYS));
    }

    #[test]
    fn values_are_said_in_the_unit_that_suits_them() {
        let metric = Measure {
            kind: Kind::Concentration,
            system: System::Metric,
        };
        assert_eq!(metric.words(0.0092), "9.20\u{a0}mg/L");
        assert_eq!(metric.mark_words(4.0, 1.0), "10 g/L");
        assert_eq!(metric.mark_words(-1.0, 1.0), "0.1 mg/L");
        let us = Measure {
            kind: Kind::Temperature,
            system: System::Us,
        };
        assert_eq!(us.words(344.261_111), "160\u{a0}°F");
        assert!((us.height(344.261_111) - 160.0).abs() < 1e-3);
    }

    #[test]
    fn dashes_tell_neighbours_apart() {
        for i in 0..7 {
            for j in i + 1..8 {
                assert_ne!(dash(i), dash(j), "{i} and {j}");
            }
        }
    }

    #[test]
    fn the_value_at_a_day_is_the_last_known() {
        let points = vec![[0.0, 1.0], [24.0, 2.0], [48.0, 3.0]];
        let series = Series {
            name: "x".to_owned(),
            dim: Dim::Length,
            points,
        };
        assert_eq!(value_at(&series, 1.0), 2.0);
        assert_eq!(value_at(&series, 1.5), 2.0);
        assert_eq!(value_at(&series, 90.0), 3.0);
        assert_eq!(
            mean_between(&series, 0.5, 2.0),
            (12.0 * 2.0 + 24.0 * 3.0) / 36.0
        );
        assert_eq!(mean_between(&series, 5.0, 6.0), 3.0);
        let points = vec![[6.0, 8.0], [24.0, 4.0], [30.0, f64::NAN], [48.0, 1.0]];
        let flow = Series { points, ..series };
        assert_eq!(
            mean_between(&flow, 0.0, 1.0),
            (6.0 * 8.0 + 18.0 * 4.0) / 24.0
        );
        assert_eq!(mean_between(&flow, 1.0, 2.0), 1.0);
    }
}
