//! The film equations: how fast moisture and heat pass from the solution to the air at one height of the tower.
//!
//! Everything is per kilogram of dry air and per transfer unit. With `W` the moisture of the air (vapour and fog),
//! `h` its enthalpy, `Tw` and `Ta` the temperatures of solution and air, `Ws = W(a_w·p_sat(Tw))` at the film surface
//! and `Wv ≤ W_sat(Ta)` the vapour in the air,
//!
//! ```text
//! dW/dN = Ws − Wv
//! dh/dN = Le·cp·(Tw − Ta) + h_v(Tw)·(Ws − Wv)
//! ```
//!
//! which is Poppe's pair of equations for clear and for supersaturated air in one form (Poppe and Rögener, 1991; Kloppers
//! and Kröger, Int. J. Heat Mass Transfer 48 (2005) 765, equations from memory). `cp` counts dry air, vapour and fog.
//! The solution has no equation of its own: what the air above a height still takes up, `b` kg of water and `q` J, is what
//! the solution has already lost on the way down, so that `Tw = (κ·T_feed − q)/(κ − 4186·b)` with `κ` the
//! heat capacity of the feed per kilogram of dry air. Mass and energy then balance by construction.

use super::LewisFactor;
use crate::air::{MOLAR_MASS_RATIO, fog_parts, humidity_ratio_and_slope};
use crate::water::{
    CP_VAPOUR, CP_WATER, enthalpy_vapour_j_per_kg, saturation_pressure_and_slope_fast,
};

/// A pair: moisture (kg/kg dry air) and enthalpy (J/kg dry air).
pub(super) type Pair = [f64; 2];

/// A 2 × 2 matrix by rows.
pub(super) type Square = [[f64; 2]; 2];

/// What is the same at every height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Film {
    pub pressure_pa: f64,
    pub water_activity: f64,
    pub feed_c: f64,
    pub lewis: LewisFactor,
}

/// Rates per transfer unit and their slopes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rates {
    /// `dW/dN` and `dh/dN`.
    pub value: Pair,
    /// Slopes with the air's moisture and enthalpy.
    pub by_air: Square,
    /// Slopes with what the air above still takes up.
    pub by_rest: Square,
    /// Slopes with the feed's heat capacity per kilogram of dry air.
    pub by_capacity: Pair,
}

impl Film {
    /// Rates at one height; `warm_c` is the memory of [`fog_parts`].
    #[inline]
    pub(super) fn rates(&self, air: Pair, rest: Pair, capacity: f64, warm_c: &mut f64) -> Rates {
        let left = left_over(rest[0], capacity);
        // An iteration may stray; beyond these temperatures the rates are held.
        let solution_c = ((capacity * self.feed_c - rest[1]) / left).clamp(-80.0, 140.0);
        let (p_sat, p_by_t) = saturation_pressure_and_slope_fast(solution_c);
        let (surface, by_p) =
            humidity_ratio_and_slope(self.water_activity * p_sat, self.pressure_pa);
        let surface_by_t = by_p * self.water_activity * p_by_t;

        let a = fog_parts(air[1], air[0], self.pressure_pa, warm_c);
        let lewis = self.lewis.at(surface, a.vapour);
        let vapour_enthalpy = enthalpy_vapour_j_per_kg(solution_c);
        let moisture = surface - a.vapour;
        let warmth = solution_c - a.temp_c;

        let moisture_by_air = [-a.vapour_by_w, -a.vapour_by_h];
        let cp_by_air = [
            CP_WATER + (CP_VAPOUR - CP_WATER) * a.vapour_by_w,
            (CP_VAPOUR - CP_WATER) * a.vapour_by_h,
        ];
        let temp_by_air = [a.temp_by_w, a.temp_by_h];
        let heat_by_air = [0, 1].map(|k| {
            lewis * (cp_by_air[k] * warmth - a.cp * temp_by_air[k])
                + vapour_enthalpy * moisture_by_air[k]
        });
        let heat_by_t = lewis * a.cp + CP_VAPOUR * moisture + vapour_enthalpy * surface_by_t;
        let t_by_rest = [CP_WATER * solution_c / left, -1.0 / left];
        let t_by_capacity = (self.feed_c - solution_c) / left;
        Rates {
            value: [moisture, lewis * a.cp * warmth + vapour_enthalpy * moisture],
            by_air: [moisture_by_air, heat_by_air],
            by_rest: [
                t_by_rest.map(|s| s * surface_by_t),
                t_by_rest.map(|s| s * heat_by_t),
            ],
            by_capacity: [surface_by_t * t_by_capacity, heat_by_t * t_by_capacity],
        }
    }
}

/// Heat capacity left in the solution; held above 2 % of the feed's so that an iteration that strays stays finite.
#[inline]
fn left_over(rest_kg_per_kg: f64, capacity: f64) -> f64 {
    (capacity - CP_WATER * rest_kg_per_kg).max(0.02 * capacity)
}

impl LewisFactor {
    /// The factor between a surface of humidity ratio `surface` and air with `vapour`.
    #[inline]
    pub(super) fn at(self, surface: f64, vapour: f64) -> f64 {
        match self {
            Self::Unity => 1.0,
            Self::Bosnjakovic => {
                let excess = (surface - vapour) / (MOLAR_MASS_RATIO + vapour);
                // (r − 1)/ln r, by its series where the quotient would lose all digits.
                let spread = if excess.abs() < 1e-4 {
                    1.0 + 0.5 * excess
                } else {
                    excess / excess.ln_1p()
                };
                // 0.865^(2/3)
                0.907_842_977 * spread
            }
        }
    }
}
