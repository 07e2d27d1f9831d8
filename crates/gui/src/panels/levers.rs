//! The three main levers, all other inputs in groups or found by a search, and what there is to remark.

use std::collections::BTreeMap;

use egui::{
    Align, CollapsingHeader, Layout, Margin, Pos2, Rect, RichText, ScrollArea, TextEdit,
    TextWrapMode, Ui, WidgetText,
};

use super::remarks::remarks_ui;
use crate::command::Command;
use crate::document::{Control, Document, Group, Lever, Role, Setting, has_words};
use crate::lessons::Handle;
use crate::page::Page;
use crate::playhead::ActsFrom;
use crate::selected::Selected;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::{LeverEdit, LeverPen, entry_ui, lever_ui, quiet, slim_lever_ui};

/// The panel; it keeps what is being typed.
#[derive(Default)]
pub struct LeversPanel {
    edits: BTreeMap<String, LeverEdit>,
    search: String,
    /// The search whose findings have been brought into sight.
    sought: String,
    /// What was selected when its levers were last shown.
    selected: Option<String>,
    /// Where the lesson stood when its lever was last brought into sight.
    lesson: Option<(usize, usize, bool)>,
    /// Whether they are still to be brought into sight.
    is_sought: bool,
}

/// Share of the column that remarks take, whatever there is to remark: levers do not move when an answer comes. More remarks are scrolled to.
const REMARKS: f32 = 0.19;
/// Width of the button that leads to the editor.
const EDIT_WIDTH: f32 = 96.0;
/// Height of the row with search and editor.
const WAYS: f32 = 26.0;
/// Most inputs that a search shows.
const MOST_FOUND: usize = 30;

