//! Which way each stream takes: from which side of which station, through which channel.

use super::grid::Grid;
use crate::scene::{Place, Scene, StationKind, StreamKind};

/// Side of a station.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Its brim.
    Top,
    /// Its bottom.
    Bottom,
}

/// One end of a way that leads through channels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Port {
    /// The station, by its number in the scene.
    pub station: usize,
    /// Its side.
    pub side: Side,
    /// The channel that it opens to; channel `i` lies above row `i`.
    pub channel: usize,
}

/// The way of a stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Straight through the gap between two neighbours.
    Direct {
        /// From.
        from: usize,
        /// To.
        to: usize,
    },
    /// Through one or two channels.
    Channels {
        /// From.
        from: Port,
        /// To.
        to: Port,
    },
    /// From a tap above a tank down into it.
    Tap(Port),
    /// Out at the right with the work.
    Work(Port),
    /// Up to the air.
    Air(usize),
    /// Over the brim to the floor.
    Floor(usize),
}

/// The way of one stream of the line; `None` when an end is not drawn.
pub fn way(scene: &Scene, grid: &Grid, stream: usize) -> Option<Way> {
    let s = &scene.streams[stream];
    let top = |station: usize| -> Option<Port> {
        let channel = grid.row(station)?;
        Some(Port {
            station,
            side: Side::Top,
            channel,
        })
    };
    let bottom = |station: usize| -> Option<Port> {
        let channel = grid.row(station)? + 1;
        Some(Port {
            station,
            side: Side::Bottom,
            channel,
        })
    };
    match (s.from, s.to) {
        (Place::Tap, Place::Station(b)) => top(b).map(Way::Tap),
        (Place::Station(a), Place::Work) => top(a).map(Way::Work),
        (Place::Station(a), Place::Air) => Some(Way::Air(a)),
        (Place::Station(a), Place::Floor) => Some(Way::Floor(a)),
        (Place::Station(a), Place::Station(b)) => {
            let (ra, rb) = (grid.row(a)?, grid.row(b)?);
            if s.kind == StreamKind::Film {
                let (from, to) = (top(a)?, top(b)?);
                return Some(Way::Channels { from, to });
            }
            if grid.are_neighbours(a, b) {
                return Some(Way::Direct { from: a, to: b });
            }
            let is_outlet = |s: usize| scene.stations[s].kind == StationKind::Outlet;
            let (from, to) = if grid.is_tower(a) || grid.is_tower(b) {
                (bottom(a)?, bottom(b)?)
            } else if ra == rb && (is_outlet(a) || is_outlet(b)) {
                (top(a)?, top(b)?)
            } else if ra == rb {
                (bottom(a)?, bottom(b)?)
            } else if rb > ra {
                (bottom(a)?, top(b)?)
            } else {
                (top(a)?, bottom(b)?)
            };
            Some(Way::Channels { from, to })
        }
        _ => None,
    }
}
