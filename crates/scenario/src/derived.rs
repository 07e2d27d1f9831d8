//! Inputs that are made from others: setting one scales those that it is made from.

mod hours;

use dragback_units::dim::{Film, Power, Time};
use dragback_units::{Dim, Dimension, Quantity};

use crate::problem::Problem;
use crate::record::{Change, Input, Kind, Leaf, LeafField as _, Mark, Meta};
use crate::registry::Parameter;
use crate::schema::{Coil, Drain, Element, Holding, Loop, PartClass, Scenario, Section};
use hours::{HOURS, hours_s, set_hours};

static HEAT_INPUT: Meta = Meta {
    name: "heat_input",
    hint: "Power of all heaters of the holding tank together. More evaporates more, until the set point rather than the heaters limits it.",
    unit: "kW",
    allowed: Some((0.0, 10_000.0)),
    usual: Some((10.0, 300.0)),
    marks: &[Mark::Lever],
    ..Meta::EMPTY
};

static MEAN_FILM: Meta = Meta {
    name: "mean_film",
    hint: "Film on the work leaving the bath, mean of the kinds of parts. Moving it scales the film of every kind.",
    unit: "L/m²",
    allowed: Some((1e-4, 5.0)),
    usual: Some((0.03, 0.4)),
    marks: &[Mark::Lever],
    ..Meta::EMPTY
};

/// Which derived input a path means.
enum Derived {
    HeatInput,
    MeanFilm,
    Hours,
}

const HEAT_PATH: &str = ".holding_tank.heat_input";
const FILM_PATH: &str = ".work.drag_out.mean_film";
const HOURS_PATH: &str = ".work.hours_a_week";

fn split(path: &str) -> Option<(&str, Derived)> {
    if let Some(key) = path.strip_suffix(HEAT_PATH) {
        return Some((key, Derived::HeatInput));
    }
    if let Some(key) = path.strip_suffix(HOURS_PATH) {
        return Some((key, Derived::Hours));
    }
    path.strip_suffix(FILM_PATH)
        .map(|key| (key, Derived::MeanFilm))
}

/// Every derived input of a scenario.
pub fn all(scenario: &Scenario) -> Vec<Parameter> {
    let paths = scenario
        .loops
        .keys()
        .flat_map(|key| [HEAT_PATH, FILM_PATH, HOURS_PATH].map(|p| format!("{key}{p}")));
    paths.filter_map(|path| get(scenario, &path)).collect()
}

/// The derived input at a path.
pub fn get(scenario: &Scenario, path: &str) -> Option<Parameter> {
    let (key, derived) = split(path)?;
    let line = scenario.loops.get(key)?;
    let (meta, dim, si) = match derived {
        Derived::HeatInput => (
            &HEAT_INPUT,
            Dim::Power,
            heat_input_w(line.holding_tank.as_ref()?),
        ),
        Derived::MeanFilm => (&MEAN_FILM, Dim::Film, mean_film_m(line)?),
        Derived::Hours => (&HOURS, Dim::Time, hours_s(scenario, key)?),
    };
    let text = match dim {
        Dim::Power => Quantity::<Power>::from_si(si).text().to_owned(),
        // Seconds, as which times are kept, tell nobody how long a week is.
        Dim::Time => format!("{} h", dragback_units::constants::hours(si)),
        _ => Quantity::<Film>::from_si(si).text().to_owned(),
    };
    let leaf = Leaf {
        si: Some(si),
        ..Leaf::of(Kind::Quantity(dim), text)
    };
    Some(Parameter {
        path: path.to_owned(),
        meta,
        leaf,
        is_derived: true,
    })
}

/// Power of all heaters together, W.
fn heat_input_w(holding: &Holding) -> f64 {
    let elements: f64 = holding.elements.values().map(|e| e.power.si()).sum();
    elements + holding.coil.as_ref().map_or(0.0, |c| c.cap.si())
}

/// Mean film of the kinds of parts, m.
fn mean_film_m(line: &Loop) -> Option<f64> {
    let classes = &line.work.drag_out.classes;
    (!classes.is_empty()).then(|| classes.values().map(|c| c.share.si() * c.film.si()).sum())
}

/// Sets the derived input at a path; `None` when the path means none.
pub fn set(
    scenario: &mut Scenario,
    path: &str,
    change: Change<'_>,
) -> Option<Result<(), Box<Problem>>> {
    let present = get(scenario, path)?;
    if matches!(change, Change::Origin(_)) {
        // What it is made from has origins, each its own.
        return Some(Ok(()));
    }
    let (key, derived) = split(path)?;
    let line = scenario.loops.get_mut(key)?;
    let result = match derived {
        Derived::HeatInput => target::<Power>(change, &HEAT_INPUT)
            .and_then(|si| scale_heat(line.holding_tank.as_mut(), present.si(), si)),
        Derived::MeanFilm => {
            target::<Film>(change, &MEAN_FILM).and_then(|si| scale_films(line, present.si(), si))
        }
        Derived::Hours => {
            target::<Time>(change, &HOURS).and_then(|si| set_hours(scenario, key, si))
        }
    };
    Some(result)
}

