//! The process bath and its chemistry.

use dragback_units::dim::{
    Concentration, Current, Fraction, Length, MassPerCharge, PerTime, Power, Temperature,
    TemperatureDifference, Time, Voltage, VolumeFlow,
};

use super::tank::Tank;
use crate::record::{Input, Map, choice, record};

record! {
    /// The process bath.
    Bath {
        tank: Tank { "The tank." }
        recipe: Map<Input<Concentration>> {
            "What the bath is made up of, as salts bought: \"NiSO4.6H2O\", \"CrO3\", or a salt of the scenario's own. Weaker baths lose less with the same film.",
            unit "g/L", allowed 0.0 => 1500.0, usual 0.5 => 400.0, mark Formula, keys Salt
        }
        contaminants: Map<Input<Concentration>> {
            "What else is dissolved in it at the start, by species. More is nearer to a limit.",
            unit "g/L", allowed 0.0 => 500.0, usual 0.0 => 5.0, keys Species
        }
        set_point: Input<Temperature> {
            "Working temperature. A warmer bath evaporates more and makes room for its own rinse water.",
            unit "°C", allowed 5.0 => 95.0, usual 20.0 => 65.0, mark Lever
        }
        heater_power: Input<Power> = "0 kW" {
            "Heating power of the bath. More warms it sooner and carries more evaporation; once the set point is held, more changes nothing.",
            unit "kW", allowed 0.0 => 5000.0, usual 5.0 => 300.0, mark Lever
        }
        cooler_power: Input<Power> = "0 kW" {
            "Cooling power of the bath. Too little lets current and pumps warm it above its set point.",
            unit "kW", allowed 0.0 => 5000.0, usual 0.0 => 100.0
        }
        cooler_offset: Input<TemperatureDifference> = "0.5 K" {
            "How far above the set point the cooler holds the bath; the heater holds the set point. With a gap between them a batch of cold water warms up by itself, and heater and cooler do not work against each other. A kelvin or two is common practice, no source. Where the bath feeds a tower it must lie below the offset of the over-temperature alarm.",
            unit "K", allowed 0.0 => 20.0, usual 0.5 => 3.0
        }
        rectifier: Option<Rectifier> { "Current through the bath; left out for a bath without." }
        additions: Option<Additions> { "Chemicals added to hold the bath; left out when nothing is added." }
        make_up: MakeUp { "Plain water into the bath, when concentrate cannot keep its level." }
        impurity_limits: Map<Input<Concentration>> {
            "Most of each species that the bath stands; the program says in how many days it is reached. A higher one is reached later.",
            unit "g/L", allowed 1e-6 => 500.0, usual 0.01 => 50.0, keys Species
        }
        purge: Option<Input<VolumeFlow>> {
            "Bath bled to treatment all the time, so that impurities leave. More takes more of them out, and loses more bath.",
            unit "L/h", allowed 0.0 => 1e4, usual 0.0 => 10.0
        }
        purification: Map<Input<PerTime>> {
            "Share of each species that carbon, dummy plating or ion exchange takes out per time. More keeps them lower.",
            unit "/d", allowed 0.0 => 100.0, usual 0.0 => 0.2, keys Species
        }
        low_alarm: Option<Input<Length>> {
            "Level below which an alarm latches and cuts the heat and the feed pumps of towers that the bath feeds. Left out: 70 % of full. Without such a tower it does nothing.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 3.0
        }
        over_temperature_offset: Option<Input<TemperatureDifference>> {
            "How far above the set point an alarm latches and cuts the heat of a bath that feeds a tower; cooler and tower go on cooling. Left out: 5 K. Without such a tower it does nothing.",
            unit "K", allowed 0.5 => 30.0, usual 2.0 => 8.0
        }
        reset_after: Option<Input<Time>> {
            "How long after the cause is gone somebody resets a latched alarm of the bath. Left out: nobody does, except by an event.",
            unit "h", allowed 0.0 => 1000.0, usual 0.2 => 12.0
        }
        sparge_length: Option<Input<Length>> {
            "Length of air pipes that stir the bath at about 1 cfm per foot; each counts as a strip of surface six inches wide. More evaporates and cools more.",
            unit "m", allowed 0.0 => 200.0, usual 0.0 => 20.0
        }
    }
}

