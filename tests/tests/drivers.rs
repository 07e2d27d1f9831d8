//! The exact driver against closed forms, against an outside integrator and against itself.

#![expect(
    clippy::unwrap_used,
    clippy::too_many_lines,
    reason = "helpers of tests; a plant is written out as one list"
)]

use std::cell::RefCell;
use std::sync::Arc;

use diffsol::{NalgebraMat, OdeBuilder, OdeSolverMethod, VectorCommon};
use dragback_plant::control::{Acts, Role, Signal};
use dragback_plant::flows::{Flows, Setting};
use dragback_plant::holdup::Holdups;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::network::{End, Gate, HeatLaw, Law, Pace, Source};
use dragback_plant::{Plant, TowerCache};
use dragback_run::World;
use dragback_run::clock::{Clock, Hours};
use dragback_run::exact::ExactOptions;
use dragback_run::settle::constant_rate;
use dragback_tests::read::{DAY_S, WEEK_S, relative, run_exact, temp_c};
use dragback_tests::sample::{self, Sample};
use dragback_tests::{Sketch, Tank, TowerSize, plant};

fn ends_only(relative: f64) -> ExactOptions {
    ExactOptions {
        sample_s: f64::INFINITY,
        relative,
        ..ExactOptions::default()
    }
}

/// A line without one switch, all the time: a bath at its brim and two rinses at their weirs, a tower over a hot tank that a coil heats, that a matched feed
/// refills and that the bath runs over into, impurities that come and go.
fn without_switches() -> Sketch {
    let mut s = Sketch::new(&["metal", "sulfate", "impurity"]);
    let bath = s.tank(
        "bath",
        &Tank::full(2.0, 45.0, &[60.0, 100.0, 1.0])
            .open()
            .walls(20.0),
    );
    let first = s.tank("rinse 1", &Tank::full(0.5, 14.0, &[1.0, 1.5, 0.1]).open());
    let last = s.tank("rinse 2", &Tank::full(0.5, 14.0, &[0.1, 0.2, 0.1]).open());
    let hot = s.tank(
        "hot tank",
        &Tank::full(1.5, 40.0, &[30.0, 50.0, 2.0]).open().walls(10.0),
    );
    let tap = s.supply("tap", 15.0, &[0.0, 0.02, 0.03]);
    let drag_out = 2.0e-3 / 3600.0;
    let on_work = s.line_out("on work");
    s.film("film 0", bath, End::Vessel(first), drag_out);
    s.film("film 1", first, End::Vessel(last), drag_out);
    s.film("film 2", last, End::Account(on_work), drag_out);
    s.overflow("overflow 2", last, End::Vessel(first));
    let treatment = s.line_out("to treatment");
    s.overflow("overflow 1", first, End::Account(treatment));
    s.feed("rinse feed", tap, last, 40.0e-3 / 3600.0);
    let fresh = s.supply("fresh solution", 20.0, &[40.0, 70.0, 0.0]);
    s.feed("make-up", fresh, bath, 12.0e-3 / 3600.0);
    let size = TowerSize {
        air_m3_per_s: 0.2,
        feed_m3_per_s: 1.0e-3,
        ntu: 1.5,
        carry_over: 1e-5,
    };
    let tower = s.tower("tower", hot, &size, &[]);
    s.overflow("overflow of bath", bath, End::Vessel(hot));
    s.overflow("overflow of hot tank", hot, End::Account(treatment));
    let give_back = Law::Fixed {
        flow_m3_per_s: 0.026 / 3600.0,
    };
    s.stream("give back", End::Vessel(hot), End::Vessel(bath), give_back);
    let line = s.line_in("matched");
    s.stream(
        "matched",
        End::Supply(tap, line),
        End::Vessel(hot),
        Law::Matched {
            max_m3_per_s: 1.0e-3,
            share: 1.0,
            towers: vec![tower],
            surfaces: vec![hot],
            less: vec![],
            plus: vec![],
        },
    );
    s.heat(
        "coil",
        hot,
        HeatLaw::Coil {
            ua_w_per_k: 500.0,
            supply_c: 95.0,
            cap_w: 60_000.0,
        },
        Gate::default(),
    );
    s.heat(
        "bath heater",
        bath,
        HeatLaw::Hold {
            set_c: 48.0,
            power_w: 25_000.0,
        },
        Gate::default(),
    );
    let (soil, purified) = (s.line_in("work"), s.line_out("purified"));
    let source = |name: &str, solutes_kg, pace, account| Source {
        name: name.into(),
        vessel: bath,
        water_kg: 0.0,
        solutes_kg,
        pace,
        gate: Gate::default(),
        account,
    };
    let impurity = SoluteId(2);
    s.net
        .sources
        .push(source("soil", vec![(impurity, 2.0e-6)], Pace::Steady, soil));
    s.net.sources.push(source(
        "purification",
        vec![(impurity, 1.0e-6)],
        Pace::FirstOrder,
        purified,
    ));
    s
}

