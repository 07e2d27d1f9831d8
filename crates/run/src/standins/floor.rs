//! How far down a vessel may be drawn.

use dragback_plant::ids::RelayId;

use super::HAIR;

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

/// What a vessel under a permit has to deal with in a step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stock {
    /// Volume at the step's beginning, m³.
    pub start_m3: f64,
    /// What comes in less what leaves by other ways, m³/s.
    pub arrives_m3_per_s: f64,
    /// What the device draws while it runs, m³/s.
    pub full_m3_per_s: f64,
    /// Batches in which water comes, if it does.
    pub batches: Option<Batches>,
    /// Whether some of what comes is a store that a pump empties: it does not go on coming.
    pub is_passing: bool,
}

/// What holds under a device's draw in a step.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Held {
    /// Nothing is drawn below this volume, m³; infinite where nothing is drawn at all.
    pub floor_m3: f64,
    /// To where the device still draws once no more water comes, m³; none where its relay's own state says it.
    pub rest_m3: Option<f64>,
    /// Whether its relay takes turns, so that the vessel stands at a mean.
    pub takes_turns: bool,
    /// Least volume since the device began to wait for more, m³; none where it does not.
    pub waits_from_m3: Option<f64>,
}

/// Water that a pump brings at times.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Batches {
    /// One of them, m³.
    pub each_m3: f64,
    /// On average, m³/s.
    pub flow_m3_per_s: f64,
}

impl Stock {
    /// Half of a batch, m³: by as much the vessel swings about its mean.
    fn half_batch_m3(&self) -> f64 {
        self.batches.map_or(0.0, |b| 0.5 * b.each_m3)
    }

    /// What leaves by other ways between two batches, m³; no more than one of them brings.
    fn lost_between_m3(&self) -> f64 {
        self.batches.map_or(0.0, |b| {
            let leaves = b.flow_m3_per_s - self.arrives_m3_per_s;
            (leaves / b.flow_m3_per_s).clamp(0.0, 0.95) * b.each_m3
        })
    }

    /// Volume at the end of a step in which the device stops at `low_m3`, m³, below which other ways may go on drawing.
    fn drawn_to_m3(&self, low_m3: f64, h: f64) -> f64 {
        let arrives = self.arrives_m3_per_s.min(0.0);
        let falls = self.full_m3_per_s - arrives;
        if falls <= 0.0 {
            return low_m3;
        }
        let draws_s = ((self.start_m3 - low_m3) / falls).clamp(0.0, h);
        low_m3 + arrives * (h - draws_s)
    }
}

impl Floor {
    /// What holds during a step of `h` seconds, after what `held` in the step before.
    ///
    /// As long as the vessel fills and empties often enough for the relay to take turns, it stands at a mean. When nothing comes any more, a device
    /// that runs draws it to the lower threshold, and one that waits leaves it; on the mean that is a volume between them, by the share of time
    /// that it ran. Else the relay keeps its state: on, the vessel is drawn to the lower threshold; off, it is left alone until it
    /// reaches the upper one. Where batches come, it is the swing about the mean that reaches both.
    pub(crate) fn held(
        &self,
        stock: &Stock,
        h: f64,
        before: Held,
        is_on: impl Fn(RelayId) -> bool,
    ) -> Held {
        let Some(permit) = self.permit else {
            return Held {
                floor_m3: self.dead_m3,
                ..Held::default()
            };
        };
        let held = permit.held(stock, h, before, is_on(permit.relay));
        Held {
            floor_m3: held.floor_m3.max(self.dead_m3),
            ..held
        }
    }
}

