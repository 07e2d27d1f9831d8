//! The trade-off: number of rinses against water, evaporation or cost, a series for each way to close the loop.

use dragback_scenario::{ClosedBy, Layout};
use egui::accesskit::Role;
use egui::{
    Align2, Button, Color32, Pos2, Rect, RichText, Sense, Stroke, Ui, UiBuilder, WidgetInfo, pos2,
    vec2,
};
use egui_plot::{
    GridMark, Line, LineStyle, MarkerShape, PlotPoint, PlotResponse, PlotTransform, PlotUi, Points,
};

use crate::number::significant;
use crate::plots::{StillRange, grid_mark, marks, round_step, spread, still_plot};
use crate::sizing::{Height, Series, SizingTable, closed_words, row_words, series};
use crate::theme::{CURVE_WIDTH, Palette, font, size, space};
use crate::view_ctx::ViewCtx;

/// Height of the line with the choices.
const HEAD: f32 = 24.0;
/// Room for the names at the ends of the series.
const NAMES: f32 = 104.0;
/// Height of a name.
const NAME: f32 = 15.0;
/// How near a press must be to a point, points.
const NEAR: f32 = 14.0;

/// Hue, dash and marker of a series.
const fn pen(closed_by: ClosedBy, palette: &Palette) -> (Color32, LineStyle, MarkerShape) {
    match closed_by {
        ClosedBy::Surface => (palette.series[5], LineStyle::Solid, MarkerShape::Circle),
        ClosedBy::BathTower => {
            let dashed = LineStyle::Dashed { length: 8.0 };
            (palette.series[6], dashed, MarkerShape::Square)
        }
        ClosedBy::HoldingTank => {
            let dotted = LineStyle::Dotted { spacing: 5.0 };
            (palette.series[3], dotted, MarkerShape::Diamond)
        }
    }
}

/// Draws the plot; gives the row whose point was pressed.
pub(super) fn plot_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    table: &SizingTable,
    looked_at: Option<Layout>,
    height: &mut Height,
) -> Option<Layout> {
    let has_cost = table.working().any(|row| row.yearly_cost.is_some());
    if *height == Height::Cost && !has_cost {
        *height = Height::default();
    }
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), HEAD));
    choice_ui(ctx, ui, head, has_cost, height);
    let all = series(table, *height, ctx.prefs.system);
    if all.is_empty() {
        return None;
    }
    let body = Rect::from_min_max(pos2(rect.left(), head.bottom()), rect.max);
    let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("trade-off"));
    let drawing = Drawing::of(&all, *height, table, looked_at);
    let shown = drawing.show(ctx, &mut child, body.size());
    names_ui(ctx, ui, &drawing, &shown.transform, body.right());
    let response = shown.response;
    let unit = height.unit(ctx.prefs.system, table.currency());
    let said = said(&all, *height, &unit);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &said));
    let at = response.hover_pos().or(response.interact_pointer_pos());
    let near = at.and_then(|at| drawing.nearest(&shown.transform, at));
    let pressed = near.filter(|_| response.clicked());
    let told = near.and_then(|plan| table.row(plan));
    let told = told.map_or(said, |row| {
        row_words(row, ctx.prefs.system, table.currency())
    });
    response.on_hover_text_at_pointer(told);
    pressed
}

/// What stands upright, to choose from.
fn choice_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, has_cost: bool, height: &mut Height) {
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    let ui = &mut child;
    for each in Height::ALL {
        if each == Height::Cost && !has_cost {
            continue;
        }
        let is_chosen = each == *height;
        let text = RichText::new(each.name()).size(size::BODY);
        let button = Button::selectable(is_chosen, text).frame_when_inactive(true);
        if ui
            .add(button)
            .accessible_name(format!("Plot: {}", each.name()))
            .clicked()
        {
            *height = each;
        }
    }
    ui.label(RichText::new("by rinses").color(ctx.palette.quiet));
}

/// The plot in words.
fn said(all: &[Series], height: Height, unit: &str) -> String {
    let each = all.iter().map(|s| {
        let ends = s.least.first().zip(s.least.last());
        let told = ends.map_or_else(String::new, |(a, b)| {
            let words = |value: f64| format!("{}\u{a0}{unit}", significant(value, 3));
            format!(
                "{} at {:.0} to {} at {:.0}",
                words(a.height),
                a.stages,
                words(b.height),
                b.stages
            )
        });
        format!("{}: {told}", closed_words(s.closed_by))
    });
    let each: Vec<String> = each.collect();
    format!("{} by number of rinses; {}", height.name(), each.join("; "))
}

/// What is drawn.
struct Drawing<'a> {
    all: &'a [Series],
    best: Option<Layout>,
    looked_at: Option<Layout>,
    is_log: bool,
    marked: (f64, f64),
    range: (f64, f64),
}

impl<'a> Drawing<'a> {
    fn of(
        all: &'a [Series],
        height: Height,
        table: &SizingTable,
        looked_at: Option<Layout>,
    ) -> Self {
        let heights = || all.iter().flat_map(|s| &s.points).map(|p| p.height);
        // Water spans decades from one rinse to six.
        let is_log = height == Height::RinseWater && heights().all(|h| h > 0.0);
        let y_of = |h: f64| if is_log { h.log10() } else { h };
        let low = heights().map(y_of).fold(f64::INFINITY, f64::min);
        let high = heights().map(y_of).fold(f64::NEG_INFINITY, f64::max);
        let (marked, range) = StillRange::default().rounded(is_log, low, high);
        let room = 0.05 * (marked.1 - marked.0);
        Self {
            all,
            best: table.working().next().map(|row| row.plan),
            looked_at,
            is_log,
            marked,
            range: (range.0 - room, range.1 + room),
        }
    }

