//! Moist air: states, humidity, wet bulb and dew point, enthalpy, and air that carries fog.
//!
//! Air and vapour are ideal gases that do not notice each other; the enhancement factor of real moist air (1.004 to
//! 1.005 at room temperature and normal pressure) is left out. Saturation humidity ratios are therefore 0.4 to 0.7 %
//! below the ASHRAE tables up to 60 °C, and 1.2 % below at 85 °C, where the ratio itself runs away. All amounts are
//! per kilogram of dry air; the enthalpy reference is that of [`crate::water`]. Below 0 °C saturation is over ice.

mod fog;

pub(crate) use fog::fog_parts;
pub use fog::{FoggedAir, fogged_air};

use crate::amount::{Amount, told_in_metric};
use crate::water::{
    CP_VAPOUR, CP_WATER, LATENT_HEAT_0C, ZERO_CELSIUS_K, saturation_pressure_and_slope_fast,
    saturation_pressure_fast_pa,
};

/// Specific heat capacity of dry air, J/(kg·K), taken as constant.
pub const CP_DRY_AIR: f64 = 1006.0;

/// Specific gas constant of dry air, J/(kg·K): ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 1.
pub const R_DRY_AIR: f64 = 287.042;

/// Molar mass of water over that of dry air: ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 20.
pub const MOLAR_MASS_RATIO: f64 = 0.621_945;

/// Standard pressure at sea level, Pa.
pub const STANDARD_PRESSURE_PA: f64 = 101_325.0;

/// An air state that cannot be.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AirError {
    /// The relative humidity is not between 0 and 1.
    RelativeHumidity {
        /// The value given, as a fraction.
        relative_humidity: f64,
    },
    /// The pressure is not between 20 kPa and 200 kPa.
    Pressure {
        /// The value given, Pa.
        pressure_pa: f64,
    },
    /// The temperature is outside what the vapour-pressure formulas carry, or vapour would fill the whole pressure.
    Temperature {
        /// The temperature given, °C.
        temp_c: f64,
        /// The pressure given, Pa.
        pressure_pa: f64,
    },
    /// The humidity ratio is negative, not a number, or more than ten times what the air could be made of.
    HumidityRatio {
        /// The value given, kg of vapour per kg of dry air.
        humidity_ratio: f64,
    },
}

/// Lowest and highest pressure of air, Pa.
const PRESSURES_PA: (f64, f64) = (20e3, 200e3);
/// Coldest air, °C.
const COLDEST_C: f64 = -60.0;

impl AirError {
    /// What is wrong; `write` writes a number with its unit.
    pub fn words(&self, write: &dyn Fn(Amount) -> String) -> String {
        match *self {
            Self::RelativeHumidity { relative_humidity } => {
                let given = write(Amount::Share(relative_humidity));
                format!("relative humidity {given} is outside 0 to 100 %")
            }
            Self::Pressure { pressure_pa } => {
                let pressure = |pa: f64| write(Amount::PressurePa(pa));
                let (low, high) = (pressure(PRESSURES_PA.0), pressure(PRESSURES_PA.1));
                let given = pressure(pressure_pa);
                format!("air pressure {given} is outside {low} to {high}")
            }
            Self::Temperature {
                temp_c,
                pressure_pa,
            } => {
                let temperature = |c: f64| write(Amount::TemperatureC(c));
                let at = write(Amount::PressurePa(pressure_pa));
                let (given, least) = (temperature(temp_c), temperature(COLDEST_C));
                format!("air of {given} is outside {least} to the boiling point at {at}")
            }
            Self::HumidityRatio { humidity_ratio } => {
                let given = write(Amount::Number(humidity_ratio));
                format!("humidity ratio {given} (by mass) is outside 0 to 10")
            }
        }
    }
}

told_in_metric!(AirError);

/// Humidity ratio, kg/kg dry air, of air with vapour pressure `vapour_pa` at total pressure `pressure_pa`.
///
/// `W = 0.621945·pw/(p − pw)`.
///
/// # Valid
/// `pw < p`. Above 0.95·p the ratio is continued along its tangent there instead of passing through the pole, so
/// that an iteration that strays close to boiling stays finite.
///
/// # Source
/// ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 20.
#[inline]
#[must_use]
pub fn humidity_ratio_from_vapour_pressure(vapour_pa: f64, pressure_pa: f64) -> f64 {
    humidity_ratio_and_slope(vapour_pa, pressure_pa).0
}

/// Humidity ratio and its slope with vapour pressure, 1/Pa, continued along the tangent above 0.95·p.
#[inline]
pub(crate) fn humidity_ratio_and_slope(vapour_pa: f64, pressure_pa: f64) -> (f64, f64) {
    let held = vapour_pa.min(0.95 * pressure_pa);
    let inverse = 1.0 / (pressure_pa - held);
    let slope = MOLAR_MASS_RATIO * pressure_pa * inverse * inverse;
    (
        MOLAR_MASS_RATIO * held * inverse + slope * (vapour_pa - held),
        slope,
    )
}

