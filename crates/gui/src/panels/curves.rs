//! The sheet of plots: curves over time on one shared axis, and the settled answer against a lever beside them.

mod menu;
mod order;

use dragback_study::Counted;
use dragback_study::curves::{Kind, MEAN_H};
use egui::scroll_area::{ScrollBarVisibility, ScrollSource};
use egui::{Align, Color32, Layout, Rect, ScrollArea, Sense, Ui, UiBuilder, pos2, vec2};

use menu::plots_menu;
use order::carried_to;

use super::sweep::SweepPanel;
use crate::command::Command;
use crate::export::Picture;
use crate::playhead::moment_words;
use crate::plots::{CurvePlot, Grid, KINDS, PlotInput, Sides, View, fitting, kind_name, pen};
use crate::prefs::Shown;
use crate::results::CurveSet;
use crate::sweep::SweepChoice;
use crate::theme::space;
use crate::view_ctx::ViewCtx;
use crate::widgets::fitting_words;
use crate::words::solute;

/// One of the things on the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Card {
    /// Curves over time.
    Time(Kind),
    /// The settled answer against a lever.
    Sweep,
}

impl Card {
    /// Its name among the preferences.
    fn name(self) -> String {
        match self {
            Self::Time(kind) => format!("{kind:?}"),
            Self::Sweep => "Sweep".to_owned(),
        }
    }

    /// Number of its curves among all plots; none of the settled answers.
    fn number(self) -> Option<usize> {
        let Self::Time(kind) = self else { return None };
        KINDS.iter().position(|k| *k == kind)
    }
}

/// The panel; it keeps the axes and what is seen of them.
pub struct CurvesPanel {
    plots: Vec<CurvePlot>,
    sweep: SweepPanel,
    view: View,
    /// Where things on the sheet stood in the last frame, as far as they were in sight.
    places: Vec<(Card, Rect)>,
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
    /// Hue of the holding tank, where there is one.
    pub holding_hue: Option<Color32>,
}

impl Default for CurvesPanel {
    fn default() -> Self {
        let plots = KINDS.iter().map(|kind| CurvePlot::new(*kind)).collect();
        Self {
            plots,
            sweep: SweepPanel::default(),
            view: View::default(),
            places: Vec::new(),
            axes_of: None,
        }
    }
}

/// Order in which plots are given room when there is not enough for all.
const FIRST: [Kind; 9] = [
    Kind::Concentration,
    Kind::Level,
    Kind::Temperature,
    Kind::Evaporation,
    Kind::Strength,
    Kind::Heat,
    Kind::Loss,
    Kind::Impurity,
    Kind::Treatment,
];
/// Height of the line above the plots.
const HEAD: f32 = 30.0;

impl CurvesPanel {
    /// What is seen of the run.
    #[must_use]
    pub const fn view(&self) -> &View {
        &self.view
    }

    /// What is seen of the run, for keys that change it.
    pub const fn view_mut(&mut self) -> &mut View {
        &mut self.view
    }

    /// Where something to be pictured stands; `None` when it is not wholly in sight.
    #[must_use]
    pub fn place_of(&self, picture: Picture) -> Option<Rect> {
        let wanted = match picture {
            Picture::Plot(kind) => Card::Time(kind),
            Picture::Sweep => Card::Sweep,
            Picture::Window => return None,
        };
        let found = self.places.iter().find(|(card, _)| *card == wanted);
        found.map(|(_, rect)| *rect)
    }

    /// Forgets where things stood: the sheet shows something else.
    pub fn put_away(&mut self) {
        self.places.clear();
    }

