//! Operating points of the towers of a plant.

use anyhow::Result;
use dragback_plant::Plant;
use dragback_plant::ids::VesselId;
use dragback_plant::network::TowerUnit;
use dragback_properties::air::AirState;
use dragback_properties::tower::{Feed, TowerError, Transfer};
use dragback_properties::water;
use dragback_scenario::{FedFrom, Loop, Tower};
use dragback_study::Case;
use dragback_units::constants as unit;
use serde::Serialize;

/// Hottest solution where a scenario names no ceiling, °C: 160 °F, usual for plastic towers.
const USUAL_CEILING_C: f64 = (160.0 - 32.0) / 1.8;

/// Air that enters a tower, with words for it.
#[derive(Clone, Debug)]
pub(super) struct Inlet {
    pub name: String,
    pub air: AirState,
}

/// One operating point. Numbers that there are none of are not finite, and `null` in JSON.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Point {
    pub solution_c: f64,
    pub inlet: String,
    pub air_c: f64,
    pub relative_humidity: f64,
    pub evaporation_l_per_h: f64,
    pub heat_kw: f64,
    pub solution_out_c: f64,
    pub air_out_c: f64,
    pub air_out_saturation: f64,
    pub fog_g_per_kg_dry_air: f64,
    pub transfer_units: f64,
    pub merkel_number: f64,
    /// Why there is no answer, in metric units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// The same as data.
    #[serde(skip)]
    pub fault: Option<TowerError>,
}

impl Point {
    pub(super) fn evaporation_m3_per_s(&self) -> f64 {
        unit::m3_per_s_from_l_per_h(self.evaporation_l_per_h)
    }
}

/// A rated point against what is computed.
#[derive(Clone, Debug, Serialize)]
pub(super) struct RatedSheet {
    pub solution_c: f64,
    pub air_c: f64,
    pub relative_humidity: f64,
    /// As stated.
    pub evaporation_l_per_h: f64,
    /// Computed for water, at the air and feed of the statement; not finite where there is no answer.
    pub computed_l_per_h: f64,
    /// Computed for the solution, air, feed and fan of the scenario, at the same temperatures.
    pub as_run_l_per_h: f64,
}

/// A tower with its operating points.
#[derive(Clone, Debug, Serialize)]
pub(super) struct TowerSheet {
    pub name: String,
    pub fed_from: String,
    pub feed_l_per_h: f64,
    pub air_flow_m3_per_h: f64,
    pub water_activity: f64,
    pub transfer_units: f64,
    pub merkel_number: f64,
    pub ceiling_c: f64,
    /// The point that the maker states, where the scenario gives one.
    pub rated: Option<RatedSheet>,
    #[serde(skip)]
    pub inlets: Vec<Inlet>,
    pub points: Vec<Point>,
}

/// Solution temperatures (°C) and inlet airs to work out, given the site's pressure (Pa) and the tower's ceiling (°C). No air means the scenario's.
pub(super) type Asked<'a> = &'a dyn Fn(f64, f64) -> Result<(Vec<f64>, Vec<Inlet>)>;

/// Every tower of the plant.
pub(super) fn sheets(case: &Case, asked: Asked<'_>) -> Result<Vec<TowerSheet>> {
    let plant = &case.plant;
    let net = plant.network();
    let start = plant.initial();
    let mut sheets = Vec::with_capacity(net.towers.len());
    for (i, tower) in net.towers.iter().enumerate() {
        let given = given(case, i);
        let ceiling_c = given.map_or(USUAL_CEILING_C, |(_, t)| t.ceiling.quantity().celsius());
        let (solutions, mut inlets) = asked(net.pressure_pa, ceiling_c)?;
        let liquid = Liquid::of(plant, tower.vessel, &start);
        if inlets.is_empty() {
            inlets = own_airs(case, tower, &liquid, set_point_c(given, ceiling_c));
        }
        let mut points = Vec::with_capacity(inlets.len() * solutions.len());
        for inlet in &inlets {
            points.extend(solutions.iter().map(|&t| point(tower, &liquid, inlet, t)));
        }
        sheets.push(TowerSheet {
            name: tower.name.clone(),
            fed_from: net.vessels[tower.vessel.index()].name.clone(),
            feed_l_per_h: unit::l_per_h(tower.feed_m3_per_s),
            air_flow_m3_per_h: unit::m3_per_h(tower.tower.design().air_flow_m3_per_s),
            water_activity: liquid.water_activity,
            transfer_units: tower.tower.ntu_rated(),
            merkel_number: tower.tower.merkel_rated(),
            ceiling_c,
            rated: rated(tower, &liquid),
            inlets,
            points,
        });
    }
    Ok(sheets)
}

