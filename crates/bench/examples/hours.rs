use dragback_plant::TowerCache;
use dragback_plant::ids::VesselId;
use dragback_run::exact::{self, ExactOptions};
use dragback_study::*;
use std::sync::Arc;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let text = std::fs::read_to_string(&a[1]).unwrap();
    let (scenario, _) = dragback_scenario::load(&text);
    let cache = TowerCache::default();
    let case = Arc::new(Case::new(Arc::new(scenario.unwrap()), &cache).unwrap());
    let air = dragback_plant::climate::AirChoice::Mean;
    let found =
        settled_answers(&case, air, Default::default(), Depth::Quick, &mut |_| true).unwrap();
    for v in &found.answers.vessels {
        println!("{} {:.3}", v.name, v.volume_l);
    }
    let plant = &case.plant;
    let v = plant
        .network()
        .vessels
        .iter()
        .position(|v| v.name.contains(&a[2]))
        .unwrap();
    let s = found.settled;
    let mut p = vec![(0.0, 0.0); 84];
    let mut add = |acc: &mut Vec<(f64, f64)>, t0: f64, t1: f64, a: f64, b: f64| {
        let n = 8;
        for k in 0..n {
            let x = (k as f64 + 0.5) / n as f64;
            let t = (t0 + (t1 - t0) * x) % 604800.0;
            let i = (t / 7200.0) as usize % 84;
            acc[i].0 += (a + (b - a) * x) * (t1 - t0);
            acc[i].1 += t1 - t0;
        }
    };
    let tr = &s.trace;
    let m = |tr: &dragback_run::Trace,
             acc: &mut Vec<(f64, f64)>,
             add: &mut dyn FnMut(&mut Vec<(f64, f64)>, f64, f64, f64, f64)| {
        for i in 1..tr.len() {
            let f = |y: &[f64]| {
                let (vol, t, _) = plant.holdup(VesselId(v), y);
                if a.len() > 3 { t } else { vol * 1e3 }
            };
            add(
                acc,
                tr.times_s()[i - 1],
                tr.times_s()[i],
                f(tr.row(i - 1)),
                f(tr.row(i)),
            );
        }
    };
    m(tr, &mut p, &mut add);
    let mut w = s.world.clone();
    w.t_s = 0.0;
    let mut e = vec![(0.0, 0.0); 84];
    let o = exact::run(
        &mut w,
        40.0 * 604800.0,
        &ExactOptions {
            clock: dragback_study::Clock {
                air,
                ..Default::default()
            },
            sample_s: 900.0,
            ..Default::default()
        },
        &mut |_| true,
    )
    .unwrap();
    if std::env::var("RAW").is_ok() {
        for i in 2000..2060 {
            let (vol, t, _) = plant.holdup(VesselId(v), o.trace.row(i));
            println!(
                "{:.2} {:.1} {:.2}",
                o.trace.times_s()[i] / 3600.0,
                vol * 1e3,
                t
            );
        }
    }
    m(&o.trace, &mut e, &mut add);
    let (mut sp, mut se) = (0.0, 0.0);
    for i in 0..84 {
        let (x, y) = (p[i].0 / p[i].1, e[i].0 / e[i].1);
        sp += x;
        se += y;
        print!("{:3}h {:7.1} {:7.1}   ", i * 2, x, y);
        if i % 4 == 3 {
            println!();
        }
    }
    println!("mean {} {}", sp / 84.0, se / 84.0);
}
