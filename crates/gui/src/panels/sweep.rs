//! The settled answer against one lever: which figure, which lever, the curve, and where the lever stands now.

mod drawing;
mod heights;

use std::sync::Arc;

use egui::accesskit::Role;
use egui::{
    Align, Button, ComboBox, Layout, PopupCloseBehavior, Rect, RichText, ScrollArea, TextEdit, Ui,
    UiBuilder,
};
use egui::{WidgetInfo, pos2, vec2};

use crate::command::Command;
use crate::document::{Document, Lever, has_words};
use crate::export::figure_unit;
use crate::number::{joined, three};
use crate::plots::{StillRange, elided};
use crate::sweep::{Figure, Sweep, SweepChoice, sweepable, swept, told_figure};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::{Rail, frame_fields, unit_of, value_words};
use dragback_units::{Dim, Unit};
use drawing::Drawing;
use heights::{extent, spans_decades};

/// The card; it keeps its axis.
#[derive(Default)]
pub struct SweepPanel {
    still: StillRange,
    is_tall: bool,
    axis_of: Option<(Figure, String, dragback_units::System)>,
    /// Words by which a lever is looked for in the list.
    sought: String,
}

/// Room for the half of the last mark that stands beyond the frame.
const BEYOND: f32 = 26.0;
/// Height of the line with the choices.
const HEAD: f32 = 26.0;
/// What that line needs besides its two lists: the word between them, the button at its end, and gaps.
const HEAD_WORDS: f32 = 172.0;

/// In a card narrower than this the two lists stand side by side without a word between them.
const WORDY: f32 = 350.0;
/// Least width of the card: that line with its lists at their narrowest.
pub(super) const LEAST_WIDTH: f32 = 310.0;

