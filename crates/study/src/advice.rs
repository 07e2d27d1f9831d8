//! What limits a loop, and what would help: every change is tried on the settled week before it is told.

mod standing;
mod trial;
mod ways;

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::Scenario;

use crate::answers::{Answers, LoopAnswer};
use crate::balance::{closes, is_clean, is_short_of_room, margin, runs_over, uses_all_heat};
use crate::case::StudyError;
use crate::verdict::{Finding, verdict};

pub use standing::{Standing, Tight};

use standing::{tight, worst_air};
use trial::Trial;
use ways::{PURGE, ways};

/// What keeps a loop from being better than it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Nothing restores the bath, and its strength runs down.
    Bath,
    /// The heaters are at full power, the tank is below its set point, and more water comes in than evaporates.
    Heat,
    /// Heat is left, but towers and surfaces take up less water than comes in.
    Evaporation,
    /// The week could close, but the tanks cannot hold what shifts bring faster than it evaporates: some runs over.
    Storage,
    /// The water is in order, but the film on the work is over its limit.
    FinalRinse,
    /// Water and rinse are in order, but an impurity passes its limit.
    Impurity,
    /// Nothing of these.
    Nothing,
    /// There is no evaporator, and so no loop to close; the rest is in order.
    NoLoop,
}

/// What a change is to reach.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Goal {
    /// The closure margin is not below zero, and nothing runs over.
    Closes,
    /// The film on the work keeps its limit.
    CleanRinse,
    /// These impurities of the bath stay below their limits, or settle below them.
    Holds(Vec<String>),
    /// Less of something does as well, with a reserve, in the worst month, too: the loop still closes, what is lost stays a trifle of what is dragged
    /// out, heaters and final rinse keep some way from their limits, the bath its temperature.
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
    /// The same in the air of the month that is the worst as things stand, if that is known.
    pub worst_month: Option<LoopAnswer>,
}

/// What limits a loop, and what was found to help; the best first.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What limits.
    pub limit: Limit,
    /// The loop as it stands.
    pub now: LoopAnswer,
    /// Changes that reach their goal. Each is the smallest that does, or the largest saving, to about a tenth of the change, and as round as that
    /// allows.
    pub proposals: Vec<Proposal>,
    /// Goals that no usual value of any lever tried reaches.
    pub out_of_reach: Vec<Goal>,
    /// Impurities that are over their limits and settle below them as things stand.
    pub fades: Vec<String>,
    /// Where nothing is wrong, what stands against sparing more.
    pub tight: Vec<Tight>,
}

/// What limits a loop as it stands.
#[must_use]
pub fn limit_of(answers: &Answers, line: &LoopAnswer) -> Limit {
    if line.bath.runs_down() {
        return Limit::Bath;
    }
    if is_short_of_room(line) {
        return if uses_all_heat(line) {
            Limit::Heat
        } else {
            Limit::Evaporation
        };
    }
    if margin(line).is_some() && runs_over(line) {
        return Limit::Storage;
    }
    if !is_clean(line) {
        return Limit::FinalRinse;
    }
    if !passing(answers, line).is_empty() {
        return Limit::Impurity;
    }
    match line.closure_margin_l_per_h {
        None => Limit::NoLoop,
        Some(_) => Limit::Nothing,
    }
}

/// Impurities that pass their limits, the first first.
fn passing(answers: &Answers, line: &LoopAnswer) -> Vec<String> {
    let each = verdict(answers, line).into_iter();
    each.filter_map(|f| match f {
        Finding::OverLimit { species, .. } => Some(species),
        _ => None,
    })
    .collect()
}

/// What is to be reached, the most pressing first.
fn goals(answers: &Answers, line: &LoopAnswer, limit: Limit) -> Vec<Goal> {
    let mut goals = Vec::new();
    if limit == Limit::Bath {
        return goals;
    }
    if matches!(limit, Limit::Heat | Limit::Evaporation | Limit::Storage) {
        goals.push(Goal::Closes);
    }
    if !is_clean(line) {
        goals.push(Goal::CleanRinse);
    }
    let is_well = goals.is_empty();
    let passing = passing(answers, line);
    if passing.len() > 1 {
        goals.push(Goal::Holds(passing.clone()));
    }
    goals.extend(passing.into_iter().map(|s| Goal::Holds(vec![s])));
    if is_well {
        goals.push(Goal::Saves);
    }
    goals
}

