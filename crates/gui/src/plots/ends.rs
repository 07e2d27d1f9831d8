//! Names and values beside the ends of the curves.

use dragback_study::curves::Series;
use egui::{Align2, Color32, Pos2, Rect, Shape, Stroke, Ui, pos2};
use egui_plot::LineStyle;

use super::measure::Measure;
use super::pen::{pen, width_of};
use super::{Drawn, DrawnCurve, PlotInput, View, day_of, mean_between, spread, value_at};
use crate::theme::{CURVE_WIDTH, font, size};

/// Room for names and values beside the curves: as much as the longest needs, but never more than two fifths.
pub(super) fn gutter_width(ui: &Ui, series: &[Series], width: f32) -> f32 {
    let long = series
        .iter()
        .map(|s| text_width(ui, &s.name))
        .fold(0.0, f32::max);
    (SAMPLE + VALUE_WIDTH + long + 10.0).min(0.45 * width)
}

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

pub(super) struct Ends<'a> {
    pub(super) frame: Rect,
    pub(super) range: (f64, f64),
    pub(super) series: &'a [Series],
    pub(super) measure: Measure,
    pub(super) input: &'a PlotInput<'a>,
    pub(super) drawn: &'a Drawn,
}

/// Names beside the ends of the curves, with the value at the cursor, or else the mean of the last week that is seen.
pub(super) fn end_labels(ui: &Ui, ends: &Ends<'_>, view: &View, right: f32) {
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
