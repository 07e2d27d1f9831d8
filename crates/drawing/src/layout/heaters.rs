//! Where the heaters of a tank stand in it.

use emath::{Rect, pos2, vec2};

use super::number;

/// Height of a heater at scale 1, points.
const HEIGHT: f32 = 7.0;
/// How far the plate under a heater reaches beyond it, points.
pub const PLATE: emath::Vec2 = vec2(3.0, 2.0);
/// Least height of a heater, points.
const LEAST_HEIGHT: f32 = 4.0;
/// Least width of a tank in which heaters are told apart, points.
const LEAST_TANK: f32 = 26.0;

/// Places of a tank's heaters, side by side over its bottom, without their plates. In a tank that is low or narrow they are smaller and stand
/// closer; as many as there is room for across have a place.
///
/// `inner` is the tank without its walls, `foot` the height on screen at which its bottom begins to be level.
#[must_use]
pub fn heater_spots(inner: Rect, foot: f32, count: usize, scale: f32) -> Vec<Rect> {
    let low = inner.height() - 2.0 * PLATE.y - 2.0;
    if count == 0 || inner.width() < LEAST_TANK || low < LEAST_HEIGHT {
        return Vec::new();
    }
    let room = inner.width() - 8.0;
    let share = room / number(count);
    let gap = (share - 9.0 * scale).clamp(7.0, 9.0);
    let wide = (share - gap).clamp(6.0 * scale, 18.0 * scale);
    let size = vec2(wide, (HEIGHT * scale).min(low));
    let step = size.x + gap;
    let half = 0.5 * size.y;
    let over_bottom = half + PLATE.y + (2.5 * scale).min(0.5 * (low - size.y) + 1.0);
    let middle = foot.min(inner.bottom()) - over_bottom;
    let y = middle.max(inner.top() + half + PLATE.y);
    let spots = (0..count).map(|i| {
        let left = inner.left() + 6.0 + step * number(i);
        Rect::from_min_size(pos2(left, y - half), size)
    });
    let has_room = |spot: &Rect| spot.right() <= inner.left() + 6.0 + room;
    spots
        .enumerate()
        .filter(|(i, s)| *i == 0 || has_room(s))
        .map(|(_, s)| s)
        .collect()
}
