//! Streams of liquid and flows of heat.

use crate::ids::{
    AccountId, CalendarId, DeviceId, SupplyId, TowerId, TransferId, VesselId, WorkId,
};

/// One end of a transfer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// A vessel.
    Vessel(VesselId),
    /// Liquid from outside, booked on an account.
    Supply(SupplyId, AccountId),
    /// Outside, booked on an account; only ever a destination.
    Account(AccountId),
}

/// How fast a transfer runs.
#[derive(Clone, Debug, PartialEq)]
pub enum Law {
    /// A constant volume flow while the gate is open, m³/s.
    Fixed {
        /// Flow, m³/s.
        flow_m3_per_s: f64,
    },
    /// Film on work: liquid per area times the area that passes.
    Film {
        /// The work.
        work: WorkId,
        /// Liquid per area, m³/m².
        film_m: f64,
    },
    /// What a full vessel sheds so as to stay full.
    Overflow {
        /// Width of a sharp-crested weir, m; `None` for the ideal weir that keeps the volume.
        weir_width_m: Option<f64>,
    },
    /// Rinse feed that follows what the loop evaporates now.
    Matched {
        /// Ceiling, m³/s.
        max_m3_per_s: f64,
        /// Share of the evaporation that is fed, 0 to 1.
        share: f64,
        /// Towers counted.
        towers: Vec<TowerId>,
        /// Vessels whose surface loss is counted.
        surfaces: Vec<VesselId>,
        /// Other water entering the loop, taken off.
        less: Vec<TransferId>,
        /// Water leaving the loop, added.
        plus: Vec<TransferId>,
    },
}

/// What must be open for something to run. Empty means always.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Gate {
    /// The device whose output multiplies the rate.
    pub device: Option<DeviceId>,
    /// The calendar that must be open.
    pub calendar: Option<CalendarId>,
}

/// A stream of liquid.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// Name that people use; unique in the network.
    pub name: String,
    /// Where from.
    pub from: End,
    /// Where to.
    pub to: End,
    /// How fast.
    pub law: Law,
    /// When.
    pub gate: Gate,
}

/// How a heat flow is found.
#[derive(Clone, Debug, PartialEq)]
pub enum HeatLaw {
    /// A constant power, W, while the gate is open.
    Power {
        /// Power into the vessel, W.
        power_w: f64,
    },
    /// A coil fed with steam or hot water, `min(cap, UA·(T_supply − T))`, never negative.
    Coil {
        /// Heat-transfer coefficient times area, W/K.
        ua_w_per_k: f64,
        /// Temperature of the heating medium, °C.
        supply_c: f64,
        /// Largest power, W.
        cap_w: f64,
    },
    /// A heater that lets its vessel fall no lower than a set point, within its capacity.
    Hold {
        /// Set point, °C.
        set_c: f64,
        /// Largest power, W.
        power_w: f64,
    },
    /// A cooler that lets its vessel rise no higher than a set point, within its capacity; its flow of heat is negative.
    Cool {
        /// Set point, °C.
        set_c: f64,
        /// Largest power, W.
        power_w: f64,
    },
    /// Work that arrives with the temperature of the station before it.
    Work {
        /// The work.
        work: WorkId,
        /// Station before; `None` when the work comes from the room.
        from: Option<VesselId>,
        /// Heat capacity of work per area, J/m²·K.
        heat_capacity_j_per_m2_k: f64,
    },
}

impl HeatLaw {
    /// The set point that it holds by itself, °C; none where it holds nothing or an instrument switches it.
    #[must_use]
    pub const fn holds_c(&self) -> Option<f64> {
        match self {
            Self::Hold { set_c, .. } | Self::Cool { set_c, .. } => Some(*set_c),
            _ => None,
        }
    }

    /// What it gives its vessel at its most, W, below zero of coolers; none of work, which brings what it brings.
    #[must_use]
    pub const fn rated_w(&self) -> Option<f64> {
        match self {
            Self::Power { power_w } | Self::Hold { power_w, .. } => Some(*power_w),
            Self::Coil { cap_w, .. } => Some(*cap_w),
            Self::Cool { power_w, .. } => Some(-*power_w),
            Self::Work { .. } => None,
        }
    }

    /// Most that it gives its vessel, W; zero of coolers and of work.
    #[must_use]
    pub fn most_w(&self) -> f64 {
        self.rated_w().map_or(0.0, |w| w.max(0.0))
    }
}

/// A flow of heat into one vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct Heat {
    /// Name that people use; unique in the network.
    pub name: String,
    /// The vessel.
    pub vessel: VesselId,
    /// How much.
    pub law: HeatLaw,
    /// When.
    pub gate: Gate,
    /// Ledger line.
    pub account: AccountId,
}
