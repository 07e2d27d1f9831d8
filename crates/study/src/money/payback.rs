//! Two layouts of one shop, set against each other.

use std::collections::BTreeMap;
use std::sync::Arc;

use dragback_plant::climate::AirChoice;
use dragback_plant::{Plant, TowerCache};
use dragback_run::clock::{Clock, Hours};
use dragback_run::settle::settle;
use dragback_run::{RunError, Trace};
use dragback_scenario::{Prices, Scenario};
use dragback_units::digits::three;
use dragback_units::{Dim, constants as unit};
use serde::Serialize;
use thiserror::Error;

use super::costs::{CostKind, Costs};
use super::equipment;
use super::invest::{CashFlow, HIGHEST_RATE, Item, Rate, Years, capital_recovery, simple_payback};
use super::usage::{TooStrong, Usage};
use crate::case::{Case, StudyError};
use crate::compare::differing;

/// Why there is no answer in money.
#[derive(Clone, Debug, Error)]
pub enum MoneyError {
    /// No settled week.
    #[error(transparent)]
    Study(#[from] StudyError),
    /// No prices to count with.
    #[error("{title} has no prices; add `prices` with at least what chemicals and water cost")]
    NoPrices {
        /// Title of the scenario.
        title: String,
    },
    /// A line before that says nothing of its own people, fees and equipment.
    #[error(
        "{title} has no prices, so that its people, yearly fees and equipment count for nothing beside those of the other line; add `prices` with its own `labour`, `yearly` and `capital`, or `prices: ()` if it has none of them"
    )]
    NoOwnPrices {
        /// Title of the scenario.
        title: String,
    },
    /// Prices in two currencies.
    #[error("one scenario has prices in {before}, the other in {after}; give both in one currency")]
    Currencies {
        /// The currency of the one before.
        before: String,
        /// The currency of the one after.
        after: String,
    },
    /// A bath that runs down.
    #[error(
        "{title}: nothing restores the bath of {line}, so that it runs down and a year of its settled week says nothing; add `additions` to the bath"
    )]
    RunsDown {
        /// Title of the scenario.
        title: String,
        /// The loop.
        line: String,
    },
}

impl MoneyError {
    /// Whether whoever waited gave up, so that nothing is wrong.
    #[must_use]
    pub const fn is_given_up(&self) -> bool {
        matches!(self, Self::Study(StudyError::Run(RunError::Cancelled)))
    }
}

/// A layout with what a year of it uses.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The scenario.
    pub scenario: Arc<Scenario>,
    /// Amounts of a year.
    pub usage: Usage,
}

impl Plan {
    /// Finds the settled week of a scenario in the mean air of its year, and what a year of it uses.
    ///
    /// # Errors
    /// Without a settled week, and for a bath that runs down.
    pub fn settled(
        scenario: Arc<Scenario>,
        cache: &TowerCache,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Self, MoneyError> {
        let case = Case::new(scenario, cache)?;
        let clock = Clock {
            hours: Hours::Calendar,
            air: AirChoice::Mean,
        };
        let settled = settle(&case.world(), clock, watch).map_err(StudyError::from)?;
        let plan = Self::of(&case.plant, case.scenario, &settled.trace);
        plan.is_held()?;
        Ok(plan)
    }

    /// A scenario whose week in the mean air of its year, settled in a plant made from it, is known already.
    #[must_use]
    pub fn of(plant: &Plant, scenario: Arc<Scenario>, week: &Trace) -> Self {
        let usage = Usage::of(plant, &scenario, week, AirChoice::Mean);
        Self { scenario, usage }
    }

    /// A year of a bath that runs down says nothing.
    fn is_held(&self) -> Result<(), MoneyError> {
        match self.usage.run_down.first() {
            Some(line) => Err(MoneyError::RunsDown {
                title: self.scenario.title.clone(),
                line: line.clone(),
            }),
            None => Ok(()),
        }
    }

    fn prices(&self) -> Result<&Prices, MoneyError> {
        let prices = self.scenario.prices.as_ref();
        prices.ok_or_else(|| MoneyError::NoPrices {
            title: self.scenario.title.clone(),
        })
    }

    /// What it pays for people, fees and equipment of its own, as the layout before.
    fn own_prices(&self) -> Result<&Prices, MoneyError> {
        let prices = self.scenario.prices.as_ref();
        prices.ok_or_else(|| MoneyError::NoOwnPrices {
            title: self.scenario.title.clone(),
        })
    }

    /// What it costs in a year at its own prices.
    ///
    /// # Errors
    /// Without prices, and for a bath that runs down.
    pub fn costs(&self) -> Result<Costs, MoneyError> {
        self.is_held()?;
        Ok(Costs::of(&self.usage, &self.scenario, Some(self.prices()?)))
    }
}

/// One line of the cost, before and after.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// What for.
    pub kind: CostKind,
    /// What people call it.
    pub name: String,
    /// The path of its price.
    pub path: String,
    /// A year before.
    pub before: f64,
    /// A year after.
    pub after: f64,
    /// After less before: below zero is saved.
    pub difference: f64,
    /// Amount after less amount before, SI.
    #[serde(skip)]
    pub amount: f64,
    /// What the amount measures.
    #[serde(skip)]
    pub dim: Dim,
    /// Its price, SI; that of the one after where both have one.
    #[serde(skip)]
    pub price: f64,
}

