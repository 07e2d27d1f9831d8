//! The widget.

use dragback_drawing::layout::{Placement, layout};
use dragback_drawing::scene::{Place, Scene, Selection};
use dragback_drawing::{Brush, Label, band_width, paint, words};
use dragback_units::System;
use egui::accesskit::Role;
use egui::{Id, Rect, Response, Sense, Ui, Vec2, WidgetInfo, vec2};

use super::canvas::Sheet;
use crate::theme;

/// How a scene is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Units.
    pub system: System,
    /// Time plays: dots travel along the bands.
    pub is_playing: bool,
    /// Where the dots are, in gaps between dots; only its fraction matters. Raise it by about one a second while time plays.
    pub phase: f32,
}

/// Smallest size in which a loop is drawn, points.
const LEAST: Vec2 = vec2(240.0, 160.0);
/// How far from a band the pointer may be, points.
const NEAR: f32 = 6.0;

/// Draws a scene in all the room there is. A click or the Enter key on a tank or stream selects it, a click on nothing selects nothing; the
/// response is marked as changed then.
pub fn show(ui: &mut Ui, scene: &Scene, selection: &mut Selection, view: View) -> Response {
    let size = ui.available_size().max(LEAST);
    let (rect, mut response) = ui.allocate_exact_size(size, Sense::CLICK);
    if !ui.is_rect_visible(rect) {
        return response;
    }
    let placement = layout(scene, rect.shrink(4.0));
    let before = *selection;
    let under = response
        .hover_pos()
        .or_else(|| ui.ctx().pointer_latest_pos().filter(|p| rect.contains(*p)));
    let near = under.map_or(Selection::None, |at| nearest(scene, &placement, at));
    if response.clicked() {
        *selection = near;
    }
    let focused = nodes(ui, &response, scene, &placement, selection, view.system);
    let is_over = ui.rect_contains_pointer(rect);
    let hovered = if is_over { near } else { Selection::None };
    let painter = ui.painter_at(rect);
    let palette = theme::palette(ui.theme());
    painter.rect_filled(rect, 6.0, palette.sheet);
    let brush = Brush {
        canvas: &Sheet(&painter),
        palette,
        scene,
        placement: &placement,
        system: view.system,
        phase: view.is_playing.then_some(view.phase),
        selection: *selection,
        hovered,
        focused,
    };
    let placed = paint(&brush);
    ui.data_mut(|d| d.insert_temp(labels_id(), placed));
    if *selection != before {
        response.mark_changed();
    }
    response
}

fn labels_id() -> Id {
    Id::unique("texts of the loop drawing")
}

/// The texts of the drawing as it was painted last, for tests that look for overlaps.
#[must_use]
pub fn labels_drawn(ctx: &egui::Context) -> Vec<Label> {
    ctx.data(|d| d.get_temp(labels_id())).unwrap_or_default()
}

/// What lies under a point: a tank, else the nearest band.
fn nearest(scene: &Scene, placement: &Placement, at: egui::Pos2) -> Selection {
    for (s, spot) in scene.stations.iter().zip(&placement.stations) {
        if spot.body.contains(at) {
            return Selection::Station(s.id);
        }
    }
    let streams = scene.streams.iter().zip(&placement.streams);
    let best = streams
        .filter(|(s, _)| s.to != Place::Floor || s.flow_m3_per_s > 0.0)
        .map(|(s, path)| {
            let width = band_width(scene, s.flow_m3_per_s, placement.scale);
            (s, path.distance(at) - 0.5 * width)
        })
        .filter(|(_, away)| *away < NEAR)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((s, _)) = best {
        return Selection::Stream(s.id);
    }
    let texts = scene.stations.iter().zip(&placement.stations);
    texts
        .filter(|(_, spot)| spot.text.is_positive() && spot.text.contains(at))
        .map(|(s, _)| Selection::Station(s.id))
        .next()
        .unwrap_or_default()
}

/// A node for each station and stream, for the keyboard, the screen reader and the hint; what has the focus.
fn nodes(
    ui: &Ui,
    canvas: &Response,
    scene: &Scene,
    placement: &Placement,
    selection: &mut Selection,
    system: System,
) -> Selection {
    let mut focused = Selection::None;
    let several = scene.lines.len() > 1;
    let prefix = |line: usize| match scene.lines.get(line) {
        Some(l) if several => format!("{}: ", l.title),
        _ => String::new(),
    };
    for (s, spot) in scene.stations.iter().zip(&placement.stations) {
        let node = Node {
            of: Selection::Station(s.id),
            rect: spot.body,
            name: format!("{}{}", prefix(s.line), s.name),
            parts: words::station_parts(scene, s, system),
            more: words::marks(&s.marks, system),
        };
        node.show(ui, canvas, selection, &mut focused);
    }
    for (s, path) in scene.streams.iter().zip(&placement.streams) {
        if s.to == Place::Floor && s.flow_m3_per_s <= 0.0 {
            continue;
        }
        let Some((a, b)) = path.longest() else {
            continue;
        };
        let width = band_width(scene, s.flow_m3_per_s, placement.scale);
        let node = Node {
            of: Selection::Stream(s.id),
            rect: Rect::from_two_pos(a, b).expand(0.5 * width + 2.0),
            name: format!("{}{}", prefix(s.line), s.name),
            parts: words::stream_parts(scene, s, system),
            more: Vec::new(),
        };
        node.show(ui, canvas, selection, &mut focused);
    }
    focused
}

struct Node {
    of: Selection,
    rect: Rect,
    name: String,
    /// What is read out after the name, each thing by itself.
    parts: Vec<String>,
    more: Vec<String>,
}

impl Node {
    fn show(self, ui: &Ui, canvas: &Response, selection: &mut Selection, focused: &mut Selection) {
        let rect = self.rect.intersect(canvas.rect);
        if !rect.is_positive() {
            return;
        }
        let id = canvas.id.with(self.of);
        let response = ui.interact(rect, id, Sense::click());
        let is_selected = *selection == self.of;
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_selected, &self.name));
        ui.ctx()
            .accesskit_node_builder(id, |node| node.set_value(self.parts.join(", ")));
        if response.clicked() {
            *selection = self.of;
        }
        if response.has_focus() {
            *focused = self.of;
        }
        response.on_hover_ui_at_pointer(|ui| {
            ui.set_max_width(320.0);
            ui.strong(&self.name);
            for part in self.parts.into_iter().chain(self.more) {
                ui.label(part);
            }
        });
    }
}
