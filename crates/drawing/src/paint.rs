//! Painting: liquids, tanks, towers, bands, apparatus.

mod apparatus;
mod bands;
mod legend;
mod station_texts;
mod tanks;

use dragback_units::System;
use ecolor::Color32;
use emath::{Align2, Pos2, Rect, pos2};

use crate::canvas::{Canvas, Stroke};
use crate::labels::{Label, Labels};
use crate::layout::Placement;
use crate::palette::Palette;
use crate::scene::{Running, Scene, Selection, StationId, StreamId};
use crate::{size, words};

pub use bands::band_width;

/// What painting needs to know.
#[derive(Clone, Copy)]
pub struct Brush<'a> {
    /// What is drawn on.
    pub canvas: &'a dyn Canvas,
    /// Colours.
    pub palette: &'a Palette,
    /// What is drawn.
    pub scene: &'a Scene,
    /// Where everything goes.
    pub placement: &'a Placement,
    /// Units.
    pub system: System,
    /// Where the travelling dots are, in gaps between dots; `None` when time stands.
    pub phase: Option<f32>,
    /// What is selected.
    pub selection: Selection,
    /// What the pointer is over.
    pub hovered: Selection,
    /// What has the keyboard.
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
        self.palette.liquid(self.scene.scale.share(kg_per_m3))
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

/// Paints everything; texts last, so that they know what is taken. The texts that found room.
pub fn paint(brush: &Brush<'_>) -> Vec<Label> {
    let mut all = Labels::new(brush.canvas);
    let labels = &mut all;
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
    all.into_placed()
}

fn titles(brush: &Brush<'_>, labels: &mut Labels<'_>) {
    for (line, rect) in brush.scene.lines.iter().zip(&brush.placement.titles) {
        let at = rect.left_center();
        let anchor = (Align2::LEFT_CENTER, at);
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
fn between(a: Pos2, b: Pos2) -> Rect {
    Rect::from_min_max(
        pos2(a.x.min(b.x), a.y.min(b.y)),
        pos2(a.x.max(b.x), a.y.max(b.y)),
    )
}
