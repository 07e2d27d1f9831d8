//! One plot: its curves, pan and zoom, and the cursor.

use dragback_study::curves::Kind;
use dragback_units::System;
use egui::accesskit::Role;
use egui::{Align2, Color32, Pos2, Rect, Stroke, Ui, UiBuilder, Vec2, pos2, vec2};
use egui_plot::{FilledArea, GridMark, Line, Plot, PlotResponse, VLine};

use super::ends::{Ends, end_labels, gutter_width};
use super::measure::{Measure, tidy};
use super::pen::{pen, width_of};
use super::{Drawn, DrawnCache, StillRange, View, day_step, marks};
use crate::results::CurveSet;
use crate::theme::{Palette, font, size, space};

/// Share of a curve's hue in the band of its range.
const BAND_STRENGTH: f32 = 0.22;

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