/// The plant's own rates handed to diffsol's explicit Tsitouras pair (no roots, no state changes, so that its traps
/// with stale slopes and simultaneous roots do not arise; what it returns is checked to be finite).
fn by_diffsol(plant: &Arc<Plant>, world: &World, until_s: f64) -> Vec<f64> {
    type M = NalgebraMat<f64>;
    let setting = Setting {
        by_hand: Vec::new(),
        full: world.setting.full.clone(),
        relax_s: 60.0,
        ..world.setting.clone()
    };
    let n = plant.network().vessels.len();
    let scratch = RefCell::new((Holdups::sized(n), Flows::sized(plant)));
    let rates = |y: &[f64], dy: &mut [f64]| {
        let (now, flows) = &mut *scratch.borrow_mut();
        now.refresh(plant, y);
        now.refresh_activity(plant, y);
        flows.evaluate(plant, now, &setting);
        plant.accumulate(y, now, flows, &setting, dy);
    };
    let start = world.y.clone();
    let scale: Vec<f64> = start.iter().map(|y| 1e-10 * y.abs().max(1e-3)).collect();
    let problem = OdeBuilder::<M>::new()
        .t0(world.t_s)
        .rtol(1e-9)
        .atol(scale)
        .rhs(|x, _, _, dx| rates(x, dx))
        .init(|_, _, y| y.copy_from_slice(&start), start.len())
        .build()
        .unwrap();
    let mut solver = problem.tsit45().unwrap();
    solver.set_stop_time(until_s).unwrap();
    while solver.state().t < until_s {
        solver.step().unwrap();
    }
    let y = solver.state().y.inner().as_slice().to_vec();
    assert!(y.iter().all(|x| x.is_finite()));
    y
}

/// Largest relative difference of what the tanks hold, against what matters in that tank, and where.
fn difference(plant: &Plant, got: &[f64], want: &[f64]) -> (f64, usize) {
    let layout = plant.layout();
    let len = layout.block_len();
    let mut worst = (0.0, 0);
    for (i, (a, b)) in got.iter().zip(want).take(layout.state_len()).enumerate() {
        let full = plant.network().vessels[i / len].full_m3;
        let floor = match i % len {
            0 => 1000.0 * full,
            1 => 4.2e7 * full,
            // One milligram per litre of the full tank.
            _ => 1.0e-3 * full,
        };
        let error = (a - b).abs() / b.abs().max(floor);
        // What is no number is the worst of all and stays it.
        if error.is_nan() || error > worst.0 {
            worst = (error, i);
        }
    }
    worst
}

/// Source: diffsol 0.18 (Tsitouras 5(4) pair at rtol 1e-9) on the same right-hand side.
#[test]
fn exact_driver_agrees_with_diffsol() {
    let plant = without_switches().plant();
    let mut world = World::new(Arc::clone(&plant), TowerCache::default());
    // The first seconds set the flags of full tanks; both start from there.
    run_exact(&mut world, 1.0, &ends_only(1e-6));
    let outside = by_diffsol(&plant, &world, 2.0 * DAY_S);
    let mut fine = world.clone();
    run_exact(&mut world, 2.0 * DAY_S, &ends_only(1e-6));
    run_exact(&mut fine, 2.0 * DAY_S, &ends_only(1e-9));
    let (coarse_error, at) = difference(&plant, &world.y, &outside);
    let (fine_error, fine_at) = difference(&plant, &fine.y, &outside);
    let name = |i| dragback_run::exact::name_entry(&plant, i);
    println!(
        "1e-6: {coarse_error:.1e} in {}, 1e-9: {fine_error:.1e} in {}",
        name(at),
        name(fine_at)
    );
    assert!(coarse_error < 1e-5, "{coarse_error:.1e} in {}", name(at));
    assert!(fine_error < 1e-6, "{fine_error:.1e} in {}", name(fine_at));
}

