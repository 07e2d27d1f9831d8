//! Events on the strip and in their list: dragged, edited, removed, and new ones.

use std::collections::BTreeMap;

use dragback_scenario::called;
use egui::accesskit::Role;
use egui::containers::menu::{MenuButton, MenuConfig, MenuState, SubMenuButton};
use egui::{
    Align, Align2, Button, Grid, Label, Layout, PopupCloseBehavior, Rect, Response, RichText,
    ScrollArea, Sense, Shape, Stroke, TextEdit, Ui, WidgetInfo, pos2, vec2,
};

use super::timeline::{NEAR, Strip};
use crate::command::Command;
use crate::document::{Document, EventLine, NewEvent};
use crate::number::significant;
use crate::playhead::moment_words;
use crate::theme::{Palette, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::frame_fields;
use crate::worker::SPAN_DAYS;

/// Width of a list to choose from, points.
const WIDTH: f32 = 230.0;
/// Width of what an event does in their list, points.
const WORDS: f32 = 210.0;

/// What is being written in the list, and what is chosen for a new event.
#[derive(Default)]
pub(super) struct Events {
    written: BTreeMap<(usize, bool), String>,
    device: Option<String>,
    probe: Option<String>,
    water: Option<String>,
    tank: Option<String>,
    /// Share of the tank that is pumped out, percent.
    percent: Option<u8>,
    /// A choice was made in the frame before.
    is_chosen: bool,
}

impl Events {
    /// Marks of events on the strip: a drag moves one. Anywhere else a click or a drag moves the cursor.
    pub(super) fn strip_ui(
        &mut self,
        ctx: &ViewCtx<'_>,
        ui: &Ui,
        strip: Strip,
        response: &Response,
    ) {
        let is_moved = response.dragged() || response.clicked();
        if let Some(at) = response.interact_pointer_pos().filter(|_| is_moved) {
            ctx.ask(Command::MoveCursor(Some(strip.day_at(at))));
        }
        let Some(document) = ctx.document else { return };
        for event in document.events() {
            let day = event.at_h.map(|h| h / 24.0);
            let Some(day) = day.filter(|d| *d <= SPAN_DAYS) else {
                continue;
            };
            mark_ui(ctx, ui, strip, &event, day);
        }
    }
}

/// One event on the strip.
fn mark_ui(ctx: &ViewCtx<'_>, ui: &Ui, strip: Strip, event: &EventLine, day: f64) {
    let center = pos2(strip.x_of(day), strip.rect.top() + 9.0);
    let id = ui.scope_id().with(("event", event.index));
    let place = Rect::from_center_size(center, vec2(2.0 * NEAR, 18.0));
    let response = ui.interact(place, id, Sense::click_and_drag());
    let said = format!("{}: {}", moment_words(day), event.words);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &said));
    if response.dragged()
        && let Some(at) = response.interact_pointer_pos()
    {
        let at_h = 24.0 * strip.day_at(at);
        let index = event.index;
        ctx.ask(Command::MoveEvent { index, at_h });
    } else if response.clicked() {
        ctx.ask(Command::MoveCursor(Some(day)));
    }
    let is_held = response.hovered() || response.dragged() || response.has_focus();
    let reach = if is_held { 7.0 } else { 5.5 };
    let corners = vec![
        center - vec2(0.0, reach),
        center + vec2(reach, 0.0),
        center + vec2(0.0, reach),
        center - vec2(reach, 0.0),
    ];
    let line = Stroke::new(1.0, ctx.palette.sheet);
    let shape = Shape::convex_polygon(corners, ctx.palette.accent, line);
    ui.painter().add(shape);
    response.on_hover_text(format!(
        "{said}\nDrag it to another time; the list changes its value or takes it away."
    ));
}

/// The button that opens the list of events.
pub(super) fn events_menu(ctx: &ViewCtx<'_>, ui: &mut Ui, events: &mut Events) {
    let Some(document) = ctx.document else { return };
    let all = document.events();
    let words = match all.len() {
        0 => "Events".to_owned(),
        n => format!("Events ({n})"),
    };
    let config = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let (response, _) = MenuButton::new(words).config(config).ui(ui, |ui| {
        ui.set_min_width(430.0);
        if all.is_empty() {
            let none = "Nothing happens during the run. Move a lever from the cursor, or let something fail.";
            ui.label(RichText::new(none).color(ctx.palette.quiet));
        } else {
            list_ui(ctx, ui, events, &all);
        }
        ui.separator();
        new_ui(ctx, ui, events, document);
    });
    response.on_hover_text("Step changes, failures, devices run by hand, waters that fail, stuck probes and tanks pumped out.");
}

