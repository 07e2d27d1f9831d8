//! Where plots stand: rows and columns of cells that are neither too small nor badly shaped.

use egui::{Rect, Vec2, vec2};

use crate::theme::space;

/// Least size of a plot with its names, points: so large are plots of which as many are shown as there is room for.
const EASY: Vec2 = vec2(400.0, 160.0);
/// Least size of plots that have been chosen; below [`NAMED`] without names.
const LEAST: Vec2 = vec2(220.0, 110.0);
/// Least size of a plot that has names at the ends of its curves.
const NAMED: Vec2 = vec2(360.0, 150.0);
/// Width beyond which a plot says no more: there rather are more columns.
const MOST: f32 = 800.0;
/// Shape that a plot with its names is best read in: width over height.
const SHAPE: f32 = 2.3;
/// How bad a sheet's worth of empty cells is, beside a shape that is wrong by a factor of e.
const EMPTY: f32 = 1.0;
/// Gaps between plots.
const GAP: Vec2 = vec2(space::WIDE, space::NEAR);

/// Rows and columns of equal cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    columns: usize,
    /// Size of one cell.
    pub cell: Vec2,
    /// Rows that are in sight at once.
    pub rows_in_sight: usize,
    /// Height of all rows; more than the area's when they do not fit.
    pub height: f32,
}

/// How many cells of a least length, with gaps, stand along a length; at least one.
fn along(length: f32, least: f32, gap: f32) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few"
    )]
    let whole = ((length + gap) / (least + gap)).max(1.0) as usize;
    whole
}

/// Number of plots with names that an area holds.
#[must_use]
pub fn fitting(area: Vec2) -> usize {
    along(area.x, EASY.x, GAP.x) * along(area.y, EASY.y, GAP.y)
}

/// Whether a cell has room for names at the ends of curves.
#[must_use]
pub fn has_names(cell: Vec2) -> bool {
    cell.x >= NAMED.x && cell.y >= NAMED.y
}

impl Grid {
    /// The grid for so many cells, none narrower than `least_width` where that is more than a plot needs. All cells are in sight if that can be; else
    /// as many as can be, in whole rows. Of the numbers of columns that do so it is the one whose cells are shaped best and not too wide.
    #[must_use]
    pub fn of(area: Vec2, count: usize, least_width: f32) -> Self {
        let count = count.max(1);
        let least_width = least_width.max(LEAST.x);
        let most_columns = along(area.x, least_width, GAP.x).min(count);
        let all: Vec<Self> = (1..=most_columns)
            .map(|columns| Self::with(area, count, columns))
            .collect();
        let in_sight = |g: &Self| (g.rows_in_sight * g.columns).min(count);
        let most = all.iter().map(in_sight).max().unwrap_or(count);
        let badness = |g: &Self| {
            let too_wide = (g.cell.x / MOST).max(1.0).ln();
            let shape = (g.cell.x / g.cell.y / SHAPE).ln().abs();
            #[expect(clippy::cast_precision_loss, reason = "a handful")]
            let empty = (count.div_ceil(g.columns) * g.columns - count) as f32 / count as f32;
            10.0 * too_wide + shape + EMPTY * empty
        };
        all.into_iter()
            .filter(|g| in_sight(g) == most)
            .min_by(|a, b| badness(a).total_cmp(&badness(b)))
            .unwrap_or_else(|| Self::with(area, count, 1))
    }

    fn with(area: Vec2, count: usize, columns: usize) -> Self {
        let rows = count.div_ceil(columns);
        let rows_in_sight = along(area.y, LEAST.y, GAP.y).min(rows);
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let (columns_f, rows_f, seen_f) = (columns as f32, rows as f32, rows_in_sight as f32);
        let wide = (area.x - GAP.x * (columns_f - 1.0)) / columns_f;
        let high = ((area.y - GAP.y * (seen_f - 1.0)) / seen_f).max(LEAST.y);
        Self {
            columns,
            cell: vec2(wide, high),
            rows_in_sight,
            height: rows_f * (high + GAP.y) - GAP.y,
        }
    }

    /// In which column a plot stands.
    #[must_use]
    pub const fn column(&self, place: usize) -> usize {
        place % self.columns
    }

    /// The cell of one plot.
    #[must_use]
    pub fn at(&self, origin: egui::Pos2, place: usize) -> Rect {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let (column, row) = (self.column(place) as f32, (place / self.columns) as f32);
        let step = self.cell + GAP;
        Rect::from_min_size(origin + vec2(column * step.x, row * step.y), self.cell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_large_enough_and_fill_the_area() {
        for (area, count, columns) in [
            (vec2(990.0, 440.0), 4, 2),
            (vec2(990.0, 440.0), 9, 3),
            (vec2(1620.0, 790.0), 9, 3),
            (vec2(3500.0, 400.0), 4, 4),
            // More columns rather than cells that are wider than they say anything.
            (vec2(3560.0, 1160.0), 9, 5),
        ] {
            let grid = Grid::of(area, count, 0.0);
            assert_eq!(grid.columns, columns, "{area:?}");
            assert!(grid.height <= area.y + 0.1);
            let last = grid.at(egui::Pos2::ZERO, count - 1);
            assert!(last.right() <= area.x + 0.1 && last.bottom() <= area.y + 0.1);
        }
        assert_eq!(fitting(vec2(990.0, 440.0)), 4);
        assert_eq!(fitting(vec2(100.0, 100.0)), 1);
    }

    #[test]
    fn what_does_not_fit_stands_in_whole_rows() {
        let area = vec2(976.0, 168.0);
        let grid = Grid::of(area, 9, 0.0);
        assert_eq!((grid.columns, grid.rows_in_sight), (4, 1));
        assert!(grid.cell.y >= LEAST.y && grid.height > area.y);
        assert!((grid.cell.y - area.y).abs() < 0.1);
        let wider = Grid::of(area, 10, 300.0);
        assert!(wider.columns == 3 && wider.cell.x >= 300.0);
        assert!(!has_names(grid.cell) && has_names(vec2(480.0, 168.0)));
    }
}