/// The loop and the tower of the scenario that became tower `index` of the plant.
fn given(case: &Case, index: usize) -> Option<(&Loop, &Tower)> {
    let net = case.plant.network();
    let name = &net.towers[index].name;
    let of_loop = net
        .loops
        .iter()
        .find(|l| l.towers.iter().any(|t| t.index() == index))?;
    let line = case.scenario.loops.get(&of_loop.name)?;
    let is_meant = |key: &str| {
        name.strip_suffix(key)
            .is_some_and(|front| front.chars().last().is_none_or(|c| !c.is_alphanumeric()))
    };
    let tower = line.towers.iter().find(|(key, _)| is_meant(key))?.1;
    Some((line, tower))
}

/// Set point of the tank that feeds a tower, °C; the ceiling where there is none.
fn set_point_c(given: Option<(&Loop, &Tower)>, ceiling_c: f64) -> f64 {
    let Some((line, tower)) = given else {
        return ceiling_c;
    };
    match (tower.fed_from, &line.holding_tank) {
        (FedFrom::HoldingTank, Some(tank)) => tank.set_point.quantity().celsius(),
        (FedFrom::HoldingTank, None) => ceiling_c,
        (FedFrom::Bath, _) => line.bath.set_point.quantity().celsius(),
    }
}

/// Mean air of the tower's year, and the months in which it evaporates least and most at the set point of its tank; where all months are
/// alike, that air between a winter's and a summer's.
fn own_airs(case: &Case, tower: &TowerUnit, liquid: &Liquid, set_point_c: f64) -> Vec<Inlet> {
    let net = case.plant.network();
    let climate = &net.climates[tower.climate.index()];
    let mean = Inlet {
        name: "the scenario's air".to_owned(),
        air: climate.mean(),
    };
    if climate.is_constant() {
        let other = |name: &str, temp_c: f64, humidity: f64| {
            let air = AirState::from_relative_humidity(temp_c, humidity, net.pressure_pa);
            air.ok().map(|air| Inlet {
                name: name.to_owned(),
                air,
            })
        };
        let others = [
            other("for comparison, cold", 5.0, 0.8),
            other("for comparison, hot and damp", 35.0, 0.6),
        ];
        return std::iter::once(mean)
            .chain(others.into_iter().flatten())
            .collect();
    }
    let mean = Inlet {
        name: "the year's mean".to_owned(),
        ..mean
    };
    let mut months: Vec<(f64, Inlet)> = climate
        .months
        .iter()
        .zip(dragback_scenario::Month::WORDS)
        .map(|(air, word)| {
            let inlet = Inlet {
                name: (*word).to_owned(),
                air: *air,
            };
            let found = point(tower, liquid, &inlet, set_point_c);
            (found.evaporation_l_per_h, inlet)
        })
        .filter(|(evaporation, _)| evaporation.is_finite())
        .collect();
    months.sort_by(|a, b| a.0.total_cmp(&b.0));
    let named = |month: Option<&(f64, Inlet)>, what: &str| {
        month.map(|(_, inlet)| Inlet {
            name: format!("{}, {what}", inlet.name),
            air: inlet.air,
        })
    };
    std::iter::once(mean)
        .chain(named(months.first(), "the worst month of twelve"))
        .chain(named(months.last(), "the best month of twelve"))
        .collect()
}

