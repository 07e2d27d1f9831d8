//! What can be written down, as a part of the file menu.

use dragback_study::curves::Kind;
use egui::{Button, Ui};

use crate::command::Command;
use crate::export::{Export, Picture};
use crate::plots::{KINDS, kind_name};
use crate::view_ctx::ViewCtx;

/// Draws the sub-menu.
pub fn export_menu(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.menu_button("Write to a file", |ui| {
        ui.set_min_width(210.0);
        for (words, hint, what) in [
            (
                "Key figures (CSV)…",
                "The figures of the settled week, and those of a kept state, in the units shown.",
                Export::Figures,
            ),
            (
                "All answers (JSON)…",
                "Everything that is known of the settled week, in the shape that the terminal writes.",
                Export::Answers,
            ),
            (
                "All curves (CSV)…",
                "Every curve of the 90 days, in the units shown.",
                Export::Curves,
            ),
            (
                "Settled answers (CSV)…",
                "Every figure against the lever of the plot of settled answers.",
                Export::Sweep,
            ),
            (
                "Comparison (CSV)…",
                "The line and its variants side by side, and the inputs that differ.",
                Export::Comparison,
            ),
            (
                "Sizing (CSV)…",
                "Every layout that was sized, with its figures or with what stops it.",
                Export::Sizing,
            ),
            (
                "Window (PNG)…",
                "A picture of the window as it stands.",
                Export::Picture(Picture::Window),
            ),
        ] {
            item(ctx, ui, words, hint, what);
        }
        ui.separator();
        ui.menu_button("Curves of one plot (CSV)", |ui| {
            each_plot(ctx, ui, Export::Plot);
        });
        ui.menu_button("Picture of one plot (PNG)", |ui| {
            each_plot(ctx, ui, |kind| Export::Picture(Picture::Plot(kind)));
            let sweep = Export::Picture(Picture::Sweep);
            item(ctx, ui, "Settled answers…", "It must be in sight.", sweep);
        });
        ui.menu_button("Drawing of one plot (SVG)", |ui| {
            each_plot(ctx, ui, |kind| Export::Drawing(Picture::Plot(kind)));
            let sweep = Export::Drawing(Picture::Sweep);
            item(ctx, ui, "Settled answers…", "It must be in sight.", sweep);
            let all = Export::Drawing(Picture::Window);
            let hint = "All of the window as it stands, such as money, sizing, or the loop.";
            item(ctx, ui, "Window…", hint, all);
        });
    });
}

fn each_plot(ctx: &ViewCtx<'_>, ui: &mut Ui, what: impl Fn(Kind) -> Export) {
    ui.set_min_width(180.0);
    for kind in KINDS {
        let export = what(kind);
        let hint = match export {
            Export::Picture(_) | Export::Drawing(_) => {
                "The plot as it stands on the sheet; it must be in sight."
            }
            _ => "Time and values in the units shown.",
        };
        item(ctx, ui, &format!("{}…", kind_name(kind)), hint, export);
    }
}

fn item(ctx: &ViewCtx<'_>, ui: &mut Ui, words: &str, hint: &str, what: Export) {
    let button = ui.add_enabled(!ctx.is_opening, Button::new(words));
    if button.on_hover_text(hint).clicked() {
        ctx.ask(Command::Export(what));
        ui.close();
    }
}
