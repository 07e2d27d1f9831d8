//! Rinsing against closed forms, through the whole network.
//!
//! The bath must keep a strength that is known exactly. It is flushed with liquid of its own composition at its own temperature,
//! and sheds the surplus over its brim: nothing that enters it or leaves it changes its strength, however much film the work carries away.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::ids::{AccountId, SoluteId, SupplyId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{Account, End, Gate, Law, Side, Supply, Transfer};
use dragback_plant::{Plant, TowerCache};
use dragback_run::World;
use dragback_run::clock::{Clock, Hours};
use dragback_run::exact::ExactOptions;
use dragback_run::settle::{Settled, constant_rate};
use dragback_scenario::{load, lower};
use dragback_tests::read::{concentration, relative, run_exact, volume_m3};
use dragback_tests::rinse::{
    counterflow_stage, recovery_fraction, still_rinse_build_up_continuous, still_rinse_with_return,
};
use dragback_tests::{Sketch, Tank};
use nalgebra::{DMatrix, DVector};

const METAL: SoluteId = SoluteId(0);
const BATH: VesselId = VesselId(0);
/// Bath strength, kg/m³.
const C0: f64 = 75.0;
/// Drag-out, m³/s: 1 L/h.
const DRAG_OUT: f64 = 1.0e-3 / 3600.0;
/// One temperature everywhere, that of the room, °C.
const TEMP_C: f64 = 20.0;

/// A bath of constant strength.
fn constant_bath(sketch: &mut Sketch, strength: f64) {
    let bath = sketch.tank("bath", &Tank::full(2.0, TEMP_C, &[strength]));
    assert_eq!(bath, BATH);
    let own = sketch.supply("bath liquid", TEMP_C, &[strength]);
    sketch.feed("flush", own, bath, 100.0 * DRAG_OUT);
    let spent = sketch.line_out("flushed");
    sketch.overflow("flushed", bath, End::Account(spent));
}

/// A counterflow rinse of `stages` stages behind a bath of constant strength; `efficiency` of the arriving film is exchanged at every visit.
///
/// A film parcel is followed from the tank it was picked up in to the tank where it is washed off: of what leaves tank j,
/// `(1 − e)^(k−j−1)·e` is washed off in tank k.
fn cascade(stages: usize, drag_out: f64, feed: f64, efficiency: f64, strength: f64) -> World {
    let mut sketch = Sketch::new(&["metal"]);
    constant_bath(&mut sketch, strength);
    let rinses: Vec<VesselId> = (1..=stages)
        .map(|k| sketch.tank(&format!("rinse {k}"), &Tank::full(0.5, TEMP_C, &[0.01])))
        .collect();
    let on_work = sketch.line_out("on work");
    for j in 0..=stages {
        let picked_up = if j == 0 {
            drag_out
        } else {
            efficiency * drag_out
        };
        let mut left = picked_up;
        for k in j + 1..=stages {
            let washed = left * efficiency;
            let name = format!("film {j} to {k}");
            sketch.film(&name, VesselId(j), End::Vessel(VesselId(k)), washed);
            left -= washed;
        }
        if left > 0.0 {
            sketch.film(
                &format!("film {j} out"),
                VesselId(j),
                End::Account(on_work),
                left,
            );
        }
    }
    let tap = sketch.supply("tap", TEMP_C, &[]);
    sketch.feed("rinse feed", tap, rinses[stages - 1], feed);
    for k in (1..stages).rev() {
        sketch.overflow(
            &format!("overflow {}", k + 1),
            rinses[k],
            End::Vessel(rinses[k - 1]),
        );
    }
    let recovered = sketch.line_out("recovered");
    sketch.overflow("overflow 1", rinses[0], End::Account(recovered));
    sketch.world()
}

fn count(stages: usize) -> u32 {
    u32::try_from(stages).unwrap()
}

fn steady(world: &World) -> Settled {
    let clock = Clock {
        hours: Hours::AlwaysOpen,
        ..Clock::default()
    };
    constant_rate(world, clock, &mut |_| true).unwrap()
}

