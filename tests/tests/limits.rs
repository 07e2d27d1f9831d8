//! What a run says of limits: salts that come out, alarms that stand through a settled week, tanks that dry up, air that a tower cannot take.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests; prints what was told"
)]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::calendar::{Calendar, HOUR_S};
use dragback_plant::climate::{AirChoice, Climate};
use dragback_plant::control::{Acts, Role, Signal};
use dragback_plant::ids::{CalendarId, ClimateId, SoluteId, VesselId};
use dragback_plant::network::{End, Gate, HeatLaw, Law, Saturation, SolutionModel};
use dragback_properties::solubility::Saturations;
use dragback_properties::{species, water};
use dragback_run::clock::Clock;
use dragback_run::exact::{self, ExactOptions};
use dragback_run::preview::{self, PreviewOptions};
use dragback_run::settle::settle;
use dragback_run::{Alarm, RunError, World};
use dragback_scenario::load;
use dragback_study::{Case, Depth, Driver, Hours, run_span, settled_answers};
use dragback_tests::read::{DAY_S, WEEK_S, concentration, relative, temp_c};
use dragback_tests::{Sketch, Tank, TowerSize};

/// Solubility of boric acid alone.
struct BoricAcid(Saturations);

impl SolutionModel for BoricAcid {
    fn activity(&self, _: &[f64]) -> f64 {
        1.0
    }

    fn nearest_saturation(&self, kg_per_kg_water: &[f64], temp_c: f64) -> Option<Saturation> {
        let first = self.0.first(kg_per_kg_water, temp_c)?;
        Some(Saturation {
            salt: first.curve.name,
            index: first.index,
        })
    }
}

fn boric_acid_line() -> Sketch {
    let mut s = Sketch::new(&["B"]);
    let list = [species::builtin("B").unwrap().clone()];
    s.net.activity = Arc::new(BoricAcid(Saturations::compile(&list)));
    s
}

/// Holds a tank at 55 °C in the hours of a calendar, or around the clock.
fn heated(s: &mut Sketch, vessel: VesselId, calendar: Option<CalendarId>) {
    let law = HeatLaw::Hold {
        set_c: 55.0,
        power_w: 20_000.0,
    };
    let gate = Gate {
        device: None,
        calendar,
    };
    s.heat("heater", vessel, law, gate);
}

fn run(world: &mut World, until_s: f64, driver: Driver) -> Result<(), RunError> {
    let watch = &mut |_: f64| true;
    match driver {
        Driver::Exact => exact::run(world, until_s, &ExactOptions::default(), watch).map(|_| ()),
        Driver::Preview => {
            preview::run(world, until_s, &PreviewOptions::default(), watch).map(|_| ())
        }
    }
}

/// The same line in both drivers, and what each told of salts.
fn told(line: impl Fn() -> Sketch, until_s: f64) -> [(World, Vec<Alarm>); 2] {
    [Driver::Exact, Driver::Preview].map(|driver| {
        let mut world = line().world();
        run(&mut world, until_s, driver).unwrap();
        let alarms = world
            .alarms
            .iter()
            .filter(|a| a.words().contains("crystals"));
        let alarms: Vec<Alarm> = alarms.cloned().collect();
        println!("{driver:?}: {alarms:?}");
        (world, alarms)
    })
}

/// 70 g of boric acid in a kilogram of water are more than stays dissolved at 20 °C (50 g, CRC Handbook, 98th ed.) and less than at 30 °C: warming helps.
#[test]
fn boric_acid_that_has_come_out_is_to_be_warmed_or_thinned() {
    let line = || {
        let mut s = boric_acid_line();
        s.tank("bath", &Tank::full(1.0, 20.0, &[68.0]));
        s
    };
    for (_, alarms) in told(line, DAY_S) {
        let cure = "; warm it or thin it with water";
        assert!(alarms[0].words().ends_with(cure), "{}", alarms[0].words());
    }
}

/// Boric acid of a bath that nothing heats: 58 kg in a cubic metre at 55 °C leave room for (1 − 58·2e-4)·985.7 = 974.3 kg of water, so
/// 59.5 g/kg. At the room's 20 °C 4.77 % by mass stay dissolved (CRC Handbook, 98th ed.), 50.1 g/kg: 119 %. At its own 55 °C
/// that would be 11.6 %, 131 g/kg: no alarm. It is told once in a month, not at each step.
#[test]
fn boric_acid_that_the_weekend_would_bring_out_is_told_once() {
    let line = || {
        let mut s = boric_acid_line();
        s.tank("bath", &Tank::full(1.0, 55.0, &[58.0]).walls(0.1));
        s
    };
    for (world, alarms) in told(line, 4.0 * WEEK_S) {
        assert_eq!(alarms.len(), 1);
        assert_eq!(alarms[0].device, "bath");
        assert!(alarms[0].t_s < 6.0 * HOUR_S, "{}", alarms[0].t_s);
        let start =
            "bath holds 119 % of the boric acid that stays dissolved at 20 °C; crystals would form";
        assert!(
            alarms[0].words().starts_with(start),
            "{}",
            alarms[0].words()
        );
        assert!(temp_c(&world, VesselId(0)) > 45.0);
    }
}

