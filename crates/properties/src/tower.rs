//! The atmospheric evaporator: solution runs down a packed tower against a stream of air that leaves humid.
//!
//! ```text
//!        humid air (and fog), carry-over
//!                 ▲        │ feed, T_feed
//!              ┌──┴────────▼──┐
//!              │  film, N     │   N = h_D·a·V/G   transfer units
//!              └──▲────────┬──┘   Me = N·G/L      Merkel number
//!          air in │        ▼ cooled, stronger solution
//! ```
//!
//! The film equations (`tower/film.rs`: Poppe's method, with fog and a stated Lewis factor) are solved in counterflow
//! with full balances of water and energy (`tower/counterflow.rs`). [`TowerTable`] answers the same inside a time step.
//! Left out: heat through the shell, uneven wetting, evaporation in the spray zone, pressure drop.
//!
//! Off the point where the transfer units are known they follow `Me = Me_r·[(L/L_r)/(G/G_r)]^(−n)`; `L` is the feed and
//! `G` the dry air, both kg/s.

mod counterflow;
mod effectiveness;
mod error;
mod film;
mod merkel;
mod rating;
mod stack;
mod table;

pub use effectiveness::{EffectivenessPoint, effectiveness_point};
pub use error::TowerError;
pub use merkel::{MerkelInput, merkel_number};
pub use rating::{RatedPoint, Transfer};
pub use stack::{carry_over_kg_per_s, dry_standard_m3_per_s, solute_mg_per_dry_m3};
pub use table::{FastPoint, TableSpec, TowerTable};

use crate::air::{AirState, humidity_ratio_saturated};
use crate::amount::Amount;
use crate::water::{CP_WATER, saturation_pressure_fast_pa, saturation_temperature_c};
use counterflow::{AirFlow, Problem, Profile};
use error::within;

/// Transfer units at which the ceiling of a tower is reckoned: more packing would change nothing that can be measured.
pub const CEILING_NTU: f64 = 40.0;

/// Exponent of the Merkel number with the ratio of flows when none is given (from memory; 0.4 to 0.8 is usual).
pub const DEFAULT_FLOW_EXPONENT: f64 = 0.6;

/// Where the fan stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FanPosition {
    /// It blows room air into the tower: the volume that enters is fixed.
    Before,
    /// It draws humid air out of the tower: the volume that leaves is fixed.
    After,
}

/// The ratio of heat transfer to mass transfer, `Le = h_c/(h_D·cp)`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LewisFactor {
    /// `Le = 1` (Lewis relation). Without heat the solution then settles on the thermodynamic wet bulb of the air.
    #[default]
    Unity,
    /// Bosnjakovic's relation, `Le = 0.865^(2/3)·(r − 1)/ln r` with `r = (Ws + 0.622)/(W + 0.622)`: about 0.91 for
    /// cool water, above 1 for hot. Without heat the solution settles a little below the wet bulb, as less heat reaches it:
    /// 0.1 K in air of 20 °C and 50 %, 0.2 K at 30 °C and 30 %.
    Bosnjakovic,
}

/// A tower as specified.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TowerDesign {
    /// Volume that the fan moves, m³/s, at its own place (see [`FanPosition`]).
    pub air_flow_m3_per_s: f64,
    /// Where the fan stands.
    pub fan: FanPosition,
    /// Solution feed in normal running, kg/s.
    pub feed_kg_per_s: f64,
    /// Transfer units, given or by a rated point.
    pub transfer: Transfer,
    /// Exponent n of the Merkel number with the ratio of flows, 0 to 1; [`DEFAULT_FLOW_EXPONENT`].
    pub flow_exponent: f64,
    /// Heat transfer over mass transfer.
    pub lewis: LewisFactor,
    /// Fraction of the feed that leaves as droplets behind the mist eliminator, 0 to 0.1.
    pub carry_over_fraction: f64,
}

/// Solution that runs into the tower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// Temperature, °C.
    pub temp_c: f64,
    /// Water activity, above 0 up to 1.
    pub water_activity: f64,
    /// Flow, kg/s.
    pub flow_kg_per_s: f64,
    /// Heat capacity of the solution, J/(kg·K).
    pub cp_j_per_kg_k: f64,
}

impl Feed {
    /// Pure water at `temp_c` in °C, `flow_kg_per_s` in kg/s.
    #[must_use]
    pub fn water(temp_c: f64, flow_kg_per_s: f64) -> Self {
        Self {
            temp_c,
            water_activity: 1.0,
            flow_kg_per_s,
            cp_j_per_kg_k: CP_WATER,
        }
    }
}

