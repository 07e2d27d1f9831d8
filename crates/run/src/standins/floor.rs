//! How far down a vessel may be drawn.

use dragback_plant::ids::RelayId;

/// A relay that lets a device draw from a vessel as long as there is enough in it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Permit {
    pub relay: RelayId,
    /// Volume at which it closes the device down, m³.
    pub low_m3: f64,
    /// Volume at which it lets the device run again, m³.
    pub high_m3: f64,
}

/// How far down a vessel may be drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Floor {
    pub dead_m3: f64,
    pub permit: Option<Permit>,
}

/// A relay whose vessel fills across its band within this time takes turns so often that only its average counts, s.
///
/// It is a day, so that what a working day repeats is averaged, and the phase in which a relay happens to be when the shift ends does not
/// make one week differ from the next.
const OFTEN_S: f64 = 24.0 * dragback_plant::calendar::HOUR_S;

impl Floor {
    /// Volume below which nothing is drawn during a step of `h` seconds, m³, where `arrives_m3_per_s` comes in; and whether the relay takes
    /// turns, which it `did` in the step before.
    ///
    /// As long as enough arrives for the relay to take turns, the vessel stands at the middle of its band on average, and is left there when
    /// nothing arrives any more, since a pump is mostly off. Else the relay keeps its state: on, the vessel is drawn to the lower threshold;
    /// off, it is left alone until it reaches the upper one.
    pub(crate) fn volume_m3(
        &self,
        (start_m3, arrives_m3_per_s): (f64, f64),
        h: f64,
        did: bool,
        is_on: impl Fn(RelayId) -> bool,
    ) -> (f64, bool) {
        let Some(permit) = self.permit else {
            return (self.dead_m3, false);
        };
        let band_m3 = permit.high_m3 - permit.low_m3;
        let (floor_m3, takes_turns) = if arrives_m3_per_s * h.max(OFTEN_S) >= band_m3 {
            (permit.low_m3 + 0.5 * band_m3, true)
        } else if start_m3 >= permit.high_m3 || (is_on(permit.relay) && !did) {
            (permit.low_m3, false)
        } else {
            let full_m3 = start_m3 + h * arrives_m3_per_s.max(0.0);
            (full_m3.min(permit.high_m3), did)
        };
        (floor_m3.max(self.dead_m3), takes_turns)
    }
}

impl Permit {
    /// Mean volume of a vessel that is filled by batches and emptied in between for `share` of the time, m³.
    ///
    /// The device waits at the lower threshold until as many batches as reach the upper one have come, and then works the vessel
    /// down again.
    pub(crate) fn batched_m3(&self, batch_m3: f64, share: f64) -> f64 {
        let batches = ((self.high_m3 - self.low_m3) / batch_m3).ceil().max(1.0);
        let rises = (1.0 - share) * (batches - 1.0) / batches;
        self.low_m3 + 0.5 * batches * batch_m3 * (share + rises)
    }
}
