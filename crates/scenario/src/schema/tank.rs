//! A tank.

use dragback_units::dim::{Area, Conductance, Fraction, Length, Temperature, Volume};

use crate::record::{Input, record};

record! {
    /// An open tank: what it holds, how its surface and walls lose heat and water, and how it starts.
    Tank {
        volume: Input<Volume> {
            "What the tank holds when it is full to its weir or brim. A larger tank changes more slowly and stores more for the night; it does not change where things settle.",
            unit "L", allowed 0.1 => 1e6, usual 100.0 => 20e3
        }
        footprint: Input<Area> {
            "Plan area of the tank, which is also its open surface. A larger surface evaporates and cools more.",
            unit "m²", allowed 1e-3 => 1e3, usual 0.15 => 15.0
        }
        dead_volume: Input<Volume> = "0 L" {
            "Liquid below the outlet that no pump reaches.",
            unit "L", allowed 0.0 => 1e6, usual 0.0 => 500.0
        }
        slope_height: Input<Length> = "0 m" {
            "Height over which a sloped bottom rises; 0 for a flat one.",
            unit "m", allowed 0.0 => 5.0, usual 0.0 => 0.5
        }
        cover: Input<Fraction> = "0" {
            "Share of the surface under a lid or floating balls. A cover saves heat; on a bath that should evaporate it closes the door to its own rinse water.",
            unit "", allowed 0.0 => 1.0, usual 0.0 => 1.0
        }
        wall_loss: Input<Conductance> = "0 W/K" {
            "Heat lost through walls and lid for each kelvin above the room: U times A. Insulation lowers it.",
            unit "W/K", allowed 0.0 => 1e4, usual 5.0 => 100.0
        }
        start_volume: Option<Input<Volume>> {
            "What it holds when the run begins. Left out: full for rinses, the working level for bath and holding tank.",
            unit "L", allowed 0.0 => 1e6, usual 100.0 => 20e3
        }
        start_temperature: Option<Input<Temperature>> {
            "Temperature when the run begins. Left out: the set point where there is one, else the room.",
            unit "°C", allowed 0.5 => 98.0, usual 10.0 => 65.0
        }
    }
}
