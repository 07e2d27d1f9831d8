//! Changes of one input, tried until the smallest that reaches a goal is found.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::AirChoice;
use dragback_run::RunError;
use dragback_run::clock::Hours;
use dragback_scenario::{Parameter, Scenario, check, get, set, set_si};

use super::ways::Way;
use super::{Goal, Proposal, Standing};
use crate::answers::Answers;
use crate::case::{Case, StudyError};
use crate::settled::{Depth, settled_answers};

/// A bracket narrower than this share of the change is narrow enough.
const NARROW: f64 = 0.04;
/// Rounding moves a proposal by no more than this share of the change.
const ROUNDING: f64 = 0.1;
/// Where a bracket is tried, as shares of it.
const BESIDE: [f64; 3] = [0.5, 0.42, 0.58];
/// Most halvings of a bracket.
const MOST_HALVINGS: usize = 12;
/// A saving smaller than this share of the value is not told.
const WORTH_SAVING: f64 = 0.03;

/// What is needed to try a change.
pub(super) struct Trial<'a, 'w> {
    pub scenario: &'a Arc<Scenario>,
    pub loop_key: &'a str,
    /// The month's air in which savings must stand, too.
    pub worst: Option<AirChoice>,
    pub cache: &'a TowerCache,
    pub watch: &'w mut dyn FnMut(f64) -> bool,
}

impl Trial<'_, '_> {
    /// The settled answers of a case in some air; `None` where there are none.
    fn settled(&mut self, case: &Case, air: AirChoice) -> Result<Option<Answers>, StudyError> {
        match settled_answers(case, air, Hours::Calendar, Depth::Quick, self.watch) {
            Ok(found) => Ok(Some(found.answers)),
            Err(StudyError::Run(RunError::Cancelled)) => Err(StudyError::Run(RunError::Cancelled)),
            Err(_) => Ok(None),
        }
    }

    /// How a changed loop stands; `None` where it has no answer. The worst month is asked for only where a goal depends on it.
    pub(super) fn standing(
        &mut self,
        scenario: Scenario,
        with_month: bool,
    ) -> Result<Option<Standing>, StudyError> {
        if !check(&scenario).is_empty() {
            return Ok(None);
        }
        let Ok(case) = Case::new(Arc::new(scenario), self.cache) else {
            return Ok(None);
        };
        let Some(mean) = self.settled(&case, AirChoice::Mean)? else {
            return Ok(None);
        };
        let month = match self.worst.filter(|_| with_month) {
            Some(air) => self.settled(&case, air)?,
            None => None,
        };
        Ok(Standing::new(self.loop_key, mean, month))
    }

    /// The loop as it stands, in the worst month's air.
    pub(super) fn in_worst_month(&mut self, is_asked: bool) -> Result<Option<Answers>, StudyError> {
        let Some(air) = self.worst.filter(|_| is_asked) else {
            return Ok(None);
        };
        let Ok(case) = Case::new(Arc::clone(self.scenario), self.cache) else {
            return Ok(None);
        };
        self.settled(&case, air)
    }

    /// Whether a change of one input reaches a goal; `None` where it has no answer.
    fn reaches(
        &mut self,
        (path, si): (&str, f64),
        goal: &Goal,
        now: &Standing,
    ) -> Result<Option<bool>, StudyError> {
        let mut changed = Scenario::clone(self.scenario);
        if set_si(&mut changed, path, si).is_err() {
            return Ok(None);
        }
        let after = self.standing(changed, *goal == Goal::Saves)?;
        Ok(after.map(|a| goal.is_met(&a, now)))
    }

