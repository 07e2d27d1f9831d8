//! One plot: its title, curves and names, pan and zoom, the cursor, and which curves are shown.

use std::collections::BTreeSet;

use dragback_study::ToldAs;
use dragback_study::curves::Kind;
use dragback_units::System;
use egui::accesskit::Role;
use egui::{Align2, Button, PointerButton, Pos2, Rect, RichText, Ui, UiBuilder, Vec2, pos2, vec2};
use egui_plot::{PlotPoint, PlotResponse};

use super::Measure;
use super::draw::{Drawing, draw};
use super::ends::{
    Ends, duty_scale, end_labels, folded_names, guide_names, gutter_width, limits_beyond,
};
use super::readout::readout;
use super::{DrawnCache, StillRange, View, has_names};
use crate::results::{CurveSet, PlotData};
use crate::theme::{Palette, font, size, space};

/// One plot with what it remembers between frames.
pub struct CurvePlot {
    /// What is plotted.
    pub kind: Kind,
    still: StillRange,
    /// Width of the widest mark of the axis when it was drawn last.
    marks_width: f32,
    cache: DrawnCache,
    ghost_cache: DrawnCache,
    hidden: BTreeSet<String>,
}

/// What a plot needs from outside.
#[derive(Clone, Copy)]
pub struct PlotInput<'a> {
    /// Curves of all plots.
    pub set: &'a CurveSet,
    /// Curves of the state that is kept to compare with.
    pub ghost: Option<&'a CurveSet>,
    /// Number of this plot among them.
    pub place: usize,
    /// Units.
    pub system: System,
    /// Colours.
    pub palette: &'static Palette,
    /// Name of the solute by which rinse quality is judged.
    pub lead: &'a str,
    /// How its strengths are told.
    pub lead_told: ToldAs<'a>,
    /// Whether it has the whole sheet to itself.
    pub is_large: bool,
    /// Curves that have been brought forward, by name; all of them where there are none.
    pub forward: &'a [String],
    /// Whether the plain wheel moves the window and not the plot.
    pub is_cramped: bool,
    /// Room beside the frame.
    pub sides: Sides,
}

/// Room beside the frame of a plot: on its left for the marks of its axis, on its right for names. Plots that stand on one another share it, so that
/// their days do.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sides {
    /// On the left, points.
    pub left: f32,
    /// On the right, points.
    pub right: f32,
}

impl Sides {
    /// What is enough for two plots.
    #[must_use]
    pub const fn max(self, other: Self) -> Self {
        Self {
            left: self.left.max(other.left),
            right: self.right.max(other.right),
        }
    }
}

impl PlotInput<'_> {
    fn measure(&self, kind: Kind) -> Measure {
        Measure {
            per_solute: self.lead_told.strength(1.0),
            ..Measure::of(kind, self.system)
        }
    }

    /// Title of a plot, with what its strengths are told as.
    pub(super) fn title(&self, measure: Measure) -> String {
        let salt = self.lead_told.as_salt();
        match salt.filter(|_| measure.is_strength()) {
            Some(salt) => measure.title(&format!("{} {salt}", self.lead)),
            None => measure.title(self.lead),
        }
    }
}

/// Where a plot was drawn, and what was asked of it.
pub struct PlotSeen {
    /// Rectangle of the curves.
    pub frame: Rect,
    /// It is to have the whole sheet, or to go back into the row.
    pub is_resized: bool,
}

/// Height of the title.
const TITLE: f32 = 22.0;
/// Width of the button at its end.
const BUTTON: f32 = 58.0;
/// Room for the half of the last mark that stands beyond the frame, where no names follow.
const BEYOND: f32 = 30.0;

impl CurvePlot {
    /// An empty plot.
    #[must_use]
    pub fn new(kind: Kind) -> Self {
        Self {
            kind,
            still: StillRange::default(),
            marks_width: 0.0,
            cache: DrawnCache::default(),
            ghost_cache: DrawnCache::default(),
            hidden: BTreeSet::new(),
        }
    }

    /// Lets the axis find its range anew.
    pub fn forget(&mut self) {
        self.still.forget();
    }

    /// Shows every curve: they are those of another scenario, where the same names stand for other tanks.
    pub fn show_all(&mut self) {
        self.hidden.clear();
    }

    /// Hides a curve, or shows it again.
    fn toggle(&mut self, name: Option<String>) {
        if let Some(name) = name
            && !self.hidden.remove(&name)
        {
            self.hidden.insert(name);
        }
    }

