//! What is drawn, as plain data: stations, what is attached to them and the streams between them.

use dragback_plant::ids::{DeviceId, HeatId, RelayId, TowerId, TransferId, VesselId};

/// Which station.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StationId {
    /// A tank.
    Vessel(VesselId),
    /// An evaporator.
    Tower(TowerId),
    /// A way out of the plant, such as the way to treatment: number of the line and of the ledger line.
    Outlet(usize, usize),
}

/// What a station is, for its place and its shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StationKind {
    /// The process bath.
    Bath,
    /// A rinse, still or flowing, on the way of the work.
    Rinse,
    /// The collection tank.
    Collection,
    /// The heated holding tank.
    Holding,
    /// An evaporator.
    Tower,
    /// A way out of the plant.
    Outlet,
}

/// How something that runs or rests stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Running {
    /// It runs, at least part of the time.
    On,
    /// It rests: nothing asks for it.
    Off,
    /// It has failed.
    Failed,
    /// An interlock holds it.
    Held,
}

impl Running {
    /// The state in a word, where a mean of a week is told: what runs then runs at times.
    #[must_use]
    pub const fn word_of_week(self) -> &'static str {
        match self {
            Self::On => "used",
            Self::Off => "not used",
            Self::Failed | Self::Held => self.word(),
        }
    }

    /// The state in a word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::On => "running",
            Self::Off => "off",
            Self::Failed => "failed",
            Self::Held => "held",
        }
    }
}

/// What a piece of apparatus does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ApparatusKind {
    /// Gives heat.
    Heater,
    /// Takes heat.
    Cooler,
    /// Blows air.
    Blower,
    /// Moves liquid.
    Pump,
    /// Lets water in.
    Valve,
}

/// A heater, blower, pump or valve.
#[derive(Clone, Debug, PartialEq)]
pub struct Apparatus {
    /// Its device, if it is switched.
    pub device: Option<DeviceId>,
    /// The heat flow that it gives, if it is a heater.
    pub heat: Option<HeatId>,
    /// Words for people.
    pub name: String,
    /// What it does.
    pub kind: ApparatusKind,
    /// How it stands.
    pub running: Running,
    /// Share of its rating that it gave, 0 to 1.
    pub share: f64,
    /// Power that a heater gives or a cooler takes, W.
    pub power_w: Option<f64>,
    /// What holds it, in words.
    pub held_by: Option<String>,
}

/// The mark of an electrode or float.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The relay that reads it.
    pub relay: RelayId,
    /// Words for people.
    pub name: String,
    /// Height over the bottom as a share of the brim's, 0 to 1.
    pub share: f64,
    /// Height over the bottom, m.
    pub level_m: f64,
    /// It raises an alarm.
    pub is_alarm: bool,
}

/// Air that a tower draws in.
#[derive(Clone, Debug, PartialEq)]
pub struct Air {
    /// Words for people: `room`, `outside`.
    pub name: String,
    /// Temperature, °C.
    pub temp_c: f64,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: f64,
}

/// A tank, tower or way out.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Which.
    pub id: StationId,
    /// Number of the line that it belongs to.
    pub line: usize,
    /// What it is.
    pub kind: StationKind,
    /// Name within its line.
    pub name: String,
    /// Level as a share of the brim's, 0 to 1; zero of what is no tank.
    pub level: f64,
    /// Height of a sloped bottom as a share of the brim's.
    pub slope: f64,
    /// Volume held, m³; `None` of what is no tank.
    pub volume_m3: Option<f64>,
    /// Temperature, °C.
    pub temp_c: Option<f64>,
    /// Strength of the line's lead solute, kg/m³.
    pub strength_kg_per_m3: Option<f64>,
    /// Electrode marks, from the bottom up.
    pub marks: Vec<Mark>,
    /// Heaters of a tank; blower and feed pump of a tower.
    pub apparatus: Vec<Apparatus>,
    /// Water that evaporates from it, kg/s.
    pub evaporates_kg_per_s: f64,
    /// Air that a tower draws in; `None` of what is no tower.
    pub air: Option<Air>,
}

/// Which stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StreamId {
    /// A transfer, the first of those that are drawn as one.
    Transfer(TransferId),
    /// Solution pumped over a tower.
    TowerFeed(TowerId),
    /// Solution that drains from a tower.
    TowerDrain(TowerId),
    /// Water that a tower gives to the air.
    Vapour(TowerId),
}

