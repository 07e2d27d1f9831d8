//! The tower inside the time step: the film equations tabulated for one state of the air.
//!
//! Evaporation and heat are polynomials in the temperature of the solution and its water activity through solutions of
//! the film equations at Chebyshev points, after division by a power of the temperature that grows about as the vapour
//! pressure does, so that cool and hot points are equally well met. An effectiveness would be the more usual thing to
//! tabulate, but it has a pole where the surface is as humid as the air.

use super::counterflow::{self, Problem, Profile};
use super::{
    Feed, Resolution, Tower, TowerError, check_streams, finish, is_sound, solution_out_c, solve,
    within,
};
use crate::air::{AirState, fogged_air, humidity_ratio_saturated};
use crate::amount::Amount;
use crate::water::{CP_WATER, saturation_temperature_c};

/// Degree in temperature.
const DEGREE_T: usize = 10;
/// Points in temperature.
const POINTS_T: usize = DEGREE_T + 1;
/// Points in water activity (degree 2).
const POINTS_A: usize = 3;

/// What a table is built for: the streams that do not change inside it, and its range.
///
/// The heat capacity of a cubic metre of solution hardly changes with its strength, so a feed given by volume has a nearly
/// constant `feed_kg_per_s·cp`; it is this product that the answers depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TableSpec {
    /// Feed, kg/s.
    pub feed_kg_per_s: f64,
    /// Heat capacity of the solution, J/(kg·K).
    pub cp_j_per_kg_k: f64,
    /// Volume that the fan moves, m³/s.
    pub air_flow_m3_per_s: f64,
    /// Least and greatest temperature of the solution, °C.
    pub temp_range_c: (f64, f64),
    /// Least and greatest water activity.
    pub water_activity_range: (f64, f64),
}

impl TableSpec {
    /// Normal running of a tower with water's heat capacity: 10 to 80 °C, water activity 0.9 to 1.
    #[must_use]
    pub fn normal(tower: &Tower) -> Self {
        Self {
            feed_kg_per_s: tower.design().feed_kg_per_s,
            cp_j_per_kg_k: CP_WATER,
            air_flow_m3_per_s: tower.design().air_flow_m3_per_s,
            temp_range_c: (10.0, 80.0),
            water_activity_range: (0.9, 1.0),
        }
    }
}

/// A point read from a [`TowerTable`]; the fields mean what they do in [`super::TowerPoint`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FastPoint {
    /// Water taken up by the air, kg/s.
    pub evaporation_kg_per_s: f64,
    /// Enthalpy that leaves the solution with the air, W.
    pub heat_w: f64,
    /// Temperature of the solution that leaves, °C.
    pub solution_out_c: f64,
    /// Temperature of the air that leaves, °C.
    pub air_out_c: f64,
    /// Vapour in the air that leaves, kg/kg dry air.
    pub humidity_ratio_out: f64,
    /// Fog in the air that leaves, kg/kg dry air.
    pub fog_out: f64,
    /// Vapour and fog over the vapour at saturation.
    pub air_saturation: f64,
    /// Dry air, kg/s.
    pub dry_air_kg_per_s: f64,
}

/// Coefficients of `x^j·y^k`: by j, then by k.
type Grid = [[f64; POINTS_A]; POINTS_T];

/// The film equations of one tower for one state of the air, as polynomials.
///
/// # Valid
/// With the ranges of [`TableSpec::normal`], over 30–75 °C solution, −10–40 °C air of 10–95 % humidity, 0–2,000 m altitude,
/// ±50 % of the rated feed and air and up to 3 transfer units: evaporation and heat within the larger of 1 % and 0.2 % of what
/// the air would take up if it left saturated at the feed's temperature, outlet temperatures within 0.2 K of
/// [`Tower::point`] (`tests/tower_table.rs` prints the worst found). What remains comes from the kink where the air that
/// leaves begins to carry fog. Beyond the range of temperature the table goes on along its tangent; water activity is
/// followed to one width of its range outside and held there.
#[derive(Debug, Clone, PartialEq)]
pub struct TowerTable {
    /// Interleaved coefficients of evaporation (first three) and heat (last three).
    both: [[f64; 2 * POINTS_A]; POINTS_T],
    dry_air: Grid,
    air: AirState,
    capacity_w_per_k: f64,
    temp_range_c: (f64, f64),
    temp_middle_c: f64,
    per_temp: f64,
    activity_middle: f64,
    per_activity: f64,
}