impl SweepPanel {
    /// Draws the card into a rectangle; says whether it is to be enlarged, or to go back.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, is_large: bool) -> bool {
        let (Some(document), Some(choice)) = (ctx.document, ctx.prefs.sweep.as_ref()) else {
            return false;
        };
        let Some(lever) = swept(document, choice) else {
            return false;
        };
        let line = ctx.results.figures().and_then(|f| f.line());
        let choice = &SweepChoice {
            figure: told_figure(choice.figure, line),
            path: choice.path.clone(),
        };
        let head = Rect::from_min_size(rect.min, vec2(rect.width(), HEAD));
        let layout = Layout::left_to_right(Align::Center);
        let mut child = ui.new_child(UiBuilder::new().max_rect(head).layout(layout));
        let mut is_resized = self.head_ui(ctx, &mut child, document, (choice, lever), is_large);
        let is_of = |s: &&Arc<Sweep>| s.path == lever.path && choice.figure.is_in(s.depth);
        let sweep = ctx.results.sweep().filter(is_of);
        let body = Rect::from_min_max(pos2(rect.left(), rect.top() + HEAD), rect.max);
        let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("sweep"));
        let axis_of = Some((choice.figure, lever.path.clone(), ctx.prefs.system));
        if self.axis_of != axis_of {
            self.still.forget();
            self.axis_of = axis_of;
        }
        match sweep {
            Some(sweep) if !sweep.values(choice.figure).is_empty() => {
                is_resized |= self.plot_ui(ctx, &mut child, sweep, choice.figure, lever);
            }
            sweep => {
                let words = empty_words(sweep.map(AsRef::as_ref), choice.figure);
                child.centered_and_justified(|ui| {
                    ui.label(RichText::new(words).color(ctx.palette.quiet));
                });
            }
        }
        is_resized
    }

    /// The two choices and the button that gives the card the whole sheet.
    fn head_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        document: &Document,
        (choice, lever): (&SweepChoice, &Lever),
        is_large: bool,
    ) -> bool {
        let unit = figure_unit(choice.figure, ctx.prefs.system);
        // Beside a lesson the card is narrow: the two lists share what the other words leave.
        let is_wordy = ui.available_width() >= WORDY;
        let wide = (0.5 * (ui.available_width() - HEAD_WORDS)).clamp(60.0, 150.0);
        ui.add_space(space::TIGHT);
        let salt = as_salt(ctx, choice.figure);
        let name = format!("{}, {}{salt}", choice.figure.name(), unit.symbol);
        let name = name.trim_end_matches(", ").to_owned();
        let combo = ComboBox::from_id_salt("swept figure")
            .selected_text(&name)
            .width(wide)
            .truncate()
            .height(400.0)
            .show_ui(ui, |ui| {
                for figure in Figure::ALL {
                    let is_chosen = figure == choice.figure;
                    if ui.selectable_label(is_chosen, figure.name()).clicked() {
                        let path = choice.path.clone();
                        ctx.ask(Command::SetSweep(Some(SweepChoice { figure, path })));
                    }
                }
            });
        combo
            .response
            .accessible_name("Settled figure")
            .on_hover_text(&name);
        if is_wordy {
            ui.label(RichText::new("against").color(ctx.palette.quiet));
        }
        self.levers_ui(ctx, ui, document, (choice, lever), wide);
        let mut is_asked = false;
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let words = if is_large { "Back to all" } else { "Enlarge" };
            let text = RichText::new(words)
                .size(size::SMALL)
                .color(ctx.palette.quiet);
            let button = ui.add(Button::new(text).frame(is_large).small());
            is_asked = button
                .accessible_name(format!("{words}: settled answers"))
                .clicked();
        });
        is_asked
    }

    /// The list of levers, with a field to look for one.
    fn levers_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        document: &Document,
        (choice, lever): (&SweepChoice, &Lever),
        wide: f32,
    ) {
        let combo = ComboBox::from_id_salt("swept lever")
            .selected_text(&lever.name)
            .width(wide)
            .truncate()
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
            .show_ui(ui, |ui| {
                ui.set_min_width(260.0);
                let field = TextEdit::singleline(&mut self.sought).hint_text("Find a lever");
                let field = field.desired_width(f32::INFINITY);
                ui.scope(|ui| {
                    frame_fields(ui, ctx.palette);
                    ui.add(field).accessible_name("Find a lever to sweep");
                });
                ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
                    let found =
                        |l: &&Lever| has_words(&format!("{} {}", l.name, l.path), &self.sought);
                    let mut none = true;
                    for offered in sweepable(document).into_iter().filter(found) {
                        none = false;
                        let is_chosen = offered.path == lever.path;
                        if ui.selectable_label(is_chosen, &offered.name).clicked() {
                            let figure = choice.figure;
                            let path = Some(offered.path.clone());
                            ctx.ask(Command::SetSweep(Some(SweepChoice { figure, path })));
                            ui.close();
                        }
                    }
                    if none {
                        ui.label("No lever has these words in its name.");
                    }
                });
            });
        if combo.inner.is_none() {
            self.sought.clear();
        }
        combo
            .response
            .accessible_name("Lever to sweep")
            .on_hover_text(&lever.name);
    }

    fn plot_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        sweep: &Sweep,
        figure: Figure,
        lever: &Lever,
    ) -> bool {
        let system = ctx.prefs.system;
        let unit = figure_unit(figure, system);
        let along = unit_of(lever, system);
        let rail = Rail::of(lever);
        let x_of = |si: f64| {
            let shown = along.from_si(si);
            if rail.is_log { shown.log10() } else { shown }
        };
        let values = sweep.values(figure);
        let points: Vec<[f64; 2]> = values
            .iter()
            .map(|[si, value]| [x_of(*si), unit.from_si(told(ctx, figure, *value))])
            .collect();
        let is_tall = spans_decades(&points);
        if self.is_tall != is_tall {
            self.still.forget();
            self.is_tall = is_tall;
        }
        let y_of = |value: f64| if is_tall { value.log10() } else { value };
        let points: Vec<[f64; 2]> = points.iter().map(|p| [p[0], y_of(p[1])]).collect();
        let (low, high) = extent(&points);
        let marked = if is_tall {
            self.still.decades(low, high)
        } else {
            self.still.linear(low, high)
        };
        let room = 0.05 * (marked.1 - marked.0);
        let is_stale = sweep.asked.generation != ctx.results.requested || !sweep.is_whole();
        let color = if is_stale {
            ctx.palette.quiet
        } else {
            ctx.palette.series[5]
        };
        let area = ui.available_size();
        let x_range = (x_of(rail.low), x_of(rail.high));
        let drawing = Drawing {
            points: &points,
            marked,
            range: (marked.0 - room, marked.1 + room),
            x_range,
            present: {
                let (x, si) = present_mark(sweep, figure, lever, x_of);
                let value = si.map(|si| unit.from_si(told(ctx, figure, si)));
                (x, value.map(y_of))
            },
            pinned: pinned_mark(ctx, figure, lever, x_of, unit).map(|p| [p[0], y_of(p[1])]),
            is_log: rail.is_log,
            is_whole: lever.dim == Dim::Count,
            is_tall,
            unit: along,
            color,
            limit: limit(ctx, figure, unit).map(y_of).filter(|y| y.is_finite()),
        };
        let shown = drawing.show(ctx, ui, area);
        name_axis(ctx, ui, *shown.transform.frame(), &lever.name);
        let response = shown.response;
        let said = said(ctx, sweep, figure, lever);
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &said));
        let is_resized = response.double_clicked();
        response.on_hover_text(said);
        is_resized
    }
}

