//! Title, undo, files, units, appearance.

use std::path::PathBuf;

use dragback_study::Counted;
use dragback_units::System;
use egui::{Align, Button, ComboBox, Key, Label, Layout, MenuBar, RichText, TextEdit, Ui};

use super::Help;
use super::export_menu::export_menu;
use crate::command::Command;
use crate::lessons::LESSONS;
use crate::page::Page;
use crate::prefs::{SCALES, Shown, ThemeChoice};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::quiet;
use crate::words::ago;

/// Below this width the bar does without its field, points.
const NARROW: f32 = 960.0;

/// The bar; it keeps the path that is being typed.
#[derive(Default)]
pub struct TopBarPanel {
    path: String,
    /// The document that was there when it was typed.
    document: Option<u64>,
}

impl TopBarPanel {
    /// Draws the bar.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        // Where text is large the title needs the room of the field; the file menu asks for a path too.
        let is_narrow = ui.available_width() < NARROW;
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(space::WIDE);
            MenuBar::new().ui(ui, |ui| {
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    help_menu(ctx, ui);
                    view_menu(ctx, ui);
                    file_menu(ctx, ui);
                    new_line_ui(ctx, ui);
                    ui.add_space(space::NEAR);
                    units_ui(ctx, ui);
                    ui.add_space(space::NEAR);
                    if !is_narrow {
                        self.path_ui(ctx, ui);
                        ui.add_space(space::NEAR);
                    }
                    pin_ui(ctx, ui);
                    ui.add_space(space::NEAR);
                    undo_ui(ctx, ui);
                    ui.add_space(space::NEAR);
                    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                        ui.add_space(space::WIDE);
                        let name = RichText::new("Dragback").size(size::HEADING).strong();
                        ui.label(name.color(ctx.palette.accent));
                        title_ui(ctx, ui);
                    });
                });
            });
        });
    }

    fn path_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let document = ctx.document.map(|d| d.id);
        if self.document != document {
            // What was typed is open now, or something else is.
            self.path.clear();
            self.document = document;
        }
        let field = TextEdit::singleline(&mut self.path)
            .hint_text("open a file by its path")
            .margin(egui::vec2(6.0, 3.0))
            .align(egui::Align2::LEFT_CENTER)
            .desired_width(176.0);
        let field = ui
            .add_enabled(!ctx.is_opening, field)
            .accessible_name("Path of a scenario file");
        let is_entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        field
            .on_hover_text("Open a scenario file without a dialog: type or paste its path, which ends in .ron, and press Enter.");
        let path = self.path.trim().trim_matches('"');
        if is_entered && !path.is_empty() {
            ctx.ask(Command::OpenPath(PathBuf::from(path)));
        }
    }
}

fn title_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let Some(document) = ctx.document else {
        ui.label(RichText::new("no scenario").color(ctx.palette.quiet));
        return;
    };
    let loops = document.loops();
    if loops.len() > 1 {
        loops_ui(ctx, ui, &loops, &document.loop_key);
    }
    let mark = if document.is_dirty() { "● " } else { "" };
    let title = match document.stand_in() {
        Some(_) => format!("{mark}{} (does not run yet)", document.origin.name),
        None => format!("{mark}{}", document.title()),
    };
    let title = RichText::new(title).color(ctx.palette.ink);
    let about = document
        .scenario
        .description
        .as_deref()
        .unwrap_or("This scenario has no description.");
    let state = if document.is_new() {
        "in no file yet"
    } else if document.is_dirty() {
        "differs from its file"
    } else {
        "as in its file"
    };
    ui.add(Label::new(title).truncate())
        .on_hover_text(format!("{}, {state}\n\n{about}", document.origin.name));
}

fn loops_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, loops: &[(String, String)], shown: &str) {
    let chosen = loops.iter().find(|(key, _)| key == shown);
    let title = chosen.map_or(shown, |(_, title)| title.as_str());
    let combo = ComboBox::from_id_salt("loop")
        .selected_text(title)
        .show_ui(ui, |ui| {
            for (key, title) in loops {
                if ui.selectable_label(key == shown, title).clicked() {
                    ctx.ask(Command::ChooseLoop(key.clone()));
                }
            }
        });
    combo
        .response
        .accessible_name("Loop")
        .on_hover_text("The bath and its loop that is shown.");
}

