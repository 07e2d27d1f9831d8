//! Questions that must be answered before anything else goes on.

use egui::{Button, Id, Modal, RichText, Ui};

use crate::command::{Choice, Command, Question, Then};
use crate::document::Document;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::words::ago;

/// Width of a question, points.
const WIDTH: f32 = 440.0;

/// Draws the open question, if there is one.
pub fn question_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let Some(question) = ctx.question else { return };
    let (head, text, choices) = words(ctx, question);
    Modal::new(Id::unique("question")).show(ui.ctx(), |ui| {
        ui.set_width(WIDTH);
        let head = RichText::new(head).size(size::HEADING).strong();
        ui.label(head.color(ctx.palette.ink));
        ui.add_space(space::TIGHT);
        ui.label(RichText::new(text).color(ctx.palette.ink));
        ui.add_space(space::WIDE);
        ui.horizontal(|ui| {
            for (choice, words) in choices {
                if ui.add(Button::new(*words)).clicked() {
                    ctx.ask(Command::Answer(*choice));
                }
            }
        });
    });
    if ui.input(|i| i.key_pressed(egui::Key::Escape)) {
        ctx.ask(Command::Answer(Choice::Cancel));
    }
}

type Words = (String, String, &'static [(Choice, &'static str)]);

fn words(ctx: &ViewCtx<'_>, question: &Question) -> Words {
    let title = ctx.document.map_or("", |d| d.title());
    match question {
        Question::Unsaved { then } => {
            let before = match then {
                Then::ShowRead => "before another scenario is opened",
                Then::Demo => "before the demo is opened",
                Then::Line(_) => "before a new line begins",
                Then::Mend => "before a file is put right",
                Then::Close => "before the window closes",
            };
            let is_new = ctx.document.is_some_and(Document::is_new);
            let (what, lost) = if is_new {
                ("this line", "is in no file yet. Without saving it is lost.")
            } else {
                (
                    "the changes",
                    "differs from its file. Without saving the changes are lost.",
                )
            };
            (
                format!("Save {what} {before}?"),
                format!("“{title}” {lost}"),
                &[
                    (Choice::Save, "Save changes"),
                    (Choice::Discard, "Go on without saving"),
                    (Choice::Cancel, "Cancel"),
                ],
            )
        }
        Question::Restore { name, at } => (
            "Bring unsaved changes back?".to_owned(),
            format!(
                "The window did not close last time. Changes to {name} were kept {}.",
                ago(*at)
            ),
            &[
                (Choice::Restore, "Bring them back"),
                (Choice::Cancel, "Ask again next time"),
                (Choice::Discard, "Throw them away"),
            ],
        ),
        Question::TakeUp { name, keep_as } => (
            "Keep the line as it stands, too?".to_owned(),
            format!(
                "“{name}” becomes the line. The line as it stands now can stay as the variant “{keep_as}”, or be let go."
            ),
            &[
                (Choice::Save, "Keep both"),
                (Choice::Discard, "Let the old one go"),
                (Choice::Cancel, "Cancel"),
            ],
        ),
        Question::Comments { path, .. } => {
            let name = path.file_name().unwrap_or(path.as_os_str());
            (
                "Overwrite a file with comments?".to_owned(),
                format!(
                    "{} holds comments that are not in what is to be written. They would be lost; notes of inputs are kept.",
                    name.to_string_lossy()
                ),
                &[
                    (Choice::Save, "Overwrite"),
                    (Choice::SaveAs, "Save under another name…"),
                    (Choice::Cancel, "Do not save"),
                ],
            )
        }
    }
}
