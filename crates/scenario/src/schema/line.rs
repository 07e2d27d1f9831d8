//! Work, drag-out, and the stations that work visits.

use dragback_units::dim::{
    AreaRate, Concentration, Count, ElectricConductivity, Film, Fraction, HeatPerAreaKelvin,
    Length, LoadRate, MassPerArea, Time, Volume, VolumeFlow,
};

use super::tank::Tank;
use crate::record::{Input, Map, choice, record};

record! {
    /// What passes through the line.
    Work {
        calendar: String { "Key of the calendar of working hours; `always` is built in.", names Calendar }
        area_rate: Input<AreaRate> {
            "Area that is plated in an hour of work. Drag-out, soil and heat carried out rise with it.",
            unit "m²/h", allowed 1e-3 => 1e4, usual 5.0 => 200.0, mark Lever
        }
        drag_out: DragOut { "What the work carries out of the bath." }
        drag_in: Option<DragIn> { "Film from the step before, at the temperature of the room; left out for work that arrives dry." }
        heat_capacity: Input<HeatPerAreaKelvin> = "0 J/(m²·K)" {
            "Heat that the work and its racks carry out of hot stations, per area and kelvin; 1 mm of steel is about 3.6 kJ/(m²·K) on each side. More takes more heat along.",
            unit "kJ/(m²·K)", allowed 0.0 => 200.0, usual 2.0 => 20.0
        }
        soil: Map<Input<MassPerArea>> {
            "Impurities that the work brings into the bath, by species. More builds up faster in a closed loop.",
            unit "g/m²", allowed 0.0 => 100.0, usual 0.0 => 0.5, keys Species
        }
    }
}

record! {
    /// The liquid that work carries out of the bath, given in exactly one way: `film`, `flow`, `per_load` or `measured` with `loads`, or `classes`.
    DragOut {
        film: Option<Input<Film>> {
            "Film that clings to the work as it leaves the bath. Slower lifting, longer dripping and better racking lower it; everything in the loop follows.",
            unit "L/m²", allowed 1e-4 => 5.0, usual 0.03 => 0.4, mark Lever, example "0.1 L/m²"
        }
        flow: Option<Input<VolumeFlow>> {
            "Drag-out in an hour of work, for a shop that knows it as a flow. Less is better everywhere in the loop.",
            unit "L/h", allowed 1e-3 => 5e3, usual 0.5 => 50.0, mark Lever
        }
        per_load: Option<Input<Volume>> {
            "Drag-out of one rack or barrel; barrels carry the most.",
            unit "L", allowed 1e-4 => 50.0, usual 0.05 => 3.0, mark Lever
        }
        loads: Option<Input<LoadRate>> {
            "Racks or barrels in an hour of work. Each carries its film: drag-out rises with them.",
            unit "/h", allowed 1e-2 => 1e4, usual 2.0 => 60.0
        }
        measured: Option<Measured> { "Rise measured in a still rinse, or in a running one whose water was shut, from which the drag-out of a load is worked out." }
        classes: Map<PartClass> { "Kinds of parts, each with its share of the area and its own film." }
        rinse_film: Option<Input<Film>> {
            "Film that clings to the work as it leaves a rinse, which is thinner than bath. Left out: the same as from the bath. Thinner carries less from rinse to rinse.",
            unit "L/m²", allowed 1e-4 => 5.0, usual 0.02 => 0.3
        }
        drain_time: Option<Input<Time>> {
            "How long the work drips over the bath. Ten seconds instead of three cut drag-out by about 40 %.",
            unit "s", allowed 0.0 => 600.0, usual 3.0 => 30.0, mark Lever
        }
        drain_reference: Option<Input<Time>> {
            "Dripping time for which the film above was measured.",
            unit "s", allowed 0.0 => 600.0, usual 3.0 => 30.0
        }
    }
}

record! {
    /// A rise measured in a still rinse behind the bath; the exact build-up over the loads gives the drag-out of each.
    Measured {
        tank: Input<Volume> {
            "Liquid in the rinse in which the rise was measured. With the same rise, more liquid is more drag-out.",
            unit "L", allowed 1.0 => 1e6, usual 100.0 => 3000.0
        }
        start: Input<Concentration> = "0 g/L" {
            "Strength of that rinse before the first load.",
            unit "g/L", allowed 0.0 => 500.0, usual 0.0 => 5.0
        }
        rise: Input<Concentration> {
            "Rise of the strength over the loads. With the same loads, less rise is less drag-out.",
            unit "g/L", allowed 1e-6 => 500.0, usual 0.1 => 10.0, mark Lever
        }
        bath: Input<Concentration> {
            "Strength of the bath meanwhile, of the same substance. With the same rise, a stronger bath is less drag-out.",
            unit "g/L", allowed 1e-3 => 1500.0, usual 5.0 => 300.0
        }
        loads: Input<Count> {
            "Loads that were rinsed between the two analyses. With the same rise, more loads are less drag-out of each.",
            unit "", allowed 1.0 => 1e6, usual 10.0 => 200.0
        }
    }
}

record! {
    /// Film from the step before the line.
    DragIn {
        film: Input<Film> {
            "Film with which the work arrives at the first station. What the station before it leaves on the work comes into the line.",
            unit "L/m²", allowed 1e-4 => 5.0, usual 0.02 => 0.4
        }
        solutes: Map<Input<Concentration>> {
            "What is dissolved in the arriving film, by species. It comes in with the work for good.",
            unit "g/L", allowed 0.0 => 500.0, usual 0.0 => 5.0, keys Species
        }
    }
}