    /// Draws the plots.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) -> CurvesSeen {
        let area = ui.available_rect_before_wrap();
        let left = area.left() + space::WIDE;
        let head = Rect::from_min_max(pos2(left, area.top()), area.max);
        let head = head.with_max_y(area.top() + HEAD);
        let body = Rect::from_min_max(
            pos2(left, area.top() + HEAD),
            pos2(area.right() - space::NEAR, area.bottom() - space::TIGHT),
        );
        self.head_ui(ctx, ui, head, &kinds(ctx, body.size()));
        let Some(set) = ctx.results.curves() else {
            return CurvesSeen::default();
        };
        let axes_of = Some((set.asked.document, ctx.prefs.system));
        if self.axes_of != axes_of {
            self.plots.iter_mut().for_each(CurvePlot::forget);
            if self.axes_of.map(|(document, _)| document) != Some(set.asked.document) {
                self.plots.iter_mut().for_each(CurvePlot::show_all);
            }
            self.axes_of = axes_of;
        }
        if large(ctx).is_some() && ui.input(|i| i.key_pressed(egui::Key::Escape)) {
            ctx.ask(Command::Enlarge(None));
        }
        let cards = cards(ctx, body.size());
        self.view.cursor = ctx.playhead.day;
        let has_sweep = cards.contains(&Card::Sweep);
        let least = if has_sweep {
            super::sweep::LEAST_WIDTH
        } else {
            0.0
        };
        let mut grid = Grid::of(body.size(), cards.len(), least);
        let is_scrolled = grid.height > body.height() + 0.5;
        if is_scrolled {
            grid = Grid::of(body.size() - vec2(space::WIDE, 0.0), cards.len(), least);
        }
        let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("sheet"));
        if !is_scrolled {
            return self.cards_ui(ctx, &mut child, set, &cards, &grid, body.min);
        }
        // The wheel belongs to the plots, which it magnifies; the bar moves the sheet.
        let source = ScrollSource::SCROLL_BAR;
        // A bar that shows itself only to a pointer on it hides that there is more.
        child.spacing_mut().scroll = egui::style::ScrollStyle::solid();
        ScrollArea::vertical()
            .auto_shrink([false, false])
            .scroll_source(source)
            .scroll_bar_visibility(ScrollBarVisibility::AlwaysVisible)
            .show(&mut child, |ui| {
                let size = vec2(ui.available_width(), grid.height);
                let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
                self.cards_ui(ctx, ui, set, &cards, &grid, rect.min)
            })
            .inner
    }

    fn cards_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        set: &CurveSet,
        cards: &[Card],
        grid: &Grid,
        origin: egui::Pos2,
    ) -> CurvesSeen {
        let figures = ctx.results.figures().and_then(|f| f.line());
        let lead = figures.map_or(String::new(), |l| solute(&l.final_rinse.species));
        let unknown = Counted::Metal.told(&[], "");
        let lead_told = figures.map_or(unknown, |l| ctx.lead_told(l));
        let input = PlotInput {
            set,
            ghost: ctx.pinned.and_then(|p| p.curves.as_deref()),
            place: 0,
            system: ctx.prefs.system,
            palette: ctx.palette,
            lead: &lead,
            lead_told,
            is_large: large(ctx).is_some(),
            forward: ctx.forward(),
            is_cramped: ctx.is_cramped.get(),
            sides: Sides::default(),
        };
        let sides = self.sides(ui, cards, grid, origin, &input);
        let mut seen = CurvesSeen::default();
        self.places.clear();
        let mut view = self.view;
        let mut resized = None;
        let mut dropped = None;
        for (place, card) in cards.iter().enumerate() {
            let rect = grid.at(origin, place);
            if !ui.is_rect_visible(rect) {
                continue;
            }
            if ui.clip_rect().expand(1.0).contains_rect(rect) {
                self.places.push((*card, rect));
            }
            let (Card::Time(kind), Some(number)) = (*card, card.number()) else {
                if self.sweep.ui(ctx, ui, rect, input.is_large) {
                    resized = Some(*card);
                }
                continue;
            };
            let input = PlotInput {
                place: number,
                sides: sides[grid.column(place)],
                ..input
            };
            let shown = self.plots[number].show(ui, rect, &input, &mut view);
            if shown.is_resized {
                resized = Some(*card);
            }
            if cards.len() > 1 {
                dropped = carry_ui(ctx, ui, rect, kind).or(dropped);
            }
            if kind == Kind::Concentration {
                seen.concentration = Some(shown.frame);
                let plot = set.plots.get(number);
                let hue = |i: usize| {
                    let place = plot.and_then(|p| p.pens.get(i).copied());
                    pen(kind, place.unwrap_or(i), ctx.palette).0
                };
                seen.final_hue = set.final_station.map(hue);
                seen.holding_hue = set.holding_tank.map(hue);
            }
        }
        if let Some((carried, onto)) = dropped {
            let all = ctx.prefs.arranged_plots();
            ctx.ask(Command::ArrangePlots(carried_to(all, carried, onto)));
        }
        if let Some(card) = resized {
            let is_back = large(ctx).is_some();
            ctx.ask(Command::Enlarge((!is_back).then(|| card.name())));
            ui.ctx().request_repaint();
        }
        if view != self.view {
            if view.cursor != self.view.cursor {
                ctx.ask(Command::MoveCursor(view.cursor));
            }
            // The plots drawn before the one under the pointer show the old view.
            self.view = view;
            ui.ctx().request_repaint();
        }
        seen
    }

    /// Room beside the frames of the plots that are in sight, by column.
    fn sides(
        &self,
        ui: &Ui,
        cards: &[Card],
        grid: &Grid,
        origin: egui::Pos2,
        input: &PlotInput<'_>,
    ) -> Vec<Sides> {
        let mut sides = vec![Sides::default(); cards.len()];
        for (place, card) in cards.iter().enumerate() {
            let is_seen = ui.is_rect_visible(grid.at(origin, place));
            if let Some(number) = card.number().filter(|_| is_seen) {
                let input = PlotInput {
                    place: number,
                    ..*input
                };
                let column = &mut sides[grid.column(place)];
                *column = column.max(self.plots[number].sides(ui, grid.cell, &input));
            }
        }
        sides
    }

    /// What the values mean, and what is on the sheet.
    fn head_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, shown: &[Kind]) {
        let mut child = ui.new_child(
            UiBuilder::new()
                .max_rect(rect)
                .layout(Layout::left_to_right(Align::Center)),
        );
        let ui = &mut child;
        let words = cursor_words(ctx);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(space::WIDE);
            compare_button(ctx, ui);
            sizing_button(ctx, ui);
            money_button(ctx, ui);
            ledger_button(ctx, ui);
            sweep_button(ctx, ui);
            plots_menu(ctx, ui, shown);
            let is_whole = self.view.is_whole();
            let whole = ui.add_enabled(!is_whole, egui::Button::new("Whole run"));
            let hint = "Show all 90 days. Scroll over a plot to look closer; drag with the right button, or with Shift, to move along.";
            if whole
                .on_hover_text(hint)
                .on_disabled_hover_text(hint)
                .clicked()
            {
                self.view = View {
                    cursor: self.view.cursor,
                    ..View::default()
                };
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let full = words.first().cloned().unwrap_or_default();
                fitting_words(ui, ctx.palette, &words, &full);
            });
        });
    }
}