/// Temperature, °C, added before the power is taken, and the scale, K, of [`weight`].
const WEIGHT_SHIFT_C: f64 = 111.0;
const WEIGHT_SCALE_K: f64 = 196.0;

/// `((T + 111)/196)^8` and its slope: grows with temperature about as the vapour pressure does from 5 to 85 °C.
#[inline]
fn weight(temp_c: f64) -> (f64, f64) {
    let u = (temp_c + WEIGHT_SHIFT_C) * (1.0 / WEIGHT_SCALE_K);
    let u2 = u * u;
    let u4 = u2 * u2;
    (u4 * u4, (8.0 / WEIGHT_SCALE_K) * u4 * u2 * u)
}

impl TowerTable {
    /// Tabulates a tower for one air state in normal running, over the given ranges of temperature (°C) and water activity.
    ///
    /// # Errors
    /// As [`TowerTable::build_for`].
    pub fn build(
        tower: &Tower,
        air: &AirState,
        temp_range_c: (f64, f64),
        water_activity_range: (f64, f64),
    ) -> Result<Self, TowerError> {
        let normal = TableSpec::normal(tower);
        Self::build_for(
            tower,
            air,
            &TableSpec {
                temp_range_c,
                water_activity_range,
                ..normal
            },
        )
    }

    /// Tabulates a tower for one air state and the streams of `spec`.
    ///
    /// A hot end at which the vapour would be more than 0.75 of the air's pressure is drawn in to there. Without feed or
    /// without air the table says zero everywhere.
    ///
    /// # Errors
    /// Impossible air, a feed that would dry out, or ranges that are empty or outside −10–120 °C and 0.001–1.
    pub fn build_for(tower: &Tower, air: &AirState, spec: &TableSpec) -> Result<Self, TowerError> {
        let (cold_c, hot_c) = spec.temp_range_c;
        let (dilute_low, dilute_high) = spec.water_activity_range;
        let boiling_c = saturation_temperature_c(0.75 * air.pressure_pa / dilute_high.max(1e-3));
        let hot_c = within(
            "hot end of the table",
            Amount::TemperatureC,
            hot_c,
            (cold_c + 1.0, 120.0),
        )?
        .min(boiling_c);
        within(
            "cold end of the table",
            Amount::TemperatureC,
            cold_c,
            (-10.0, hot_c - 1.0),
        )?;
        within(
            "least water activity of the table",
            Amount::Number,
            dilute_low,
            (1e-3, dilute_high - 1e-3),
        )?;
        within(
            "tower air flow",
            Amount::AirM3PerS,
            spec.air_flow_m3_per_s,
            (0.0, 1e4),
        )?;
        let mut table = Self {
            both: Default::default(),
            dry_air: Grid::default(),
            air: *air,
            capacity_w_per_k: spec.feed_kg_per_s * spec.cp_j_per_kg_k,
            temp_range_c: (cold_c, hot_c),
            temp_middle_c: 0.5 * (cold_c + hot_c),
            per_temp: 2.0 / (hot_c - cold_c),
            activity_middle: 0.5 * (dilute_low + dilute_high),
            per_activity: 2.0 / (dilute_high - dilute_low),
        };
        table.fill(tower, spec)?;
        Ok(table)
    }

