//! A running line from ten answers: the first sketch of a loop for somebody who has no scenario yet.
//!
//! [`QUESTIONS`] asks what a shop knows of its own line; every one may be left open. [`outline`] writes a scenario file from the answers:
//! what was answered stands there as written, marked measured; what was left open is typical; the equipment around it (tanks, tower,
//! heaters, pumps) is sized by hand rules and marked assumed. It is a beginning, to be corrected by the shop's own figures.

mod bath;
mod size;
mod write;

pub use bath::{BATHS, BathKind};
pub use size::least_holding_m2;
pub(crate) use write::digits;

use dragback_units::Dim;

use crate::problem::Problem;

/// One of the questions that are answered by a quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// Its key, by which [`Outline`] keeps the answer.
    pub key: Key,
    /// The question.
    pub ask: &'static str,
    /// What is meant and where to look.
    pub hint: &'static str,
    /// Dimension of the answer.
    pub dim: Dim,
    /// Unit of the ranges below; those of the strength are shares of the usual one.
    unit: &'static str,
    allowed: (f64, f64),
    usual: (f64, f64),
    /// What is taken when it is left open; empty where the other answers decide.
    typical: &'static str,
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Key {
    /// Volume of the bath.
    BathVolume,
    /// Strength of the bath, as its lead metal is counted.
    Strength,
    /// Racks in an hour of work.
    Racks,
    /// Plated area of a rack.
    Area,
    /// Liquid that clings to the work.
    Film,
    /// Hours of work in a week.
    Hours,
    /// Counterflow rinses.
    Stages,
    /// Rinse water while work runs.
    Flow,
    /// Temperature of the room.
    Room,
}

/// The nine quantities asked; the kind of bath is the tenth.
pub const QUESTIONS: [Question; 9] = [
    Question {
        key: Key::BathVolume,
        ask: "How big is the bath?",
        hint: "Liquid in the plating tank at its working level.",
        dim: Dim::Volume,
        unit: "L",
        allowed: (50.0, 60_000.0),
        usual: (500.0, 10_000.0),
        typical: "3000 L",
    },
    Question {
        key: Key::Strength,
        ask: "How strong is it?",
        hint: "The metal as your analysis gives it; chromic acid is counted as CrO3. All salts of the recipe follow.",
        dim: Dim::Concentration,
        unit: "g/L",
        allowed: (0.1, 1.6),
        usual: (0.6, 1.3),
        typical: "",
    },
    Question {
        key: Key::Racks,
        ask: "How many racks an hour?",
        hint: "While work runs; barrels count as racks.",
        dim: Dim::LoadRate,
        unit: "/h",
        allowed: (0.1, 1000.0),
        usual: (2.0, 60.0),
        typical: "20 /h",
    },
    Question {
        key: Key::Area,
        ask: "What area hangs on a rack?",
        hint: "Both sides of the parts and what of the rack is wetted.",
        dim: Dim::Area,
        unit: "m²",
        allowed: (0.01, 50.0),
        usual: (0.2, 5.0),
        typical: "1.5 m²",
    },
    Question {
        key: Key::Film,
        ask: "How much liquid clings to the work?",
        hint: "Well drained flat parts are at the lower end of what is usual, poorly drained cups at the upper. A still rinse or a bucket measures it.",
        dim: Dim::Film,
        unit: "L/m²",
        allowed: (0.005, 2.0),
        usual: (0.03, 0.4),
        typical: "0.12 L/m²",
    },
    Question {
        key: Key::Hours,
        ask: "How many hours a week does it run?",
        hint: "One shift is 40 h, two are 80 h, around the clock 168 h.",
        dim: Dim::Time,
        unit: "h",
        allowed: (5.0, 168.0),
        usual: (40.0, 168.0),
        typical: "80 h",
    },
    Question {
        key: Key::Stages,
        ask: "How many rinses follow, one feeding the other?",
        hint: "Counterflow rinses: fresh water enters the last one and overflows towards the bath.",
        dim: Dim::Number,
        unit: "",
        allowed: (1.0, 8.0),
        usual: (1.0, 4.0),
        typical: "3",
    },
    Question {
        key: Key::Flow,
        ask: "How much rinse water is fed?",
        hint: "While work runs. Left open: what brings the last rinse to half of its usual limit, but no more than forty times the drag-out.",
        dim: Dim::VolumeFlow,
        unit: "L/h",
        allowed: (0.5, 20_000.0),
        usual: (10.0, 500.0),
        typical: "",
    },
    Question {
        key: Key::Room,
        ask: "How warm is the room?",
        hint: "Its yearly mean; half saturated air is taken.",
        dim: Dim::Temperature,
        unit: "°C",
        allowed: (2.0, 45.0),
        usual: (16.0, 30.0),
        typical: "21 °C",
    },
];

impl Question {
    /// Least and greatest answer that is taken, SI.
    #[must_use]
    pub fn allowed_si(&self, bath: &BathKind) -> (f64, f64) {
        let (low, high) = self.in_unit(self.allowed, bath);
        (self.si(low), self.si(high))
    }

