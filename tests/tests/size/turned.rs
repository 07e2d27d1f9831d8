//! How far a line as it is still closes, against its margin by hand and settled weeks on either side.

use dragback_plant::TowerCache;
use dragback_scenario::{Air, AirMap, Input, Scenario, set_si};
use dragback_study::balance::runs_over;
use dragback_study::size::{Moved, Reach, reaches};
use dragback_units::Quantity;

use super::{DEMO, SHIPPED, scenario, settled};

/// How far the demo as it is still closes. Its margin of the week (as `settle` tells it) over the share of hours worked, 80 of 168, is how much more may
/// be fed while work runs: film, surfaces and what the tower could evaporate stay what they are. More drag-out with rinse water in the same ratio
/// takes its own share along. At a set point just above the least it closes, just below it does not.
#[test]
fn the_line_as_it_is_closes_that_far() {
    let demo = scenario(DEMO, &[]);
    let cache = TowerCache::default();
    let found = reaches(&demo, "loop", &cache, &mut |_| true).unwrap();
    let margin = |changes: &[(&str, &str)]| {
        let (_, found) = settled(scenario(DEMO, changes), &cache);
        found.answers.loops[0]
            .closure_margin_l_per_h
            .as_ref()
            .unwrap()
            .week
    };
    let at = |moved: Moved| {
        let reach = found.iter().find(|r| r.moved == moved).unwrap();
        (reach.now_si, reach.closes_at_si.unwrap())
    };
    let (now, most) = at(Moved::Rinse);
    let by_hand = 95.0 + margin(&[]) * 168.0 / 80.0;
    assert!((3.6e6 * now - 95.0).abs() < 1e-6);
    assert!(
        (3.6e6 * most / by_hand - 1.0).abs() < 0.02,
        "{} for {by_hand} L/h",
        3.6e6 * most
    );
    let (film, most_film) = at(Moved::DragOut);
    // 95 L/h less 4.8 L/h of drag-out are forced on the loop, and the margin is the same.
    let by_hand = 1.0 + (by_hand - 95.0) / (95.0 - 4.8);
    assert!(
        (most_film / film / by_hand - 1.0).abs() < 0.03,
        "{} for {by_hand}",
        most_film / film
    );
    let (_, least_k) = at(Moved::SetPoint);
    let path = "loop.holding_tank.set_point";
    let near = |by_k: f64| margin(&[(path, &format!("{} °C", least_k - 273.15 + by_k))]);
    assert!(
        near(0.1) >= 0.0 && near(-0.3) < 0.0,
        "{} and {}",
        near(0.1),
        near(-0.3)
    );
    // A line without a tower has nothing to turn round.
    let warm = scenario(SHIPPED[4].0, &[]);
    assert_eq!(reaches(&warm, "loop", &cache, &mut |_| true).unwrap(), []);
}

/// Settled as everybody does, every line with a tower closes just this side of each edge that is told, and not just beyond; so it is with the flow up to which its
/// collection tank holds. An edge is the same from another value now, also from one beyond it.
#[test]
fn edges_are_those_of_settled_weeks_wherever_they_are_asked_from() {
    let cache = TowerCache::default();
    for (text, _) in SHIPPED {
        let as_shipped = scenario(text, &[]);
        let key = as_shipped.loops.keys().next().unwrap();
        if !as_shipped
            .loops
            .get(key)
            .unwrap()
            .towers
            .values()
            .any(|t| t.on)
        {
            continue;
        }
        let state = |path: &str, si: f64| {
            let mut moved = as_shipped.clone();
            set_si(&mut moved, path, si).unwrap();
            let (_, found) = settled(moved, &cache);
            let line = &found.answers.loops[0];
            let margin = line.closure_margin_l_per_h.as_ref().unwrap().week;
            (margin, runs_over(line))
        };
        let found = reaches(&as_shipped, key, &cache, &mut |_| true).unwrap();
        for moved in [Moved::Rinse, Moved::SetPoint] {
            let reach = of(&found, moved);
            let Some(at) = reach.closes_at_si else {
                continue;
            };
            let beyond = match moved {
                Moved::Rinse => [0.995 * at, 1.01 * at],
                _ => [at + 0.1, at - 0.3],
            };
            let [inside, outside] = beyond.map(|si| state(&reach.path, si).0);
            assert!(
                inside >= 0.0 && outside < 0.0,
                "{key} {moved:?}: {inside} and {outside} L/h at {at}"
            );
        }
        let rinse = of(&found, Moved::Rinse);
        if let Some(most) = rinse.holds_to_si {
            assert!(!state(&rinse.path, 0.99 * most).1, "{key}: {most}");
            assert!(state(&rinse.path, 1.03 * most).1, "{key}: {most}");
        }
        for share in [0.7, 1.3] {
            let mut moved = as_shipped.clone();
            set_si(&mut moved, &rinse.path, share * rinse.now_si).unwrap();
            let again = reaches(&moved, key, &cache, &mut |_| true).unwrap();
            let again = of(&again, Moved::Rinse);
            let (Some(a), Some(b)) = (rinse.closes_at_si, again.closes_at_si) else {
                panic!("{key}: {rinse:?} and {again:?}");
            };
            assert!((a / b - 1.0).abs() < 0.01, "{key}: {a} and {b}");
        }
    }
}