    /// The smallest change of one input that reaches a goal, or the largest that still does for a saving.
    pub(super) fn smallest(
        &mut self,
        (path, way): (&str, Way),
        goal: &Goal,
        now: &Standing,
    ) -> Result<Option<Proposal>, StudyError> {
        let Ok(input) = get(self.scenario, path) else {
            return Ok(None);
        };
        let from_si = input.si().unwrap_or(0.0);
        if let Way::More(most) = way {
            return self.counted((path, from_si, most), goal, now);
        }
        let Some(far_si) = far(&input, from_si, way) else {
            return Ok(None);
        };
        let saves = *goal == Goal::Saves;
        let reaches_far = self.reaches((path, far_si), goal, now)?.unwrap_or(false);
        // `inside` reaches the goal, `outside` does not; a saving begins inside.
        let (mut inside, mut outside) = match (saves, reaches_far) {
            (true, true) => (far_si, far_si),
            (true, false) => (from_si, far_si),
            (false, true) => (far_si, from_si),
            (false, false) => return Ok(None),
        };
        for _ in 0..MOST_HALVINGS {
            if (inside - outside).abs() <= NARROW * (inside - from_si).abs() {
                break;
            }
            let mut is_reached = None;
            let mut middle = outside;
            // Where the very middle has no answer, a place beside it may have one.
            for share in BESIDE {
                middle = outside + share * (inside - outside);
                is_reached = self.reaches((path, middle), goal, now)?;
                if is_reached.is_some() {
                    break;
                }
            }
            if is_reached == Some(true) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        if saves && (inside - from_si).abs() < WORTH_SAVING * from_si.abs() {
            return Ok(None);
        }
        let is_up = if saves {
            inside < from_si
        } else {
            inside > from_si
        };
        self.told((path, from_si, inside), is_up, goal, now)
    }

    /// One more of what is counted, or a few.
    fn counted(
        &mut self,
        (path, from_si, most): (&str, f64, u32),
        goal: &Goal,
        now: &Standing,
    ) -> Result<Option<Proposal>, StudyError> {
        for more in 1..=most {
            let text = format!("{}", from_si + f64::from(more));
            let found = self.with_text((path, from_si), &text, goal, now)?;
            if found.is_some() {
                return Ok(found);
            }
        }
        Ok(None)
    }

    /// The change rounded as a person would write it, tried once more.
    fn told(
        &mut self,
        (path, from_si, inside): (&str, f64, f64),
        is_up: bool,
        goal: &Goal,
        now: &Standing,
    ) -> Result<Option<Proposal>, StudyError> {
        let mut changed = Scenario::clone(self.scenario);
        if set_si(&mut changed, path, inside).is_err() {
            return Ok(None);
        }
        let written = get(&changed, path).ok();
        let Some(written) = written.and_then(|p| p.text().map(str::to_owned)) else {
            return Ok(None);
        };
        let is_near = |si: f64| (si - inside).abs() <= ROUNDING * (inside - from_si).abs();
        for digits in 2..=7 {
            let Some(text) = rounded(&written, digits, is_up) else {
                continue;
            };
            let mut changed = Scenario::clone(self.scenario);
            let si = match set(&mut changed, path, &text) {
                Ok(()) => get(&changed, path).ok().and_then(|p| p.si()),
                Err(_) => None,
            };
            // Rounding must not make much of a little.
            if !si.is_some_and(is_near) {
                continue;
            }
            let found = self.with_text((path, from_si), &text, goal, now)?;
            if found.is_some() {
                return Ok(found);
            }
        }
        Ok(None)
    }

    /// What comes of an input written so; `None` where it does not reach the goal.
    fn with_text(
        &mut self,
        (path, from_si): (&str, f64),
        text: &str,
        goal: &Goal,
        now: &Standing,
    ) -> Result<Option<Proposal>, StudyError> {
        let mut changed = Scenario::clone(self.scenario);
        if set(&mut changed, path, text).is_err() {
            return Ok(None);
        }
        let Some(to_si) = get(&changed, path).ok().and_then(|p| p.si()) else {
            return Ok(None);
        };
        let after = self.standing(changed, true)?;
        let after = after.filter(|a| goal.is_met(a, now));
        Ok(after.map(|after| Proposal {
            path: path.to_owned(),
            goal: goal.clone(),
            from_si,
            to_si,
            text: text.to_owned(),
            worst_month: after.in_worst_month().cloned(),
            after: after.line().clone(),
        }))
    }
}

/// How far an input may be moved in a way, SI; `None` where it cannot be moved.
fn far(input: &Parameter, from_si: f64, way: Way) -> Option<f64> {
    let (low, high) = input
        .allowed_si()
        .unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
    let far_si = match way {
        // From nothing, as far as is usual.
        Way::Up(_) if from_si == 0.0 => input.usual_si()?.1,
        Way::Up(times) | Way::Down(times) => times * from_si,
        Way::Warmer(by) => from_si + by,
        Way::More(_) => return None,
    };
    let far_si = far_si.clamp(low, high);
    (far_si.is_finite() && far_si != from_si).then_some(far_si)
}

/// A quantity's text with so many significant digits, rounded up or down.
pub(super) fn rounded(text: &str, digits: i32, is_up: bool) -> Option<String> {
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
