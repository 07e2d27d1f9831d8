//! Which strengths the program cannot trust: what has come out of solution stays counted as dissolved, and a tank that has all but dried holds
//! what no liquid can.

use dragback_plant::Plant;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use dragback_run::Trace;

/// More dissolved than this for each mass of water, kg/kg, is no solution that volumes and densities here were fitted to (a quarter of the
/// mass), and none that a plating line runs: the strongest chromic acid bath holds some 0.5.
const MOST_KG_PER_KG: f64 = 1.0;

/// Why strengths of a tank cannot be shown.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Doubt {
    /// The solutes concerned; all of them where the tank is no solution at all.
    pub solutes: Vec<SoluteId>,
    /// Why, in a sentence without its stop.
    pub why: String,
}

impl Doubt {
    pub(crate) fn concerns(&self, s: SoluteId) -> bool {
        self.solutes.contains(&s)
    }
}

/// What cannot be trusted of a tank's strengths; `None` where all can.
pub(crate) fn doubt(plant: &Plant, v: VesselId, y: &[f64]) -> Option<Doubt> {
    let net = plant.network();
    let name = &net.vessels[v.index()].name;
    if outweighs_water(plant, v, y) {
        return Some(Doubt {
            solutes: (0..net.solutes.len()).map(SoluteId).collect(),
            why: format!(
                "{name} has all but dried up and holds more dissolved than water, which no plating solution does"
            ),
        });
    }
    let beyond = plant.beyond_saturation(v, y);
    let mut solutes: Vec<SoluteId> = beyond.iter().flat_map(|b| b.solutes.clone()).collect();
    solutes.sort_unstable();
    solutes.dedup();
    let told: Vec<String> = beyond
        .iter()
        .map(|b| {
            let share = 100.0 * b.saturation.index;
            format!(
                "{share:.0} % of the {} that stays dissolved",
                b.saturation.salt
            )
        })
        .collect();
    (!told.is_empty()).then(|| Doubt {
        solutes,
        why: format!(
            "{name} holds {}; what comes out is not taken away here",
            told.join(" and ")
        ),
    })
}

fn outweighs_water(plant: &Plant, v: VesselId, y: &[f64]) -> bool {
    let start = plant.layout().vessel(v);
    let block = &y[start..start + plant.layout().block_len()];
    let dissolved: f64 = block[Layout::ENTHALPY + 1..].iter().sum();
    dissolved > MOST_KG_PER_KG * block[Layout::WATER]
}

/// Strength of a solute in a tank at one moment, kg/m³; not a number where it cannot be trusted or the tank is dry.
#[must_use]
pub fn trusted_strength(plant: &Plant, v: VesselId, s: SoluteId, y: &[f64]) -> f64 {
    if doubt(plant, v, y).is_some_and(|d| d.concerns(s)) {
        return f64::NAN;
    }
    plant.concentration(v, s, y).unwrap_or(f64::NAN)
}

/// Conductivity of a tank at 25 °C at one moment, S/m; not a number where any of its strengths cannot be trusted.
#[must_use]
pub fn trusted_conductivity(plant: &Plant, v: VesselId, y: &[f64]) -> f64 {
    if doubt(plant, v, y).is_some() {
        return f64::NAN;
    }
    plant.conductivity_s_per_m(v, y)
}

/// Most moments of a trace at which a tank is asked which salts have come out: that changes over days.
const MOST_LOOKS: usize = 100;

