//! What happens during a run.

use dragback_units::dim::{Fraction, Time};

use crate::record::{Input, record};

record! {
    /// Something that happens once, at a time or on a condition.
    Event {
        name: Option<String> { "Words for the timeline. Left out: words made from what happens." }
        at: Option<Input<Time>> {
            "When, counted from the start of the run.",
            unit "h", allowed 0.0 => 876_000.0, usual 0.0 => 8760.0, example "30 d"
        }
        when: Option<String> { "Instead of a time: the first time this electrode or alarm is made, such as `loop.holding_tank.electrodes.high_alarm`.", names Relay }
        act as "do": Deed { "What happens." }
    }
}

record! {
    /// What happens in an event: exactly one of these.
    Deed {
        fail: Option<String> { "A heater, pump, blower or valve stops working until it is restored; its path.", names Device, example "" }
        restore: Option<String> { "It works again.", names Device }
        by_hand: Option<String> { "A heater, pump, blower or valve is run by hand, whatever its calendar, level or thermostat says; interlocks still stop it. A heater that holds a bath at its set point goes on doing so. Its path.", names Device }
        automatic: Option<String> { "It is put back to automatic; its path.", names Device }
        stick: Option<String> { "An electrode, alarm or thermostat keeps its state whatever happens; its path.", names Relay }
        free: Option<String> { "It follows its signal again.", names Relay }
        reset: Option<String> { "Somebody resets a latched alarm; its path.", names Relay }
        dump: Option<Dump> { "Part of a tank is pumped out to treatment." }
        stop_water: Option<String> { "A water supply fails; its key.", names Water }
        restore_water: Option<String> { "It returns.", names Water }
        set: Option<SetValue> { "An input takes a new value." }
    }
}

record! {
    /// Part of a tank pumped out at once.
    Dump {
        tank: String { "Path of the station or tank: `loop.bath`, `loop.sections.rinses/1`, `loop.holding_tank`.", names Vessel }
        share: Input<Fraction> = "100 %" {
            "Share taken out.",
            unit "", allowed 0.0 => 1.0, usual 0.1 => 1.0
        }
    }
}

record! {
    /// A new value for an input.
    SetValue {
        path: String { "Path of the input.", names Input }
        value: String { "Its new value as it would be written." }
    }
}