/// What a tower does at one operating point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TowerPoint {
    /// Water taken up by the air, kg/s; negative where wetter air condenses.
    pub evaporation_kg_per_s: f64,
    /// Enthalpy that leaves the solution with the air, W: dry air times the rise of the air's enthalpy, fog included.
    /// The vapour's own enthalpy is in it, so an energy balance subtracts this and nothing else.
    pub heat_w: f64,
    /// Temperature of the solution that leaves, °C.
    pub solution_out_c: f64,
    /// Temperature of the air that leaves, °C.
    pub air_out_c: f64,
    /// Vapour in the air that leaves, kg/kg dry air.
    pub humidity_ratio_out: f64,
    /// Fog in the air that leaves, kg/kg dry air.
    pub fog_out: f64,
    /// Vapour and fog over the vapour at saturation of the air that leaves.
    pub air_saturation: f64,
    /// Dry air, kg/s.
    pub dry_air_kg_per_s: f64,
    /// Transfer units at this point.
    pub ntu: f64,
    /// Merkel number at this point.
    pub merkel_number: f64,
}

/// A tower whose transfer units are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tower {
    design: TowerDesign,
    /// Transfer units at the reference flows below.
    ntu_rated: f64,
    dry_air_rated_kg_per_s: f64,
    feed_rated_kg_per_s: f64,
}

impl Tower {
    /// Finds the transfer units of a design.
    ///
    /// # Errors
    /// An input outside its range, or a rated point above the ceiling.
    pub fn new(design: TowerDesign) -> Result<Self, TowerError> {
        within(
            "tower air flow",
            Amount::AirM3PerS,
            design.air_flow_m3_per_s,
            (0.0, 1e4),
        )?;
        within(
            "tower feed",
            Amount::KgPerS,
            design.feed_kg_per_s,
            (0.0, 1e5),
        )?;
        within(
            "exponent of the Merkel number",
            Amount::Number,
            design.flow_exponent,
            (0.0, 1.0),
        )?;
        within(
            "carry-over fraction",
            Amount::Share,
            design.carry_over_fraction,
            (0.0, 0.1),
        )?;
        let rated = rating::rate(&design)?;
        Ok(Self {
            design,
            ntu_rated: rated.ntu,
            dry_air_rated_kg_per_s: rated.dry_air_kg_per_s,
            feed_rated_kg_per_s: rated.feed_kg_per_s,
        })
    }

    /// The design this was made from.
    #[must_use]
    pub fn design(&self) -> &TowerDesign {
        &self.design
    }

    /// Transfer units at the rated flows.
    #[must_use]
    pub fn ntu_rated(&self) -> f64 {
        self.ntu_rated
    }

    /// Merkel number at the rated flows.
    #[must_use]
    pub fn merkel_rated(&self) -> f64 {
        self.ntu_rated * self.dry_air_rated_kg_per_s / self.feed_rated_kg_per_s
    }

    /// Dry air at the rated point, kg/s.
    #[must_use]
    pub fn dry_air_rated_kg_per_s(&self) -> f64 {
        self.dry_air_rated_kg_per_s
    }

    /// Operating point by the film equations, with the fan at its normal speed.
    ///
    /// A feed or an air flow of zero gives a point at which nothing passes over.
    ///
    /// # Errors
    /// Impossible air, a feed near boiling, one that would dry out, or an input outside its range.
    ///
    /// # Valid
    /// Feed 0 °C to 0.9 of the boiling pressure, air −40 to 60 °C, at least 0.05 kg of feed per kg of dry air (with less, and
    /// many transfer units, the equations may not converge, which is an error).
    ///
    /// # Source
    /// Poppe and Rögener, Berechnung von Rückkühlwerken, VDI-Wärmeatlas (1991), as given by Kloppers and Kröger, Int. J.
    /// Heat Mass Transfer 48 (2005) 765 (from memory).
    pub fn point(&self, feed: &Feed, air: &AirState) -> Result<TowerPoint, TowerError> {
        self.point_at(feed, air, self.design.air_flow_m3_per_s)
    }