/// Source: mass balance of n ideal stages with equal films and clean feed, c0/cn = 1 + r + … + r^n and
/// c0/ck = (1 + … + r^n)/(1 + … + r^(n−k)) (hand derivation; textbook result).
#[test]
fn counterflow_series_at_every_stage() {
    let mut worst = (0.0, 0, 0.0);
    for stages in 1..=5 {
        for r in [1.0, 1.5, 2.0, 5.0, 10.0, 20.0, 31.6, 50.0, 100.0] {
            let settled = steady(&cascade(stages, DRAG_OUT, r * DRAG_OUT, 1.0, C0));
            let bath = concentration(&settled.world, BATH, METAL);
            assert!(
                relative(bath, C0) < 1e-12,
                "the bath must keep its strength, {bath}"
            );
            for k in 1..=stages {
                let want = C0 * counterflow_stage(r, count(stages), count(k));
                let got = concentration(&settled.world, VesselId(k), METAL);
                let error = relative(got, want);
                assert!(
                    error < 1e-6,
                    "{stages} stages, r = {r}, stage {k}: {got} for {want}"
                );
                if error > worst.0 {
                    worst = (error, stages, r);
                }
            }
        }
    }
    println!(
        "worst relative error {:.1e} at {} stages and r = {}",
        worst.0, worst.1, worst.2
    );
}

/// Concentrations of stages 1 … n and of the film that leaves each, over the bath's, from the balances written down anew:
/// film k carries `e·c_k + (1 − e)·film_{k−1}`, and stage k receives film k − 1 and the overflow of k + 1, gives film k and its own overflow.
fn stages_by_matrix(stages: usize, r: f64, e: f64) -> (Vec<f64>, Vec<f64>) {
    // Unknowns: c_1 … c_n, then f_1 … f_n; f_0 = 1 is known.
    let n = stages;
    let mut a = DMatrix::zeros(2 * n, 2 * n);
    let mut b = DVector::zeros(2 * n);
    for k in 0..n {
        // Stage balance, in units of the drag-out: f_{k-1} + r·c_{k+1} − f_k − r·c_k = 0.
        a[(k, n + k)] = 1.0;
        a[(k, k)] = r;
        if k + 1 < n {
            a[(k, k + 1)] = -r;
        }
        // Film: f_k − e·c_k − (1 − e)·f_{k-1} = 0.
        a[(n + k, n + k)] = 1.0;
        a[(n + k, k)] = -e;
        if k == 0 {
            b[k] = 1.0;
            b[n + k] = 1.0 - e;
        } else {
            a[(k, n + k - 1)] = -1.0;
            a[(n + k, n + k - 1)] = -(1.0 - e);
        }
    }
    let x = a.lu().solve(&b).unwrap();
    (
        x.rows(0, n).iter().copied().collect(),
        x.rows(n, n).iter().copied().collect(),
    )
}

/// Source: hand derivation (the two balances above); the network follows film parcels instead.
#[test]
fn stages_that_exchange_seven_tenths_of_the_film() {
    let e = 0.7;
    let mut worst = 0.0_f64;
    for stages in 1..=5 {
        for r in [1.0, 3.0, 10.0, 30.0, 100.0] {
            let (tanks, films) = stages_by_matrix(stages, r, e);
            let settled = steady(&cascade(stages, DRAG_OUT, r * DRAG_OUT, e, C0));
            let got: Vec<f64> = (0..=stages)
                .map(|k| concentration(&settled.world, VesselId(k), METAL))
                .collect();
            for k in 1..=stages {
                worst = worst.max(relative(got[k], C0 * tanks[k - 1]));
            }
            let last = leaving_film(stages, e, &got);
            worst = worst.max(relative(last, C0 * films[stages - 1]));
            assert!(
                worst < 1e-6,
                "{stages} stages, r = {r}: {got:?} for {tanks:?}"
            );
        }
    }
    println!("worst relative error {worst:.1e}");
}