/// Source: both drivers' own right-hand sides; a state at rest does not depend on how time is stepped.
#[test]
fn constant_rate_states_of_both_drivers_agree() {
    let mut world = without_switches().world();
    let clock = Clock {
        hours: Hours::AlwaysOpen,
        ..Clock::default()
    };
    let settled = constant_rate(&world, clock, &mut |_| true).unwrap();
    let options = ExactOptions {
        clock,
        ..ends_only(1e-9)
    };
    run_exact(&mut world, 600.0 * DAY_S, &options);
    let before = world.y.clone();
    run_exact(&mut world, 610.0 * DAY_S, &options);
    let (moving, _) = difference(&world.plant, &before, &world.y);
    assert!(
        moving < 1e-8,
        "the exact run must have come to rest: {moving:.1e}"
    );
    let (error, at) = difference(&world.plant, &settled.world.y, &world.y);
    println!(
        "{error:.1e} in {}",
        dragback_run::exact::name_entry(&world.plant, at)
    );
    assert!(
        error < 1e-6,
        "{error:.1e} in {}",
        dragback_run::exact::name_entry(&world.plant, at)
    );
}

/// Two tanks that exchange liquid and lose nothing, an impurity brought into the first, and purification in either.
///
/// Source: hand derivation. At rest what is brought is what is removed, `s = k1·m1 + k2·m2`, and the exchange carries the difference, `q·(c1 − c2) = k2·m2`.
#[test]
fn purification_holds_an_impurity_that_nothing_else_removes() {
    let (v1, v2, q, brought) = (2.0, 1.0, 20.0e-3 / 3600.0, 3.0e-7);
    for (k1, k2) in [
        (4.0e-7, 0.0),
        (0.0, 2.0e-6),
        (1.0e-5, 3.0e-5),
        (2.0e-3, 0.0),
    ] {
        let mut s = Sketch::new(&["metal", "impurity"]);
        // It takes no room, so that the volumes stay what they are.
        s.net.solutes[1].apparent_volume_m3_per_kg = 0.0;
        let first = s.tank(
            "bath",
            &Tank::full(2.0 * v1, 20.0, &[60.0, 0.5]).filled(0.5),
        );
        let second = s.tank(
            "side tank",
            &Tank::full(2.0 * v2, 20.0, &[60.0, 0.2]).filled(0.5),
        );
        let exchange = || Law::Fixed { flow_m3_per_s: q };
        s.stream(
            "to side tank",
            End::Vessel(first),
            End::Vessel(second),
            exchange(),
        );
        s.stream(
            "to bath",
            End::Vessel(second),
            End::Vessel(first),
            exchange(),
        );
        let (soil, purified) = (s.line_in("work"), s.line_out("purified"));
        let mut source = |name: &str, vessel, rate: f64, pace, account| {
            s.net.sources.push(Source {
                name: name.into(),
                vessel,
                water_kg: 0.0,
                solutes_kg: vec![(SoluteId(1), rate)],
                pace,
                gate: Gate::default(),
                account,
            });
        };
        source("soil", first, brought, Pace::Steady, soil);
        for (vessel, k) in [(first, k1), (second, k2)] {
            if k > 0.0 {
                source("purification", vessel, k, Pace::FirstOrder, purified);
            }
        }
        // c1 = c2·(1 + k2·v2/q), and k1·v1·c1 + k2·v2·c2 = brought.
        let ratio = 1.0 + k2 * v2 / q;
        let c2 = brought / (k1 * v1 * ratio + k2 * v2);
        let settled = constant_rate(
            &s.world(),
            Clock {
                hours: Hours::AlwaysOpen,
                ..Clock::default()
            },
            &mut |_| true,
        );
        let settled = settled.unwrap();
        let creeping: Vec<_> = settled
            .creeping
            .iter()
            .filter(|(s, _)| *s == SoluteId(1))
            .collect();
        assert!(creeping.is_empty(), "k1 {k1}, k2 {k2}: {creeping:?}");
        let got = |v| dragback_tests::read::concentration(&settled.world, v, SoluteId(1));
        let (g1, g2) = (got(first), got(second));
        println!("k1 {k1} k2 {k2}: {g1} for {}, {g2} for {c2}", c2 * ratio);
        assert!(
            relative(g1, c2 * ratio) < 1e-5 && relative(g2, c2) < 1e-5,
            "{g1} {g2}"
        );
    }
}

