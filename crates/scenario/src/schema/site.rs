//! The site: its air, calendars, waters and chemicals.

use dragback_units::dim::{
    Concentration, Fraction, Length, MolarConductivity, MolarMass, Number, SpecificHeat,
    SpecificVolume, Speed, Temperature, Time,
};

use super::climate::{AirMap, Month};
use super::time::{Clock, Days};
use crate::record::{Input, Map, record};

record! {
    /// Where the line stands.
    Site {
        altitude: Input<Length> = "0 m" {
            "Height above the sea. Thin air carries a little more water per kilogram.",
            unit "m", allowed -400.0 => 4500.0, usual 0.0 => 2000.0
        }
        start_month: Month = "Jan" {
            "Month in which the run begins; day 0 is a Monday."
        }
        room: AirMap {
            "Air in the hall, over the tanks."
        }
        outside: Option<AirMap> {
            "Air outdoors, for towers that draw it. Left out: the same as the room."
        }
        air_speed: Input<Speed> = "0.1 m/s" {
            "Speed of the air over the tanks. A lip exhaust or a draught raises it, and evaporation with it.",
            unit "m/s", allowed 0.0 => 5.0, usual 0.0 => 0.5
        }
    }
}

record! {
    /// Open hours of a week.
    Calendar {
        days: Days { "Days on which it is open: \"Mon-Fri\", \"Mon, Wed, Sat\" or \"every day\"." }
        from: Clock { "Time of day at which it opens: \"06:00\"." }
        to: Clock { "Time of day at which it closes: \"22:00\". Before the opening time it means the next day.", example "22:00" }
        more: Vec<Window> { "Further open windows." }
        shutdowns: Vec<Shutdown> { "Spans of the run in which it stays closed: holidays, overhauls." }
    }
}

record! {
    /// A further open window of a calendar.
    Window {
        days: Days { "Days on which it is open." }
        from: Clock { "Time of day at which it opens." }
        to: Clock { "Time of day at which it closes.", example "12:00" }
    }
}

record! {
    /// A span of the run in which a calendar stays closed.
    Shutdown {
        from_day: Input<Time> {
            "When it begins, counted from the start of the run: \"120 d\".",
            unit "d", allowed 0.0 => 36500.0, usual 0.0 => 365.0, example "120 d"
        }
        to_day: Input<Time> {
            "When it ends.",
            unit "d", allowed 0.0 => 36500.0, usual 0.0 => 365.0, example "134 d"
        }
    }
}

record! {
    /// A water supply.
    Water {
        temperature: Input<Temperature> {
            "Temperature at which it arrives. Cold rinse water costs heat in the holding tank.",
            unit "°C", allowed 0.5 => 80.0, usual 8.0 => 25.0
        }
        solutes: Map<Input<Concentration>> {
            "What is dissolved in it, by species. In a closed loop hardness, chloride and sodium stay and build up.",
            unit "mg/L", allowed 0.0 => 50e3, usual 0.0 => 500.0, keys Species
        }
    }
}

record! {
    /// A dissolved species of the scenario's own, such as an additive or a user-defined impurity.
    SpeciesDef {
        name: String { "Name for people." }
        molar_mass: Input<MolarMass> {
            "Molar mass.",
            unit "g/mol", allowed 1.0 => 10e3, usual 10.0 => 1000.0
        }
        charge: Input<Number> = "0" {
            "Charge number of the ion; 0 for a neutral molecule.",
            unit "", allowed -4.0 => 4.0, usual -2.0 => 3.0
        }
        apparent_volume: Input<SpecificVolume> = "0.6 L/kg" {
            "Volume that a kilogram adds to its solution.",
            unit "L/kg", allowed -1.0 => 20.0, usual 0.0 => 1.0
        }
        heat_capacity: Input<SpecificHeat> = "0.2 kJ/(kg·K)" {
            "Heat capacity that a kilogram adds to its solution.",
            unit "kJ/(kg·K)", allowed -5.0 => 100.0, usual 0.0 => 4.0
        }
        ionic_conductivity: Option<Input<MolarConductivity>> {
            "Limiting molar conductivity at 25 °C; left out for a species that does not conduct.",
            unit "S·cm²/mol", allowed 0.0 => 1000.0, usual 50.0 => 350.0
        }
    }
}

record! {
    /// A chemical as bought, of the scenario's own.
    SaltDef {
        name: String { "Name for people." }
        yields: Map<Input<Fraction>> {
            "Mass of each species that a kilogram as bought becomes in solution.",
            unit "", allowed 0.0 => 2.0, usual 0.0 => 1.0, keys Species
        }
        crystal_water: Input<Fraction> = "0" {
            "Water set free by a kilogram as bought; with the species it should make one kilogram.",
            unit "", allowed -1.0 => 1.0, usual 0.0 => 0.6
        }
    }
}
