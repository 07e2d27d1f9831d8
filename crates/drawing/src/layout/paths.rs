//! The corners of every stream's path, once rows, columns and tracks are known.

use emath::{Pos2, pos2};

use super::block::{FILM_TRACK, Plan};
use super::channel::Run;
use super::ways::{Port, Side, Way};
use super::{Path, Placement, number};

impl Plan<'_> {
    /// Height of a stream's run in a channel.
    fn track_y(&self, channel: usize, stream: usize) -> f32 {
        let c = &self.channels[channel];
        let find = |runs: &[Run]| runs.iter().position(|r| r.stream == stream);
        let unit = self.scale * c.squeeze;
        if let Some(i) = find(&c.films) {
            let track = number(c.film_tracks.0[i]);
            return c.top + c.height - unit * FILM_TRACK * (track + 0.8);
        }
        let Some(i) = find(&c.others) else {
            return c.top + 0.5 * c.height;
        };
        let films = if c.film_tracks.1 > 0 {
            unit * FILM_TRACK * (number(c.film_tracks.1) + 0.8)
        } else {
            0.0
        };
        let room = c.height - films - c.taps * c.squeeze;
        let step = room / number(c.other_tracks.1);
        c.top + step * (number(c.other_tracks.0[i]) + 0.5)
    }

    fn port_at(&self, stream: usize, end: usize, port: Port) -> Pos2 {
        let x = self.port(stream, end).unwrap_or(self.frame.left());
        let row = self.grid.row(port.station).unwrap_or(0);
        let y = match port.side {
            Side::Top => self.row_top(row),
            Side::Bottom => self.row_top(row) + self.row_height(row),
        };
        pos2(x, y)
    }

    pub(super) fn paths(&mut self, placement: &mut Placement) {
        let streams = std::mem::take(&mut self.streams);
        let mut used: Vec<(usize, usize, usize)> = Vec::new();
        for &(s, w) in &streams {
            let points = match w {
                Way::Direct { from, to } => {
                    let pair = (from.min(to), from.max(to));
                    let at = used.iter().filter(|u| (u.0, u.1) == pair).count();
                    used.push((pair.0, pair.1, s));
                    self.direct(from, to, at)
                }
                Way::Channels { from, to } => self.through(s, from, to),
                Way::Tap(p) => {
                    let end = self.port_at(s, 1, p);
                    let c = &self.channels[p.channel];
                    let films = c.film_tracks.1 > 0;
                    let reach = if films {
                        FILM_TRACK * (number(c.film_tracks.1) + 0.8)
                    } else {
                        0.0
                    };
                    let drop = (self.scale * c.squeeze * (reach + 8.0)).min(c.height);
                    vec![pos2(end.x, end.y - drop), end]
                }
                Way::Work(p) => {
                    let start = self.port_at(s, 0, p);
                    let y = self.track_y(p.channel, s);
                    vec![start, pos2(start.x, y), pos2(self.frame.right(), y)]
                }
                Way::Air(a) => {
                    let [left, right] = self.body(a);
                    let x = 0.5 * (left + right);
                    vec![pos2(x, self.row_top(0)), pos2(x, self.frame.top() + 1.0)]
                }
                Way::Floor(a) => {
                    let [left, right] = self.body(a);
                    let row = self.grid.row(a).unwrap_or(0);
                    let x = right - 0.06 * (right - left);
                    let y = self.row_top(row) + self.row_height(row);
                    vec![pos2(x, y - 0.3 * self.row_height(row)), pos2(x, y)]
                }
            };
            placement.streams[s] = Path {
                points,
                is_direct: matches!(w, Way::Direct { .. }),
            };
        }
        self.streams = streams;
    }

    fn direct(&self, from: usize, to: usize, at: usize) -> Vec<Pos2> {
        let (a, b) = (self.body(from), self.body(to));
        let (x0, x1) = if a[0] < b[0] {
            (a[1], b[0])
        } else {
            (a[0], b[1])
        };
        let tower = self.grid.is_tower(from) || self.grid.is_tower(to);
        let tank = if self.grid.is_tower(from) { to } else { from };
        let row = self.grid.row(tank).unwrap_or(0);
        // What drains from a tower runs at its foot.
        let y = if tower && self.grid.is_tower(from) {
            self.row_top(row) + self.row_height(row)
                - (7.0 * self.scale).min(0.2 * self.row_height(row))
        } else {
            self.direct_y(row, if tower { 0 } else { at })
        };
        vec![pos2(x0, y), pos2(x1, y)]
    }

    fn through(&mut self, s: usize, from: Port, to: Port) -> Vec<Pos2> {
        let (start, end) = (self.port_at(s, 0, from), self.port_at(s, 1, to));
        let y = self.track_y(from.channel, s);
        if from.channel == to.channel {
            if (start.x - end.x).abs() < 0.5 {
                return vec![start, end];
            }
            return vec![start, pos2(start.x, y), pos2(end.x, y), end];
        }
        let x = self.corridor_x(self.corridor);
        self.corridor += 1;
        let y2 = self.track_y(to.channel, s);
        vec![
            start,
            pos2(start.x, y),
            pos2(x, y),
            pos2(x, y2),
            pos2(end.x, y2),
            end,
        ]
    }
}
