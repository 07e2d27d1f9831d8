//! What a verdict says, in sentences.

use dragback_run::Reading;

use super::Finding;
use crate::answers::AlarmAnswer;

/// Less than this share of what it began with is nothing.
const EMPTY: f64 = 0.01;

/// How a face writes what a verdict names: figures in its units, solutes by its names.
pub trait Telling {
    /// A flow.
    fn flow(&self, l_per_h: f64) -> String;
    /// A strength of rinse water.
    fn rinse(&self, mg_per_l: f64) -> String;
    /// A strength of a bath.
    fn strength(&self, g_per_l: f64) -> String;
    /// A difference of temperatures.
    fn kelvins(&self, kelvins: f64) -> String;
    /// A time.
    fn days(&self, days: f64) -> String;
    /// What an instrument read.
    fn reading(&self, reading: Reading) -> String;
    /// A solute, at the beginning of a sentence.
    fn solute(&self, name: &str) -> String;
}

impl AlarmAnswer {
    /// What happened the first time, in the units of a face.
    #[must_use]
    pub fn words(&self, told: &dyn Telling) -> String {
        self.told
            .words(&self.called, |reading| told.reading(reading))
    }
}

impl Finding {
    /// It in a sentence, without the stop.
    #[must_use]
    pub fn words(&self, told: &dyn Telling) -> String {
        match self {
            Self::Stopped(alarm) => {
                let count = match alarm.times {
                    0 | 1 => String::new(),
                    n => format!(", {n} times"),
                };
                let state = match alarm.state {
                    "returned to normal" => "it has returned to normal".to_owned(),
                    state => format!("it is {state}"),
                };
                format!("Alarm: {}{count}; {state}", alarm.words(told))
            }
            Self::Spills(alarm) | Self::ComesOut(alarm) | Self::RanDown(alarm) => {
                let all = alarm.words(told);
                // What follows is advice, which stands with the alarms.
                let first = all.split(';').next().unwrap_or(&all);
                capitalised(first)
            }
            Self::RunsOver(over) => format!(
                "The tanks are too small for the shifts: {} runs over",
                told.flow(*over)
            ),
            Self::DirtyRinse {
                film_mg_per_l,
                limit_mg_per_l,
            } => format!(
                "The final rinse is at {}, over its limit of {}",
                told.rinse(*film_mg_per_l),
                told.rinse(*limit_mg_per_l)
            ),
            Self::PassedRinse {
                limit_mg_per_l,
                day,
            } => format!(
                "The final rinse passed its limit of {} on day {day:.1}, though not in the mean",
                told.rinse(*limit_mg_per_l)
            ),
            Self::WillComeOut { .. } | Self::OverLimit { .. } | Self::PassedLimit { .. } => {
                self.foreseen_words(told)
            }
            Self::NoLoop => {
                "No evaporator takes rinse water up here, so there is no loop to close".to_owned()
            }
            Self::NothingAmiss(days) => {
                format!("No alarm and no limit passed in {}", told.days(*days))
            }
            Self::RunsDown { .. } | Self::BathOff { .. } => self.bath_words(told),
            Self::DoesNotClose(_)
            | Self::NoMargin(_)
            | Self::NotAllYear { .. }
            | Self::HeatIsTheLimit { .. }
            | Self::HeatIsUsedUp
            | Self::EvaporatorIsTheLimit
            | Self::JustCloses(_)
            | Self::Closes(_)
            | Self::StaysClosed(_) => self.water_words(told),
        }
    }