/// A rated point worked out again: as stated, and as the tower runs here.
fn rated(of: &TowerUnit, liquid: &Liquid) -> Option<RatedSheet> {
    let Transfer::Rated(stated) = of.tower.design().transfer else {
        return None;
    };
    let told = |kg_per_s: f64| unit::l_per_h(kg_per_s / water::density_kg_per_m3(super::TOLD_AT_C));
    let as_stated = Feed {
        water_activity: stated.water_activity,
        ..Feed::water(stated.solution_c, stated.feed_kg_per_s)
    };
    let computed = of
        .tower
        .point_at(&as_stated, &stated.air, stated.air_flow_m3_per_s);
    let inlet = Inlet {
        name: String::new(),
        air: stated.air,
    };
    Some(RatedSheet {
        solution_c: stated.solution_c,
        air_c: stated.air.temp_c,
        relative_humidity: stated.air.relative_humidity(),
        evaporation_l_per_h: told(stated.evaporation_kg_per_s),
        computed_l_per_h: computed.map_or(f64::NAN, |p| told(p.evaporation_kg_per_s)),
        as_run_l_per_h: point(of, liquid, &inlet, stated.solution_c).evaporation_l_per_h,
    })
}

/// What runs down a tower.
struct Liquid {
    water_activity: f64,
    density_kg_per_m3: f64,
    cp_j_per_kg_k: f64,
}

impl Liquid {
    fn of(plant: &Plant, v: VesselId, y: &[f64]) -> Self {
        let layout = plant.layout();
        let start = layout.vessel(v);
        let held = &y[start..start + layout.block_len()];
        let water_kg = held[dragback_plant::layout::Layout::WATER].max(1e-12);
        let solutes = &held[layout.solutes()];
        let ratios: Vec<f64> = solutes.iter().map(|m| m / water_kg).collect();
        let (_, _, heat_capacity_j_per_k) = plant.holdup(v, y);
        Self {
            water_activity: plant.network().activity.activity(&ratios),
            density_kg_per_m3: plant.density_kg_per_m3(v, y),
            cp_j_per_kg_k: heat_capacity_j_per_k / (water_kg + solutes.iter().sum::<f64>()),
        }
    }
}

fn point(of: &TowerUnit, liquid: &Liquid, inlet: &Inlet, solution_c: f64) -> Point {
    let tower = &of.tower;
    let feed = Feed {
        temp_c: solution_c,
        water_activity: liquid.water_activity,
        flow_kg_per_s: of.feed_m3_per_s * liquid.density_kg_per_m3,
        cp_j_per_kg_k: liquid.cp_j_per_kg_k,
    };
    let dry_air_kg_per_s =
        tower.design().air_flow_m3_per_s / inlet.air.specific_volume_m3_per_kg_da();
    let warmed = inlet.air.heated(of.fan_heat_w / dry_air_kg_per_s);
    let mut told = Point {
        solution_c,
        inlet: inlet.name.clone(),
        air_c: inlet.air.temp_c,
        relative_humidity: inlet.air.relative_humidity(),
        evaporation_l_per_h: f64::NAN,
        heat_kw: f64::NAN,
        solution_out_c: f64::NAN,
        air_out_c: f64::NAN,
        air_out_saturation: f64::NAN,
        fog_g_per_kg_dry_air: f64::NAN,
        transfer_units: f64::NAN,
        merkel_number: f64::NAN,
        refused: None,
        fault: None,
    };
    match tower.point(&feed, &warmed) {
        Ok(found) => {
            let told_m3_per_s =
                found.evaporation_kg_per_s / water::density_kg_per_m3(super::TOLD_AT_C);
            told.evaporation_l_per_h = unit::l_per_h(told_m3_per_s);
            told.heat_kw = unit::kilowatts(found.heat_w);
            told.solution_out_c = found.solution_out_c;
            told.air_out_c = found.air_out_c;
            told.air_out_saturation = found.air_saturation;
            told.fog_g_per_kg_dry_air = 1000.0 * found.fog_out;
            told.transfer_units = found.ntu;
            told.merkel_number = found.merkel_number;
        }
        Err(why) => {
            told.refused = Some(why.to_string());
            told.fault = Some(why);
        }
    }
    told
}