/// The collection tank of the demo runs over before the week ceases to close. Where it runs over as it is, less is told; at a flow that nothing holds, nothing is.
#[test]
fn the_flow_at_which_the_collection_tank_runs_over_is_told() {
    let cache = TowerCache::default();
    for (flow, is_over) in [("95 L/h", false), ("128 L/h", true)] {
        let line = scenario(DEMO, &[("loop.sections.rinses.flow", flow)]);
        let found = reaches(&line, "loop", &cache, &mut |_| true).unwrap();
        for moved in [Moved::Rinse, Moved::DragOut] {
            let reach = of(&found, moved);
            assert!(reach.holds_to_si.unwrap() < reach.closes_at_si.unwrap());
            assert_eq!(reach.holds_now, Some(!is_over), "{reach:?}");
        }
        let rinse = of(&found, Moved::Rinse);
        assert_eq!(rinse.holds_to_si.unwrap() < rinse.now_si, is_over);
        let set_point = of(&found, Moved::SetPoint);
        assert_eq!((set_point.holds_to_si, set_point.holds_now), (None, None));
    }
    let flood = scenario(DEMO, &[("loop.sections.rinses.flow", "2500 L/h")]);
    let found = reaches(&flood, "loop", &cache, &mut |_| true).unwrap();
    let rinse = of(&found, Moved::Rinse);
    assert_eq!((rinse.holds_to_si, rinse.holds_now), (None, Some(false)));
}

fn of(found: &[Reach], moved: Moved) -> &Reach {
    found.iter().find(|r| r.moved == moved).unwrap()
}

fn margin(scenario: Scenario) -> f64 {
    let (_, found) = settled(scenario, &TowerCache::default());
    let margin = found.answers.loops[0].closure_margin_l_per_h.as_ref();
    margin.unwrap().week
}

/// A line with the same air all year closes just at the air that is told; a little damper or warmer it does not. With different air in each month the mean
/// of temperature and humidity ratio counts, told as a temperature and a relative humidity.
#[test]
fn the_room_air_that_is_needed_is_told() {
    let tight = [("loop.sections.rinses.flow", "129 L/h")];
    let demo = scenario(DEMO, &tight);
    let found = reaches(&demo, "loop", &TowerCache::default(), &mut |_| true).unwrap();
    let humidity = of(&found, Moved::AirHumidity);
    let temperature = of(&found, Moved::AirTemperature);
    assert_eq!(humidity.path, "site.room");
    let (damp, warm) = (
        humidity.closes_at_si.unwrap(),
        temperature.closes_at_si.unwrap(),
    );
    assert!(damp > humidity.now_si && warm > temperature.now_si);
    let with = |temp_k: f64, share: f64| {
        let mut changed = demo.clone();
        changed.site.room = AirMap::All(Box::new(Air {
            temperature: Input::new(Quantity::from_si(temp_k)),
            relative_humidity: Input::new(Quantity::from_si(share)),
            notes: None,
        }));
        margin(changed)
    };
    let (now_k, now) = (temperature.now_si, humidity.now_si);
    assert!((with(now_k, now) - margin(demo.clone())).abs() < 1e-6);
    assert!(with(now_k, damp) >= 0.0 && with(now_k, damp + 0.02) < 0.0);
    assert!(with(warm, now) >= 0.0 && with(warm + 1.0, now) < 0.0);
    // As shipped no air that is looked at ends it, and that is told.
    let demo = scenario(DEMO, &[]);
    let found = reaches(&demo, "loop", &TowerCache::default(), &mut |_| true).unwrap();
    let humidity = of(&found, Moved::AirHumidity);
    assert_eq!(
        (humidity.closes_at_si, humidity.closes_now),
        (None, Some(true))
    );
    let dampest = with_humidity(&demo, humidity.looked_at_si[1]);
    assert!(margin(dampest) > 0.0);
    // The zinc line's tower draws its air from outdoors.
    let zinc = scenario(SHIPPED[5].0, &[]);
    let found = reaches(&zinc, "zinc", &TowerCache::default(), &mut |_| true).unwrap();
    let air = of(&found, Moved::AirTemperature);
    assert_eq!(air.path, "site.outside");
    assert!(air.closes_at_si.unwrap() > air.now_si);
}

/// The demo in its mean temperature with another humidity.
fn with_humidity(demo: &Scenario, share: f64) -> Scenario {
    let mut changed = demo.clone();
    let states = demo.site.room.states();
    let mean_k = states.iter().map(|s| s.temperature.si()).sum::<f64>() / 12.0;
    changed.site.room = AirMap::All(Box::new(Air {
        temperature: Input::new(Quantity::from_si(mean_k)),
        relative_humidity: Input::new(Quantity::from_si(share)),
        notes: None,
    }));
    changed
}

/// A line that does not close is told the values at which it would.
#[test]
fn a_line_that_does_not_close_is_told_what_it_needs() {
    let short = scenario(DEMO, &[("loop.sections.rinses.flow", "150 L/h")]);
    assert!(margin(short.clone()) < 0.0);
    let found = reaches(&short, "loop", &TowerCache::default(), &mut |_| true).unwrap();
    for reach in &found {
        assert_eq!(reach.closes_now, Some(false), "{:?}", reach.moved);
    }
    let rinse = of(&found, Moved::Rinse);
    let most = 3.6e6 * rinse.closes_at_si.unwrap();
    assert!((125.0..140.0).contains(&most), "{most} L/h");
    let set = of(&found, Moved::SetPoint);
    assert!(set.closes_at_si.unwrap() > set.now_si, "{set:?}");
}
