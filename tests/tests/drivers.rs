//! The exact driver against an outside integrator and against itself.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::cell::RefCell;
use std::sync::Arc;

use diffsol::{NalgebraMat, OdeBuilder, OdeSolverMethod, VectorCommon};
use dragback_plant::flows::{Flows, Setting};
use dragback_plant::holdup::Holdups;
use dragback_plant::ids::{SoluteId, VesselId};
use dragback_plant::layout::Layout;
use dragback_plant::{Plant, TowerCache};
use dragback_run::World;
use dragback_run::exact::ExactOptions;
use dragback_tests::read::{DAY_S, WEEK_S, difference, ends_only, relative, run_exact};
use dragback_tests::sample::{self, Sample};
use dragback_tests::{plant, steady};

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

/// Source: diffsol 0.18 (Tsitouras 5(4) pair at rtol 1e-9) on the same right-hand side.
#[test]
fn exact_driver_agrees_with_diffsol() {
    let plant = steady::without_switches().plant();
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
