//! One line in its rectangle: stations first, then the paths of streams.

use emath::{Rect, pos2};

use super::channel::{Run, tracks};
use super::grid::{Grid, TOWER_CELL};
use super::ways::{Port, Side, Way, way};
use super::{Placement, Spot, number};
use crate::scene::{Scene, StationKind, StreamKind};

/// Share of a cell's width that a tank takes.
const BODY_SHARE: f32 = 0.42;
/// Widest tank at scale 1, points.
const WIDEST_BODY: f32 = 190.0;
/// Width that the texts beside a tank need at scale 1, points.
const TEXT_WIDTH: f32 = 106.0;
/// Height of a row of nothing but ways out at scale 1, points.
const OUTLET_ROW: f32 = 70.0;
/// The same where texts stand beside the ways out, points.
const LOW_OUTLET_ROW: f32 = 38.0;
/// Side of a way out at scale 1, points.
const OUTLET: f32 = 34.0;
/// Height at which a row of tanks has room for a name and a line of figures at scale 1, points.
const ROOMY_ROW: f32 = 42.0;
/// Least share of their height that channels keep for that.
const LEAST_SQUEEZE: f32 = 0.5;
/// Height of two lines of text at scale 1, points.
const TWO_LINES: f32 = 29.0;
/// How far texts reach below the tanks of their row, points.
const BELOW: f32 = 5.0;
/// Tallest row at scale 1, points.
const TALLEST_ROW: f32 = 240.0;

/// Lays out one line.
pub fn lay(scene: &Scene, line: usize, grid: &Grid, frame: Rect, placement: &mut Placement) {
    let mut grid = grid.clone();
    grid.wrap(grid.best_rows(frame.size()), scene);
    let streams: Vec<(usize, Way)> = (0..scene.streams.len())
        .filter(|&s| scene.streams[s].line == line)
        .filter_map(|s| Some((s, way(scene, &grid, s)?)))
        .collect();
    let mut plan = Plan {
        scene,
        grid: &grid,
        frame,
        scale: placement.scale,
        streams,
        bodies: Vec::new(),
        ports: Vec::new(),
        channels: Vec::new(),
        row_tops: Vec::new(),
        row_heights: Vec::new(),
        corridor: 0,
    };
    plan.across();
    plan.place_ports();
    plan.fill_channels();
    plan.down();
    plan.spots(placement);
    plan.paths(placement);
}

/// What runs through one channel.
#[derive(Clone, Debug, Default)]
pub(super) struct Channel {
    /// Height kept for taps, at its top after the plain streams.
    pub(super) taps: f32,
    pub(super) films: Vec<Run>,
    pub(super) film_tracks: (Vec<usize>, usize),
    pub(super) others: Vec<Run>,
    pub(super) other_tracks: (Vec<usize>, usize),
    pub(super) has_apparatus: bool,
    pub(super) top: f32,
    pub(super) height: f32,
    /// Share of the wanted height that there is room for.
    pub(super) squeeze: f32,
}

/// A block while it is laid out.
pub(super) struct Plan<'s> {
    pub(super) scene: &'s Scene,
    pub(super) grid: &'s Grid,
    pub(super) frame: Rect,
    pub(super) scale: f32,
    pub(super) streams: Vec<(usize, Way)>,
    /// Station, left and right end of each body, and left and right end of its cell.
    pub(super) bodies: Vec<(usize, [f32; 2], [f32; 2])>,
    /// Stream, end (0 from, 1 to) and place across of each port.
    pub(super) ports: Vec<(usize, usize, f32)>,
    pub(super) channels: Vec<Channel>,
    pub(super) row_tops: Vec<f32>,
    pub(super) row_heights: Vec<f32>,
    pub(super) corridor: usize,
}

/// Height that a track of films takes at scale 1, points.
pub(super) const FILM_TRACK: f32 = 11.0;
/// Height that any other track takes at scale 1, points.
const OTHER_TRACK: f32 = 17.0;
/// Height that taps take at scale 1, points.
const TAP_STRIP: f32 = 25.0;

