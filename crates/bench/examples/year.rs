use dragback_plant::TowerCache;
use dragback_run::preview::{self, PreviewOptions};
use dragback_study::Case;
use std::sync::Arc;
fn main() {
    let text = std::fs::read_to_string(std::env::args().nth(1).unwrap()).unwrap();
    let n: usize = std::env::args().nth(2).unwrap().parse().unwrap();
    let (scenario, _) = dragback_scenario::load(&text);
    let cache = TowerCache::default();
    let case = Arc::new(Case::new(Arc::new(scenario.unwrap()), &cache).unwrap());
    let mut best = f64::MAX;
    for _ in 0..n {
        let t = std::time::Instant::now();
        let mut world = case.world();
        let o = preview::run(
            &mut world,
            365.0 * 86400.0,
            &PreviewOptions::default(),
            &mut |_| true,
        )
        .unwrap();
        best = best.min(t.elapsed().as_secs_f64() * 1e3);
        std::hint::black_box(o);
    }
    println!("{best:.2} ms");
}
