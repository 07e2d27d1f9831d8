//! Collection tank, heated holding tank, and the return of concentrate.

use dragback_units::dim::{
    Concentration, Conductance, Fraction, Length, Power, Temperature, TemperatureDifference, Time,
    VolumeFlow,
};

use super::tank::Tank;
use crate::record::{Input, Map, choice, record};

record! {
    /// The tank that collects the rinses' overflow. What does not fit goes to treatment.
    Collection {
        tank: Tank { "The tank." }
        start_fill: Input<Fraction> = "50 %" {
            "How full it is when the run begins.",
            unit "", allowed 0.0 => 1.0, usual 0.1 => 0.9
        }
    }
}

choice! {
    /// How the heaters of the holding tank follow its temperature.
    Control {
        /// All on below the band, all off above it.
        OnOff = "on_off",
        /// Power falls across the band.
        Proportional = "proportional",
    }
}

record! {
    /// The heated holding tank that feeds the evaporator.
    Holding {
        tank: Tank { "The tank." }
        start_strength: Input<Fraction> = "100 %" {
            "Strength when the run begins, as a share of the bath's.",
            unit "", allowed 0.0 => 3.0, usual 0.1 => 1.2
        }
        elements: Map<Element> { "Electric heating elements, each of which can fail by itself." }
        coil: Option<Coil> { "A coil of steam or hot water." }
        set_point: Input<Temperature> {
            "Temperature that the heaters hold. Hotter evaporates more, until the heaters can give no more.",
            unit "°C", allowed 20.0 => 90.0, usual 50.0 => 70.0, mark Lever
        }
        dead_band: Input<TemperatureDifference> = "2 K" {
            "Width of the thermostat's band, or of the proportional band; half of it on either side of the set point. Wider lets the temperature stray further; a thermostat then switches less often.",
            unit "K", allowed 0.1 => 20.0, usual 0.5 => 4.0
        }
        control: Control = "on_off" { "How the heaters follow the temperature." }
        idle_set_point: Option<Input<Temperature>> {
            "Temperature held while the evaporator rests, by its calendar or for want of water. Left out: the same set point. Lower saves heat at rest and takes longer to warm up again.",
            unit "°C", allowed 5.0 => 90.0, usual 40.0 => 65.0
        }
        ceiling: Input<Temperature> = "160 °F" {
            "Hottest set point that the material of tank and tower stands; 160 °F is usual for plastics.",
            unit "°C", allowed 20.0 => 100.0, usual 60.0 => 75.0
        }
        over_temperature_offset: Input<TemperatureDifference> = "2.5 K" {
            "How far above the set point the over-temperature alarm latches and cuts the heat. It must be more than half the dead band. Wider trips later.",
            unit "K", allowed 0.1 => 30.0, usual 1.5 => 4.0
        }
        high_limit: Input<Temperature> = "80 °C" {
            "Temperature of the independent cut-out, above the over-temperature alarm. Higher cuts out later.",
            unit "°C", allowed 20.0 => 105.0, usual 60.0 => 90.0
        }
        electrodes: Electrodes { "Level electrodes." }
        high_alarm_stops_all: bool = "false" {
            "Whether the high alarm stops the evaporator and the heat too, until it is reset by hand."
        }
        transfer_flow: Input<VolumeFlow> {
            "Pump from the collection tank to the holding tank. More fetches rinse water in shorter turns.",
            unit "L/h", allowed 1.0 => 1e5, usual 100.0 => 6000.0
        }
        reset_after: Option<Input<Time>> {
            "How long after the cause is gone somebody resets a latched alarm. Left out: nobody does, except by an event.",
            unit "h", allowed 0.0 => 1000.0, usual 0.2 => 12.0
        }
        heat_calendar: Option<String> { "Key of the heaters' calendar. Left out: always.", names Calendar }
        give_back as "return": Return { "Return of concentrate to the bath." }
    }
}

record! {
    /// An electric heating element.
    Element {
        power: Input<Power> {
            "Its power. More evaporates more, until the set point rather than the heaters limits it.",
            unit "kW", allowed 0.0 => 1000.0, usual 3.0 => 60.0
        }
    }
}

