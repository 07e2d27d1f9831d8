//! The order is that of what hurts first; each finding by itself and against the next, on answers of the demo changed by hand.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::ids::{RelayId, VesselId};
use dragback_run::{Cure, Reading, Told};

use super::*;
use crate::{AirChoice, Case, Depth, Hours, ImpurityAnswer, PrecipitationAnswer, settled_answers};

fn settled(text: &str) -> Answers {
    let scenario = dragback_scenario::load(text).0.unwrap();
    let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    let found = settled_answers(&case, air, hours, Depth::Full, &mut |_| true);
    found.unwrap().answers
}

fn demo() -> Answers {
    settled(include_str!("../../../../scenarios/demo.ron"))
}

fn alarm(cause: Cause) -> AlarmAnswer {
    let told = match cause {
        Cause::Relay(_) => Told::Tripped(Reading::TemperatureC(68.0)),
        Cause::RunsLow(_) => Told::RanDown,
        Cause::Spills(_) => Told::Spills,
        Cause::Saturated(_) | Cause::OnceCooled(_) => Told::Saturated {
            salt: "gypsum",
            index: 1.05,
            at_c: 20.0,
            cure: Cure::Thin,
        },
    };
    AlarmAnswer {
        at_h: 0.0,
        times: 1,
        last_h: 0.0,
        device: "device".to_owned(),
        called: "device".to_owned(),
        vessel: "bath".to_owned(),
        cause,
        what: told.words("device", |reading| reading.to_string()),
        told,
        returned_h: None,
        reset_h: None,
        state: "active",
    }
}

fn impurity(days: f64) -> ImpurityAnswer {
    ImpurityAnswer {
        species: "Fe".to_owned(),
        vessel: "bath".to_owned(),
        now_g_per_l: 0.0,
        growth_g_per_l_per_day: 0.1,
        limit_g_per_l: Some(1.0),
        days_to_limit: Some(days),
        purge_l_per_h: None,
    }
}

fn salt(days: f64) -> PrecipitationAnswer {
    PrecipitationAnswer {
        vessel: "rinses 1".to_owned(),
        salt: if days > 365.0 { "gypsum" } else { "boric acid" }.to_owned(),
        days,
        once_cooled: false,
    }
}

/// Everything that can go wrong is added, the mildest first: each goes to the front of what was there.
#[test]
fn the_worse_always_stands_before_the_milder() {
    let mut answers = demo();
    let first = |answers: &Answers| verdict(answers, &answers.loops[0]).remove(0);
    assert!(matches!(first(&answers), Finding::Closes(_)));
    answers.loops[0].bath.temperature_c -= 3.0;
    assert!(matches!(first(&answers), Finding::BathOff { off_k, .. } if off_k < 0.0));
    answers.loops[0].heater_duty = 0.99;
    assert_eq!(first(&answers), Finding::HeatIsUsedUp);
    let cold = answers.loops[0].thermostat_c.map(|c| c - 1.5);
    answers.loops[0].evaporation_temperature_c = cold;
    assert!(
        matches!(first(&answers), Finding::HeatIsTheLimit { missing_k, .. } if (missing_k - 1.5).abs() < 1e-9)
    );
    answers.precipitation.push(salt(500.0));
    assert!(matches!(first(&answers), Finding::WillComeOut { days, .. } if days == 500.0));
    let margin = answers.loops[0].closure_margin_l_per_h.as_mut().unwrap();
    margin.week = -3.0;
    assert_eq!(first(&answers), Finding::DoesNotClose(3.0));
    answers.precipitation.push(salt(300.0));
    assert!(matches!(first(&answers), Finding::WillComeOut { days, .. } if days == 300.0));
    answers.impurities.push(impurity(48.0));
    assert!(matches!(first(&answers), Finding::OverLimit { days, .. } if days == 48.0));
    let (v, r) = (VesselId(0), RelayId(0));
    answers.alarms.push(alarm(Cause::RunsLow(v)));
    assert!(matches!(first(&answers), Finding::RanDown(_)));
    answers.alarms.push(alarm(Cause::Saturated(v)));
    assert!(matches!(first(&answers), Finding::ComesOut(_)));
    answers.loops[0].final_rinse.limit_mg_per_l = Some(1.0);
    assert!(matches!(first(&answers), Finding::DirtyRinse { .. }));
    answers.loops[0].bath.lead_g_per_l *= 0.4;
    assert!(matches!(first(&answers), Finding::RunsDown { .. }));
    answers.alarms.push(alarm(Cause::Spills(v)));
    assert!(matches!(first(&answers), Finding::Spills(_)));
    answers.alarms.push(alarm(Cause::Relay(r)));
    assert!(matches!(first(&answers), Finding::Stopped(_)));
    let all = verdict(&answers, &answers.loops[0]);
    assert_eq!(all.len(), 12, "{all:?}");
    assert!(all[0].severity() == Severity::Alarm);
}