/// Undo and redo, with what they would do as hints.
fn undo_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let undo = ctx.document.and_then(|d| d.undo_name());
    let redo = ctx.document.and_then(|d| d.redo_name());
    for (name, keys, what, command) in [
        ("Redo", "Ctrl+Shift+Z", redo, Command::Redo),
        ("Undo", "Ctrl+Z", undo, Command::Undo),
    ] {
        let button = ui.add_enabled(what.is_some(), Button::new(name));
        let hint = match &what {
            Some(what) => format!("{name}: {what} ({keys})"),
            None => format!("There is nothing to {} ({keys}).", name.to_lowercase()),
        };
        let button = button.on_hover_text(&hint).on_disabled_hover_text(&hint);
        if button.clicked() {
            ctx.ask(command);
        }
    }
}

/// Keeps the present state to compare with, or lets it go.
fn pin_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let can_pin = ctx.results.figures().is_some();
    if let Some(pinned) = ctx.pinned {
        let hint = format!(
            "“was” and the pale dashes are {}, {}. Click to let it go.",
            pinned.name,
            ago(pinned.since)
        );
        if ui.button("Unpin").on_hover_text(hint).clicked() {
            ctx.ask(Command::Unpin);
        }
        return;
    }
    if let Some(name) = ctx.reference {
        let hint = format!("“{name}” is being run to compare with. Click to give it up.");
        if ui.button("Comparing…").on_hover_text(hint).clicked() {
            ctx.ask(Command::Unpin);
        }
        return;
    }
    let pin = ui.add_enabled(can_pin, Button::new("Pin"));
    ctx.saw("pin", pin.rect);
    let hint = "Keep the present state: its curves stay as pale dashes, and every figure shows its difference.";
    if pin.on_hover_text(hint).clicked() {
        ctx.ask(Command::Pin);
    }
}

/// Opens the page of ten answers.
fn new_line_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let is_open = ctx.page == Some(Page::Line);
    let button = ui.add(Button::selectable(is_open, "New line…").frame_when_inactive(true));
    let hint = "Your own line from ten answers; what you do not know may stay open.";
    if button.on_hover_text(hint).clicked() {
        ctx.ask(Command::ShowPage((!is_open).then_some(Page::Line)));
    }
}

fn file_menu(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let is_free = !ctx.is_opening;
    let menu = ui.menu_button("File", |ui| {
        ui.set_min_width(220.0);
        let item = |ui: &mut Ui, (words, keys): (&str, &str), hint: &str, command: Command| {
            let button = ui.add_enabled(is_free, Button::new(words).shortcut_text(keys));
            let button = button.accessible_name(words);
            if button.on_hover_text(hint).clicked() {
                ctx.ask(command);
                ui.close();
            }
        };
        item(
            ui,
            ("Start…", ""),
            "The ways to begin: the demo, your own line, or a file.",
            Command::ShowPage(Some(Page::Start)),
        );
        item(
            ui,
            ("Open…", "Ctrl+O"),
            "Choose a scenario file.",
            Command::OpenDialog,
        );
        item(
            ui,
            ("Demo", ""),
            "Go back to the built-in demo line.",
            Command::OpenDemo,
        );
        recent_ui(ctx, ui, "Recent", Command::OpenPath);
        ui.separator();
        item(
            ui,
            ("Save", "Ctrl+S"),
            "Save under its own name.",
            Command::Save,
        );
        item(
            ui,
            ("Save as…", "Ctrl+Shift+S"),
            "Choose a name.",
            Command::SaveAs,
        );
        item(
            ui,
            ("Report…", "Ctrl+R"),
            "A document to hand over: a PDF file, a web page, or its numbers.",
            Command::ShowPage(Some(Page::Report)),
        );
        export_menu(ctx, ui);
        ui.separator();
        item(
            ui,
            ("Compare with…", ""),
            "Choose a scenario whose curves and figures stand beside those on screen.",
            Command::ReferenceDialog,
        );
        recent_ui(ctx, ui, "Compare with recent", Command::ReferencePath);
    });
    menu.response
        .on_hover_text("Open, save, write to files, and compare with another scenario.");
}

