//! What uncertain inputs do to the payback: each moved by itself to its low, its likely and its high value.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::{Parameter, Registry, Scenario, get, set_si};
use dragback_units::Dim;
use serde::Serialize;

use super::invest::Years;
use super::payback::{MoneyError, Payback, Plan};

/// The path under which the layout before has an input of the one after: the same, or, where each has one loop, that of its own loop.
fn path_before(before: &Scenario, after: &Scenario, path: &str) -> String {
    let only = |s: &Scenario| {
        let mut keys = s.loops.keys();
        let first = keys.next().map(str::to_owned);
        first.filter(|_| keys.next().is_none())
    };
    if let (Some(old), Some(new)) = (only(before), only(after))
        && let Some(rest) = path.strip_prefix(&format!("{new}."))
    {
        return format!("{old}.{rest}");
    }
    path.to_owned()
}

/// Whether an input says what the shop does, rather than how the layout does it: two layouts must be moved in it together, or they do not do the same work.
fn is_of_both(path: &str) -> bool {
    let part = path.split('.').nth(1);
    part == Some("work")
        || ["site.", "calendars.", "waters."]
            .iter()
            .any(|p| path.starts_with(p))
}

/// An input of which there is no answer, and what stopped it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stopped {
    /// The path of the input.
    pub path: String,
    /// What it measures; as data the unit of the value.
    #[serde(rename = "unit", serialize_with = "crate::compare::si_unit")]
    pub dim: Dim,
    /// Its value at which there is none, SI; `null` where no single value is to blame.
    #[serde(rename = "value_si")]
    pub at: Option<f64>,
    /// What stopped it, in words.
    pub why: String,
}

impl Stopped {
    /// The words to stand behind the name of the input; `told` writes a value.
    #[must_use]
    pub fn words(&self, told: &dyn Fn(f64) -> String) -> String {
        match self.at {
            Some(si) => format!("at {}: no answer: {}", told(si), self.why),
            None => format!("no answer: {}", self.why),
        }
    }
}

/// What was found of an input, or what stopped it.
pub type Tried<T> = Result<T, Stopped>;

/// What stopped a payback with a moved input, in words; given up is an error that goes on.
pub(super) fn or_words(found: Result<Payback, MoneyError>) -> Result<Moved, MoneyError> {
    match found {
        Ok(payback) => Ok(Ok(payback)),
        Err(why) if why.is_given_up() => Err(why),
        // Several problems stand on lines of their own.
        Err(why) => Ok(Err(why.to_string().replace('\n', "; "))),
    }
}

/// A payback, or in words what stopped it.
pub(super) type Moved = Result<Payback, String>;

/// The payback with an input put to another value in both layouts, where the one before has it too, or in words why there is none: among others where the
/// one before lacks an input that must be moved in both.
///
/// # Errors
/// Where `watch` gives up.
pub(super) fn with(
    before: &Scenario,
    after: &Scenario,
    (path, si): (&str, f64),
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Moved, MoneyError> {
    let (mut old, mut new) = (before.clone(), after.clone());
    if let Err(problem) = set_si(&mut new, path, si) {
        return Ok(Err(problem.message));
    }
    let has_old = set_si(&mut old, &path_before(before, after, path), si).is_ok();
    if is_of_both(path) && !has_old {
        let why = format!(
            "{} has no such input, and only both can be moved in what both do",
            before.title
        );
        return Ok(Err(why));
    }
    let mut plan = |scenario| Plan::settled(Arc::new(scenario), cache, watch);
    let both = || Payback::of(&plan(old)?, &plan(new)?);
    or_words(both())
}

/// Whether a price is one of the layout itself, so that its uncertainty in the one after says nothing of the one before.
fn is_own(path: &str) -> bool {
    [
        "prices.yearly.",
        "prices.capital.",
        "prices.labour.hours_a_week",
    ]
    .iter()
    .any(|p| path.starts_with(p))
}

/// What one uncertain input does to the payback.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Swing {
    /// The path of the input.
    pub path: String,
    /// What it measures; as data the unit of the values.
    #[serde(rename = "unit", serialize_with = "crate::compare::si_unit")]
    pub dim: Dim,
    /// Its low value, SI.
    #[serde(rename = "low_si")]
    pub low: f64,
    /// Its likely value, SI: the value now where the scenario gives no other.
    #[serde(rename = "likely_si")]
    pub likely: f64,
    /// Its high value, SI.
    #[serde(rename = "high_si")]
    pub high: f64,
    /// Payback at the low value, without interest.
    #[serde(rename = "years_at_low")]
    pub at_low: Years,
    /// Payback at the likely value.
    #[serde(rename = "years_at_likely")]
    pub at_likely: Years,
    /// Payback at the high value.
    #[serde(rename = "years_at_high")]
    pub at_high: Years,
    /// Saving a year at the low value.
    pub saving_at_low: f64,
    /// Saving a year at the high value.
    pub saving_at_high: f64,
}