    /// Solves the film equations at all points and fits the polynomials.
    fn fill(&mut self, tower: &Tower, spec: &TableSpec) -> Result<(), TowerError> {
        let feed_at = |temp_c, water_activity| Feed {
            temp_c,
            water_activity,
            flow_kg_per_s: spec.feed_kg_per_s,
            cp_j_per_kg_k: spec.cp_j_per_kg_k,
        };
        let nodes_t = chebyshev_points::<POINTS_T>();
        let nodes_a = chebyshev_points::<POINTS_A>();
        check_streams(&feed_at(self.temp_range_c.1, nodes_a[0]), &self.air)?;
        let mut evaporation = Grid::default();
        let mut heat = Grid::default();
        let mut solver = Neighbours::default();
        for (i, x) in nodes_t.iter().enumerate() {
            for step in 0..POINTS_A {
                // Back and forth through the activities, so that each start is next to its predecessor.
                let k = if i % 2 == 0 {
                    step
                } else {
                    POINTS_A - 1 - step
                };
                let temp_c = self.temp_middle_c + x / self.per_temp;
                let activity = self.activity_middle + nodes_a[k] / self.per_activity;
                let feed = feed_at(temp_c, activity);
                let Some(problem) = tower.problem(&feed, &self.air, spec.air_flow_m3_per_s) else {
                    self.dry_air[0][0] =
                        spec.air_flow_m3_per_s / self.air.specific_volume_m3_per_kg_da();
                    return Ok(());
                };
                let profile = solver.solve(&problem, &feed, &self.air)?;
                let point = finish(&problem, &feed, profile);
                let per_weight = 1.0 / weight(temp_c).0;
                evaporation[i][k] = point.evaporation_kg_per_s * per_weight;
                heat[i][k] = point.heat_w * per_weight;
                self.dry_air[i][k] = point.dry_air_kg_per_s;
            }
        }
        self.dry_air = polynomial(&self.dry_air);
        let (evaporation, heat) = (polynomial(&evaporation), polynomial(&heat));
        for (row, (e, q)) in self.both.iter_mut().zip(evaporation.iter().zip(&heat)) {
            row[..POINTS_A].copy_from_slice(e);
            row[POINTS_A..].copy_from_slice(q);
        }
        Ok(())
    }

    /// The air this was built for.
    #[must_use]
    pub fn air(&self) -> &AirState {
        &self.air
    }

    /// Least and greatest temperature of the solution that were tabulated, °C.
    #[must_use]
    pub fn temp_range_c(&self) -> (f64, f64) {
        self.temp_range_c
    }

    /// Evaporation, kg/s, and heat drawn, W, at solution temperature `temp_c` in °C and the given water activity.
    #[inline]
    #[must_use]
    pub fn evaporation_and_heat(&self, temp_c: f64, water_activity: f64) -> (f64, f64) {
        let [e, q, ..] = self.with_slopes(temp_c, water_activity);
        (e, q)
    }

    /// Evaporation (kg/s), heat drawn (W) and their slopes with the solution's temperature (kg/(s·K), W/K).
    #[inline]
    #[must_use]
    pub fn with_slopes(&self, temp_c: f64, water_activity: f64) -> [f64; 4] {
        let held_c = temp_c.clamp(self.temp_range_c.0, self.temp_range_c.1);
        let x = (held_c - self.temp_middle_c) * self.per_temp;
        let y = ((water_activity - self.activity_middle) * self.per_activity).clamp(-3.0, 3.0);
        let mut value = self.both[DEGREE_T];
        let mut slope = [0.0; 2 * POINTS_A];
        for row in self.both[..DEGREE_T].iter().rev() {
            for k in 0..2 * POINTS_A {
                slope[k] = slope[k] * x + value[k];
                value[k] = value[k] * x + row[k];
            }
        }
        let in_activity = |c: &[f64]| c[0] + y * (c[1] + y * c[2]);
        let (w, w_slope) = weight(held_c);
        let beyond_k = temp_c - held_c;
        let part = |first: usize| {
            let v = in_activity(&value[first..first + POINTS_A]);
            let s = in_activity(&slope[first..first + POINTS_A]) * self.per_temp;
            let slope = s * w + v * w_slope;
            (v * w + slope * beyond_k, slope)
        };
        let (e, e_slope) = part(0);
        let (q, q_slope) = part(POINTS_A);
        [e, q, e_slope, q_slope]
    }

    /// Dry air, kg/s; it varies only where the fan fixes the outlet volume.
    #[must_use]
    pub fn dry_air_kg_per_s(&self, temp_c: f64, water_activity: f64) -> f64 {
        let held_c = temp_c.clamp(self.temp_range_c.0, self.temp_range_c.1);
        let x = (held_c - self.temp_middle_c) * self.per_temp;
        let y = ((water_activity - self.activity_middle) * self.per_activity).clamp(-3.0, 3.0);
        self.dry_air
            .iter()
            .rev()
            .fold(0.0, |sum, c| sum * x + c[0] + y * (c[1] + y * c[2]))
    }

