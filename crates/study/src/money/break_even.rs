//! The prices and inputs at which a change just pays.

use std::collections::BTreeMap;

use dragback_plant::TowerCache;
use dragback_scenario::{Scenario, get, levers};
use dragback_units::Dim;
use serde::Serialize;

use super::payback::{MoneyError, Payback};
use super::tornado::{Stopped, Tried, with};
use crate::pin::{Pinned, pinned};

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

/// What a break-even value is the value of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Subject {
    /// A price.
    Price,
    /// What work carries out of the bath.
    DragOut,
    /// Area that is plated in an hour of work.
    Work,
    /// Hours of work in a week.
    Hours,
}

/// The value of an input at which money is back in just so many years, everything else as it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BreakEven {
    /// The path of the input.
    pub path: String,
    /// What kind of input it is.
    pub about: Subject,
    /// What it is called: the line of the cost; of an input its loop where there are several, else nothing.
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
    /// Least and greatest value that was looked at, SI; `null` of a price, of which all values were.
    #[serde(rename = "looked_at_si")]
    pub looked_at: Option<[f64; 2]>,
}

impl BreakEven {
    /// The condition in words, to stand below the head of [`Self::says`]; `told` writes a value.
    #[must_use]
    pub fn condition(&self, told: &dyn Fn(f64) -> String) -> String {
        let now = told(self.now);
        let name = match self.about {
            Subject::Price => self.name.clone(),
            about if self.name.is_empty() => about.word().to_owned(),
            about => format!("{} of {}", about.word(), self.name),
        };
        let side = match self.pays {
            Pays::Below => self.about.below(),
            _ => self.about.above(),
        };
        match (self.says(), self.value) {
            (Says::If, Some(value)) => format!("{name} {side} {} (now {now})", told(value)),
            _ => format!("{name}{} (now {now})", self.range(told)),
        }
    }

    /// What it says of its input.
    #[must_use]
    pub const fn says(&self) -> Says {
        match (self.pays, self.value) {
            (Pays::Above | Pays::Below, Some(_)) => Says::If,
            (Pays::Always, _) => Says::Whatever,
            _ => Says::ByNone,
        }
    }

    /// What was looked at, where that is not everything.
    fn range(&self, told: &dyn Fn(f64) -> String) -> String {
        let range = self.looked_at.map(|[low, high]| [told(low), told(high)]);
        range.map_or_else(String::new, |[low, high]| format!(" from {low} to {high}"))
    }
}

/// What conditions say of their inputs, each moved alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Says {
    /// It pays on one side of a value.
    If,
    /// It pays at every value.
    Whatever,
    /// It pays at none.
    ByNone,
}

impl Says {
    /// All, in the order in which they are read.
    pub const ALL: [Self; 3] = [Self::If, Self::Whatever, Self::ByNone];

    /// What stands above conditions that say so; `within` is the time in which it is to pay.
    #[must_use]
    pub fn head(self, within: &str) -> String {
        match self {
            Self::If => format!("It pays within {within}, everything else as it is, if"),
            Self::Whatever => format!("It pays within {within} whatever each of these is:"),
            Self::ByNone => {
                format!("No value of one of these alone makes it pay within {within}:")
            }
        }
    }
}

impl Subject {
    const fn word(self) -> &'static str {
        match self {
            Self::Price => "price",
            Self::DragOut => "drag-out",
            Self::Work => "work",
            Self::Hours => "weekly hours",
        }
    }

    const fn above(self) -> &'static str {
        match self {
            Self::Price => "costs more than",
            Self::DragOut | Self::Work => "exceeds",
            Self::Hours => "exceed",
        }
    }

    const fn below(self) -> &'static str {
        match self {
            Self::Price => "costs less than",
            Self::DragOut | Self::Work => "stays below",
            Self::Hours => "stay below",
        }
    }
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
                about: Subject::Price,
                name: names.join(", "),
                dim,
                now: price,
                value: (value > 0.0).then_some(value),
                pays,
                looked_at: None,
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

/// Inputs of the work by whose values a change may pay or not: drag-out, area and hours of each loop, as far as it has them.
#[must_use]
pub fn work_inputs(scenario: &Scenario) -> Vec<(Subject, String, String)> {
    let several = scenario.loops.len() > 1;
    let each = scenario.loops.iter().flat_map(|(key, line)| {
        let title = line.title.clone().unwrap_or_else(|| key.to_owned());
        let name = if several { title } else { String::new() };
        let drag_out = levers(scenario, key).map(|[drag_out, ..]| (Subject::DragOut, drag_out));
        let work = (Subject::Work, format!("{key}.work.area_rate"));
        let hours = (Subject::Hours, format!("{key}.work.hours_a_week"));
        let hours = Some(hours).filter(|(_, path)| get(scenario, path).is_ok());
        let all = [drag_out, Some(work), hours].into_iter().flatten();
        all.map(move |(about, path)| (about, path, name.clone()))
            .collect::<Vec<_>>()
    });
    each.collect()
}