    /// What passes a limit or will, in a sentence; nothing of other findings.
    fn foreseen_words(&self, told: &dyn Telling) -> String {
        match self {
            Self::WillComeOut {
                salt,
                vessel,
                days,
                once_cooled,
                later: others,
            } => {
                let (salt, when) = (capitalised(salt), later(*days, told));
                let then = match others.as_slice() {
                    [] => String::new(),
                    all => format!(", later in {} too", all.join(", ")),
                };
                if *once_cooled {
                    format!("{salt} would come out in {vessel} over a cold weekend {when}{then}")
                } else {
                    format!("{salt} begins to come out in {vessel} {when}{then}")
                }
            }
            Self::OverLimit {
                species,
                vessel,
                limit_g_per_l,
                days,
            } => {
                let (name, limit) = (told.solute(species), told.strength(*limit_g_per_l));
                if *days > 0.0 {
                    let when = later(*days, told);
                    format!("{name} in {vessel} passes its limit of {limit} {when}")
                } else {
                    format!("{name} in {vessel} is over its limit of {limit}")
                }
            }
            Self::PassedLimit {
                species,
                vessel,
                limit_g_per_l,
                day,
            } => format!(
                "{} in {vessel} passed its limit of {} on day {day:.1}",
                told.solute(species),
                told.strength(*limit_g_per_l)
            ),
            _ => String::new(),
        }
    }

    /// How the bath is kept, in a sentence; nothing of other findings.
    fn bath_words(&self, told: &dyn Telling) -> String {
        match self {
            Self::RunsDown {
                species,
                from_g_per_l,
                to_g_per_l,
            } => {
                let to = if *to_g_per_l < EMPTY * from_g_per_l {
                    "nothing".to_owned()
                } else {
                    told.strength(*to_g_per_l)
                };
                let (name, from) = (told.solute(species), told.strength(*from_g_per_l));
                format!(
                    "{name} falls from {from} to {to}, since nothing restores the bath: settled figures are of that spent bath"
                )
            }
            Self::BathOff { off_k, set_point_c } => {
                let by = told.kelvins(off_k.abs());
                let set = told.reading(Reading::TemperatureC(*set_point_c));
                if *off_k < 0.0 {
                    format!("The bath stays {by} below its set point of {set}: it lacks heat")
                } else {
                    format!("The bath runs {by} above its set point of {set}: it lacks cooling")
                }
            }
            _ => String::new(),
        }
    }

    /// How the water stands, in a sentence; nothing of other findings.
    fn water_words(&self, told: &dyn Telling) -> String {
        match self {
            Self::DoesNotClose(short) => format!(
                "The loop does not close: {} more comes in than can evaporate",
                told.flow(*short)
            ),
            Self::NoMargin(why) => {
                let because = if why.is_empty() { "" } else { ": " };
                format!("The balance of this loop has no answer{because}{why}")
            }
            Self::NotAllYear {
                spare_l_per_h,
                short_l_per_h,
                month,
            } => format!(
                "The loop closes in the mean air of the year with {} to spare, but not in {month}: {} too much comes in",
                told.flow(*spare_l_per_h),
                told.flow(*short_l_per_h)
            ),
            Self::HeatIsTheLimit {
                missing_k,
                thermostat_c,
            } => format!(
                "Heat is the limit: at full power the tank stays {} short of {}",
                told.kelvins(*missing_k),
                told.reading(Reading::TemperatureC(*thermostat_c))
            ),
            Self::HeatIsUsedUp => {
                "The heaters are at full power and just hold the set point".to_owned()
            }
            Self::EvaporatorIsTheLimit => {
                "Heat is left, but the evaporator takes up no more at this temperature".to_owned()
            }
            Self::JustCloses(spare) => {
                format!(
                    "The loop just closes: only {} to spare",
                    told.flow(spare.max(0.0))
                )
            }
            Self::Closes(spare) => format!(
                "The loop closes over the week with {} to spare",
                told.flow(*spare)
            ),
            Self::StaysClosed(spare) => {
                format!("The loop closes with {} to spare", told.flow(*spare))
            }
            _ => String::new(),
        }
    }
}

fn later(days: f64, told: &dyn Telling) -> String {
    if days > 0.0 {
        format!("after {}", told.days(days))
    } else {
        "from the start".to_owned()
    }
}

/// Words with a capital first letter.
#[must_use]
pub fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}", letters.as_str())
}
