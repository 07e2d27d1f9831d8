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

/// The payback with an input put to another value in both layouts, where the one before has it too. `None` where the one before lacks an input that must be
/// moved in both.
pub(super) fn with(
    before: &Scenario,
    after: &Scenario,
    (path, si): (&str, f64),
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<Payback>, MoneyError> {
    let (mut old, mut new) = (before.clone(), after.clone());
    let has_old = set_si(&mut old, &path_before(before, after, path), si).is_ok();
    let has_new = set_si(&mut new, path, si).is_ok();
    if !has_new || (is_of_both(path) && !has_old) {
        return Ok(None);
    }
    let mut plan = |scenario| Plan::settled(Arc::new(scenario), cache, watch);
    Payback::of(&plan(old)?, &plan(new)?).map(Some)
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

/// What one uncertain input does to the payback; none where it has no low and high value, where a layout does not settle at one of them, or where only one of
/// the two could be moved in what both do.
#[must_use]
pub fn swing(
    before: &Plan,
    after: &Plan,
    path: &str,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Option<Swing> {
    let parameter = get(&after.scenario, path).ok()?;
    let (dim, [low, likely, high]) = spread(&parameter)?;
    let mut at = |si: f64| moved(before, after, path, si, cache, watch).ok().flatten();
    let (at_low, at_high) = (at(low)?, at(high)?);
    let at_likely = if Some(likely) == parameter.si() {
        Payback::of(before, after).ok()?
    } else {
        at(likely)?
    };
    Some(Swing {
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
    })
}

/// Puts the swings that move the payback most first, and leaves out those beyond [`MOST_SWINGS`].
pub fn widest_first(swings: &mut Vec<Swing>, laid_out: f64) {
    swings.sort_by(|a, b| b.reach(laid_out).total_cmp(&a.reach(laid_out)));
    swings.truncate(MOST_SWINGS);
}

/// The inputs with a low and a high value that move the payback most, each moved by itself in both layouts; the widest first. Prices need no new run.
///
/// # Errors
/// Where there is no answer in money as things are.
pub fn tornado(
    before: &Plan,
    after: &Plan,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Swing>, MoneyError> {
    let now = Payback::of(before, after)?;
    let paths = uncertain_inputs(&after.scenario).into_iter();
    let swings = paths.filter_map(|path| swing(before, after, &path, cache, watch));
    let mut swings: Vec<Swing> = swings.collect();
    widest_first(&mut swings, now.laid_out);
    Ok(swings)
}

/// The low, likely and high value of an input, SI.
fn spread(parameter: &Parameter) -> Option<(Dim, [f64; 3])> {
    let spread = parameter.leaf.spread;
    let (low, high) = (spread.low?, spread.high?);
    let likely = spread.likely.or(parameter.si())?;
    (low < high).then_some((parameter.dim()?, [low, likely, high]))
}

/// The payback with one input at another value.
fn moved(
    before: &Plan,
    after: &Plan,
    path: &str,
    si: f64,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<Payback>, MoneyError> {
    if !path.starts_with("prices.") {
        return with(&before.scenario, &after.scenario, (path, si), cache, watch);
    }
    let priced = |plan: &Plan| {
        let mut scenario = (*plan.scenario).clone();
        drop(set_si(&mut scenario, path, si));
        Plan {
            scenario: Arc::new(scenario),
            usage: plan.usage.clone(),
        }
    };
    Payback::of(&priced(before), &priced(after)).map(Some)
}
