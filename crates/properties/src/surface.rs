//! Open surfaces of tanks: evaporation, convection, radiation.
//!
//! Evaporation from an open surface is the sum of two parts. The *natural* part is free convection by the analogy of
//! heat and mass transfer over a hot plate facing up, `Sh = 0.14·Ra^(1/3)`, driven by the density difference between
//! the air at the surface and the air of the room (warm **and** humid air rises); it is linear in the mole fraction of
//! vapour, without the Stefan-flow correction, because with that correction the published table of open tanks is
//! exceeded by 30 to 40 % at 71 °C. The *forced* part is the wind term of the pool equation,
//! `0.0782·v·(pw,s − pw,a)/h_fg`. There is no condensation on tanks: both parts stop at zero.
//!
//! Published sources for still air agree within a factor of 1.5 from 38 to 60 °C and disagree by up to four times
//! near room temperature (0.17 to 0.69 kg/(m²·h) at 26.7 °C) and about two times at 82 °C. What is computed here
//! follows the open-tank table (see `tests/surface.rs`), which runs through the middle of them.

use crate::air::{AirError, AirState, CP_DRY_AIR, R_DRY_AIR};
use crate::water::{
    MOLAR_MASS_WATER, ZERO_CELSIUS_K, latent_heat_j_per_kg, saturation_pressure_fast_pa,
};

mod walls;

pub use walls::{
    WALL_EMISSIVITY, WALL_INSULATION_W_PER_M_K, wall_loss_w_per_m2, wall_u_w_per_m2_k,
};

/// Emissivity of a water or solution surface.
pub const SURFACE_EMISSIVITY: f64 = 0.95;

/// Stefan–Boltzmann constant, W/(m²·K⁴).
pub const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// Density difference, kg/m³, below which the natural part is linear, so that its slope stays finite.
const LINEAR_BELOW_KG_PER_M3: f64 = 0.002;

/// Width of the strip of surface, m, that one sparge pipe at 1 cfm per foot is worth: 6 inches.
pub const SPARGE_STRIP_M: f64 = 0.1524;

/// Molar gas constant, J/(mol·K).
const R_MOLAR: f64 = 8.314_462_618;

/// Standard gravity, m/s².
const GRAVITY: f64 = 9.806_65;

/// What leaves one square metre of open surface.
///
/// The evaporated water also carries its vapour enthalpy away
/// ([`crate::water::enthalpy_vapour_j_per_kg`] at the surface temperature, times the evaporation).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceFlux {
    /// Evaporation, kg/(m²·s); never negative.
    pub evaporation_kg_per_m2_s: f64,
    /// Convection to the air, W/m²; negative when a draught warms a cold surface.
    pub convection_w_per_m2: f64,
    /// Radiation to the room, W/m²; negative when the room is warmer.
    pub radiation_w_per_m2: f64,
}

/// The air over a tank, with everything that does not depend on the surface worked out once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomAir {
    air: AirState,
    vapour_pa: f64,
    density_kg_per_m3: f64,
    radiation_k4: f64,
    /// Natural mass transfer over `Δρ^(1/3)`, natural heat transfer over `Δρ^(1/3)`, forced heat transfer times
    /// latent heat: each a parabola in the surface temperature.
    parabolas: [[f64; 3]; 3],
    forced: f64,
}

impl RoomAir {
    /// Prepares room air that moves over the tank at `air_speed_m_per_s`.
    ///
    /// # Errors
    /// An air state that cannot be (see [`AirState::check`]). A negative or undefined air speed counts as none.
    pub fn new(air: &AirState, air_speed_m_per_s: f64) -> Result<Self, AirError> {
        air.check()?;
        let forced = 0.0782 * air_speed_m_per_s.max(0.0);
        // The film properties vary by some 10 % over all surface temperatures, so a parabola through three carries
        // them to 0.1 %.
        let nodes_c = [5.0, 50.0, 95.0];
        let films = nodes_c.map(|t| Film::between(t, air));
        let through = |pick: fn(&Film) -> f64| parabola(nodes_c, films.each_ref().map(pick));
        Ok(Self {
            air: *air,
            vapour_pa: air.vapour_pressure_pa(),
            density_kg_per_m3: air.density_kg_per_m3(),
            radiation_k4: (air.temp_c + ZERO_CELSIUS_K).powi(4),
            parabolas: [
                through(|f| f.natural_mass),
                through(|f| f.natural_heat),
                through(|f| f.forced_heat),
            ],
            forced,
        })
    }

