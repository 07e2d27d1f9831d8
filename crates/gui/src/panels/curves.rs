//! The four plots and the mark that says how good they are.

use dragback_study::curves::Kind;
use egui::{Align, Color32, Layout, Rect, RichText, Ui, UiBuilder, pos2, vec2};

use crate::plots::{CurvePlot, KINDS, PlotInput, View, day_of, pen};
use crate::results::Standing;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::words::solute;

/// The panel; it keeps the axes and what is seen of them.
pub struct CurvesPanel {
    plots: Vec<CurvePlot>,
    view: View,
    /// Document and units for which the axes were found.
    axes_of: Option<(u64, dragback_units::System)>,
}

/// What was drawn where.
#[derive(Clone, Copy, Debug, Default)]
pub struct CurvesSeen {
    /// Area of the concentration curves.
    pub concentration: Option<Rect>,
    /// Hue of the final station.
    pub final_hue: Option<Color32>,
}

impl Default for CurvesPanel {
    fn default() -> Self {
        let plots = KINDS.iter().map(|kind| CurvePlot::new(*kind)).collect();
        Self {
            plots,
            view: View::default(),
            axes_of: None,
        }
    }
}

/// The four plots stand in one row where the panel is at least so many times as wide as it is high.
const ONE_ROW: f32 = 3.2;
/// Height of the line above the plots.
const HEAD: f32 = 28.0;

impl CurvesPanel {
    /// Draws the plots.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) -> CurvesSeen {
        let area = ui.available_rect_before_wrap();
        let head = Rect::from_min_size(area.min, vec2(area.width(), HEAD));
        head_ui(ctx, ui, head, &self.view);
        let Some(set) = ctx.results.curves() else {
            return CurvesSeen::default();
        };
        let axes_of = Some((set.asked.document, ctx.prefs.system));
        if self.axes_of != axes_of {
            self.plots.iter_mut().for_each(CurvePlot::forget);
            self.axes_of = axes_of;
        }
        let lead = ctx
            .results
            .figures()
            .and_then(|f| f.line())
            .map_or(String::new(), |l| solute(&l.final_rinse.species));
        let columns = if area.width() >= ONE_ROW * area.height() {
            4
        } else {
            2
        };
        let body = Rect::from_min_max(
            pos2(area.left() + space::WIDE, area.top() + HEAD),
            pos2(area.right() - space::NEAR, area.bottom() - space::TIGHT),
        );
        let mut seen = CurvesSeen::default();
        self.view.cursor = self.view.cursor.filter(|_| ui.rect_contains_pointer(body));
        let mut view = self.view;
        for (place, plot) in self.plots.iter_mut().enumerate() {
            let rect = cell(body, place, columns, KINDS.len());
            let input = PlotInput {
                set,
                place,
                system: ctx.prefs.system,
                palette: ctx.palette,
                lead: &lead,
            };
            let frame = plot.show(ui, rect, &input, &mut view);
            if KINDS[place] == Kind::Concentration {
                seen.concentration = Some(frame);
                seen.final_hue = set
                    .final_station
                    .map(|i| pen(Kind::Concentration, i, ctx.palette).0);
            }
        }
        if view != self.view {
            // The plots drawn before the one under the pointer show the old view.
            self.view = view;
            ui.ctx().request_repaint();
        }
        seen
    }
}

fn cell(body: Rect, place: usize, columns: usize, count: usize) -> Rect {
    let rows = count.div_ceil(columns);
    #[expect(clippy::cast_precision_loss, reason = "a handful")]
    let (columns_f, rows_f) = (columns as f32, rows as f32);
    let gap = vec2(space::WIDE, space::NEAR);
    let size = vec2(
        (body.width() - gap.x * (columns_f - 1.0)) / columns_f,
        (body.height() - gap.y * (rows_f - 1.0)) / rows_f,
    );
    #[expect(clippy::cast_precision_loss, reason = "a handful")]
    let (column, row) = ((place % columns) as f32, (place / columns) as f32);
    let min = body.min + vec2(column * (size.x + gap.x), row * (size.y + gap.y));
    Rect::from_min_size(min, size)
}

/// How good the curves are, and how to look closer.
fn head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, view: &View) {
    let mut child = ui.new_child(
        UiBuilder::new()
            .max_rect(rect)
            .layout(Layout::left_to_right(Align::Center)),
    );
    let ui = &mut child;
    ui.add_space(space::WIDE + space::TIGHT);
    let has_failed = ctx.results.failure().is_some();
    let (mark, text, color, hint) = match ctx.results.standing() {
        Standing::Waiting => (
            "■",
            "No curves yet",
            ctx.palette.quiet,
            "The first run is under way.",
        ),
        Standing::Exact => (
            "●",
            "Exact",
            ctx.palette.good,
            "Every switch of pump, heater and electrode is located to a second.",
        ),
        Standing::Preview if has_failed => (
            "▲",
            "Last run that worked",
            ctx.palette.alarm,
            "The newest position of the levers gave no run; the curves are of an earlier one.",
        ),
        Standing::Preview => (
            "■",
            "Preview",
            ctx.palette.caution,
            "Averaged pumps and heaters, good for means. The exact run is under way and will replace these curves.",
        ),
    };
    let mark = format!("{mark} {text}");
    ui.label(RichText::new(mark).color(color).strong())
        .on_hover_text(hint);
    let text = match view.cursor {
        Some(day) if view.is_daily() => format!("values are means of day {:.0}", day_of(day) + 1.0),
        Some(day) => format!("values at day {day:.2}"),
        None => "90 days from a Monday; values are means of the last week".to_owned(),
    };
    ui.label(RichText::new(text).color(ctx.palette.quiet));
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        ui.add_space(space::WIDE);
        let text = if view.is_daily() {
            "lines are day means, bands each day's range; scroll to look closer"
        } else {
            "drag to move, scroll to look closer, double-click for all"
        };
        ui.label(
            RichText::new(text)
                .size(size::SMALL)
                .color(ctx.palette.quiet),
        );
    });
}