choice! {
    /// What the anodes do.
    Anode {
        /// They dissolve and replace what is deposited.
        Soluble = "soluble",
        /// They do not dissolve.
        Insoluble = "insoluble",
    }
}

record! {
    /// The current through the bath.
    Rectifier {
        current: Input<Current> {
            "Current while it plates. More deposits more metal and warms the bath.",
            unit "A", allowed 0.0 => 1e6, usual 200.0 => 10e3
        }
        voltage: Input<Voltage> {
            "Voltage across the bath; current times voltage becomes heat. Higher warms the bath more.",
            unit "V", allowed 0.0 => 100.0, usual 2.0 => 12.0
        }
        stored_voltage: Input<Voltage> = "0 V" {
            "Part of the voltage that is stored as chemical energy: 0 with soluble anodes, about 2 V with insoluble ones. A higher one leaves less heat.",
            unit "V", allowed 0.0 => 10.0, usual 0.0 => 2.5
        }
        metal: String { "Species that is deposited.", names Species }
        cathode_efficiency: Input<Fraction> {
            "Share of the current that deposits metal; the rest makes gas of water. Higher takes more metal out of the bath.",
            unit "", allowed 0.0 => 1.0, usual 0.1 => 1.0
        }
        anode: Anode = "soluble" { "What the anodes do." }
        anode_efficiency: Input<Fraction> = "100 %" {
            "Share of the current that dissolves anode. Above the cathode's, the metal in the bath climbs unless drag-out takes it.",
            unit "", allowed 0.0 => 1.0, usual 0.9 => 1.0
        }
        anode_impurities: Map<Input<MassPerCharge>> {
            "Impurities that come out of the anodes while current flows, by species. More builds up faster in a closed loop.",
            unit "mg/Ah", allowed 0.0 => 1e4, usual 0.0 => 10.0, keys Species
        }
        calendar: Option<String> { "Key of its calendar. Left out: that of the work.", names Calendar }
    }
}

record! {
    /// Chemicals added to hold the bath.
    Additions {
        interval: Input<Time> {
            "Time from one analysis to the next. Longer lets strengths stray further.",
            unit "h", allowed 0.1 => 8760.0, usual 8.0 => 168.0
        }
        dead_band: Input<Fraction> = "2 %" {
            "Shortfall below target that is left alone. More lets strengths stray further.",
            unit "", allowed 0.0 => 0.5, usual 0.01 => 0.1
        }
        restore: Map<String> {
            "Salt by which each managed species is brought back to its target.", names Salt, keys Species
        }
        per_charge: Map<Input<MassPerCharge>> {
            "Salts or species dosed by ampere hour, such as a brightener.",
            unit "g/Ah", allowed 0.0 => 100.0, usual 0.0 => 1.0, mark Formula, keys Dosed
        }
    }
}

record! {
    /// Plain water into the bath.
    MakeUp {
        water: String { "Key of the water.", names Water }
        flow: Input<VolumeFlow> {
            "Flow of its valve. It must bring more than the bath loses; more fills in larger batches, which cool.",
            unit "L/h", allowed 1.0 => 1e5, usual 100.0 => 3000.0
        }
        start_level: Option<Input<Length>> {
            "Level of the bath at which the valve opens. Left out: 93 % of full; it must lie below the band of the concentrate return. Higher fills sooner.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 3.0
        }
        stop_level: Option<Input<Length>> {
            "Level of the bath at which the valve closes. Left out: 94 % of full. Higher fills in larger batches, which cool.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 3.0
        }
    }
}