/// Whether a change pays.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Payback {
    /// Titles of the layouts.
    pub before: String,
    /// The one after.
    pub after: String,
    /// Currency, three letters; empty where the prices do not say.
    pub currency: String,
    /// When the prices held, as the scenario says.
    pub date: Option<String>,
    /// What the scenario says of its prices.
    pub notes: Option<String>,
    /// The cost, line by line.
    pub lines: Vec<Difference>,
    /// A year's running cost before and after.
    pub cost_before: f64,
    /// After.
    pub cost_after: f64,
    /// What is saved in a year; below zero where it costs more.
    pub saving_per_year: f64,
    /// Equipment that the one after has and the one before has not.
    pub equipment: BTreeMap<String, f64>,
    /// What is laid out for it.
    pub laid_out: f64,
    /// Interest a year, a fraction.
    pub interest: f64,
    /// Years over which is added up.
    pub horizon_years: usize,
    /// Payback without interest.
    pub simple: Years,
    /// Payback with interest; equipment is bought again at the end of its life.
    pub discounted: Years,
    /// Net present value over the horizon.
    pub net_present_value: f64,
    /// Internal rate of return over the horizon.
    pub rate_of_return: Rate,
    /// Flows of each year, the beginning first.
    pub flows: Vec<f64>,
    /// Their discounted sum up to each year.
    pub cumulated: Vec<f64>,
    /// What the recovery costs in a year: lines that are dearer than before, and the equipment spread over its life with interest.
    pub cost_of_recovery: f64,
    /// That cost per m³ that towers evaporate; `null` where they evaporate nothing.
    pub per_m3_evaporated: Option<f64>,
    /// That cost per kg of lead solute that comes back, of all loops; `null` where nothing comes back.
    pub per_kg_returned: Option<f64>,
    /// What is used and has no price, in words.
    pub uncounted: Vec<String>,
    /// What of the work is not the same in both, by path: the lines then do not do the same for the money.
    pub other_work: Vec<String>,
    /// Loops of the line after whose work leaves with a film above its limit.
    pub too_strong: Vec<TooStrong>,
    /// Whether the line after has more towers, tanks or rinses than the one before, and no price of any equipment of its own.
    pub is_unpriced: bool,
    /// Equipment that the line after pays for and, by its name, does not have.
    pub missing: Vec<String>,
}

