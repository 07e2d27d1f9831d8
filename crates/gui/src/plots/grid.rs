//! Where plots stand: rows and columns of cells that are neither too small nor badly shaped.

use egui::{Rect, Vec2, vec2};

use crate::theme::space;

/// Least size of a plot with its names, points.
const LEAST: Vec2 = vec2(400.0, 160.0);
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
    /// Height of all rows; more than the area's when they do not fit.
    pub height: f32,
}

/// Number of plots of the least size that an area holds.
#[must_use]
pub fn fitting(area: Vec2) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few"
    )]
    let along =
        |length: f32, least: f32, gap: f32| ((length + gap) / (least + gap)).max(1.0) as usize;
    along(area.x, LEAST.x, GAP.x) * along(area.y, LEAST.y, GAP.y)
}

impl Grid {
    /// The grid for so many plots: of all numbers of columns the one whose cells are shaped best, among those whose cells are not too small.
    #[must_use]
    pub fn of(area: Vec2, count: usize) -> Self {
        let count = count.max(1);
        let all = (1..=count).map(|columns| Self::with(area, count, columns));
        let badness = |g: &Self| {
            let too_small = 3.0 * (LEAST.x / g.cell.x).max(1.0).ln()
                // A sheet that is too high is scrolled; one that is too narrow cuts names short.
                + (g.height / area.y).max(1.0).ln();
            let shape = (g.cell.x / g.cell.y / SHAPE).ln().abs();
            #[expect(clippy::cast_precision_loss, reason = "a handful")]
            let empty = (count.div_ceil(g.columns) * g.columns - count) as f32 / count as f32;
            10.0 * too_small + shape + EMPTY * empty
        };
        all.min_by(|a, b| badness(a).total_cmp(&badness(b)))
            .unwrap_or_else(|| Self::with(area, count, 1))
    }

    fn with(area: Vec2, count: usize, columns: usize) -> Self {
        let rows = count.div_ceil(columns);
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let (columns_f, rows_f) = (columns as f32, rows as f32);
        let wide = (area.x - GAP.x * (columns_f - 1.0)) / columns_f;
        let high = ((area.y - GAP.y * (rows_f - 1.0)) / rows_f).max(LEAST.y);
        Self {
            columns,
            cell: vec2(wide, high),
            height: rows_f * (high + GAP.y) - GAP.y,
        }
    }

    /// The cell of one plot.
    #[must_use]
    pub fn at(&self, origin: egui::Pos2, place: usize) -> Rect {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let (column, row) = ((place % self.columns) as f32, (place / self.columns) as f32);
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
            (vec2(1620.0, 790.0), 9, 3),
            (vec2(3500.0, 400.0), 4, 4),
            (vec2(3560.0, 1160.0), 9, 3),
        ] {
            let grid = Grid::of(area, count);
            assert_eq!(grid.columns, columns, "{area:?}");
            assert!(grid.height <= area.y + 0.1);
            let last = grid.at(egui::Pos2::ZERO, count - 1);
            assert!(last.right() <= area.x + 0.1 && last.bottom() <= area.y + 0.1);
        }
        assert_eq!(fitting(vec2(990.0, 440.0)), 4);
        assert_eq!(fitting(vec2(100.0, 100.0)), 1);
    }

    #[test]
    fn too_many_plots_keep_a_readable_size() {
        let grid = Grid::of(vec2(990.0, 440.0), 9);
        assert!(grid.cell.y >= LEAST.y && grid.height > 440.0);
    }
}