impl Permit {
    /// What holds during a step, apart from the outlet.
    fn held(&self, stock: &Stock, h: f64, before: Held, is_on: bool) -> Held {
        let (start_m3, arrives) = (stock.start_m3, stock.arrives_m3_per_s);
        let low_m3 = self.low_m3 + stock.half_batch_m3();
        let waits_from_m3 = before.waits_from_m3.map(|m3| m3.min(start_m3));
        let from_low = self.waits_for(stock, self.low_m3);
        let begins_m3 = match waits_from_m3 {
            Some(from_m3) => self.waits_for(stock, from_m3).1,
            None => from_low.1,
        };
        let high_m3 = begins_m3 - stock.half_batch_m3();
        let fills = |m3_per_s: f64, m3: f64| m3_per_s * h.max(OFTEN_S) >= m3;
        let is_often = !stock.is_passing
            && fills(arrives, self.high_m3 - self.low_m3)
            && fills(stock.full_m3_per_s - arrives, (high_m3 - low_m3).max(0.0));
        let (mean_m3, waits_at_m3) = self.taking_turns_m3(stock, from_low);
        let held = |floor_m3: f64, rest_m3: f64| Held {
            floor_m3,
            rest_m3: Some(rest_m3),
            ..Held::default()
        };
        if is_often && start_m3 <= high_m3.max(mean_m3) * (1.0 + HAIR) {
            return Held {
                takes_turns: true,
                ..held(mean_m3, waits_at_m3)
            };
        }
        if start_m3 >= high_m3 || (before.rest_m3.is_none() && is_on) {
            return held(stock.drawn_to_m3(low_m3, h), self.low_m3);
        }
        if let (Some(rest_m3), None) = (before.rest_m3, before.waits_from_m3)
            && start_m3 > rest_m3.max(low_m3) * (1.0 + HAIR)
        {
            return held(stock.drawn_to_m3(rest_m3.max(low_m3), h), rest_m3);
        }
        let end_m3 = start_m3 + h * arrives.max(0.0);
        if end_m3 <= high_m3 {
            return Held {
                waits_from_m3: Some(waits_from_m3.unwrap_or(start_m3)),
                ..held(f64::INFINITY, end_m3)
            };
        }
        // It begins within the step, and draws for what is left of it.
        let drawn_m3 = (end_m3 - high_m3) / arrives * stock.full_m3_per_s;
        held((end_m3 - drawn_m3).max(self.low_m3), self.low_m3)
    }

    /// How many batches the device waits for from a volume on, on the mean, and the volume with the last of them, m³.
    ///
    /// What leaves meanwhile by other ways decides whether it takes a batch more; the moment at which the device began to wait, between two batches, is as likely as
    /// any other. Water that comes all the time is the limit of small batches.
    fn waits_for(&self, stock: &Stock, from_m3: f64) -> (f64, f64) {
        let Some(batch) = stock.batches else {
            return (f64::INFINITY, self.high_m3);
        };
        let (lost_m3, room_m3) = (stock.lost_between_m3(), self.high_m3 - from_m3);
        let gain_m3 = batch.each_m3 - lost_m3;
        let count = mean_of_whole((room_m3 - lost_m3) / gain_m3, room_m3 / gain_m3);
        (count, from_m3 + count * gain_m3 + 0.5 * lost_m3)
    }

    /// Mean volume of a vessel that its device empties and that fills in between, m³, and the mean of what is there when nothing comes any more and a device that
    /// runs has emptied it.
    ///
    /// The device waits at the lower threshold until as many batches as reach the upper one have come, and then works the vessel down again.
    fn taking_turns_m3(&self, stock: &Stock, (count, begins_m3): (f64, f64)) -> (f64, f64) {
        let share = (stock.arrives_m3_per_s / stock.full_m3_per_s).clamp(0.0, 1.0);
        let rise_m3 = begins_m3 - self.low_m3;
        // Half of a batch passes before the first of them, on the mean; from then on each waits for the next.
        let waits = if count.is_finite() {
            (count - 1.0) / (count - 0.5)
        } else {
            1.0
        };
        let waits_at_m3 = self.low_m3 + 0.5 * (1.0 - share) * waits * rise_m3;
        (waits_at_m3 + 0.5 * share * rise_m3, waits_at_m3)
    }
}

/// Mean of the next whole number, at least 1, over all numbers between two.
fn mean_of_whole(from: f64, to: f64) -> f64 {
    let area = |x: f64| {
        let whole = x.floor();
        0.5 * whole * (whole + 1.0) + (x - whole) * (whole + 1.0)
    };
    let (from, to) = (from.max(0.0), to.max(0.0));
    if to - from < 1e-9 {
        to.ceil().max(1.0)
    } else {
        (area(to) - area(from)) / (to - from)
    }
}
