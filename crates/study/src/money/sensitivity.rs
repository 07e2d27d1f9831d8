//! What the payback hangs on: the prices and inputs at which it is just met, and what uncertain inputs do to it.

use std::collections::BTreeMap;
use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::{Parameter, Registry, Scenario, get, set_si};
use dragback_units::Dim;
use serde::Serialize;

use super::invest::Years;
use super::payback::{MoneyError, Payback, Plan};

/// On which side of a value a change pays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Pays {
    /// Above it.
    Above,
    /// Below it.
    Below,
    /// Whatever the value.
    Always,
    /// Whatever the value, it does not.
    Never,
}

/// The value of an input at which money is back in just so many years, everything else as it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BreakEven {
    /// The path of the input.
    pub path: String,
    /// What it is called: the line of the cost, or the input.
    pub name: String,
    /// What it measures; as data the unit of the values.
    #[serde(rename = "unit", serialize_with = "crate::compare::si_unit")]
    pub dim: Dim,
    /// Its value now, SI.
    #[serde(rename = "now_si")]
    pub now: f64,
    /// The value at which the payback is met, SI; `null` where none is.
    #[serde(rename = "value_si")]
    pub value: Option<f64>,
    /// On which side of it the change pays.
    pub pays: Pays,
}

/// What it takes a year for money to be back in `years`.
fn needed(payback: &Payback, years: f64) -> f64 {
    payback.laid_out / years
}

/// For every price that makes a difference the value at which money is back in just `years`, without interest. A saving is a straight line in each price.
#[must_use]
pub fn price_break_evens(payback: &Payback, years: f64) -> Vec<BreakEven> {
    let mut by_path: BTreeMap<&str, (Dim, f64, f64, Vec<&str>)> = BTreeMap::new();
    for line in &payback.lines {
        let found = by_path.entry(&line.path);
        let (_, amount, price, names) = found.or_insert((line.dim, 0.0, line.price, Vec::new()));
        *amount += line.amount;
        *price = line.price;
        names.push(&line.name);
    }
    let wanted = needed(payback, years);
    let each = by_path
        .into_iter()
        .filter_map(|(path, (measured, amount, price, names))| {
            let dim = price_dim(measured)?;
            if amount == 0.0 {
                return None;
            }
            // The saving falls by `amount` for each unit by which the price rises.
            let value = price + (payback.saving_per_year - wanted) / amount;
            let pays = match (amount < 0.0, value > 0.0) {
                (true, true) => Pays::Above,
                (true, false) => Pays::Always,
                (false, true) => Pays::Below,
                (false, false) => Pays::Never,
            };
            Some(BreakEven {
                path: path.to_owned(),
                name: names.join(", "),
                dim,
                now: price,
                value: (value > 0.0).then_some(value),
                pays,
            })
        });
    each.collect()
}

/// Dimension of the market price of an amount; `None` of time, whose price is a layout's own.
const fn price_dim(measured: Dim) -> Option<Dim> {
    match measured {
        Dim::Mass => Some(Dim::MoneyPerMass),
        Dim::Volume => Some(Dim::MoneyPerVolume),
        Dim::Energy => Some(Dim::MoneyPerEnergy),
        Dim::Power => Some(Dim::MoneyPerPower),
        _ => None,
    }
}

/// Factors at which an input is tried before the break-even is pinned down.
const TRIED: [f64; 9] = [0.1, 0.2, 0.35, 0.6, 1.0, 1.6, 2.7, 4.5, 7.5];
/// Halvings that pin it down.
const HALVINGS: usize = 14;