record! {
    /// A heating coil: `U·A·(T_supply − T)` up to a cap.
    Coil {
        ua: Input<Conductance> {
            "Heat-transfer coefficient times area. Scale and deposits lower it. Higher gives more heat, up to the cap.",
            unit "kW/K", allowed 1e-4 => 100.0, usual 0.2 => 5.0
        }
        supply_temperature: Input<Temperature> {
            "Temperature of steam or hot water. Hotter gives more heat, up to the cap.",
            unit "°C", allowed 30.0 => 200.0, usual 80.0 => 150.0
        }
        cap: Input<Power> {
            "Most that boiler and valve give. More evaporates more, until the set point rather than the heat limits it.",
            unit "kW", allowed 0.0 => 10e3, usual 20.0 => 500.0, mark Lever
        }
    }
}

record! {
    /// Level electrodes by their height over the reference electrode, which hangs to the bottom of the holding tank; lowest first.
    Electrodes {
        low_alarm: Input<Length> {
            "Below it heat and feed pumps are cut until reset. Normal running never comes here.",
            unit "m", allowed 0.01 => 20.0, usual 0.2 => 1.0
        }
        evaporation_stop: Input<Length> {
            "Level at which the feed pumps rest for want of rinse water. Higher lets them rest sooner.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 1.2
        }
        evaporation_restart: Input<Length> {
            "Level at which they run again. Higher lets them rest longer.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 1.4
        }
        transfer_start: Input<Length> {
            "Level at which the transfer pump starts to fetch rinse water. Higher fetches sooner.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 1.5
        }
        transfer_stop: Input<Length> {
            "Level at which it stops. Higher fetches more at a time.",
            unit "m", allowed 0.01 => 20.0, usual 0.4 => 1.8
        }
        high_alarm: Input<Length> {
            "Above it everything that flows in is blocked. Lower blocks sooner.",
            unit "m", allowed 0.01 => 20.0, usual 0.5 => 2.0
        }
        differential: Input<Length> = "5 mm" {
            "Height between an electrode making and breaking contact.",
            unit "mm", allowed 0.5 => 100.0, usual 2.0 => 10.0
        }
    }
}

choice! {
    /// What decides when concentrate returns to the bath.
    ReturnRule {
        /// The level of the bath.
        BathLevel = "bath_level",
        /// The strength of the concentrate, by density or by one species; the bath must also have room.
        Strength = "strength",
        /// Bath is pumped to the holding tank all the time, and returns by the level of the bath.
        Circulation = "circulation",
    }
}

record! {
    /// Return of concentrate to the bath.
    Return {
        rule: ReturnRule = "bath_level" { "What decides when concentrate returns." }
        flow: Input<VolumeFlow> {
            "Flow of the return pump. It must bring back what the bath loses; more returns in shorter turns.",
            unit "L/h", allowed 1.0 => 1e5, usual 50.0 => 2000.0
        }
        dry_run_level: Input<Length> {
            "Level of the holding tank below which the return pump rests; the only thing that stops it while the bath calls.",
            unit "m", allowed 0.0 => 20.0, usual 0.1 => 1.0
        }
        start_level: Option<Input<Length>> {
            "Level of the bath at which the pump starts. Left out: 95.5 % of full. Higher starts sooner.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 3.0
        }
        stop_level: Option<Input<Length>> {
            "Level of the bath at which it stops. Left out: 96.5 % of full. Higher returns more at a time.",
            unit "m", allowed 0.01 => 20.0, usual 0.3 => 3.0
        }
        species: Option<String> { "Species by which the strength is judged (rule `strength`).", names Species }
        strength: Option<Input<Concentration>> {
            "Concentration of that species above which concentrate returns (rule `strength`). Higher waits for stronger concentrate.",
            unit "g/L", allowed 0.01 => 1000.0, usual 20.0 => 150.0, mark Lever
        }
        density: Option<Input<Concentration>> {
            "Density above which concentrate returns (rule `strength`), instead of a species. Higher waits for stronger concentrate.",
            unit "kg/L", allowed 0.9 => 2.0, usual 1.05 => 1.3, mark Lever
        }
        dead_band: Option<Input<Fraction>> {
            "Width of the band around strength or density, as a share of it. Left out: 2 % of a strength, 0.2 % of a density. Wider returns more at a time.",
            unit "%", allowed 0.01 => 50.0, usual 0.1 => 5.0
        }
        circulation_flow: Option<Input<VolumeFlow>> {
            "Bath pumped to the holding tank all the time (rule `circulation`); less than the return pump gives. More brings the strengths of both closer together.",
            unit "L/h", allowed 0.1 => 1e5, usual 10.0 => 1000.0, mark Lever
        }
    }
}
