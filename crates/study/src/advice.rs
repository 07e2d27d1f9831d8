//! What limits a loop, and what would help: every change is tried on the settled week before it is told.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::AirChoice;
use dragback_run::RunError;
use dragback_run::clock::Hours;
use dragback_scenario::{Scenario, check, get, levers, set, set_si};

use crate::answers::LoopAnswer;
use crate::case::{Case, StudyError};
use crate::settled::{Depth, settled_answers};

/// What keeps a loop from being better than it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The heaters are at full power and more water comes in than they drive off.
    Heat,
    /// Heat is left, but towers and surfaces take up less water than comes in.
    Evaporation,
    /// The week could close, but the tanks cannot hold what shifts bring faster than it evaporates: some runs over.
    Storage,
    /// The loop closes, but the film on the work is over its limit.
    FinalRinse,
    /// The loop closes and the final rinse keeps its limit, if it has one.
    Nothing,
    /// There is no evaporator, and so no loop to close.
    NoLoop,
}

/// What a change is to reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    /// The closure margin is not below zero, and nothing runs over.
    Closes,
    /// The film on the work keeps its limit.
    CleanRinse,
    /// Less of something does as well, with a reserve: the loop still closes, what is lost stays a trifle of what is dragged out, heaters and final
    /// rinse keep some way from their limits.
    Saves,
}

/// A change of one input, and what came of it when it was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Path of the input.
    pub path: String,
    /// What it is to reach.
    pub goal: Goal,
    /// Value now, SI.
    pub from_si: f64,
    /// Value proposed, SI.
    pub to_si: f64,
    /// Value proposed, as it would be written.
    pub text: String,
    /// The settled answer with it.
    pub after: LoopAnswer,
}

/// What limits a loop, and what was found to help; the best first.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What limits.
    pub limit: Limit,
    /// Changes that reach their goal. Each is the smallest that does, to about a tenth of the change, and to three digits where that is fine enough.
    pub proposals: Vec<Proposal>,
    /// Goals that no usual value of any lever tried reaches.
    pub out_of_reach: Vec<Goal>,
}

/// Heaters above this share of their power are the limit.
const FULL_DUTY: f64 = 0.98;
/// A bracket narrower than this share of the change is narrow enough.
const NARROW: f64 = 0.04;
/// Rounding moves a proposal by no more than this share of the change.
const ROUNDING: f64 = 0.1;
/// Most halvings of a bracket.
const MOST_HALVINGS: usize = 12;
/// Water over the brim of more than this share of the rinse feed is told.
const RUNS_OVER: f64 = 1e-3;
/// A saving leaves the final rinse at this share of its limit, and the heaters at this duty, at most.
const RESERVE_FILM: f64 = 0.8;
const RESERVE_DUTY: f64 = 0.9;
/// A saving costs no more than this of what work drags out.
const TRIFLE: f64 = 1e-3;
/// A saving smaller than this share of the value is not told.
const WORTH_SAVING: f64 = 0.03;

/// The closure margin, L/h, where there is one.
fn margin(line: &LoopAnswer) -> Option<f64> {
    let week = line.closure_margin_l_per_h.as_ref()?.week;
    week.is_finite().then_some(week)
}

/// Whether water runs over the brim of the collection tank.
#[must_use]
pub fn runs_over(line: &LoopAnswer) -> bool {
    line.over_brim_l_per_h > RUNS_OVER * line.rinse_feed_l_per_h
}

fn closes(line: &LoopAnswer) -> bool {
    margin(line).is_some_and(|m| m >= 0.0) && !runs_over(line)
}

/// Whether a saving leaves a loop as good as it is `now`, but for a trifle.
fn keeps(line: &LoopAnswer, now: &LoopAnswer) -> bool {
    let film = line.final_rinse.film_mg_per_l;
    let limit = line.final_rinse.limit_mg_per_l;
    let loses_no_more = line.recovered_fraction.is_nan()
        || line.recovered_fraction >= now.recovered_fraction - TRIFLE;
    (closes(line) || !closes(now))
        && limit.is_none_or(|limit| film <= RESERVE_FILM * limit)
        && line.heater_duty <= RESERVE_DUTY
        && loses_no_more
}

fn is_clean(line: &LoopAnswer) -> bool {
    let film = line.final_rinse.film_mg_per_l;
    line.final_rinse
        .limit_mg_per_l
        .is_none_or(|limit| film <= limit)
}

impl Goal {
    /// Whether an answer reaches it; a saving must not lose what the loop has `now`.
    #[must_use]
    pub fn is_met(self, line: &LoopAnswer, now: &LoopAnswer) -> bool {
        match self {
            Self::Closes => closes(line),
            Self::CleanRinse => is_clean(line),
            Self::Saves => keeps(line, now),
        }
    }
}