/// A tank of water with a constant power and walls that lose heat, and an alarm at `goal_c`.
fn kettle(volume: f64, power_w: f64, wall_w_per_k: f64, goal_c: f64) -> World {
    let mut s = Sketch::new(&["metal"]);
    let tank = s.tank(
        "tank",
        &Tank::full(1.2 * volume, 20.0, &[])
            .filled(1.0 / 1.2)
            .walls(wall_w_per_k),
    );
    s.heat(
        "elements",
        tank,
        HeatLaw::Power { power_w },
        Gate::default(),
    );
    let band = (goal_c - 1.0, goal_c);
    s.relay(
        "warm",
        Signal::Temperature(tank),
        band,
        Acts::Above,
        Role::Alarm,
    );
    s.world()
}

/// Source: hand derivation, M·cp·dT/dt = P − UA·(T − Ta), so t = (M·cp/UA)·ln[(P − UA(T1 − Ta))/(P − UA(T2 − Ta))]; cp is the model's constant
/// 4,186 J/kg·K. The switch must be located within a second.
#[test]
fn warm_up_follows_its_closed_form() {
    for (volume, power, ua, goal) in [
        (1.0, 11_500.0, 40.0, 60.0),
        (2.5, 40_000.0, 120.0, 58.0),
        (0.3, 3_000.0, 5.0, 45.0),
    ] {
        let mut world = kettle(volume, power, ua, goal);
        let mass = world.y[world.plant.layout().vessel(VesselId(0))];
        let room = 20.0;
        let time = mass * 4186.0 / ua * (power / (power - ua * (goal - room))).ln();
        run_exact(&mut world, 1.5 * time, &ends_only(1e-6));
        let reached = world.alarms.first().expect("the goal is reached").t_s;
        println!(
            "{:.3} h, located {:+.3} s off",
            time / 3600.0,
            reached - time
        );
        assert!((reached - time).abs() < 1.0, "{reached} s for {time} s");
        let rise = power / ua * (1.0 - (-ua * 1.5 * time / (mass * 4186.0)).exp());
        assert!(relative(temp_c(&world, VesselId(0)) - room, rise) < 1e-5);
    }
}

/// Source: 1,000 L of water from 20 to 60 °C in 4 h without loss takes 11.5 kW (hand derivation: 990 kg, the density of the mean
/// temperature, times 4.18 kJ/(kg·K) times 40 K over 14,400 s). The model holds 998.2 kg of 4.186 kJ/(kg·K), so 11.6 kW.
#[test]
fn a_tank_without_losses_warms_up_in_the_time_worked_out_by_hand() {
    let mut world = kettle(1.0, 11_500.0, 0.0, 60.0);
    run_exact(&mut world, 5.0 * 3600.0, &ends_only(1e-6));
    let hours = world.alarms.first().expect("the goal is reached").t_s / 3600.0;
    assert!(relative(hours, 4.0) < 0.02, "{hours} h");
}

/// Rates over a span, per vessel and account, as the difference of the vectors.
fn gains(before: &[f64], after: &[f64]) -> Vec<f64> {
    before.iter().zip(after).map(|(a, b)| b - a).collect()
}

