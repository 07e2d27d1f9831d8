//! The prices of the one after count for both: its tariff, its calendar of cheaper hours, and what it heats baths with.

use dragback_scenario::{HeatFrom, Prices};

use super::*;

/// The cost of a year before, by name, of those lines that are energy.
fn energy_before(payback: &Payback) -> Vec<(String, f64)> {
    let kinds = [
        CostKind::Electricity,
        CostKind::Demand,
        CostKind::Fuel,
        CostKind::WarmAir,
        CostKind::Cooling,
    ];
    let lines = payback.lines.iter().filter(|l| kinds.contains(&l.kind));
    lines.map(|l| (l.name.clone(), l.before)).collect()
}

/// A line before that tells only its own people, fees and equipment costs as much in energy as one that has the whole tariff, and so does one that has another.
#[test]
fn the_line_before_is_billed_by_the_tariff_of_the_one_after() {
    let (before, after) = (plan(BEFORE, &[]), plan(DEMO, &[]));
    let wanted = energy_before(&Payback::of(&before, &after).unwrap());
    let of = |name: &str| wanted.iter().find(|(n, _)| n == name).unwrap().1;
    assert!(of("electricity in cheaper hours") > 1000.0, "{wanted:?}");
    let mut own = scenario(BEFORE, &[]);
    let prices = own.prices.take().unwrap();
    own.prices = Some(Prices {
        labour: prices.labour.clone(),
        yearly: prices.yearly.clone(),
        capital: prices.capital.clone(),
        ..bare_prices()
    });
    let own = settled(own).0;
    assert_eq!(
        energy_before(&Payback::of(&own, &after).unwrap()),
        wanted,
        "own people and fees alone"
    );
    // Its own cheaper hours are not those of the bill either, nor is its own heat.
    let mut other = scenario(BEFORE, &[]);
    let prices = other.prices.as_mut().unwrap();
    prices.bath_heat = HeatFrom::Fuel;
    let electricity = prices.electricity.as_mut().unwrap();
    electricity.off_peak_calendar = Some("shifts".to_owned());
    let other = settled(other).0;
    assert_eq!(
        energy_before(&Payback::of(&other, &after).unwrap()),
        wanted,
        "another tariff before"
    );
}

/// Prices of which nothing is given.
fn bare_prices() -> Prices {
    let text = TEACHING.replacen(
        "solutes: {\"Cu\": \"10 EUR/kg\"}, notes: \"Invented.\"",
        "",
        1,
    );
    scenario(&text, &[]).prices.unwrap()
}

/// Where the one after heats baths by fuel, the bath before takes fuel too: what its heater gives leaves the electricity and is bought as heat.
#[test]
fn both_baths_are_heated_by_what_the_one_after_heats_with() {
    let (before, answers) = settled(scenario(BEFORE, &[]));
    let electric = plan(DEMO, &[]);
    let by_fuel = plan(DEMO, &[("prices.bath_heat", "fuel")]);
    let (was, is) = (
        energy_before(&Payback::of(&before, &electric).unwrap()),
        energy_before(&Payback::of(&before, &by_fuel).unwrap()),
    );
    let of = |all: &[(String, f64)], name: &str| {
        all.iter().find(|(n, _)| n == name).map_or(0.0, |(_, x)| *x)
    };
    assert_eq!(of(&was, "steam or hot water"), 0.0);
    // The line has no other heater. 0.07 EUR/kWh, of which 88 % arrives.
    let heat_kwh = 8760.0 * answers.loops[0].heater_mean_kw;
    let fuel = of(&is, "steam or hot water");
    near(
        fuel,
        heat_kwh / 0.88 * 0.07,
        1e-9,
        "fuel of the bath before",
    );
    // As many kilowatt-hours leave the electricity, at its two rates.
    let rates = [
        ("electricity", 0.105),
        ("electricity in cheaper hours", 0.080),
    ];
    let gone = rates.map(|(name, rate)| (of(&was, name) - of(&is, name)) / rate);
    near(
        gone[0] + gone[1],
        heat_kwh,
        1e-9,
        "electricity of the bath before",
    );
    // A price alone says it: nothing is settled anew.
    let moved = repriced(&electric, |s| {
        s.prices.as_mut().unwrap().bath_heat = HeatFrom::Fuel;
    });
    assert_eq!(
        Payback::of(&before, &moved).unwrap(),
        Payback::of(&before, &by_fuel).unwrap()
    );
}
