//! The list of shortcuts, and what the program is.

use egui::{Align2, Grid, RichText, ScrollArea, Ui, Window, vec2};

use super::caution::{CAUTION, MORE};
use super::keys::SHORTCUTS;
use crate::command::Command;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// What is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Help {
    /// The shortcuts.
    Shortcuts,
    /// Version, licence, cautions, limits.
    About,
}

/// Within what the figures hold.
const LIMITS: [&str; 6] = [
    "Rinses, baths and tanks are well mixed; film that leaves is of the strength of its tank and of what stayed on from before.",
    "Water and energy follow heat and moisture balances. Towers follow a transfer-unit law within the ratings that the scenario gives.",
    "Species are counted, not reacted: no pH, cyanide or carbonate chemistry, no breakdown of organics, no speciation.",
    "Conductivity and solubility are estimates from published data of plain solutions.",
    "The preview takes averaged steps; curves marked Exact locate every switch. Both must close their books to 1e−9, or no figure is shown.",
    "Inputs marked assumed or typical are no better than that: measure drag-out and flows before money is spent.",
];

/// Draws what is open.
pub fn help_ui(ctx: &ViewCtx<'_>, ui: &Ui, help: Option<Help>) {
    let Some(help) = help else { return };
    let title = match help {
        Help::Shortcuts => "Shortcuts",
        Help::About => "About Dragback",
    };
    let room = ui.ctx().content_rect().size() - vec2(80.0, 120.0);
    Window::new(title)
        .title_bar(false)
        .collapsible(false)
        .resizable(false)
        .anchor(Align2::CENTER_CENTER, vec2(0.0, 0.0))
        .fixed_size(vec2(520.0_f32.min(room.x), room.y))
        .show(ui.ctx(), |ui| {
            let head = RichText::new(title).size(size::HEADING).strong();
            ui.label(head.color(ctx.palette.ink));
            ui.add_space(space::NEAR);
            ScrollArea::vertical()
                .auto_shrink([false, true])
                .max_height((room.y - 80.0).max(120.0))
                .show(ui, |ui| match help {
                    Help::Shortcuts => shortcuts_ui(ctx, ui),
                    Help::About => about_ui(ctx, ui),
                });
            ui.add_space(space::WIDE);
            if ui.button("Close").clicked() {
                ctx.ask(Command::ShowHelp(None));
            }
        });
    if ui.input(|i| i.key_pressed(egui::Key::Escape)) {
        ctx.ask(Command::ShowHelp(None));
    }
}

fn shortcuts_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    Grid::new("shortcuts")
        .num_columns(2)
        .spacing(vec2(space::WIDE, space::TIGHT))
        .show(ui, |ui| {
            for (keys, words) in SHORTCUTS {
                ui.label(RichText::new(keys).strong().color(ctx.palette.ink));
                ui.label(RichText::new(words).color(ctx.palette.ink));
                ui.end_row();
            }
        });
}

fn about_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let ink = |words: &str| RichText::new(words).color(ctx.palette.ink);
    let version = env!("CARGO_PKG_VERSION");
    let licence = env!("CARGO_PKG_LICENSE");
    ui.label(ink(&format!("Version {version}. Licence: {licence}.")));
    ui.label(ink(
        "For people who close the rinse-water loop of a plating line: what comes back, what is lost, and whether the water balance closes.",
    ));
    ui.add_space(space::NEAR);
    ui.label(
        RichText::new("▲ Caution")
            .strong()
            .color(ctx.palette.caution),
    );
    ui.label(ink(CAUTION));
    ui.label(ink(MORE));
    ui.add_space(space::NEAR);
    ui.label(ink("Limits of validity").strong());
    for limit in LIMITS {
        ui.label(ink(&format!("• {limit}")));
    }
}