    /// Operating point with the fan moving `air_flow_m3_per_s` instead; else as [`Tower::point`].
    ///
    /// # Errors
    /// As [`Tower::point`].
    pub fn point_at(
        &self,
        feed: &Feed,
        air: &AirState,
        air_flow_m3_per_s: f64,
    ) -> Result<TowerPoint, TowerError> {
        check_streams(feed, air)?;
        within(
            "tower air flow",
            Amount::AirM3PerS,
            air_flow_m3_per_s,
            (0.0, 1e4),
        )?;
        let Some(problem) = self.problem(feed, air, air_flow_m3_per_s) else {
            return Ok(idle_point(feed, air, air_flow_m3_per_s));
        };
        let profile = solve(&problem, feed, air, Resolution::Reference)?;
        Ok(finish(&problem, feed, &profile))
    }

    /// The equations to solve, or none when a stream is missing.
    fn problem(&self, feed: &Feed, air: &AirState, air_flow_m3_per_s: f64) -> Option<Problem> {
        if feed.flow_kg_per_s <= 0.0 || air_flow_m3_per_s <= 0.0 {
            return None;
        }
        let n = self.design.flow_exponent;
        let flow = match self.design.fan {
            FanPosition::Before => {
                AirFlow::DryAir(air_flow_m3_per_s / air.specific_volume_m3_per_kg_da())
            }
            FanPosition::After => AirFlow::OutletVolume(air_flow_m3_per_s),
        };
        let feed_ratio = feed.flow_kg_per_s / self.feed_rated_kg_per_s;
        Some(Problem {
            film: film::Film {
                pressure_pa: air.pressure_pa,
                water_activity: feed.water_activity,
                feed_c: feed.temp_c,
                lewis: self.design.lewis,
            },
            air_in: [air.humidity_ratio, air.enthalpy_j_per_kg_da()],
            feed_capacity_w_per_k: feed.flow_kg_per_s * feed.cp_j_per_kg_k,
            flow,
            // N = Me·L/G with Me ~ (L/G)^(−n), so N ~ (L/G)^(1 − n).
            ntu_at_unit_air: self.ntu_rated
                * (feed_ratio * self.dry_air_rated_kg_per_s).powf(1.0 - n),
            ntu_exponent: n - 1.0,
        })
    }
}

/// Refuses streams that the equations do not carry.
fn check_streams(feed: &Feed, air: &AirState) -> Result<(), TowerError> {
    air.check()?;
    within(
        "feed temperature",
        Amount::TemperatureC,
        feed.temp_c,
        (-10.0, 120.0),
    )?;
    within(
        "feed water activity",
        Amount::Number,
        feed.water_activity,
        (1e-3, 1.0),
    )?;
    within("feed", Amount::KgPerS, feed.flow_kg_per_s, (0.0, 1e5))?;
    within(
        "feed heat capacity",
        Amount::JPerKgK,
        feed.cp_j_per_kg_k,
        (500.0, 10_000.0),
    )?;
    let vapour_pa = feed.water_activity * saturation_pressure_fast_pa(feed.temp_c);
    if vapour_pa > 0.9 * air.pressure_pa {
        return Err(TowerError::Boiling {
            temp_c: feed.temp_c,
            boiling_c: saturation_temperature_c(air.pressure_pa),
            pressure_pa: air.pressure_pa,
        });
    }
    Ok(())
}

/// How finely the height is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Resolution {
    /// For answers of record: against 3,000 intervals evaporation errs by 1e-6 up to 3 transfer units, 3e-5 up to 10 and 2e-4
    /// at 40, where the air saturates and clears more than once.
    Reference,
    /// For tables: below 4e-4 of what saturated air would hold, typically 1e-6.
    Table,
}

impl Resolution {
    fn intervals(self, ntu: f64) -> usize {
        let wanted = match self {
            Self::Reference => (8.0 * ntu).max(48.0),
            Self::Table => (2.0 * ntu).max(10.0),
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to a small positive range"
        )]
        let count = wanted.min(400.0) as usize;
        count
    }

    fn tolerance(self) -> f64 {
        match self {
            Self::Reference => 1e-10,
            Self::Table => 1e-6,
        }
    }
}

