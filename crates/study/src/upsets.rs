//! What happens when a device or a water supply stands still for a day: each in turn, on a Tuesday of the settled week, every switch located.

use dragback_plant::climate::AirChoice;
use dragback_plant::control::DeviceKind;
use dragback_plant::network::LoopRoles;
use dragback_run::clock::Clock;
use dragback_run::exact::{self, ExactOptions};
use dragback_run::settle::Settled;
use dragback_run::{Alarm, Trace, World};
use dragback_scenario::called;
use dragback_units::constants as unit;
use serde::Serialize;

use crate::alarms::alarm_answers;
use crate::answers::AlarmAnswer;
use crate::case::{Case, StudyError};
use crate::figures::Means;

/// What stands still.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stands {
    /// A heater, cooler, pump, blower or valve.
    Device,
    /// A water supply.
    Water,
}

/// What a standstill does to one loop, against the same days without it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UpsetOfLoop {
    /// Key of the loop.
    #[serde(rename = "loop")]
    pub line: String,
    /// The strongest film of the lead solute on the work of these days, mg/L; not a number (`null`) without work.
    pub worst_film_mg_per_l: f64,
    /// The same without the standstill.
    pub usual_film_mg_per_l: f64,
    /// Limit of the film, mg/L.
    pub limit_mg_per_l: Option<f64>,
    /// Lead solute lost for good beyond what is lost anyway, kg.
    pub lost_more_kg: f64,
    /// Water sent to treatment beyond what goes there anyway, L.
    pub treated_more_l: f64,
}

/// A standstill and what comes of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Upset {
    /// What stands still.
    pub stands: Stands,
    /// Path of the device, or key of the supply.
    pub path: String,
    /// What people call it.
    pub called: String,
    /// Hours that it stands still.
    pub for_h: f64,
    /// Alarms that are raised and would not be otherwise, in their order; hours count from the standstill's beginning.
    pub alarms: Vec<AlarmAnswer>,
    /// Why it could not be followed, in words; `null` where it could, and then there is nothing below.
    pub not_followed: Option<String>,
    /// What it does to each loop.
    pub loops: Vec<UpsetOfLoop>,
}

/// How long something stands still, h.
const STANDS_H: f64 = 24.0;
/// When it begins, h from the Monday of a settled week: a Tuesday morning.
const BEGINS_H: f64 = 34.0;
/// How long is watched from there, h: the standstill and the days until Monday.
const WATCHED_H: f64 = 134.0;
/// Where the path of one heating element leaves that of its tank.
const ELEMENTS: &str = ".elements.";
/// Time between recorded moments, s.
const SAMPLE_S: f64 = 900.0;

/// Lets each device that is in use, and each water supply, stand still for a day. A line whose weeks do not repeat has no usual days to compare with: there
/// is no upset then.
///
/// # Errors
/// When `watch` gives up, or the usual days cannot be run.
pub fn upsets(
    case: &Case,
    settled: &Settled,
    air: AirChoice,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Upset>, StudyError> {
    if settled.restless.is_some() {
        return Ok(Vec::new());
    }
    let days = Days::new(case, settled, air, watch)?;
    let usual = days.run(None, watch)?;
    let mut found = Vec::new();
    for what in days.all(&usual) {
        match days.run(Some(&what), watch) {
            Ok(run) => found.push(days.upset(what, &run, &usual)),
            Err(StudyError::Run(dragback_run::RunError::Cancelled)) => {
                return Err(StudyError::Run(dragback_run::RunError::Cancelled));
            }
            // A standstill that leads beyond what the model can follow may be the worst of all.
            Err(why) => found.push(days.not_followed(&what, why.to_string())),
        }
    }
    Ok(found)
}

/// Something that can stand still.
struct What {
    stands: Stands,
    /// Path of the device, or of the group of elements; key of the supply.
    path: String,
    /// Numbers of the devices, or of the supply.
    members: Vec<usize>,
}

/// How the days went.
struct Went {
    trace: Trace,
    alarms: Vec<Alarm>,
}

/// The days that are looked at, from the beginning of the standstill.
struct Days<'c> {
    case: &'c Case,
    air: AirChoice,
    begin: World,
    begin_s: f64,
    options: ExactOptions,
}