impl Plan<'_> {
    fn corridor_tracks(&self) -> usize {
        let crosses =
            |w: &Way| matches!(w, Way::Channels { from, to } if from.channel != to.channel);
        self.streams.iter().filter(|(_, w)| crosses(w)).count()
    }

    /// Columns and bodies across.
    fn across(&mut self) {
        let right_margin = (10.0 * self.scale).min(0.05 * self.frame.width())
            + (6.0 * number(self.corridor_tracks())).min(0.1 * self.frame.width());
        let width = self.frame.width() - right_margin;
        let count = number(self.grid.columns) + TOWER_CELL * number(self.grid.towers.len());
        let cell = width / count;
        let body = (BODY_SHARE * cell)
            .max((cell - TEXT_WIDTH * self.scale).min(0.58 * cell))
            .min(WIDEST_BODY * self.scale);
        let mut left = self.frame.left();
        for &t in &self.grid.towers {
            let own = TOWER_CELL * cell;
            let body = (0.9 * body).min(0.5 * own);
            self.bodies
                .push((t, [left, left + body], [left, left + own]));
            left += own;
        }
        for &(s, _, column) in &self.grid.cells {
            let start = left + cell * number(column);
            let is_outlet = self.scene.stations[s].kind == StationKind::Outlet;
            let body = if is_outlet {
                (OUTLET * self.scale).min(body)
            } else {
                body
            };
            self.bodies
                .push((s, [start, start + body], [start, start + cell]));
        }
    }

    pub(super) fn body(&self, station: usize) -> [f32; 2] {
        let found = self.bodies.iter().find(|b| b.0 == station);
        found.map_or([self.frame.left(); 2], |b| b.1)
    }

    /// Ports along the brims and bottoms, in the order of what they lead to.
    fn place_ports(&mut self) {
        let centre = |b: [f32; 2]| 0.5 * (b[0] + b[1]);
        let mut wanted: Vec<(Port, usize, usize, f32)> = Vec::new();
        for &(s, w) in &self.streams {
            match w {
                Way::Channels { from, to } => {
                    wanted.push((from, s, 0, centre(self.body(to.station))));
                    wanted.push((to, s, 1, centre(self.body(from.station))));
                }
                Way::Tap(p) => wanted.push((p, s, 1, centre(self.body(p.station)))),
                Way::Work(p) => wanted.push((p, s, 0, self.frame.right())),
                Way::Direct { .. } | Way::Air(_) | Way::Floor(_) => {}
            }
        }
        let mut sides: Vec<(usize, Side)> = Vec::new();
        for (p, ..) in &wanted {
            if !sides.contains(&(p.station, p.side)) {
                sides.push((p.station, p.side));
            }
        }
        for (station, side) in sides {
            let mut here: Vec<&(Port, usize, usize, f32)> = wanted
                .iter()
                .filter(|(p, ..)| p.station == station && p.side == side)
                .collect();
            here.sort_by(|a, b| a.3.total_cmp(&b.3).then(b.2.cmp(&a.2)));
            let [left, right] = self.body(station);
            for (i, (_, stream, end, _)) in here.iter().enumerate() {
                let share = (number(i) + 0.5) / number(here.len());
                self.ports
                    .push((*stream, *end, left + share * (right - left)));
            }
        }
        self.straighten(&wanted);
    }

    /// A port that is alone on its side moves over the other end, if that lies within the body.
    fn straighten(&mut self, wanted: &[(Port, usize, usize, f32)]) {
        for (port, stream, end, _) in wanted {
            let is_same = |p: &Port| p.station == port.station && p.side == port.side;
            let alone = wanted.iter().filter(|w| is_same(&w.0)).count() == 1;
            let other = self.port(*stream, 1 - end);
            let [left, right] = self.body(port.station);
            let margin = (0.15 * (right - left)).min(10.0);
            if let Some(x) = other
                && alone
                && x >= left + margin
                && x <= right - margin
                && let Some(own) = self
                    .ports
                    .iter_mut()
                    .find(|p| p.0 == *stream && p.1 == *end)
            {
                own.2 = x;
            }
        }
    }

    pub(super) fn port(&self, stream: usize, end: usize) -> Option<f32> {
        self.ports
            .iter()
            .find(|p| p.0 == stream && p.1 == end)
            .map(|p| p.2)
    }

    pub(super) fn corridor_x(&self, at: usize) -> f32 {
        let all = number(self.corridor_tracks()) + 1.0;
        let width = (6.0 * number(self.corridor_tracks())).min(0.1 * self.frame.width());
        self.frame.right() - width * (number(at) + 1.0) / all
    }

    fn fill_channels(&mut self) {
        let mut channels = vec![Channel::default(); self.grid.rows + 1];
        let mut corridor = 0;
        for &(s, w) in &self.streams {
            let is_film = self.scene.streams[s].kind == StreamKind::Film;
            let has_apparatus = self.scene.streams[s].apparatus.is_some();
            let mut add = |channel: usize, a: f32, b: f32| {
                let run = Run {
                    stream: s,
                    left: a.min(b),
                    right: a.max(b),
                };
                let c = &mut channels[channel];
                c.has_apparatus |= has_apparatus;
                if is_film {
                    c.films.push(run);
                } else {
                    c.others.push(run);
                }
            };
            match w {
                Way::Channels { from, to } => {
                    let a = self.port(s, 0).unwrap_or(self.frame.left());
                    let b = self.port(s, 1).unwrap_or(self.frame.left());
                    if from.channel == to.channel {
                        add(from.channel, a, b);
                    } else {
                        let x = self.corridor_x(corridor);
                        corridor += 1;
                        add(from.channel, a, x);
                        add(to.channel, b, x);
                    }
                }
                Way::Work(p) => {
                    let a = self.port(s, 0).unwrap_or(self.frame.left());
                    add(p.channel, a, self.frame.right());
                }
                Way::Tap(p) => channels[p.channel].taps = TAP_STRIP * self.scale,
                Way::Air(_) => {
                    let c = &mut channels[0];
                    c.taps = c.taps.max(0.8 * TAP_STRIP * self.scale);
                }
                Way::Direct { .. } | Way::Floor(_) => {}
            }
        }
        for c in &mut channels {
            c.film_tracks = tracks(&c.films);
            c.other_tracks = tracks(&c.others);
        }
        self.channels = channels;
    }

    /// Rows and channels down.
    fn down(&mut self) {
        let scale = self.scale;
        let last = self.channels.len() - 1;
        let wanted = |i: usize, c: &Channel| {
            let mut height = c.taps;
            if c.film_tracks.1 > 0 {
                height += scale * FILM_TRACK * (number(c.film_tracks.1) + 0.8);
            }
            if c.other_tracks.1 > 0 {
                height += scale * OTHER_TRACK * (number(c.other_tracks.1) + 0.4);
            }
            if c.has_apparatus {
                height = height.max(28.0 * scale);
            }
            let least = if i == 0 || i == last { 3.0 } else { 10.0 };
            height.max(least * scale)
        };
        let heights: Vec<f32> = self
            .channels
            .iter()
            .enumerate()
            .map(|(i, c)| wanted(i, c))
            .collect();
        let sum: f32 = heights.iter().sum();
        let rows = number(self.grid.rows);
        // Where it is low, bands move together before tanks become too low for their texts.
        let roomy = (self.frame.height() - rows * ROOMY_ROW * scale) / sum;
        let half = 0.5 * self.frame.height() / sum;
        let squeeze = roomy.max(LEAST_SQUEEZE).min(half).min(1.0);
        let free = self.frame.height() - squeeze * sum;
        let only_outlets = self.grid.is_last_row_outlets(self.scene);
        let outlet_row = if only_outlets {
            let even = free / rows;
            let tall = OUTLET_ROW * scale;
            // Its texts stand under it or beside it.
            if even < tall {
                (LOW_OUTLET_ROW * scale).min(even)
            } else {
                tall
            }
        } else {
            0.0
        };
        let tanks = if only_outlets { rows - 1.0 } else { rows };
        let row_height = ((free - outlet_row) / tanks.max(1.0)).min(self.tallest());
        // What is left over goes to the channels and the edges, evenly.
        let spare = (free - outlet_row - tanks * row_height) / (rows + 1.0);
        let mut y = self.frame.top();
        for (i, (c, height)) in self.channels.iter_mut().zip(heights).enumerate() {
            c.top = y;
            c.height = squeeze * height + spare.max(0.0);
            c.squeeze = squeeze;
            y += c.height;
            let is_outlets = only_outlets && i + 1 == self.grid.rows;
            let own = if is_outlets { outlet_row } else { row_height };
            self.row_tops.push(y);
            self.row_heights.push(own);
            y += own;
        }
        self.row_tops.truncate(self.grid.rows);
        self.row_heights.truncate(self.grid.rows);
    }

    /// Height beyond which a row of tanks looks like a row of pipes, points.
    fn tallest(&self) -> f32 {
        let body = self.bodies.iter().filter(|b| !self.grid.is_tower(b.0));
        let width = body.map(|b| b.1[1] - b.1[0]).fold(0.0, f32::max);
        (TALLEST_ROW * self.scale).min((1.5 * width).max(110.0 * self.scale))
    }

    pub(super) fn row_height(&self, row: usize) -> f32 {
        self.row_heights.get(row).copied().unwrap_or(0.0)
    }

    pub(super) fn row_top(&self, row: usize) -> f32 {
        self.row_tops.get(row).copied().unwrap_or(self.frame.top())
    }

    /// Height at which bands between neighbours of a row run.
    pub(super) fn direct_y(&self, row: usize, at: usize) -> f32 {
        let step = (17.0 * self.scale).min(0.2 * self.row_height(row));
        self.row_top(row) + step * (number(at) + 1.0)
    }

    /// Bands that leave or reach a station through the gap at its right.
    fn directs_right_of(&self, station: usize) -> usize {
        let [_, right] = self.body(station);
        let to_right = |w: &Way| match *w {
            Way::Direct { from, to } => {
                (from == station && self.body(to)[0] >= right)
                    || (to == station && self.body(from)[0] >= right)
            }
            _ => false,
        };
        self.streams.iter().filter(|(_, w)| to_right(w)).count()
    }

    fn spots(&self, placement: &mut Placement) {
        let gap = 6.0_f32;
        for &(s, [left, right], [_, end]) in &self.bodies {
            let Some(row) = self.grid.row(s) else {
                continue;
            };
            let top = self.row_top(row);
            let bottom = top + self.row_height(row);
            let text_left = (right + gap).min(end);
            let text_right = (end - gap).max(text_left);
            let spot = if self.grid.is_tower(s) {
                let first = self.row_top(0);
                let tank = self.grid.towers.iter().position(|&t| t == s);
                let tank = tank.map(|t| self.grid.tank_of[t]);
                let tank_row = tank.and_then(|t| self.grid.row(t)).unwrap_or(row);
                let (a, b) = if tank_row == 0 {
                    let low = first + self.row_height(0) - 10.0 * self.scale;
                    (self.direct_y(0, 0) + 9.0 * self.scale, low)
                } else {
                    (first, self.direct_y(tank_row, 0) - 18.0 * self.scale)
                };
                Spot {
                    body: Rect::from_min_max(pos2(left, first), pos2(right, bottom)),
                    text: Rect::from_min_max(pos2(text_left, a), pos2(text_right, b.max(a))),
                }
            } else if self.scene.stations[s].kind == StationKind::Outlet {
                let height = (OUTLET * self.scale).min(self.row_height(row));
                let under = (top + height + 2.0).min(bottom);
                let from = if bottom - under < TWO_LINES * self.scale {
                    pos2(text_left, top)
                } else {
                    pos2(left, under)
                };
                Spot {
                    body: Rect::from_min_max(pos2(left, top), pos2(right, top + height)),
                    text: Rect::from_min_max(from, pos2(text_right, bottom)),
                }
            } else {
                let directs = self.directs_right_of(s);
                let a = if directs > 0 {
                    self.direct_y(row, directs - 1) + 9.0 * self.scale
                } else {
                    top
                };
                Spot {
                    body: Rect::from_min_max(pos2(left, top), pos2(right, bottom)),
                    text: Rect::from_min_max(
                        pos2(text_left, a.min(bottom)),
                        pos2(text_right, bottom + BELOW),
                    ),
                }
            };
            placement.stations[s] = spot;
        }
    }
}