/// Factors at which an input is tried before the break-even is pinned down.
const TRIED: [f64; 9] = [0.1, 0.2, 0.35, 0.6, 1.0, 1.6, 2.7, 4.5, 7.5];
/// The break-even is known to this share.
const KNOWN: f64 = 5e-5;

/// Values at which an input is tried, in their order, within what is allowed; an end of the range that lies among them is one.
fn tried(now: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let ends = [TRIED[0] * now, TRIED[TRIED.len() - 1] * now];
    let is_near = |si: &f64| *si >= ends[0] && *si <= ends[1];
    let inner = TRIED.map(|factor| factor * now).into_iter();
    let inner = inner.filter(|si| *si > low && *si < high);
    let mut all: Vec<f64> = Some(low).filter(is_near).into_iter().collect();
    all.extend(inner);
    all.extend(Some(high).filter(is_near));
    all
}

/// The value of an input of both layouts at which money is back in just so many years; both are settled anew at each value tried, within what the input allows.
/// Where the answer is not a single value, what stopped it: a layout that does not settle beside it, several values, or that only one of the two could be
/// moved in what both do.
///
/// # Errors
/// Where `watch` gives up.
pub fn input_break_even(
    (before, after): (&Scenario, &Scenario),
    (about, path, name): (Subject, &str, &str),
    years: f64,
    cache: &TowerCache,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Tried<BreakEven>, MoneyError> {
    let stopped = |dim, at, why: String| {
        let path = path.to_owned();
        Ok(Err(Stopped { path, dim, at, why }))
    };
    let parameter = match get(after, path) {
        Ok(parameter) => parameter,
        Err(problem) => return stopped(Dim::Number, None, problem.message),
    };
    let (Some(now), Some(dim)) = (parameter.si(), parameter.dim()) else {
        return stopped(Dim::Number, None, "it has no value".to_owned());
    };
    let allowed = parameter.allowed_si().unwrap_or((0.0, f64::INFINITY));
    let mut reasons: Vec<(f64, String)> = Vec::new();
    let mut spare = |si: f64| match with(before, after, (path, si), cache, watch)? {
        Ok(payback) => Ok(Some(payback.saving_per_year - needed(&payback, years))),
        Err(why) => {
            reasons.push((si, why));
            Ok::<_, MoneyError>(None)
        }
    };
    let found = only_crossing(&tried(now, allowed), &mut spare)?;
    match found {
        Crossing::One {
            pays,
            value,
            looked_at,
        } => Ok(Ok(BreakEven {
            path: path.to_owned(),
            about,
            name: name.to_owned(),
            dim,
            now,
            value,
            pays,
            looked_at: Some(looked_at),
        })),
        Crossing::Hole(at) => {
            let why = reasons.into_iter().find(|(si, _)| *si == at);
            let why = why.map_or_else(|| "nothing could be tried".to_owned(), |(_, why)| why);
            stopped(dim, Some(at), why)
        }
        Crossing::Several => {
            let why = "several values bring the money back in just that time".to_owned();
            stopped(dim, None, why)
        }
    }
}

/// Where something that is to spare passes nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Crossing {
    /// Once, or nowhere.
    One {
        /// On which side it is to spare.
        pays: Pays,
        /// Where it passes nothing, if anywhere.
        value: Option<f64>,
        /// Least and greatest value at which it has a number.
        looked_at: [f64; 2],
    },
    /// It has no number at this value, on which the answer would rest.
    Hole(f64),
    /// Several times.
    Several,
}

