//! Where the transfer units of a tower come from: given, or found from a rated point.

use super::{CEILING_NTU, Feed, Tower, TowerDesign, TowerError, check_streams, within};
use crate::air::AirState;
use crate::amount::Amount;
use crate::water::CP_WATER;

/// Volume of air, m³/kg, by which a given air flow is turned into the reference dry-air flow of given transfer units: dry
/// air at 20 °C and 101.325 kPa.
const REFERENCE_VOLUME_M3_PER_KG: f64 = 0.830_46;

/// Transfer units of a tower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Transfer {
    /// Given, `NTU = h_D·a·V/G`, together with the flows at which they hold.
    Units {
        /// Transfer units, above 0 up to [`CEILING_NTU`].
        ntu: f64,
        /// Air flow at which they hold, m³/s of dry air at 20 °C and 101.325 kPa.
        air_flow_m3_per_s: f64,
        /// Feed at which they hold, kg/s.
        feed_kg_per_s: f64,
    },
    /// Found from what the tower is rated to evaporate.
    Rated(RatedPoint),
}

/// The operating point at which a tower is rated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatedPoint {
    /// Evaporation, kg/s.
    pub evaporation_kg_per_s: f64,
    /// Temperature of the solution fed, °C.
    pub solution_c: f64,
    /// Its water activity; 1 when rated on water.
    pub water_activity: f64,
    /// Air at the inlet.
    pub air: AirState,
    /// Volume that the fan moves, m³/s, at the fan's place.
    pub air_flow_m3_per_s: f64,
    /// Feed, kg/s.
    pub feed_kg_per_s: f64,
}

/// Transfer units with the flows at which they hold.
pub(super) struct Rating {
    pub ntu: f64,
    pub dry_air_kg_per_s: f64,
    pub feed_kg_per_s: f64,
}

/// Finds the transfer units of a design.
pub(super) fn rate(design: &TowerDesign) -> Result<Rating, TowerError> {
    match design.transfer {
        Transfer::Units {
            ntu,
            air_flow_m3_per_s,
            feed_kg_per_s,
        } => {
            within("transfer units", Amount::Number, ntu, (1e-6, CEILING_NTU))?;
            within(
                "air flow of the transfer units",
                Amount::AirM3PerS,
                air_flow_m3_per_s,
                (1e-9, 1e4),
            )?;
            within(
                "feed of the transfer units",
                Amount::KgPerS,
                feed_kg_per_s,
                (1e-9, 1e5),
            )?;
            let dry_air_kg_per_s = air_flow_m3_per_s / REFERENCE_VOLUME_M3_PER_KG;
            Ok(Rating {
                ntu,
                dry_air_kg_per_s,
                feed_kg_per_s,
            })
        }
        Transfer::Rated(point) => rate_by_point(design, &point),
    }
}

/// Searches the transfer units at which the film equations give the rated evaporation.
fn rate_by_point(design: &TowerDesign, rated: &RatedPoint) -> Result<Rating, TowerError> {
    let target = within(
        "rated evaporation",
        Amount::KgPerS,
        rated.evaporation_kg_per_s,
        (1e-12, 1e4),
    )?;
    within(
        "rated air flow",
        Amount::AirM3PerS,
        rated.air_flow_m3_per_s,
        (1e-9, 1e4),
    )?;
    within(
        "rated feed",
        Amount::KgPerS,
        rated.feed_kg_per_s,
        (1e-9, 1e5),
    )?;
    let feed = Feed {
        temp_c: rated.solution_c,
        water_activity: rated.water_activity,
        flow_kg_per_s: rated.feed_kg_per_s,
        cp_j_per_kg_k: CP_WATER,
    };
    check_streams(&feed, &rated.air)?;
    // With an exponent of one the transfer units do not depend on the flows, so each trial means what it says.
    let trial = |ntu: f64| {
        let design = TowerDesign {
            flow_exponent: 1.0,
            ..*design
        };
        let dry_air_rated_kg_per_s = 1.0;
        let feed_rated_kg_per_s = rated.feed_kg_per_s;
        let tower = Tower {
            design,
            ntu_rated: ntu,
            dry_air_rated_kg_per_s,
            feed_rated_kg_per_s,
        };
        tower.point_at(&feed, &rated.air, rated.air_flow_m3_per_s)
    };
    let ceiling = trial(CEILING_NTU)?;
    if ceiling.evaporation_kg_per_s < target {
        return Err(TowerError::AboveCeiling {
            rated_kg_per_s: target,
            ceiling_kg_per_s: ceiling.evaporation_kg_per_s,
        });
    }
    let (mut low, mut high) = (1e-6_f64.ln(), CEILING_NTU.ln());
    let mut best = ceiling;
    // The Illinois form of regula falsi on the logarithm of the transfer units.
    let mut low_excess = trial(low.exp())?.evaporation_kg_per_s - target;
    let mut high_excess = ceiling.evaporation_kg_per_s - target;
    for _ in 0..100 {
        let share = low_excess / (low_excess - high_excess);
        let middle = low + (high - low) * share.clamp(0.02, 0.98);
        best = trial(middle.exp())?;
        let excess = best.evaporation_kg_per_s - target;
        if excess.abs() < 1e-11 * target || high - low < 1e-13 {
            break;
        }
        if excess > 0.0 {
            (high, high_excess) = (middle, excess);
            low_excess *= 0.5;
        } else {
            (low, low_excess) = (middle, excess);
            high_excess *= 0.5;
        }
    }
    Ok(Rating {
        ntu: best.ntu,
        dry_air_kg_per_s: best.dry_air_kg_per_s,
        feed_kg_per_s: rated.feed_kg_per_s,
    })
}
