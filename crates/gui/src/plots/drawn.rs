//! Curves ready to draw, kept until data, range, width or units change.

use dragback_study::Driver;
use dragback_study::curves::Series;
use egui_plot::PlotPoint;

use super::{Measure, decimate};
use crate::results::CurveSet;

/// Curves of one plot, reduced to what can be seen.
#[derive(Default)]
pub struct Drawn {
    /// Points in days and heights.
    pub curves: Vec<Vec<PlotPoint>>,
    /// Least and greatest height of the whole run; beginnings that only fill up from nothing do not count.
    pub extent: (f64, f64),
}

#[derive(Clone, Copy, PartialEq)]
struct Key {
    data: (u64, u64, bool),
    measure: Measure,
    range: (u64, u64),
    columns: usize,
}

/// The last [`Drawn`] with what it was made of.
#[derive(Default)]
pub struct DrawnCache {
    key: Option<Key>,
    drawn: Drawn,
    /// Times that it was made; a test looks.
    made: usize,
}

/// Days at the beginning that do not count for the foot of a log axis.
const FILLING_DAYS: f64 = 3.0;

impl DrawnCache {
    /// The curves for a range of days and a number of pixel columns.
    pub fn get(
        &mut self,
        set: &CurveSet,
        series: &[Series],
        measure: Measure,
        (from, to): (f64, f64),
        columns: usize,
    ) -> &Drawn {
        let data =
            (set.asked.document, set.asked.generation, set.driver == Driver::Exact);
        let key = Key { data, measure, range: (from.to_bits(), to.to_bits()), columns };
        if self.key != Some(key) {
            let is_new = self.key.is_none_or(|k| k.data != data || k.measure != measure);
            if is_new {
                self.drawn.extent = extent(series, measure);
            }
            self.drawn.curves = series
                .iter()
                .map(|s| {
                    let hours = (24.0 * from, 24.0 * to);
                    let mut points = decimate(&s.points, hours, columns, |si| measure.height(si));
                    points.iter_mut().for_each(|p| p.x /= 24.0);
                    points
                })
                .collect();
            self.key = Some(key);
            self.made += 1;
        }
        &self.drawn
    }
}

fn extent(series: &[Series], measure: Measure) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for point in series.iter().flat_map(|s| &s.points) {
        let height = measure.height(point[1]);
        if height.is_finite() {
            high = high.max(height);
            let counts = !measure.is_log() || point[0] >= 24.0 * FILLING_DAYS;
            low = if counts { low.min(height) } else { low };
        }
    }
    // Flows and levels are read from nothing upwards.
    let from_zero = matches!(
        measure.kind,
        dragback_study::curves::Kind::Level | dragback_study::curves::Kind::Evaporation
    );
    let low = if from_zero { low.min(0.0) } else { low };
    if low.is_finite() && high.is_finite() { (low, high) } else { (0.0, 1.0) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::results::Asked;
    use dragback_study::curves::Kind;
    use dragback_units::{Dim, System};
    use std::time::Duration;

    fn set(generation: u64) -> CurveSet {
        let points = (0..9_000).map(|i| [0.24 * i as f64, 1.0 + (i % 7) as f64]).collect();
        let series = Series { name: "tank".to_owned(), dim: Dim::Length, points };
        CurveSet {
            asked: Asked { generation, document: 1, loop_key: String::new(), moved: None },
            driver: Driver::Exact,
            plots: vec![vec![series]],
            final_station: None,
            alarms: Vec::new(),
            took: Duration::ZERO,
        }
    }

    #[test]
    fn curves_are_made_anew_only_when_something_changed() {
        let mut cache = DrawnCache::default();
        let measure = Measure { kind: Kind::Level, system: System::Metric };
        let (old, new) = (set(1), set(2));
        for _ in 0..5 {
            let drawn = cache.get(&old, &old.plots[0], measure, (0.0, 90.0), 400);
            assert!(drawn.curves[0].len() <= 804);
            assert_eq!(drawn.extent, (0.0, 7.0));
        }
        assert_eq!(cache.made, 1);
        cache.get(&old, &old.plots[0], measure, (0.0, 45.0), 400);
        cache.get(&new, &new.plots[0], measure, (0.0, 45.0), 400);
        cache.get(&new, &new.plots[0], measure, (0.0, 45.0), 300);
        let us = Measure { system: System::Us, ..measure };
        cache.get(&new, &new.plots[0], us, (0.0, 45.0), 300);
        assert_eq!(cache.made, 5);
    }
}
