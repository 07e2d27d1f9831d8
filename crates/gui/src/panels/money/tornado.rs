//! What moves the payback most: uncertain inputs, each with the payback at its low, its likely and its high value.

use dragback_study::money::{Payback, Stopped, Swing, Years};
use egui::accesskit::Role;
use egui::{
    Align2, Label, Rect, RichText, ScrollArea, Sense, Stroke, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::pays::{GIVEN_UP, value_words};
use super::years;
use crate::document::{group_of, input_names};
use crate::plots::{elided, marks, round_step};
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;

/// Height of a row, and of its bar.
const ROW: f32 = 36.0;
const BAR: f32 = 12.0;
/// Width of the names.
const NAMES: f32 = 170.0;
/// Height of the axis.
const AXIS: f32 = 22.0;
/// Room beyond the longest payback, for words at the ends of bars.
const BEYOND: f64 = 1.12;

/// Draws the bars.
pub(super) fn tornado_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, payback: &Payback) {
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("tornado"));
    ScrollArea::vertical().auto_shrink([false, false]).show(&mut child, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let head = "Years until the money is back, at the low and at the high value of each uncertain input";
        ui.add(Label::new(RichText::new(head).color(ctx.palette.ink)).wrap());
        if payback.laid_out <= 0.0 {
            quiet_ui(ctx, ui, "Nothing is laid out, so that there is nothing to come back.");
            return;
        }
        let known = ctx.hangs.found();
        let swings = known.map_or(&[][..], |(found, _)| &found.parts.swings);
        let stopped = known.map_or(&[][..], |(found, _)| &found.parts.swings_stopped);
        let is_current = known.is_some_and(|(_, is_current)| is_current);
        let share = known.filter(|(_, is_current)| *is_current).map_or(0.0, |(found, _)| found.share);
        state_ui(ctx, ui, swings.is_empty() && stopped.is_empty(), is_current, share);
        if !swings.is_empty() {
            let scale = Scale::of(swings, payback);
            for swing in swings {
                row_ui(ctx, ui, swing, payback, &scale, is_current);
            }
            axis_ui(ctx, ui, &scale);
        }
        stopped_ui(ctx, ui, stopped, &payback.currency);
    });
}

fn quiet_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, words: &str) {
    let text = RichText::new(words)
        .size(size::SMALL)
        .color(ctx.palette.quiet);
    ui.add(Label::new(text).wrap());
}

/// Inputs of which there is no answer, each with what stopped it.
pub(super) fn stopped_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, stopped: &[Stopped], currency: &str) {
    let loop_key = ctx.document.map_or("", |d| d.loop_key.as_str());
    for one in stopped {
        let (name, _) = input_names(&one.path, loop_key, group_of(&one.path, loop_key));
        let words = one.words(&|si| value_words(ctx, one.dim, si, currency));
        let text = RichText::new(format!("{name} {words}."))
            .size(size::SMALL)
            .color(ctx.palette.caution);
        let label = ui.add(Label::new(text).wrap());
        label.on_hover_text(&one.path);
    }
}

/// How far the bars have been worked out.
fn state_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, is_empty: bool, is_current: bool, share: f64) {
    let is_whole = share >= 1.0;
    let words = match (is_current, is_empty) {
        _ if ctx.hangs.is_given_up() => GIVEN_UP.to_owned(),
        (true, true) if is_whole => {
            "No input has a low and a high value. Give some in the editor, for what is not known well.".to_owned()
        }
        (true, false) if is_whole => "Filled towards the high value, hollow towards the low one. Each is moved by itself, in both lines; the widest first, ten at most.".to_owned(),
        (true, _) => format!("Settling both lines at each value: {:.0} % done", 100.0 * share),
        (false, true) => "Settling both lines at each value".to_owned(),
        (false, false) => "As before the last change, until it is worked out anew.".to_owned(),
    };
    quiet_ui(ctx, ui, &words);
}

/// How years become places: from nothing to the longest payback. What never pays back ends at the edge.
struct Scale {
    most: f64,
    now: Option<f64>,
}

impl Scale {
    fn of(swings: &[Swing], payback: &Payback) -> Self {
        let each = swings
            .iter()
            .flat_map(|s| [s.at_low, s.at_likely, s.at_high]);
        let finite = each
            .filter_map(Years::number)
            .chain(payback.simple.number());
        let most = finite.fold(0.0, f64::max).max(0.1);
        Self {
            most: BEYOND * most,
            now: payback.simple.number(),
        }
    }

    fn x_of(&self, years: Years, bars: Rect) -> f32 {
        let share = years
            .number()
            .map_or(1.0, |y| (y / self.most).clamp(0.0, 1.0));
        #[expect(clippy::cast_possible_truncation, reason = "a share of the width")]
        let share = share as f32;
        bars.left() + share * bars.width()
    }
}

fn bars_of(rect: Rect) -> Rect {
    let names = NAMES.min(0.35 * rect.width());
    Rect::from_min_max(
        pos2(rect.left() + names + space::NEAR, rect.top()),
        rect.max,
    )
}

fn told_years(when: Years) -> String {
    match when {
        Years::After(after) => years(after),
        Years::AtOnce => "at once".to_owned(),
        Years::Never => "never".to_owned(),
    }
}

