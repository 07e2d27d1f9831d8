//! Handles into the lists of a [`Network`](crate::Network).
//!
//! A handle can only be made from a position in the list it belongs to, so that a vessel's number is never used for a device.

macro_rules! handle {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub usize);

        impl $name {
            /// Position in the network's list.
            #[must_use]
            pub const fn index(self) -> usize {
                self.0
            }
        }
    };
}

handle!(
    /// A solute of the network.
    SoluteId
);
handle!(
    /// A well-mixed holdup.
    VesselId
);
handle!(
    /// A liquid of fixed composition that enters from outside.
    SupplyId
);
handle!(
    /// A ledger line: one named way across the boundary.
    AccountId
);
handle!(
    /// A stream of liquid.
    TransferId
);
handle!(
    /// A flow of heat into or out of one vessel.
    HeatId
);
handle!(
    /// A source or sink of matter within a vessel.
    SourceId
);
handle!(
    /// An atmospheric evaporator.
    TowerId
);
handle!(
    /// A calendar of open hours.
    CalendarId
);
handle!(
    /// A body of air: the room, or the outside.
    ClimateId
);
handle!(
    /// A flow of work through the line.
    WorkId
);
handle!(
    /// Something that runs or rests: a pump, a blower, a heating element, a valve.
    DeviceId
);
handle!(
    /// A switch with two thresholds.
    RelayId
);
handle!(
    /// A periodic analysis with its addition.
    AdditionId
);
