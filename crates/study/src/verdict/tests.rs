//! The order is that of what hurts first; each finding by itself and against the next, on answers of the demo changed by hand.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::ids::{RelayId, VesselId};
use dragback_run::{Cure, Told};

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
        salt: "gypsum".to_owned(),
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
    answers.loops[0].heater_duty = 0.99;
    assert_eq!(first(&answers), Finding::HeatIsTheLimit);
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
    answers.alarms.push(alarm(Cause::Spills(v)));
    assert!(matches!(first(&answers), Finding::Spills(_)));
    answers.alarms.push(alarm(Cause::Relay(r)));
    assert!(matches!(first(&answers), Finding::Stopped(_)));
    let all = verdict(&answers, &answers.loops[0]);
    assert_eq!(all.len(), 10, "{all:?}");
    assert!(all[0].severity() == Severity::Alarm);
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
