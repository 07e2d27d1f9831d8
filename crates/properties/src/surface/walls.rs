//! Losses through walls from first principles. A scenario gives its walls in W/K; a line sketched from ten answers takes them from here.

use super::STEFAN_BOLTZMANN;
use crate::water::ZERO_CELSIUS_K;

/// Emissivity of a painted, plastic or oxidised wall.
pub const WALL_EMISSIVITY: f64 = 0.95;

/// Conductivity of tank insulation, W/(m·K), fitted to the published table of walls with 1, 2 and 3 inches of it. Good new
/// insulation is better.
pub const WALL_INSULATION_W_PER_M_K: f64 = 0.0705;

/// Heat loss of a vertical tank wall to still room air, W/m².
///
/// Free convection `h = 1.31·ΔT^(1/3)` and radiation with emissivity [`WALL_EMISSIVITY`] from the outer surface, in
/// series with `insulation_m` metres of insulation of conductivity [`WALL_INSULATION_W_PER_M_K`]. `temp_c` is the
/// solution, `room_c` the room, both °C. Negative when the room is warmer.
///
/// # Valid
/// Walls higher than about 0.5 m, solution 0 to 100 °C. The bare wall is within 5 % of the published table from 32 to 99 °C;
/// the insulated columns, to which the conductivity was fitted, within 8 % and their rounding (see the table).
///
/// # Source
/// Convection: simplified turbulent free convection in air on a vertical wall, McAdams, Heat Transmission (1954), from
/// memory. Compared with the table of heat losses of open tanks and walls at engineeringtoolbox.com ("Heat loss from
/// open water tanks").
#[must_use]
pub fn wall_loss_w_per_m2(temp_c: f64, room_c: f64, insulation_m: f64) -> f64 {
    let resistance = insulation_m.max(0.0) / WALL_INSULATION_W_PER_M_K;
    let outside = |outer_c: f64| {
        let difference = outer_c - room_c;
        let radiation = (outer_c + ZERO_CELSIUS_K).powi(4) - (room_c + ZERO_CELSIUS_K).powi(4);
        1.31 * difference * difference.abs().cbrt() + WALL_EMISSIVITY * STEFAN_BOLTZMANN * radiation
    };
    // The outer surface lies between room and solution; bisection on the balance of heat in and out.
    let (mut cold, mut hot) = (0.0, 1.0);
    if resistance > 0.0 {
        for _ in 0..50 {
            let middle = 0.5 * (cold + hot);
            let outer_c = room_c + middle * (temp_c - room_c);
            let lost = outside(outer_c) * (temp_c - room_c).signum();
            let supplied = (temp_c - outer_c).abs() / resistance;
            if lost > supplied {
                hot = middle;
            } else {
                cold = middle;
            }
        }
    }
    outside(room_c + hot * (temp_c - room_c))
}

/// Heat transfer coefficient of such a wall, W/(m²·K): its loss over the difference of solution and room, which differ by at least 1 K.
///
/// Arguments, range and source as [`wall_loss_w_per_m2`].
#[must_use]
pub fn wall_u_w_per_m2_k(temp_c: f64, room_c: f64, insulation_m: f64) -> f64 {
    let warm_c = temp_c.max(room_c + 1.0);
    wall_loss_w_per_m2(warm_c, room_c, insulation_m) / (warm_c - room_c)
}