impl Payback {
    /// Sets two layouts against each other, at the prices of the one after. People, yearly fees and equipment are each layout's own; equipment that stands
    /// in both under one key is there already.
    ///
    /// # Errors
    /// Where one of the two has no prices, with two currencies, or for a bath that runs down.
    pub fn of(before: &Plan, after: &Plan) -> Result<Self, MoneyError> {
        before.is_held()?;
        after.is_held()?;
        let market = &*after.scenario;
        let prices = after.prices()?;
        let own = before.own_prices()?;
        let mine = own.currency.as_deref();
        let theirs = prices.currency.as_deref();
        if let (Some(a), Some(b)) = (mine, theirs)
            && a != b
        {
            return Err(MoneyError::Currencies {
                before: a.to_owned(),
                after: b.to_owned(),
            });
        }
        let old = Costs::of(&before.usage, market, Some(own));
        let new = Costs::of(&after.usage, market, Some(prices));
        let items = new_items(own, prices);
        let laid_out: f64 = items.iter().map(|i| i.cost).sum();
        let saving = old.per_year - new.per_year;
        let horizon_years = whole_years(prices.horizon.si());
        let interest = prices.interest.si();
        let flow = CashFlow::new(&items, saving, horizon_years);
        let lines = differences(&old, &new);
        let spread = items
            .iter()
            .map(|i| i.cost * capital_recovery(interest, i.life_years));
        let dearer = lines.iter().map(|l| l.difference.max(0.0));
        let cost_of_recovery = spread.sum::<f64>() + dearer.sum::<f64>();
        let returned: f64 = after.usage.returned_kg.values().sum();
        let per = |amount: f64| (amount > 0.0).then(|| cost_of_recovery / amount);
        let mut uncounted = new.uncounted.clone();
        uncounted.extend(old.uncounted.iter().cloned());
        uncounted.sort();
        uncounted.dedup();
        let other = differing(&[&before.scenario, &after.scenario]);
        let other = other.into_iter().map(|d| d.path);
        let other_work = other.filter(|path| is_work(path, market)).collect();
        Ok(Self {
            before: before.scenario.title.clone(),
            after: after.scenario.title.clone(),
            currency: theirs.or(mine).unwrap_or_default().to_owned(),
            date: prices.date.clone(),
            notes: prices.notes.clone(),
            lines,
            cost_before: old.per_year,
            cost_after: new.per_year,
            saving_per_year: saving,
            equipment: by_name(&items),
            laid_out,
            interest,
            horizon_years,
            simple: simple_payback(laid_out, saving),
            discounted: if laid_out <= 0.0 {
                simple_payback(laid_out, saving)
            } else {
                flow.years_until_back(interest)
            },
            net_present_value: flow.present_value(interest),
            rate_of_return: flow.rate_of_return(),
            cumulated: flow.cumulated(interest),
            flows: flow.flows,
            cost_of_recovery,
            per_m3_evaporated: per(after.usage.evaporated_m3),
            per_kg_returned: per(returned),
            uncounted,
            other_work,
            too_strong: after.usage.too_strong.clone(),
            is_unpriced: laid_out <= 0.0 && equipment::has_more(&before.scenario, market),
            missing: equipment::missing(own, market),
        })
    }
}

/// Whether an input belongs to the work of a loop or to a calendar of it.
fn is_work(path: &str, scenario: &Scenario) -> bool {
    scenario.loops.iter().any(|(key, line)| {
        let calendar = format!("calendars.{}.", line.work.calendar);
        path.starts_with(&format!("{key}.work.")) || path.starts_with(&calendar)
    })
}

impl Payback {
    /// The answer in a sentence or two; `money` writes an amount with its currency, `years` a time.
    #[must_use]
    pub fn words(&self, money: &dyn Fn(f64) -> String, years: &dyn Fn(f64) -> String) -> String {
        let saving = self.saving_per_year;
        let moves = if saving > 0.0 {
            format!("It saves {} a year", money(saving))
        } else if saving < 0.0 {
            format!("It costs {} a year more", money(-saving))
        } else {
            "It saves nothing".to_owned()
        };
        match (self.simple, self.laid_out > 0.0) {
            (Years::After(after), _) => {
                let horizon = self.horizon_years;
                let with_interest = match self.discounted {
                    Years::After(later) => format!("in {} with interest", years(later)),
                    _ => format!("with interest not within {horizon} years"),
                };
                let laid_out = money(self.laid_out);
                format!(
                    "{moves}; the {laid_out} laid out are back in {}, {with_interest}.",
                    years(after)
                )
            }
            (_, true) => format!(
                "{moves}; the {} laid out never come back.",
                money(self.laid_out)
            ),
            (_, false) => format!("{moves}; nothing is laid out."),
        }
    }