fn list_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, events: &mut Events, all: &[EventLine]) {
    let grid = Grid::new("event list").num_columns(4);
    grid.spacing(vec2(space::NEAR, space::TIGHT))
        .show(ui, |ui| {
            for event in all {
                let index = event.index;
                // A ten-thousandth of a day is some nine seconds.
                let shown = event
                    .at_h
                    .map(|h| significant((h / 24.0 * 1e4).round() / 1e4, 7));
                match shown {
                    Some(days) => {
                        let name = format!("Day of: {}", event.words);
                        let typed =
                            field_ui((ui, ctx.palette), events, (index, true), &days, &name, 72.0);
                        let typed =
                            typed.and_then(|t| t.trim().replace(',', ".").parse::<f64>().ok());
                        if let Some(day) = typed.filter(|d| d.is_finite() && *d >= 0.0) {
                            let at_h = 24.0 * day;
                            ctx.ask(Command::MoveEvent { index, at_h });
                        }
                    }
                    None => {
                        ui.label("when told");
                    }
                }
                let size = vec2(WORDS, ui.spacing().interact_size.y);
                ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
                    ui.set_width(WORDS);
                    ui.add(Label::new(&event.words).wrap());
                });
                match &event.value {
                    Some(value) => {
                        let name = format!("Value of: {}", event.words);
                        if let Some(text) = field_ui(
                            (ui, ctx.palette),
                            events,
                            (index, false),
                            value,
                            &name,
                            84.0,
                        ) {
                            ctx.ask(Command::EditEvent { index, value: text });
                        }
                    }
                    None => {
                        ui.label("");
                    }
                }
                let remove = ui.add(Button::new("Remove").small());
                let remove = remove.accessible_name(format!("Remove: {}", event.words));
                if remove.clicked() {
                    events.written.clear();
                    ctx.ask(Command::RemoveEvent(index));
                }
                ui.end_row();
            }
        });
    ui.label(
        RichText::new("Days are counted from the start of the run, 0 is its first midnight.")
            .color(ctx.palette.quiet),
    );
}

/// A field that gives its text when it is left with Enter or for another place.
fn field_ui(
    (ui, palette): (&mut Ui, &Palette),
    events: &mut Events,
    key: (usize, bool),
    shown: &str,
    name: &str,
    width: f32,
) -> Option<String> {
    let mut text = events
        .written
        .get(&key)
        .cloned()
        .unwrap_or_else(|| shown.to_owned());
    let size = vec2(width + 16.0, ui.spacing().interact_size.y);
    let row = Layout::left_to_right(Align::Center);
    let field = ui.allocate_ui_with_layout(size, row, |ui| {
        frame_fields(ui, palette);
        let field = TextEdit::singleline(&mut text).desired_width(width);
        ui.add(field.margin(vec2(6.0, 2.0)).align(Align2::LEFT_CENTER))
    });
    let field = field.inner.accessible_name(name);
    if field.has_focus() {
        events.written.insert(key, text);
        return None;
    }
    events.written.remove(&key);
    (field.lost_focus() && text != shown).then_some(text)
}