/// The value of an input of both layouts at which money is back in just `years`; both are settled anew at each value tried, within what the input allows.
/// Where a layout does not settle at a value, that value is left out.
///
/// # Errors
/// Where there is no such input, or no answer in money as things are.
pub fn input_break_even(
    (before, after): (&Scenario, &Scenario),
    path: &str,
    years: f64,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<BreakEven>, MoneyError> {
    let Ok(parameter) = get(after, path) else {
        return Ok(None);
    };
    let (Some(now), Some(dim)) = (parameter.si(), parameter.dim()) else {
        return Ok(None);
    };
    let (low, high) = parameter.allowed_si().unwrap_or((0.0, f64::INFINITY));
    let mut spare = |si: f64| -> Option<f64> {
        let payback = with(before, after, &[(path, si)], cache, watch).ok()?;
        Some(payback.saving_per_year - needed(&payback, years))
    };
    let tried = TRIED.map(|factor| factor * now);
    let tried = tried.into_iter().filter(|si| *si >= low && *si <= high);
    let spares: Vec<(f64, f64)> = tried.filter_map(|si| Some((si, spare(si)?))).collect();
    let crossing = spares
        .windows(2)
        .find(|w| (w[0].1 >= 0.0) != (w[1].1 >= 0.0));
    let mut found = BreakEven {
        path: path.to_owned(),
        name: path.to_owned(),
        dim,
        now,
        value: None,
        pays: match spares.first() {
            Some((_, first)) if *first >= 0.0 => Pays::Always,
            _ => Pays::Never,
        },
    };
    if let Some([(mut a, below), (mut b, _)]) = crossing.map(|w| [w[0], w[1]]) {
        let pays_low = below >= 0.0;
        found.pays = if pays_low { Pays::Below } else { Pays::Above };
        for _ in 0..HALVINGS {
            let middle = 0.5 * (a + b);
            match spare(middle) {
                Some(s) if (s >= 0.0) == pays_low => a = middle,
                Some(_) => b = middle,
                None => break,
            }
        }
        found.value = Some(0.5 * (a + b));
    }
    Ok(Some(found))
}

/// The payback with inputs put to other values in both layouts, where the one before has them too.
fn with(
    before: &Scenario,
    after: &Scenario,
    changes: &[(&str, f64)],
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Payback, MoneyError> {
    let mut plan = |scenario: &Scenario| {
        let mut scenario = scenario.clone();
        for (path, si) in changes {
            // What a layout has not cannot be moved in it.
            drop(set_si(&mut scenario, path, *si));
        }
        Plan::settled(Arc::new(scenario), cache, watch)
    };
    Payback::of(&plan(before)?, &plan(after)?)
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
    /// Its high value, SI.
    #[serde(rename = "high_si")]
    pub high: f64,
    /// Payback at the low value, without interest.
    #[serde(rename = "years_at_low")]
    pub at_low: Years,
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
    let registry = Registry::of(&after.scenario);
    let mut swings = Vec::new();
    for parameter in registry.iter() {
        let Some((dim, low, high)) = uncertain(parameter) else {
            continue;
        };
        let ends = [low, high].map(|si| moved(before, after, &parameter.path, si, cache, watch));
        // An end at which a layout does not settle says nothing of money.
        if let [Ok(at_low), Ok(at_high)] = ends {
            swings.push(Swing {
                path: parameter.path.clone(),
                dim,
                low,
                high,
                at_low: at_low.simple,
                at_high: at_high.simple,
                saving_at_low: at_low.saving_per_year,
                saving_at_high: at_high.saving_per_year,
            });
        }
    }
    swings.sort_by(|a, b| b.reach(now.laid_out).total_cmp(&a.reach(now.laid_out)));
    swings.truncate(MOST_SWINGS);
    Ok(swings)
}

fn uncertain(parameter: &Parameter) -> Option<(Dim, f64, f64)> {
    let spread = parameter.leaf.spread;
    let (low, high) = (spread.low?, spread.high?);
    (low < high).then_some((parameter.dim()?, low, high))
}

/// The payback with one input at another value.
fn moved(
    before: &Plan,
    after: &Plan,
    path: &str,
    si: f64,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Payback, MoneyError> {
    if !path.starts_with("prices.") {
        return with(
            &before.scenario,
            &after.scenario,
            &[(path, si)],
            cache,
            watch,
        );
    }
    let priced = |plan: &Plan| {
        let mut scenario = (*plan.scenario).clone();
        drop(set_si(&mut scenario, path, si));
        Plan {
            scenario: Arc::new(scenario),
            usage: plan.usage.clone(),
        }
    };
    Payback::of(&priced(before), &priced(after))
}
