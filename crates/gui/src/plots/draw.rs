//! The picture of one plot: what lies under the curves, the curves, and what lies over them.

use dragback_drawing::plot::width_of;
use dragback_study::curves::{Guide, GuideKind, Kind};
use egui::{Color32, Stroke, Ui, Vec2};
use egui_plot::{
    FilledArea, GridMark, HLine, Line, LineStyle, MarkerShape, PlotPoint, PlotResponse, PlotUi,
    Points, VLine,
};

use super::ends::is_back;
use super::line_style;
use super::still::{grid_mark, still_plot};
use super::{Dash, Drawn, Measure, PlotInput, View, day_marks, pen};
use crate::results::PlotData;
use crate::theme::Palette;

/// Share of a curve's hue in the band of its range.
const BAND_STRENGTH: f32 = 0.22;
/// The same for flows, whose range within a day is that of pumps on and off.
const FLOW_BAND_STRENGTH: f32 = 0.09;
/// Share of a curve's hue in its ghost.
const GHOST_STRENGTH: f32 = 0.6;
/// Share of its hue that a curve keeps when others have been brought forward.
const BACK_STRENGTH: f32 = 0.3;
/// Rests shorter than this are not shaded where curves are day means, hours.
const LONG_REST_H: f64 = 30.0;

pub(super) struct Drawing<'a> {
    pub(super) measure: Measure,
    /// From foot to head of the picture.
    pub(super) range: (f64, f64),
    /// From the lowest to the highest mark.
    pub(super) marked: (f64, f64),
    pub(super) view: &'a View,
    pub(super) input: &'a PlotInput<'a>,
    pub(super) data: &'a PlotData,
    pub(super) drawn: &'a Drawn,
    /// Number of the curve, line.
    pub(super) ghosts: Vec<(usize, &'a [PlotPoint])>,
    /// Curves that are not shown.
    pub(super) hidden: Vec<bool>,
}

impl Drawing<'_> {
    fn palette(&self) -> &'static Palette {
        self.input.palette
    }

    fn pen(&self, curve: usize) -> (Color32, Dash) {
        let place = self.data.pens.get(curve).copied().unwrap_or(curve);
        let (color, style) = pen(self.measure.kind, place, self.palette());
        let name = self.data.series.get(curve).map_or("", |s| s.name.as_str());
        if is_back(self.data, self.input, name) {
            (color.gamma_multiply(BACK_STRENGTH), style)
        } else {
            (color, style)
        }
    }

    fn is_hidden(&self, curve: usize) -> bool {
        self.hidden.get(curve).copied().unwrap_or(false)
    }
}

/// Least room for the marks of an axis, points.
const MARKS: f32 = 46.0;

/// Draws the plot into an area. Gives also the width of the widest mark of its axis.
pub(super) fn draw(ui: &mut Ui, area: Vec2, d: &Drawing<'_>) -> (PlotResponse<()>, f32) {
    let (measure, range, view) = (d.measure, d.range, d.view);
    let most = f64::from(area.x / 56.0).max(2.0);
    let (from, to) = (view.from, view.to);
    let days = day_marks((from, to), most);
    let y_marks = measure.y_marks(d.marked, area.y - 20.0);
    let y_step = y_marks
        .windows(2)
        .map(|w| w[1] - w[0])
        .next()
        .unwrap_or(1.0);
    let marks_width = y_marks
        .iter()
        .map(|m| mark_width(ui, measure.mark_words(*m, y_step)))
        .fold(0.0, f32::max);
    let x_marks: Vec<GridMark> = days.iter().map(|(day, _)| grid_mark(*day)).collect();
    let y_marks: Vec<GridMark> = y_marks.into_iter().map(grid_mark).collect();
    let response = still_plot(("curves", d.input.place), d.palette())
        .width(area.x)
        .height(area.y)
        .sense(egui::Sense::click_and_drag())
        .y_axis_min_width(d.input.sides.left.max(MARKS))
        .x_grid_spacer(move |_| x_marks.clone())
        .y_grid_spacer(move |_| y_marks.clone())
        .x_axis_formatter(move |mark, _| {
            let is_here = |day: f64| (mark.value - day).abs() < 1e-9;
            let found = days.iter().find(|(day, _)| is_here(*day));
            found.map_or_else(String::new, |(_, words)| words.clone())
        })
        .y_axis_formatter(move |mark, _| measure.mark_words(mark.value, y_step))
        .show(ui, |plot| {
            plot.set_plot_bounds_x(from..=to);
            plot.set_plot_bounds_y(range.0..=range.1);
            rests(plot, d);
            guides(plot, d);
            margin(plot, d);
            bands(plot, d);
            ghosts(plot, d);
            curves(plot, d);
            events(plot, d);
            alarms(plot, d);
            if let Some(cursor) = view.cursor {
                let line = VLine::new("cursor", cursor).color(d.palette().ink);
                plot.vline(line.width(1.25).allow_hover(false));
            }
        });
    (response, marks_width)
}

