//! The editor: everything that a scenario says, chapter by chapter, with what is wrong beside it. The figures above follow every edit that runs.

mod about;
mod chapters;
mod group;
mod leaf;
mod months;
mod pen;
mod route;
mod table;
mod things;
mod week;
mod words;

use std::collections::BTreeSet;

use dragback_scenario::{Problem, Spot};
use egui::{Button, Checkbox, CursorIcon, Frame, Margin, Panel, RichText, ScrollArea, Ui, vec2};

use crate::command::Command;
use crate::document::Document;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::quiet;
use chapters::{CHAPTERS, chapter_of};
use pen::Pen;

/// Height of the strip that says what a field is.
pub const FOOT_HEIGHT: f32 = 58.0;

/// The editor; it keeps which chapter is open and what is being typed.
#[derive(Default)]
pub struct EditorPanel {
    chapter: usize,
    /// What is being typed, and where.
    writing: Option<(Spot, String)>,
    /// What would be wrong with it.
    live: Option<Problem>,
    /// Inputs of which more is shown: their range and notes.
    open: BTreeSet<Spot>,
    /// Also shows what is left at its default.
    shows_all: bool,
    /// Records of which all is shown, and lists and maps that are shown although nothing is in them.
    revealed: BTreeSet<Spot>,
    /// An edit that could not be made, and where it was asked for.
    refused: Option<(Spot, Problem)>,
    /// Key of a new thing, and of what.
    new_key: Option<(Spot, String)>,
    /// Name of a field and what it is.
    hint: Option<(String, String)>,
    /// The part at which it was opened last, once the chapter has been turned to.
    came_for: Option<(u64, String)>,
}

impl EditorPanel {
    /// Opens the chapter that holds a spot.
    fn go_to(&mut self, spot: &Spot) {
        self.open_chapter(chapter_of(spot));
    }

    fn open_chapter(&mut self, chapter: usize) {
        self.chapter = chapter;
        // The field that it tells of is out of sight.
        self.hint = None;
    }

    /// Turns to the chapter of the part for which the editor was opened, once.
    fn turn_to_what_is_asked(&mut self, pen: &Pen<'_>) {
        let asked = pen.ctx.edited_part.cloned();
        if asked == self.came_for {
            return;
        }
        if let Some((_, path)) = &asked {
            let part = pen.draft.root().of_path(path.trim_end_matches('.'));
            self.go_to(&part.spot.clone());
        }
        self.came_for = asked;
    }

