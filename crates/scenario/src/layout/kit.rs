//! The parts of which layouts are made: those of the loop as it is, and those of the hand rules for what it lacks.

use dragback_units::dim::{Fraction, VolumeFlow};
use dragback_units::{Quantity, constants as unit};

use super::{fed_at_work, given, returned};
use crate::lower::{films_m, open_share};
use crate::outline::{BATHS, Key, Outline, QUESTIONS, outline};
use crate::problem::Problem;
use crate::record::Input;
use crate::schema::{
    Collection, Drain, FedFrom, Feed, Holding, Loop, Scenario, Section, Spray, Still, Tower, Visit,
};

/// Free final rinse over drag-out where the scenario has none: one in twenty is left on the work.
const FREE_RATIO: f64 = 20.0;
/// Spray over drag-out where the scenario has none, and the share of the film that it then replaces; assumed.
const SPRAY_RATIO: f64 = 2.5;
const SPRAY_WASHED: f64 = 0.5;

/// The parts, each section and tank with its key.
#[derive(Clone, Debug)]
pub(super) struct Kit {
    pub section: (String, Section),
    pub free: (String, Section),
    pub still: (String, Still),
    pub spray: Spray,
    pub collection: Collection,
    pub holding: Holding,
    pub tower: (String, Tower),
    /// Towers that the loop's holding tank feeds as it is, at least one.
    pub base_towers: f64,
    /// Whether the bath feeds a tower as it is.
    pub has_bath_tower: bool,
    pub visits: Visits,
}

/// How work visits each station.
#[derive(Clone, Debug)]
pub(super) struct Visits {
    pub still_first: Option<Visit>,
    pub bath: Visit,
    pub still: Visit,
    pub rinses: Visit,
    pub free: Visit,
}

impl Kit {
    pub(super) fn of(scenario: &Scenario, line: &Loop) -> Result<Self, Problem> {
        let sketch = sketch(scenario, line)?;
        let section = line.recovered_section().map_or_else(
            || {
                let mut section = sketch.section.clone();
                section.water.clone_from(&line.bath.make_up.water);
                ("rinses".to_owned(), section)
            },
            |(key, section)| (key.to_owned(), section.clone()),
        );
        let mut section = (section.0, fed_at_work(&section.1));
        if section.1.drain == Drain::Treatment {
            // What water brings stays in a closed loop: rinses that were not recovered get that of the make-up.
            section.1.water.clone_from(&line.bath.make_up.water);
        }
        let free = free_final(line, &section);
        let still = line.stills.iter().next().map_or_else(
            || ("still".to_owned(), still_like(&section.1)),
            |(key, still)| (key.to_owned(), still.clone()),
        );
        let still = (still.0, returned(&still.1, line));
        let (collection, holding) = match (&line.collection, &line.holding_tank) {
            (Some(collection), Some(holding)) => (collection.clone(), holding.clone()),
            _ => (sketch.collection, sketch.holding),
        };
        let tower = line.towers.iter().next();
        let tower = tower.map_or(("t1".to_owned(), sketch.tower), |(key, tower)| {
            (key.to_owned(), tower.clone())
        });
        let fed = |t: &&Tower| t.fed_from == FedFrom::HoldingTank;
        #[expect(clippy::cast_precision_loss, reason = "two dozen at most")]
        let base_towers = line.towers.values().filter(fed).count().max(1) as f64;
        Ok(Self {
            spray: spray(line, &section.1),
            visits: visits(line, &section.0, &still.0, &free.0),
            section,
            free,
            still,
            collection,
            holding,
            tower: (
                tower.0,
                Tower {
                    on: true,
                    ..tower.1
                },
            ),
            base_towers,
            has_bath_tower: line.towers.values().any(|t| t.fed_from == FedFrom::Bath),
        })
    }
}

/// What a sketched line has of what this one may lack.
struct Sketch {
    section: Section,
    collection: Collection,
    holding: Holding,
    tower: Tower,
}

