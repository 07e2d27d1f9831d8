//! Solves the film equations of [`super::film`] over the whole height, with the air known at the foot and the solution
//! at the head.
//!
//! The height is cut into intervals; on each, the rates are integrated by Simpson's rule with the midpoint state from the
//! cubic through both ends (Hermite–Simpson collocation, fourth order). All intervals are solved together by Newton's
//! method. Shooting from one end was not used: where the solution's heat capacity is small against the air's, errors grow
//! as `exp(10·N)` and more on the way up. The linear equations are eliminated from the foot to the head, carrying how the
//! air at a height answers to what is still to come above it, which is stable in both directions.

use super::film::{Film, Pair, Square};
use crate::air::{MOLAR_MASS_RATIO, R_DRY_AIR, fog_parts};
use crate::water::ZERO_CELSIUS_K;

/// What sets the flow of dry air.
#[derive(Debug, Clone, Copy)]
pub(super) enum AirFlow {
    /// Dry air, kg/s.
    DryAir(f64),
    /// Volume of the gas that leaves at the head, m³/s; the dry air follows from the answer.
    OutletVolume(f64),
}

/// One tower with its streams.
#[derive(Debug, Clone, Copy)]
pub(super) struct Problem {
    pub film: Film,
    /// Moisture and enthalpy of the entering air.
    pub air_in: Pair,
    /// Heat capacity of the feed, W/K.
    pub feed_capacity_w_per_k: f64,
    pub flow: AirFlow,
    /// Transfer units at one kilogram of dry air per second; they scale with dry air to the power below.
    pub ntu_at_unit_air: f64,
    pub ntu_exponent: f64,
}

/// A solved tower. Keeps the moisture and enthalpy at every node as the start for the next problem.
#[derive(Debug, Clone)]
pub(super) struct Profile {
    /// Air at the nodes, from foot to head.
    nodes: Vec<Pair>,
    /// Logarithm of the dry-air flow.
    ln_dry_air: f64,
    steps: Vec<Step>,
}

/// The elimination of one interval: what the rest above its foot does when the rest above its head changes.
#[derive(Debug, Clone, Copy, Default)]
struct Step {
    by_rest: Square,
    fixed: Pair,
    by_flow: Pair,
}

/// Why the iteration gave up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NotConverged;

/// Height fractions of `count + 1` evenly spaced nodes. Crowding them at the head, where hot solution changes fastest,
/// was tried and does worse: the largest errors come from the height where fog sets in, often near the foot.
pub(super) fn mesh(count: usize) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "a few hundred nodes at most")]
    let node = |i: usize| i as f64 / count as f64;
    (0..=count).map(node).collect()
}

impl Profile {
    /// A straight line from the entering air to `air_out`, as a start.
    pub(super) fn straight(
        mesh: &[f64],
        air_in: Pair,
        air_out: Pair,
        dry_air_kg_per_s: f64,
    ) -> Self {
        let between = |z: &f64| [0, 1].map(|k| air_in[k] + z * (air_out[k] - air_in[k]));
        Self {
            nodes: mesh.iter().map(between).collect(),
            ln_dry_air: dry_air_kg_per_s.ln(),
            steps: vec![Step::default(); mesh.len().saturating_sub(1)],
        }
    }

    /// Moisture and enthalpy of the air that leaves at the head.
    pub(super) fn air_out(&self) -> Pair {
        self.nodes.last().copied().unwrap_or_default()
    }

    /// Cuts every interval in which fog sets in or clears into `parts`, with the profile straight in between; returns
    /// whether there was any. The rates have a kink there, which costs the fourth order of the method.
    pub(super) fn refine_at_fog(
        &mut self,
        pressure_pa: f64,
        mesh: &mut Vec<f64>,
        parts: u32,
    ) -> bool {
        let is_foggy = |air: &Pair| {
            let parts = fog_parts(air[1], air[0], pressure_pa, &mut { f64::NAN });
            parts.vapour < air[0]
        };
        let foggy: Vec<bool> = self.nodes.iter().map(is_foggy).collect();
        let (old_mesh, old_nodes) = (std::mem::take(mesh), std::mem::take(&mut self.nodes));
        for (i, pair) in foggy.windows(2).enumerate() {
            let pieces = if pair[0] == pair[1] { 1 } else { parts };
            for piece in 0..pieces {
                let share = f64::from(piece) / f64::from(pieces);
                let between = |a: f64, b: f64| a + share * (b - a);
                let (low, high) = (old_nodes[i], old_nodes[i + 1]);
                mesh.push(between(old_mesh[i], old_mesh[i + 1]));
                self.nodes.push([0, 1].map(|k| between(low[k], high[k])));
            }
        }
        mesh.extend(old_mesh.last());
        self.nodes.extend(old_nodes.last());
        self.steps
            .resize(self.nodes.len().saturating_sub(1), Step::default());
        self.nodes.len() > old_nodes.len()
    }

