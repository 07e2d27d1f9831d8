//! Who stands where in a line's block, in rows and columns.

use emath::{Vec2, vec2};

use super::number;
use crate::scene::{Place, Scene, StationKind};

/// Width of a tower's column in cells.
pub const TOWER_CELL: f32 = 0.85;

/// Who stands where, in rows and columns.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    pub(super) route: Vec<usize>,
    pub(super) below: Vec<usize>,
    pub(super) towers: Vec<usize>,
    /// Station, row and column of each tank and way out.
    pub(super) cells: Vec<(usize, usize, usize)>,
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Station of the scene from which each of `below` is fed from above, for its column.
    pub(super) fed_from: Vec<Option<usize>>,
    /// Tanks that each tower is fed from.
    pub(super) tank_of: Vec<usize>,
    ends_in_outlets: bool,
}

impl Grid {
    /// Who belongs to a line.
    pub fn of(scene: &Scene, line: usize) -> Self {
        let l = &scene.lines[line];
        let fed_from = l.below.iter().map(|&b| {
            let feeds = scene.streams.iter().filter(|s| s.to == Place::Station(b));
            feeds
                .filter_map(|s| match s.from {
                    Place::Station(a) if l.route.contains(&a) => Some(a),
                    _ => None,
                })
                .min_by_key(|&a| l.route.iter().position(|&r| r == a))
        });
        let tank_of = l.towers.iter().map(|&t| {
            let feed = scene.streams.iter().find(|s| s.to == Place::Station(t));
            match feed.map(|s| s.from) {
                Some(Place::Station(a)) => a,
                _ => t,
            }
        });
        let mut grid = Self {
            fed_from: fed_from.collect(),
            tank_of: tank_of.collect(),
            route: l.route.clone(),
            below: l.below.clone(),
            towers: l.towers.clone(),
            cells: Vec::new(),
            columns: 1,
            rows: 1,
            ends_in_outlets: false,
        };
        grid.ends_in_outlets = grid.is_last_row_outlets(scene);
        grid.wrap(1, scene);
        grid
    }

    /// How large things could be drawn in a block of a size, in units of a cell that is just large enough.
    pub fn fit(&self, size: Vec2, cell: Vec2) -> f32 {
        (1..=self.route.len().max(1))
            .map(|rows| self.fit_in(rows, size, cell))
            .fold(0.0, f32::max)
    }

    fn fit_in(&self, route_rows: usize, size: Vec2, cell: Vec2) -> f32 {
        let columns = self.route.len().div_ceil(route_rows).max(self.below.len());
        let last = match (self.below.is_empty(), self.ends_in_outlets) {
            (true, _) => 0.0,
            (_, true) => 0.4,
            _ => 1.0,
        };
        let rows = number(route_rows) + last;
        let across = number(columns.max(1)) + TOWER_CELL * number(self.towers.len());
        (size.x / (across * cell.x)).min(size.y / (rows * cell.y))
    }

    pub fn best_rows(&self, size: Vec2) -> usize {
        let cell = vec2(130.0, 150.0);
        let best = (1..=self.route.len().max(1)).max_by(|&a, &b| {
            let (fa, fb) = (self.fit_in(a, size, cell), self.fit_in(b, size, cell));
            fa.total_cmp(&fb).then(b.cmp(&a))
        });
        best.unwrap_or(1)
    }

    /// Breaks the route into so many rows.
    pub fn wrap(&mut self, route_rows: usize, scene: &Scene) {
        let per_row = self.route.len().div_ceil(route_rows).max(1);
        self.cells.clear();
        self.columns = per_row.max(self.below.len());
        for (i, &s) in self.route.iter().enumerate() {
            self.cells.push((s, i / per_row, i % per_row));
        }
        let used = self.route.len().div_ceil(per_row);
        self.rows = used + usize::from(!self.below.is_empty());
        let mut next = 0;
        for (i, &s) in self.below.iter().enumerate() {
            let left = self.below.len() - i;
            let wanted =
                self.fed_from[i].filter(|_| scene.stations[s].kind != StationKind::Holding);
            let wanted = wanted.and_then(|a| {
                let cell = self.cells.iter().find(|c| c.0 == a);
                cell.filter(|c| c.1 + 1 == used).map(|c| c.2)
            });
            let column = wanted.unwrap_or(next).max(next).min(self.columns - left);
            self.cells.push((s, used, column));
            next = column + 1;
        }
    }

    /// Row of a station; towers stand in the last.
    pub fn row(&self, station: usize) -> Option<usize> {
        if self.is_tower(station) {
            return Some(self.tower_row());
        }
        self.cells.iter().find(|c| c.0 == station).map(|c| c.1)
    }

    /// Whether the last row holds nothing but ways out.
    pub fn is_last_row_outlets(&self, scene: &Scene) -> bool {
        let is_outlet = |&s: &usize| scene.stations[s].kind == StationKind::Outlet;
        !self.below.is_empty() && self.below.iter().all(is_outlet)
    }

    /// The row in which towers stand: the last that holds tanks.
    fn tower_row(&self) -> usize {
        let rows = if self.ends_in_outlets {
            self.rows - 1
        } else {
            self.rows
        };
        rows.saturating_sub(1)
    }

    /// Whether a station is a tower.
    pub fn is_tower(&self, station: usize) -> bool {
        self.towers.contains(&station)
    }

    /// Whether nothing stands between two stations of a row.
    pub fn are_neighbours(&self, a: usize, b: usize) -> bool {
        if let Some((tower, tank)) = self.tower_and_tank(a, b) {
            return self.towers.last() == Some(&tower) && self.is_first(tank);
        }
        let find = |s: usize| self.cells.iter().find(|c| c.0 == s);
        let (Some(ca), Some(cb)) = (find(a), find(b)) else {
            return false;
        };
        let (low, high) = (ca.2.min(cb.2), ca.2.max(cb.2));
        let between = |c: &&(usize, usize, usize)| c.1 == ca.1 && c.2 > low && c.2 < high;
        ca.1 == cb.1 && a != b && self.cells.iter().find(between).is_none()
    }

    fn tower_and_tank(&self, a: usize, b: usize) -> Option<(usize, usize)> {
        match (self.is_tower(a), self.is_tower(b)) {
            (true, false) => Some((a, b)),
            (false, true) => Some((b, a)),
            _ => None,
        }
    }

    fn is_first(&self, tank: usize) -> bool {
        let Some(cell) = self.cells.iter().find(|c| c.0 == tank) else {
            return false;
        };
        !self.cells.iter().any(|c| c.1 == cell.1 && c.2 < cell.2)
    }
}