impl LeversPanel {
    /// Draws the panel. Returns path, rail and handle of each main lever.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) -> Vec<(String, Rect, Pos2)> {
        let margin = Margin {
            left: 16,
            right: 14,
            top: 12,
            bottom: 8,
        };
        let frame = egui::Frame::NONE.inner_margin(margin);
        let above = foot_ui(ctx, ui);
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(above).id_salt("levers"));
        let scroll = ScrollArea::vertical().auto_shrink([false, false]);
        let inner = scroll.show(&mut child, |ui| {
            frame.show(ui, |ui| {
                self.lesson_ui(ctx, ui);
                let seen = self.main_ui(ctx, ui);
                if let Some(document) = ctx.document {
                    self.ways_ui(ctx, ui);
                    if self.search.trim().is_empty() {
                        self.selected_ui(ctx, ui, document);
                        self.groups_ui(ctx, ui, document);
                    } else {
                        self.found_ui(ctx, ui, document);
                    }
                }
                seen
            })
        });
        inner.inner.inner
    }

    fn main_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) -> Vec<(String, Rect, Pos2)> {
        let Some(document) = ctx.document else {
            return Vec::new();
        };
        let mut seen = Vec::new();
        for lever in &document.levers {
            let edit = self.edits.entry(lever.path.clone()).or_default();
            let was_written = edit.is_being_written();
            let lever = &in_force(ctx, document, lever);
            let done = lever_ui(ui, &pen(ctx, &lever.path), lever, edit);
            ui.add_space(space::NEAR);
            mended(ctx, &lever.path, was_written && !edit.is_being_written());
            ask(ctx, &lever.path, done.asked, done.is_restored);
            if lever.role == Some(Role::DragOut) {
                measure_ui(ctx, ui);
            }
            seen.push((lever.path.clone(), done.rail, done.handle));
        }
        seen
    }

    /// The lever that the lesson speaks of, where it is none of the main ones.
    fn lesson_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let step = ctx.lesson.and_then(crate::lessons::Standing::step);
        let (Some(document), Some(step)) = (ctx.document, step) else {
            self.lesson = None;
            return;
        };
        if step.lever != Handle::Stages {
            return;
        }
        let path = step.lever.path(document);
        let is_it = |c: &&Control| Some(c.path()) == path.as_deref();
        let Some(control) = document.controls.iter().find(is_it) else {
            return;
        };
        let head = RichText::new(step.lever.name()).size(size::HEADING);
        let head = ui.label(head.strong().color(ctx.palette.ink));
        let now = ctx
            .lesson
            .map(|l| (l.lesson, l.step, l.predicted.is_some()));
        if now != self.lesson {
            head.scroll_to_me(Some(Align::TOP));
            self.lesson = now;
        }
        self.control_ui(ctx, ui, control, true);
        ui.add_space(space::NEAR);
    }

    /// Levers that act on what is selected in the drawing, scrolled to when something else is selected.
    fn selected_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, document: &Document) {
        let name = ctx.selected.map(|s| s.name.clone());
        if name != self.selected {
            self.selected = name;
            self.is_sought = true;
        }
        let Some(selected) = ctx.selected else { return };
        let shown = self.acting_ui(ctx, ui, document, selected);
        if self.is_sought {
            let high = shown.height().min(ui.clip_rect().height());
            let rect = Rect::from_min_size(shown.min, egui::vec2(shown.width(), high));
            ui.scroll_to_rect(rect, None);
            self.is_sought = false;
        }
        ui.add_space(space::NEAR);
    }

    /// Returns where the levers stand.
    fn acting_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        document: &Document,
        selected: &Selected,
    ) -> Rect {
        let is_main = |c: &Control| document.levers.iter().any(|l| l.path == c.path());
        let acts = |c: &&Control| {
            let begins = |p: &String| c.path().starts_with(p.as_str());
            matches!(c, Control::Lever(_))
                && c.stands_in_group()
                && selected.paths.iter().any(begins)
                && !is_main(c)
        };
        let mut controls: Vec<&Control> = document.controls.iter().filter(acts).collect();
        controls.dedup_by(|a, b| a.path() == b.path());
        // What acts on it first stands first.
        let rank = |c: &&Control| {
            let mut paths = selected.paths.iter();
            paths.position(|p| c.path().starts_with(p.as_str()))
        };
        controls.sort_by_key(rank);
        let head = format!("What acts on {}", selected.name);
        let whole = WidgetText::from(RichText::new(&head).size(size::BODY).strong());
        // A long name must not widen the column.
        let room = ui.available_width() - ui.spacing().indent;
        let cut = Some(TextWrapMode::Truncate);
        let name = whole.into_galley(ui, cut, room, egui::TextStyle::Body);
        let shown = CollapsingHeader::new(name)
            .id_salt("selected levers")
            .default_open(true)
            .show_unindented(ui, |ui| {
                if controls.is_empty() {
                    quiet(ui, ctx.palette, "Only the main levers above.");
                }
                for control in controls {
                    self.control_ui(ctx, ui, control, false);
                }
            });
        let body = shown.body_response.map_or(Rect::NOTHING, |r| r.rect);
        shown.header_response.on_hover_text(head).rect.union(body)
    }

    /// The ways to every other input: a search and the editor.
    fn ways_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        ui.add_space(space::TIGHT);
        let size = egui::vec2(ui.available_width(), WAYS);
        if self.sought != self.search {
            // The field goes to the top of the column, and what is found stands below it.
            let below = egui::vec2(size.x, ui.clip_rect().height());
            let rect = Rect::from_min_size(ui.cursor().min, below);
            ui.scroll_to_rect(rect, Some(Align::TOP));
            self.sought.clone_from(&self.search);
        }
        ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
            edit_ui(ctx, ui);
            self.search_ui(ui);
        });
        ui.add_space(space::TIGHT);
    }

    fn search_ui(&mut self, ui: &mut Ui) {
        let field = TextEdit::singleline(&mut self.search)
            .hint_text("Find any input")
            .desired_width(f32::INFINITY)
            .margin(egui::vec2(8.0, 4.0));
        let response = ui.add(field).accessible_name("Find any input");
        // The key takes the keyboard away from the field before the field is drawn.
        let is_left = response.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Escape));
        if is_left {
            self.search.clear();
        }
        response
            .on_hover_text("Words of its name, its path or what it does. Escape clears the field.");
    }

    fn groups_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, document: &Document) {
        for group in Group::SHOWN {
            let standing: Vec<&Control> = document
                .controls
                .iter()
                .filter(|c| c.group() == group && c.stands_in_group())
                .filter(|c| document.levers.iter().all(|l| l.path != c.path()))
                .collect();
            if standing.is_empty() {
                continue;
            }
            let head = RichText::new(group.name())
                .size(size::BODY)
                .color(ctx.palette.ink);
            CollapsingHeader::new(head.strong())
                .id_salt(group.name())
                .show_unindented(ui, |ui| {
                    for control in standing {
                        self.control_ui(ctx, ui, control, false);
                    }
                });
        }
    }

    fn found_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, document: &Document) {
        let found = find(&document.controls, &self.search);
        let count = match found.len() {
            0 => "No input has all these words in its name, path or hint.".to_owned(),
            1 => "One input".to_owned(),
            n if n > MOST_FOUND => format!("{MOST_FOUND} of {n} inputs; another word finds fewer"),
            n => format!("{n} inputs"),
        };
        quiet(ui, ctx.palette, count);
        for control in found.into_iter().take(MOST_FOUND) {
            self.control_ui(ctx, ui, control, true);
        }
    }

    fn control_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, control: &Control, is_full: bool) {
        let edit = self.edits.entry(control.path().to_owned()).or_default();
        let was_written = edit.is_being_written();
        let pen = pen(ctx, control.path());
        ui.add_space(space::TIGHT);
        match control {
            Control::Lever(lever) => {
                let name = if is_full { &lever.name } else { &lever.short };
                let now = ctx.document.map(|d| in_force(ctx, d, lever));
                let lever = now.as_ref().unwrap_or(lever);
                let done = slim_lever_ui(ui, &pen, lever, name, edit);
                mended(ctx, &lever.path, was_written && !edit.is_being_written());
                ask(ctx, &lever.path, done.asked, done.is_restored);
            }
            Control::Entry(entry) => {
                let name = if is_full { &entry.name } else { &entry.short };
                let asked = entry_ui(ui, &pen, entry, name, edit);
                mended(ctx, &entry.path, was_written && !edit.is_being_written());
                ask(ctx, &entry.path, asked, false);
            }
        }
        ui.add_space(space::TIGHT);
    }
}

