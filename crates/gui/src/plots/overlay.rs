//! One curve of several lines over one another, each with its name at its end.

use dragback_drawing::plot::width_of;
use egui::accesskit::Role;
use egui::{
    Align2, Color32, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, UiBuilder, WidgetInfo, pos2,
    vec2,
};
use egui_plot::{GridMark, Line, PlotPoints};

use super::ends::{elided, stroke_of, text_width};
use super::still::{grid_mark, still_plot};
use super::{Dash, Measure, StillRange, day_marks, line_style, spread};
use crate::theme::{CURVE_WIDTH, Palette, font, size, space};
use crate::worker::SPAN_DAYS;

/// A curve of one line.
pub(crate) struct OverlayCurve<'a> {
    /// Name of the line.
    pub name: &'a str,
    /// Hours and values, SI; day means.
    pub points: &'a [[f64; 2]],
    /// Hue.
    pub color: Color32,
    /// Dash.
    pub style: Dash,
    /// It is the line itself, and drawn heavier.
    pub is_heavy: bool,
}

/// Curves of several lines.
pub(crate) struct Overlay<'a> {
    /// What is plotted, in which units.
    pub measure: Measure,
    /// Title, with the unit.
    pub title: &'a str,
    /// The curves; those of variants first, so that the line lies on top.
    pub curves: &'a [OverlayCurve<'a>],
    /// Colours.
    pub palette: &'static Palette,
}

/// Height of the title.
const TITLE: f32 = 20.0;
/// Height of a name.
const NAME: f32 = 15.0;
/// Length of the piece of curve in front of a name.
const SAMPLE: f32 = 26.0;
/// Room for a value and the gap behind it.
const GAP: f32 = 6.0;
/// The days before the end whose mean is told.
const LAST_DAYS: usize = 7;
/// How much heavier the line itself is drawn.
const HEAVY: f32 = 1.7;

impl Overlay<'_> {
    /// Mean of the last days of a curve, SI.
    fn last(points: &[[f64; 2]]) -> Option<f64> {
        let from = points.len().saturating_sub(LAST_DAYS);
        let last = points.get(from..).filter(|p| !p.is_empty())?;
        #[expect(clippy::cast_precision_loss, reason = "a week")]
        let count = last.len() as f64;
        Some(last.iter().map(|p| p[1]).sum::<f64>() / count)
    }

    fn extent(&self) -> (f64, f64) {
        let all = self.curves.iter().flat_map(|c| c.points);
        let heights = all
            .map(|p| self.measure.height(p[1]))
            .filter(|h| h.is_finite());
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), h| {
            (a.min(h), b.max(h))
        });
        if low > high {
            return (0.0, 1.0);
        }
        let low = if self.measure.is_from_zero() && low > 0.0 {
            0.0
        } else {
            low
        };
        (low, high)
    }

    /// What the curves say, for those who do not see them.
    fn said(&self) -> String {
        let each = self.curves.iter().rev().filter_map(|c| {
            let words = self.measure.words(Self::last(c.points)?);
            Some(format!("{}: {words}", c.name))
        });
        each.collect::<Vec<_>>().join("; ")
    }
}

/// Draws the curves with their names; values beside the names are means of the last week.
pub(crate) fn overlay_ui(ui: &mut Ui, rect: Rect, overlay: &Overlay<'_>, still: &mut StillRange) {
    let (measure, palette) = (overlay.measure, overlay.palette);
    let at = rect.left_top() + vec2(space::TIGHT, 2.0);
    let title = elided(ui, overlay.title, rect.width() - space::NEAR, palette.ink);
    ui.painter().galley(at, title, palette.ink);
    let values: Vec<String> = overlay
        .curves
        .iter()
        .map(|c| Overlay::last(c.points).map_or_else(String::new, |v| measure.words(v)))
        .collect();
    let wide = |words: &[&str]| words.iter().map(|w| text_width(ui, w)).fold(0.0, f32::max);
    let value_width = wide(&values.iter().map(String::as_str).collect::<Vec<_>>());
    let name_width = wide(&overlay.curves.iter().map(|c| c.name).collect::<Vec<_>>());
    let gutter = (SAMPLE + value_width + GAP + name_width + GAP).min(0.5 * rect.width());
    let area = Rect::from_min_max(
        pos2(rect.left(), rect.top() + TITLE),
        pos2(rect.right() - gutter, rect.bottom()),
    );
    let (low, high) = overlay.extent();
    let (marked, range) = still.rounded(measure.is_log(), low, high);
    let most = f64::from(area.width() / 56.0).max(2.0);
    let days = day_marks((0.0, SPAN_DAYS), most);
    let x_marks: Vec<GridMark> = days.iter().map(|(day, _)| grid_mark(*day)).collect();
    let y_marks = measure.y_marks(marked, area.height() - 20.0);
    let y_step = y_marks
        .windows(2)
        .map(|w| w[1] - w[0])
        .next()
        .unwrap_or(1.0);
    let y_grid: Vec<GridMark> = y_marks.into_iter().map(grid_mark).collect();
    let mut child = ui.new_child(UiBuilder::new().max_rect(area).id_salt("overlay"));
    let shown = still_plot("overlaid curves", palette)
        .width(area.width())
        .height(area.height())
        .y_axis_min_width(46.0)
        .x_grid_spacer(move |_| x_marks.clone())
        .y_grid_spacer(move |_| y_grid.clone())
        .x_axis_formatter(move |mark, _| {
            let found = days.iter().find(|(day, _)| (day - mark.value).abs() < 1e-9);
            found.map_or_else(String::new, |(_, words)| words.clone())
        })
        .y_axis_formatter(move |mark, _| measure.mark_words(mark.value, y_step))
        .show(&mut child, |plot| {
            plot.set_plot_bounds_x(0.0..=SPAN_DAYS);
            plot.set_plot_bounds_y(range.0..=range.1);
            for curve in overlay.curves {
                let points: Vec<[f64; 2]> = curve
                    .points
                    .iter()
                    .map(|p| [p[0] / 24.0, measure.height(p[1])])
                    .collect();
                let line = Line::new(curve.name, PlotPoints::from(points));
                plot.line(
                    line.color(curve.color)
                        .style(line_style(curve.style))
                        .width(width(curve))
                        .allow_hover(false),
                );
            }
        });
    let frame = *shown.transform.frame();
    let response = shown.response;
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, overlay.title));
    let said = overlay.said();
    response
        .ctx
        .accesskit_node_builder(response.id, |node| node.set_description(said));
    let place = |height: f64| {
        shown
            .transform
            .position_from_point(&egui_plot::PlotPoint::new(0.0, height))
            .y
    };
    names_ui(
        ui,
        overlay,
        &values,
        (frame, rect.right(), value_width),
        place,
    );
}

