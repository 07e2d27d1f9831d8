//! Painting: liquids, tanks, towers, bands, apparatus.

mod apparatus;
mod bands;
mod legend;
mod station_texts;
mod tanks;

use dragback_units::System;
use egui::{Color32, Painter, Rect, Stroke, Theme, pos2};

use super::labels::Labels;
use super::layout::Placement;
use super::scene::{Running, Scene, Selection, StationId, StreamId};
use super::words;
use crate::theme::{Palette, size};

pub(super) use bands::band_width;

/// What painting needs to know.
pub(super) struct Brush<'a> {
    pub painter: &'a Painter,
    pub palette: &'a Palette,
    pub theme: Theme,
    pub scene: &'a Scene,
    pub placement: &'a Placement,
    pub system: System,
    /// Phase of the travelling dots; `None` when time stands.
    pub phase: Option<f32>,
    pub selection: Selection,
    pub hovered: Selection,
    pub focused: Selection,
}

impl Brush<'_> {
    const fn scale(&self) -> f32 {
        self.placement.scale
    }

    fn small(&self) -> f32 {
        (size::SMALL * self.scale()).round().max(size::SMALL)
    }

    fn body_text(&self) -> f32 {
        (12.0 * self.scale()).round()
    }

    fn shade(&self, kg_per_m3: f64) -> Color32 {
        super::shade::liquid(self.theme, self.scene.scale.share(kg_per_m3))
    }

    /// Colour of a state; the shape of the symbol says the same.
    const fn state_color(&self, running: Running) -> Color32 {
        match running {
            Running::On => self.palette.good,
            Running::Off => self.palette.quiet,
            Running::Failed => self.palette.alarm,
            Running::Held => self.palette.caution,
        }
    }

    /// The ring around what is selected, hovered or has the keyboard.
    fn ring(&self, of: Selection) -> Option<Stroke> {
        if of == self.selection {
            Some(Stroke::new(2.0, self.palette.accent))
        } else if of == self.focused {
            Some(Stroke::new(2.0, self.palette.ink))
        } else if of == self.hovered {
            Some(Stroke::new(1.0, self.palette.accent))
        } else {
            None
        }
    }

    fn station_ring(&self, id: StationId) -> Option<Stroke> {
        self.ring(Selection::Station(id))
    }

    fn stream_ring(&self, id: StreamId) -> Option<Stroke> {
        self.ring(Selection::Stream(id))
    }
}

/// Paints everything; texts last, so that they know what is taken.
pub(super) fn paint(brush: &Brush<'_>, labels: &mut Labels<'_>) {
    brush.bands();
    for (s, spot) in brush.scene.stations.iter().zip(&brush.placement.stations) {
        brush.station(s, spot);
        labels.keep_free(spot.body);
    }
    // What rises from a block ends under its title.
    titles(brush, labels);
    brush.band_symbols(labels);
    for (s, spot) in brush.scene.stations.iter().zip(&brush.placement.stations) {
        brush.station_texts(labels, s, spot);
    }
    brush.band_texts(labels);
    brush.legend(labels);
}

fn titles(brush: &Brush<'_>, labels: &mut Labels<'_>) {
    for (line, rect) in brush.scene.lines.iter().zip(&brush.placement.titles) {
        let at = rect.left_center();
        let anchor = (egui::Align2::LEFT_CENTER, at);
        for points in [brush.body_text(), brush.small()] {
            let title = [line.title.as_str()];
            let placed = labels.place(&title, points, brush.palette.ink, anchor, *rect);
            if placed.is_some() {
                break;
            }
        }
    }
}

/// A rectangle between two corners in any order.
fn between(a: egui::Pos2, b: egui::Pos2) -> Rect {
    Rect::from_min_max(
        pos2(a.x.min(b.x), a.y.min(b.y)),
        pos2(a.x.max(b.x), a.y.max(b.y)),
    )
}
