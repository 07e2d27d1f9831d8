//! The averaged driver against the exact one where levers are moved.
//!
//! Source of the bounds: as in `two_drivers.rs`. Where a lever stands, tanks fill and empty at other hours than in the line as shipped, and pumps and towers wait
//! for water or not; each position must keep the bounds, or the answer must say that it is not sure.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests; prints what is compared"
)]

use dragback_tests::agree::{outside, settled};
use dragback_tests::shipped::{SHIPPED, case};

/// Positions that are doubted, and everything that lies outside its bound though its position is not, in words.
fn moved(name: &str, path: &str, values: &[&str]) -> (usize, Vec<String>) {
    let (_, text) = SHIPPED.iter().find(|s| s.0 == name).unwrap();
    let (mut doubted, mut found) = (0, vec![]);
    for value in values {
        let settled = settled(&case(text, &[(path, value)]));
        let told = &settled.answers;
        if told.refined {
            found.extend(outside(&format!("{name} {value}"), &settled, false));
        } else {
            println!("{name} {path} {value}: {:?}", told.doubts);
            doubted += 1;
        }
    }
    (doubted, found)
}

/// As [`moved`], where so many positions are doubted and all others keep the bounds.
fn agrees(name: &str, path: &str, values: &[&str], wanted: usize) {
    let (doubted, found) = moved(name, path, values);
    assert!(found.is_empty(), "{} outside: {found:#?}", found.len());
    assert_eq!(doubted, wanted, "{name} {path}");
}

#[test]
fn both_drivers_agree_on_the_demo_with_little_rinse_water() {
    agrees(
        "demo",
        "loop.sections.rinses.flow",
        &["45 L/h", "50 L/h", "55 L/h", "60 L/h", "65 L/h"],
        0,
    );
}

#[test]
fn both_drivers_agree_on_the_demo_with_less_rinse_water() {
    agrees(
        "demo",
        "loop.sections.rinses.flow",
        &["70 L/h", "75 L/h", "80 L/h", "85 L/h", "90 L/h"],
        0,
    );
}

#[test]
fn both_drivers_agree_on_the_demo_with_more_rinse_water() {
    agrees(
        "demo",
        "loop.sections.rinses.flow",
        &["100 L/h", "105 L/h", "110 L/h"],
        0,
    );
}

#[test]
fn both_drivers_agree_on_the_demo_with_other_collection_tanks() {
    agrees(
        "demo",
        "loop.collection.tank.volume",
        &["800 L", "1200 L", "2500 L"],
        0,
    );
}

#[test]
fn both_drivers_agree_on_the_demo_with_other_drag_out() {
    agrees(
        "demo",
        "loop.work.drag_out.film",
        &["0.06 L/m²", "0.09 L/m²", "0.16 L/m²"],
        0,
    );
}

#[test]
fn both_drivers_agree_on_the_demo_at_other_heat() {
    agrees(
        "demo",
        "loop.holding_tank.set_point",
        &["54 °C", "56 °C", "60 °C"],
        0,
    );
}

#[test]
fn both_drivers_agree_on_the_teaching_line_with_other_rinse_water() {
    agrees(
        "teaching",
        "loop.sections.rinses.flow",
        &["6 L/h", "8 L/h", "9 L/h", "11 L/h"],
        0,
    );
}

/// No week of it repeats, which the answer says.
#[test]
fn both_drivers_agree_on_the_warm_bath_at_other_heat() {
    agrees("warm-bath", "loop.bath.set_point", &["45 °C", "50 °C"], 2);
}
