//! Several lines side by side: their settled figures, and the inputs in which they differ.

mod paid;

use std::collections::{BTreeMap, BTreeSet};

use dragback_scenario::{Registry, Scenario};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, kelvin_from_celsius};
use serde::Serialize;

use crate::answers::{Answers, LoopAnswer};

pub use paid::{Paid, WHOSE_PRICES, paid, unpaid};

/// A figure of a loop for each line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// Key of the loop.
    #[serde(rename = "loop")]
    pub line: String,
    /// What it is.
    pub name: &'static str,
    /// What it measures; as data the unit of the values.
    #[serde(rename = "unit", serialize_with = "si_unit")]
    pub dim: Dim,
    /// The unit that suits it.
    #[serde(skip)]
    pub style: Style,
    /// Its value in each line, SI; `null` where a line has no such loop or no number for it.
    #[serde(rename = "values_si")]
    pub values: Vec<Option<f64>>,
}

/// Writes the symbol of the SI unit of a dimension.
pub(crate) fn si_unit<S: serde::Serializer>(dim: &Dim, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(dim.si_unit())
}

/// An input that is not the same in all lines.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Differing {
    /// Its path.
    pub path: String,
    /// Its value in each line as written; `null` where a line has none.
    pub values: Vec<Option<String>>,
}

/// The share of the dragged-out lead solute that is not lost: a share of a whole, of which no digit that is missing may be rounded away.
pub const RECOVERED: &str = "recovered";

