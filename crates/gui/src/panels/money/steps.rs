//! Where a saving comes from: steps from the yearly cost before to the one after, each as long as what it changes.

use dragback_study::money::{CostKind, CostLine, Payback};
use egui::accesskit::Role;
use egui::{
    Align2, Color32, Rect, Response, RichText, ScrollArea, Sense, Stroke, Ui, UiBuilder,
    WidgetInfo, pos2, vec2,
};

use crate::money::{Step, steps};
use crate::number::{whole, whole_moved as moved};
use crate::plots::elided;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;

/// Height of a row.
const ROW: f32 = 22.0;
/// Width of the names.
const NAMES: f32 = 214.0;
/// Width of the amounts.
const AMOUNTS: f32 = 84.0;

/// Draws the steps.
pub(super) fn steps_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect, payback: &Payback) {
    let steps = steps(payback);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("steps"));
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(&mut child, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            let base = payback.cost_before;
            let ends = steps.iter().flat_map(|s| [s.from - base, s.to - base]);
            let (low, high) = ends.fold((0.0_f64, 0.0_f64), |(a, b), x| (a.min(x), b.max(x)));
            let span = (high - low).max(1.0);
            let scale = Scale { low, span, base };
            if steps.is_empty() {
                let words = "No line of the cost changes: move a lever, or load another line to compare with.";
                ui.label(RichText::new(words).color(ctx.palette.quiet));
                return;
            }
            sum_ui(ctx, ui, "Before, a year", payback.cost_before, &scale);
            for step in &steps {
                step_ui(ctx, ui, step, &scale);
            }
            sum_ui(ctx, ui, "After, a year", payback.cost_after, &scale);
        });
}

/// How amounts become places.
struct Scale {
    low: f64,
    span: f64,
    base: f64,
}

impl Scale {
    fn x_of(&self, cost: f64, bars: Rect) -> f32 {
        let share = (cost - self.base - self.low) / self.span;
        #[expect(clippy::cast_possible_truncation, reason = "a share of the width")]
        let share = share as f32;
        bars.left() + share * bars.width()
    }
}

/// A row: a name, room for a bar, an amount at the right edge. Gives what can be hovered, and the room.
fn row_ui(
    ui: &mut Ui,
    (name, name_color): (&str, Color32),
    (told, told_color): (&str, Color32),
) -> (Response, Rect) {
    let wide = ui.available_width() - space::NEAR;
    let (rect, response) = ui.allocate_exact_size(vec2(wide, ROW), Sense::hover());
    let names = NAMES.min(0.4 * wide);
    let painter = ui.painter();
    let text = elided(ui, name, names, name_color);
    let at = pos2(rect.left(), rect.center().y - 0.5 * text.size().y);
    painter.galley(at, text, name_color);
    let at = rect.right_center();
    painter.text(at, Align2::RIGHT_CENTER, told, font(size::BODY), told_color);
    let bars = Rect::from_min_max(
        pos2(rect.left() + names + space::NEAR, rect.top()),
        pos2(rect.right() - AMOUNTS - space::NEAR, rect.bottom()),
    );
    (response, bars)
}

fn sum_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, name: &str, cost: f64, scale: &Scale) {
    let ink = ctx.palette.ink;
    let (response, bars) = row_ui(ui, (name, ink), (&whole(cost), ink));
    let said = format!("{name}: {}", whole(cost));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    let x = scale.x_of(cost, bars);
    ui.painter().vline(x, bars.y_range(), Stroke::new(2.0, ink));
}

fn step_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, step: &Step, scale: &Scale) {
    let palette = ctx.palette;
    let change = step.to - step.from;
    // Saved is green and runs to the left, added is brown and runs to the right.
    let color = if change < 0.0 {
        palette.good
    } else {
        palette.caution
    };
    let (response, bars) = row_ui(ui, (&step.name, palette.quiet), (&moved(change), color));
    let said = format!("{}: {} a year", step.name, moved(change));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    let (a, b) = (scale.x_of(step.from, bars), scale.x_of(step.to, bars));
    bar_ui(ui, (a.min(b), a.max(b)), bars, color);
    let line = Stroke::new(0.8, palette.rule);
    ui.painter().vline(b, bars.y_range(), line);
    let price = if step.path.is_empty() {
        String::new()
    } else {
        format!("\nIts price: {}", step.path)
    };
    let note = step.kind.map_or_else(String::new, note_words);
    response.on_hover_text(format!(
        "{}: {} a year before, {} after.{note}{price}",
        step.name,
        whole(step.before),
        whole(step.after)
    ));
}

/// A bar, at least a point long.
fn bar_ui(ui: &Ui, (from, to): (f32, f32), bars: Rect, color: Color32) {
    let across = bars.y_range().shrink(4.0);
    let bar = Rect::from_x_y_ranges(from..=to.max(from + 1.0), across);
    ui.painter()
        .rect_filled(bar, 1.0, color.gamma_multiply(0.8));
}

/// How a line is counted, where that is to be known, to stand behind a sentence.
fn note_words(kind: CostKind) -> String {
    kind.note()
        .map_or_else(String::new, |note| format!(" {note}"))
}

/// A line of a cost that stands alone, with a bar as long as its share of the largest.
pub(super) fn cost_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, line: &CostLine, largest: f64) {
    let palette = ctx.palette;
    let told = whole(line.per_year);
    let (response, bars) = row_ui(ui, (&line.name, palette.quiet), (&told, palette.ink));
    let said = format!("{}: {told} a year", line.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    #[expect(clippy::cast_possible_truncation, reason = "a share of the width")]
    let share = (line.per_year / largest.max(1.0)).clamp(0.0, 1.0) as f32;
    let end = bars.left() + share * bars.width();
    bar_ui(
        ui,
        (bars.left(), end),
        bars,
        palette.tint(palette.quiet, 0.5),
    );
    let note = note_words(line.kind);
    response.on_hover_text(format!("{said}.{note}\nIts price: {}", line.path));
}