    /// The air state this was prepared for.
    #[must_use]
    pub fn air(&self) -> &AirState {
        &self.air
    }

    /// What leaves an open surface of solution at `temp_c` in °C with the given water activity.
    ///
    /// Equations under [`crate::surface`]; convection by the same analogy as the evaporation, radiation with emissivity
    /// [`SURFACE_EMISSIVITY`] against surroundings at air temperature.
    ///
    /// # Valid
    /// Surfaces from 0 to 95 °C. Within 15 % of the open-tank table from 43 to 71 °C in still air.
    ///
    /// # Source
    /// Natural part: heat transfer from a horizontal hot plate, turbulent, `Nu = 0.14·Ra^(1/3)` (McAdams, Heat
    /// Transmission, 1954; from memory) by the analogy of heat and mass transfer. Forced part: ASHRAE Handbook: HVAC
    /// Applications, natatoriums, `w = A·(0.089 + 0.0782·v)·(pw − pa)/Y` (from memory; agrees by conversion with the
    /// inch-pound form `95 + 0.425·v` of ASHRAE Transactions 104, 1998).
    #[inline]
    #[must_use]
    pub fn open_surface(&self, temp_c: f64, water_activity: f64) -> SurfaceFlux {
        let t_k = temp_c + ZERO_CELSIUS_K;
        let vapour_pa = water_activity * saturation_pressure_fast_pa(temp_c);
        let driving_pa = (vapour_pa - self.vapour_pa).max(0.0);
        // Vapour weighs 0.622 of the dry air it displaces.
        let density = (self.air.pressure_pa - 0.378 * vapour_pa) / (R_DRY_AIR * t_k);
        let buoyancy = cube_root_made_linear(self.density_kg_per_m3 - density);
        let held_c = temp_c.clamp(0.0, 100.0);
        let [mass, heat, forced_heat] = self
            .parabolas
            .map(|[a, b, c]| a + held_c * (b + held_c * c));
        let forced_over_latent = self.forced / latent_heat_j_per_kg(temp_c);
        let convection = heat * buoyancy + forced_heat * forced_over_latent;
        SurfaceFlux {
            evaporation_kg_per_m2_s: (mass * buoyancy + forced_over_latent) * driving_pa,
            convection_w_per_m2: convection * (temp_c - self.air.temp_c),
            radiation_w_per_m2: SURFACE_EMISSIVITY
                * STEFAN_BOLTZMANN
                * (t_k * t_k * t_k * t_k - self.radiation_k4),
        }
    }
}

/// What leaves an open surface once; many surfaces under the same air are cheaper through [`RoomAir`].
///
/// # Errors
/// As [`RoomAir::new`].
pub fn open_surface(
    temp_c: f64,
    water_activity: f64,
    air: &AirState,
    air_speed_m_per_s: f64,
) -> Result<SurfaceFlux, AirError> {
    Ok(RoomAir::new(air, air_speed_m_per_s)?.open_surface(temp_c, water_activity))
}

/// Surface that counts for losses, m², of a tank with air sparging: the open area plus a 6-inch strip along each pipe.
///
/// `area_m2` is the open area, `pipe_length_m` the length of all sparge pipes together, each fed about 1 cfm per foot
/// (1.55 L/s per metre).
///
/// # Source
/// Metal Finishing Guidebook (2011–12), immersion heater chapter, page 668: a 3 ft × 4 ft tank with two 4 ft pipes
/// counts as 16 ft².
#[must_use]
pub fn sparged_area_m2(area_m2: f64, pipe_length_m: f64) -> f64 {
    area_m2 + SPARGE_STRIP_M * pipe_length_m.max(0.0)
}