/// One end of a stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A station, by its number in the scene.
    Station(usize),
    /// A supply of water.
    Tap,
    /// Work that leaves the line.
    Work,
    /// The air.
    Air,
    /// The floor: a spill.
    Floor,
}

/// What a stream is, for its way and its look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StreamKind {
    /// Liquid that clings to work.
    Film,
    /// What a full tank sheds.
    Overflow,
    /// What a pump moves.
    Pumped,
    /// Water from outside.
    Feed,
    /// Solution that goes round through a tower; it carries nothing away and is drawn as a pipe.
    Circulation,
    /// Water vapour.
    Vapour,
}

/// A stream of liquid or vapour.
#[derive(Clone, Debug, PartialEq)]
pub struct Stream {
    /// Which.
    pub id: StreamId,
    /// Number of the line that it belongs to.
    pub line: usize,
    /// Words for people.
    pub name: String,
    /// Name of what it comes from, when that is a supply.
    pub source: Option<String>,
    /// Where from.
    pub from: Place,
    /// Where to.
    pub to: Place,
    /// What it is.
    pub kind: StreamKind,
    /// Flow, m³/s.
    pub flow_m3_per_s: f64,
    /// Strength of the line's lead solute in it, kg/m³.
    pub strength_kg_per_m3: f64,
    /// The pump or valve in it.
    pub apparatus: Option<Apparatus>,
}

/// One line with its loop.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Words for people.
    pub title: String,
    /// Symbol of the solute by which strength is told.
    pub lead: String,
    /// Tanks that work visits, in order, by their numbers in the scene.
    pub route: Vec<usize>,
    /// Holding tank, collection tank and ways out, by their numbers in the scene.
    pub below: Vec<usize>,
    /// Towers, by their numbers in the scene.
    pub towers: Vec<usize>,
}

/// Ends of the log scale of strengths, kg/m³.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrengthScale {
    /// Weakest.
    pub low_kg_per_m3: f64,
    /// Strongest.
    pub high_kg_per_m3: f64,
}

impl StrengthScale {
    /// Place of a strength on the scale, 0 to 1.
    #[must_use]
    pub fn share(&self, kg_per_m3: f64) -> f64 {
        if kg_per_m3.is_nan() || kg_per_m3 <= self.low_kg_per_m3 {
            return 0.0;
        }
        let span = (self.high_kg_per_m3 / self.low_kg_per_m3).ln();
        ((kg_per_m3 / self.low_kg_per_m3).ln() / span).min(1.0)
    }
}

/// Everything that is drawn, at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Lines, in the order of the scenario.
    pub lines: Vec<Line>,
    /// Stations.
    pub stations: Vec<Station>,
    /// Streams.
    pub streams: Vec<Stream>,
    /// Scale of strengths.
    pub scale: StrengthScale,
    /// Flow whose band is the widest, m³/s.
    pub widest_m3_per_s: f64,
    /// It is the mean of a week, and not one moment.
    pub is_mean: bool,
}

impl Scene {
    /// How something stands, in a word.
    #[must_use]
    pub const fn word(&self, running: Running) -> &'static str {
        if self.is_mean {
            running.word_of_week()
        } else {
            running.word()
        }
    }

    /// Flow from which on all bands are equally wide, m³/s: a quarter of the largest that can be, since pumps that fill in a few minutes would leave
    /// nothing to see of what trickles all week.
    #[must_use]
    pub fn full_width_m3_per_s(&self) -> f64 {
        0.25 * self.widest_m3_per_s
    }

    /// Width of a stream's band as a share of the widest: the square root of the flow, at most 1.
    #[must_use]
    pub fn width_share(&self, flow_m3_per_s: f64) -> f64 {
        if flow_m3_per_s.is_nan() || flow_m3_per_s <= 0.0 {
            return 0.0;
        }
        (flow_m3_per_s / self.full_width_m3_per_s()).sqrt().min(1.0)
    }
}

/// What is selected in the drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Selection {
    /// Nothing.
    #[default]
    None,
    /// A station.
    Station(StationId),
    /// A stream.
    Stream(StreamId),
}
