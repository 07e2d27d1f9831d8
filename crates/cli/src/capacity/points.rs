//! Operating points of the towers of a plant.

use anyhow::Result;
use dragback_plant::Plant;
use dragback_plant::ids::VesselId;
use dragback_plant::network::TowerUnit;
use dragback_properties::air::AirState;
use dragback_properties::tower::Feed;
use dragback_properties::water;
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
    /// Why there is no answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
}

impl Point {
    pub(super) fn evaporation_m3_per_s(&self) -> f64 {
        unit::m3_per_s_from_l_per_h(self.evaporation_l_per_h)
    }
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
        let ceiling_c = ceiling_c(case, i);
        let (solutions, mut inlets) = asked(net.pressure_pa, ceiling_c)?;
        if inlets.is_empty() {
            inlets = own_airs(case, tower);
        }
        let liquid = Liquid::of(plant, tower.vessel, &start);
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
            inlets,
            points,
        });
    }
    Ok(sheets)
}

/// The ceiling that the scenario gives tower `index` of the plant, °C.
fn ceiling_c(case: &Case, index: usize) -> f64 {
    let net = case.plant.network();
    let name = &net.towers[index].name;
    let of_loop = net
        .loops
        .iter()
        .find(|l| l.towers.iter().any(|t| t.index() == index));
    let line = of_loop.and_then(|l| case.scenario.loops.get(&l.name));
    let is_meant = |key: &str| {
        name.strip_suffix(key)
            .is_some_and(|front| front.chars().last().is_none_or(|c| !c.is_alphanumeric()))
    };
    let tower = line.and_then(|l| {
        l.towers
            .iter()
            .find(|(key, _)| is_meant(key))
            .map(|(_, tower)| tower)
    });
    tower.map_or(USUAL_CEILING_C, |t| t.ceiling.quantity().celsius())
}

/// Mean, coldest and dampest air that the tower sees in its year; where all months are alike, that air between a winter's and a summer's.
fn own_airs(case: &Case, tower: &TowerUnit) -> Vec<Inlet> {
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
    let months = climate.months.iter().zip(dragback_scenario::Month::WORDS);
    let coldest = months
        .clone()
        .min_by(|a, b| a.0.temp_c.total_cmp(&b.0.temp_c));
    let dampest = months.max_by(|a, b| a.0.humidity_ratio.total_cmp(&b.0.humidity_ratio));
    let named = |month: Option<(&AirState, &&str)>, what: &str| {
        month.map(|(air, word)| Inlet {
            name: format!("{word}, {what}"),
            air: *air,
        })
    };
    std::iter::once(mean)
        .chain(named(coldest, "the coldest month"))
        .chain(named(dampest, "the dampest month"))
        .collect()
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
        Err(why) => told.refused = Some(why.to_string()),
    }
    told
}