    /// Everything about the point at solution temperature `temp_c` in °C and the given water activity.
    #[must_use]
    pub fn at(&self, temp_c: f64, water_activity: f64) -> FastPoint {
        let (evaporation, heat) = self.evaporation_and_heat(temp_c, water_activity);
        let dry_air = self.dry_air_kg_per_s(temp_c, water_activity);
        let per_air = if dry_air > 0.0 { 1.0 / dry_air } else { 0.0 };
        let pressure_pa = self.air.pressure_pa;
        let moisture = self.air.humidity_ratio + evaporation * per_air;
        let enthalpy = self.air.enthalpy_j_per_kg_da() + heat * per_air;
        let out = fogged_air(enthalpy, moisture, pressure_pa);
        let solution_out_c = if self.capacity_w_per_k > 0.0 {
            solution_out_c(self.capacity_w_per_k, temp_c, evaporation, heat)
        } else {
            temp_c
        };
        FastPoint {
            evaporation_kg_per_s: evaporation,
            heat_w: heat,
            solution_out_c,
            air_out_c: out.temp_c,
            humidity_ratio_out: out.vapour_ratio,
            fog_out: out.fog_ratio,
            air_saturation: moisture / humidity_ratio_saturated(out.temp_c, pressure_pa),
            dry_air_kg_per_s: dry_air,
        }
    }
}

/// Solves one problem after the other, each from the answer of the last.
#[derive(Default)]
struct Neighbours {
    last: Option<(Vec<f64>, Profile)>,
}

impl Neighbours {
    fn solve(
        &mut self,
        problem: &Problem,
        feed: &Feed,
        air: &AirState,
    ) -> Result<&Profile, TowerError> {
        let moved = self.last.as_mut().is_some_and(|(mesh, profile)| {
            profile
                .solve(problem, mesh, Resolution::Table.tolerance())
                .is_ok()
                && is_sound(problem, profile)
        });
        if !moved {
            let fresh = solve(problem, feed, air, Resolution::Table)?;
            self.last = Some((counterflow::mesh(fresh.interval_count()), fresh));
        }
        let Some((_, profile)) = &self.last else {
            return Err(TowerError::NotConverged {
                feed_c: feed.temp_c,
                air_c: air.temp_c,
            });
        };
        Ok(profile)
    }
}

/// The Chebyshev points of the first kind, from high to low.
fn chebyshev_points<const N: usize>() -> [f64; N] {
    #[expect(clippy::cast_precision_loss, reason = "a handful of points")]
    std::array::from_fn(|i| (std::f64::consts::PI * (i as f64 + 0.5) / N as f64).cos())
}

/// Coefficients of `x^j·y^k` of the polynomial through values at the Chebyshev points.
fn polynomial(values: &Grid) -> Grid {
    let mut in_x = Grid::default();
    for k in 0..POINTS_A {
        let column: [f64; POINTS_T] = std::array::from_fn(|i| values[i][k]);
        for (j, c) in power_coefficients(&column).into_iter().enumerate() {
            in_x[j][k] = c;
        }
    }
    in_x.map(|row| power_coefficients(&row))
}

/// Power coefficients of the polynomial through values at the N Chebyshev points, by way of its Chebyshev series.
fn power_coefficients<const N: usize>(values: &[f64; N]) -> [f64; N] {
    let points = chebyshev_points::<N>();
    // T_j at the points and its power coefficients, by the three-term recurrence.
    let (mut before_at, mut now_at) = ([0.0; N], [1.0; N]);
    let (mut before, mut now) = ([0.0; N], [0.0; N]);
    now[0] = 1.0;
    let mut result = [0.0; N];
    for j in 0..N {
        let sum: f64 = values.iter().zip(&now_at).map(|(v, t)| v * t).sum();
        #[expect(clippy::cast_precision_loss, reason = "a handful of points")]
        let c = sum * if j == 0 { 1.0 } else { 2.0 } / N as f64;
        for (r, p) in result.iter_mut().zip(&now) {
            *r += c * p;
        }
        let double = if j == 0 { 1.0 } else { 2.0 };
        let next_at = std::array::from_fn(|i| double * points[i] * now_at[i] - before_at[i]);
        let next = std::array::from_fn(|p| {
            let shifted = if p == 0 { 0.0 } else { now[p - 1] };
            double * shifted - before[p]
        });
        (before_at, now_at) = (now_at, next_at);
        (before, now) = (now, next);
    }
    result
}