/// For each moment of a trace whether the strength of a solute in a tank can be trusted.
pub(crate) fn trusted_moments(plant: &Plant, trace: &Trace, v: VesselId, s: SoluteId) -> Vec<bool> {
    let every = trace.len().div_ceil(MOST_LOOKS).max(1);
    let mut holds = true;
    (0..trace.len())
        .map(|i| {
            let y = trace.row(i);
            if i % every == 0 || i + 1 == trace.len() {
                holds = !doubt(plant, v, y).is_some_and(|d| d.concerns(s));
            }
            holds && !outweighs_water(plant, v, y)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_plant::water::CP_WATER;

    use super::*;
    use crate::Case;

    fn demo() -> Arc<Plant> {
        let text = include_str!("../../../scenarios/demo.ron");
        let scenario = dragback_scenario::load(text).0.unwrap();
        Case::new(Arc::new(scenario), &TowerCache::default())
            .unwrap()
            .plant
    }

    fn vessel(plant: &Plant, name: &str) -> VesselId {
        let all = &plant.network().vessels;
        VesselId(all.iter().position(|v| v.name == name).unwrap())
    }

    fn solute(plant: &Plant, name: &str) -> SoluteId {
        let all = &plant.network().solutes;
        SoluteId(all.iter().position(|s| s.name == name).unwrap())
    }

    /// The state with 100 kg of water at 20 °C in the collection tank and so much of some solutes, kg.
    fn holding(plant: &Plant, held: &[(&str, f64)]) -> (VesselId, Vec<f64>) {
        let v = vessel(plant, "collection tank");
        let mut y = plant.initial();
        let start = plant.layout().vessel(v);
        y[start..start + plant.layout().block_len()].fill(0.0);
        y[start + Layout::WATER] = 100.0;
        let mut heat_capacity = 100.0 * CP_WATER;
        for &(name, kg) in held {
            let s = solute(plant, name);
            y[start + plant.layout().solute(s)] = kg;
            heat_capacity += kg * plant.network().solutes[s.index()].heat_capacity_j_per_kg_k;
        }
        y[start + Layout::ENTHALPY] = 20.0 * heat_capacity;
        (v, y)
    }

    /// At 20 °C 4.77 % by mass of boric acid stay dissolved (CRC Handbook, 98th ed.): 5.01 kg in 100 kg of water.
    #[test]
    fn more_boric_acid_than_stays_dissolved_is_not_shown_and_the_rest_is() {
        let plant = demo();
        let (boric, nickel) = (solute(&plant, "B"), solute(&plant, "Ni"));
        for (kg, is_shown) in [(4.9, true), (5.1, false)] {
            let (v, y) = holding(&plant, &[("B", kg), ("Ni", 1.0)]);
            assert_eq!(trusted_strength(&plant, v, boric, &y).is_finite(), is_shown);
            assert_eq!(trusted_conductivity(&plant, v, &y).is_finite(), is_shown);
            assert!(trusted_strength(&plant, v, nickel, &y) > 0.0);
            let why = doubt(&plant, v, &y).map(|d| d.why);
            let told = "collection tank holds 102 % of the boric acid that stays dissolved; what comes out is not taken away here";
            assert_eq!(why.as_deref(), (!is_shown).then_some(told));
        }
    }

    #[test]
    fn of_a_tank_that_holds_more_dissolved_than_water_nothing_is_shown() {
        let plant = demo();
        for (kg, is_shown) in [(99.0, true), (101.0, false)] {
            // Nothing known comes out of the brightener, so that only its amount speaks.
            let (v, y) = holding(&plant, &[("Brightener", kg)]);
            for s in 0..plant.network().solutes.len() {
                let strength = trusted_strength(&plant, v, SoluteId(s), &y);
                assert_eq!(strength.is_finite(), is_shown);
            }
        }
    }

    #[test]
    fn moments_of_a_trace_are_trusted_each_by_itself() {
        let plant = demo();
        let boric = solute(&plant, "B");
        let mut trace = Trace::new(plant.layout().len());
        let mut v = VesselId(0);
        for (hours, kg) in [(0.0, 4.9), (1.0, 5.1), (2.0, 4.9)] {
            let (tank, y) = holding(&plant, &[("B", kg)]);
            v = tank;
            trace.push(hours, &y);
        }
        let told = trusted_moments(&plant, &trace, v, boric);
        assert_eq!(told, [true, false, true]);
    }
}
