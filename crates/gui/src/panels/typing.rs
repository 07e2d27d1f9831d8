//! The field for a path, where the system has no dialog for files.

use egui::{Align2, Button, Key, RichText, TextEdit, Ui, Window, vec2};

use crate::command::{Command, Purpose, Typing};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::select_all;

/// The panel; it keeps what is being typed.
#[derive(Default)]
pub struct TypingPanel {
    text: String,
    /// What the text was begun for.
    of: Option<(Purpose, String)>,
}

impl TypingPanel {
    /// Draws the field, if a path is wanted.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &Ui) {
        let Some(typing) = ctx.typing else {
            self.of = None;
            return;
        };
        let of = Some((typing.purpose, typing.start.clone()));
        let is_new = self.of != of;
        if is_new {
            self.text.clone_from(&typing.start);
            self.of = of;
        }
        let room = ui.ctx().content_rect().width() - 80.0;
        Window::new("Path")
            .title_bar(false)
            .collapsible(false)
            .resizable(false)
            .anchor(Align2::CENTER_CENTER, vec2(0.0, 0.0))
            .fixed_size(vec2(560.0_f32.min(room), 120.0))
            .show(ui.ctx(), |ui| self.body_ui(ctx, ui, typing, is_new));
        if ui.input(|i| i.key_pressed(Key::Escape)) {
            ctx.ask(Command::GiveUpPath);
        }
    }

    fn body_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, typing: &Typing, is_new: bool) {
        let (head, about, verb) = words(typing);
        let head = RichText::new(head).size(size::HEADING).strong();
        ui.label(head.color(ctx.palette.ink));
        ui.add_space(space::TIGHT);
        ui.label(RichText::new(about).color(ctx.palette.quiet));
        ui.add_space(space::NEAR);
        let field = TextEdit::singleline(&mut self.text)
            .desired_width(f32::INFINITY)
            .margin(vec2(8.0, 4.0));
        let field = ui.add(field).accessible_name("Path");
        if is_new {
            field.request_focus();
            // What is typed takes the place of what stands there.
            select_all(ui, field.id, &self.text);
        }
        let is_entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        if let Some(fault) = &typing.fault {
            ui.label(RichText::new(fault).color(ctx.palette.alarm));
        }
        ui.add_space(space::WIDE);
        ui.horizontal(|ui| {
            let is_done = ui.add(Button::new(verb)).clicked();
            if is_done || is_entered {
                ctx.ask(Command::TakePath(self.text.clone()));
            }
            if ui.button("Cancel").clicked() {
                ctx.ask(Command::GiveUpPath);
            }
        });
    }
}

fn words(typing: &Typing) -> (String, &'static str, &'static str) {
    let about = "The system offers no dialog for files here. Type or paste the path.";
    let (head, verb) = match typing.purpose {
        Purpose::Open => ("Open a scenario".to_owned(), "Open"),
        Purpose::Compare => ("Open a scenario to compare with".to_owned(), "Compare"),
        Purpose::Variant => ("Add a scenario as a variant".to_owned(), "Add"),
        Purpose::Save => ("Save the scenario".to_owned(), "Save"),
        Purpose::Export(what) => (format!("{} to a file", what.name()), "Write"),
    };
    let verb = if typing.replaces.is_some() {
        "Replace it"
    } else {
        verb
    };
    (head, about, verb)
}