fn row_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    swing: &Swing,
    payback: &Payback,
    scale: &Scale,
    is_current: bool,
) {
    let palette = ctx.palette;
    let wide = ui.available_width() - space::NEAR;
    let (rect, response) = ui.allocate_exact_size(vec2(wide, ROW), Sense::hover());
    let bars = bars_of(rect);
    let loop_key = ctx.document.map_or("", |d| d.loop_key.as_str());
    let (name, _) = input_names(&swing.path, loop_key, group_of(&swing.path, loop_key));
    let told = |si: f64| value_words(ctx, swing.dim, si, &payback.currency);
    let ink = if is_current {
        palette.ink
    } else {
        palette.quiet
    };
    let text = elided(ui, &name, bars.left() - rect.left() - space::NEAR, ink);
    let at = pos2(rect.left(), rect.center().y - 0.5 * text.size().y);
    ui.painter().galley(at, text, ink);
    let ends = [(swing.at_low, swing.low), (swing.at_high, swing.high)];
    let [low, high] = ends.map(|(years, _)| scale.x_of(years, bars));
    let likely = scale.x_of(swing.at_likely, bars);
    let y = rect.top() + 0.5 * BAR + 4.0;
    let across = (y - 0.5 * BAR)..=(y + 0.5 * BAR);
    // The low end is hollow, the high end is filled: the words below say which is which, too.
    let color = if is_current {
        palette.series[5]
    } else {
        palette.quiet
    };
    let span = |a: f32, b: f32| {
        Rect::from_x_y_ranges(a.min(b)..=a.max(b).max(a.min(b) + 1.0), across.clone())
    };
    ui.painter()
        .rect_filled(span(likely, high), 1.0, color.gamma_multiply(0.75));
    ui.painter()
        .rect_filled(span(likely, low), 1.0, palette.tint(color, 0.25));
    ui.painter().rect_stroke(
        span(likely, low),
        1.0,
        Stroke::new(1.0, color),
        egui::StrokeKind::Inside,
    );
    ui.painter()
        .vline(likely, across.clone(), Stroke::new(2.0, palette.ink));
    if let Some(now) = scale.now {
        let x = scale.x_of(Years::After(now), bars);
        ui.painter()
            .vline(x, rect.y_range(), Stroke::new(0.8, palette.rule));
    }
    words_ui(
        ui,
        ctx,
        bars,
        rect.bottom() - 9.0,
        [(low, told(swing.low)), (high, told(swing.high))],
    );
    let said = format!(
        "{name}: {} at {}, {} at {} (likely), {} at {}",
        told_years(swing.at_low),
        told(swing.low),
        told_years(swing.at_likely),
        told(swing.likely),
        told_years(swing.at_high),
        told(swing.high)
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    response.on_hover_text(format!("{said}\n{}", swing.path));
}

/// The low and the high value under the ends of a bar, apart from one another and within the room.
fn words_ui(ui: &Ui, ctx: &ViewCtx<'_>, bars: Rect, y: f32, ends: [(f32, String); 2]) {
    let color = ctx.palette.quiet;
    let galley = |words: String| ui.painter().layout_no_wrap(words, font(size::SMALL), color);
    let [mut a, mut b] = ends.map(|(x, words)| (x, galley(words)));
    if a.0 > b.0 {
        std::mem::swap(&mut a, &mut b);
    }
    let (wide_a, wide_b) = (a.1.size().x, b.1.size().x);
    let right = (b.0 - 0.5 * wide_b).clamp(bars.left(), bars.right() - wide_b);
    let left = (a.0 - 0.5 * wide_a)
        .min(right - wide_a - space::NEAR)
        .max(bars.left());
    let right = right
        .max(left + wide_a + space::NEAR)
        .min(bars.right() - wide_b);
    for (x, text) in [(left, a.1), (right, b.1)] {
        let at = pos2(x, y - 0.5 * text.size().y);
        ui.painter().galley(at, text, color);
    }
}

fn axis_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, scale: &Scale) {
    let palette = ctx.palette;
    let wide = ui.available_width() - space::NEAR;
    let (rect, _) = ui.allocate_exact_size(vec2(wide, AXIS), Sense::hover());
    let bars = bars_of(rect);
    let line = Stroke::new(1.0, palette.rule);
    ui.painter().hline(bars.x_range(), rect.top(), line);
    let step = round_step(scale.most, 5.0);
    let all = marks((0.0, scale.most), step);
    let last = all.len().saturating_sub(1);
    for (i, mark) in all.iter().enumerate() {
        let x = scale.x_of(Years::After(*mark), bars);
        ui.painter().vline(x, rect.top()..=rect.top() + 4.0, line);
        let decimals = usize::from(step < 1.0);
        let unit = if i == last { " years" } else { "" };
        let words = format!("{mark:.decimals$}{unit}");
        let at = pos2(x, rect.top() + 5.0);
        let align = if i == last {
            Align2::RIGHT_TOP
        } else {
            Align2::CENTER_TOP
        };
        let at = if i == last {
            pos2((x + 26.0).min(bars.right()), at.y)
        } else {
            at
        };
        ui.painter()
            .text(at, align, words, font(size::SMALL), palette.quiet);
    }
}
