//! What is to be said of a loop: everything that is wrong or soon will be, the worst first, and how the water stands.

mod words;

use dragback_run::Cause;

use crate::answers::{AlarmAnswer, Answers, LoopAnswer, Margin};
use crate::balance::{
    DUST_L_PER_H, is_short_of_room, just_closes, missing_k, runs_over, uses_all_heat,
};
use crate::growth::FORESEEN_D;

pub use words::{Telling, capitalised};

/// One thing to be said of a loop.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// An electrode or thermostat raised its alarm, which cuts heat, pumps or inflows.
    Stopped(AlarmAnswer),
    /// A tank spills over its brim.
    Spills(AlarmAnswer),
    /// An impurity passed its limit in the course of a run.
    PassedLimit {
        /// The solute.
        species: String,
        /// The tank.
        vessel: String,
        /// Its limit, g/L.
        limit_g_per_l: f64,
        /// Days from the start, above 0.
        day: f64,
    },
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
        /// Tanks out of which it comes later.
        later: Vec<String>,
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
    /// Heaters work at full power, and the tank misses its set point, °C, by so many kelvins.
    HeatIsTheLimit {
        /// How much is missing.
        missing_k: f64,
        /// What the thermostat is to keep.
        thermostat_c: f64,
    },
    /// Heaters work at full power and just hold the set point.
    HeatIsUsedUp,
    /// More comes in than can evaporate, though heat is left.
    EvaporatorIsTheLimit,
    /// Nothing restores the bath, g/L at the start and settled.
    RunsDown {
        /// The solute.
        species: String,
        /// Its strength at the start.
        from_g_per_l: f64,
        /// Its strength in the settled week.
        to_g_per_l: f64,
    },
    /// The bath stands so many kelvins above its set point (below zero: under it), °C.
    BathOff {
        /// By how much.
        off_k: f64,
        /// Its set point.
        set_point_c: f64,
    },
    /// It closes in the mean air, but in the worst month so much more comes in than can evaporate, L/h.
    NotAllYear {
        /// To spare in the mean air, L/h.
        spare_l_per_h: f64,
        /// How much too much.
        short_l_per_h: f64,
        /// Which month: `Jan` … `Dec`.
        month: String,
    },
    /// It closes with next to nothing to spare, L/h.
    JustCloses(f64),
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
            | Self::PassedLimit { .. }
            | Self::RunsDown { .. }
            | Self::DoesNotClose(_) => Severity::Alarm,
            Self::NoMargin(_)
            | Self::HeatIsTheLimit { .. }
            | Self::HeatIsUsedUp
            | Self::EvaporatorIsTheLimit
            | Self::BathOff { .. }
            | Self::NotAllYear { .. }
            | Self::JustCloses(_) => Severity::Caution,
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
            Self::RunsDown { .. } => (3, 0.0),
            Self::DirtyRinse { .. } | Self::PassedRinse { .. } => (4, 0.0),
            Self::ComesOut(_) => (5, 0.0),
            Self::RanDown(_) => (6, 0.0),
            Self::WillComeOut { days, .. } | Self::OverLimit { days, .. } if *days <= SOON_D => {
                (7, *days)
            }
            Self::PassedLimit { day, .. } => (7, *day),
            Self::DoesNotClose(_) => (8, 0.0),
            Self::WillComeOut { days, .. } | Self::OverLimit { days, .. } => (9, *days),
            Self::NoMargin(_) => (10, 0.0),
            Self::NotAllYear { .. } => (11, 0.0),
            Self::HeatIsTheLimit { .. } | Self::HeatIsUsedUp | Self::EvaporatorIsTheLimit => {
                (12, 0.0)
            }
            Self::BathOff { .. } => (13, 0.0),
            Self::JustCloses(_)
            | Self::Closes(_)
            | Self::StaysClosed(_)
            | Self::NoLoop
            | Self::NothingAmiss(_) => (14, 0.0),
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
        found.extend(bath(line));
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

/// What is wrong now, or within a year, in any loop: the findings of severity [`Severity::Alarm`], each with its loop, the worst of each first. An alarm
/// of a tank that belongs to no loop stands at the end.
///
/// This is the rule by which a command ends with exit code 1.
#[must_use]
pub fn amiss(answers: &Answers) -> Vec<(Option<&LoopAnswer>, Finding)> {
    let of_loops = answers.loops.iter().flat_map(|line| {
        let found = verdict(answers, line).into_iter();
        found.map(move |finding| (Some(line), finding))
    });
    let is_apart = |a: &&AlarmAnswer| !answers.loops.iter().any(|l| l.tanks.contains(&a.vessel));
    let apart = answers.alarms.iter().filter(is_apart);
    let all = of_loops.chain(apart.map(|a| (None, raised(a))));
    all.filter(|(_, finding)| finding.severity() == Severity::Alarm)
        .collect()
}

