//! The menu that chooses what is on the sheet, and in which order.

use dragback_study::curves::Kind;
use egui::{Align, Layout, Ui};

use crate::command::Command;
use crate::plots::{KINDS, kind_name};
use crate::view_ctx::ViewCtx;

/// Buttons that put a plot before the one ahead of it, or behind the one after it.
fn move_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, all: &[Kind], place: usize) {
    let name = kind_name(all[place]);
    let later = Some(place + 1).filter(|p| *p < all.len());
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        for (sign, way, other) in [
            ("▼", "later", later),
            ("▲", "earlier", place.checked_sub(1)),
        ] {
            let button = ui.add_enabled(other.is_some(), egui::Button::new(sign).small());
            let button = button.accessible_name(format!("{name} {way}"));
            let hint = format!("Let it stand {way} on the sheet.");
            if let (true, Some(other)) = (button.on_hover_text(hint).clicked(), other) {
                let mut new = all.to_vec();
                new.swap(place, other);
                ctx.ask(Command::ArrangePlots(new));
            }
        }
    });
}

/// Which plots are on the sheet: a choice begins with those that are shown.
pub(super) fn plots_menu(ctx: &ViewCtx<'_>, ui: &mut Ui, now: &[Kind]) {
    let is_free = ctx.prefs.plots.is_none();
    let behave = egui::PopupCloseBehavior::CloseOnClickOutside;
    let config = egui::containers::menu::MenuConfig::new().close_behavior(behave);
    let button = egui::containers::menu::MenuButton::new("Plots").config(config);
    let (response, _) = button.ui(ui, |ui| {
        ui.set_width(230.0);
        if ui
            .selectable_label(is_free, "As many as there is room for")
            .clicked()
        {
            ctx.ask(Command::ShowPlots(None));
        }
        ui.separator();
        let all = ctx.prefs.arranged_plots();
        for (place, kind) in all.iter().copied().enumerate() {
            ui.horizontal(|ui| {
                let mut is_on = now.contains(&kind);
                if ui.checkbox(&mut is_on, kind_name(kind)).changed() {
                    let mut new: Vec<Kind> = now.iter().copied().filter(|k| *k != kind).collect();
                    new.extend(is_on.then_some(kind));
                    ctx.ask(Command::ShowPlots((!new.is_empty()).then_some(new)));
                }
                move_ui(ctx, ui, &all, place);
            });
        }
        if ui.button("All nine").clicked() {
            ctx.ask(Command::ShowPlots(Some(KINDS.to_vec())));
        }
    });
    response.on_hover_text(
        "Choose what is on the sheet, and in which order. A plot is also carried to another place by its title.",
    );
}