/// Film that leaves the last of `stages` stages, from parcels picked up in each tank.
fn leaving_film(stages: usize, e: f64, tanks: &[f64]) -> f64 {
    let parcel = |j: usize| {
        let picked_up = if j == 0 { 1.0 } else { e };
        picked_up * (1.0 - e).powi(i32::try_from(stages - j).unwrap())
    };
    (0..=stages).map(|j| parcel(j) * tanks[j]).sum()
}

/// The same from a scenario, as people write it: the route says how much of the film a visit replaces, and the program follows it to its parcels. Every tank is
/// covered and as warm as the room; the bath is flushed with liquid of its own, as above.
fn written(stages: usize, r: f64, efficiency: &str) -> (World, VesselId, SoluteId) {
    let text = format!(
        r#"(
    version: 1,
    title: "Rinses alone",
    site: (room: (temperature: "20 °C", relative_humidity: "50 %"), air_speed: "0 m/s"),
    calendars: {{}},
    waters: {{"pure": (temperature: "20 °C", solutes: {{}})}},
    loops: {{
        "loop": (
            lead: "Cu",
            work: (calendar: "always", area_rate: "10 m²/h", drag_out: (film: "0.1 L/m²")),
            bath: (
                tank: (volume: "1000 L", footprint: "1 m²", cover: "100 %"),
                recipe: {{"CuSO4.5H2O": "200 g/L"}},
                set_point: "20 °C",
                heater_power: "1 kW",
                make_up: (water: "pure", flow: "100 L/h"),
            ),
            sections: {{
                "rinses": (
                    stages: {stages},
                    tank: (volume: "100 L", footprint: "0.2 m²", cover: "100 %"),
                    water: "pure",
                    flow: "{r} L/h",
                    feed: continuous,
                    drain: treatment,
                ),
            }},
            route: [(at: "bath"), (at: "rinses", efficiency: "{efficiency}")],
        ),
    }},
)"#
    );
    let (scenario, problems) = load(&text);
    assert!(problems.is_empty(), "{problems:?}");
    let mut net = lower(&scenario.unwrap()).unwrap();
    let (bath, lead) = (net.loops[0].bath, net.loops[0].lead);
    let plant = Plant::new(Arc::new(net.clone()), &TowerCache::default()).unwrap();
    let (start, layout) = (plant.initial(), plant.layout());
    let (volume_m3, temp_c, _) = plant.holdup(bath, &start);
    let share = |place: usize| start[layout.vessel(bath) + place] / volume_m3;
    net.supplies.push(Supply {
        name: "bath liquid".to_owned(),
        temp_c,
        water_kg_per_m3: share(Layout::WATER),
        solute_kg_per_m3: (0..net.solutes.len())
            .map(|s| share(layout.solute(SoluteId(s))))
            .collect(),
    });
    let flushed = AccountId(net.accounts.len());
    net.accounts.push(Account {
        name: "flushed".to_owned(),
        side: Side::In,
    });
    net.transfers.push(Transfer {
        name: "flush".to_owned(),
        from: End::Supply(SupplyId(net.supplies.len() - 1), flushed),
        to: End::Vessel(bath),
        law: Law::Fixed {
            flow_m3_per_s: 1000.0 * DRAG_OUT,
        },
        gate: Gate::default(),
    });
    let plant = Plant::new(Arc::new(net), &TowerCache::default()).unwrap();
    let world = World::new(Arc::new(plant), TowerCache::default());
    (world, bath, lead)
}

/// Source: the two balances of [`stages_by_matrix`].
#[test]
fn a_scenario_whose_stages_exchange_a_part_of_the_film() {
    let mut worst = 0.0_f64;
    for (efficiency, e) in [("100 %", 1.0), ("70 %", 0.7), ("40 %", 0.4)] {
        for stages in 1..=5 {
            for r in [3.0, 20.0] {
                let (world, bath, lead) = written(stages, r, efficiency);
                let settled = steady(&world);
                let (plant, y) = (&settled.world.plant, &settled.world.y);
                let strong = concentration(&settled.world, bath, lead);
                let (tanks, films) = stages_by_matrix(stages, r, e);
                for (k, want) in tanks.iter().enumerate() {
                    let name = format!("rinses {}", k + 1);
                    let named = plant.network().vessels.iter().position(|v| v.name == name);
                    let id = VesselId(named.unwrap_or_else(|| panic!("no {name}")));
                    let got = concentration(&settled.world, id, lead) / strong;
                    worst = worst.max(relative(got, *want));
                }
                let last = plant.film(&plant.network().loops[0].last_film, lead, y);
                worst = worst.max(relative(last / strong, films[stages - 1]));
                assert!(
                    worst < 1e-6,
                    "{stages} stages, r = {r}, e = {e}: {worst:.1e}"
                );
            }
        }
    }
    println!("worst relative error {worst:.1e}");
}