    /// Least and greatest answer that is usual, SI.
    #[must_use]
    pub fn usual_si(&self, bath: &BathKind) -> (f64, f64) {
        let (low, high) = self.in_unit(self.usual, bath);
        (self.si(low), self.si(high))
    }

    /// A range in the question's unit; that of the strength is given as shares of the usual one.
    fn in_unit(&self, range: (f64, f64), bath: &BathKind) -> (f64, f64) {
        match self.key {
            Key::Strength => {
                let usual = bath.strength_kg_per_m3();
                let whole = |share: f64| (share * usual).round();
                (whole(range.0), whole(range.1))
            }
            _ => range,
        }
    }

    /// What is taken when it is left open, for a kind of bath; `None` where the other answers decide.
    #[must_use]
    pub fn typical(&self, bath: &BathKind) -> Option<String> {
        match self.key {
            Key::Strength => Some(format!("{:.3} g/L", bath.strength_kg_per_m3())),
            _ if self.typical.is_empty() => None,
            _ => Some(self.typical.to_owned()),
        }
    }

    /// A value as it would be answered, in the question's unit.
    pub(crate) fn written(&self, si: f64) -> String {
        let unit = self.dim.find_unit(self.unit);
        let unit = unit.unwrap_or_else(|| self.dim.si());
        dragback_units::format_in(unit, si, 3)
    }

    fn si(&self, value: f64) -> f64 {
        self.dim
            .find_unit(self.unit)
            .map_or(value, |unit| unit.to_si(value))
    }

    /// Reads an answer.
    ///
    /// # Errors
    /// When it is no quantity of the dimension or outside of what is taken.
    pub fn read(&self, text: &str, bath: &BathKind) -> Result<f64, Problem> {
        let problem = |message: String, advice: &str| {
            Problem::at(self.ask, message, advice).with_value(text.trim())
        };
        let si = self
            .dim
            .parse(text)
            .map_err(|why| problem(why.to_string(), "or leave it open"))?;
        let (low, high) = self.allowed_si(bath);
        let is_whole = self.key != Key::Stages || (si - si.round()).abs() < 1e-9;
        // A hair of room, for answers that stand on the edge in another unit.
        if si >= low * (1.0 - 1e-9) && si <= high * (1.0 + 1e-9) && is_whole {
            return Ok(si);
        }
        let ((low, high), unit) = (self.in_unit(self.allowed, bath), self.unit);
        let allowed = format!("{low}–{high} {unit}").trim_end().to_owned();
        let kind = if self.key == Key::Stages {
            "a whole number of "
        } else {
            ""
        };
        Err(problem(
            format!("\"{}\" is outside of {kind}{allowed}", text.trim()),
            "give a value in that range, or leave it open",
        )
        .with_allowed(allowed))
    }
}

/// Answers; what is left open is absent.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outline {
    /// Place of the kind of bath in [`BATHS`]; bright nickel when left open.
    pub bath: Option<usize>,
    answers: std::collections::BTreeMap<Key, String>,
}

impl Outline {
    /// Answers a question; an empty text leaves it open.
    pub fn answer(&mut self, key: Key, text: &str) {
        if text.trim().is_empty() {
            self.answers.remove(&key);
        } else {
            self.answers.insert(key, text.trim().to_owned());
        }
    }

    /// The answer as written.
    #[must_use]
    pub fn answered(&self, key: Key) -> Option<&str> {
        self.answers.get(&key).map(String::as_str)
    }

    /// The kind of bath.
    #[must_use]
    pub fn kind(&self) -> &'static BathKind {
        self.bath.and_then(|i| BATHS.get(i)).unwrap_or(&BATHS[0])
    }
}

/// Writes a scenario file from the answers.
///
/// # Errors
/// Every answer that cannot be taken, under its question.
pub fn outline(answers: &Outline) -> Result<String, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut taken = Vec::new();
    for question in &QUESTIONS {
        let written = answers.answered(question.key).map(str::to_owned);
        let is_open = written.is_none();
        let Some(text) = written.or_else(|| question.typical(answers.kind())) else {
            continue;
        };
        match question.read(&text, answers.kind()) {
            Ok(si) => taken.push(Answer {
                key: question.key,
                si,
                text,
                is_open,
            }),
            Err(problem) => problems.push(problem),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    Ok(write::scenario(answers.kind(), &Answers(taken)))
}

struct Answer {
    key: Key,
    si: f64,
    text: String,
    is_open: bool,
}

struct Answers(Vec<Answer>);

impl Answers {
    fn get(&self, key: Key) -> Option<&Answer> {
        self.0.iter().find(|a| a.key == key)
    }

    /// SI value; zero for what the other answers decide.
    fn si(&self, key: Key) -> f64 {
        self.get(key).map_or(0.0, |a| a.si)
    }
}
