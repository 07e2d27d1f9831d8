//! Every kind of alarm that the program has.

use dragback_run::{Alarm, Cause, Cure, Told};

/// A kind of alarm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An instrument tripped.
    Trips,
    /// An instrument had tripped before alarms were told.
    StandsOn,
    /// A tank spills over its brim.
    Spills,
    /// A tank runs down to its outlet.
    RunsDown,
    /// A salt comes out that warming would dissolve.
    ComesOut,
    /// A salt comes out that only water dissolves.
    ComesOutWarmOrNot,
    /// A salt would come out once the tank has cooled.
    OnceCooled,
}

impl Kind {
    /// The kind of an alarm. What it watches must be what it tells of.
    pub fn of(alarm: &Alarm) -> Self {
        let kind = match alarm.told {
            Told::Tripped(_) => Self::Trips,
            Told::StandsOn(_) => Self::StandsOn,
            Told::RanDown => Self::RunsDown,
            Told::Spills => Self::Spills,
            Told::Saturated { cure, .. } => match cure {
                Cure::WarmOrThin => Self::ComesOut,
                Cure::Thin => Self::ComesOutWarmOrNot,
                Cure::KeepWarmOrThin => Self::OnceCooled,
            },
        };
        let watched: &[Self] = match alarm.cause {
            Cause::Relay(_) => &[Self::Trips, Self::StandsOn],
            Cause::RunsLow(_) => &[Self::RunsDown],
            Cause::Spills(_) => &[Self::Spills],
            Cause::Saturated(_) => &[Self::ComesOut, Self::ComesOutWarmOrNot],
            Cause::OnceCooled(_) => &[Self::OnceCooled],
        };
        assert!(watched.contains(&kind), "{alarm:?}");
        kind
    }

    /// The kind behind this one: a kind that is left out of the round is one that the compiler asks for.
    const fn after(self) -> Option<Self> {
        match self {
            Self::Trips => Some(Self::StandsOn),
            Self::StandsOn => Some(Self::Spills),
            Self::Spills => Some(Self::RunsDown),
            Self::RunsDown => Some(Self::ComesOut),
            Self::ComesOut => Some(Self::ComesOutWarmOrNot),
            Self::ComesOutWarmOrNot => Some(Self::OnceCooled),
            Self::OnceCooled => None,
        }
    }

    /// All of them.
    pub fn all() -> impl Iterator<Item = Self> {
        std::iter::successors(Some(Self::Trips), |kind| kind.after())
    }

    /// Whether it is of salts that come out: only liquids that are drawn too strong bring those within a day.
    pub const fn is_of_salts(self) -> bool {
        match self {
            Self::Trips | Self::StandsOn | Self::Spills | Self::RunsDown => false,
            Self::ComesOut | Self::ComesOutWarmOrNot | Self::OnceCooled => true,
        }
    }

    /// How it is counted.
    pub fn words(self) -> String {
        format!("kind of alarm: {self:?}")
    }
}