/// Solves from scratch: from the effectiveness form as first guess, and where that start is too far off, by raising the
/// transfer units step by step from a small number.
fn solve(
    problem: &Problem,
    feed: &Feed,
    air: &AirState,
    resolution: Resolution,
) -> Result<Profile, TowerError> {
    let dry_air = match problem.flow {
        AirFlow::DryAir(g) => g,
        AirFlow::OutletVolume(v) => v / air.specific_volume_m3_per_kg_da(),
    };
    let ntu = problem.ntu_at_unit_air * dry_air.powf(problem.ntu_exponent);
    let mut mesh = counterflow::mesh(resolution.intervals(ntu));
    let guess = effectiveness_point(feed, air, dry_air, ntu);
    let air_out = [guess.humidity_ratio_out, guess.enthalpy_out_j_per_kg_da];
    let not_converged = |_| TowerError::NotConverged {
        feed_c: feed.temp_c,
        air_c: air.temp_c,
    };
    let mut profile = Profile::straight(&mesh, problem.air_in, air_out, dry_air);
    if profile
        .solve(problem, &mesh, resolution.tolerance())
        .is_err()
        || !is_sound(problem, &profile)
    {
        profile = Profile::straight(&mesh, problem.air_in, problem.air_in, dry_air);
        let mut part = 0.02 / ntu.max(0.02);
        while part < 1.0 {
            part = (part * 1.5).min(1.0);
            let scaled = Problem {
                ntu_at_unit_air: part * problem.ntu_at_unit_air,
                ..*problem
            };
            profile
                .solve(&scaled, &mesh, resolution.tolerance())
                .map_err(not_converged)?;
        }
    }
    if resolution == Resolution::Reference {
        for _ in 0..2 {
            if !profile.refine_at_fog(air.pressure_pa, &mut mesh, 8) {
                break;
            }
            profile
                .solve(problem, &mesh, resolution.tolerance())
                .map_err(not_converged)?;
        }
    }
    if is_sound(problem, &profile) {
        Ok(profile)
    } else {
        Err(TowerError::DriesOut {
            feed_kg_per_s: feed.flow_kg_per_s,
        })
    }
}

/// Whether the solution still has at least a twentieth of its heat capacity, and so of its water, at the foot.
fn is_sound(problem: &Problem, profile: &Profile) -> bool {
    let evaporation = profile.dry_air_kg_per_s() * (profile.air_out()[0] - problem.air_in[0]);
    CP_WATER * evaporation < 0.95 * problem.feed_capacity_w_per_k
}

/// Turns a solved profile into an operating point.
fn finish(problem: &Problem, feed: &Feed, profile: &Profile) -> TowerPoint {
    let dry_air = profile.dry_air_kg_per_s();
    let [moisture, enthalpy] = profile.air_out();
    let evaporation = dry_air * (moisture - problem.air_in[0]);
    let heat = dry_air * (enthalpy - problem.air_in[1]);
    let pressure_pa = problem.film.pressure_pa;
    let air = crate::air::fogged_air(enthalpy, moisture, pressure_pa);
    let ntu = problem.ntu_at_unit_air * dry_air.powf(problem.ntu_exponent);
    TowerPoint {
        evaporation_kg_per_s: evaporation,
        heat_w: heat,
        solution_out_c: solution_out_c(
            problem.feed_capacity_w_per_k,
            feed.temp_c,
            evaporation,
            heat,
        ),
        air_out_c: air.temp_c,
        humidity_ratio_out: air.vapour_ratio,
        fog_out: air.fog_ratio,
        air_saturation: moisture / humidity_ratio_saturated(air.temp_c, pressure_pa),
        dry_air_kg_per_s: dry_air,
        ntu,
        merkel_number: ntu * dry_air / feed.flow_kg_per_s,
    }
}

/// Temperature of the solution after it lost `evaporation` kg/s of water and `heat` W: what remains has the feed's
/// heat capacity less that of the water gone.
#[inline]
fn solution_out_c(capacity_w_per_k: f64, feed_c: f64, evaporation: f64, heat: f64) -> f64 {
    (capacity_w_per_k * feed_c - heat) / (capacity_w_per_k - CP_WATER * evaporation)
}

/// A tower without feed or without air: both streams leave as they came.
fn idle_point(feed: &Feed, air: &AirState, air_flow_m3_per_s: f64) -> TowerPoint {
    TowerPoint {
        evaporation_kg_per_s: 0.0,
        heat_w: 0.0,
        solution_out_c: feed.temp_c,
        air_out_c: air.temp_c,
        humidity_ratio_out: air.humidity_ratio,
        fog_out: 0.0,
        air_saturation: air.humidity_ratio / humidity_ratio_saturated(air.temp_c, air.pressure_pa),
        dry_air_kg_per_s: air_flow_m3_per_s.max(0.0) / air.specific_volume_m3_per_kg_da(),
        ntu: 0.0,
        merkel_number: 0.0,
    }
}
