//! Time: play, speed, where the cursor stands, and a strip of the whole run with its weekends, shifts, events and alarms.

use egui::accesskit::Role;
use egui::{
    Align, Align2, Button, ComboBox, Layout, Pos2, Rect, Response, RichText, Sense, Shape, Stroke,
    StrokeKind, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::events::{Events, events_menu};
use crate::command::Command;
use crate::playhead::{ActsFrom, Speed, moment_words};
use crate::plots::View;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;
use crate::worker::SPAN_DAYS;

/// Height of the panel.
pub const TIMELINE_HEIGHT: f32 = 64.0;
/// Height of its line of buttons.
const HEAD: f32 = 28.0;
/// Rests shorter than this are drawn faintly: nights between shifts, hours.
const LONG_REST_H: f64 = 30.0;
/// How near the pointer must be to a mark to take it, points.
pub(super) const NEAR: f32 = 7.0;

/// The panel; it keeps which event is under the hand.
#[derive(Default)]
pub struct TimelinePanel {
    events: Events,
}

/// The strip on the screen: days and places.
#[derive(Clone, Copy)]
pub(super) struct Strip {
    pub rect: Rect,
}

impl Strip {
    pub(super) fn x_of(self, day: f64) -> f32 {
        #[expect(clippy::cast_possible_truncation, reason = "a share of the strip")]
        let share = (day / SPAN_DAYS) as f32;
        egui::lerp(self.rect.x_range(), share)
    }

    pub(super) fn day_at(self, at: Pos2) -> f64 {
        let share = (at.x - self.rect.left()) / self.rect.width().max(1.0);
        f64::from(share.clamp(0.0, 1.0)) * SPAN_DAYS
    }
}

impl TimelinePanel {
    /// Draws the panel; `view` is what the plots show of the run.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, view: &View) {
        let area = ui.available_rect_before_wrap();
        let head = Rect::from_min_size(area.min, vec2(area.width(), HEAD));
        let layout = Layout::left_to_right(Align::Center);
        let mut child = ui.new_child(UiBuilder::new().max_rect(head).layout(layout));
        self.head_ui(ctx, &mut child);
        let body = Rect::from_min_max(
            pos2(area.left() + space::WIDE, head.bottom() + 2.0),
            pos2(area.right() - space::WIDE, area.bottom() - space::TIGHT),
        );
        let strip = Strip { rect: body };
        let response = strip_ui(ctx, ui, strip, view);
        self.events.strip_ui(ctx, ui, strip, &response);
    }

    fn head_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        ui.add_space(space::WIDE);
        let head = ctx.playhead;
        let has_run = ctx.results.curves().is_some();
        let words = if head.is_playing { "Pause" } else { "Play" };
        let play = ui.add_enabled(has_run, Button::new(words).min_size(vec2(54.0, 0.0)));
        let hint = "Let time go on: the drawing, the figures and the cursor in all plots follow. Space does the same.";
        if play.on_hover_text(hint).clicked() {
            ctx.ask(Command::TogglePlay);
        }
        speed_ui(ctx, ui);
        ui.add_space(space::NEAR);
        match head.day {
            Some(day) => {
                ui.label(
                    RichText::new(moment_words(day))
                        .color(ctx.palette.ink)
                        .strong(),
                );
                let hint = "Go back to the means of the settled week (Escape).";
                if ui.button("Settled week").on_hover_text(hint).clicked() {
                    ctx.ask(Command::MoveCursor(None));
                }
            }
            None => {
                let hint = "The drawing and the figures are means of the settled week. Click or drag in a plot or on the strip to see a moment of the run; arrow keys step by an hour, with Shift by a day.";
                ui.label(
                    RichText::new("Settled week, means")
                        .color(ctx.palette.ink)
                        .strong(),
                )
                .on_hover_text(hint);
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(space::WIDE);
            events_menu(ctx, ui, &mut self.events);
            ui.add_space(space::NEAR);
            acts_ui(ctx, ui);
        });
    }
}

fn speed_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let combo = ComboBox::from_id_salt("speed")
        .selected_text(ctx.playhead.speed.name())
        .width(64.0)
        .show_ui(ui, |ui| {
            for speed in Speed::ALL {
                let is_chosen = speed == ctx.playhead.speed;
                if ui.selectable_label(is_chosen, speed.name()).clicked() {
                    ctx.ask(Command::SetSpeed(speed));
                }
            }
        });
    combo
        .response
        .accessible_name("Speed of time")
        .on_hover_text("How much of the run passes in a second.");
}

/// From when on a moved lever acts.
fn acts_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let can_step = ctx.playhead.day.is_some();
    for (acts, name, hint) in [
        (
            ActsFrom::Cursor,
            "from the cursor",
            "A lever that is moved makes a step change at the cursor, which is put on the timeline. Put the cursor on a moment first.",
        ),
        (
            ActsFrom::Start,
            "from the start",
            "A lever that is moved changes the input itself, and the whole run.",
        ),
    ] {
        let is_chosen = ctx.playhead.acts == acts;
        let is_free = can_step || acts == ActsFrom::Start;
        let button = ui.add_enabled(is_free, Button::selectable(is_chosen, name));
        let button = button.on_hover_text(hint).on_disabled_hover_text(hint);
        if button.clicked() {
            ctx.ask(Command::SetActs(acts));
        }
    }
    ui.label(RichText::new("Levers act").color(ctx.palette.quiet));
}