/// What limits a loop as it stands.
#[must_use]
pub fn limit_of(now: &LoopAnswer) -> Limit {
    if now.closure_margin_l_per_h.is_some() && margin(now).is_none() {
        // There is a loop, but its margin has no answer: next to no water runs.
        return if is_clean(now) {
            Limit::Nothing
        } else {
            Limit::FinalRinse
        };
    }
    match margin(now) {
        None if !is_clean(now) => Limit::FinalRinse,
        None => Limit::NoLoop,
        Some(m) if m < 0.0 && now.heater_duty >= FULL_DUTY => Limit::Heat,
        Some(m) if m < 0.0 => Limit::Evaporation,
        Some(_) if runs_over(now) => Limit::Storage,
        Some(_) if !is_clean(now) => Limit::FinalRinse,
        Some(_) => Limit::Nothing,
    }
}

/// Tries changes of the main levers and of the set point, and tells those that help.
///
/// `now` is the settled answer of the loop as it stands. `watch` is told the time now and then and stops the search by answering `false`.
///
/// # Errors
/// Only when the search is stopped. A change that leads to no answer is not proposed.
pub fn advise(
    scenario: &Arc<Scenario>,
    loop_key: &str,
    now: &LoopAnswer,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Advice, StudyError> {
    let limit = limit_of(now);
    let mut trial = Trial {
        scenario,
        loop_key,
        now,
        cache,
        watch,
    };
    let mut proposals = Vec::new();
    let mut out_of_reach = Vec::new();
    for goal in goals(limit, now) {
        let before = proposals.len();
        for (path, way) in ways(scenario, loop_key, goal) {
            proposals.extend(trial.smallest(&path, way, goal)?);
        }
        if proposals.len() == before && goal != Goal::Saves {
            out_of_reach.push(goal);
        }
    }
    // What mends everything stands before what mends one thing at the price of another.
    let all = |p: &Proposal| (closes(&p.after) || margin(now).is_none()) && is_clean(&p.after);
    proposals.sort_by_key(|p| !all(p));
    Ok(Advice {
        limit,
        proposals,
        out_of_reach,
    })
}

fn goals(limit: Limit, now: &LoopAnswer) -> Vec<Goal> {
    let mut goals = Vec::new();
    if matches!(limit, Limit::Heat | Limit::Evaporation | Limit::Storage) {
        goals.push(Goal::Closes);
    }
    if !is_clean(now) {
        goals.push(Goal::CleanRinse);
    }
    if goals.is_empty() {
        goals.push(Goal::Saves);
    }
    goals
}

/// In which direction an input is moved, and how far at most.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    /// Up to so many times its value.
    Up(f64),
    /// Down to this share of its value.
    Down(f64),
    /// Up by so many kelvins.
    Warmer(f64),
}

/// Inputs that may help towards a goal.
fn ways(scenario: &Scenario, loop_key: &str, goal: Goal) -> Vec<(String, Way)> {
    let main = levers(scenario, loop_key);
    let mut main = main.into_iter().flatten();
    let (drag_out, rinse, heat) = (main.next(), main.next(), main.next());
    let set_point = Some(format!("{loop_key}.holding_tank.set_point"));
    let collection = Some(format!("{loop_key}.collection.tank.volume"));
    let all = match goal {
        Goal::Closes => vec![
            (heat, Way::Up(3.0)),
            (rinse, Way::Down(0.2)),
            (set_point, Way::Warmer(12.0)),
            (collection, Way::Up(4.0)),
        ],
        Goal::CleanRinse => vec![(rinse, Way::Up(5.0)), (drag_out, Way::Down(0.2))],
        Goal::Saves => vec![(rinse, Way::Down(0.2)), (heat, Way::Down(0.1))],
    };
    all.into_iter()
        .filter_map(|(path, way)| Some((path?, way)))
        .collect()
}

/// What is needed to try a change.
struct Trial<'a, 'w> {
    scenario: &'a Arc<Scenario>,
    loop_key: &'a str,
    now: &'a LoopAnswer,
    cache: &'a TowerCache,
    watch: &'w mut dyn FnMut(f64) -> bool,
}

impl Trial<'_, '_> {
    /// The answer of a changed scenario; `None` where there is none.
    fn answer(&mut self, scenario: Scenario) -> Result<Option<LoopAnswer>, StudyError> {
        if !check(&scenario).is_empty() {
            return Ok(None);
        }
        let Ok(case) = Case::new(Arc::new(scenario), self.cache) else {
            return Ok(None);
        };
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        match settled_answers(&case, air, hours, Depth::Quick, self.watch) {
            Ok(found) => {
                let mut loops = found.answers.loops.into_iter();
                Ok(loops.find(|l| l.name == self.loop_key))
            }
            Err(StudyError::Run(RunError::Cancelled)) => Err(StudyError::Run(RunError::Cancelled)),
            Err(_) => Ok(None),
        }
    }

