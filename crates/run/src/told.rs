//! What an alarm says, as data: a face writes the reading in the units of its people.

use std::fmt;

use dragback_plant::control::Signal;

/// What an instrument read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// A temperature, °C.
    TemperatureC(f64),
    /// A temperature that is known to a degree at best, °C.
    AboutC(f64),
    /// A level, m.
    LevelM(f64),
    /// A strength, g/L.
    StrengthGPerL(f64),
    /// A conductivity, S/m.
    ConductivitySPerM(f64),
    /// A density, kg/m³.
    DensityKgPerM3(f64),
}

impl Reading {
    /// The value of a signal, SI but for temperatures, which are in °C.
    pub(crate) const fn of(signal: Signal, value: f64) -> Self {
        match signal {
            Signal::Temperature(_) => Self::TemperatureC(value),
            Signal::Level(_) => Self::LevelM(value),
            Signal::Concentration(..) => Self::StrengthGPerL(value),
            Signal::Conductivity(_) => Self::ConductivitySPerM(value),
            Signal::Density(_) => Self::DensityKgPerM3(value),
        }
    }
}

/// In metric units.
impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TemperatureC(value) => write!(f, "{value:.1} °C"),
            Self::AboutC(value) => write!(f, "{value:.0} °C"),
            Self::LevelM(value) => write!(f, "{value:.3} m"),
            Self::StrengthGPerL(value) => write!(f, "{value:.3} g/L"),
            Self::ConductivitySPerM(value) => write!(f, "{:.0} µS/cm", 1.0e4 * value),
            Self::DensityKgPerM3(value) => write!(f, "{value:.0} kg/m³"),
        }
    }
}

/// What an alarm says of its instrument or tank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// An instrument tripped.
    Tripped(Reading),
    /// It had tripped before the alarms were told, and stands on.
    StandsOn(Reading),
    /// A tank ran down to its outlet.
    RanDown,
    /// A tank spills over its brim.
    Spills,
    /// A tank holds more of a salt than stays dissolved.
    Saturated {
        /// The salt.
        salt: &'static str,
        /// What is held over what stays dissolved.
        index: f64,
        /// Temperature at which that is so, °C.
        at_c: f64,
        /// When, and so what helps.
        cure: Cure,
    },
}

/// What helps against crystals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cure {
    /// Heat or water.
    WarmOrThin,
    /// Water: gypsum and some others dissolve no better in warmer water.
    Thin,
    /// The tank would pass saturation as the shop cools: heat meanwhile, or water.
    KeepWarmOrThin,
}

impl Told {
    /// It in words: `of` is the instrument or tank, `read` writes a reading with its unit. What helps follows behind a semicolon.
    pub fn words(&self, of: &str, read: impl Fn(Reading) -> String) -> String {
        match *self {
            Self::Tripped(reading) => format!("{of} tripped at {}", read(reading)),
            Self::StandsOn(reading) => format!("{of} stands on, at {}", read(reading)),
            Self::RanDown => format!("{of} ran down to its outlet"),
            Self::Spills => format!("{of} spills over its brim"),
            Self::Saturated {
                salt,
                index,
                at_c,
                cure,
            } => {
                let at = read(Reading::AboutC(at_c));
                let crystals = match cure {
                    Cure::WarmOrThin => {
                        "crystals form in pipes and packing; warm it or thin it with water"
                    }
                    Cure::Thin => "crystals form in pipes and packing; thin it with water",
                    Cure::KeepWarmOrThin => {
                        "crystals would form in pipes when the shop cools over a weekend; keep it warm or thin it with water"
                    }
                };
                let share = 100.0 * index;
                format!(
                    "{of} holds {share:.0} % of the {salt} that stays dissolved at {at}; {crystals}"
                )
            }
        }
    }
}