/// The value that a change asks for, checked against the range.
fn target<D: Dimension>(change: Change<'_>, meta: &'static Meta) -> Result<f64, Box<Problem>> {
    let mut input = Input::<D>::stand_in(meta);
    input.change(meta, change)?;
    Ok(input.si())
}

/// What is declared about a field of a record.
fn field(fields: &[&'static Meta], name: &str, or: &'static Meta) -> &'static Meta {
    fields
        .iter()
        .find(|meta| meta.name == name)
        .copied()
        .unwrap_or(or)
}

/// Sets one of the inputs that a derived one is made from; it keeps to its own range, for a file with another value is not read.
fn change_part<D: Dimension>(
    key: &str,
    part: &mut Input<D>,
    meta: &'static Meta,
    si: f64,
) -> Result<(), Box<Problem>> {
    part.change(meta, Change::Si(si)).map_err(|mut problem| {
        problem.message = format!("with this `{key}` cannot be: {}", problem.message);
        problem
    })
}

fn scale_heat(
    holding: Option<&mut Holding>,
    old_w: Option<f64>,
    new_w: f64,
) -> Result<(), Box<Problem>> {
    let (Some(holding), Some(old_w)) = (holding, old_w) else {
        return Ok(());
    };
    let mut changed = holding.clone();
    #[expect(clippy::cast_precision_loss, reason = "a handful of heaters")]
    let count = (changed.elements.len() + usize::from(changed.coil.is_some())) as f64;
    let keys: Vec<String> = changed.elements.keys().map(str::to_owned).collect();
    let powers = keys
        .iter()
        .filter_map(|key| changed.elements.get(key))
        .map(|e| e.power.si());
    let mut scaled: Vec<f64> = powers
        .chain(changed.coil.as_ref().map(|c| c.cap.si()))
        .collect();
    for power_w in &mut scaled {
        *power_w = if old_w > 0.0 {
            *power_w * new_w / old_w
        } else {
            new_w / count
        };
    }
    let power = field(Element::FIELDS, "power", &HEAT_INPUT);
    for (key, power_w) in keys.iter().zip(&scaled) {
        if let Some(element) = changed.elements.get_mut(key) {
            change_part(key, &mut element.power, power, *power_w)?;
        }
    }
    let cap = field(Coil::FIELDS, "cap", &HEAT_INPUT);
    if let (Some(coil), Some(power_w)) = (changed.coil.as_mut(), scaled.last()) {
        change_part("coil", &mut coil.cap, cap, *power_w)?;
    }
    *holding = changed;
    Ok(())
}

fn scale_films(line: &mut Loop, old_m: Option<f64>, new_m: f64) -> Result<(), Box<Problem>> {
    let Some(old_m) = old_m.filter(|&m| m > 0.0) else {
        return Ok(());
    };
    let classes = &mut line.work.drag_out.classes;
    let mut changed = classes.clone();
    let film = field(PartClass::FIELDS, "film", &MEAN_FILM);
    for key in classes.keys() {
        if let Some(class) = changed.get_mut(key) {
            let film_m = class.film.si() * new_m / old_m;
            change_part(key, &mut class.film, film, film_m)?;
        }
    }
    *classes = changed;
    Ok(())
}

/// The paths of the three main levers of a loop: drag-out, rinse rate, heat input.
///
/// `None` when the scenario has no such loop. Drag-out is given in whichever way the scenario gives it; the rinse rate is that of the section that is
/// recovered (of the first section when none is, of the bath's make-up when there is none); the heat input is that of the holding tank, or of the
/// bath where there is no holding tank.
#[must_use]
pub fn levers(scenario: &Scenario, loop_key: &str) -> Option<[String; 3]> {
    let line = scenario.loops.get(loop_key)?;
    let out = &line.work.drag_out;
    let drag_out = if !out.classes.is_empty() {
        "work.drag_out.mean_film"
    } else if out.flow.is_some() {
        "work.drag_out.flow"
    } else if out.per_load.is_some() {
        "work.drag_out.per_load"
    } else if out.measured.is_some() {
        "work.drag_out.measured.rise"
    } else {
        "work.drag_out.film"
    };
    let rinse = line.recovered_section().map_or_else(
        || "bath.make_up.flow".to_owned(),
        |(key, _)| format!("sections.{key}.flow"),
    );
    let heat = if line.holding_tank.is_some() {
        "holding_tank.heat_input"
    } else {
        "bath.heater_power"
    };
    Some([drag_out.to_owned(), rinse, heat.to_owned()].map(|tail| format!("{loop_key}.{tail}")))
}

impl Loop {
    /// The section whose water is recovered, by its key; of a line before recovery its first, and none where work is not rinsed under counterflow.
    #[must_use]
    pub fn recovered_section(&self) -> Option<(&str, &Section)> {
        let mut all = self.sections.iter();
        let recovered = all.find(|(_, s)| s.drain != Drain::Treatment);
        recovered.or_else(|| self.sections.iter().next())
    }
}