/// Where something that is to spare passes nothing among values tried in their order, of which there is at least one.
///
/// # Errors
/// Those of `spare`.
fn only_crossing<E>(
    tried: &[f64],
    spare: &mut dyn FnMut(f64) -> Result<Option<f64>, E>,
) -> Result<Crossing, E> {
    let mut spares = Vec::new();
    for &si in tried {
        spares.push((si, spare(si)?));
    }
    // Beyond the values at which the layouts settle nothing is known; between them there must be no hole.
    let known = |s: &(f64, Option<f64>)| s.1.is_some();
    let (Some(first), Some(last)) = (
        spares.iter().position(known),
        spares.iter().rposition(known),
    ) else {
        let middle = tried.get(tried.len() / 2).copied();
        return Ok(Crossing::Hole(middle.unwrap_or(f64::NAN)));
    };
    let mut whole: Vec<(f64, f64)> = Vec::new();
    for &(si, spare) in &spares[first..=last] {
        match spare {
            Some(spare) => whole.push((si, spare)),
            None => return Ok(Crossing::Hole(si)),
        }
    }
    let looked_at = [spares[first].0, spares[last].0];
    let one = |pays, value| Crossing::One {
        pays,
        value,
        looked_at,
    };
    let pays = |at: (f64, f64)| at.1 >= 0.0;
    let mut crossings = whole.windows(2).filter(|w| pays(w[0]) != pays(w[1]));
    let Some([below, above]) = crossings.next().map(|w| [w[0], w[1]]) else {
        let pays = if pays(whole[0]) {
            Pays::Always
        } else {
            Pays::Never
        };
        return Ok(one(pays, None));
    };
    if crossings.next().is_some() {
        return Ok(Crossing::Several);
    }
    Ok(match pinned(below, above, KNOWN * above.0, spare)? {
        Pinned::Hole(at) => Crossing::Hole(at),
        Pinned::Between(a, b) => {
            let pays = if pays(below) {
                Pays::Below
            } else {
                Pays::Above
            };
            one(pays, Some(0.5 * (a + b)))
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(about: Subject, pays: Pays, value: Option<f64>) -> BreakEven {
        BreakEven {
            path: String::new(),
            about,
            name: if about == Subject::Price {
                "nickel"
            } else {
                ""
            }
            .to_owned(),
            dim: Dim::Number,
            now: 3.0,
            value,
            pays,
            looked_at: (about != Subject::Price).then_some([1.0, 9.0]),
        }
    }

    #[test]
    fn a_condition_is_a_sentence() {
        let told = |value: f64| format!("{value}");
        for (about, pays, words) in [
            (
                Subject::Price,
                Pays::Above,
                "nickel costs more than 2 (now 3)",
            ),
            (
                Subject::Price,
                Pays::Below,
                "nickel costs less than 2 (now 3)",
            ),
            (Subject::DragOut, Pays::Above, "drag-out exceeds 2 (now 3)"),
            (Subject::Work, Pays::Below, "work stays below 2 (now 3)"),
            (Subject::Hours, Pays::Above, "weekly hours exceed 2 (now 3)"),
        ] {
            assert_eq!(found(about, pays, Some(2.0)).condition(&told), words);
        }
        let always = found(Subject::Price, Pays::Always, None);
        assert_eq!(always.says(), Says::Whatever);
        assert_eq!(always.condition(&told), "nickel (now 3)");
        let never = found(Subject::Hours, Pays::Never, None);
        assert_eq!(never.says(), Says::ByNone);
        assert_eq!(never.condition(&told), "weekly hours from 1 to 9 (now 3)");
        let of_two = BreakEven {
            name: "Bright nickel".to_owned(),
            ..found(Subject::Hours, Pays::Above, Some(2.0))
        };
        assert_eq!(
            of_two.condition(&told),
            "weekly hours of Bright nickel exceed 2 (now 3)"
        );
    }

    /// Hand derivation: what is to spare at x is x − 2, then −1 at x = 5 as well, then without a number at x = 3.
    #[test]
    fn only_a_single_crossing_without_a_hole_is_told() {
        type Spare = fn(f64) -> Option<f64>;
        let of = |spare: Spare| {
            let mut ask = |x: f64| Ok::<_, ()>(spare(x));
            only_crossing(&[1.0, 3.0, 5.0], &mut ask).unwrap()
        };
        let Crossing::One {
            pays,
            value,
            looked_at,
        } = of(|x| Some(x - 2.0))
        else {
            panic!("it passes nothing once");
        };
        assert_eq!((pays, looked_at), (Pays::Above, [1.0, 5.0]));
        assert!((value.unwrap() - 2.0).abs() < 1e-3, "{value:?}");
        let several = of(|x| Some(if x > 4.0 { -1.0 } else { x - 2.0 }));
        assert_eq!(several, Crossing::Several);
        let hole = of(|x| (x != 3.0).then_some(x - 2.0));
        assert_eq!(hole, Crossing::Hole(3.0));
        // What has no number beyond is not said to have been looked at.
        let always = Crossing::One {
            pays: Pays::Always,
            value: None,
            looked_at: [1.0, 3.0],
        };
        assert_eq!(of(|x| (x < 4.0).then_some(7.0)), always);
        assert_eq!(of(|_| None), Crossing::Hole(3.0));
        // It has no number where it would be pinned down.
        let pinned = of(|x| ((x - 2.1).abs() > 0.5).then_some(x - 2.1));
        let is_there = |x: f64| (x - 2.1).abs() <= 0.5;
        assert!(
            matches!(pinned, Crossing::Hole(x) if is_there(x)),
            "{pinned:?}"
        );
        let mut gives_up = |_: f64| Err::<Option<f64>, _>("given up");
        assert_eq!(only_crossing(&[1.0], &mut gives_up), Err("given up"));
    }

    #[test]
    fn an_end_of_the_range_that_is_near_is_tried() {
        let hours = tried(80.0, (1.0, 168.0));
        assert_eq!(hours, [8.0, 16.0, 28.0, 48.0, 80.0, 128.0, 168.0]);
        let film = tried(1.0, (1e-4, 5.0));
        assert_eq!((film.first(), film.last()), (Some(&0.1), Some(&5.0)));
        assert_eq!(tried(1.0, (0.0, f64::INFINITY)).len(), TRIED.len());
    }
}