    /// The list of chapters at the left.
    pub fn chapters_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let margin = Margin {
            left: 16,
            right: 14,
            top: 12,
            bottom: 8,
        };
        let frame = Frame::NONE.inner_margin(margin);
        let scroll = ScrollArea::vertical().auto_shrink([false, false]);
        scroll.show(ui, |ui| frame.show(ui, |ui| self.list_ui(ctx, ui)));
    }

    fn list_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let head = RichText::new("Edit the line").size(size::FIGURE).strong();
        ui.label(head.color(ctx.palette.ink));
        let back = ui.add_sized(
            vec2(ui.available_width(), 28.0),
            Button::new("Back to the line"),
        );
        if back.on_hover_text("Edits stay (Esc).").clicked() {
            ctx.ask(Command::ShowPage(None));
        }
        ui.add_space(space::NEAR);
        let Some(pen) = Pen::of(ctx) else { return };
        self.turn_to_what_is_asked(&pen);
        for (i, chapter) in CHAPTERS.iter().enumerate() {
            let faults = pen.faults_in_chapter(i);
            let words = match faults {
                0 => chapter.name.to_owned(),
                n => format!("{} ({n} wrong)", chapter.name),
            };
            let color = if faults == 0 {
                ctx.palette.ink
            } else {
                ctx.palette.alarm
            };
            let left = egui::Layout::top_down_justified(egui::Align::LEFT);
            let shown = RichText::new(&words).color(color);
            let button = ui.with_layout(left, |ui| {
                ui.add(Button::selectable(self.chapter == i, shown))
            });
            let button = button.inner.accessible_name(format!("Chapter: {words}"));
            if button.on_hover_text(chapter.about).clicked() {
                self.open_chapter(i);
            }
        }
        ui.add_space(space::NEAR);
        let check = Checkbox::new(&mut self.shows_all, "Show what is left out, too");
        ui.add(check).on_hover_text(
            "Fields that the line does not give stand at their default. Shown, they can be filled in.",
        );
    }

    /// The strip at the foot: what the field under the hand is.
    pub fn foot_ui(&self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let margin = Margin::symmetric(16, 6);
        Frame::NONE.inner_margin(margin).show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            let Some((name, hint)) = &self.hint else {
                quiet(
                    ui,
                    ctx.palette,
                    "Point at a field to read what it is. A value may be typed in any unit; an emptied field is left out. Every edit can be undone.",
                );
                return;
            };
            let name = RichText::new(name).size(size::SMALL).strong();
            ui.label(name.color(ctx.palette.ink));
            quiet(ui, ctx.palette, hint);
        });
    }

    /// The open chapter.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let Some(pen) = Pen::of(ctx) else {
            let words = "There is no line to edit. Begin one, or open a file.";
            ui.label(RichText::new(words).color(ctx.palette.quiet));
            return;
        };
        let margin = Margin::symmetric(16, 10);
        let scroll = ScrollArea::vertical()
            .id_salt(("chapter", self.chapter))
            .auto_shrink([false, false]);
        Frame::NONE.inner_margin(margin).show(ui, |ui| {
            // At the foot, so that no field jumps from under the hand as a fault comes or goes.
            let foot = Panel::bottom("faults").frame(Frame::NONE);
            let foot = foot.resizable(false).show_separator_line(false);
            if !pen.draft.problems().is_empty() {
                foot.show(ui, |ui| self.faults_ui(&pen, ui));
            }
            scroll.show(ui, |ui| {
                ui.set_max_width(ui.available_width().min(1080.0) - space::NEAR);
                let chapter = CHAPTERS.get(self.chapter).unwrap_or(&CHAPTERS[0]);
                let head = RichText::new(chapter.name).size(size::FIGURE).strong();
                ui.label(head.color(ctx.palette.ink));
                quiet(ui, ctx.palette, chapter.about);
                ui.add_space(space::NEAR);
                for part in pen.roots(self.chapter) {
                    self.part_ui(&pen, ui, part, 0);
                }
                ui.add_space(space::WIDE);
            });
        });
    }

    /// Everything that is wrong with the draft, with a way to each.
    fn faults_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui) {
        const MOST: usize = 4;
        let problems = pen.draft.problems();
        let palette = pen.ctx.palette;
        let frame = Frame::NONE
            .fill(palette.tint(palette.alarm, 0.08))
            .stroke(egui::Stroke::new(1.0, palette.alarm))
            .corner_radius(6)
            .inner_margin(Margin::symmetric(10, 6));
        ui.add_space(space::NEAR);
        frame.show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.horizontal(|ui| {
                let words = format!(
                    "Figures and curves are of {}: {}.",
                    what_runs(pen.ctx),
                    crate::words::faults(problems.len())
                );
                ui.label(RichText::new(words).color(palette.alarm).strong());
                drop_ui(pen.ctx, ui);
            });
            for problem in problems.iter().take(MOST) {
                let part = pen.draft.root().of_path(&problem.path);
                let words = format!("{}: {}", pen.name(part), problem.message);
                let link = ui.add(egui::Link::new(RichText::new(words).color(palette.ink)));
                let link = link.on_hover_cursor(CursorIcon::PointingHand);
                if link.on_hover_text("Go to it.").clicked() {
                    self.go_to(&part.spot);
                }
            }
            if problems.len() > MOST {
                quiet(ui, palette, format!("and {} more", problems.len() - MOST));
            }
        });
    }
}

/// Of what figures and curves are while the text under the pen does not run.
fn what_runs(ctx: &ViewCtx<'_>) -> String {
    match ctx.document.and_then(Document::stand_in) {
        Some(other) => format!("“{}”, which was open before", other.title()),
        None => "the last line that could run".to_owned(),
    }
}

/// The button that lets edits with faults go.
fn drop_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let (words, hint) = if ctx.document.and_then(Document::stand_in).is_some() {
        (
            "Leave the file as it is",
            "Go back to what was open before. The file stays as it was last saved.",
        )
    } else {
        (
            "Drop these edits",
            "Go back to the last line that could run. It can be undone.",
        )
    };
    let button = ui.button(words);
    if button.on_hover_text(hint).clicked() {
        ctx.ask(Command::DropDraft);
    }
}

/// On the bench: says that curves are of an earlier line, while the edited one has faults.
pub fn draft_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let Some(document) = ctx.document else { return };
    let problems = document.draft_problems();
    let Some(first) = problems.first() else {
        return;
    };
    let faults = problems.len();
    let palette = ctx.palette;
    let frame = Frame::NONE
        .fill(palette.tint(palette.alarm, 0.08))
        .inner_margin(Margin::symmetric(16, 4));
    frame.show(ui, |ui| {
        ui.set_min_width(ui.available_width());
        ui.horizontal(|ui| {
            let words = format!(
                "The curves are of {}: {}.",
                what_runs(ctx),
                crate::words::faults(faults)
            );
            ui.label(RichText::new(words).color(palette.alarm));
            let put_right = ui.button("Put it right…");
            if put_right.on_hover_text("Open the editor.").clicked() {
                ctx.ask(Command::EditPart(first.path.clone()));
            }
            drop_ui(ctx, ui);
        });
    });
}