    /// What is to be known before the answer is believed, in sentences.
    #[must_use]
    pub fn warnings(&self) -> Vec<String> {
        let mut all = Vec::new();
        if !self.other_work.is_empty() {
            let paths = self.other_work.join(", ");
            all.push(format!("The two lines do not do the same work ({paths}), so that the saving is not that of the change alone."));
        }
        for film in &self.too_strong {
            let (found, limit) = (three(film.film_mg_per_l, 4), three(film.limit_mg_per_l, 4));
            let loops = if self.too_strong.len() > 1 {
                format!(" of {}", film.line)
            } else {
                String::new()
            };
            all.push(format!("After the change the work{loops} leaves with {found} mg/L, above its limit of {limit} mg/L."));
        }
        if self.is_unpriced {
            all.push("The second line has more towers, tanks or rinses than the first, and no price of them (prices.capital): what they cost is not counted.".to_owned());
        }
        if !self.missing.is_empty() {
            let all_missing = self.missing.join(", ");
            all.push(format!("Equipment is counted that the second line does not seem to have (prices.capital): {all_missing}."));
        }
        if self.laid_out <= 0.0 && self.saving_per_year < 0.0 {
            all.push("The second line costs more and has no equipment of its own: are the two the wrong way round?".to_owned());
        }
        all
    }

    /// Whether a year is cheaper, the money comes back with interest within the horizon, and nothing is to be known before that is believed.
    #[must_use]
    pub fn is_good(&self) -> bool {
        let is_back = !matches!(self.discounted, Years::Never);
        self.saving_per_year > 0.0 && is_back && self.warnings().is_empty()
    }

    /// The internal rate of return in words; `percent` writes a fraction.
    #[must_use]
    pub fn rate_words(&self, percent: &dyn Fn(f64) -> String) -> String {
        match self.rate_of_return {
            Rate::One(rate) => percent(rate),
            Rate::Beyond => format!("more than {}", percent(HIGHEST_RATE)),
            Rate::None if self.laid_out <= 0.0 => "none: nothing is laid out".to_owned(),
            Rate::None => "none: the money does not come back at any rate".to_owned(),
            Rate::Several => "several, so that none says anything".to_owned(),
        }
    }
}

/// What is laid out for equipment by its name; what goes by one name is told together.
fn by_name(items: &[Item]) -> BTreeMap<String, f64> {
    let mut found = BTreeMap::new();
    for item in items {
        *found.entry(item.name.clone()).or_default() += item.cost;
    }
    found
}

/// Whole years of a time, at least one.
fn whole_years(time_s: f64) -> usize {
    let years = (time_s / unit::SECONDS_PER_YEAR).round().max(1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to be 1 to 50"
    )]
    let years = years as usize;
    years
}

/// Equipment of the one after that the one before has not under the same key.
fn new_items(before: &Prices, after: &Prices) -> Vec<Item> {
    let is_there = |key: &str| before.capital.contains_key(key);
    let new = after.capital.iter().filter(|(key, _)| !is_there(key));
    let items = new.map(|(key, capital)| Item {
        name: capital
            .title
            .clone()
            .unwrap_or_else(|| key.replace('_', " ")),
        cost: capital.cost.si(),
        life_years: capital.life.si() / unit::SECONDS_PER_YEAR,
    });
    items.collect()
}

/// Every line that either has.
fn differences(old: &Costs, new: &Costs) -> Vec<Difference> {
    let mut lines: BTreeMap<(CostKind, &str), Difference> = BTreeMap::new();
    for (is_new, costs) in [(false, old), (true, new)] {
        for line in &costs.lines {
            let entry = lines.entry((line.kind, &line.name));
            let found = entry.or_insert_with(|| Difference {
                kind: line.kind,
                name: line.name.clone(),
                path: line.path.clone(),
                before: 0.0,
                after: 0.0,
                difference: 0.0,
                amount: 0.0,
                dim: line.dim,
                price: line.price,
            });
            if is_new {
                found.after += line.per_year;
                found.amount += line.amount;
                found.price = line.price;
            } else {
                found.before += line.per_year;
                found.amount -= line.amount;
            }
            found.difference = found.after - found.before;
        }
    }
    lines.into_values().collect()
}