    /// Room that it needs beside its frame in a cell of that size; the marks are those of the last frame.
    #[must_use]
    pub fn sides(&self, ui: &Ui, size: Vec2, input: &PlotInput<'_>) -> Sides {
        let has_names = input.is_large || has_names(size);
        let data = input.set.plots.get(input.place).filter(|_| has_names);
        Sides {
            left: self.marks_width,
            right: data.map_or(BEYOND, |data| {
                gutter_width(ui, data, input.measure(self.kind), size.x)
            }),
        }
    }

    /// Draws title, plot and names into `rect`; pans, zooms and moves the cursor.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        rect: Rect,
        input: &PlotInput<'_>,
        view: &mut View,
    ) -> PlotSeen {
        let empty = PlotData::default();
        let data = input.set.plots.get(input.place).unwrap_or(&empty);
        let measure = input.measure(self.kind);
        let title = input.title(measure);
        let is_asked = title_ui(ui, rect, input, measure, &title);
        let has_names = input.is_large || has_names(rect.size());
        let plot_rect = Rect::from_min_max(
            pos2(rect.left(), rect.top() + TITLE),
            pos2(rect.right() - input.sides.right, rect.bottom()),
        );
        if data.series.is_empty() {
            empty_ui(ui, plot_rect, input, self.kind);
            return PlotSeen {
                frame: plot_rect,
                is_resized: is_asked,
            };
        }
        let columns = plot_rect.width().clamp(50.0, 1000.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "50 to 1000"
        )]
        let columns = columns as usize;
        let span = (view.from, view.to);
        let drawn = self.cache.get(input.set, data, measure, span, columns);
        let (mut low, mut high) = drawn.extent;
        let ghost = input
            .ghost
            .and_then(|set| Some((set, set.plots.get(input.place)?)));
        let mut ghosts: Vec<(usize, &[PlotPoint])> = Vec::new();
        if let Some((set, kept)) = ghost {
            let pale = self.ghost_cache.get(set, kept, measure, span, columns);
            (low, high) = (low.min(pale.extent.0), high.max(pale.extent.1));
            for (series, curve) in kept.series.iter().zip(&pale.curves) {
                let same = data.series.iter().position(|s| s.name == series.name);
                ghosts.extend(same.map(|i| (i, curve.line.as_slice())));
            }
        }
        let (marked, range) = self.still.rounded(measure.is_log(), low, high);
        let is_hidden = |name: &str| self.hidden.contains(name);
        let hidden: Vec<bool> = data.series.iter().map(|s| is_hidden(&s.name)).collect();
        let mut child = ui.new_child(UiBuilder::new().max_rect(plot_rect).id_salt(input.place));
        let drawing = Drawing {
            measure,
            range,
            marked,
            view,
            input,
            data,
            drawn,
            ghosts,
            hidden: hidden.clone(),
        };
        let (response, marks_width) = draw(&mut child, plot_rect.size(), &drawing);
        if self.marks_width != marks_width {
            // The plots above and below it have been given room for the marks of before.
            self.marks_width = marks_width;
            ui.ctx().request_repaint();
        }
        name_axis(&response, &title, || summary(data, measure));
        let frame = *response.transform.frame();
        let ends = Ends {
            frame,
            range,
            data,
            measure,
            input,
            drawn,
            hidden: &hidden,
        };
        let toggled = words_ui(ui, &ends, view, &response.response, rect.right(), has_names);
        self.toggle(toggled);
        let is_resized = is_asked || response.response.double_clicked();
        follow_pointer(&response, view, input.is_cramped);
        PlotSeen { frame, is_resized }
    }
}

/// What is said over and beside the curves. Returns the name of a curve that was clicked.
fn words_ui(
    ui: &Ui,
    ends: &Ends<'_>,
    view: &View,
    plot: &egui::Response,
    right: f32,
    has_names: bool,
) -> Option<String> {
    let pointer = plot.hover_pos();
    limits_beyond(ui, ends);
    duty_scale(ui, ends);
    guide_names(ui, ends, pointer);
    if !has_names {
        folded_names(plot, ends, view);
        return None;
    }
    if let Some(at) = pointer.filter(|at| ends.frame.contains(*at)) {
        readout(ui, ends, view, at);
    }
    end_labels(ui, ends, view, right)
}