    /// Intervals of the height.
    pub(super) fn interval_count(&self) -> usize {
        self.steps.len()
    }

    /// Dry air, kg/s.
    pub(super) fn dry_air_kg_per_s(&self) -> f64 {
        self.ln_dry_air.exp()
    }

    /// Moves the profile onto the solution of `problem`; returns the number of iterations.
    pub(super) fn solve(
        &mut self,
        problem: &Problem,
        mesh: &[f64],
        tolerance: f64,
    ) -> Result<u32, NotConverged> {
        if let Some(foot) = self.nodes.first_mut() {
            let shift = [0, 1].map(|k| problem.air_in[k] - foot[k]);
            for node in &mut self.nodes {
                *node = [node[0] + shift[0], node[1] + shift[1]];
            }
        }
        if let AirFlow::DryAir(g) = problem.flow {
            self.ln_dry_air = g.ln();
        }
        for iteration in 1..=40 {
            let change = self.newton_step(problem, mesh);
            if !change.is_finite() {
                return Err(NotConverged);
            }
            if change < tolerance {
                return Ok(iteration);
            }
        }
        Err(NotConverged)
    }

    /// One Newton step; returns its size relative to the entering and leaving enthalpies.
    fn newton_step(&mut self, problem: &Problem, mesh: &[f64]) -> f64 {
        let dry_air = self.ln_dry_air.exp();
        let capacity = problem.feed_capacity_w_per_k / dry_air;
        let ntu = problem.ntu_at_unit_air * dry_air.powf(problem.ntu_exponent);
        let out = self.air_out();
        let head = self.eliminate(problem, mesh, capacity, ntu, out);
        let flow_change = flow_change(problem, out, self.ln_dry_air, &head);
        let mut rest = [0.0; 2];
        let mut largest = flow_change.abs();
        let scale = [0.05 + out[0].abs(), 1e5 + out[1].abs()];
        // At the head the rest is nothing whatever happens, so the air there takes the whole change.
        let head_change = [0, 1].map(|k| head.fixed[k] + head.by_flow[k] * flow_change);
        for (i, step) in self.steps.iter().enumerate().rev() {
            // Change of rest + change of air is the same at every height: that of the air at the head.
            let air = [head_change[0] - rest[0], head_change[1] - rest[1]];
            for k in 0..2 {
                self.nodes[i + 1][k] += air[k];
                largest = largest.max(air[k].abs() / scale[k]);
            }
            rest = add(
                add(mat_vec(&step.by_rest, rest), step.fixed),
                scaled(step.by_flow, flow_change),
            );
        }
        self.ln_dry_air += flow_change;
        largest
    }

    /// Eliminates from foot to head. Returns the change of the air at the head as a constant and a multiple of the
    /// change of flow.
    fn eliminate(
        &mut self,
        problem: &Problem,
        mesh: &[f64],
        capacity: f64,
        ntu: f64,
        out: Pair,
    ) -> Step {
        let film = &problem.film;
        let rest_at = |air: Pair| [out[0] - air[0], out[1] - air[1]];
        let mut warm_c = f64::NAN;
        // Change of the air at the lower node: M·(change of rest) + fixed + by_flow·(change of flow).
        let mut m: Square = [[0.0; 2]; 2];
        let (mut fixed, mut by_flow) = ([0.0; 2], [0.0; 2]);
        let mut lower = self.nodes[0];
        let mut low = film.rates(lower, rest_at(lower), capacity, &mut warm_c);
        for (i, step) in self.steps.iter_mut().enumerate() {
            let width = ntu * (mesh[i + 1] - mesh[i]);
            let upper = self.nodes[i + 1];
            let high = film.rates(upper, rest_at(upper), capacity, &mut warm_c);
            let bend = [0, 1].map(|k| width / 8.0 * (low.value[k] - high.value[k]));
            let middle = [0, 1].map(|k| 0.5 * (lower[k] + upper[k]) + bend[k]);
            let mid = film.rates(middle, rest_at(middle), capacity, &mut warm_c);

            let sixth = width / 6.0;
            let mean = [0, 1].map(|k| sixth * (low.value[k] + 4.0 * mid.value[k] + high.value[k]));
            let residual = [0, 1].map(|k| upper[k] - lower[k] - mean[k]);
            // How the midpoint answers to the rates at the ends: d = (by_air − by_rest)·width/8.
            let d = mat_scaled(&mat_sub(&mid.by_air, &mid.by_rest), width / 8.0);
            let part = |end: &Square, mid: &Square, sign: f64| {
                let bent = mat_mul(&d, end);
                let mut all = [[0.0; 2]; 2];
                for r in 0..2 {
                    for c in 0..2 {
                        all[r][c] = sixth * (end[r][c] + 2.0 * mid[r][c] + 4.0 * sign * bent[r][c]);
                    }
                }
                all
            };
            let a_low = part(&low.by_air, &mid.by_air, 1.0);
            let b_low = part(&low.by_rest, &mid.by_rest, 1.0);
            let a_high = part(&high.by_air, &mid.by_air, -1.0);
            let b_high = part(&high.by_rest, &mid.by_rest, -1.0);
            // Slope of the residual with the logarithm of the dry air, through the transfer units and the
            // capacity per kilogram of dry air.
            let flow_slope = [0, 1].map(|k| {
                let through_capacity = sixth
                    * capacity
                    * (low.by_capacity[k] + 4.0 * mid.by_capacity[k] + high.by_capacity[k]);
                through_capacity - problem.ntu_exponent * mean[k]
            });

            let up = mat_sub(&IDENTITY, &a_high);
            let down = mat_add(&IDENTITY, &a_low);
            let m_plus = mat_add(&IDENTITY, &m);
            let key = mat_sub(
                &mat_sub(&mat_mul(&up, &m_plus), &mat_mul(&down, &m)),
                &b_low,
            );
            let inverse = invert(&key);
            // (1 + A0) − (1 − A1), what multiplies the part carried up from below.
            let ends = mat_add(&a_high, &a_low);
            step.by_rest = mat_mul(&inverse, &mat_add(&up, &b_high));
            step.fixed = mat_vec(&inverse, sub(mat_vec(&ends, fixed), residual));
            step.by_flow = mat_vec(&inverse, sub(mat_vec(&ends, by_flow), flow_slope));

            m = mat_sub(&mat_mul(&m_plus, &step.by_rest), &IDENTITY);
            fixed = add(mat_vec(&m_plus, step.fixed), fixed);
            by_flow = add(mat_vec(&m_plus, step.by_flow), by_flow);
            (lower, low) = (upper, high);
        }
        Step {
            by_rest: m,
            fixed,
            by_flow,
        }
    }
}