/// Each stands for itself: what the numbers do not say is not said.
#[test]
fn heat_and_room_are_judged_by_their_numbers() {
    let demo = demo();
    let found = |change: &dyn Fn(&mut LoopAnswer)| {
        let mut answers = demo.clone();
        change(&mut answers.loops[0]);
        verdict(&answers, &answers.loops[0])
    };
    // The demo holds its 58 °C: full power alone is not below the set point.
    let held = found(&|line| line.heater_duty = 1.0);
    assert_eq!(held[0], Finding::HeatIsUsedUp);
    let tenth = found(&|line| {
        line.heater_duty = 1.0;
        line.evaporation_temperature_c = Some(57.9);
    });
    assert_eq!(tenth[0], Finding::HeatIsUsedUp);
    // Without any heat the tank cannot be at its set point, and it is not the evaporator that lacks something.
    let without = found(&|line| {
        (line.heater_duty, line.heater_mean_kw) = (0.0, 0.0);
        line.evaporation_temperature_c = Some(18.0);
        line.closure_margin_l_per_h.as_mut().unwrap().week = -30.0;
    });
    assert_eq!(without[0], Finding::DoesNotClose(30.0));
    assert!(matches!(without[1], Finding::HeatIsTheLimit { missing_k, .. } if missing_k > 39.0));
    let with_week = |week: f64| {
        found(&move |line: &mut LoopAnswer| {
            line.closure_margin_l_per_h.as_mut().unwrap().week = week;
        })
    };
    // 2 % of 45 L/h are 0.9 L/h.
    assert_eq!(with_week(0.8), [Finding::JustCloses(0.8)]);
    assert_eq!(with_week(1.0), [Finding::Closes(1.0)]);
    let short = with_week(-0.4);
    assert_eq!(short[0], Finding::DoesNotClose(0.4));
    assert_eq!(short[1], Finding::EvaporatorIsTheLimit);
    let august = found(&|line| {
        line.closure_margin_l_per_h.as_mut().unwrap().worst_month = -2.0;
    });
    assert!(matches!(&august[0], Finding::NotAllYear { month, .. } if month == "Aug"));
}

/// Salts are told once, with the tanks that follow.
#[test]
fn a_salt_is_told_once_for_all_of_its_tanks() {
    let mut answers = demo();
    for (vessel, days) in [("bath", 500.0), ("rinses 1", 400.0)] {
        answers.precipitation.push(PrecipitationAnswer {
            vessel: vessel.to_owned(),
            ..salt(days)
        });
    }
    let found = verdict(&answers, &answers.loops[0]);
    assert!(
        matches!(&found[0], Finding::WillComeOut { vessel, later, .. } if vessel == "rinses 1" && later == &["bath"]),
        "{found:?}"
    );
}

/// An alarm and an impurity of another loop's tank are that loop's.
#[test]
fn what_another_loop_has_is_not_told_here() {
    let mut answers = demo();
    let before = verdict(&answers, &answers.loops[0]);
    let mut foreign = alarm(Cause::Spills(VesselId(9)));
    foreign.vessel = "elsewhere".to_owned();
    answers.alarms.push(foreign);
    let mut grows = impurity(3.0);
    grows.vessel = "elsewhere".to_owned();
    answers.impurities.push(grows);
    assert_eq!(verdict(&answers, &answers.loops[0]), before);
}

/// What is amiss are the alarms of all loops' verdicts, and those of tanks that no loop has.
#[test]
fn amiss_is_what_any_verdict_means_as_an_alarm() {
    let mut answers = demo();
    assert_eq!(amiss(&answers), []);
    answers.precipitation.push(salt(500.0));
    answers.loops[0].heater_duty = 0.99;
    assert_eq!(amiss(&answers), [], "cautions are no alarm");
    answers.precipitation.push(salt(300.0));
    let mut foreign = alarm(Cause::Spills(VesselId(9)));
    foreign.vessel = "elsewhere".to_owned();
    answers.alarms.push(foreign);
    let found = amiss(&answers);
    assert!(
        matches!(
            found[..],
            [
                (Some(_), Finding::WillComeOut { .. }),
                (None, Finding::Spills(_))
            ]
        ),
        "{found:?}"
    );
}

/// A run is judged by what it passed, however late; on the first day a limit is not passed but exceeded.
#[test]
fn a_limit_that_a_run_passed_is_an_alarm_however_late() {
    let mut answers = demo();
    answers.driver = "preview".to_owned();
    answers.span_h = 24.0 * 800.0;
    answers.impurities = vec![impurity(700.0)];
    let found = verdict(&answers, &answers.loops[0]);
    assert!(
        matches!(found[..], [Finding::PassedLimit { day, .. }] if day == 700.0),
        "{found:?}"
    );
    assert_eq!(found[0].severity(), Severity::Alarm);
    answers.impurities = vec![impurity(0.0), impurity(900.0)];
    let found = verdict(&answers, &answers.loops[0]);
    assert!(
        matches!(found[..], [Finding::OverLimit { days, .. }] if days == 0.0),
        "{found:?}"
    );
}

/// Hard water fills the zinc line: iron, calcium and then gypsum; the chromium line's chloride. Neither is well.
#[test]
fn lines_that_grow_salty_are_not_called_good() {
    for (text, worst) in [
        (include_str!("../../../../scenarios/zinc-barrel.ron"), "Ca"),
        (include_str!("../../../../scenarios/chromium.ron"), "Cl"),
    ] {
        let answers = settled(text);
        let found = verdict(&answers, &answers.loops[0]);
        assert_eq!(found[0].severity(), Severity::Alarm);
        let is_worst = matches!(&found[0], Finding::OverLimit { species, .. } if species == worst);
        assert!(is_worst, "{found:?}");
    }
    let answers = demo();
    let found = verdict(&answers, &answers.loops[0]);
    assert!(
        found.iter().all(|f| f.severity() == Severity::Good),
        "{found:?}"
    );
}