/// The remarks at the foot of the column: in sight however far the levers are scrolled. Returns what is left above them.
fn foot_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) -> Rect {
    let column = ui.available_rect_before_wrap();
    let inner = column.shrink2(egui::vec2(space::WIDE, space::NEAR));
    let high = REMARKS * column.height();
    let rect = Rect::from_min_max(egui::pos2(inner.left(), inner.bottom() - high), inner.max);
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect).id_salt("remarks"));
    let scroll = ScrollArea::vertical().auto_shrink([false, false]);
    scroll.show(&mut child, |ui| remarks_ui(ctx, ui));
    let split = rect.top() - space::NEAR;
    let rule = egui::Stroke::new(1.0, ctx.palette.rule);
    ui.painter().hline(column.x_range(), split, rule);
    Rect::from_min_max(column.min, egui::pos2(column.right(), split))
}

fn pen<'a>(ctx: &ViewCtx<'a>, path: &str) -> LeverPen<'a> {
    LeverPen {
        palette: ctx.palette,
        system: ctx.prefs.system,
        fault: ctx.faults.get(path),
    }
}

/// A field that was left says nothing of what was refused before: either a new value is asked for, and judged anew, or the old one stands.
fn mended(ctx: &ViewCtx<'_>, path: &str, is_left: bool) {
    if is_left && ctx.faults.contains_key(path) {
        ctx.ask(Command::ForgetFault(path.to_owned()));
    }
}

fn ask(ctx: &ViewCtx<'_>, path: &str, asked: Option<Setting>, is_restored: bool) {
    let path = path.to_owned();
    let asked = match (is_restored, step_h(ctx)) {
        (true, None) => {
            ctx.ask(Command::RestoreLever { path });
            return;
        }
        // From the cursor it goes back by a step of its own.
        (true, Some(_)) => ctx
            .document
            .and_then(|d| Some(Setting::Si(d.lever(&path)?.file_si))),
        (false, _) => asked,
    };
    if let Some(setting) = asked {
        ctx.ask(match step_h(ctx) {
            Some(at_h) => Command::SetStep {
                path,
                at_h,
                setting,
            },
            None => Command::SetLever { path, setting },
        });
    }
}

/// The way to the editor.
fn edit_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let size = egui::vec2(EDIT_WIDTH, WAYS);
    let button = ui.add_sized(size, egui::Button::new("Edit the line…"));
    let hint = "Route, stations, recipe, elements, calendars, air: everything that the line says, part by part (Ctrl+E).";
    if button.on_hover_text(hint).clicked() {
        ctx.ask(Command::ShowPage(Some(Page::Editor)));
    }
}

/// The way to a measured drag-out.
fn measure_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let link = ui.link(RichText::new("Measure drag-out…").size(size::SMALL));
    let hint = "Work it out from a still rinse, a shut rinse or a bucket, with how sure it is.";
    if link.on_hover_text(hint).clicked() {
        ctx.ask(Command::ShowPage(Some(Page::DragOut)));
    }
    ui.add_space(space::TIGHT);
}

/// When a moved lever is to act, hours from the start; `None` from the start.
fn step_h(ctx: &ViewCtx<'_>) -> Option<f64> {
    let day = ctx.playhead.day?;
    (ctx.playhead.acts == ActsFrom::Cursor).then_some(24.0 * day)
}

/// A lever as it stands at the cursor, when levers act from there.
fn in_force(ctx: &ViewCtx<'_>, document: &Document, lever: &Lever) -> Lever {
    let now = step_h(ctx).and_then(|at_h| document.value_in_force(&lever.path, at_h));
    Lever {
        si: now.unwrap_or(lever.si),
        ..lever.clone()
    }
}

/// Inputs that have every word in their name, path or hint; those with all words in their name come first.
fn find<'c>(controls: &'c [Control], search: &str) -> Vec<&'c Control> {
    let mut found: Vec<(bool, &Control)> = controls
        .iter()
        .filter_map(|c| {
            let name = format!("{} {}", c.name(), c.path());
            let is_named = has_words(&name, search);
            let is_found = is_named || has_words(&format!("{name} {}", c.hint()), search);
            is_found.then_some((!is_named, c))
        })
        .collect();
    found.sort_by_key(|(is_later, _)| *is_later);
    found.into_iter().map(|(_, c)| c).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Origin;

    #[test]
    fn every_input_is_found_by_its_path() {
        let text = include_str!("../../../../scenarios/demo.ron");
        let document = Document::read(text, Origin::default(), 1).unwrap();
        for control in document.controls.iter() {
            let found = find(&document.controls, control.path());
            assert!(found.iter().any(|c| c.path() == control.path()));
        }
        let found = find(&document.controls, "Holding SET point");
        assert_eq!(found[0].path(), "loop.holding_tank.set_point");
        assert!(find(&document.controls, "no such thing at all").is_empty());
    }
}
