//! What heaters give and coolers take: the figures of the loops against the ledger of the same week.
//!
//! Source: hand derivation. Every heater is either an evaporation heater or a bath's own, and every cooler is a bath's, so the figures of all loops times the
//! hours of the span are the ledger's lines.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use dragback_study::{Answers, Case, Depth, Driver, LedgerAnswer, Way, run_span, settled_answers};
use dragback_tests::read::WEEK_S;
use dragback_tests::shipped::{CLOCK, SHIPPED, case};

/// The settled week and a week of each driver.
fn weeks(case: &Case) -> Vec<(&'static str, Answers)> {
    let settled = settled_answers(case, CLOCK.air, CLOCK.hours, Depth::Quick, &mut |_| true);
    let ran = |driver| {
        let span = run_span(case, WEEK_S, driver, CLOCK, &mut |_| true);
        span.unwrap().answers()
    };
    vec![
        ("settled", settled.unwrap().answers),
        ("averaged", ran(Driver::Preview)),
        ("exact", ran(Driver::Exact)),
    ]
}

/// A line of the energy ledger, kWh; nothing when it carried nothing.
fn line(answers: &Answers, name: &str, side: Way) -> f64 {
    let LedgerAnswer::Energy { lines, .. } = &answers.ledger["energy"] else {
        return f64::NAN;
    };
    let mine = lines.iter().filter(|l| l.name == name);
    let mut sum = 0.0;
    for l in mine {
        assert_eq!(l.side, side, "{name}");
        sum += l.kwh;
    }
    sum
}

#[test]
fn heating_and_cooling_are_told_as_the_ledger_books_them() {
    for (name, text) in SHIPPED {
        for (by, answers) in weeks(&case(text, &[])) {
            let loops = answers.loops.iter();
            let heat_kw: f64 = loops
                .map(|l| l.heater_mean_kw + l.bath_heater_mean_kw.unwrap_or(0.0))
                .sum();
            let cool_kw: f64 = answers.loops.iter().map(|l| l.bath_cooler_mean_kw).sum();
            let booked = [
                (heat_kw, line(&answers, "heaters", Way::In)),
                (cool_kw, line(&answers, "coolers", Way::Out)),
            ];
            for (kw, kwh) in booked {
                let told_kwh = kw * answers.span_h;
                assert!(
                    (told_kwh - kwh).abs() <= 1e-9 * kwh.abs().max(1.0),
                    "{name} {by}: {told_kwh} kWh by the figures, {kwh} kWh booked"
                );
            }
            assert!(heat_kw > 0.1, "{name} {by}: nothing heats");
        }
    }
}

/// The bath's heater is told in one place: with the evaporation heaters where it is one of them, else apart.
#[test]
fn a_bath_heater_is_told_once() {
    let apart = ["demo", "zinc-barrel", "teaching"];
    for (name, text) in SHIPPED {
        let answers = weeks(&case(text, &[])).remove(0).1;
        let told = answers.loops[0].bath_heater_mean_kw;
        assert_eq!(told.is_some(), apart.contains(&name), "{name}: {told:?}");
    }
}

/// A batch of cold make-up cools the bath by less than the gap between heater and cooler, so that in a bath that its current warms all day no heater
/// works. Without a gap they would work against each other.
#[test]
fn heater_and_cooler_do_not_work_against_each_other() {
    let zinc = SHIPPED[3].1;
    let heats_kw = |gap: &str| {
        let weeks = weeks(&case(zinc, &[("zinc.bath.cooler_offset", gap)]));
        weeks.last().unwrap().1.loops[0]
            .bath_heater_mean_kw
            .unwrap()
    };
    let (with, without) = (heats_kw("0.5 K"), heats_kw("0 K"));
    assert!(with < 0.02, "{with} kW");
    assert!(without > 0.1, "{without} kW");
}
