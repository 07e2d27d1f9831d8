//! One curve of each line over one another, and the list from which it is chosen.

use std::sync::Arc;

use dragback_units::System;
use egui::{Align, ComboBox, Layout, Rect, RichText, Ui, UiBuilder, pos2, vec2};

use super::Line;
use crate::compare::{Which, names, one};
use crate::plots::{Measure, Overlay, OverlayCurve, StillRange, overlay_ui};
use crate::results::CurveSet;
use crate::view_ctx::ViewCtx;

/// What is kept between frames: the axis, and the curve of the line itself.
#[derive(Default)]
pub(super) struct Kept {
    still: StillRange,
    axis_of: Option<(Which, System)>,
    own: Option<(Arc<CurveSet>, Which, Vec<[f64; 2]>)>,
}

/// Height of the line with the list.
const HEAD: f32 = 28.0;

/// Draws list and curves.
pub(super) fn curves_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    lines: &[Line<'_>],
    which: &mut Which,
    kept: &mut Kept,
) {
    let Some(set) = ctx.results.curves() else {
        let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("no curves"));
        child.centered_and_justified(|ui| {
            ui.label(RichText::new("Running the plant").color(ctx.palette.quiet));
        });
        return;
    };
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), HEAD));
    let layout = Layout::left_to_right(Align::Center);
    let mut child = ui.new_child(
        UiBuilder::new()
            .max_rect(head)
            .layout(layout)
            .id_salt("curve"),
    );
    choice_ui(&mut child, set, which);
    let axis_of = Some((which.clone(), ctx.prefs.system));
    if kept.axis_of != axis_of {
        kept.still.forget();
        kept.axis_of = axis_of;
    }
    let is_known =
        |(of, own, _): &(Arc<CurveSet>, Which, Vec<[f64; 2]>)| Arc::ptr_eq(of, set) && own == which;
    let known = kept.own.take().filter(is_known);
    let (_, _, own) = kept.own.insert(known.unwrap_or_else(|| {
        let points = one(set, which).unwrap_or_default();
        (Arc::clone(set), which.clone(), points)
    }));
    // The line itself lies on top.
    let curves: Vec<OverlayCurve<'_>> = lines
        .iter()
        .rev()
        .map(|line| {
            let found = line.found.and_then(|f| f.outcome.as_ref().ok());
            let (color, style) = line.pen(ctx.palette);
            OverlayCurve {
                name: line.name,
                points: if line.number == 0 {
                    own.as_slice()
                } else {
                    found.and_then(|f| f.curves.get(which)).unwrap_or_default()
                },
                color,
                style,
                is_heavy: line.number == 0,
            }
        })
        .collect();
    let answer = ctx.results.figures().and_then(|f| f.line());
    let per_solute = answer.map_or(1.0, |line| ctx.lead_told(line).strength(1.0));
    let measure = Measure {
        per_solute,
        ..Measure::of(which.kind, ctx.prefs.system)
    };
    let title = format!("{}, {}, day means", which.words(), measure.axis_words());
    let overlay = Overlay {
        measure,
        title: &title,
        curves: &curves,
        palette: ctx.palette,
    };
    let body = Rect::from_min_max(pos2(rect.left(), rect.top() + HEAD), rect.max);
    overlay_ui(ui, body, &overlay, &mut kept.still);
}

fn choice_ui(ui: &mut Ui, set: &CurveSet, which: &mut Which) {
    let combo = ComboBox::from_id_salt("overlaid")
        .selected_text(which.words())
        .width(230.0)
        .truncate()
        .height(420.0)
        .show_ui(ui, |ui| {
            for offered in names(set) {
                let is_chosen = offered == *which;
                if ui.selectable_label(is_chosen, offered.words()).clicked() {
                    *which = offered;
                }
            }
        });
    combo
        .response
        .accessible_name("Curve of each line")
        .on_hover_text("Which curve of each line is drawn, over the 90 days.");
}