/// Tries changes of the main levers, of the set point, of tanks, stages, waters and a bleed, and tells those that help.
///
/// `now` are the settled answers as things stand; with all of their depth, impurities are looked after and savings must stand in the worst month, too.
/// `watch` is told the time now and then and stops the search by answering `false`.
///
/// # Errors
/// Only when the search is stopped. A change that leads to no answer is not proposed. `None` where there is no such loop.
pub fn advise(
    scenario: &Arc<Scenario>,
    loop_key: &str,
    now: &Answers,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<Advice>, StudyError> {
    let Some(line) = now.loops.iter().find(|l| l.name == loop_key).cloned() else {
        return Ok(None);
    };
    let mut trial = Trial {
        scenario,
        loop_key,
        worst: worst_air(&line),
        cache,
        watch,
    };
    let limit = limit_of(now, &line);
    let goals = goals(now, &line, limit);
    let month = trial.in_worst_month(!goals.is_empty())?;
    let Some(standing) = Standing::new(loop_key, now.clone(), month) else {
        return Ok(None);
    };
    let mut found = Found::default();
    for goal in &goals {
        found.towards(goal, &mut trial, &standing)?;
    }
    let Found {
        mut proposals,
        out_of_reach,
        fades,
    } = found;
    proposals.sort_by(|a, b| {
        let (a, b) = (order(a, &line), order(b, &line));
        (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2))
    });
    let mut tight = tight(&line);
    if !goals.contains(&Goal::Saves) {
        tight.clear();
    } else if !proposals.is_empty() {
        tight.retain(|t| *t == Tight::NoLimit);
    }
    Ok(Some(Advice {
        limit,
        now: line,
        proposals,
        out_of_reach,
        fades,
        tight,
    }))
}

/// What the search has found so far.
#[derive(Default)]
struct Found {
    proposals: Vec<Proposal>,
    out_of_reach: Vec<Goal>,
    fades: Vec<String>,
}

impl Found {
    /// Tries everything that may help towards a goal.
    fn towards(
        &mut self,
        goal: &Goal,
        trial: &mut Trial<'_, '_>,
        now: &Standing,
    ) -> Result<(), StudyError> {
        let is_there = goal.is_met(now, now);
        match goal {
            Goal::Holds(species) if is_there => {
                if let [one] = species.as_slice() {
                    self.fades.push(one.clone());
                }
                return Ok(());
            }
            _ => {}
        }
        let before = self.proposals.len();
        let has_bleed = self.proposals.iter().any(|p| p.path.ends_with(PURGE));
        for (path, way) in ways(trial.scenario, now.line(), goal) {
            // A bleed that holds all impurities holds each.
            if !(has_bleed && path.ends_with(PURGE)) {
                self.proposals
                    .extend(trial.smallest((&path, way), goal, now)?);
            }
        }
        let is_one = !matches!(goal, Goal::Holds(all) if all.len() > 1);
        let has_none =
            self.proposals.len() == before && !(has_bleed && matches!(goal, Goal::Holds(_)));
        if has_none && is_one && *goal != Goal::Saves {
            self.out_of_reach.push(goal.clone());
        }
        Ok(())
    }
}

/// Place among the proposals: what mends comes before what holds and spares, what mends everything before what mends one thing at the price of another,
/// and a small change before a large one.
fn order(p: &Proposal, now: &LoopAnswer) -> (u8, bool, f64) {
    let goal = match p.goal {
        Goal::Closes | Goal::CleanRinse => 0,
        Goal::Holds(_) => 1,
        Goal::Saves => 2,
    };
    let all = (closes(&p.after) || margin(now).is_none()) && is_clean(&p.after);
    let effort = if p.path.ends_with(".stages") {
        // Work and floor for another tank: about as much as half or twice of anything else.
        2.0_f64.ln() * (p.to_si - p.from_si)
    } else if goal == 0 {
        (p.to_si / p.from_si).ln().abs()
    } else {
        0.0
    };
    (goal, !all, effort)
}

#[cfg(test)]
mod tests;
