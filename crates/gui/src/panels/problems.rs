//! Why a file could not be opened: every problem with its line, input, value and what to try.

use dragback_scenario::Problem;
use egui::{Button, Grid, Label, RichText, ScrollArea, Ui, vec2};

use crate::command::Command;
use crate::problems::ProblemList;
use crate::theme::{Palette, size, space};
use crate::view_ctx::ViewCtx;

/// Draws the list in the place of the sheet, if there is one; says whether there is. Levers and figures of the last scenario that was good stay
/// beside it.
pub fn problems_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) -> bool {
    let Some(list) = ctx.problems else {
        return false;
    };
    let margin = egui::Margin::symmetric(16, 12);
    egui::Frame::NONE
        .inner_margin(margin)
        .show(ui, |ui| list_ui(ctx, ui, list));
    true
}

fn list_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, list: &ProblemList) {
    let count = list.problems.len();
    let heading = match count {
        1 => format!("{} was not opened: one thing is wrong", list.name),
        n => format!("{} was not opened: {n} things are wrong", list.name),
    };
    ui.label(
        RichText::new(heading)
            .size(size::HEADING)
            .color(ctx.palette.alarm)
            .strong(),
    );
    if let Some(document) = ctx.document {
        let text = format!(
            "“{}” stays open; its figures stand above.",
            document.title()
        );
        ui.label(RichText::new(text).color(ctx.palette.quiet));
    }
    ui.add_space(space::NEAR);
    ui.horizontal(|ui| {
        if let Some(path) = &list.path {
            let again = ui.add_enabled(!ctx.is_opening, Button::new("Read it again"));
            if again
                .on_hover_text("Read the file once more after you have corrected it.")
                .clicked()
            {
                ctx.ask(Command::OpenPath(path.clone()));
            }
        }
        if list.text.is_some() {
            let mend = ui.add_enabled(!ctx.is_opening, Button::new("Put it right in the editor…"));
            let hint = "Open the file beside the line that is shown. What is wrong stands beside each field, and it runs as soon as nothing is.";
            if mend.on_hover_text(hint).clicked() {
                ctx.ask(Command::MendFile);
            }
        }
        if ui
            .button("Close the list")
            .on_hover_text("Go on with the scenario that is open.")
            .clicked()
        {
            ctx.ask(Command::CloseProblems);
        }
    });
    ui.add_space(space::NEAR);
    let widths = [44.0, 220.0, 130.0];
    let rest = (ui.available_width() - widths.iter().sum::<f32>() - 4.0 * space::WIDE).max(200.0);
    ScrollArea::vertical()
        .auto_shrink([false, true])
        .show(ui, |ui| {
            Grid::new("problem list")
                .num_columns(4)
                .spacing(vec2(space::WIDE, space::NEAR))
                .striped(true)
                .show(ui, |ui| {
                    for (head, width) in
                        ["Line", "Input", "Value", "What is wrong, and what to try"]
                            .iter()
                            .zip(widths.iter().chain([&rest]))
                    {
                        cell(
                            ui,
                            *width,
                            RichText::new(*head)
                                .size(size::SMALL)
                                .color(ctx.palette.quiet),
                        );
                    }
                    ui.end_row();
                    for problem in &list.problems {
                        row_ui(ui, ctx.palette, problem, widths, rest);
                        ui.end_row();
                    }
                });
        });
}

fn row_ui(ui: &mut Ui, palette: &Palette, problem: &Problem, widths: [f32; 3], rest: f32) {
    let line = problem.place.map_or("–".to_owned(), |p| {
        if problem.path.is_empty() {
            format!("{}:{}", p.line, p.column)
        } else {
            p.line.to_string()
        }
    });
    cell(ui, widths[0], RichText::new(line).color(palette.ink));
    let path = if problem.path.is_empty() {
        "–"
    } else {
        &problem.path
    };
    cell(ui, widths[1], RichText::new(path).color(palette.accent));
    cell(
        ui,
        widths[2],
        RichText::new(problem.value.as_deref().unwrap_or("–")).color(palette.ink),
    );
    ui.vertical(|ui| {
        ui.set_width(rest);
        ui.label(RichText::new(&problem.message).color(palette.ink));
        if !problem.advice.is_empty() {
            ui.label(RichText::new(format!("→ {}", problem.advice)).color(palette.good));
        }
    });
}

fn cell(ui: &mut Ui, width: f32, text: RichText) {
    ui.vertical(|ui| {
        ui.set_width(width);
        ui.add(Label::new(text).wrap());
    });
}
