//! The field for the name of a variant.

use egui::{Button, Id, Key, Modal, RichText, TextEdit, Ui, vec2};

use crate::command::{Command, NameFor, Naming, VariantCommand};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::select_all;

/// Width of the question, points.
const WIDTH: f32 = 440.0;

/// The panel; it keeps what is being typed.
#[derive(Default)]
pub struct NamingPanel {
    text: String,
    /// What the text was begun for.
    of: Option<NameFor>,
}

impl NamingPanel {
    /// Draws the field, if a name is wanted.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &Ui) {
        let Some(naming) = ctx.naming else {
            self.of = None;
            return;
        };
        let is_new = self.of.as_ref() != Some(&naming.of);
        if is_new {
            self.text.clone_from(&naming.start);
            self.of = Some(naming.of.clone());
        }
        Modal::new(Id::unique("naming")).show(ui.ctx(), |ui| {
            ui.set_width(WIDTH.min(ui.ctx().content_rect().width() - 80.0));
            self.body_ui(ctx, ui, naming, is_new);
        });
        if ui.input(|i| i.key_pressed(Key::Escape)) {
            ctx.ask(Command::Variant(VariantCommand::GiveUpName));
        }
    }

    fn body_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, naming: &Naming, is_new: bool) {
        let (head, about, verb) = words(&naming.of);
        let head = RichText::new(head).size(size::HEADING).strong();
        ui.label(head.color(ctx.palette.ink));
        ui.add_space(space::TIGHT);
        ui.label(RichText::new(about).color(ctx.palette.quiet));
        ui.add_space(space::NEAR);
        let field = TextEdit::singleline(&mut self.text)
            .desired_width(f32::INFINITY)
            .margin(vec2(8.0, 4.0));
        let field = ui.add(field).accessible_name("Name of the variant");
        if is_new {
            field.request_focus();
            select_all(ui, field.id, &self.text);
        }
        let is_entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        if let Some(fault) = &naming.fault {
            ui.label(RichText::new(fault).color(ctx.palette.alarm));
        }
        ui.add_space(space::WIDE);
        ui.horizontal(|ui| {
            let is_done = ui.add(Button::new(verb)).clicked();
            if is_done || is_entered {
                let name = self.text.clone();
                ctx.ask(Command::Variant(VariantCommand::TakeName(name)));
            }
            if ui.button("Cancel").clicked() {
                ctx.ask(Command::Variant(VariantCommand::GiveUpName));
            }
        });
    }
}

const fn words(of: &NameFor) -> (&'static str, &'static str, &'static str) {
    match of {
        NameFor::Keep => (
            "Keep the line as a variant",
            "It stays as it stands now while the line goes on. The file keeps it, too.",
            "Keep",
        ),
        NameFor::Rename(_) => (
            "Another name for the variant",
            "A name says best what is different.",
            "Rename",
        ),
        NameFor::Line(_) => (
            "Add the line of the file as a variant",
            "It is taken over as it stands in its file.",
            "Add",
        ),
    }
}