/// Source: "Rinsing with less water" (trade paper, 1977), worked example of a single flowing rinse: 1 gal/h dragged out of a bath of
/// 10 oz/gal nickel into 2,000 gal/h gives 2,001 : 1 and 0.005 oz/gal, 37 mg/L.
#[test]
fn published_single_rinse() {
    let gal_per_h = 3.785_411_784e-3 / 3600.0;
    // 10 oz/gal, avoirdupois ounces per US gallon.
    let bath = 10.0 * 0.028_349_523_125 / 3.785_411_784e-3;
    let settled = steady(&cascade(1, gal_per_h, 2_000.0 * gal_per_h, 1.0, bath));
    let rinse = concentration(&settled.world, VesselId(1), METAL);
    assert!(relative(bath / rinse, 2_001.0) < 1e-6, "{}", bath / rinse);
    let mg_per_l = 1000.0 * rinse;
    assert_eq!(format!("{mg_per_l:.0}"), "37", "printed: 37 mg/L");
    let oz_per_gal = rinse * 3.785_411_784e-3 / 0.028_349_523_125;
    assert_eq!(format!("{oz_per_gal:.3}"), "0.005", "printed: 0.005 oz/gal");
}

/// Share of what the bath loses that comes back when every litre of rinse overflow is recovered: meters of the settled week.
fn recovered_share(stages: usize, r: f64) -> f64 {
    let settled = steady(&cascade(stages, DRAG_OUT, r * DRAG_OUT, 1.0, C0));
    let plant = &settled.world.plant;
    let metal = |name: &str| {
        let layout = plant.layout();
        let line = plant
            .network()
            .accounts
            .iter()
            .position(|a| a.name == name)
            .unwrap();
        let place = layout.account(dragback_plant::ids::AccountId(line)) + layout.solute(METAL);
        settled.world.y[place] - settled.week_start[place]
    };
    metal("recovered") / (metal("recovered") + metal("on work"))
}

/// Source: mass balance, R = 1 − 1/(1 + r + … + r^n) (hand derivation); the five decimals are that formula computed with SciPy 1.17.1.
#[test]
fn recovered_fraction_of_a_recovery_rinse() {
    let table: [(f64, [f64; 4]); 8] = [
        (1.0, [0.500_00, 0.666_67, 0.750_00, 0.800_00]),
        (2.0, [0.666_67, 0.857_14, 0.933_33, 0.967_74]),
        (3.0, [0.750_00, 0.923_08, 0.975_00, 0.991_74]),
        (5.0, [0.833_33, 0.967_74, 0.993_59, 0.998_72]),
        (8.0, [0.888_89, 0.986_30, 0.998_29, 0.999_79]),
        (10.0, [0.909_09, 0.990_99, 0.999_10, 0.999_91]),
        (15.0, [0.937_50, 0.995_85, 0.999_72, 0.999_98]),
        (20.0, [0.952_38, 0.997_62, 0.999_88, 0.999_99]),
    ];
    for (r, row) in table {
        for (stages, printed) in (1..).zip(row) {
            let got = recovered_share(stages, r);
            assert!(
                (got - printed).abs() < 5.1e-6,
                "{stages} stages, r = {r}: {got} for {printed}"
            );
            let lost = 1.0 - recovery_fraction(r, count(stages));
            assert!(
                relative(1.0 - got, lost) < 1e-6,
                "{stages} stages, r = {r}: lost {}",
                1.0 - got
            );
        }
    }
}