    fn with_si(&mut self, path: &str, si: f64) -> Result<Option<LoopAnswer>, StudyError> {
        let mut changed = Scenario::clone(self.scenario);
        match set_si(&mut changed, path, si) {
            Ok(()) => self.answer(changed),
            Err(_) => Ok(None),
        }
    }

    /// The smallest change of one input that reaches a goal, or the largest that still does for a saving.
    fn smallest(
        &mut self,
        path: &str,
        way: Way,
        goal: Goal,
    ) -> Result<Option<Proposal>, StudyError> {
        let Some(from_si) = get(self.scenario, path).ok().and_then(|p| p.si()) else {
            return Ok(None);
        };
        let allowed = get(self.scenario, path).ok().and_then(|p| p.allowed_si());
        let (low, high) = allowed.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        let usual = get(self.scenario, path).ok().and_then(|p| p.usual_si());
        let far_si = match way {
            // From nothing, as far as is usual.
            Way::Up(_) if from_si == 0.0 => usual.map_or(0.0, |u| u.1),
            Way::Up(times) | Way::Down(times) => times * from_si,
            Way::Warmer(by) => from_si + by,
        };
        let far_si = far_si.clamp(low, high);
        if !(far_si.is_finite() && far_si != from_si) {
            return Ok(None);
        }
        let reaches = |trial: &mut Self, si: f64| -> Result<bool, StudyError> {
            let now = trial.now;
            let answer = trial.with_si(path, si)?;
            Ok(answer.is_some_and(|a| goal.is_met(&a, now)))
        };
        // `inside` reaches the goal, `outside` does not; a saving begins inside.
        let (mut inside, mut outside) = if goal == Goal::Saves {
            if reaches(self, far_si)? {
                return Ok(None);
            }
            (from_si, far_si)
        } else {
            if !reaches(self, far_si)? {
                return Ok(None);
            }
            (far_si, from_si)
        };
        for _ in 0..MOST_HALVINGS {
            if (inside - outside).abs() <= NARROW * (inside - from_si).abs() {
                break;
            }
            let middle = 0.5 * (inside + outside);
            if reaches(self, middle)? {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        if goal == Goal::Saves && (inside / from_si - 1.0).abs() < WORTH_SAVING {
            return Ok(None);
        }
        self.told(path, goal, from_si, (inside, outside))
    }

    /// The change rounded as a person would write it, tried once more.
    fn told(
        &mut self,
        path: &str,
        goal: Goal,
        from_si: f64,
        (inside, outside): (f64, f64),
    ) -> Result<Option<Proposal>, StudyError> {
        let mut changed = Scenario::clone(self.scenario);
        if set_si(&mut changed, path, inside).is_err() {
            return Ok(None);
        }
        let text = get(&changed, path)
            .ok()
            .and_then(|p| p.text().map(str::to_owned));
        let Some(text) = text else { return Ok(None) };
        for digits in 3..=7 {
            let Some(text) = rounded(&text, digits, inside > outside) else {
                continue;
            };
            let mut changed = Scenario::clone(self.scenario);
            if set(&mut changed, path, &text).is_err() {
                continue;
            }
            let to_si = get(&changed, path).ok().and_then(|p| p.si());
            let Some(to_si) = to_si else { continue };
            // Rounding must not make much of a little.
            if (to_si - inside).abs() > ROUNDING * (inside - from_si).abs() {
                continue;
            }
            let Some(after) = self.answer(changed)? else {
                continue;
            };
            if goal.is_met(&after, self.now) {
                return Ok(Some(Proposal {
                    path: path.to_owned(),
                    goal,
                    from_si,
                    to_si,
                    text,
                    after,
                }));
            }
        }
        Ok(None)
    }
}

/// A quantity's text with so many significant digits, rounded up or down.
fn rounded(text: &str, digits: i32, is_up: bool) -> Option<String> {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E')))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let value: f64 = number.parse().ok()?;
    if value == 0.0 || !value.is_finite() {
        return Some(text.to_owned());
    }
    #[expect(clippy::cast_possible_truncation, reason = "an exponent of ten")]
    let places = digits - 1 - value.abs().log10().floor() as i32;
    let scale = 10_f64.powi(places);
    let steps = value * scale;
    // What is already round must not be moved by the last bit of a product.
    let nearest = steps.round();
    let whole = if (steps - nearest).abs() < 1e-9 * steps.abs() {
        nearest
    } else if is_up {
        steps.ceil()
    } else {
        steps.floor()
    };
    let decimals = usize::try_from(places.max(0)).unwrap_or(0);
    let told = format!("{:.decimals$}", whole / scale);
    let told = if told.contains('.') {
        told.trim_end_matches('0').trim_end_matches('.')
    } else {
        &told
    };
    Some(format!("{told}{unit}"))
}

#[cfg(test)]
mod tests;
