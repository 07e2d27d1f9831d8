//! Where each balance lives in the state vector.
//!
//! The vector holds blocks of one length: water, enthalpy, then the solutes. Vessels come first, then the ledger lines, then
//! the metered transfers; single-valued meters follow. Each flux is taken from one block and given to another, so the sum over
//! vessels and ledger lines never changes: that sum is what the audit checks.

use crate::ids::{AccountId, DeviceId, HeatId, SoluteId, TowerId, TransferId, VesselId};
use crate::network::Network;

/// Number of quantities ahead of the solutes in a block.
const LEADING: usize = 2;

/// Positions in the state vector. Built once per network; nothing else computes an index.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    solutes: usize,
    vessels: usize,
    accounts: usize,
    transfers: usize,
    towers: usize,
    heats: usize,
    devices: usize,
    /// For each transfer the number of its meter block, if it is metered.
    meter_of: Vec<Option<usize>>,
    meters: usize,
}

impl Layout {
    /// The layout of a network; transfers that the answers need solute by solute get a meter block.
    #[must_use]
    pub fn of(net: &Network) -> Self {
        let mut meter_of = vec![None; net.transfers.len()];
        let mut meters = 0;
        for roles in &net.loops {
            let wanted = roles
                .returns
                .iter()
                .chain(&roles.withdrawals)
                .chain(&roles.drag_out)
                .chain(&roles.drag_in)
                .chain(&roles.to_treatment)
                .chain(&roles.lost_on_work)
                .chain(&roles.spills);
            for t in wanted {
                let slot: &mut Option<usize> = &mut meter_of[t.index()];
                if slot.is_none() {
                    *slot = Some(meters);
                    meters += 1;
                }
            }
        }
        Self {
            solutes: net.solutes.len(),
            vessels: net.vessels.len(),
            accounts: net.accounts.len(),
            transfers: net.transfers.len(),
            towers: net.towers.len(),
            heats: net.heats.len(),
            devices: net.devices.len(),
            meter_of,
            meters,
        }
    }

    /// Length of a block.
    #[must_use]
    pub const fn block_len(&self) -> usize {
        LEADING + self.solutes
    }

    /// Place of water within a block.
    pub const WATER: usize = 0;
    /// Place of enthalpy within a block.
    pub const ENTHALPY: usize = 1;

    /// Place of a solute within a block.
    #[must_use]
    pub const fn solute(&self, s: SoluteId) -> usize {
        LEADING + s.0
    }

    /// Places of all solutes within a block.
    #[must_use]
    pub const fn solutes(&self) -> std::ops::Range<usize> {
        LEADING..LEADING + self.solutes
    }

    /// Start of a vessel's block.
    #[must_use]
    pub const fn vessel(&self, v: VesselId) -> usize {
        v.0 * self.block_len()
    }

    /// Start of a ledger line's block; positive means that the plant gave.
    #[must_use]
    pub const fn account(&self, a: AccountId) -> usize {
        (self.vessels + a.0) * self.block_len()
    }

    /// Places of all ledger lines.
    #[must_use]
    pub const fn accounts(&self) -> std::ops::Range<usize> {
        self.state_len()..self.audited_len()
    }

    /// Start of a metered transfer's block, if it is metered.
    #[must_use]
    pub fn meter(&self, t: TransferId) -> Option<usize> {
        self.meter_of[t.index()].map(|m| (self.vessels + self.accounts + m) * self.block_len())
    }

    /// Number of leading entries that are states; the rest only accumulates.
    #[must_use]
    pub const fn state_len(&self) -> usize {
        self.vessels * self.block_len()
    }

    /// Number of leading entries that take part in the audit: vessels and ledger lines.
    #[must_use]
    pub const fn audited_len(&self) -> usize {
        (self.vessels + self.accounts) * self.block_len()
    }

    const fn scalars(&self) -> usize {
        (self.vessels + self.accounts + self.meters) * self.block_len()
    }

    /// Volume moved by a transfer, m³.
    #[must_use]
    pub const fn moved(&self, t: TransferId) -> usize {
        self.scalars() + t.0
    }

    /// Water evaporated by a tower, kg.
    #[must_use]
    pub const fn tower_water(&self, t: TowerId) -> usize {
        self.scalars() + self.transfers + t.0
    }

    /// Heat drawn by a tower, J.
    #[must_use]
    pub const fn tower_heat(&self, t: TowerId) -> usize {
        self.scalars() + self.transfers + self.towers + t.0
    }

    /// Water evaporated from a vessel's surface, kg.
    #[must_use]
    pub const fn surface_water(&self, v: VesselId) -> usize {
        self.scalars() + self.transfers + 2 * self.towers + v.0
    }

    /// Heat delivered by a heat flow, J; what it takes away counts against it.
    #[must_use]
    pub const fn delivered(&self, h: HeatId) -> usize {
        self.scalars() + self.transfers + 2 * self.towers + self.vessels + h.0
    }

    /// Running time of a device, s (times its output).
    ///
    /// The averaged driver books here the share of time that the feed pump of a tower works. Where another device is regulated it books what
    /// the device could do, since its stand-in acts on the flow or the power itself.
    #[must_use]
    pub const fn ran(&self, d: DeviceId) -> usize {
        self.scalars() + self.transfers + 2 * self.towers + self.vessels + self.heats + d.0
    }

    /// Length of the whole vector.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.scalars() + self.transfers + 2 * self.towers + self.vessels + self.heats + self.devices
    }

    /// Whether the network has no vessel at all.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.vessels == 0
    }
}