/// Humidity ratio of saturated air, kg/kg dry air, at `temp_c` in °C and `pressure_pa` in Pa.
///
/// # Valid
/// −60 °C up to where the vapour is 0.95 of the pressure; beyond, continued as by
/// [`humidity_ratio_from_vapour_pressure`].
///
/// # Source
/// ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 21, without enhancement factor.
#[inline]
#[must_use]
pub fn humidity_ratio_saturated(temp_c: f64, pressure_pa: f64) -> f64 {
    humidity_ratio_from_vapour_pressure(saturation_pressure_fast_pa(temp_c), pressure_pa)
}

/// Enthalpy of moist air without fog, J/kg dry air: `1006·T + W·(2.501e6 + 1860·T)`.
///
/// `temp_c` in °C, `humidity_ratio` in kg/kg dry air.
///
/// # Valid
/// −40 to 100 °C.
///
/// # Source
/// ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 30.
#[inline]
#[must_use]
pub fn enthalpy_j_per_kg_da(temp_c: f64, humidity_ratio: f64) -> f64 {
    CP_DRY_AIR * temp_c + humidity_ratio * (LATENT_HEAT_0C + CP_VAPOUR * temp_c)
}

/// Volume of the gas that holds one kilogram of dry air, m³/kg: `R·T·(1 + W/0.621945)/p`.
///
/// # Source
/// ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 26.
#[inline]
#[must_use]
pub fn specific_volume_m3_per_kg_da(temp_c: f64, humidity_ratio: f64, pressure_pa: f64) -> f64 {
    R_DRY_AIR * (temp_c + ZERO_CELSIUS_K) * (1.0 + humidity_ratio / MOLAR_MASS_RATIO) / pressure_pa
}

/// Pressure of the standard atmosphere, Pa, at `altitude_m` above sea level.
///
/// `p = 101325·(1 − 2.25577e-5·Z)^5.2559`.
///
/// # Valid
/// −500 to 11,000 m; outside, held at that limit.
///
/// # Source
/// ASHRAE Handbook: Fundamentals (2017), chapter 1, equation 3.
///
/// ```
/// # use dragback_properties::air::pressure_at_altitude_pa;
/// // ASHRAE Handbook: Fundamentals (2017), chapter 1, table 1: 89,875 Pa at 1,000 m.
/// assert!((pressure_at_altitude_pa(1000.0) - 89_875.0).abs() < 2.0);
/// ```
#[must_use]
pub fn pressure_at_altitude_pa(altitude_m: f64) -> f64 {
    let z = altitude_m.clamp(-500.0, 11_000.0);
    STANDARD_PRESSURE_PA * (1.0 - 2.255_77e-5 * z).powf(5.2559)
}

/// Air with its moisture as vapour.
///
/// Fields are public because any value may be worked with; [`AirState::check`] says whether it is a state that air
/// can have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirState {
    /// Temperature, °C.
    pub temp_c: f64,
    /// Vapour, kg per kg of dry air.
    pub humidity_ratio: f64,
    /// Total pressure, Pa.
    pub pressure_pa: f64,
}

impl AirState {
    /// Air at `temp_c` in °C with `relative_humidity` as a fraction, at `pressure_pa` in Pa.
    ///
    /// # Errors
    /// A humidity outside 0–1, a pressure outside 20–200 kPa, or a temperature below −60 °C or so high that vapour
    /// would make up more than 95 % of the pressure.
    pub fn from_relative_humidity(
        temp_c: f64,
        relative_humidity: f64,
        pressure_pa: f64,
    ) -> Result<Self, AirError> {
        if !(0.0..=1.0).contains(&relative_humidity) {
            return Err(AirError::RelativeHumidity { relative_humidity });
        }
        let dry = Self {
            temp_c,
            humidity_ratio: 0.0,
            pressure_pa,
        };
        dry.check()?;
        let vapour_pa = relative_humidity * saturation_pressure_fast_pa(temp_c);
        if vapour_pa > 0.95 * pressure_pa {
            return Err(AirError::Temperature {
                temp_c,
                pressure_pa,
            });
        }
        let humidity_ratio = humidity_ratio_from_vapour_pressure(vapour_pa, pressure_pa);
        Ok(Self {
            humidity_ratio,
            ..dry
        })
    }