/// Room that the plot keeps on both sides of its marks, points.
const BESIDE_MARKS: f32 = 8.0;

/// Width that the words at a mark of an axis take.
fn mark_width(ui: &Ui, words: String) -> f32 {
    let font = egui::TextStyle::Body.resolve(ui.style());
    let galley = ui.painter().layout_no_wrap(words, font, Color32::BLACK);
    galley.size().x + BESIDE_MARKS
}

/// Hours in which no work runs: weekends always, nights where they can be told apart.
fn rests(plot: &mut PlotUi<'_>, d: &Drawing<'_>) {
    let fill = d.palette().tint(d.palette().rule, 0.4);
    let is_daily = d.view.is_daily();
    for (i, [from_h, to_h]) in d.input.set.rests.iter().enumerate() {
        let (from, to) = (from_h / 24.0, to_h / 24.0);
        let is_seen = to > d.view.from && from < d.view.to;
        if is_seen && (!is_daily || to_h - from_h >= LONG_REST_H) {
            let (low, high) = ([d.range.0; 2], [d.range.1; 2]);
            let area = FilledArea::new(format!("rest {i}"), &[from, to], &low, &high);
            plot.add(
                area.fill_color(fill)
                    .stroke(Stroke::NONE)
                    .allow_hover(false),
            );
        }
    }
}

/// Colour of a guide: that of its curve, or of an alarm where it belongs to all.
fn guide_color(d: &Drawing<'_>, guide: &Guide) -> Color32 {
    match (guide.of, guide.kind) {
        (Some(curve), _) => d.pen(curve).0,
        (None, GuideKind::Limit) => d.palette().alarm,
        (None, GuideKind::Set) => d.palette().quiet,
    }
}

fn guides(plot: &mut PlotUi<'_>, d: &Drawing<'_>) {
    for (i, guide) in d.data.guides.iter().enumerate() {
        if guide.of.is_some_and(|curve| d.is_hidden(curve)) {
            continue;
        }
        let color = guide_color(d, guide);
        let (low, high) = (d.measure.height(guide.low), d.measure.height(guide.high));
        let style = match guide.kind {
            GuideKind::Limit => LineStyle::Dashed { length: 4.0 },
            GuideKind::Set => LineStyle::Dotted { spacing: 5.0 },
        };
        if !guide.points.is_empty() {
            let at = |p: &[f64; 2]| [p[0] / 24.0, d.measure.height(p[1])];
            let points: Vec<[f64; 2]> = guide.points.iter().map(at).collect();
            let line = Line::new(format!("guide {i}"), points).style(style);
            plot.line(line.color(color).width(1.0).allow_hover(false));
        } else if high > low {
            let (days, low, high) = ([d.view.from, d.view.to], [low; 2], [high; 2]);
            let area = FilledArea::new(format!("guide {i}"), &days, &low, &high);
            let fill = color.gamma_multiply(0.12);
            plot.add(
                area.fill_color(fill)
                    .stroke(Stroke::NONE)
                    .allow_hover(false),
            );
        } else {
            let line = HLine::new(format!("guide {i}"), low).style(style);
            let width = if guide.kind == GuideKind::Limit {
                1.0
            } else {
                0.8
            };
            plot.hline(line.color(color).width(width).allow_hover(false));
        }
    }
}