/// Files that were open before, as a menu of their own: the list may be long.
fn recent_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, head: &str, command: impl Fn(PathBuf) -> Command) {
    if ctx.prefs.recent.is_empty() {
        return;
    }
    ui.menu_button(head, |ui| {
        ui.set_min_width(180.0);
        for path in &ctx.prefs.recent {
            let name = path.file_name().unwrap_or(path.as_os_str());
            let button = Button::new(name.to_string_lossy());
            let button = ui.add_enabled(!ctx.is_opening, button);
            if button.on_hover_text(path.display().to_string()).clicked() {
                ctx.ask(command(path.clone()));
                ui.close();
            }
        }
    });
}

fn units_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    for (system, name, hint) in [
        (
            System::Us,
            "US",
            "Show gallons, °F and ounces per gallon. Rinses stay in mg/L.",
        ),
        (
            System::Metric,
            "Metric",
            "Show litres, °C and grams per litre.",
        ),
    ] {
        let is_chosen = ctx.prefs.system == system;
        let button = ui.add(Button::selectable(is_chosen, name));
        if button.on_hover_text(hint).clicked() {
            ctx.ask(Command::SetSystem(system));
        }
    }
}

fn help_menu(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let menu = ui.menu_button("Help", |ui| {
        quiet(ui, ctx.palette, "Lessons: predict, drag, see");
        for (n, lesson) in LESSONS.iter().enumerate() {
            if ui.button(lesson.name).on_hover_text(lesson.about).clicked() {
                ctx.ask(Command::BeginLesson(Some(n)));
                ui.close();
            }
        }
        ui.separator();
        for (words, page) in [
            ("Shortcuts (F1)", Help::Shortcuts),
            ("About Dragback", Help::About),
        ] {
            if ui.button(words).clicked() {
                ctx.ask(Command::ShowHelp(Some(page)));
                ui.close();
            }
        }
    });
    menu.response
        .on_hover_text("Short lessons; shortcuts; version, licence, cautions and limits.");
}

fn view_menu(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let menu = ui.menu_button("View", |ui| {
        ui.set_min_width(190.0);
        for (shown, name, keys) in [
            (Shown::Loop, "Loop and curves", ""),
            (Shown::Ledger, "Ledger", "Ctrl+L"),
            (Shown::Money, "Money", "Ctrl+M"),
            (Shown::Sizing, "Sizing", "Ctrl+I"),
            (Shown::Compare, "Compare", "Ctrl+K"),
        ] {
            let is_chosen = ctx.prefs.shown == shown;
            let item = ui.add(Button::selectable(is_chosen, name).shortcut_text(keys));
            if item.accessible_name(format!("Show: {name}")).clicked() {
                ctx.ask(Command::Show(shown));
                ui.close();
            }
        }
        ui.separator();
        for (theme, name) in [
            (ThemeChoice::System, "As the system"),
            (ThemeChoice::Light, "Light"),
            (ThemeChoice::Dark, "Dark"),
        ] {
            let is_chosen = ctx.prefs.theme == theme;
            if ui.radio(is_chosen, name).clicked() {
                ctx.ask(Command::SetTheme(theme));
            }
        }
        ui.separator();
        for (counted, name, hint) in [
            (
                Counted::Metal,
                "Strengths as metal",
                "Strengths of the metal by which the rinse is judged are those of the metal, or of CrO3 in a chromium line.",
            ),
            (
                Counted::Salt,
                "Strengths as salt",
                "They are those of the salt of the bath's recipe that brings most of the metal. Masses, and files that are written, keep to the metal.",
            ),
        ] {
            let is_chosen = ctx.prefs.counted == counted;
            let item = ui.selectable_label(is_chosen, name);
            if item.on_hover_text(hint).clicked() {
                ctx.ask(Command::SetCounted(counted));
            }
        }
        ui.separator();
        ui.menu_button("Size of text", |ui| {
            for scale in SCALES {
                let is_chosen = (ctx.prefs.scale - scale).abs() < 1e-3;
                let name = format!("Text {:.0} %", 100.0 * scale);
                if ui.radio(is_chosen, name).clicked() {
                    ctx.ask(Command::SetScale(scale));
                }
            }
        });
    });
    menu.response.on_hover_text(
        "What the sheet shows, light or dark, strengths as metal or salt, size of text.",
    );
}