/// Whoever keeps it warm through the weekend has no crystals; with a heater that rests they come.
#[test]
fn a_tank_kept_warm_around_the_clock_does_not_cool_with_the_shop() {
    for (shuts, count) in [(false, 0), (true, 1)] {
        let line = || {
            let mut s = boric_acid_line();
            let bath = s.tank("bath", &Tank::full(1.0, 55.0, &[58.0]).walls(1.0));
            let calendar = shuts.then(|| {
                s.net.calendars.push(Calendar {
                    name: "week days".to_owned(),
                    windows_s: vec![(0.0, 5.0 * DAY_S)],
                    shutdowns_s: vec![],
                });
                CalendarId(1)
            });
            heated(&mut s, bath, calendar);
            s
        };
        for (world, alarms) in told(line, 3.0 * WEEK_S) {
            assert_eq!(alarms.len(), count, "{alarms:?}");
            assert_eq!(world.plant.is_kept_warm(VesselId(0)), !shuts);
        }
    }
}

/// A tank that dries: the alarm comes when the boric acid per water passes 11.6 % by mass, 131 g/kg (CRC, between 10.3 % at 50 °C and 12.9 % at
/// 60 °C), within the six hours between two looks, and once. A little below 0.98 it is forgotten, so that it may come again.
#[test]
fn a_tank_that_passes_saturation_at_its_own_temperature_is_told_once() {
    let line = || {
        let mut s = boric_acid_line();
        let bath = s.tank("bath", &Tank::full(1.0, 55.0, &[100.0]).open());
        heated(&mut s, bath, None);
        s
    };
    let saturated = 0.116 / (1.0 - 0.116);
    for (driver, (end, alarms)) in [Driver::Exact, Driver::Preview]
        .into_iter()
        .zip(told(line, 9.0 * DAY_S))
    {
        assert_eq!(alarms.len(), 1);
        let ratio = |world: &World| world.y[2] / world.y[0];
        assert!(ratio(&end) > 1.1 * saturated);
        let mut world = line().world();
        run(&mut world, alarms[0].t_s - 6.0 * HOUR_S, driver).unwrap();
        assert!(ratio(&world) < saturated, "{}", ratio(&world));
        run(&mut world, alarms[0].t_s, driver).unwrap();
        assert!(ratio(&world) >= 0.999 * saturated, "{}", ratio(&world));
        // Diluted, it recovers without a word; once more too strong, it is told again.
        let saturated_kg = world.y[2] / saturated;
        for (water_kg, recovered, count) in [
            (0.99 * saturated_kg, false, 1),
            (saturated_kg / 0.99, false, 1),
            (saturated_kg / 0.97, true, 1),
            (saturated_kg / 0.99, true, 1),
            (0.99 * saturated_kg, false, 2),
        ] {
            world.y[1] *= (world.y[2] * 200.0 + water_kg * water::CP_WATER)
                / (world.y[2] * 200.0 + world.y[0] * water::CP_WATER);
            world.y[0] = water_kg;
            world.saturation_due_s = world.t_s;
            world.note_saturation();
            assert_eq!(world.saturated[0].now, !recovered);
            let alarms = world
                .alarms
                .iter()
                .filter(|a| a.words().contains("crystals"));
            assert_eq!(alarms.count(), count);
        }
    }
}

