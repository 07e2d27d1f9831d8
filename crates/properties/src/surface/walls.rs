//! Losses through walls and the time a tank takes to warm up.

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
/// the insulated columns, to which the conductivity was fitted, within 8 % and their rounding (see `tests/surface.rs`).
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
                hot = middle
            } else {
                cold = middle
            }
        }
    }
    outside(room_c + hot * (temp_c - room_c))
}

/// Heat loss of a wall over the temperature difference, W/(m²·K): [`wall_loss_w_per_m2`] as a coefficient.
///
/// Arguments as there. At equal temperatures it is that of a difference of 0.01 K.
#[must_use]
pub fn wall_u_w_per_m2_k(temp_c: f64, room_c: f64, insulation_m: f64) -> f64 {
    let difference = temp_c - room_c;
    let difference = if difference.abs() < 0.01 {
        0.01
    } else {
        difference
    };
    wall_loss_w_per_m2(room_c + difference, room_c, insulation_m) / difference
}

/// Time, s, to warm a tank of heat capacity `capacity_j_per_k` from `from_c` to `to_c` with `power_w`, losing
/// `ua_w_per_k` to surroundings at `room_c`.
///
/// `t = (C/UA)·ln[(P − UA·(T1 − Ta))/(P − UA·(T2 − Ta))]`, and `C·ΔT/P` without losses. `None` when the power can
/// never reach the temperature.
///
/// # Source
/// Energy balance (hand derivation).
///
/// ```
/// # use dragback_properties::surface::warm_up_time_s;
/// // 990 kg of water from 20 to 60 °C in 4 h takes 11.5 kW.
/// let time_s = warm_up_time_s(990.0 * 4180.0, 11_495.0, 0.0, 20.0, 60.0, 20.0).unwrap_or(0.0);
/// assert!((time_s / 14_400.0 - 1.0).abs() < 1e-3);
/// ```
#[must_use]
pub fn warm_up_time_s(
    capacity_j_per_k: f64,
    power_w: f64,
    ua_w_per_k: f64,
    from_c: f64,
    to_c: f64,
    room_c: f64,
) -> Option<f64> {
    let net_first = power_w - ua_w_per_k * (from_c - room_c);
    let net_last = power_w - ua_w_per_k * (to_c - room_c);
    if to_c <= from_c {
        return Some(0.0);
    }
    if !(net_first > 0.0 && net_last > 0.0) {
        return None;
    }
    // The logarithmic mean of the two powers, written so that equal ones are no special case.
    let ratio = (net_first - net_last) / net_last;
    let mean = if ratio.abs() < 1e-9 {
        net_last
    } else {
        (net_first - net_last) / ratio.ln_1p()
    };
    Some(capacity_j_per_k * (to_c - from_c) / mean)
}