/// Height of a plot's title, by which it is carried to another place, and room of the button at its end.
const TITLE: f32 = 20.0;
const BUTTON: f32 = 62.0;

/// A plot is carried by its title: where it is let go, it takes the place of the plot that is there. Returns which plot was let go on which.
fn carry_ui(ctx: &ViewCtx<'_>, ui: &Ui, rect: Rect, kind: Kind) -> Option<(Kind, Kind)> {
    let title = Rect::from_min_max(rect.min, pos2(rect.right() - BUTTON, rect.top() + TITLE));
    let grip = ui.interact(
        title,
        ui.scope_id().with(("carry", kind_name(kind))),
        Sense::DRAG,
    );
    grip.dnd_set_drag_payload(kind);
    let name = kind_name(kind);
    grip.widget_info(|| {
        egui::WidgetInfo::labeled(
            egui::accesskit::Role::Button,
            true,
            format!("Carry: {name}"),
        )
    });
    if !egui::DragAndDrop::has_payload_of_type::<Kind>(ui.ctx()) {
        return None;
    }
    let whole = ui.interact(rect, ui.scope_id().with(("place", name)), Sense::HOVER);
    if let Some(carried) = whole.dnd_hover_payload::<Kind>() {
        let color = if *carried == kind {
            ctx.palette.rule
        } else {
            ctx.palette.accent
        };
        let line = egui::Stroke::new(2.0, color);
        ui.painter()
            .rect_stroke(rect.shrink(1.0), 4.0, line, egui::StrokeKind::Inside);
    }
    let let_go = whole.dnd_release_payload::<Kind>().map(|carried| *carried);
    let_go
        .filter(|carried| *carried != kind)
        .map(|carried| (carried, kind))
}

