//! What stops a layout, in words.

use dragback_units::{Dim, kelvin_from_celsius};

use super::MOST_TOWERS;

/// Why a layout does not work.
#[derive(Clone, Debug, PartialEq)]
pub enum Limit {
    /// No flow brings the film below its limit: too much of the bath's own film is never exchanged.
    NeverClean,
    /// The film is below its limit next to without rinse water.
    CleanAnyway,
    /// More water than the bath's surface drives off.
    MoreThanSurface {
        /// What comes in, mean of the week, m³/s.
        runs_in_m3_per_s: f64,
        /// What the surfaces drive off in the worst month, m³/s.
        surface_m3_per_s: f64,
    },
    /// There is nothing to evaporate: the bath's surface alone closes the loop with the same rinses.
    NoNeed,
    /// The bath cannot hold what the hours of work bring.
    NoRoom,
    /// More towers than are proposed.
    TooManyTowers {
        /// How many it would take at least.
        towers: usize,
    },
    /// A tower evaporates nothing at the set point in the air of some month.
    NothingEvaporates,
    /// A tank runs over.
    RunsOver {
        /// The tank.
        tank: String,
    },
    /// An alarm of a level or of heat.
    Alarm {
        /// The instrument or tank.
        device: String,
    },
    /// A salt comes out.
    Salt {
        /// The tank.
        tank: String,
        /// The salt.
        salt: &'static str,
    },
    /// Water that should be recovered goes to treatment.
    ToTreatment,
    /// Nothing restores the bath.
    RunsDown,
    /// The bath is not held at its set point.
    BathOff {
        /// Its mean temperature, °C.
        temp_c: f64,
    },
    /// The least flow could not be told: from week to week, or from flow to flow, the film jumps.
    NotSharp,
    /// There is no answer.
    NoAnswer {
        /// Why.
        why: String,
    },
}

impl Limit {
    /// It in words, without the numbers that differ from row to row.
    #[must_use]
    pub fn kind(&self) -> String {
        let told = match self {
            Self::NeverClean => "too little film is exchanged, whatever the flow",
            Self::CleanAnyway => "clean enough next to without rinse water",
            Self::MoreThanSurface { .. } => "the bath's surface drives off less than runs in",
            Self::NoNeed => "the bath's surface does it without an evaporator",
            Self::NoRoom => "the bath has no room for the water of a shift",
            Self::TooManyTowers { .. } => {
                return format!("it takes more than {MOST_TOWERS} towers");
            }
            Self::NothingEvaporates => "a tower evaporates nothing so cool",
            Self::RunsOver { tank } => return format!("{} runs over its brim", the_tank(tank)),
            Self::Alarm { device } => return format!("an alarm trips: {device}"),
            Self::Salt { tank, salt } => return format!("{salt} comes out in {}", the_tank(tank)),
            Self::ToTreatment => "water to be recovered goes to treatment",
            Self::RunsDown => "nothing restores the bath, so that it runs down",
            Self::BathOff { .. } => "the bath is not held at its set point",
            Self::NotSharp => "the weeks differ too much to tell a least flow",
            Self::NoAnswer { why } => return why.clone(),
        };
        told.to_owned()
    }

    /// It in words; `write` writes a number with its unit.
    pub fn words(&self, write: &dyn Fn(Dim, f64) -> String) -> String {
        match self {
            Self::MoreThanSurface {
                runs_in_m3_per_s,
                surface_m3_per_s,
            } => {
                let flow = |si: f64| write(Dim::VolumeFlow, si);
                let (off, comes) = (flow(*surface_m3_per_s), flow(*runs_in_m3_per_s));
                format!("the bath's surface drives off {off} of {comes}")
            }
            Self::TooManyTowers { towers } => {
                format!("it takes at least {towers} towers, more than {MOST_TOWERS}")
            }
            Self::BathOff { temp_c } => {
                let temperature = write(Dim::Temperature, kelvin_from_celsius(*temp_c));
                format!("the bath stands at {temperature}, not at its set point")
            }
            _ => self.kind(),
        }
    }

    /// Whether more room or more evaporation may put it right.
    pub(super) const fn is_of_size(&self) -> bool {
        matches!(
            self,
            Self::NoRoom | Self::RunsOver { .. } | Self::ToTreatment | Self::Alarm { .. }
        )
    }
}

/// A tank of a sized layout as people call it: its sections and still rinses have keys of one word.
fn the_tank(name: &str) -> String {
    match name.split_once(' ') {
        Some(("rinses", number)) => format!("rinse {number}"),
        _ if name == "still" => "the still rinse".to_owned(),
        _ => format!("the {name}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tanks_go_by_what_people_call_them() {
        for (tank, words) in [
            ("still", "the still rinse runs over its brim"),
            ("rinses 2", "rinse 2 runs over its brim"),
            ("holding tank", "the holding tank runs over its brim"),
        ] {
            let tank = tank.to_owned();
            assert_eq!(Limit::RunsOver { tank }.kind(), words);
        }
    }
}