/// Source: the driver against itself with every step half as long: the error estimate of a step goes with its cube, so an eighth of the tolerance asks for half the
/// step, and the longest step is halved too.
///
/// A loop that switches is compared on sums and counts, not at an instant. Allowed is 1e-4 of a sum, a hundred times the tolerance of a step. Additions come in
/// lumps, and which lump came last is a matter of phase; what they bring less what the tanks hold more at the end is not, so that is compared.
#[test]
fn halving_the_step_changes_sums_by_little() {
    let (net, places) = sample::network(&Sample::default());
    let plant = plant(net);
    let places = &places[0];
    let run = |options: &ExactOptions| {
        let mut world = World::new(Arc::clone(&plant), TowerCache::default());
        let start = world.y.clone();
        let outcome = run_exact(&mut world, 26.0 * WEEK_S, options);
        (
            gains(&start, &world.y),
            world.switches.clone(),
            outcome.statistics,
        )
    };
    let whole = ends_only(1e-6);
    let halved = ExactOptions {
        relative: whole.relative / 8.0,
        longest_s: 0.5 * whole.longest_s,
        ..whole.clone()
    };
    let (coarse, coarse_counts, coarse_cost) = run(&whole);
    let (fine, fine_counts, fine_cost) = run(&halved);
    println!("{coarse_cost:?} {fine_cost:?}");
    let (most, least) = (fine_cost.steps, coarse_cost.steps);
    assert!(
        most as f64 > 1.5 * least as f64,
        "{most} steps for {least}: not halved"
    );
    let layout = plant.layout();
    let of_line = |name: &str, j: usize| {
        let lines = &plant.network().accounts;
        let at = lines.iter().position(|a| a.name == name).unwrap();
        layout.account(dragback_plant::ids::AccountId(at)) + j
    };
    let (heat, metal) = (Layout::ENTHALPY, layout.solute(SoluteId(0)));
    let added = of_line("additions", metal);
    let figures = [
        ("tower, kg", layout.tower_water(places.tower)),
        ("bath surface, kg", layout.surface_water(places.bath)),
        ("transfer, m³", layout.moved(places.transfer)),
        ("return, m³", layout.moved(places.give_back)),
        ("lost metal, kg", of_line("on work", metal)),
        ("added metal less held, kg", added),
        ("heat, J", of_line("heaters", heat)),
    ];
    let sum = |gained: &[f64], at: usize| {
        let vessels = (0..plant.network().vessels.len()).map(VesselId);
        let held: f64 = vessels.map(|v| gained[layout.vessel(v) + metal]).sum();
        // What comes in is counted as negative.
        gained[at] + if at == added { held } else { 0.0 }
    };
    for (name, at) in figures {
        let (a, b) = (sum(&coarse, at), sum(&fine, at));
        println!("{name}: {a:.6e} {b:.6e} {:.1e}", relative(a, b));
        assert!(b.abs() > 0.0, "{name} must happen at all");
        assert!(relative(a, b) < 1e-4, "{name}: {a} against {b}");
    }
    for (i, (a, b)) in coarse_counts.iter().zip(&fine_counts).enumerate() {
        let name = &plant.network().relays[i].name;
        println!("{name}: {a} {b}");
        assert!(
            a.abs_diff(*b) <= 2 + b / 100,
            "{name} switched {a} times, {b} with finer steps"
        );
    }
}

fn bytes(world: &World) -> Vec<u64> {
    let numbers = world
        .y
        .iter()
        .chain([&world.t_s])
        .chain(&world.next_analysis_s);
    let alarms = world.alarms.iter().map(|a| a.t_s);
    let relays = world.relays.iter().map(|r| if r.on { 1.0 } else { 0.0 });
    numbers
        .copied()
        .chain(alarms)
        .chain(relays)
        .map(f64::to_bits)
        .collect()
}

/// A world that is saved and taken up again runs on as if nothing had happened (DEVELOPERS, what the drivers promise).
#[test]
fn a_saved_world_runs_on_to_the_same_bytes() {
    let (net, _) = sample::network(&Sample::default());
    let plant = plant(net);
    let options = ExactOptions::default();
    let mut world = World::new(plant, TowerCache::default());
    run_exact(&mut world, 9.3 * DAY_S, &options);
    let saved = world.clone();
    run_exact(&mut world, 20.0 * DAY_S, &options);
    let mut taken_up = saved.clone();
    run_exact(&mut taken_up, 20.0 * DAY_S, &options);
    assert_eq!(bytes(&world), bytes(&taken_up));
    // The same for the averaged driver.
    let options = dragback_run::preview::PreviewOptions::default();
    let (mut a, mut b) = (saved.clone(), saved);
    dragback_tests::read::run_preview(&mut a, 20.0 * DAY_S, &options);
    dragback_tests::read::run_preview(&mut b, 20.0 * DAY_S, &options);
    assert_eq!(bytes(&a), bytes(&b));
}

/// Source: the same promise, with several runs at a time.
#[test]
fn runs_give_the_same_bytes_on_any_number_of_threads() {
    let (net, _) = sample::network(&Sample::default());
    let plant = plant(net);
    let run = |plant: &Arc<Plant>| {
        let mut world = World::new(Arc::clone(plant), TowerCache::default());
        let outcome = run_exact(&mut world, 14.0 * DAY_S, &ExactOptions::default());
        let times: Vec<u64> = outcome
            .trace
            .times_s()
            .iter()
            .map(|t| t.to_bits())
            .collect();
        (bytes(&world), times)
    };
    let alone = run(&plant);
    let together: Vec<_> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..4).map(|_| scope.spawn(|| run(&plant))).collect();
        threads.into_iter().map(|t| t.join().unwrap()).collect()
    });
    for other in together {
        assert!(alone == other, "two runs of one plant differ");
    }
}
