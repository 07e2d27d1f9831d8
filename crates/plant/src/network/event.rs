//! What happens once in a run.

use std::sync::Arc;

use super::Network;
use crate::ids::{AccountId, DeviceId, RelayId, SupplyId, VesselId};

/// When an event happens.
#[derive(Clone, Debug, PartialEq)]
pub enum Trigger {
    /// At a time, s.
    At(f64),
    /// The first time a relay closes.
    When(RelayId),
}

/// What an event does.
#[derive(Clone)]
pub enum Action {
    /// A device stops until restored.
    Fail(DeviceId),
    /// A failed device works again.
    Restore(DeviceId),
    /// A device is run by hand: what normally asks for it is overridden, interlocks are not.
    RunByHand(DeviceId),
    /// It answers to calendar, levels and thermostats again.
    BackToAutomatic(DeviceId),
    /// A relay keeps its present state whatever its signal does.
    Stick(RelayId),
    /// A stuck relay follows its signal again.
    Free(RelayId),
    /// An operator resets a latched relay; it stays latched if its signal has not come back.
    Reset(RelayId),
    /// A share of a vessel is pumped out at once.
    Dump {
        /// The vessel.
        vessel: VesselId,
        /// Share taken, 0 to 1.
        share: f64,
        /// Ledger line.
        account: AccountId,
    },
    /// A supply of water fails.
    CutSupply(SupplyId),
    /// A failed supply returns.
    RestoreSupply(SupplyId),
    /// Inputs change: the run goes on with another network of the same lists.
    Become(Arc<Network>),
}

impl std::fmt::Debug for Action {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Fail(d) => write!(f, "Fail({})", d.0),
            Self::Restore(d) => write!(f, "Restore({})", d.0),
            Self::RunByHand(d) => write!(f, "RunByHand({})", d.0),
            Self::BackToAutomatic(d) => write!(f, "BackToAutomatic({})", d.0),
            Self::Stick(r) => write!(f, "Stick({})", r.0),
            Self::Free(r) => write!(f, "Free({})", r.0),
            Self::Reset(r) => write!(f, "Reset({})", r.0),
            Self::Dump { vessel, share, .. } => write!(f, "Dump({}, {share})", vessel.0),
            Self::CutSupply(s) => write!(f, "CutSupply({})", s.0),
            Self::RestoreSupply(s) => write!(f, "RestoreSupply({})", s.0),
            Self::Become(_) => write!(f, "Become"),
        }
    }
}

/// Something that happens once.
#[derive(Clone, Debug)]
pub struct Event {
    /// Words for the timeline.
    pub name: String,
    /// When.
    pub trigger: Trigger,
    /// What.
    pub action: Action,
}
