//! The middle of the window: the loop drawn, a handle to share the room, and the plots.

use egui::{
    CursorIcon, EventFilter, Key, Modifiers, Rect, Response, Sense, Stroke, Ui, UiBuilder,
    WidgetInfo, pos2,
};

use super::Panels;
use super::curves::CurvesSeen;
use super::drawing::drawing_ui;
use super::editor::draft_ui;
use super::problems::problems_ui;
use crate::command::Command;
use crate::prefs::{DRAWING_SHARE, Shown};
use crate::theme::space;
use crate::view_ctx::ViewCtx;

/// Height of the handle between drawing and plots.
const HANDLE: f32 = 8.0;
/// The drawing does not grow beyond this: what is left goes to the plots.
const MOST: f32 = 640.0;
/// Least height that is left to the plots.
const PLOTS: f32 = 196.0;

/// Draws the sheet, or why a file was not opened.
pub fn sheet_ui(panels: &mut Panels, ctx: &ViewCtx<'_>, ui: &mut Ui) -> CurvesSeen {
    if problems_ui(ctx, ui) {
        return CurvesSeen::default();
    }
    draft_ui(ctx, ui);
    if ctx.prefs.shown != Shown::Loop {
        panels.curves.put_away();
        match ctx.prefs.shown {
            Shown::Loop => {}
            Shown::Ledger => panels.ledger.ui(ctx, ui),
            Shown::Money => panels.money.ui(ctx, ui),
            Shown::Compare => panels.compare.ui(ctx, ui),
            Shown::Sizing => panels.sizing.ui(ctx, ui),
        }
        return CurvesSeen::default();
    }
    let area = ui.available_rect_before_wrap();
    let high = drawing_height(ctx.prefs.drawing_share, area.height());
    let split = area.top() + high;
    if high > 0.0 {
        let rect = Rect::from_min_max(area.min, pos2(area.right(), split));
        drawing_ui(ctx, ui, rect.shrink2(egui::vec2(space::NEAR, 0.0)));
    }
    let handle = Rect::from_min_max(pos2(area.left(), split), pos2(area.right(), split + HANDLE));
    handle_ui(ctx, ui, handle, area);
    let rest = Rect::from_min_max(pos2(area.left(), split + HANDLE), area.max);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rest).id_salt("plots"));
    panels.curves.ui(ctx, &mut child)
}

fn drawing_height(share: f32, room: f32) -> f32 {
    let most = MOST.min(room - PLOTS - HANDLE).max(0.0);
    (share * room).min(most)
}

/// The handle: a drag or an arrow key shares the room anew, a double click shares it as at first.
fn handle_ui(ctx: &ViewCtx<'_>, ui: &Ui, rect: Rect, area: Rect) {
    let id = ui.scope_id().with("share");
    let response = ui.interact(rect, id, Sense::click_and_drag());
    let name = "Room of the drawing";
    response.widget_info(|| WidgetInfo::slider(true, f64::from(ctx.prefs.drawing_share), name));
    if response.double_clicked() {
        ctx.ask(Command::SetDrawingShare(DRAWING_SHARE));
    } else if response.dragged()
        && let Some(at) = response.interact_pointer_pos()
    {
        let share = (at.y - area.top()) / area.height().max(1.0);
        ctx.ask(Command::SetDrawingShare(share));
    }
    if let Some(by) = stepped(ui, &response) {
        // From where it stands: the drawing may be lower than its share.
        let now = (rect.top() - area.top()) / area.height().max(1.0);
        ctx.ask(Command::SetDrawingShare(now + by));
    }
    let is_held = response.hovered() || response.dragged() || response.has_focus();
    let (color, reach) = if is_held {
        (ctx.palette.accent, 36.0)
    } else {
        (ctx.palette.rule, 24.0)
    };
    let y = rect.center().y;
    let rule = Stroke::new(1.0, ctx.palette.rule);
    ui.painter()
        .hline(rect.x_range().shrink(space::WIDE), y, rule);
    let grip = [
        pos2(rect.center().x - reach, y),
        pos2(rect.center().x + reach, y),
    ];
    ui.painter().line_segment(grip, Stroke::new(3.0, color));
    response
        .on_hover_cursor(CursorIcon::ResizeVertical)
        .on_hover_text("Drag to give the drawing or the plots more room; Up and Down do it, too.");
}

/// Share of the room that Up or Down moves the handle.
const STEP: f32 = 0.05;

/// How far the arrow keys move the handle while it has the keyboard, as a share of the room.
fn stepped(ui: &Ui, handle: &Response) -> Option<f32> {
    if !handle.has_focus() {
        return None;
    }
    let filter = EventFilter {
        vertical_arrows: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(handle.id, filter));
    let count = |key| ui.input_mut(|i| i.count_and_consume_key(Modifiers::NONE, key));
    #[expect(clippy::cast_precision_loss, reason = "a few presses")]
    let by = count(Key::ArrowDown) as f32 - count(Key::ArrowUp) as f32;
    (by != 0.0).then_some(STEP * by)
}
