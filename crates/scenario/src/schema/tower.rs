//! Atmospheric evaporators.

use dragback_units::dim::{Fraction, Number, Power, Temperature, VolumeFlow};

use crate::record::{Input, choice, record};

choice! {
    /// Which vessel feeds a tower and takes the cooled solution back.
    FedFrom {
        /// The heated holding tank.
        HoldingTank = "holding_tank",
        /// The process bath, for hot baths.
        Bath = "bath",
    }
}

choice! {
    /// Which air a tower draws.
    TowerAir {
        /// Air of the hall.
        Room = "room",
        /// Air from outdoors.
        Outside = "outside",
    }
}

choice! {
    /// Where the fan stands.
    FanPlace {
        /// Before the contact: it fixes the volume of the air drawn in.
        Before = "before",
        /// After the contact: it fixes the volume of the air that leaves.
        After = "after",
    }
}

record! {
    /// An atmospheric evaporator: air meets falling solution and leaves humid.
    Tower {
        fed_from: FedFrom = "holding_tank" { "Which tank feeds it." }
        air: TowerAir = "room" { "Which air it draws." }
        air_flow: Input<VolumeFlow> {
            "Air through the tower, at the state where the fan stands. More air carries more water, and more heat, away.",
            unit "m³/h", allowed 10.0 => 2e5, usual 170.0 => 17e3, mark Lever
        }
        fan: FanPlace = "after" { "Where the fan stands." }
        feed: Input<VolumeFlow> {
            "Solution pumped over the packing. It must carry the heat: too little cools too far.",
            unit "L/min", allowed 0.5 => 20e3, usual 10.0 => 300.0, mark Lever
        }
        transfer: Contact { "How good the contact is." }
        exponent: Input<Number> = "0.6" {
            "Exponent n with which the contact changes off its rated flows.",
            unit "", allowed 0.0 => 1.0, usual 0.4 => 0.7
        }
        carry_over: Input<Fraction> = "2e-6" {
            "Share of the feed that leaves as droplets after the mist eliminator. More is lost up the stack.",
            unit "", allowed 0.0 => 0.01, usual 0.0 => 1e-4
        }
        mesh_pad: Input<Number> = "1" {
            "Factor by which an additional mesh pad changes the carry-over; 1 without one. Lower loses less.",
            unit "", allowed 0.0 => 1.0, usual 0.01 => 1.0
        }
        fan_power: Input<Power> = "0 kW" {
            "Power of the fan, which warms the air.",
            unit "kW", allowed 0.0 => 200.0, usual 0.4 => 5.0
        }
        pump_power: Input<Power> = "0 kW" {
            "Power of the feed pump, which warms the solution.",
            unit "kW", allowed 0.0 => 200.0, usual 0.3 => 3.0
        }
        calendar: Option<String> { "Key of its calendar. Left out: always.", names Calendar }
        on: bool = "true" { "Whether it is in use." }
        ceiling: Input<Temperature> = "160 °F" {
            "Hottest solution that it stands; 160 °F is usual for plastic towers.",
            unit "°C", allowed 20.0 => 100.0, usual 60.0 => 75.0
        }
    }
}

record! {
    /// How good the contact in a tower is, given in exactly one way: `transfer_units` or a `rated` point.
    Contact {
        transfer_units: Option<Input<Number>> {
            "Transfer units on the air side. Two are a good tower; a blocked packing loses them. More evaporate more.",
            unit "", allowed 0.05 => 20.0, usual 0.8 => 4.0, example "2"
        }
        rated: Option<Rated> { "A point that the maker states." }
        air_flow: Option<Input<VolumeFlow>> {
            "Air flow at which this holds. Left out: the tower's own, so that a change of the fan would not show.",
            unit "m³/h", allowed 10.0 => 2e5, usual 170.0 => 17e3
        }
        feed: Option<Input<VolumeFlow>> {
            "Feed at which this holds. Left out: the tower's own.",
            unit "L/min", allowed 0.5 => 20e3, usual 10.0 => 300.0
        }
    }
}

record! {
    /// A rated point.
    Rated {
        evaporation: Input<VolumeFlow> {
            "Water evaporated; a litre counts as pure water at 20 °C. More means a better contact.",
            unit "L/h", allowed 0.1 => 20e3, usual 20.0 => 500.0
        }
        solution: Input<Temperature> {
            "Temperature of the solution fed. With the same evaporation, hotter means a worse contact.",
            unit "°C", allowed 10.0 => 95.0, usual 50.0 => 72.0
        }
        air_temperature: Input<Temperature> {
            "Temperature of the air drawn.",
            unit "°C", allowed -40.0 => 50.0, usual 10.0 => 30.0
        }
        relative_humidity: Input<Fraction> {
            "Relative humidity of the air drawn. With the same evaporation, damper means a better contact.",
            unit "%", allowed 0.0 => 100.0, usual 30.0 => 80.0
        }
    }
}