/// The shipped scenarios: what each tank holds of the salt that would come out first.
#[test]
fn scenarios_tell_their_nearest_salt() {
    let demo = include_str!("../../scenarios/demo.ron");
    let scenario = load(demo).0.unwrap();
    let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
    let y = case.plant.initial();
    // Hand derivation: the water of a litre of bath carries its 40 g of boric acid; 4.77 % by mass stay dissolved at 20 °C.
    let b = case
        .plant
        .network()
        .solutes
        .iter()
        .position(|s| s.name == "B");
    let (b, bath) = (SoluteId(b.unwrap()), case.plant.network().loops[0].bath);
    let layout = case.plant.layout();
    let block = &y[layout.vessel(bath)..][..layout.block_len()];
    let want = block[layout.solute(b)] / block[0] * (100.0 - 4.77) / 4.77;
    let got = case.plant.nearest_saturation(bath, &y, 20.0).unwrap();
    println!("{got:?}");
    assert_eq!(got.salt, "boric acid");
    assert!(relative(got.index, want) < 1e-12, "{} {want}", got.index);
    assert!(concentration(&case.world(), bath, b) > 39.9);
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    let told = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
    let tank = |name: &str| {
        told.answers
            .vessels
            .iter()
            .find(|v| v.name == name)
            .unwrap()
    };
    let salt = tank("bath").nearest_salt.clone().unwrap();
    println!("{salt:?}");
    // Kept warm around the clock: its own temperature counts.
    assert!((salt.at_c - 55.0).abs() < 1.0, "{}", salt.at_c);
    assert!((0.1..0.7).contains(&salt.saturation_fraction));
    // A rinse tank cools with the shop, by whose mean it is judged.
    let rinse = tank("rinses 3").nearest_salt.clone().unwrap();
    let room_c = case.plant.network().climates[0].mean().temp_c;
    assert!(rinse.at_c <= room_c + 1e-9, "{} {room_c}", rinse.at_c);
    assert!(rinse.saturation_fraction < 0.01);
}

/// A tank that spills without end, one that stands at its outlet, and an alarm that stands on: all of them are news of a settled week, each once.
#[test]
fn what_stands_on_through_a_settled_week_is_told() {
    let mut s = Sketch::new(&["metal"]);
    let full = s.tank("overfed tank", &Tank::full(1.0, 20.0, &[1.0]));
    s.tank("empty tank", &Tank::full(1.0, 20.0, &[1.0]).filled(0.02));
    s.tank("calm tank", &Tank::full(1.0, 20.0, &[1.0]).filled(0.5));
    let tap = s.supply("tap", 20.0, &[0.1]);
    s.feed("feed", tap, full, 1.0e-5);
    let spilled = s.line_out("spilled");
    s.net.spill_account = Some(spilled);
    s.overflow("spill", full, End::Account(spilled));
    let band = (0.9, 1.5);
    let alarm = s.relay(
        "level alarm",
        Signal::Level(full),
        band,
        Acts::Above,
        Role::Alarm,
    );
    s.net.relays[alarm.index()].latches = true;
    s.net.relays[alarm.index()].upper = 0.95;
    let settled = settle(&s.world(), Clock::default(), &mut |_| true).unwrap();
    let words: Vec<String> = settled.world.alarms.iter().map(Alarm::words).collect();
    println!("{words:?}");
    assert_eq!(
        words,
        [
            "level alarm stands on, at 1.000 m",
            "overfed tank spills over its brim",
            "empty tank ran down to its outlet",
        ]
    );
    let monday_s = settled.trace.times_s()[0];
    assert!(settled.world.alarms.iter().all(|a| a.t_s >= monday_s));
}

/// A matched feed brings the kilograms that evaporate: cold water from a supply at its own density, liquid from a tank at that of water as
/// warm as the tank.
#[test]
fn a_matched_feed_brings_the_kilograms_that_evaporate() {
    for from_tank in [false, true] {
        let mut s = Sketch::new(&["metal"]);
        let hot = s.tank(
            "hot tank",
            &Tank::full(2.0, 55.0, &[20.0]).filled(0.5).open(),
        );
        heated(&mut s, hot, None);
        let store = s.tank("store", &Tank::full(2.0, 20.0, &[0.0]));
        let tap = s.supply("tap", 15.0, &[0.0]);
        let line = s.line_in("feed");
        let from = if from_tank {
            End::Vessel(store)
        } else {
            End::Supply(tap, line)
        };
        let law = Law::Matched {
            max_m3_per_s: 1.0,
            share: 1.0,
            towers: vec![],
            surfaces: vec![hot],
            less: vec![],
            plus: vec![],
        };
        let feed = s.stream("feed", from, End::Vessel(hot), law);
        let mut world = s.world();
        let water_kg = world.y[0];
        for driver in [Driver::Exact, Driver::Preview] {
            let until_s = world.t_s + DAY_S;
            run(&mut world, until_s, driver).unwrap();
            let layout = world.plant.layout();
            let fed_kg_per_m3 = water::density_kg_per_m3(if from_tank { 20.0 } else { 15.0 });
            let fed_kg = world.y[layout.moved(feed)] * fed_kg_per_m3;
            let evaporated_kg = world.y[layout.surface_water(hot)];
            println!("{driver:?}: {fed_kg} fed, {evaporated_kg} evaporated");
            assert!(evaporated_kg > 30.0);
            assert!(relative(fed_kg, evaporated_kg) < 1e-9);
            assert!(relative(world.y[0], water_kg) < 1e-9, "{}", world.y[0]);
        }
    }
}