type Reading = (&'static str, Dim, Style, fn(&LoopAnswer) -> Option<f64>);

/// The figures that are set side by side.
const FIGURES: [Reading; 17] = [
    ("lost for good a day", Dim::MassFlow, Style::Default, |l| {
        l.lead_lost_kg_per_day()
            .map(|kg| kg / unit::SECONDS_PER_DAY)
    }),
    ("film on the work", Dim::Concentration, Style::Rinse, |l| {
        Some(1e-3 * l.final_rinse.film_mg_per_l)
    }),
    ("final rinse, tank", Dim::Concentration, Style::Rinse, |l| {
        Some(1e-3 * l.final_rinse.tank_mg_per_l)
    }),
    ("dilution ratio", Dim::Number, Style::Default, |l| {
        Some(l.final_rinse.dilution_ratio)
    }),
    (RECOVERED, Dim::Fraction, Style::Default, |l| {
        Some(l.recovered_fraction)
    }),
    (
        "closure margin, week",
        Dim::VolumeFlow,
        Style::Default,
        |l| {
            let margin = l.closure_margin_l_per_h.as_ref()?;
            Some(unit::m3_per_s_from_l_per_h(margin.week))
        },
    ),
    ("worst month", Dim::VolumeFlow, Style::Default, |l| {
        let margin = l.closure_margin_l_per_h.as_ref()?;
        Some(unit::m3_per_s_from_l_per_h(margin.worst_month))
    }),
    (
        "evaporated by towers",
        Dim::VolumeFlow,
        Style::Default,
        |l| Some(unit::m3_per_s_from_l_per_h(l.evaporation_l_per_h)),
    ),
    (
        "evaporation temperature",
        Dim::Temperature,
        Style::Default,
        |l| l.evaporation_temperature_c.map(kelvin_from_celsius),
    ),
    ("heat of the bath", Dim::Power, Style::Default, |l| {
        Some(1e3 * bath_heat_kw(l)?)
    }),
    ("heat for evaporation", Dim::Power, Style::Default, |l| {
        has_evaporator(l).then_some(1e3 * l.heater_mean_kw)
    }),
    ("heat in all", Dim::Power, Style::Default, |l| {
        Some(1e3 * (l.heater_mean_kw + l.bath_heater_mean_kw.unwrap_or(0.0)))
    }),
    (
        "evaporator heater duty",
        Dim::Fraction,
        Style::Default,
        |l| (has_evaporator(l) && l.heater_mean_kw > 0.0).then_some(l.heater_duty),
    ),
    ("rinse feed", Dim::VolumeFlow, Style::Default, |l| {
        Some(unit::m3_per_s_from_l_per_h(l.rinse_feed_l_per_h))
    }),
    ("make-up", Dim::VolumeFlow, Style::Default, |l| {
        Some(unit::m3_per_s_from_l_per_h(l.make_up_l_per_h))
    }),
    ("to treatment", Dim::VolumeFlow, Style::Default, |l| {
        Some(unit::m3_per_s_from_l_per_h(l.to_treatment_l_per_h))
    }),
    ("days to settle", Dim::Time, Style::Default, |l| {
        l.days_to_settle.map(unit::seconds_from_days)
    }),
];

/// Whether a loop has heaters for evaporation: those of a tank of its own, or those of a bath that feeds a tower.
const fn has_evaporator(line: &LoopAnswer) -> bool {
    line.bath_heater_mean_kw.is_some() || !line.stacks.is_empty()
}

/// What the heater of the bath gives where it is no heater for evaporation, kW.
const fn bath_heat_kw(line: &LoopAnswer) -> Option<f64> {
    if has_evaporator(line) {
        line.bath_heater_mean_kw
    } else {
        Some(line.heater_mean_kw)
    }
}

/// The settled figures of every loop that any of the lines has, loops of one key beside one another.
#[must_use]
pub fn figures(all: &[&Answers]) -> Vec<Compared> {
    // One loop against one loop, whatever they are called.
    if all.iter().all(|a| a.loops.len() == 1) {
        return rows(&all.iter().map(|a| a.loops.first()).collect::<Vec<_>>());
    }
    let mut keys: Vec<&str> = Vec::new();
    for line in all.iter().flat_map(|a| &a.loops) {
        if !keys.contains(&line.name.as_str()) {
            keys.push(&line.name);
        }
    }
    let each = keys.into_iter().flat_map(|key| {
        let lines: Vec<Option<&LoopAnswer>> = all
            .iter()
            .copied()
            .map(|answers| answers.loops.iter().find(|l| l.name == key))
            .collect();
        rows(&lines)
    });
    each.collect()
}

/// The rows of one loop of each line. A row that no line has a number for is left out.
fn rows(lines: &[Option<&LoopAnswer>]) -> Vec<Compared> {
    let named = lines.iter().flatten().next();
    let key = named.map_or(String::new(), |l| l.name.clone());
    let rows = FIGURES.iter().map(|(name, dim, style, read)| Compared {
        line: key.clone(),
        name,
        dim: *dim,
        style: *style,
        values: {
            let value = |l: &Option<&LoopAnswer>| l.and_then(read).filter(|x| x.is_finite());
            lines.iter().map(value).collect()
        },
    });
    rows.filter(|row| row.values.iter().any(Option::is_some))
        .collect()
}

/// Inputs that differ, in the order in which they stand in the first line that has them. Texts that mean the same value are the same, and words for people
/// (titles, descriptions, notes) are none. A part that a line lacks is one entry, with nothing for that line and an empty text for those that have it.
#[must_use]
pub fn differing(all: &[&Scenario]) -> Vec<Differing> {
    let lines: Vec<Inputs> = all.iter().map(|s| Inputs::of(s)).collect();
    differing_inputs(&lines.iter().collect::<Vec<_>>())
}

/// The same of lines whose inputs are known already.
#[must_use]
pub fn differing_inputs(lines: &[&Inputs]) -> Vec<Differing> {
    let mut paths: Vec<&str> = Vec::new();
    let mut seen = BTreeSet::new();
    for path in lines.iter().flat_map(|l| l.in_order.iter()) {
        if seen.insert(path.as_str()) {
            paths.push(path);
        }
    }
    let mut found: Vec<Differing> = Vec::new();
    let mut parts = BTreeSet::new();
    for path in paths {
        if let Some(part) = lacking(lines, path) {
            if parts.insert(part) {
                found.push(Differing {
                    path: part.to_owned(),
                    values: lines
                        .iter()
                        .map(|l| l.has(part).then(String::new))
                        .collect(),
                });
            }
            continue;
        }
        let values: Vec<Option<&(Option<f64>, String)>> =
            lines.iter().map(|l| l.by_path.get(path)).collect();
        if values.iter().any(|v| !is_same(values[0], *v)) {
            found.push(Differing {
                path: path.to_owned(),
                values: values
                    .iter()
                    .map(|v| v.map(|(_, text)| text.clone()))
                    .collect(),
            });
        }
    }
    found
}

/// The given inputs of a line, with SI value and text: what lines are compared by.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    in_order: Vec<String>,
    by_path: BTreeMap<String, (Option<f64>, String)>,
}

impl Inputs {
    /// Those of a scenario.
    #[must_use]
    pub fn of(scenario: &Scenario) -> Self {
        let registry = Registry::of(scenario);
        let for_people = ["title", "description", "notes"];
        let is_told = |path: &str| {
            let last = path.rsplit('.').next().unwrap_or(path);
            !for_people.contains(&last) && !path.starts_with("title_block.")
        };
        let given = registry
            .iter()
            .filter(|p| is_told(&p.path) && !p.is_derived);
        let given = given.filter_map(|p| Some((p.path.clone(), (p.si(), p.text()?.to_owned()))));
        let given: Vec<_> = given.collect();
        Self {
            in_order: given.iter().map(|(path, _)| path.clone()).collect(),
            by_path: given.into_iter().collect(),
        }
    }