/// The title and the button that gives the plot the whole sheet. Returns whether it was pressed.
fn title_ui(ui: &mut Ui, rect: Rect, input: &PlotInput<'_>, measure: Measure, title: &str) -> bool {
    let at = rect.left_top() + vec2(space::TIGHT, 3.0);
    let ink = input.palette.ink;
    let laid_out = |words: &str, size: f32| {
        let words = words.to_owned();
        ui.painter().layout_no_wrap(words, font(size), ink)
    };
    // Where the title has no room, the name that stands in lists does.
    let room = rect.width() - space::TIGHT - BUTTON;
    let full = laid_out(title, size::BODY);
    let galley = if full.size().x <= room {
        full
    } else {
        laid_out(&measure.short_title(), size::SMALL)
    };
    ui.painter().galley(at, galley, ink);
    let (words, hint) = if input.is_large {
        (
            "Back to all",
            "Show all plots again. A double click on the plot does the same.",
        )
    } else {
        (
            "Enlarge",
            "Give this plot the whole sheet. A double click on the plot does the same.",
        )
    };
    let width = if input.is_large { 78.0 } else { BUTTON };
    let place = Rect::from_min_max(
        pos2(rect.right() - width, rect.top() + 1.0),
        pos2(rect.right(), rect.top() + 19.0),
    );
    let text = RichText::new(words)
        .size(size::SMALL)
        .color(input.palette.quiet);
    let button = ui.put(place, Button::new(text).frame(input.is_large).small());
    button
        .accessible_name(format!("{words}: {title}"))
        .on_hover_text(hint)
        .clicked()
}

/// Says why there is nothing to see.
fn empty_ui(ui: &Ui, rect: Rect, input: &PlotInput<'_>, kind: Kind) {
    let words = match kind {
        Kind::Impurity => "No limits are set for solutes in this bath.",
        Kind::Heat => "No heaters in this loop.",
        _ => "Nothing to plot in this loop.",
    };
    let quiet = input.palette.quiet;
    ui.painter().text(
        rect.center(),
        Align2::CENTER_CENTER,
        words,
        font(size::SMALL),
        quiet,
    );
}

/// The cursor follows a click or a drag; a drag with another button or with the shift key pans, the wheel zooms: with Ctrl always, without it unless
/// it moves the window.
fn follow_pointer(response: &PlotResponse<()>, view: &mut View, is_cramped: bool) {
    let plot = &response.response;
    let day_at = |pos: Pos2| response.transform.value_from_position(pos).x;
    let per_point = (view.to - view.from) / f64::from(response.transform.frame().width().max(1.0));
    let is_shifted = plot.ctx.input(|i| i.modifiers.shift);
    let moves = plot.dragged_by(PointerButton::Primary) && !is_shifted;
    if plot.dragged() && !moves {
        view.shift(-f64::from(plot.drag_delta().x) * per_point);
    }
    if let Some(pos) = plot.interact_pointer_pos()
        && (moves || (plot.clicked() && !is_shifted))
    {
        view.cursor = Some(day_at(pos).clamp(view.from, view.to));
    }
    if let Some(pos) = plot.hover_pos() {
        let day = day_at(pos);
        let (zoom, scroll) = plot.ctx.input(|i| {
            let scroll = if is_cramped {
                egui::Vec2::ZERO
            } else {
                i.smooth_scroll_delta()
            };
            (i.zoom_delta(), scroll)
        });
        let factor = f64::from(zoom) * f64::from(scroll.y * 0.005).exp();
        if (factor - 1.0).abs() > 1e-6 {
            view.zoom(factor, day);
        }
        if scroll.x != 0.0 {
            view.shift(-f64::from(scroll.x) * per_point);
        }
    }
}

/// What the curves are at the end, and between what they have been: the plot for those who do not see it.
fn summary(data: &PlotData, measure: Measure) -> String {
    let each = data.series.iter().filter_map(|s| {
        let values = || s.points.iter().map(|p| p[1]).filter(|v| v.is_finite());
        let low = values().fold(f64::INFINITY, f64::min);
        let high = values().fold(f64::NEG_INFINITY, f64::max);
        let last = values().next_back()?;
        Some(format!(
            "{} {} at the end, between {} and {}",
            s.name,
            measure.words(last),
            measure.words(low),
            measure.words(high)
        ))
    });
    each.collect::<Vec<_>>().join("; ")
}

fn name_axis(response: &PlotResponse<()>, title: &str, summary: impl FnOnce() -> String) {
    let response = &response.response;
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Canvas, true, title));
    response
        .ctx
        .accesskit_node_builder(response.id, |node| node.set_description(summary()));
}
