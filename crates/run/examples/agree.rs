#[path = "../tests/common/mod.rs"]
mod common;
use common::*;
use dragback_plant::{TowerCache, ids::*};
use dragback_run::{
    World,
    exact::{self, ExactOptions},
    preview::{self, PreviewOptions},
};
fn main() {
    let mut s = Sample::default();
    if let Some(kw) = std::env::args().nth(1) {
        s.heater_w = kw.parse::<f64>().unwrap() * 1000.0;
    }
    if let Some(f) = std::env::args().nth(2) {
        s.feed_m3_per_s = f.parse::<f64>().unwrap() / 3.6e6;
    }
    let p = plant(&s);
    let week = 604800.0;
    let mut rows = vec![];
    for exact in [true, false] {
        let mut w = World::new(p.clone(), TowerCache::default());
        let mut run = |w: &mut World, until: f64| -> dragback_run::Trace {
            if exact {
                exact::run(
                    w,
                    until,
                    &ExactOptions {
                        sample_s: 3600.0,
                        ..Default::default()
                    },
                    &mut |_| true,
                )
                .unwrap()
                .trace
            } else {
                preview::run(w, until, &PreviewOptions::default(), &mut |_| true)
                    .unwrap()
                    .trace
            }
        };
        run(&mut w, 20.0 * week);
        let t = run(&mut w, 70.0 * week);
        let l = p.layout();
        let mut r: Vec<(String, f64)> = vec![];
        let last = t.len() - 1;
        for (i, x) in p.network().transfers.iter().enumerate() {
            r.push((
                format!("flow {} L/h", x.name),
                t.rate(l.moved(TransferId(i)), 0, last).unwrap() * 3.6e6,
            ));
        }
        r.push((
            "tower L/h".into(),
            t.rate(l.tower_water(TowerId(0)), 0, last).unwrap() * 3600.0,
        ));
        r.push((
            "heater kW".into(),
            t.rate(l.delivered(HeatId(1)), 0, last).unwrap() / 1e3,
        ));
        r.push((
            "bath heater kW".into(),
            t.rate(l.delivered(HeatId(0)), 0, last).unwrap() / 1e3,
        ));
        for (v, x) in p.network().vessels.iter().enumerate() {
            let times = t.times_s();
            let mean = |f: &dyn Fn(&[f64]) -> f64| {
                (1..t.len())
                    .map(|i| {
                        (times[i] - times[i - 1])
                            * if exact {
                                0.5 * (f(t.row(i)) + f(t.row(i - 1)))
                            } else {
                                f(t.row(i))
                            }
                    })
                    .sum::<f64>()
                    / (times[last] - times[0])
            };
            r.push((
                format!("{} V", x.name),
                mean(&|y| p.holdup(VesselId(v), y).0),
            ));
            r.push((
                format!("{} T", x.name),
                mean(&|y| p.holdup(VesselId(v), y).1),
            ));
            r.push((
                format!("{} Ni", x.name),
                mean(&|y| p.concentration(VesselId(v), SoluteId(0), y).unwrap()),
            ));
            r.push((
                format!("{} surface L/h", x.name),
                t.rate(l.surface_water(VesselId(v)), 0, last).unwrap() * 3600.0,
            ));
        }
        let on_work = l.account(AccountId(2)) + 2;
        r.push((
            "Ni lost on work g/d".into(),
            t.rate(on_work, 0, last).unwrap() * 86400e3,
        ));
        r.push((
            "Ni to treatment g/d".into(),
            t.rate(l.account(AccountId(3)) + 2, 0, last).unwrap() * 86400e3,
        ));
        rows.push(r);
    }
    for (a, b) in rows[0].iter().zip(&rows[1]) {
        println!(
            "{:32} {:12.5} {:12.5} {:8.3} %",
            a.0,
            a.1,
            b.1,
            100.0 * (b.1 / a.1 - 1.0)
        );
    }
}