/// `Δρ^(1/3)`, zero for stable layers and linear below [`LINEAR_BELOW_KG_PER_M3`].
/// Cube root of a normal positive number within 1e-15, relative: a guess from the exponent, then Halley's iteration twice.
///
/// The library's own is exact to the last bit and takes six times as long; this stands in the innermost loop.
#[inline]
fn cube_root(x: f64) -> f64 {
    /// Two thirds of the exponent's offset, less what evens the guess's error out.
    const OFFSET: u64 = 0x2A9F_7625_3119_D328;
    let mut r = f64::from_bits(x.to_bits() / 3 + OFFSET);
    for _ in 0..2 {
        let cube = r * r * r;
        r *= (cube + 2.0 * x) / (2.0 * cube + x);
    }
    r
}

#[inline]
fn cube_root_made_linear(density_difference: f64) -> f64 {
    if density_difference > LINEAR_BELOW_KG_PER_M3 {
        cube_root(density_difference)
    } else {
        // 0.002^(-2/3) makes the line meet the root.
        62.996_052_494_743_65 * density_difference.max(0.0)
    }
}

/// Transfer coefficients at the mean temperature of surface and room.
struct Film {
    natural_mass: f64,
    natural_heat: f64,
    forced_heat: f64,
}

impl Film {
    /// Dry-air properties at the film temperature: viscosity by Sutherland's formula and conductivity as in the U.S.
    /// Standard Atmosphere (1976), diffusivity of water vapour by Marrero and Mason (1972), all from memory.
    fn between(surface_c: f64, air: &AirState) -> Self {
        let t_k = 0.5 * (surface_c + air.temp_c) + ZERO_CELSIUS_K;
        let viscosity = 1.458e-6 * t_k.powf(1.5) / (t_k + 110.4);
        let conductivity = 2.646_38e-3 * t_k.powf(1.5) / (t_k + 245.4 * 10f64.powf(-12.0 / t_k));
        let diffusivity = 1.87e-10 * t_k.powf(2.072) * 101_325.0 / air.pressure_pa;
        let density = air.pressure_pa / (R_DRY_AIR * t_k);
        let diffusivity_heat = conductivity / (density * CP_DRY_AIR);
        let kg_per_pa = MOLAR_MASS_WATER / (R_MOLAR * t_k);
        let rise = (GRAVITY / viscosity).cbrt();
        let lewis = (diffusivity_heat / diffusivity).powf(2.0 / 3.0);
        Self {
            natural_mass: 0.14 * rise * diffusivity.powf(2.0 / 3.0) * kg_per_pa,
            natural_heat: 0.14 * rise * conductivity / diffusivity_heat.cbrt(),
            forced_heat: density * CP_DRY_AIR * lewis / kg_per_pa,
        }
    }
}

/// Coefficients of the parabola `a + b·x + c·x²` through three points.
fn parabola(x: [f64; 3], y: [f64; 3]) -> [f64; 3] {
    let first = (y[1] - y[0]) / (x[1] - x[0]);
    let second = ((y[2] - y[1]) / (x[2] - x[1]) - first) / (x[2] - x[0]);
    [
        y[0] - first * x[0] + second * x[0] * x[1],
        first - second * (x[0] + x[1]),
        second,
    ]
}

#[cfg(test)]
mod cube_root_tests {
    use super::cube_root;

    #[test]
    fn the_fast_cube_root_meets_the_exact_one() {
        let mut worst = 0.0_f64;
        for i in 0..20_000 {
            let x = 10_f64.powf(-6.0 + 8.0 * f64::from(i) / 20_000.0);
            worst = worst.max((cube_root(x) / x.cbrt() - 1.0).abs());
        }
        assert!(worst < 1e-14, "{worst:e}");
    }
}