/// Something new at the cursor: a device fails, works again or is run by hand, a water fails, a probe sticks or moves again, a tank is pumped out.
fn new_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, events: &mut Events, document: &Document) {
    // In the frame of the click itself the whole list would take it for one outside, and close.
    if std::mem::take(&mut events.is_chosen) {
        MenuState::from_ui(ui, |state, _| state.open_item = None);
    }
    let scenario = &document.scenario;
    let loops = scenario.loops.len();
    let devices = dragback_scenario::device_names(scenario);
    let probes = dragback_scenario::relay_names(scenario);
    let tanks = dragback_scenario::tank_names(scenario);
    let waters: Vec<String> = scenario.waters.keys().map(str::to_owned).collect();
    ui.horizontal(|ui| {
        let chosen = choose_ui(
            ui,
            "device",
            (&devices, loops),
            &mut events.device,
            &mut events.is_chosen,
        );
        let hint = "Choose a device, and put the cursor where it is to happen.";
        at_cursor_ui(ctx, ui, chosen, hint, "fails at the cursor", NewEvent::Fail);
        let chosen = events.device.clone();
        at_cursor_ui(ctx, ui, chosen, hint, "works again", NewEvent::Restore);
    });
    ui.horizontal(|ui| {
        ui.add_space(WIDTH + space::NEAR);
        let hint = "Choose a device above, and put the cursor where it is to happen. By hand it runs whatever its instruments say; interlocks hold all the same.";
        let chosen = || events.device.clone();
        at_cursor_ui(ctx, ui, chosen(), hint, "is run by hand", NewEvent::ByHand);
        let words = "is back to automatic";
        at_cursor_ui(ctx, ui, chosen(), hint, words, NewEvent::Automatic);
    });
    ui.horizontal(|ui| {
        let chosen = choose_ui(
            ui,
            "water",
            (&waters, loops),
            &mut events.water,
            &mut events.is_chosen,
        );
        let hint = "Choose a water, and put the cursor where it is to happen.";
        at_cursor_ui(ctx, ui, chosen, hint, "water fails", NewEvent::StopWater);
        let chosen = events.water.clone();
        at_cursor_ui(
            ctx,
            ui,
            chosen,
            hint,
            "water returns",
            NewEvent::RestoreWater,
        );
    });
    ui.horizontal(|ui| {
        let chosen = choose_ui(ui, "probe or alarm", (&probes, loops), &mut events.probe, &mut events.is_chosen);
        let hint = "Choose an electrode, thermostat or alarm, and put the cursor where it is to happen. It keeps the state that it has then.";
        at_cursor_ui(ctx, ui, chosen, hint, "sticks", NewEvent::Stick);
        let chosen = events.probe.clone();
        at_cursor_ui(ctx, ui, chosen, hint, "moves again", NewEvent::Free);
    });
    ui.horizontal(|ui| {
        let chosen = choose_ui(
            ui,
            "tank",
            (&tanks, loops),
            &mut events.tank,
            &mut events.is_chosen,
        );
        let mut percent = events.percent.unwrap_or(100);
        let share = egui::DragValue::new(&mut percent)
            .range(1..=100)
            .suffix(" %");
        let share = ui.add(share).accessible_name("Share pumped out");
        if share.changed() {
            events.percent = Some(percent);
        }
        share.on_hover_text("How much of it goes to treatment, at once.");
        let hint = "Choose a tank, and put the cursor where it is to happen.";
        at_cursor_ui(ctx, ui, chosen, hint, "is pumped out", |tank| {
            NewEvent::Dump { tank, percent }
        });
    });
}

/// A list to choose what a new event is about.
fn choose_ui(
    ui: &mut Ui,
    what: &str,
    (known, loops): (&[String], usize),
    chosen: &mut Option<String>,
    is_chosen: &mut bool,
) -> Option<String> {
    chosen.take_if(|c| !known.contains(c));
    let open = format!("a {what}");
    // A list of its own would close the one in which it stands; a menu within it does not.
    let shown = chosen.as_ref().map_or(open, |path| called(path, loops));
    let button = Button::new(shown)
        .truncate()
        .min_size(vec2(WIDTH, 0.0))
        .right_text(SubMenuButton::arrow_atom(None));
    let (response, _) = ui
        .scope(|ui| {
            ui.set_max_width(WIDTH);
            SubMenuButton::from_button(button).ui(ui, |ui| {
                let scroll = ScrollArea::vertical().max_height(360.0);
                scroll.show(ui, |ui| {
                    for name in known {
                        let is_now = chosen.as_ref() == Some(name);
                        let button = ui.add(Button::selectable(is_now, called(name, loops)));
                        if button.on_hover_text(name).clicked() {
                            *chosen = Some(name.clone());
                            *is_chosen = true;
                        }
                    }
                });
            })
        })
        .inner;
    let name = dragback_study::verdict::capitalised(&format!("{what} of a new event"));
    response.accessible_name(name);
    chosen.clone()
}

/// A button that puts something on the timeline, at the cursor.
fn at_cursor_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    chosen: Option<String>,
    hint: &str,
    words: &str,
    new: impl FnOnce(String) -> NewEvent,
) {
    let at_h = ctx.playhead.day.map(|d| 24.0 * d);
    let can = chosen.is_some() && at_h.is_some();
    let button = ui.add_enabled(can, Button::new(words));
    let is_asked = button.on_disabled_hover_text(hint).clicked();
    if let (true, Some(chosen), Some(at_h)) = (is_asked, chosen, at_h) {
        ctx.ask(Command::AddEvent {
            at_h,
            new: new(chosen),
        });
    }
}
