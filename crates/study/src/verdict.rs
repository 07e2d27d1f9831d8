//! What is to be said of a loop: everything that is wrong or soon will be, the worst first, and how the water stands.

use dragback_run::{Cause, Reading};

use crate::advice::runs_over;
use crate::answers::{AlarmAnswer, Answers, LoopAnswer};

/// One thing to be said of a loop.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// An electrode or thermostat raised its alarm, which cuts heat, pumps or inflows.
    Stopped(AlarmAnswer),
    /// A tank spills over its brim.
    Spills(AlarmAnswer),
    /// The week could close, but water runs over the brim of the collection tank, L/h.
    RunsOver(f64),
    /// The film on the work, mg/L, is over its limit, mg/L.
    DirtyRinse {
        /// Strength of the film.
        film_mg_per_l: f64,
        /// Its limit.
        limit_mg_per_l: f64,
    },
    /// The film on the work is below its limit in the mean, but passed it.
    PassedRinse {
        /// Its limit, mg/L.
        limit_mg_per_l: f64,
        /// Days from the start.
        day: f64,
    },
    /// A salt comes out of a tank now, or would as the shop cools.
    ComesOut(AlarmAnswer),
    /// A tank ran down to its outlet.
    RanDown(AlarmAnswer),
    /// A salt will come out of a tank.
    WillComeOut {
        /// The salt.
        salt: String,
        /// The tank.
        vessel: String,
        /// Days from the start.
        days: f64,
        /// Only as the shop cools over a weekend.
        once_cooled: bool,
    },
    /// An impurity is over its limit, or will be.
    OverLimit {
        /// The solute.
        species: String,
        /// The tank.
        vessel: String,
        /// Its limit, g/L.
        limit_g_per_l: f64,
        /// Days from the start; 0 where it is over it from the start.
        days: f64,
    },
    /// More comes in than can evaporate, L/h.
    DoesNotClose(f64),
    /// The margin has no number, and why.
    NoMargin(String),
    /// Heaters work at full power.
    HeatIsTheLimit,
    /// It closes with nothing to spare.
    JustCloses,
    /// It closes with so much to spare, L/h, over a week that repeats, …
    Closes(f64),
    /// … or in a state that has no week: work never stops, or is spread evenly.
    StaysClosed(f64),
    /// No evaporator, and nothing that returns water to the bath.
    NoLoop,
    /// A run in which nothing was amiss, and its length in days.
    NothingAmiss(f64),
}

/// How a finding is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing to worry about.
    Good,
    /// Neither good nor bad.
    Plain,
    /// To be watched.
    Caution,
    /// Wrong now, or within a year.
    Alarm,
}

/// What is foreseen within so many days counts before the closure margin: a year.
const SOON_D: f64 = 365.0;
/// An impurity that meets its limit later than this is not told: three years, as far as salts are looked for.
const LATEST_D: f64 = 3.0 * 365.0;
/// Margins within this many L/h of nothing count as just closing.
const NEARLY_L_PER_H: f64 = 0.5;
/// Heaters above this share of their power are the limit.
const FULL_DUTY: f64 = 0.98;

impl Finding {
    /// How it is meant.
    #[must_use]
    pub fn severity(&self) -> Severity {
        match self {
            Self::WillComeOut { days, .. } | Self::OverLimit { days, .. } if *days > SOON_D => {
                Severity::Caution
            }
            Self::Stopped(_)
            | Self::Spills(_)
            | Self::RunsOver(_)
            | Self::DirtyRinse { .. }
            | Self::PassedRinse { .. }
            | Self::ComesOut(_)
            | Self::RanDown(_)
            | Self::WillComeOut { .. }
            | Self::OverLimit { .. }
            | Self::DoesNotClose(_) => Severity::Alarm,
            Self::NoMargin(_) | Self::HeatIsTheLimit | Self::JustCloses => Severity::Caution,
            Self::NoLoop => Severity::Plain,
            Self::Closes(_) | Self::StaysClosed(_) | Self::NothingAmiss(_) => Severity::Good,
        }
    }

    /// Place among the others, the worst first, and within a place the sooner first.
    fn rank(&self) -> (u8, f64) {
        match self {
            Self::Stopped(_) => (0, 0.0),
            Self::Spills(_) => (1, 0.0),
            Self::RunsOver(_) => (2, 0.0),
            Self::DirtyRinse { .. } | Self::PassedRinse { .. } => (3, 0.0),
            Self::ComesOut(_) => (4, 0.0),
            Self::RanDown(_) => (5, 0.0),
            Self::WillComeOut { days, .. } | Self::OverLimit { days, .. } if *days <= SOON_D => {
                (6, *days)
            }
            Self::DoesNotClose(_) => (7, 0.0),
            Self::WillComeOut { days, .. } | Self::OverLimit { days, .. } => (8, *days),
            Self::NoMargin(_) => (9, 0.0),
            Self::HeatIsTheLimit => (10, 0.0),
            Self::JustCloses
            | Self::Closes(_)
            | Self::StaysClosed(_)
            | Self::NoLoop
            | Self::NothingAmiss(_) => (11, 0.0),
        }
    }
}