record! {
    /// A kind of parts.
    PartClass {
        share: Input<Fraction> {
            "Its share of the plated area; the shares add up to one.",
            unit "", allowed 0.0 => 1.0, usual 0.05 => 0.95
        }
        film: Input<Film> {
            "Film that clings to these parts. Flat hanging parts carry little, cups and blind holes much.",
            unit "L/m²", allowed 1e-4 => 5.0, usual 0.03 => 0.4
        }
    }
}

record! {
    /// A still rinse: no flow; it gains strength and may be pumped back as make-up.
    Still {
        tank: Tank { "The tank." }
        water: String { "Key of the water with which it is filled.", names Water }
        return_to_bath: Option<Input<VolumeFlow>> {
            "Pump that returns it to the bath when the bath calls for liquid. Left out: nothing is returned.",
            unit "L/h", allowed 0.1 => 1e5, usual 50.0 => 2000.0
        }
        refill_flow: Input<VolumeFlow> = "20 L/min" {
            "Flow of the valve that refills it. More refills it sooner.",
            unit "L/min", allowed 0.01 => 2000.0, usual 5.0 => 60.0
        }
    }
}

choice! {
    /// When rinse water flows.
    Feed {
        /// Always.
        Continuous = "continuous",
        /// While the work's calendar is open.
        WhileWorking = "while_working",
        /// On and off by the conductivity of one stage.
        Conductivity = "conductivity",
        /// As much as the loop evaporates now, up to the flow given.
        Matched = "matched",
    }
}

choice! {
    /// Where a section of rinses overflows to.
    Drain {
        /// To waste-water treatment: not recovered.
        Treatment = "treatment",
        /// Straight into the bath.
        Bath = "bath",
        /// Into the collection tank of the loop.
        Collection = "collection",
    }
}

choice! {
    /// How a full stage sheds water.
    Weir {
        /// It keeps its volume.
        Ideal = "ideal",
        /// A sharp-crested weir, over which the level rises with the flow.
        Sharp = "sharp",
    }
}

record! {
    /// A run of counterflow rinses: fresh water enters the last stage and leaves from the first.
    Section {
        stages: Input<Count> {
            "Number of stages. One more stage rinses as well with a fraction of the water.",
            unit "", allowed 1.0 => 10.0, usual 1.0 => 4.0
        }
        tank: Tank { "One stage; all are alike." }
        water: String { "Key of the water that feeds it.", names Water }
        flow: Input<VolumeFlow> {
            "Fresh water into the last stage. More rinses better; a closed loop can take only what it evaporates.",
            unit "L/h", allowed 0.0 => 1e5, usual 5.0 => 1000.0, mark Lever
        }
        feed: Feed = "continuous" { "When it flows." }
        conductivity_stage: Option<Input<Count>> {
            "Stage, counted from the bath, in which the conductivity is measured.",
            unit "", allowed 1.0 => 10.0, usual 1.0 => 4.0
        }
        conductivity_set_point: Option<Input<ElectricConductivity>> {
            "Conductivity above which fresh water flows. Higher takes less water and rinses worse.",
            unit "µS/cm", allowed 1.0 => 1e5, usual 50.0 => 2000.0
        }
        conductivity_dead_band: Option<Input<ElectricConductivity>> {
            "Width of the band around the set point. Left out: a fifth of the set point. Wider switches less often.",
            unit "µS/cm", allowed 0.1 => 1e5, usual 10.0 => 400.0
        }
        drain: Drain { "Where the first stage overflows to." }
        weir: Weir = "ideal" { "How a full stage sheds water." }
        weir_width: Option<Input<Length>> {
            "Width of a sharp weir. Over a wider one the level rises less.",
            unit "mm", allowed 5.0 => 5000.0, usual 50.0 => 1000.0
        }
    }
}

record! {
    /// One visit of the work to a station.
    Visit {
        at: String { "Where: `bath`, the key of a still rinse, the key of a section for all of its stages in order, or `section/2` for one stage.", names Station }
        efficiency: Input<Fraction> = "100 %" {
            "Share of the arriving film that the station replaces. Agitation and time raise it; a short dip leaves some of the old film on.",
            unit "", allowed 0.05 => 1.0, usual 0.7 => 1.0
        }
        film: Option<Input<Film>> {
            "Film with which the work leaves this visit, where it differs from the usual one. Thinner carries less on.",
            unit "L/m²", allowed 1e-4 => 5.0, usual 0.02 => 0.4
        }
        spray: Option<Spray> { "A spray over the station as the work leaves." }
    }
}

record! {
    /// A spray over a station that washes some of the film back into it.
    Spray {
        flow: Input<VolumeFlow> {
            "Water sprayed in an hour of work. All of it enters the station below. More leaves less room for rinse feed.",
            unit "L/h", allowed 1e-2 => 1e4, usual 2.0 => 200.0, mark Lever
        }
        water: String { "Key of the water.", names Water }
        washed: Input<Fraction> {
            "Share of the film that the spray replaces by its own water. More stays in the station and less is carried on.",
            unit "", allowed 0.0 => 1.0, usual 0.3 => 0.9
        }
    }
}