impl Swing {
    /// How much it moves the payback: by its inverse, which also tells of what never pays back.
    fn reach(&self, laid_out: f64) -> f64 {
        let share = |years: Years, saving: f64| match years {
            Years::After(years) => 1.0 / years,
            Years::AtOnce | Years::Never if laid_out > 0.0 => saving / laid_out,
            Years::AtOnce | Years::Never => saving,
        };
        let low = share(self.at_low, self.saving_at_low);
        (low - share(self.at_high, self.saving_at_high)).abs()
    }
}

/// Most inputs of a tornado.
pub const MOST_SWINGS: usize = 10;

/// Inputs of a layout that have a low and a high value, by their paths.
#[must_use]
pub fn uncertain_inputs(scenario: &Scenario) -> Vec<String> {
    let registry = Registry::of(scenario);
    let uncertain = registry.iter().filter(|p| spread(p).is_some());
    uncertain.map(|p| p.path.clone()).collect()
}

/// What one uncertain input does to the payback, or what stopped it; `None` where it has no low and high value.
///
/// # Errors
/// Where there is no answer in money as things are, and where `watch` gives up.
pub fn swing(
    before: &Plan,
    after: &Plan,
    path: &str,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<Tried<Swing>>, MoneyError> {
    let parameter = get(&after.scenario, path).ok();
    let Some((parameter, (dim, values))) = parameter.and_then(|p| Some((p.si(), spread(&p)?)))
    else {
        return Ok(None);
    };
    let mut found = Vec::new();
    for si in values {
        let payback = if Some(si) == parameter {
            Ok(Payback::of(before, after)?)
        } else {
            moved(before, after, path, si, cache, watch)?
        };
        match payback {
            Ok(payback) => found.push(payback),
            Err(why) => {
                return Ok(Some(Err(Stopped {
                    path: path.to_owned(),
                    dim,
                    at: Some(si),
                    why,
                })));
            }
        }
    }
    let [low, likely, high] = values;
    let [at_low, at_likely, at_high] = &found[..] else {
        return Ok(None);
    };
    Ok(Some(Ok(Swing {
        path: path.to_owned(),
        dim,
        low,
        likely,
        high,
        at_low: at_low.simple,
        at_likely: at_likely.simple,
        at_high: at_high.simple,
        saving_at_low: at_low.saving_per_year,
        saving_at_high: at_high.saving_per_year,
    })))
}

/// Puts the swings that move the payback most first, and leaves out those beyond [`MOST_SWINGS`].
pub fn widest_first(swings: &mut Vec<Swing>, laid_out: f64) {
    swings.sort_by(|a, b| b.reach(laid_out).total_cmp(&a.reach(laid_out)));
    swings.truncate(MOST_SWINGS);
}

/// What uncertain inputs do to the payback.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tornado {
    /// Those that move it most, the widest first.
    pub swings: Vec<Swing>,
    /// Those of which one value has no answer.
    pub stopped: Vec<Stopped>,
}

/// The inputs with a low and a high value that move the payback most, each moved by itself in both layouts, and those of which that cannot be told. Prices
/// need no new run.
///
/// # Errors
/// Where there is no answer in money as things are, and where `watch` gives up.
pub fn tornado(
    before: &Plan,
    after: &Plan,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Tornado, MoneyError> {
    let now = Payback::of(before, after)?;
    let mut found = Tornado::default();
    for path in uncertain_inputs(&after.scenario) {
        match swing(before, after, &path, cache, watch)? {
            Some(Ok(swing)) => found.swings.push(swing),
            Some(Err(stopped)) => found.stopped.push(stopped),
            None => {}
        }
    }
    widest_first(&mut found.swings, now.laid_out);
    Ok(found)
}

/// The low, likely and high value of an input, SI.
fn spread(parameter: &Parameter) -> Option<(Dim, [f64; 3])> {
    let spread = parameter.leaf.spread;
    let (low, high) = (spread.low?, spread.high?);
    let likely = spread.likely.or(parameter.si())?;
    (low < high).then_some((parameter.dim()?, [low, likely, high]))
}

/// The payback with one input at another value, or in words why there is none.
fn moved(
    before: &Plan,
    after: &Plan,
    path: &str,
    si: f64,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Moved, MoneyError> {
    if !path.starts_with("prices.") {
        return with(&before.scenario, &after.scenario, (path, si), cache, watch);
    }
    let mut new = (*after.scenario).clone();
    if let Err(problem) = set_si(&mut new, path, si) {
        return Ok(Err(problem.message));
    }
    let mut old = (*before.scenario).clone();
    if !is_own(path) {
        // A price that the one before has not counts in the one after alone.
        drop(set_si(&mut old, path, si));
    }
    let priced = |plan: &Plan, scenario| Plan {
        scenario: Arc::new(scenario),
        usage: plan.usage.clone(),
    };
    or_words(Payback::of(&priced(before, old), &priced(after, new)))
}
