//! The picture of settled answers: the curve, its axes and the marks of where the lever stands.

use egui::{Color32, Ui, Vec2};
use egui_plot::{
    GridMark, HLine, Line, LineStyle, MarkerShape, PlotResponse, PlotUi, Points, VLine,
};

use super::BEYOND;
use crate::number::significant;
use crate::plots::{grid_mark, marks, round_step, still_plot};
use crate::theme::Palette;
use crate::view_ctx::ViewCtx;
use dragback_units::Unit;

/// The curve and its marks.
pub(super) struct Drawing<'a> {
    pub(super) points: &'a [[f64; 2]],
    pub(super) marked: (f64, f64),
    pub(super) range: (f64, f64),
    pub(super) x_range: (f64, f64),
    pub(super) present: (f64, Option<f64>),
    pub(super) pinned: Option<[f64; 2]>,
    pub(super) is_log: bool,
    /// Only whole numbers are positions of the lever.
    pub(super) is_whole: bool,
    /// Heights are logarithms.
    pub(super) is_tall: bool,
    pub(super) unit: &'static Unit,
    pub(super) color: Color32,
    pub(super) limit: Option<f64>,
}

impl Drawing<'_> {
    /// Marks along the lever: round values, also where the axis is even in ratios.
    fn x_marks(&self, width: f32) -> Vec<f64> {
        let (low, high) = self.x_range;
        if !self.is_log {
            let parts = f64::from(width / 90.0).max(2.0);
            let step = round_step(high - low, parts);
            // There is nothing between two stages.
            let step = if self.is_whole { step.max(1.0) } else { step };
            return marks((low, high), step);
        }
        let few = (high - low) > 1.6;
        let leads: &[f64] = if few { &[1.0, 3.0] } else { &[1.0, 2.0, 5.0] };
        let mut all = Vec::new();
        let mut decade = low.floor();
        while decade <= high {
            all.extend(leads.iter().map(|lead| decade + lead.log10()));
            decade += 1.0;
        }
        all.retain(|x| (low..=high).contains(x));
        all
    }

    pub(super) fn show(&self, ctx: &ViewCtx<'_>, ui: &mut Ui, area: Vec2) -> PlotResponse<()> {
        let x_marks: Vec<GridMark> = self.x_marks(area.x).into_iter().map(grid_mark).collect();
        let last = x_marks.last().map_or(0.0, |m| m.value);
        let parts = f64::from(area.y / 40.0).clamp(2.0, 8.0);
        let step = if self.is_tall {
            ((self.marked.1 - self.marked.0) / parts).ceil().max(1.0)
        } else {
            round_step(self.marked.1 - self.marked.0, parts)
        };
        let is_tall = self.is_tall;
        let y_marks: Vec<GridMark> = marks(self.marked, step)
            .into_iter()
            .map(grid_mark)
            .collect();
        let (is_log, symbol) = (self.is_log, self.unit.symbol);
        let palette = ctx.palette;
        still_plot("settled answers", palette)
            // The last mark, with its unit, stands half beyond the frame.
            .width((area.x - BEYOND).max(50.0))
            .height(area.y)
            .sense(egui::Sense::click())
            .y_axis_min_width(46.0)
            .x_grid_spacer(move |_| x_marks.clone())
            .y_grid_spacer(move |_| y_marks.clone())
            .x_axis_formatter(move |mark, _| {
                let value = if is_log {
                    10_f64.powf(mark.value)
                } else {
                    mark.value
                };
                let words = significant(value, 5);
                if (mark.value - last).abs() < 1e-9 && !symbol.is_empty() {
                    format!("{words} {symbol}")
                } else {
                    words
                }
            })
            .y_axis_formatter(move |mark, _| {
                let value = if is_tall {
                    10_f64.powf(mark.value)
                } else {
                    mark.value
                };
                significant(value, 5)
            })
            .show(ui, |plot| self.fill(plot, palette))
    }

    /// Curve, limit and marks.
    fn fill(&self, plot: &mut PlotUi<'_>, palette: &Palette) {
        plot.set_plot_bounds_x(self.x_range.0..=self.x_range.1);
        plot.set_plot_bounds_y(self.range.0..=self.range.1);
        if let Some(limit) = self.limit {
            let line = HLine::new("limit", limit).color(palette.alarm).width(1.0);
            let style = LineStyle::Dashed { length: 4.0 };
            plot.hline(line.style(style).allow_hover(false));
        }
        let now = VLine::new("now", self.present.0).color(palette.accent);
        plot.vline(now.width(1.0).allow_hover(false));
        if !self.is_whole {
            let line = Line::new("settled", self.points.to_vec()).color(self.color);
            plot.line(line.width(crate::theme::CURVE_WIDTH).allow_hover(false));
        }
        let dots = Points::new("points", self.points.to_vec()).color(self.color);
        let radius = if self.is_whole { 4.0 } else { 2.0 };
        plot.points(dots.radius(radius).allow_hover(false));
        if let Some(value) = self.present.1 {
            let now = Points::new("present", vec![[self.present.0, value]]);
            plot.points(now.radius(6.0).color(palette.accent).allow_hover(false));
        }
        if let Some(pinned) = self.pinned {
            let kept = Points::new("pinned", vec![pinned]).shape(MarkerShape::Diamond);
            let kept = kept.filled(false).radius(6.0).color(palette.ink);
            plot.points(kept.allow_hover(false));
        }
    }
}