/// Everything to be said of one loop among the answers, the worst first. There is always something; the last tells how the water stands.
#[must_use]
pub fn verdict(answers: &Answers, line: &LoopAnswer) -> Vec<Finding> {
    let mut found = alarms(answers, line);
    let rinse = &line.final_rinse;
    if let Some(limit) = rinse.limit_mg_per_l.filter(|&l| rinse.film_mg_per_l > l) {
        found.push(Finding::DirtyRinse {
            film_mg_per_l: rinse.film_mg_per_l,
            limit_mg_per_l: limit,
        });
    } else if let (Some(day), Some(limit_mg_per_l)) =
        (rinse.passed_limit_on_day, rinse.limit_mg_per_l)
    {
        found.push(Finding::PassedRinse {
            limit_mg_per_l,
            day,
        });
    }
    found.extend(foreseen(answers, line));
    if answers.driver == "settled" {
        found.extend(water(line, answers.hours == "calendar"));
    } else if found.is_empty() {
        found.push(Finding::NothingAmiss(answers.span_h / 24.0));
    }
    found.sort_by(|a, b| {
        let (a, b) = (a.rank(), b.rank());
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    found
}

fn alarms(answers: &Answers, line: &LoopAnswer) -> Vec<Finding> {
    let of_line = |a: &&AlarmAnswer| line.tanks.contains(&a.vessel);
    let told = answers.alarms.iter().filter(of_line).map(|a| {
        let alarm = a.clone();
        match a.cause {
            Cause::Relay(_) => Finding::Stopped(alarm),
            Cause::Spills(_) => Finding::Spills(alarm),
            Cause::Saturated(_) | Cause::OnceCooled(_) => Finding::ComesOut(alarm),
            Cause::RunsLow(_) => Finding::RanDown(alarm),
        }
    });
    told.collect()
}

/// Salts and impurities that the look ahead met. What a tank's alarm tells already is not told again.
fn foreseen(answers: &Answers, line: &LoopAnswer) -> Vec<Finding> {
    let is_told = |vessel: &str| {
        answers.alarms.iter().any(|a| {
            a.vessel == vessel && matches!(a.cause, Cause::Saturated(_) | Cause::OnceCooled(_))
        })
    };
    let salts = answers.precipitation.iter();
    let salts = salts.filter(|p| line.tanks.contains(&p.vessel) && !is_told(&p.vessel));
    let salts = salts.map(|p| Finding::WillComeOut {
        salt: p.salt.clone(),
        vessel: p.vessel.clone(),
        days: p.days,
        once_cooled: p.once_cooled,
    });
    // A run is judged by what it passed, not by what it would pass if it went on.
    let latest_d = if answers.driver == "settled" {
        LATEST_D
    } else {
        answers.span_h / 24.0
    };
    let impurities = answers.impurities.iter();
    let impurities = impurities.filter(|i| line.tanks.contains(&i.vessel));
    let impurities = impurities.filter_map(|i| {
        let days = i.days_to_limit.filter(|&d| d <= latest_d)?;
        Some(Finding::OverLimit {
            species: i.species.clone(),
            vessel: i.vessel.clone(),
            limit_g_per_l: i.limit_g_per_l?,
            days: days.max(0.0),
        })
    });
    salts.chain(impurities).collect()
}

/// How the water stands.
fn water(line: &LoopAnswer, has_week: bool) -> Vec<Finding> {
    let Some(margin) = &line.closure_margin_l_per_h else {
        return vec![Finding::NoLoop];
    };
    let week = margin.week;
    if !week.is_finite() {
        let why = margin.not_shown.clone().unwrap_or_default();
        return vec![Finding::NoMargin(why)];
    }
    let mut found = Vec::new();
    if line.heater_duty >= FULL_DUTY {
        found.push(Finding::HeatIsTheLimit);
    }
    if week < -NEARLY_L_PER_H {
        found.push(Finding::DoesNotClose(-week));
        return found;
    }
    if runs_over(line) {
        found.push(Finding::RunsOver(line.over_brim_l_per_h));
    }
    found.push(if week <= NEARLY_L_PER_H {
        Finding::JustCloses
    } else if has_week {
        Finding::Closes(week)
    } else {
        Finding::StaysClosed(week)
    });
    found
}

/// How a face writes what a verdict names: figures in its units, solutes by its names.
pub trait Telling {
    /// A flow.
    fn flow(&self, l_per_h: f64) -> String;
    /// A strength of rinse water.
    fn rinse(&self, mg_per_l: f64) -> String;
    /// A strength of a bath.
    fn strength(&self, g_per_l: f64) -> String;
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
                format!("Alarm: {}{count}; it is {}", alarm.words(told), alarm.state)
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
            Self::WillComeOut {
                salt,
                vessel,
                days,
                once_cooled,
            } => {
                let (salt, when) = (capitalised(salt), later(*days, told));
                if *once_cooled {
                    format!("{salt} would come out in {vessel} over a cold weekend {when}")
                } else {
                    format!("{salt} begins to come out in {vessel} {when}")
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
            Self::NoLoop => {
                "No evaporator takes rinse water up here, so there is no loop to close".to_owned()
            }
            Self::NothingAmiss(days) => {
                format!("No alarm and no limit passed in {}", told.days(*days))
            }
            Self::DoesNotClose(_)
            | Self::NoMargin(_)
            | Self::HeatIsTheLimit
            | Self::JustCloses
            | Self::Closes(_)
            | Self::StaysClosed(_) => self.water_words(told),
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
            Self::HeatIsTheLimit => {
                "Heat is the limit: full power, the tank below its set point".to_owned()
            }
            Self::JustCloses => "The loop just closes, with nothing to spare".to_owned(),
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

#[cfg(test)]
mod tests;