    /// Whether there is anything at a path or below it.
    fn has(&self, path: &str) -> bool {
        let below = format!("{path}.");
        self.by_path.contains_key(path)
            || self
                .by_path
                .range(below.clone()..)
                .next()
                .is_some_and(|(found, _)| found.starts_with(&below))
    }
}

/// The largest part that holds a path and that one of the lines lacks as a whole; a single input is no part.
fn lacking<'p>(lines: &[&Inputs], path: &'p str) -> Option<&'p str> {
    let dots = path.match_indices('.').map(|(at, _)| &path[..at]);
    let mut parts = dots;
    parts.find(|part| lines.iter().any(|l| !l.has(part)))
}

fn is_same(a: Option<&(Option<f64>, String)>, b: Option<&(Option<f64>, String)>) -> bool {
    match (a, b) {
        (Some((Some(x), _)), Some((Some(y), _))) => (x - y).abs() <= 1e-12 * x.abs().max(y.abs()),
        (a, b) => a.map(|x| &x.1) == b.map(|x| &x.1),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_plant::climate::AirChoice;
    use dragback_run::clock::Hours;
    use dragback_scenario::{load, set};

    use super::*;

    /// Heats of one kind stand beside one another: a line without an evaporator has none for evaporation, and what its bath's heater gives is its bath's.
    #[test]
    fn heats_of_one_kind_stand_side_by_side() {
        let answers = |text: &str| {
            let case = crate::Case::new(Arc::new(load(text).0.unwrap()), &TowerCache::default());
            let (air, hours) = (AirChoice::Mean, Hours::Calendar);
            let depth = crate::Depth::Quick;
            let found = crate::settled_answers(&case.unwrap(), air, hours, depth, &mut |_| true);
            found.unwrap().answers
        };
        let before = answers(include_str!("../../../scenarios/demo-before.ron"));
        let after = answers(include_str!("../../../scenarios/demo.ron"));
        let found = figures(&[&before, &after]);
        let of = |name: &str| {
            let row = found.iter().find(|row| row.name == name).unwrap();
            [row.values[0], row.values[1]]
        };
        let (old, new) = (&before.loops[0], &after.loops[0]);
        let bath = new.bath_heater_mean_kw.unwrap();
        let kw = |kw: f64| Some(1e3 * kw);
        assert_eq!(of("heat of the bath"), [kw(old.heater_mean_kw), kw(bath)]);
        assert_eq!(of("heat for evaporation"), [None, kw(new.heater_mean_kw)]);
        let all = kw(new.heater_mean_kw + bath);
        assert_eq!(of("heat in all"), [kw(old.heater_mean_kw), all]);
        assert_eq!(of("evaporator heater duty"), [None, Some(new.heater_duty)]);
    }

    #[test]
    fn only_what_differs_is_listed() {
        let text = include_str!("../../../scenarios/demo.ron");
        let a = load(text).0.unwrap();
        let mut b = a.clone();
        assert_eq!(differing(&[&a, &b]), []);
        // The same temperature in another unit is the same.
        set(&mut b, "loop.holding_tank.set_point", "136.4 °F").unwrap();
        assert_eq!(differing(&[&a, &b]), []);
        set(&mut b, "loop.sections.rinses.flow", "60 L/h").unwrap();
        let found = differing(&[&a, &b, &a]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path, "loop.sections.rinses.flow");
        let told: Vec<&str> = found[0]
            .values
            .iter()
            .flatten()
            .map(String::as_str)
            .collect();
        assert_eq!(told, ["95 L/h", "60 L/h", "95 L/h"]);
        // A part that only one line has is one entry.
        let before = load(include_str!("../../../scenarios/demo-before.ron"));
        let found = differing(&[&before.0.unwrap(), &a]);
        let of = |path: &str| Some(found.iter().find(|d| d.path == path)?.values.clone());
        let here = |texts: [Option<&str>; 2]| Some(texts.map(|t| t.map(str::to_owned)).to_vec());
        assert_eq!(of("loop.holding_tank"), here([None, Some("")]));
        assert_eq!(of("loop.holding_tank.set_point"), None);
        let flows = here([Some("150 L/h"), Some("95 L/h")]);
        assert_eq!(of("loop.sections.rinses.flow"), flows);
        assert!(found.iter().all(|d| !d.path.ends_with("notes")));
    }
}