/// Why there is no curve: the first points are being found, or there is nothing to find.
fn empty_words(sweep: Option<&Sweep>, figure: Figure) -> String {
    match sweep {
        Some(sweep) if sweep.is_whole() => format!(
            "No position of the lever gives a value of “{}”. Choose another figure or lever.",
            figure.name()
        ),
        Some(sweep) => format!(
            "Finding settled weeks: {} of {}",
            sweep.points.len(),
            sweep.wanted
        ),
        None => "Finding settled weeks".to_owned(),
    }
}

/// A figure as it is told, SI: the final rinse as the lead solute or a salt of it.
fn told(ctx: &ViewCtx<'_>, figure: Figure, si: f64) -> f64 {
    let line = ctx.results.figures().and_then(|f| f.line());
    match (figure, line) {
        (Figure::FinalRinse, Some(line)) => ctx.lead_told(line).strength(si),
        _ => si,
    }
}

/// ` as NiSO4·6H2O` behind a figure that is told so; else nothing.
fn as_salt(ctx: &ViewCtx<'_>, figure: Figure) -> String {
    let line = ctx.results.figures().and_then(|f| f.line());
    let line = line.filter(|_| figure == Figure::FinalRinse);
    let salt = line.and_then(|line| ctx.lead_told(line).as_salt());
    salt.map_or_else(String::new, |salt| format!(" {salt}"))
}

/// The limit that a figure must keep, in its unit.
fn limit(ctx: &ViewCtx<'_>, figure: Figure, unit: &Unit) -> Option<f64> {
    let line = ctx.results.figures()?.line()?;
    match figure {
        Figure::FinalRinse => {
            let limit = line.final_rinse.limit_mg_per_l?;
            Some(unit.from_si(told(ctx, figure, 1e-3 * limit)))
        }
        Figure::ClosureMargin | Figure::WorstMonth => {
            line.closure_margin_l_per_h.as_ref().map(|_| 0.0)
        }
        _ => None,
    }
}

/// Where the lever stands now: on the curve, or at the foot while the curve is being found.
fn present_mark(
    sweep: &Sweep,
    figure: Figure,
    lever: &Lever,
    x_of: impl Fn(f64) -> f64,
) -> (f64, Option<f64>) {
    let is_here = sweep.present.to_bits() == lever.si.to_bits();
    let value = sweep.present_value(figure).filter(|_| is_here);
    (x_of(lever.si), value)
}

/// Where the state that is kept stands.
fn pinned_mark(
    ctx: &ViewCtx<'_>,
    figure: Figure,
    lever: &Lever,
    x_of: impl Fn(f64) -> f64,
    unit: &Unit,
) -> Option<[f64; 2]> {
    let pinned = ctx.pinned?;
    let parameter = dragback_scenario::get(&pinned.figures.scenario, &lever.path).ok()?;
    let value = figure.si(pinned.figures.line()?)?;
    Some([
        x_of(parameter.si()?),
        unit.from_si(told(ctx, figure, value)),
    ])
}

/// The plot in words.
fn said(ctx: &ViewCtx<'_>, sweep: &Sweep, figure: Figure, lever: &Lever) -> String {
    let system = ctx.prefs.system;
    let unit = figure_unit(figure, system);
    let salt = as_salt(ctx, figure);
    let words = |value: f64| {
        let shown = three(unit.from_si(told(ctx, figure, value)), 2);
        format!("{}{salt}", joined((shown, unit.symbol)))
    };
    let values = sweep.values(figure);
    let ends = values.first().zip(values.last()).map(|(a, b)| {
        format!(
            "from {} at {} to {} at {}",
            words(a[1]),
            value_words(lever, a[0], system),
            words(b[1]),
            value_words(lever, b[0], system)
        )
    });
    let now = sweep.present_value(figure).map_or_else(String::new, |v| {
        let place = value_words(lever, sweep.present, system);
        format!("; {} now at {place}", words(v))
    });
    let ends = ends.unwrap_or_else(|| "nothing yet".to_owned());
    let name = lever.name.to_lowercase();
    let kept = ctx
        .pinned
        .map_or_else(String::new, |p| format!("; the diamond is {}", p.name));
    format!("{} against {name}: {ends}{now}{kept}", figure.name())
}

/// The name of the lever along the foot of the picture.
fn name_axis(ctx: &ViewCtx<'_>, ui: &Ui, frame: Rect, name: &str) {
    let quiet = ctx.palette.quiet;
    let text = elided(ui, name, (frame.width() - 12.0).max(0.0), quiet);
    let at = frame.right_bottom() - text.size() - vec2(6.0, 2.0);
    let back = Rect::from_min_size(at, text.size()).expand2(vec2(2.0, 0.0));
    let fill = ctx.palette.sheet.gamma_multiply(0.8);
    ui.painter().rect_filled(back, 2.0, fill);
    ui.painter().galley(at, text, quiet);
}
