//! Hand rules by which the equipment of a sketched line is sized.
//!
//! They weigh a working day of 24 h: rinse water in, less what leaves on the work, less what the bath loses by its surface, is what the
//! tower must drive off. They are for a first run, which then tells better.

use dragback_properties::air::{AirState, pressure_at_altitude_pa};
use dragback_properties::rinse;
use dragback_properties::surface::{open_surface, wall_u_w_per_m2_k};
use dragback_units::constants as unit;

use super::{Answers, BathKind, Key};

/// Reserve of the tower over a working day's need.
const TOWER_RESERVE: f64 = 1.15;
/// Largest tower that is written as one, L/h.
const LARGEST_TOWER_L_PER_H: f64 = 200.0;
/// Smallest tower that is written, L/h.
const SMALLEST_TOWER_L_PER_H: f64 = 5.0;
/// Heaters installed per evaporation of the towers: latent heat, warm air, cold refill and walls with a quarter in reserve, kWh/L.
const HEAT_KWH_PER_L: f64 = 0.95;
/// Share of the limit that the last rinse is brought to when the flow is left open.
const AIM: f64 = 0.5;
/// Most rinse water over drag-out that is proposed: more could hardly be evaporated.
const MOST_RATIO: f64 = 40.0;
/// Depth of a bath, m.
const BATH_DEPTH_M: f64 = 1.2;
/// Depth of a holding tank, m.
pub(super) const HOLDING_DEPTH_M: f64 = 1.1;
/// Set point of a holding tank, °C.
pub(super) const HOLDING_C: f64 = 58.0;
/// Level at which the return pump would run dry, m.
pub(super) const DRY_RUN_M: f64 = 0.25;
/// Between the level at which evaporation stops and that at which the return pump would run dry, m.
pub(super) const RESERVE_M: f64 = 0.35;

/// The sizes of a line; people's units, since they are written into a file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sizes {
    pub days: &'static str,
    pub hours_a_day: f64,
    pub from_h: f64,
    pub is_always: bool,
    pub area_m2_per_h: f64,
    pub drag_out_l_per_h: f64,
    pub rinse_l_per_h: f64,
    pub bath_m3: f64,
    pub bath_m2: f64,
    pub bath_loss_l_per_h: f64,
    pub bath_wall_w_per_k: f64,
    pub holding_wall_w_per_k: f64,
    pub current_a: f64,
    pub towers: u32,
    pub tower_l_per_h: f64,
    pub heater_kw: f64,
    pub collection_l: f64,
    pub holding_m2: f64,
    pub rinse_tank_l: f64,
}

/// Sizes a line.
pub(super) fn size(bath: &BathKind, answers: &Answers) -> Sizes {
    let hours = answers.si(Key::Hours) / unit::SECONDS_PER_HOUR;
    let is_always = hours > 167.5;
    let days_a_week = if hours <= 120.0 { 5.0 } else { 7.0 };
    let hours_a_day = (hours / days_a_week).min(24.0);
    let area_m2_per_s = answers.si(Key::Racks) * answers.si(Key::Area);
    let drag_out_l_per_h = unit::l_per_h(area_m2_per_s * answers.si(Key::Film));
    let rinse_l_per_h = answers.get(Key::Flow).map_or_else(
        || drag_out_l_per_h * flow_ratio(bath, answers),
        |flow| unit::l_per_h(flow.si),
    );
    let bath_m3 = answers.si(Key::BathVolume);
    let bath_m2 = bath_m3 / BATH_DEPTH_M;
    let room_c = dragback_units::celsius_from_kelvin(answers.si(Key::Room));
    let bath_loss_l_per_h = bath_m2 * surface_l_per_m2_h(bath.set_point_c, room_c);
    let day_l = (rinse_l_per_h - drag_out_l_per_h).max(0.0) * hours_a_day;
    let needed = TOWER_RESERVE * (day_l / 24.0 - bath_loss_l_per_h);
    let all_towers = needed.max(SMALLEST_TOWER_L_PER_H);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a dozen at most, and positive"
    )]
    let towers = (all_towers / LARGEST_TOWER_L_PER_H).ceil().min(12.0) as u32;
    let rests_h = if is_always {
        0.0
    } else if hours <= 120.0 {
        72.0 - hours_a_day
    } else {
        24.0 - hours_a_day
    };
    let drink_l = 1.4 * bath_loss_l_per_h * rests_h;
    let holding_m2 = (drink_l / (1000.0 * RESERVE_M)).max(least_holding_m2(all_towers));
    Sizes {
        days: if hours <= 120.0 {
            "Mon-Fri"
        } else {
            "every day"
        },
        hours_a_day,
        from_h: if hours_a_day <= 18.0 { 6.0 } else { 0.0 },
        is_always,
        area_m2_per_h: area_m2_per_s * unit::SECONDS_PER_HOUR,
        drag_out_l_per_h,
        rinse_l_per_h,
        bath_m3,
        bath_m2,
        bath_loss_l_per_h,
        bath_wall_w_per_k: walls_w_per_k(bath_m2, BATH_DEPTH_M, bath.set_point_c, room_c, 0.025),
        holding_wall_w_per_k: walls_w_per_k(holding_m2, HOLDING_DEPTH_M, HOLDING_C, room_c, 0.05),
        current_a: area_m2_per_s * unit::SECONDS_PER_HOUR * bath.charge_ah_per_m2,
        towers: towers.max(1),
        tower_l_per_h: all_towers / f64::from(towers.max(1)),
        heater_kw: HEAT_KWH_PER_L * all_towers,
        collection_l: 250.0 + 2.0 * day_l * (1.0 - hours_a_day / 24.0),
        holding_m2,
        rinse_tank_l: (400.0 * answers.si(Key::Area)).clamp(150.0, 1500.0),
    }
}

/// Smallest plan area of a holding tank whose towers evaporate so many litres an hour, m²: less would be pumped over too often.
#[must_use]
pub fn least_holding_m2(evaporation_l_per_h: f64) -> f64 {
    (evaporation_l_per_h / 30.0).max(0.4)
}

/// Rinse water over drag-out that brings the last rinse to the aim.
fn flow_ratio(bath: &BathKind, answers: &Answers) -> f64 {
    let aim_kg_per_m3 = AIM * bath.final_limit_mg_per_l / 1e3;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 1 to 8"
    )]
    let stages = answers.si(Key::Stages).round() as u32;
    let dilution = (answers.si(Key::Strength) / aim_kg_per_m3).max(1.0);
    rinse::counterflow_flow_ratio(dilution, stages)
        .unwrap_or(MOST_RATIO)
        .min(MOST_RATIO)
}

/// Walls of a square tank behind so many metres of insulation, W/K; plastic or wood counts as some of it.
fn walls_w_per_k(area_m2: f64, depth_m: f64, temp_c: f64, room_c: f64, insulation_m: f64) -> f64 {
    4.0 * area_m2.sqrt() * depth_m * wall_u_w_per_m2_k(temp_c, room_c, insulation_m)
}

/// Evaporation of an open bath into half saturated room air, L/(m²·h).
fn surface_l_per_m2_h(bath_c: f64, room_c: f64) -> f64 {
    AirState::from_relative_humidity(room_c, 0.5, pressure_at_altitude_pa(0.0))
        .and_then(|air| open_surface(bath_c, 0.97, &air, 0.1))
        .map_or(0.0, |flux| {
            unit::SECONDS_PER_HOUR * flux.evaporation_kg_per_m2_s
        })
}