/// A line sketched by the hand rules from what is known of this one.
fn sketch(scenario: &Scenario, line: &Loop) -> Result<Sketch, Problem> {
    let mut answers = Outline::default();
    answers.bath = BATHS.iter().position(|kind| kind.lead == line.lead);
    let (film_m, _) = films_m(line);
    let work_s = unit::SECONDS_PER_WEEK * open_share(scenario, &line.work.calendar);
    let states = scenario.site.room.states();
    #[expect(clippy::cast_precision_loss, reason = "twelve at most")]
    let room_k = states.iter().map(|s| s.temperature.si()).sum::<f64>() / states.len() as f64;
    let area_m2_per_s = line.work.area_rate.si();
    let known = [
        (Key::BathVolume, line.bath.tank.volume.si()),
        (Key::Racks, area_m2_per_s),
        (Key::Area, 1.0),
        (Key::Film, film_m),
        (Key::Hours, work_s),
        (Key::Room, room_k),
    ];
    for question in &QUESTIONS {
        let Some((_, si)) = known.iter().find(|(key, _)| *key == question.key) else {
            continue;
        };
        // A line out of the ordinary is sketched as the nearest that the questions take.
        let (low, high) = question.allowed_si(answers.kind());
        let si = si.clamp(low, high);
        answers.answer(question.key, &question.written(si));
    }
    let problem = |message: &str| {
        let advice = "give the loop a collection tank, a holding tank, a tower and rinses";
        Problem::at("loops", message.to_owned(), advice)
    };
    let text = outline(&answers).map_err(|problems| {
        let first = problems.first().map(ToString::to_string);
        problem(&first.unwrap_or_default())
    })?;
    let sketched = crate::load(&text).0;
    let parts = sketched.and_then(|mut s| {
        let line = s.loops.get_mut("loop")?;
        Some(Sketch {
            section: line.sections.get("rinses")?.clone(),
            collection: line.collection.take()?,
            holding: line.holding_tank.take()?,
            tower: line.towers.get("t1")?.clone(),
        })
    });
    parts.ok_or_else(|| problem("no line could be sketched from which to take what it lacks"))
}

/// The free final rinse: a section that runs to treatment behind the recovered one, else a single stage like its stages.
fn free_final(line: &Loop, (recovered, section): &(String, Section)) -> (String, Section) {
    let mut others = line.sections.iter();
    let own = others.find(|(key, s)| key != recovered && s.drain == Drain::Treatment);
    if let Some((key, free)) = own {
        return (key.to_owned(), fed_at_work(free));
    }
    let (film_m, _) = films_m(line);
    let drag_out_m3_per_s = film_m * line.work.area_rate.si();
    let mut key = "final".to_owned();
    while key == *recovered || line.stills.contains_key(&key) {
        key.push('2');
    }
    let free = Section {
        stages: given(1.0),
        flow: three_digits(FREE_RATIO * drag_out_m3_per_s),
        feed: Feed::WhileWorking,
        drain: Drain::Treatment,
        ..section.clone()
    };
    (key, free)
}

fn still_like(section: &Section) -> Still {
    Still {
        tank: section.tank.clone(),
        water: section.water.clone(),
        return_to_bath: None,
        refill_flow: Input::new(minutely(20.0)),
        notes: None,
    }
}

/// A flow of so many litres a minute.
fn minutely(l_per_min: f64) -> Quantity<VolumeFlow> {
    Quantity::parse(&format!("{l_per_min} L/min"))
        .unwrap_or_else(|_| Quantity::from_si(l_per_min / 60_000.0))
}

fn spray(line: &Loop, section: &Section) -> Spray {
    let own = line.route.iter().find_map(|visit| visit.spray.clone());
    let (film_m, _) = films_m(line);
    own.unwrap_or_else(|| Spray {
        flow: three_digits(SPRAY_RATIO * film_m * line.work.area_rate.si()),
        water: section.water.clone(),
        washed: given::<Fraction>(SPRAY_WASHED),
        notes: None,
    })
}

/// A flow to three digits of litres an hour.
fn three_digits(m3_per_s: f64) -> Input<VolumeFlow> {
    let l_per_h = dragback_units::constants::l_per_h(m3_per_s);
    let text = format!("{} L/h", crate::outline::digits(l_per_h));
    Input::new(Quantity::parse(&text).unwrap_or_else(|_| Quantity::from_si(m3_per_s)))
}

fn visits(line: &Loop, section: &str, still: &str, free: &str) -> Visits {
    let plain = |at: &str| Visit {
        at: at.to_owned(),
        efficiency: given(1.0),
        film: None,
        spray: None,
        notes: None,
    };
    let is_at = |visit: &Visit, key: &str| {
        let head = visit
            .at
            .split_once('/')
            .map_or(visit.at.as_str(), |(s, _)| s);
        head == key
    };
    // A visit of one stage of a section stands for all of them.
    let own = |key: &str| {
        let found = line.route.iter().rev().find(|v| is_at(v, key));
        found.map_or_else(
            || plain(key),
            |visit| Visit {
                at: key.to_owned(),
                spray: None,
                ..visit.clone()
            },
        )
    };
    let mut first = line.route.iter().take_while(|v| v.at != "bath");
    Visits {
        still_first: first.find(|v| v.at == still).cloned(),
        bath: own("bath"),
        still: own(still),
        rinses: own(section),
        free: own(free),
    }
}