/// What evaporation leaves over the feed, or lacks.
fn margin(plot: &mut PlotUi<'_>, d: &Drawing<'_>) {
    if d.measure.kind != Kind::Evaporation || d.is_hidden(0) || d.is_hidden(2) {
        return;
    }
    let (Some(out), Some(feed)) = (d.drawn.curves.first(), d.drawn.curves.get(2)) else {
        return;
    };
    let both = out.line.iter().zip(&feed.line);
    let met: Vec<(&PlotPoint, &PlotPoint)> = both
        .filter(|(a, b)| (a.x - b.x).abs() < 1e-9 && a.y.is_finite() && b.y.is_finite())
        .collect();
    let days: Vec<f64> = met.iter().map(|(a, _)| a.x).collect();
    let greater: Vec<f64> = met.iter().map(|(a, b)| a.y.max(b.y)).collect();
    let out: Vec<f64> = met.iter().map(|(a, _)| a.y).collect();
    let feed: Vec<f64> = met.iter().map(|(_, b)| b.y).collect();
    for (name, foot, color) in [
        ("room for more", &feed, d.palette().good),
        ("too much", &out, d.palette().alarm),
    ] {
        let area = FilledArea::new(name, &days, foot, &greater);
        let fill = color.gamma_multiply(0.25);
        plot.add(
            area.fill_color(fill)
                .stroke(Stroke::NONE)
                .allow_hover(false),
        );
    }
}

fn bands(plot: &mut PlotUi<'_>, d: &Drawing<'_>) {
    let strength = if d.measure.is_flow() {
        FLOW_BAND_STRENGTH
    } else {
        BAND_STRENGTH
    };
    for (i, curve) in d.drawn.curves.iter().enumerate() {
        let Some(band) = curve.band.as_ref().filter(|_| !d.is_hidden(i)) else {
            continue;
        };
        let fill = d.pen(i).0.gamma_multiply(strength);
        let area = FilledArea::new(format!("band {i}"), &band.days, &band.least, &band.greatest);
        plot.add(
            area.fill_color(fill)
                .stroke(Stroke::NONE)
                .allow_hover(false),
        );
    }
}

/// Curves of the state that is kept to compare with.
fn ghosts<'a>(plot: &mut PlotUi<'a>, d: &Drawing<'a>) {
    for (i, line) in &d.ghosts {
        if d.is_hidden(*i) {
            continue;
        }
        let color = d.pen(*i).0.gamma_multiply(GHOST_STRENGTH);
        let line = Line::new(format!("ghost {i}"), *line)
            .color(color)
            .width(1.0);
        plot.line(
            line.style(LineStyle::Dashed { length: 3.0 })
                .allow_hover(false),
        );
    }
}

fn curves<'a>(plot: &mut PlotUi<'a>, d: &Drawing<'a>) {
    for (i, curve) in d.drawn.curves.iter().enumerate() {
        if d.is_hidden(i) {
            continue;
        }
        let (color, style) = d.pen(i);
        let line = Line::new(format!("curve {i}"), curve.line.as_slice());
        plot.line(
            line.color(color)
                .width(width_of(style))
                .style(line_style(style))
                .allow_hover(false),
        );
    }
}

/// A dotted line and a mark at the head for each event of the scenario.
fn events(plot: &mut PlotUi<'_>, d: &Drawing<'_>) {
    let head = d.range.1 - 0.04 * (d.range.1 - d.range.0);
    let color = d.palette().accent;
    for (i, event) in d.input.set.events.iter().enumerate() {
        let day = event.at_h / 24.0;
        if day < d.view.from || day > d.view.to {
            continue;
        }
        let line = VLine::new(format!("event {i}"), day).color(color.gamma_multiply(0.7));
        let style = LineStyle::Dotted { spacing: 4.0 };
        plot.vline(line.width(0.8).style(style).allow_hover(false));
        let mark = Points::new(format!("event mark {i}"), vec![[day, head]]);
        let mark = mark.shape(MarkerShape::Diamond).radius(4.0).color(color);
        plot.points(mark.allow_hover(false));
    }
}

/// A mark at the head of the picture for each alarm; those that would stand on one another are one mark.
fn alarms(plot: &mut PlotUi<'_>, d: &Drawing<'_>) {
    let apart = (d.view.to - d.view.from) / 200.0;
    let mut days: Vec<f64> = Vec::new();
    for (hours, _) in &d.input.set.alarms {
        let day = hours / 24.0;
        let is_seen = day >= d.view.from && day <= d.view.to;
        if is_seen && days.last().is_none_or(|last| day - last > apart) {
            days.push(day);
        }
    }
    if days.is_empty() {
        return;
    }
    let head = d.range.1 - 0.03 * (d.range.1 - d.range.0);
    let points: Vec<[f64; 2]> = days.into_iter().map(|day| [day, head]).collect();
    let points = Points::new("alarms", points).shape(MarkerShape::Down);
    plot.points(
        points
            .radius(4.0)
            .color(d.palette().alarm)
            .allow_hover(false),
    );
}