/// The strip: a click or a drag moves the cursor, arrow keys step it.
fn strip_ui(ctx: &ViewCtx<'_>, ui: &Ui, strip: Strip, view: &View) -> Response {
    let id = ui.scope_id().with("timeline");
    let response = ui.interact(strip.rect, id, Sense::click_and_drag());
    ui.data_mut(|d| d.insert_temp(super::keys::strip_id(), response.id));
    ctx.saw("timeline", response.rect);
    if response.has_focus() {
        // Arrow keys step the cursor here and do not lead to another control.
        let filter = egui::EventFilter {
            horizontal_arrows: true,
            ..egui::EventFilter::default()
        };
        ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    }
    let day = ctx.playhead.day;
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::Slider, true, "Moment of the run");
        info.value = day;
        info
    });
    let said = day.map_or_else(|| "settled week".to_owned(), moment_words);
    ui.ctx().accesskit_node_builder(id, |node| {
        node.set_value(said);
        node.set_min_numeric_value(0.0);
        node.set_max_numeric_value(SPAN_DAYS);
    });
    paint(ctx, ui, strip, view, response.has_focus());
    response
}

fn paint(ctx: &ViewCtx<'_>, ui: &Ui, strip: Strip, view: &View, is_focused: bool) {
    let (palette, painter, rect) = (ctx.palette, ui.painter(), strip.rect);
    let bar = Rect::from_min_max(rect.min, pos2(rect.right(), rect.bottom() - 13.0));
    painter.rect_filled(bar, 3.0, palette.ground);
    if let Some(set) = ctx.results.curves() {
        for [from_h, to_h] in &set.rests {
            let (from, to) = (strip.x_of(from_h / 24.0), strip.x_of(to_h / 24.0));
            let is_long = to_h - from_h >= LONG_REST_H;
            let share = if is_long { 0.8 } else { 0.3 };
            let night = Rect::from_x_y_ranges(from..=to, bar.y_range());
            painter.rect_filled(night, 0.0, palette.tint(palette.rule, share));
        }
    }
    if !view.is_whole() {
        let seen =
            Rect::from_x_y_ranges(strip.x_of(view.from)..=strip.x_of(view.to), bar.y_range());
        let line = Stroke::new(1.0, palette.quiet);
        painter.rect_stroke(seen, 2.0, line, StrokeKind::Inside);
    }
    let line = if is_focused {
        palette.accent
    } else {
        palette.rule
    };
    painter.rect_stroke(bar, 3.0, Stroke::new(1.0, line), StrokeKind::Inside);
    let weeks_a_mark = if rect.width() > 700.0 { 1.0 } else { 2.0 };
    let mut week = 0.0;
    while 7.0 * week < SPAN_DAYS {
        let x = strip.x_of(7.0 * week);
        let tick = [pos2(x, bar.bottom()), pos2(x, bar.bottom() + 3.0)];
        painter.line_segment(tick, Stroke::new(1.0, palette.quiet));
        let words = if week == 0.0 {
            "week 1".to_owned()
        } else {
            format!("{}", week + 1.0)
        };
        let at = pos2(x + 3.0, bar.bottom() + 1.0);
        painter.text(
            at,
            Align2::LEFT_TOP,
            words,
            font(size::SMALL),
            palette.quiet,
        );
        week += weeks_a_mark;
    }
    alarms(ctx, ui, strip, bar);
    if let Some(day) = ctx.playhead.day {
        let x = strip.x_of(day);
        let ends = [pos2(x, bar.top() - 2.0), pos2(x, bar.bottom() + 2.0)];
        painter.line_segment(ends, Stroke::new(1.5, palette.ink));
        painter.circle_filled(pos2(x, bar.top()), 4.0, palette.ink);
    }
}

/// Alarms, and where the final rinse passes its limit, as wedges at the head of the bar; those that would stand on one another are one.
fn alarms(ctx: &ViewCtx<'_>, ui: &Ui, strip: Strip, bar: Rect) {
    let Some(set) = ctx.results.curves() else {
        return;
    };
    let mut last = f32::NEG_INFINITY;
    let passed = set.run.as_ref().and_then(|run| run.passed_limit_on_day);
    let mut days: Vec<f64> = set.alarms.iter().map(|(hours, _)| hours / 24.0).collect();
    days.extend(passed);
    days.sort_by(f64::total_cmp);
    for day in days {
        let x = strip.x_of(day);
        if x - last < 5.0 || day > SPAN_DAYS {
            continue;
        }
        last = x;
        let top = bar.top() + 1.0;
        let wedge = vec![pos2(x - 3.5, top), pos2(x + 3.5, top), pos2(x, top + 6.0)];
        let shape = Shape::convex_polygon(wedge, ctx.palette.alarm, Stroke::NONE);
        ui.painter().add(shape);
    }
}