    fn at(&self, stages: f64, height: f64) -> [f64; 2] {
        [stages, if self.is_log { height.log10() } else { height }]
    }

    fn show(&self, ctx: &ViewCtx<'_>, ui: &mut Ui, area: egui::Vec2) -> PlotResponse<()> {
        let x_marks: Vec<GridMark> = (1..=6).map(|n| grid_mark(f64::from(n))).collect();
        let parts = f64::from(area.y / 36.0).clamp(2.0, 8.0);
        let step = if self.is_log {
            1.0
        } else {
            round_step(self.marked.1 - self.marked.0, parts)
        };
        let y_marks = marks(self.marked, step);
        let y_marks: Vec<GridMark> = y_marks.into_iter().map(grid_mark).collect();
        let is_log = self.is_log;
        still_plot("trade-off", ctx.palette)
            .width((area.x - NAMES).max(60.0))
            .height(area.y)
            .sense(Sense::click())
            .y_axis_min_width(50.0)
            .x_grid_spacer(move |_| x_marks.clone())
            .y_grid_spacer(move |_| y_marks.clone())
            .x_axis_formatter(|mark, _| format!("{:.0}", mark.value))
            .y_axis_formatter(move |mark, _| {
                let value = if is_log {
                    10_f64.powf(mark.value)
                } else {
                    mark.value
                };
                significant(value, 6)
            })
            .show(ui, |plot| self.fill(plot, ctx.palette))
    }

    fn fill(&self, plot: &mut PlotUi<'_>, palette: &Palette) {
        plot.set_plot_bounds_x(0.7..=6.3);
        plot.set_plot_bounds_y(self.range.0..=self.range.1);
        for series in self.all {
            let (hue, style, shape) = pen(series.closed_by, palette);
            let name = closed_words(series.closed_by);
            let least = series.least.iter().map(|p| self.at(p.stages, p.height));
            let line = Line::new(name, least.collect::<Vec<_>>())
                .color(hue)
                .style(style);
            plot.line(line.width(CURVE_WIDTH).allow_hover(false));
            let points = series.points.iter().map(|p| self.at(p.stages, p.height));
            let dots = Points::new(format!("{name}, rows"), points.collect::<Vec<_>>());
            let dots = dots.shape(shape).radius(3.5).color(hue);
            plot.points(dots.allow_hover(false));
        }
        for (name, plan, radius, color) in [
            ("best", self.best, 6.0, palette.good),
            ("looked at", self.looked_at, 8.0, palette.accent),
        ] {
            let all = self.all.iter().flat_map(|s| &s.points);
            for point in all.filter(|p| Some(p.plan) == plan) {
                let ring = vec![self.at(point.stages, point.height)];
                let ring = Points::new(name, ring).filled(false).radius(radius);
                plot.points(ring.color(color).allow_hover(false));
            }
        }
    }

    /// The row whose point stands nearest to a place, if it is near.
    fn nearest(&self, transform: &PlotTransform, at: Pos2) -> Option<Layout> {
        let all = self.all.iter().flat_map(|s| &s.points);
        let away = all.map(|p| {
            let [x, y] = self.at(p.stages, p.height);
            let place = transform.position_from_point(&PlotPoint::new(x, y));
            (place.distance(at), p.plan)
        });
        let nearest = away.min_by(|a, b| a.0.total_cmp(&b.0));
        nearest
            .filter(|(away, _)| *away <= NEAR)
            .map(|(_, plan)| plan)
    }
}

/// Names at the ends of the series, each with a piece of its line.
fn names_ui(
    ctx: &ViewCtx<'_>,
    ui: &Ui,
    drawing: &Drawing<'_>,
    transform: &PlotTransform,
    right: f32,
) {
    let frame = *transform.frame();
    let last = |s: &Series| s.least.last().copied();
    let wanted: Vec<f32> = drawing
        .all
        .iter()
        .map(|s| {
            let end = last(s).map(|p| drawing.at(p.stages, p.height));
            end.map_or(frame.center().y, |[_, y]| {
                transform.position_from_point_y(y)
            })
        })
        .collect();
    let at = spread(&wanted, NAME, (frame.top(), frame.bottom()));
    for (series, y) in drawing.all.iter().zip(at) {
        let (hue, style, _) = pen(series.closed_by, ctx.palette);
        let from = pos2(frame.right() + space::TIGHT, y);
        let to = pos2(from.x + 16.0, y);
        let stroke = Stroke::new(CURVE_WIDTH, hue);
        let line = match style {
            LineStyle::Solid => vec![egui::Shape::line_segment([from, to], stroke)],
            LineStyle::Dashed { .. } => egui::Shape::dashed_line(&[from, to], stroke, 6.0, 4.0),
            LineStyle::Dotted { .. } => egui::Shape::dotted_line(&[from, to], hue, 4.0, 1.2),
        };
        ui.painter().extend(line);
        let at = pos2(to.x + space::TIGHT, y);
        debug_assert!(at.x < right);
        let name = closed_words(series.closed_by);
        let ink = ctx.palette.quiet;
        ui.painter()
            .text(at, Align2::LEFT_CENTER, name, font(size::SMALL), ink);
    }
}