    /// Refuses states that air cannot have or the formulas do not carry.
    ///
    /// # Errors
    /// As [`AirState::from_relative_humidity`], and a humidity ratio outside 0–10 kg/kg.
    pub fn check(&self) -> Result<(), AirError> {
        let Self {
            temp_c,
            humidity_ratio,
            pressure_pa,
        } = *self;
        if !(PRESSURES_PA.0..=PRESSURES_PA.1).contains(&pressure_pa) {
            return Err(AirError::Pressure { pressure_pa });
        }
        if !(COLDEST_C..=120.0).contains(&temp_c) {
            return Err(AirError::Temperature {
                temp_c,
                pressure_pa,
            });
        }
        if !(0.0..=10.0).contains(&humidity_ratio) {
            return Err(AirError::HumidityRatio { humidity_ratio });
        }
        Ok(())
    }

    /// Partial pressure of the vapour, Pa.
    #[must_use]
    pub fn vapour_pressure_pa(&self) -> f64 {
        self.pressure_pa * self.humidity_ratio / (MOLAR_MASS_RATIO + self.humidity_ratio)
    }

    /// Vapour pressure over that of saturation at the same temperature; over ice below 0 °C.
    #[must_use]
    pub fn relative_humidity(&self) -> f64 {
        self.vapour_pressure_pa() / saturation_pressure_fast_pa(self.temp_c)
    }

    /// Enthalpy, J per kg of dry air, by [`enthalpy_j_per_kg_da`].
    #[must_use]
    pub fn enthalpy_j_per_kg_da(&self) -> f64 {
        enthalpy_j_per_kg_da(self.temp_c, self.humidity_ratio)
    }

    /// Volume, m³ per kg of dry air, by [`specific_volume_m3_per_kg_da`].
    #[must_use]
    pub fn specific_volume_m3_per_kg_da(&self) -> f64 {
        specific_volume_m3_per_kg_da(self.temp_c, self.humidity_ratio, self.pressure_pa)
    }

    /// Density of the mixture, kg/m³.
    #[must_use]
    pub fn density_kg_per_m3(&self) -> f64 {
        (1.0 + self.humidity_ratio) / self.specific_volume_m3_per_kg_da()
    }

    /// The same air after taking up `heat_j_per_kg_da` of sensible heat per kg of dry air, as from a fan's motor.
    #[must_use]
    pub fn heated(&self, heat_j_per_kg_da: f64) -> Self {
        let cp = CP_DRY_AIR + CP_VAPOUR * self.humidity_ratio;
        Self {
            temp_c: self.temp_c + heat_j_per_kg_da / cp,
            ..*self
        }
    }

    /// Dew point (frost point below 0 °C), °C: where the vapour present would saturate.
    ///
    /// # Valid
    /// Vapour pressures from 1 Pa; drier air gives the frost point of 1 Pa, about −60 °C.
    #[must_use]
    pub fn dew_point_c(&self) -> f64 {
        let target = self.vapour_pressure_pa().max(1.0).ln();
        let mut t = self.temp_c.min(100.0);
        // The logarithm of the pressure is nearly straight in temperature, so Newton's method takes few steps.
        for _ in 0..60 {
            let (p, slope) = saturation_pressure_and_slope_fast(t);
            let step = (p.ln() - target) * p / slope;
            t -= step;
            if step.abs() < 1e-10 {
                break;
            }
        }
        t
    }

    /// Thermodynamic wet-bulb temperature, °C: where air brought to saturation adiabatically by water (below 0 °C,
    /// ice) of that same temperature comes to rest.
    ///
    /// # Valid
    /// Air that is not supersaturated, −40 to 100 °C.
    ///
    /// # Source
    /// ASHRAE Handbook: Fundamentals (2017), chapter 1, equations 33 to 36.
    #[must_use]
    pub fn wet_bulb_c(&self) -> f64 {
        let over_water = self.wet_bulb_over(|t| CP_WATER * t);
        if over_water >= 0.0 {
            return over_water;
        }
        // Enthalpy of ice on this reference: 329 kJ/kg below water at 0 °C, heat capacity 2.1 kJ/(kg·K); these are
        // the constants inside equation 36.
        self.wet_bulb_over(|t| 2100.0 * t - 329e3).min(0.0)
    }

    /// Solves the wet-bulb balance by bisection, with the enthalpy of the added water given.
    fn wet_bulb_over(&self, added_j_per_kg: impl Fn(f64) -> f64) -> f64 {
        let h = self.enthalpy_j_per_kg_da();
        let excess = |t: f64| {
            let ws = humidity_ratio_saturated(t, self.pressure_pa);
            enthalpy_j_per_kg_da(t, ws) - h - (ws - self.humidity_ratio) * added_j_per_kg(t)
        };
        let (mut low, mut high) = (self.temp_c.min(100.0) - 80.0, self.temp_c);
        while high - low > 1e-10 {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                break;
            }
            if excess(middle) > 0.0 {
                high = middle
            } else {
                low = middle
            }
        }
        0.5 * (low + high)
    }
}