impl<'c> Days<'c> {
    fn new(
        case: &'c Case,
        settled: &Settled,
        air: AirChoice,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Self, StudyError> {
        let mut begin = settled.world.clone();
        begin.open_books();
        begin.alarms.clear();
        let begin_s = begin.t_s + unit::seconds_from_hours(BEGINS_H);
        let clock = Clock {
            air,
            ..Clock::default()
        };
        let options = ExactOptions {
            clock,
            sample_s: SAMPLE_S,
            ..ExactOptions::default()
        };
        exact::run(&mut begin, begin_s, &options, watch)?;
        Ok(Self {
            case,
            air,
            begin,
            begin_s,
            options,
        })
    }

    fn run(
        &self,
        what: Option<&What>,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Went, StudyError> {
        let mut world = self.begin.clone();
        let mut trace = Trace::new(world.y.len());
        let stood_s = self.begin_s + unit::seconds_from_hours(STANDS_H);
        let end_s = self.begin_s + unit::seconds_from_hours(WATCHED_H);
        for (until_s, stands) in [(stood_s, true), (end_s, false)] {
            if let Some(what) = what {
                for &member in &what.members {
                    match what.stands {
                        Stands::Device => world.failed[member] = stands,
                        Stands::Water => world.setting.supplied[member] = !stands,
                    }
                }
            }
            let part = exact::run(&mut world, until_s, &self.options, watch)?.trace;
            // The second part begins where the first ends.
            let first = usize::from(!trace.is_empty());
            for i in first..part.len() {
                trace.push(part.times_s()[i], part.row(i));
            }
        }
        Ok(Went {
            trace,
            alarms: world.alarms,
        })
    }

    /// What is in use in the usual days, in the order of the network: apparatus first.
    fn all(&self, usual: &Went) -> Vec<What> {
        let net = self.case.plant.network();
        let means = Means::new(&self.case.plant, &usual.trace);
        let mut found: Vec<What> = Vec::new();
        for (index, device) in net.devices.iter().enumerate() {
            let is_used = means.ran(dragback_plant::ids::DeviceId(index)) > 0.0;
            if device.kind == DeviceKind::Rectifier || !is_used {
                continue;
            }
            // The elements of one tank hang on one supply of power.
            let group = device.name.find(ELEMENTS);
            let path = group.map_or(device.name.as_str(), |at| {
                &device.name[..at + ELEMENTS.len() - 1]
            });
            match found.iter_mut().find(|what| what.path == path) {
                Some(what) => what.members.push(index),
                None => found.push(What {
                    stands: Stands::Device,
                    path: path.to_owned(),
                    members: vec![index],
                }),
            }
        }
        let waters = net.supplies.iter().enumerate().map(|(index, supply)| What {
            stands: Stands::Water,
            path: supply.name.clone(),
            members: vec![index],
        });
        found.extend(waters);
        found
    }

    /// What people call it.
    fn called(&self, what: &What) -> String {
        let net = self.case.plant.network();
        match what.stands {
            Stands::Device => called(
                &what
                    .path
                    .replace(&ELEMENTS[..ELEMENTS.len() - 1], ".heaters"),
                net.loops.len(),
            ),
            Stands::Water => format!("{} water", what.path.replace('_', " ")),
        }
    }

    fn not_followed(&self, what: &What, why: String) -> Upset {
        Upset {
            stands: what.stands,
            path: what.path.clone(),
            called: self.called(what),
            for_h: STANDS_H,
            alarms: Vec::new(),
            not_followed: Some(why),
            loops: Vec::new(),
        }
    }

    fn upset(&self, what: What, went: &Went, usual: &Went) -> Upset {
        let net = self.case.plant.network();
        let told = |went: &Went| -> Vec<AlarmAnswer> {
            let since: Vec<Alarm> = went.alarms.iter().map(|a| a.since(self.begin_s)).collect();
            alarm_answers(net, &since)
        };
        let usually = told(usual);
        let is_usual = |alarm: &AlarmAnswer| {
            let same = |a: &AlarmAnswer| (a.cause, &a.device) == (alarm.cause, &alarm.device);
            usually.iter().any(same)
        };
        let alarms = told(went).into_iter().filter(|a| !is_usual(a));
        Upset {
            stands: what.stands,
            called: self.called(&what),
            path: what.path,
            for_h: STANDS_H,
            not_followed: None,
            alarms: alarms.collect(),
            loops: net
                .loops
                .iter()
                .map(|roles| self.of_loop(roles, went, usual))
                .collect(),
        }
    }

    fn of_loop(&self, roles: &LoopRoles, went: &Went, usual: &Went) -> UpsetOfLoop {
        let plant = &self.case.plant;
        let [went, usual] = [went, usual].map(|w| Means::new(plant, &w.trace));
        let days = WATCHED_H / 24.0;
        let film = |means: &Means<'_>| {
            let films = means.films_at_work(roles).map(|(_, film)| film);
            unit::mg_per_l(films.fold(f64::NAN, f64::max))
        };
        let of = |means: &Means<'_>| {
            let answer = means.loop_answer(roles, &self.case.scenario, self.air);
            let lost = answer.lost_kg_per_day.get(&answer.final_rinse.species);
            let lost_kg = days * lost.copied().unwrap_or(f64::NAN);
            (lost_kg, 24.0 * days * answer.to_treatment_l_per_h)
        };
        let ((lost_kg, treated_l), (usually_lost_kg, usually_treated_l)) = (of(&went), of(&usual));
        UpsetOfLoop {
            line: roles.name.clone(),
            worst_film_mg_per_l: film(&went),
            usual_film_mg_per_l: film(&usual),
            limit_mg_per_l: roles.final_limit_kg_per_m3.map(unit::mg_per_l),
            lost_more_kg: lost_kg - usually_lost_kg,
            treated_more_l: treated_l - usually_treated_l,
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;

    use super::*;
    use crate::{Depth, Hours, settled_answers};

    /// The demo with more rinse water, so that there is no room to spare for a day's water.
    fn busy_demo() -> Vec<Upset> {
        let text = include_str!("../../../scenarios/demo.ron");
        let mut scenario = dragback_scenario::load(text).0.unwrap();
        dragback_scenario::set(&mut scenario, "loop.sections.rinses.flow", "112 L/h").unwrap();
        let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
        let air = AirChoice::Mean;
        let found =
            settled_answers(&case, air, Hours::Calendar, Depth::Quick, &mut |_| true).unwrap();
        upsets(&case, &found.settled, air, &mut |_| true).unwrap()
    }

    /// Hand derivation: without its feed pump, blower or heat the loop cannot evaporate, so rinse water must go to treatment; without rinse water nothing
    /// more goes there, and the film on the work grows stronger than ever otherwise.
    #[test]
    fn a_day_without_evaporation_costs_rinse_water_and_a_day_without_water_costs_clean_work() {
        let all = busy_demo();
        let of = |path: &str| {
            let found = all.iter().find(|u| u.path.ends_with(path));
            found.unwrap_or_else(|| {
                panic!(
                    "{path} in {:?}",
                    all.iter().map(|u| &u.path).collect::<Vec<_>>()
                )
            })
        };
        for path in ["t1.pump", "blower", "elements"] {
            let upset = of(path);
            assert!(upset.loops[0].treated_more_l > 100.0, "{upset:?}");
            assert!(upset.loops[0].lost_more_kg > 0.0, "{upset:?}");
        }
        let dry = of("deionised");
        assert_eq!(dry.stands, Stands::Water);
        let line = &dry.loops[0];
        assert!(
            line.worst_film_mg_per_l > 2.0 * line.usual_film_mg_per_l,
            "{dry:?}"
        );
        assert!(line.treated_more_l < 1.0, "{dry:?}");
        assert_eq!(of("elements").called, "heaters of the holding tank");
        // What stands still is told as people call it.
        assert!(all.iter().all(|u| !u.called.contains('.')), "{all:?}");
    }
}