/// Change of the logarithm of the dry air that brings the outlet volume to what the fan moves.
fn flow_change(problem: &Problem, out: Pair, ln_dry_air: f64, head: &Step) -> f64 {
    let AirFlow::OutletVolume(volume_m3_per_s) = problem.flow else {
        return 0.0;
    };
    let pressure_pa = problem.film.pressure_pa;
    let mut warm_c = f64::NAN;
    let air = fog_parts(out[1], out[0], pressure_pa, &mut warm_c);
    let t_k = air.temp_c + ZERO_CELSIUS_K;
    let gas = 1.0 + air.vapour / MOLAR_MASS_RATIO;
    let ln_volume = (R_DRY_AIR * t_k * gas / pressure_pa).ln();
    let by_w = air.temp_by_w / t_k + air.vapour_by_w / (MOLAR_MASS_RATIO * gas);
    let by_h = air.temp_by_h / t_k + air.vapour_by_h / (MOLAR_MASS_RATIO * gas);
    let excess = ln_dry_air + ln_volume - volume_m3_per_s.ln();
    let through_fixed = by_w * head.fixed[0] + by_h * head.fixed[1];
    let slope = 1.0 + by_w * head.by_flow[0] + by_h * head.by_flow[1];
    // More air never means less volume, so a slope near zero only shows a start that is far off.
    (-(excess + through_fixed) / slope.max(0.2)).clamp(-1.0, 1.0)
}

const IDENTITY: Square = [[1.0, 0.0], [0.0, 1.0]];

#[inline]
fn add(a: Pair, b: Pair) -> Pair {
    [a[0] + b[0], a[1] + b[1]]
}

#[inline]
fn sub(a: Pair, b: Pair) -> Pair {
    [a[0] - b[0], a[1] - b[1]]
}

#[inline]
fn scaled(a: Pair, factor: f64) -> Pair {
    [a[0] * factor, a[1] * factor]
}

#[inline]
fn mat_add(a: &Square, b: &Square) -> Square {
    [add(a[0], b[0]), add(a[1], b[1])]
}

#[inline]
fn mat_sub(a: &Square, b: &Square) -> Square {
    [sub(a[0], b[0]), sub(a[1], b[1])]
}

#[inline]
fn mat_scaled(a: &Square, factor: f64) -> Square {
    [scaled(a[0], factor), scaled(a[1], factor)]
}

#[inline]
fn mat_vec(a: &Square, v: Pair) -> Pair {
    [
        a[0][0] * v[0] + a[0][1] * v[1],
        a[1][0] * v[0] + a[1][1] * v[1],
    ]
}

#[inline]
fn mat_mul(a: &Square, b: &Square) -> Square {
    let row = |r: &Pair| {
        [
            r[0] * b[0][0] + r[1] * b[1][0],
            r[0] * b[0][1] + r[1] * b[1][1],
        ]
    };
    [row(&a[0]), row(&a[1])]
}

#[inline]
fn invert(a: &Square) -> Square {
    let inverse = 1.0 / (a[0][0] * a[1][1] - a[0][1] * a[1][0]);
    [
        [a[1][1] * inverse, -a[0][1] * inverse],
        [-a[1][0] * inverse, a[0][0] * inverse],
    ]
}
