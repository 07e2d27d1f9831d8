#[path = "../tests/common/mod.rs"]
mod common;
use common::*;
use dragback_plant::TowerCache;
use dragback_run::{
    World,
    clock::Clock,
    exact::{self, ExactOptions},
    preview::{self, PreviewOptions},
    settle::settle,
};
use std::time::Instant;
fn main() {
    let s = Sample::default();
    let p = plant(&s);
    let w = || World::new(p.clone(), TowerCache::default());
    let day = 86400.0;
    for _ in 0..(if std::env::args().nth(1).is_some() {
        100
    } else {
        3
    }) {
        let mut a = w();
        let t = Instant::now();
        let o = preview::run(&mut a, 90.0 * day, &PreviewOptions::default(), &mut |_| {
            true
        })
        .unwrap();
        println!(
            "preview 90 d {:?} steps {}",
            t.elapsed(),
            o.statistics.steps
        );
        let mut a = w();
        let t = Instant::now();
        let o = preview::run(&mut a, 365.0 * day, &PreviewOptions::default(), &mut |_| {
            true
        })
        .unwrap();
        println!(
            "preview 1 y {:?} steps {} MB {}",
            t.elapsed(),
            o.statistics.steps,
            o.trace.bytes() as f64 / 1e6
        );
        if std::env::args().nth(1).is_some() {
            continue;
        }
        let mut a = w();
        let t = Instant::now();
        let o = exact::run(&mut a, 7.0 * day, &ExactOptions::default(), &mut |_| true).unwrap();
        println!("exact 7 d {:?} {:?}", t.elapsed(), o.statistics);
        let mut a = w();
        let t = Instant::now();
        let o = exact::run(
            &mut a,
            365.0 * day,
            &ExactOptions {
                sample_s: 3600.0,
                ..Default::default()
            },
            &mut |_| true,
        )
        .unwrap();
        println!("exact 1 y {:?} {:?}", t.elapsed(), o.statistics);
        let t = Instant::now();
        let o = settle(&w(), Clock::default(), &mut |_| true).unwrap();
        println!("settle {:?} weeks {}", t.elapsed(), o.weeks);
    }
}
