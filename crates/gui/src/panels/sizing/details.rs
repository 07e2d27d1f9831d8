//! The row that is looked at: all its figures, and the button that makes it the present line.

use dragback_study::size::Row;
use egui::{Button, Rect, RichText, ScrollArea, Ui, UiBuilder};

use super::reaches::fact_ui;
use crate::command::Command;
use crate::sizing::{
    OnBench, SizingTable, closed_words, facts, heat_facts, on_bench, rinses_words,
};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::BAR;

/// Draws the row.
pub(super) fn details_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    table: &SizingTable,
    row: &Row,
) {
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("sizing details"));
    let ui = &mut child;
    let closed = closed_words(row.plan.closed_by);
    let name = format!("{}, {closed}", rinses_words(&row.plan));
    ui.label(
        RichText::new(name)
            .size(size::HEADING)
            .color(ctx.palette.ink),
    );
    take_ui(ctx, ui, table, row);
    ui.add_space(space::TIGHT);
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(ui.available_width() - BAR);
            ui.spacing_mut().item_spacing.y = 0.0;
            let system = ctx.prefs.system;
            let all = facts(row, system, table.currency()).into_iter();
            for fact in all.chain(heat_facts(row, system)) {
                fact_ui(ctx, ui, fact.name, &fact.told, fact.hint);
            }
        });
}

/// The button; it says why where it cannot be pressed.
fn take_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, table: &SizingTable, row: &Row) {
    let Some(document) = ctx.document else { return };
    let stands = on_bench(table, ctx.results.taken.as_ref(), document);
    let why = match stands {
        OnBench::Row(plan) if plan == row.plan => Some("It is the present line already."),
        OnBench::Changed | OnBench::OtherLoop => {
            Some("The table is of another line than the present one: size anew first.")
        }
        _ if document.faulty().is_some() => {
            Some("Put right or let go what the editor shows first.")
        }
        _ => None,
    };
    let button = ui.add_enabled(why.is_none(), Button::new("Make this the present line"));
    let hint = "Put rinses, route, tanks, heaters and towers of this row into the line, as one step of undo. Title, site, work, bath and prices stay; \
                events are left out, since they name parts that may be gone.";
    let button = button.on_hover_text(hint);
    if button
        .on_disabled_hover_text(why.unwrap_or_default())
        .clicked()
    {
        ctx.ask(Command::TakeLayout(row.plan));
    }
}
