//! A feed that a conductivity opens, summed up by hand.

use dragback_plant::control::Signal;
use dragback_run::exact::ExactOptions;
use dragback_study::Depth;
use dragback_tests::read::{WEEK_S, concentration, run_exact};

use super::{case, named, settled, within};

/// The valve of the chromium line's final rinse opens where its conductivity says, and the film on the work is within its limit by then.
///
/// Source: hand derivation, κ = f·(κ_w + Σ c·λ/M), µS/cm, c in mg/L, λ at 25 °C in S·cm²/mol (the species table).
/// Water: 2 mg/L Na at 50.08/22.99, 1.5 Cl at 76.31/35.45, 3 HCO3 at 44.5/61.02: 4.36 + 3.23 + 2.19 = 9.8.
/// CrO3 as H⁺ and HCrO4⁻: 389.65/99.99 = 3.897. With each mg of it come, of the bath, 0.0110 mg Cr(III), 0.0038 Fe, 0.00021 H and
/// 0.0098 SO4 at 3.87, 1.93, 347 and 1.67: 0.043 + 0.007 + 0.073 + 0.016 = 0.14.
/// Ionic strength at 21 mg/L of CrO3, mmol/L: CrO3 0.21 as a 1:1 electrolyte, water 0.09, Cr(III) 0.020, Fe, H and SO4 0.009, in all 0.33, root of
/// it in mol/L 0.018; charges that meet 1.09 · 1.01, so k = 0.66, and f = 1/(1 + 0.66·0.018) = 0.988, rounded to 0.99.
#[test]
fn the_chromium_rinse_opens_at_its_limit() {
    let case = case(named("chromium"));
    let mut world = settled(&case, Depth::Quick).settled.world;
    let net = case.plant.network();
    let relays = net.relays.iter();
    let feed = relays
        .enumerate()
        .find(|(_, r)| matches!(r.signal, Signal::Conductivity(_)));
    let (valve, relay) = feed.unwrap();
    let tank = relay.signal.vessel();
    let line = &net.loops[0];
    let limit = 1e3 * line.final_limit_kg_per_m3.unwrap();
    let opens_us = 1e4 * relay.upper;
    let by_hand = (opens_us / 0.99 - 9.8) / (3.897 + 0.14);
    let options = ExactOptions {
        sample_s: f64::INFINITY,
        ..ExactOptions::default()
    };
    let mut opened = 0;
    let end_s = world.t_s + 3.0 * WEEK_S;
    while world.t_s < end_s {
        let was_open = world.relays[valve].on;
        let until = world.t_s + 60.0;
        run_exact(&mut world, until, &options);
        if was_open || !world.relays[valve].on {
            continue;
        }
        opened += 1;
        let in_tank = 1e3 * concentration(&world, tank, line.lead);
        let film = 1e3 * world.plant.film(&line.last_film, line.lead, &world.y);
        // Rounding by hand: the factor's 0.002 is 0.05 mg/L, the water's 0.1 µS/cm 0.02, what goes along 0.005 of 4.04 is 0.03; a minute's rise is 0.01.
        assert!(
            (in_tank - by_hand).abs() <= 0.11,
            "{in_tank} mg/L for {by_hand}"
        );
        // Opened at its limit: not above it, and no more than a tenth below it, which would be water wasted.
        within(
            "film when the valve opens, mg/L",
            film,
            (0.9 * limit, limit),
        );
        println!(
            "{:.2} h: {in_tank:.2} mg/L in the tank, {by_hand:.2} by hand, {film:.2} on the work",
            world.t_s / 3600.0
        );
    }
    println!("opens at {opens_us}, {opened} times");
    // Once on each of 15 working days.
    assert!(opened >= 10, "opened {opened} times");
}