/// A still rinse behind a bath of constant strength, pumped back at `back` m³/s and refilled with as much clean water.
fn still_rinse(volume: f64, back: f64) -> World {
    let mut sketch = Sketch::new(&["metal"]);
    constant_bath(&mut sketch, C0);
    let still = sketch.tank("still rinse", &Tank::full(volume, TEMP_C, &[]));
    let on_work = sketch.line_out("on work");
    sketch.film("drag-out", BATH, End::Vessel(still), DRAG_OUT);
    sketch.film("film out", still, End::Account(on_work), DRAG_OUT);
    if back > 0.0 {
        let water = sketch.supply("tap", TEMP_C, &[]);
        sketch.feed("refill", water, still, back);
        let recovered = sketch.line_out("recovered");
        let law = Law::Fixed {
            flow_m3_per_s: back,
        };
        sketch.stream(
            "pumped back",
            End::Vessel(still),
            End::Account(recovered),
            law,
        );
    }
    sketch.world()
}

/// Source: hand derivation, V dc/dt = D·(c0 − c), so c/c0 = 1 − exp(−D·t/V); the percentages are that formula for 1,000 L and 1 L a load, computed with
/// SciPy 1.17.1.
#[test]
fn still_rinse_builds_up() {
    let volume = 1.0;
    let mut world = still_rinse(volume, 0.0);
    let still = VesselId(1);
    let options = ExactOptions {
        sample_s: f64::INFINITY,
        ..ExactOptions::default()
    };
    for (loads, percent) in [
        (10.0, 0.995),
        (100.0, 9.516),
        (500.0, 39.347),
        (1_000.0, 63.212),
        (2_000.0, 86.466),
    ] {
        // One load is one litre, and one litre is dragged out in an hour.
        run_exact(&mut world, loads * 3600.0, &options);
        let got = concentration(&world, still, METAL) / C0;
        let want = still_rinse_build_up_continuous(volume, 1e-3, loads);
        assert!(
            relative(got, want) < 1e-5,
            "after {loads} loads: {got} for {want}"
        );
        assert!(
            (100.0 * got - percent).abs() < 5.5e-4,
            "after {loads} loads: {got} for {percent} %"
        );
    }
    assert!(relative(volume_m3(&world, still), volume) < 1e-9);
}

/// Source: hand derivation, V dc/dt = D·(c0 − c) − F·c: at rest c1/c0 = D/(D + F), recovered F/(D + F), the same as a single flowing rinse with
/// Q = F; on the way c = c1·(1 − exp(−(D + F)·t/V)), and the return carries F·c1·(t − (1 − exp(−kt))/k) with k = (D + F)/V.
#[test]
fn still_rinse_that_is_pumped_back() {
    let (volume, ratio) = (0.8, 4.0);
    let back = ratio * DRAG_OUT;
    let mut world = still_rinse(volume, back);
    let still = VesselId(1);
    let start = world.y.clone();
    let k = (DRAG_OUT + back) / volume;
    let (c1, until) = (C0 * still_rinse_with_return(ratio), 1.3 / k);
    let options = ExactOptions {
        sample_s: f64::INFINITY,
        ..ExactOptions::default()
    };
    run_exact(&mut world, until, &options);
    let want = c1 * (1.0 - (-1.3_f64).exp());
    let got = concentration(&world, still, METAL);
    assert!(relative(got, want) < 1e-5, "{got} for {want}");
    let layout = world.plant.layout().clone();
    let line = world
        .plant
        .network()
        .accounts
        .iter()
        .position(|a| a.name == "recovered")
        .unwrap();
    let place = layout.account(dragback_plant::ids::AccountId(line)) + layout.solute(METAL);
    let carried = back * c1 * (until - (1.0 - (-1.3_f64).exp()) / k);
    let got = world.y[place] - start[place];
    assert!(
        relative(got, carried) < 1e-5,
        "returned {got} kg for {carried} kg"
    );
    let settled = steady(&still_rinse(volume, back));
    let rest = concentration(&settled.world, still, METAL);
    assert!(relative(rest, c1) < 1e-9, "{rest} for {c1}");
}