fn alarms(answers: &Answers, line: &LoopAnswer) -> Vec<Finding> {
    let of_line = |a: &&AlarmAnswer| line.tanks.contains(&a.vessel);
    answers.alarms.iter().filter(of_line).map(raised).collect()
}

fn raised(alarm: &AlarmAnswer) -> Finding {
    let told = alarm.clone();
    match alarm.cause {
        Cause::Relay(_) => Finding::Stopped(told),
        Cause::Spills(_) => Finding::Spills(told),
        Cause::Saturated(_) | Cause::OnceCooled(_) => Finding::ComesOut(told),
        Cause::RunsLow(_) => Finding::RanDown(told),
    }
}

/// Salts and impurities that the look ahead met. What a tank's alarm tells already is not told again.
fn foreseen(answers: &Answers, line: &LoopAnswer) -> Vec<Finding> {
    let is_told = |vessel: &str| {
        answers.alarms.iter().any(|a| {
            a.vessel == vessel && matches!(a.cause, Cause::Saturated(_) | Cause::OnceCooled(_))
        })
    };
    let met = answers.precipitation.iter();
    let met = met.filter(|p| line.tanks.contains(&p.vessel) && !is_told(&p.vessel));
    let mut met: Vec<_> = met.collect();
    met.sort_by(|a, b| a.days.total_cmp(&b.days));
    let is_first = |i: usize| met[..i].iter().all(|p| p.salt != met[i].salt);
    let salts = (0..met.len()).filter(|&i| is_first(i)).map(|i| {
        let same = met[i + 1..].iter().filter(|p| p.salt == met[i].salt);
        Finding::WillComeOut {
            salt: met[i].salt.clone(),
            vessel: met[i].vessel.clone(),
            days: met[i].days,
            once_cooled: met[i].once_cooled,
            later: same.map(|p| p.vessel.clone()).collect(),
        }
    });
    // A run is judged by what it passed, not by what it would pass if it went on.
    let is_settled = answers.driver == "settled";
    let latest_d = if is_settled {
        FORESEEN_D
    } else {
        answers.span_h / 24.0
    };
    let impurities = answers.impurities.iter();
    let impurities = impurities.filter(|i| line.tanks.contains(&i.vessel));
    let impurities = impurities.filter_map(|i| {
        let days = i.days_to_limit.filter(|&d| d <= latest_d)?;
        let (species, vessel) = (i.species.clone(), i.vessel.clone());
        let limit_g_per_l = i.limit_g_per_l?;
        Some(if is_settled || days <= 0.0 {
            Finding::OverLimit {
                species,
                vessel,
                limit_g_per_l,
                days: days.max(0.0),
            }
        } else {
            Finding::PassedLimit {
                species,
                vessel,
                limit_g_per_l,
                day: days,
            }
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
    let is_short = is_short_of_room(line);
    match missing_k(line).zip(line.thermostat_c) {
        _ if !uses_all_heat(line) => {
            found.extend(is_short.then_some(Finding::EvaporatorIsTheLimit));
        }
        Some((missing_k, thermostat_c)) => found.push(Finding::HeatIsTheLimit {
            missing_k,
            thermostat_c,
        }),
        None => found.push(Finding::HeatIsUsedUp),
    }
    if is_short {
        found.push(Finding::DoesNotClose(-week));
        return found;
    }
    if runs_over(line) {
        found.push(Finding::RunsOver(line.over_brim_l_per_h));
    }
    found.push(match short_month(margin) {
        Some(not_all_year) => not_all_year,
        // Not "−0.01 to spare": less than a face shows is nothing.
        None if just_closes(line) => Finding::JustCloses(week.max(0.0)),
        None if has_week => Finding::Closes(week),
        None => Finding::StaysClosed(week),
    });
    found
}

/// The month in which a loop that closes in the mean air does not.
fn short_month(margin: &Margin) -> Option<Finding> {
    let is_short = margin.worst_month < -DUST_L_PER_H && margin.month != "mean";
    is_short.then(|| Finding::NotAllYear {
        spare_l_per_h: margin.week.max(0.0),
        short_l_per_h: -margin.worst_month,
        month: margin.month.clone(),
    })
}

/// How the bath is kept.
fn bath(line: &LoopAnswer) -> Vec<Finding> {
    let bath = &line.bath;
    let strength = bath.runs_down().then(|| Finding::RunsDown {
        species: line.final_rinse.species.clone(),
        from_g_per_l: bath.lead_at_start_g_per_l,
        to_g_per_l: bath.lead_g_per_l,
    });
    let warmth = bath.off_k().map(|off_k| Finding::BathOff {
        off_k,
        set_point_c: bath.set_point_c,
    });
    strength.into_iter().chain(warmth).collect()
}

#[cfg(test)]
mod tests;