fn width(curve: &OverlayCurve<'_>) -> f32 {
    let width = width_of(curve.style);
    if curve.is_heavy { HEAVY * width } else { width }
}

/// Names and values beside the ends of the curves.
fn names_ui(
    ui: &Ui,
    overlay: &Overlay<'_>,
    values: &[String],
    (frame, right, value_width): (Rect, f32, f32),
    place: impl Fn(f64) -> f32,
) {
    let (measure, palette) = (overlay.measure, overlay.palette);
    let end_of = |curve: &OverlayCurve<'_>| {
        let last = curve.points.last().map(|p| measure.height(p[1]));
        last.map_or(frame.bottom(), &place)
            .clamp(frame.top(), frame.bottom())
    };
    let wanted: Vec<f32> = overlay.curves.iter().map(end_of).collect();
    let places = spread(&wanted, NAME, (frame.top() - 6.0, frame.bottom() + 6.0));
    let left = frame.right() + 2.0;
    for ((curve, value), (&end, &y)) in overlay
        .curves
        .iter()
        .zip(values)
        .zip(wanted.iter().zip(&places))
    {
        let painter = ui.painter();
        let from = pos2(left + GAP, y);
        if !curve.points.is_empty() {
            painter.line_segment([pos2(left, end), from], Stroke::new(0.5, palette.quiet));
        }
        painter.extend(sample(curve, from, SAMPLE - GAP - 4.0));
        let at = pos2(left + SAMPLE + value_width, y);
        painter.text(
            at,
            Align2::RIGHT_CENTER,
            value,
            font(size::SMALL),
            palette.quiet,
        );
        let name_left = at.x + GAP;
        let name = elided(ui, curve.name, right - name_left, palette.ink);
        painter.galley(pos2(name_left, y - 0.5 * name.size().y), name, palette.ink);
        let row = Rect::from_x_y_ranges(left..=right, (y - 0.5 * NAME)..=(y + 0.5 * NAME));
        let response = ui.interact(
            row,
            ui.scope_id().with(("overlaid", curve.name)),
            Sense::hover(),
        );
        response.widget_info(|| {
            WidgetInfo::labeled(
                Role::Label,
                true,
                format!("{}, last week: {value}", curve.name),
            )
        });
        response.on_hover_text(format!("{}, mean of the last week: {value}", curve.name));
    }
}

fn sample(curve: &OverlayCurve<'_>, from: Pos2, length: f32) -> Vec<Shape> {
    let line = [from, pos2(from.x + length, from.y)];
    let mut shapes = stroke_of(&line, curve.color, curve.style);
    if curve.is_heavy {
        shapes.push(Shape::line(
            line.to_vec(),
            Stroke::new(HEAVY * CURVE_WIDTH, curve.color),
        ));
    }
    shapes
}

/// A piece of a line's curve, to stand beside its name.
pub(crate) fn sample_ui(ui: &mut Ui, color: Color32, style: Dash, is_heavy: bool) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(SAMPLE, NAME), Sense::hover());
    let curve = OverlayCurve {
        name: "",
        points: &[],
        color,
        style,
        is_heavy,
    };
    ui.painter()
        .extend(sample(&curve, rect.left_center(), SAMPLE - 4.0));
    response
}