/// Salt of −1500 J/kg·K (as apparent heat capacities of chlorides and sulfates are) outweighs the warmth of the last water: 300 kg of it nine
/// tenths of 4184 J/kg·K in 120 kg of water. No number is shown of such a paste.
#[test]
fn a_bath_that_dries_up_to_a_paste_stops_the_run() {
    for driver in [Driver::Exact, Driver::Preview] {
        let mut s = Sketch::new(&["salt"]);
        s.net.solutes[0].heat_capacity_j_per_kg_k = -1500.0;
        let bath = s.tank("bath", &Tank::full(1.0, 55.0, &[300.0]).open());
        heated(&mut s, bath, None);
        let mut world = s.world();
        let stopped = run(&mut world, 60.0 * DAY_S, driver).unwrap_err();
        println!("{driver:?}: {stopped}");
        assert!(
            matches!(&stopped, RunError::Contents { vessel, what, .. }
                if vessel == "bath" && what.contains("paste")),
            "{stopped}"
        );
        let water_kg = world.y[0];
        let want_kg = 300.0 * 1500.0 / (0.9 * water::CP_WATER);
        assert!(
            (water_kg / want_kg - 1.0).abs() < 0.15,
            "{water_kg} {want_kg}"
        );
    }
}

/// Air that the tower cannot be worked out in, in one month of the year: whoever runs into that month is told, by its name.
#[test]
fn a_month_whose_air_no_tower_takes_stops_the_run() {
    for driver in [Driver::Exact, Driver::Preview] {
        let mut s = Sketch::new(&["metal"]);
        let hot = s.tank("hot tank", &Tank::full(8.0, 55.0, &[20.0]));
        heated(&mut s, hot, None);
        let size = TowerSize {
            air_m3_per_s: 0.2,
            feed_m3_per_s: 1.0e-3,
            ntu: 1.5,
            carry_over: 0.0,
        };
        let tap = s.supply("tap", 15.0, &[0.0]);
        s.feed("feed", tap, hot, 1.0e-5);
        let spilled = s.line_out("to treatment");
        s.overflow("overflow", hot, End::Account(spilled));
        let tower = s.tower("tower", hot, &size, &[]);
        let room = s.net.climates[0].months[0];
        let mut months = vec![room; 12];
        months[1].temp_c = 300.0;
        s.net.climates.push(Climate {
            name: "attic".to_owned(),
            months,
            start_month: 0,
        });
        s.net.towers[tower.index()].climate = ClimateId(1);
        let mut world = s.world();
        run(&mut world, 20.0 * DAY_S, driver).unwrap();
        let stopped = run(&mut world, 60.0 * DAY_S, driver).unwrap_err();
        println!("{driver:?}: {stopped}");
        assert!(
            matches!(&stopped, RunError::Tower { tower, air: "February", .. } if tower == "tower"),
            "{stopped}"
        );
    }
}

/// No shipped scenario raises an alarm about a salt, settled or in the exact driver over eight weeks.
#[test]
fn shipped_scenarios_keep_their_salts_dissolved() {
    let shipped = [
        include_str!("../../scenarios/demo.ron"),
        include_str!("../../scenarios/demo-before.ron"),
        include_str!("../../scenarios/chromium.ron"),
        include_str!("../../scenarios/zinc-barrel.ron"),
        include_str!("../../scenarios/warm-bath.ron"),
        include_str!("../../scenarios/teaching.ron"),
    ];
    let cache = TowerCache::default();
    let mut raised = vec![];
    for text in shipped {
        let case = Case::new(Arc::new(load(text).0.unwrap()), &cache).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let settled = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        println!("{}", settled.answers.scenario);
        for v in &settled.answers.vessels {
            println!("  {}: {:?}", v.name, v.nearest_salt);
        }
        let words = |a: &Alarm| a.words();
        println!(
            "  settled {:?}",
            settled
                .settled
                .world
                .alarms
                .iter()
                .map(words)
                .collect::<Vec<_>>()
        );
        raised.extend(settled.settled.world.alarms.iter().map(words));
        let ran = run_span(
            &case,
            8.0 * WEEK_S,
            Driver::Exact,
            Clock::default(),
            &mut |_| true,
        );
        let ran = ran.unwrap();
        println!(
            "  ran {:?}",
            ran.alarms.iter().map(words).collect::<Vec<_>>()
        );
        raised.extend(ran.alarms.iter().map(words));
    }
    assert!(raised.is_empty(), "{raised:#?}");
}
