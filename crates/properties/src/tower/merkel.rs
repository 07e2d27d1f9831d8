//! Merkel's number, the cooling-tower designer's measure of a duty.

use crate::air::{enthalpy_j_per_kg_da, humidity_ratio_saturated};

/// A duty of a cooling tower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MerkelInput {
    /// Water in, °C.
    pub water_in_c: f64,
    /// Water out, °C; below `water_in_c`.
    pub water_out_c: f64,
    /// Enthalpy of the air in, J/kg dry air.
    pub air_in_j_per_kg_da: f64,
    /// Water over dry air, kg/kg.
    pub liquid_over_gas: f64,
    /// Heat capacity of water, J/(kg·K).
    pub cp_j_per_kg_k: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
}

/// Merkel number `Me = K·a·V/L = ∫ c_w·dT/(h_s − h_a)` of a counterflow duty, by Simpson's rule in `panels` double panels.
///
/// `h_s` is the enthalpy of saturated air at the water's temperature; `h_a` rises by `(L/G)·c_w·dT` from the air's inlet at
/// the cold end. `None` when the air reaches the saturation line on the way, so that no tower does the duty.
///
/// # Valid
/// Any duty below boiling; Merkel's equation neglects the water evaporated and takes a Lewis factor of 1.
///
/// # Source
/// Merkel, Verdunstungskühlung, VDI-Forschungsarbeiten 275 (1925), as in the handbooks (from memory).
#[must_use]
pub fn merkel_number(input: &MerkelInput, panels: u32) -> Option<f64> {
    let panels = panels.max(1);
    let half = (input.water_in_c - input.water_out_c) / f64::from(2 * panels);
    let mut sum = 0.0;
    for i in 0..=2 * panels {
        let t = input.water_out_c + f64::from(i) * half;
        let saturated = enthalpy_j_per_kg_da(t, humidity_ratio_saturated(t, input.pressure_pa));
        let air = input.air_in_j_per_kg_da
            + input.liquid_over_gas * input.cp_j_per_kg_k * (t - input.water_out_c);
        let driving = saturated - air;
        if driving <= 0.0 {
            return None;
        }
        let weight = if i == 0 || i == 2 * panels {
            1.0
        } else {
            f64::from(2 + 2 * (i % 2))
        };
        sum += weight / driving;
    }
    Some(input.cp_j_per_kg_k * sum * half / 3.0)
}
