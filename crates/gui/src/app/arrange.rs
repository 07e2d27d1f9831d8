//! Where the panels stand: bars above and below, levers at the left, answers above the sheet.

use egui::{CentralPanel, Frame, Panel, Pos2, Rect, Ui};

use crate::panels::{
    CurvesSeen, FOOT_HEIGHT, LESSON_WIDTH, Panels, TIMELINE_HEIGHT, VERDICT_HEIGHT, VERDICT_LINE,
    caution_height, caution_ui, figures_height, formula_ui, lesson_ui, sheet_ui, verdict_line_ui,
    verdict_ui,
};
use crate::view_ctx::ViewCtx;

/// Least room between the bars in which everything stands as it should, points.
pub const LEAST: egui::Vec2 = egui::vec2(1180.0, 610.0);

/// Title above, caution below; returns the height of the caution.
pub(super) fn bars(panels: &mut Panels, ctx: &ViewCtx<'_>, ui: &mut Ui) -> f32 {
    let ground = Frame::NONE.fill(ctx.palette.ground);
    Panel::top("top bar")
        .frame(ground)
        .resizable(false)
        .exact_size(44.0)
        .show(ui, |ui| panels.top_bar.ui(ctx, ui));
    let high = caution_height(ctx, ui);
    Panel::bottom("caution")
        .frame(ground)
        .resizable(false)
        .exact_size(high)
        .show(ui, |ui| caution_ui(ctx, ui));
    high
}

/// What stands between the bars. Where text is large and the screen small, nothing is squeezed: scroll bars and the wheel, with Shift sideways, move
/// it, while the bars above and below, with the menus and the caution, stay in sight.
pub(super) fn with_room(ctx: &ViewCtx<'_>, ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    let room = ui.available_size();
    if room.x >= LEAST.x - 0.5 && room.y >= LEAST.y - 0.5 {
        add(ui);
        return;
    }
    ctx.is_cramped.set(true);
    let source = egui::scroll_area::ScrollSource {
        drag: egui::scroll_area::DragScroll::Never,
        ..egui::scroll_area::ScrollSource::default()
    };
    let own = ui.spacing().scroll;
    ui.spacing_mut().scroll = egui::style::ScrollStyle::solid();
    egui::ScrollArea::both()
        .auto_shrink([false, false])
        .scroll_source(source)
        .show(ui, |ui| {
            ui.spacing_mut().scroll = own;
            let (rect, _) = ui.allocate_exact_size(room.max(LEAST), egui::Sense::hover());
            let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect));
            add(&mut child);
        });
}

/// The figures and what they mean.
pub(super) fn answers(panels: &Panels, ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let sheet = Frame::NONE.fill(ctx.palette.sheet);
    Panel::top("figures")
        .frame(sheet)
        .resizable(false)
        .exact_size(figures_height(ctx.pinned.is_some()))
        .show(ui, |ui| panels.figures.ui(ctx, ui));
    Panel::top("verdict")
        .frame(sheet)
        .resizable(false)
        .exact_size(VERDICT_HEIGHT)
        .show(ui, |ui| verdict_ui(ctx, ui));
}

/// The editor: chapters at the left, the open one in the middle under figures and verdict, what a field is at the foot.
pub(super) fn editor(panels: &mut Panels, ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let (ground, sheet) = (ctx.palette.ground, ctx.palette.sheet);
    Panel::left("chapters")
        .frame(Frame::NONE.fill(ground))
        .resizable(false)
        .exact_size(232.0)
        .show(ui, |ui| panels.editor.chapters_ui(ctx, ui));
    Panel::top("figures")
        .frame(Frame::NONE.fill(sheet))
        .resizable(false)
        .exact_size(figures_height(ctx.pinned.is_some()))
        .show(ui, |ui| panels.figures.ui(ctx, ui));
    Panel::top("verdict")
        .frame(Frame::NONE.fill(sheet))
        .resizable(false)
        .exact_size(VERDICT_LINE)
        .show(ui, |ui| verdict_line_ui(ctx, ui));
    Panel::bottom("about the field")
        .frame(Frame::NONE.fill(ground))
        .resizable(false)
        .exact_size(FOOT_HEIGHT)
        .show(ui, |ui| panels.editor.foot_ui(ctx, ui));
    CentralPanel::default()
        .frame(Frame::NONE.fill(sheet))
        .show(ui, |ui| panels.editor.ui(ctx, ui));
}

/// The levers at the left. Returns path, rail and handle of each main lever.
pub(super) fn levers(
    panels: &mut Panels,
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
) -> Vec<(String, Rect, Pos2)> {
    Panel::left("levers")
        .frame(Frame::NONE.fill(ctx.palette.ground))
        .resizable(false)
        .exact_size(272.0)
        .show(ui, |ui| panels.levers.ui(ctx, ui))
        .inner
}

/// What fills the rest: the formula and the strip of time at the foot, above them the drawing and the plots.
pub(super) fn sheet(panels: &mut Panels, ctx: &ViewCtx<'_>, ui: &mut Ui) -> CurvesSeen {
    let sheet = Frame::NONE.fill(ctx.palette.sheet);
    Panel::bottom("formula")
        .frame(sheet)
        .resizable(false)
        .exact_size(30.0)
        .show(ui, |ui| formula_ui(ctx, ui));
    Panel::bottom("timeline")
        .frame(sheet)
        .resizable(false)
        .exact_size(TIMELINE_HEIGHT)
        .show(ui, |ui| {
            let view = *panels.curves.view();
            panels.timeline.ui(ctx, ui, &view);
        });
    if ctx.lesson.is_some() {
        // Beside the levers that it speaks of, not above them: they stay where the hand knows them.
        Panel::right("lesson")
            .frame(sheet)
            .resizable(false)
            .exact_size(LESSON_WIDTH)
            .show(ui, |ui| lesson_ui(ctx, ui));
    }
    CentralPanel::default()
        .frame(sheet)
        .show(ui, |ui| sheet_ui(panels, ctx, ui))
        .inner
}
