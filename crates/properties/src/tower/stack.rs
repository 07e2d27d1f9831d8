//! What goes up the stack besides water: solute carried over as droplets.

use crate::air::R_DRY_AIR;

/// Temperature, K, and pressure, Pa, of a standard dry cubic metre: 20 °C, 101.325 kPa.
const STANDARD: (f64, f64) = (293.15, 101_325.0);

/// Solution that leaves with the air as droplets, kg/s: a fraction of the feed, times what a mesh pad lets through.
///
/// `feed_kg_per_s` in kg/s; both fractions 0 to 1 (`pad_passes` is 1 without a pad).
#[must_use]
pub fn carry_over_kg_per_s(feed_kg_per_s: f64, carry_over_fraction: f64, pad_passes: f64) -> f64 {
    feed_kg_per_s * carry_over_fraction * pad_passes
}

/// Dry gas, m³/s at 20 °C and 101.325 kPa, that `dry_air_kg_per_s` kg/s of dry air are.
#[must_use]
pub fn dry_standard_m3_per_s(dry_air_kg_per_s: f64) -> f64 {
    dry_air_kg_per_s * R_DRY_AIR * STANDARD.0 / STANDARD.1
}

/// Solute in the exhaust, mg per dry m³ at 20 °C and 101.325 kPa.
///
/// `solute_kg_per_s` is what the carried-over solution holds; `dry_air_kg_per_s` the dry air of the tower. Zero without air.
///
/// # Source
/// The reference state of 40 CFR 63 subpart N (milligrams per dry standard cubic metre; 20 °C, 101.325 kPa).
#[must_use]
pub fn solute_mg_per_dry_m3(solute_kg_per_s: f64, dry_air_kg_per_s: f64) -> f64 {
    if dry_air_kg_per_s <= 0.0 {
        return 0.0;
    }
    1e6 * solute_kg_per_s / dry_standard_m3_per_s(dry_air_kg_per_s)
}
