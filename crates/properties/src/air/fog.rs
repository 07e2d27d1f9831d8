//! Air that carries fog: the state that belongs to a given enthalpy and total moisture.

use super::{CP_DRY_AIR, humidity_ratio_and_slope};
use crate::water::{CP_VAPOUR, CP_WATER, LATENT_HEAT_0C, saturation_pressure_and_slope_fast};

/// Air with moisture as vapour and, when there is more than the air can hold, as fog.
///
/// Its enthalpy is `1006·T + W·(2.501e6 + 1860·T) + fog·4186·T` per kg of dry air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoggedAir {
    /// Temperature, °C.
    pub temp_c: f64,
    /// Vapour, kg per kg of dry air.
    pub vapour_ratio: f64,
    /// Fog (liquid droplets), kg per kg of dry air.
    pub fog_ratio: f64,
}

/// The air that has `enthalpy_j_per_kg_da` in J/kg and `moisture_ratio` (vapour and fog together) in kg/kg, both per
/// kg of dry air, at `pressure_pa` in Pa.
///
/// # Valid
/// −60 to 110 °C. Fog below 0 °C counts as undercooled water in equilibrium with the vapour pressure over ice, a
/// simplification that matters only for cold outside air saturated from the start.
///
/// # Source
/// Definition of moist-air enthalpy, ASHRAE Handbook: Fundamentals (2017), chapter 1, with the liquid's enthalpy
/// added, as in Poppe's method (Kloppers and Kröger, 2005).
#[must_use]
pub fn fogged_air(enthalpy_j_per_kg_da: f64, moisture_ratio: f64, pressure_pa: f64) -> FoggedAir {
    let mut warm = f64::NAN;
    let parts = fog_parts(enthalpy_j_per_kg_da, moisture_ratio, pressure_pa, &mut warm);
    FoggedAir {
        temp_c: parts.temp_c,
        vapour_ratio: parts.vapour,
        fog_ratio: moisture_ratio - parts.vapour,
    }
}

/// A fogged-air state with the slopes that a Newton solver needs.
#[derive(Debug, Clone, Copy)]
pub(crate) struct AirParts {
    /// Temperature, °C.
    pub temp_c: f64,
    /// Vapour, kg/kg dry air.
    pub vapour: f64,
    /// Heat capacity of air, vapour and fog, J/(kg·K) of dry air.
    pub cp: f64,
    /// Slope of the temperature with enthalpy, K·kg/J.
    pub temp_by_h: f64,
    /// Slope of the temperature with total moisture, K.
    pub temp_by_w: f64,
    /// Slope of the vapour ratio with enthalpy, kg/J.
    pub vapour_by_h: f64,
    /// Slope of the vapour ratio with total moisture.
    pub vapour_by_w: f64,
}

/// Finds the state of air with enthalpy `h` and total moisture `w`; `warm_c` holds the last fog temperature found
/// nearby (NaN at first) and speeds the search.
#[inline]
pub(crate) fn fog_parts(h: f64, w: f64, pressure_pa: f64, warm_c: &mut f64) -> AirParts {
    let cp = CP_DRY_AIR + CP_VAPOUR * w;
    let clear_c = (h - LATENT_HEAT_0C * w) / cp;
    // Clear air needs one look at the saturation line; only fog needs the search below.
    let (p_sat, slope) = saturation_pressure_and_slope_fast(clear_c);
    let (w_sat, w_by_p) = humidity_ratio_and_slope(p_sat, pressure_pa);
    if w <= w_sat {
        return AirParts {
            temp_c: clear_c,
            vapour: w,
            cp,
            temp_by_h: 1.0 / cp,
            temp_by_w: -(LATENT_HEAT_0C + CP_VAPOUR * clear_c) / cp,
            vapour_by_h: 0.0,
            vapour_by_w: 1.0,
        };
    }
    let (start_c, seed) = if warm_c.is_nan() {
        (clear_c, Some((w_sat, slope * w_by_p)))
    } else {
        (*warm_c, None)
    };
    let parts = AirParts::foggy(h, w, pressure_pa, start_c, seed);
    *warm_c = parts.temp_c;
    parts
}

impl AirParts {
    /// Newton's method for the temperature of saturated air with fog. The enthalpy is rising and convex in the
    /// temperature, so the search approaches from above after at most one step and cannot cycle.
    #[inline]
    fn foggy(h: f64, w: f64, pressure_pa: f64, start_c: f64, seed: Option<(f64, f64)>) -> Self {
        let mut t = start_c;
        let mut seed = seed;
        let (mut vapour, mut vapour_by_t, mut slope);
        let mut left = 40;
        loop {
            (vapour, vapour_by_t) = seed.take().unwrap_or_else(|| {
                let (p_sat, p_by_t) = saturation_pressure_and_slope_fast(t);
                let (w_sat, w_by_p) = humidity_ratio_and_slope(p_sat, pressure_pa);
                (w_sat, w_by_p * p_by_t)
            });
            let latent = LATENT_HEAT_0C + (CP_VAPOUR - CP_WATER) * t;
            let cp = CP_DRY_AIR + CP_VAPOUR * vapour + CP_WATER * (w - vapour);
            slope = cp + latent * vapour_by_t;
            let step = (cp * t + LATENT_HEAT_0C * vapour - h) / slope;
            t -= step;
            left -= 1;
            // The steps shrink quadratically: after one of 1e-6 K the remainder is at rounding.
            if step.abs() < 1e-6 || left == 0 {
                vapour -= vapour_by_t * step;
                break;
            }
        }
        Self {
            temp_c: t,
            vapour,
            cp: CP_DRY_AIR + CP_VAPOUR * vapour + CP_WATER * (w - vapour),
            temp_by_h: 1.0 / slope,
            temp_by_w: -CP_WATER * t / slope,
            vapour_by_h: vapour_by_t / slope,
            vapour_by_w: -CP_WATER * t * vapour_by_t / slope,
        }
    }
}