/// What has the whole sheet to itself.
fn large(ctx: &ViewCtx<'_>) -> Option<Card> {
    let name = ctx.prefs.large.as_deref()?;
    let has_sweep = ctx.prefs.sweep.is_some();
    let mut all = KINDS.into_iter().map(Card::Time);
    all.find(|card| card.name() == name)
        .or_else(|| (has_sweep && name == Card::Sweep.name()).then_some(Card::Sweep))
}

/// What is on the sheet, in its order.
fn cards(ctx: &ViewCtx<'_>, room: egui::Vec2) -> Vec<Card> {
    if let Some(card) = large(ctx) {
        return vec![card];
    }
    let mut cards: Vec<Card> = kinds(ctx, room).into_iter().map(Card::Time).collect();
    cards.extend(ctx.prefs.sweep.is_some().then_some(Card::Sweep));
    cards
}

/// The plots on the sheet while none has it to itself: those that were chosen, or as many as there is room for.
fn kinds(ctx: &ViewCtx<'_>, room: egui::Vec2) -> Vec<Kind> {
    ctx.prefs.chosen_plots().unwrap_or_else(|| {
        let has_sweep = ctx.prefs.sweep.is_some();
        let count = fitting(room).saturating_sub(usize::from(has_sweep)).max(1);
        let first = &FIRST[..count.min(FIRST.len())];
        let all = ctx.prefs.arranged_plots().into_iter();
        all.filter(|k| first.contains(k)).collect()
    })
}

/// What the values beside the curves are, from the longest wording to the shortest.
fn cursor_words(ctx: &ViewCtx<'_>) -> Vec<String> {
    let values = value_words(ctx);
    let Some(pinned) = ctx.pinned else {
        return values;
    };
    let was = format!("“was” (pale dashes) is {}", pinned.name);
    let each = values.into_iter().map(|v| format!("{was}; {v}"));
    let mut all: Vec<String> = each.collect();
    all.push(was);
    all
}

/// What the values beside the curves are of.
fn value_words(ctx: &ViewCtx<'_>) -> Vec<String> {
    match ctx.playhead.day {
        Some(day) => vec![
            format!(
                "values on {}; flows and powers are means of {MEAN_H:.0} h",
                moment_words(day)
            ),
            format!("values on {}", moment_words(day)),
            moment_words(day),
        ],
        None => [
            "values are means of the last week in sight; click a plot for those of a moment",
            "values are means of the last week in sight",
            "means of the last week",
        ]
        .map(str::to_owned)
        .to_vec(),
    }
}

fn ledger_button(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let hint = "What came in, went out and is held, of water, energy and each solute (Ctrl+L).";
    if ui.button("Ledger").on_hover_text(hint).clicked() {
        ctx.ask(Command::Show(Shown::Ledger));
    }
}

fn money_button(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let hint = "What a year costs, and whether the change from the pinned state pays (Ctrl+M).";
    if ui.button("Money").on_hover_text(hint).clicked() {
        ctx.ask(Command::Show(Shown::Money));
    }
}

fn compare_button(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let hint =
        "The line and its variants side by side: figures, inputs that differ, curves (Ctrl+K).";
    if ui.button("Compare").on_hover_text(hint).clicked() {
        ctx.ask(Command::Show(Shown::Compare));
    }
}

fn sizing_button(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let hint =
        "What must be installed so that work leaves clean enough and the loop closes (Ctrl+I).";
    if ui.button("Sizing").on_hover_text(hint).clicked() {
        ctx.ask(Command::Show(Shown::Sizing));
    }
}

fn sweep_button(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let is_out = ctx.prefs.sweep.is_some();
    let button = ui.add(egui::Button::selectable(is_out, "Settled answers"));
    let hint = "A plot of any key figure's settled value against any lever.";
    if button.on_hover_text(hint).clicked() {
        let choice = if is_out {
            None
        } else {
            Some(SweepChoice::default())
        };
        ctx.ask(Command::SetSweep(choice));
    }
}
