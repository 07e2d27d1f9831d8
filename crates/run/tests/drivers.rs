//! The two drivers on a small loop built by hand.

mod common;

use common::*;
use dragback_plant::TowerCache;
use dragback_plant::ids::*;
use dragback_run::World;
use dragback_run::clock::Clock;
use dragback_run::exact::{self, ExactOptions};
use dragback_run::preview::{self, PreviewOptions};
use dragback_run::settle::settle;

const DAY: f64 = 86_400.0;

fn world(s: &Sample) -> World {
    World::new(plant(s), TowerCache::default())
}

fn show(w: &World) {
    for (i, v) in w.plant.network().vessels.iter().enumerate() {
        let (vol, t, _) = w.plant.holdup(VesselId(i), &w.y);
        let c: Vec<f64> = (0..3)
            .map(|s| {
                w.plant
                    .concentration(VesselId(i), SoluteId(s), &w.y)
                    .unwrap()
            })
            .collect();
        println!("  {:16} V {:7.4} T {:6.2} c {:?}", v.name, vol, t, c);
    }
}

#[test]
fn both_drivers_run_a_month_and_close_their_books() {
    let s = Sample::default();
    let mut a = world(&s);
    let t = std::time::Instant::now();
    let out = exact::run(&mut a, 28.0 * DAY, &ExactOptions::default(), &mut |_| true).unwrap();
    println!("exact {:?} {:?}", t.elapsed(), out.statistics);
    show(&a);
    for e in &out.ledger.entries {
        println!(
            "  {:8} in {:12.4e} out {:12.4e} held {:12.4e} err {:.1e}",
            e.name, e.in_total, e.out_total, e.held_change, e.closure_error
        );
    }
    println!("{:?} {:?}", a.alarms, a.switches);
    let mut b = world(&s);
    let t = std::time::Instant::now();
    let out = preview::run(&mut b, 28.0 * DAY, &PreviewOptions::default(), &mut |_| {
        true
    })
    .unwrap();
    println!("preview {:?} {:?}", t.elapsed(), out.statistics);
    show(&b);
    for e in &out.ledger.entries {
        println!(
            "  {:8} in {:12.4e} out {:12.4e} held {:12.4e} err {:.1e}",
            e.name, e.in_total, e.out_total, e.held_change, e.closure_error
        );
    }
    println!("{:?}", b.alarms);
    let t = std::time::Instant::now();
    let settled = settle(&world(&s), Clock::default(), &mut |_| true).unwrap();
    println!(
        "settled {:?} weeks {} change {:.1e} creeping {:?}",
        t.elapsed(),
        settled.weeks,
        settled.change,
        settled.creeping
    );
    show(&settled.world);
    assert!(out.ledger.closes());
}
