//! Where everything is drawn: a pure function of the scene's shape and a rectangle.
//!
//! Each line is a block: tanks stand in rows in the order in which work meets them, holding tank, collection tank and ways out in one more row
//! below, towers in columns at the left through all rows. Between the rows run channels, in which every stream has a track of its own, so that
//! none is drawn over another and none through a tank.

mod block;
mod channel;
mod grid;
mod heaters;
mod paths;
mod ways;

use emath::{Pos2, Rect, pos2, vec2};

use self::grid::Grid;
pub use self::heaters::{PLATE, heater_spots};
use super::scene::Scene;

/// Where a station is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// The tank, tower or sign itself.
    pub body: Rect,
    /// Room for its texts.
    pub text: Rect,
}

/// Where a stream is drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Path {
    /// Corners, from its beginning to its end.
    pub points: Vec<Pos2>,
    /// It joins two neighbours straight through the gap between them.
    pub is_direct: bool,
}

impl Path {
    /// Ends of the longest straight part.
    #[must_use]
    pub fn longest(&self) -> Option<(Pos2, Pos2)> {
        let parts = self.points.windows(2).map(|w| (w[0], w[1]));
        parts.max_by(|a, b| a.0.distance(a.1).total_cmp(&b.0.distance(b.1)))
    }

    /// Middle of the longest straight part.
    #[must_use]
    pub fn middle(&self) -> Option<Pos2> {
        self.longest().map(|(a, b)| a + 0.5 * (b - a))
    }

    /// Distance from a point, points.
    #[must_use]
    pub fn distance(&self, at: Pos2) -> f32 {
        let parts = self.points.windows(2);
        parts
            .map(|w| {
                let (along, to) = (w[1] - w[0], at - w[0]);
                let share = if along.length_sq() > 0.0 {
                    (to.dot(along) / along.length_sq()).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                (to - share * along).length()
            })
            .fold(f32::INFINITY, f32::min)
    }
}

/// Where everything is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Each station of the scene.
    pub stations: Vec<Spot>,
    /// Each stream of the scene.
    pub streams: Vec<Path>,
    /// Block of each line.
    pub blocks: Vec<Rect>,
    /// Title of each line; of no height when there is only one.
    pub titles: Vec<Rect>,
    /// Legend at the foot.
    pub legend: Rect,
    /// Scale of texts and symbols: 1 at the smallest.
    pub scale: f32,
}

/// Height of the legend at scale 1, points: at most, and in a low drawing.
const LEGEND: [f32; 2] = [22.0, 18.0];
/// Height of the title over a block at scale 1, points.
const TITLE: f32 = 18.0;
/// Most that texts and symbols grow on a large screen.
const MOST_SCALE: f32 = 1.35;
/// Room for one station at which texts have their smallest size, points.
const CELL: emath::Vec2 = vec2(150.0, 150.0);

/// Lays out a scene within a rectangle.
#[must_use]
pub fn layout(scene: &Scene, rect: Rect) -> Placement {
    let shapes: Vec<Grid> = (0..scene.lines.len())
        .map(|line| Grid::of(scene, line))
        .collect();
    let (columns, scale) = arrange(&shapes, rect.size());
    let legend_height = (0.09 * rect.height()).clamp(LEGEND[1], LEGEND[0]);
    let legend_top = (rect.bottom() - legend_height * scale).max(rect.top());
    let legend = Rect::from_min_max(pos2(rect.left(), legend_top), rect.max);
    let sheet = Rect::from_min_max(rect.min, pos2(rect.right(), legend_top));
    let rows = shapes.len().div_ceil(columns).max(1);
    let mut placement = Placement {
        stations: vec![
            Spot {
                body: Rect::NOTHING,
                text: Rect::NOTHING
            };
            scene.stations.len()
        ],
        streams: vec![Path::default(); scene.streams.len()],
        blocks: Vec::new(),
        titles: Vec::new(),
        legend,
        scale,
    };
    let cell = vec2(
        sheet.width() / number(columns),
        sheet.height() / number(rows),
    );
    for (line, grid) in shapes.iter().enumerate() {
        let at = vec2(
            cell.x * number(line % columns),
            cell.y * number(line / columns),
        );
        let frame = Rect::from_min_size(sheet.min + at, cell);
        let frame = frame.shrink2(vec2(4.0_f32.min(0.02 * cell.x), 2.0));
        let title_height = if shapes.len() > 1 {
            (TITLE * scale).min(0.15 * frame.height())
        } else {
            0.0
        };
        let split = frame.top() + title_height;
        placement
            .titles
            .push(Rect::from_min_max(frame.min, pos2(frame.right(), split)));
        let frame = Rect::from_min_max(pos2(frame.left(), split), frame.max);
        placement.blocks.push(frame);
        block::lay(scene, line, grid, frame, &mut placement);
    }
    placement
}

/// In how many columns the blocks stand, and how large texts are.
fn arrange(shapes: &[Grid], size: emath::Vec2) -> (usize, f32) {
    let fit = |columns: usize| -> f32 {
        let rows = shapes.len().div_ceil(columns).max(1);
        let cell = vec2(size.x / number(columns), size.y / number(rows));
        shapes
            .iter()
            .map(|grid| grid.fit(cell, CELL))
            .fold(f32::INFINITY, f32::min)
    };
    let best = (1..=shapes.len().max(1)).max_by(|&a, &b| fit(a).total_cmp(&fit(b)).then(b.cmp(&a)));
    let columns = best.unwrap_or(1);
    (columns, fit(columns).clamp(1.0, MOST_SCALE))
}

/// A count as a number of points.
pub(super) fn number(count: usize) -> f32 {
    f32::from(u16::try_from(count).unwrap_or(u16::MAX))
}
