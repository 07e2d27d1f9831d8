//! Curves ready to draw, kept until data, range, width or units change.

use dragback_study::Driver;
use dragback_study::curves::{Guide, Kind, Series};
use egui_plot::PlotPoint;

use super::daily::{Day, daily};
use super::{Measure, decimate};
use crate::results::{CurveSet, PlotData};

/// The range of each day, in days and heights.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Band {
    /// Middles of the days.
    pub days: Vec<f64>,
    /// Least heights.
    pub least: Vec<f64>,
    /// Greatest heights.
    pub greatest: Vec<f64>,
}

/// One curve, reduced to what can be seen.
#[derive(Clone, Debug, Default)]
pub struct DrawnCurve {
    /// Points in days and heights.
    pub line: Vec<PlotPoint>,
    /// The range of each day, where the line is made of day means.
    pub band: Option<Band>,
}

/// Curves of one plot.
#[derive(Default)]
pub struct Drawn {
    /// In the order of the series.
    pub curves: Vec<DrawnCurve>,
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

/// From so many days in sight on, curves are day means in the band of each day's range.
pub const DAILY_FROM: f64 = 21.0;

/// Days at the beginning that do not count for the foot of a log axis.
const FILLING_DAYS: f64 = 3.0;

impl DrawnCache {
    /// The curves for a range of days and a number of pixel columns.
    pub fn get(
        &mut self,
        set: &CurveSet,
        data: &PlotData,
        measure: Measure,
        (from, to): (f64, f64),
        columns: usize,
    ) -> &Drawn {
        let series = &data.series;
        let version = (
            set.asked.document,
            set.asked.generation,
            set.driver == Driver::Exact,
        );
        let key = Key {
            data: version,
            measure,
            range: (from.to_bits(), to.to_bits()),
            columns,
        };
        if self.key != Some(key) {
            let is_new = self
                .key
                .is_none_or(|k| k.data != version || k.measure != measure);
            if is_new {
                self.drawn.extent = extent(series, &data.guides, measure);
            }
            let is_daily = to - from > DAILY_FROM;
            let curve = |s: &Series| {
                if is_daily {
                    return daily_curve(&s.points, measure, to);
                }
                let hours = (24.0 * from, 24.0 * to);
                let mut line = decimate(&s.points, hours, columns, |si| measure.height(si));
                line.iter_mut().for_each(|p| p.x /= 24.0);
                DrawnCurve { line, band: None }
            };
            self.drawn.curves = series.iter().map(curve).collect();
            self.key = Some(key);
            self.made += 1;
        }
        &self.drawn
    }
}

/// A curve of day means. It begins with the first value itself, so that filling up from nothing is seen, and runs to the end of the last day.
fn daily_curve(points: &[[f64; 2]], measure: Measure, to: f64) -> DrawnCurve {
    let days = daily(points);
    let middle = |d: &Day| d.middle_h / 24.0;
    let mut line: Vec<PlotPoint> = Vec::with_capacity(days.len() + 2);
    let is_state = !measure.is_flow();
    let first = points.first().filter(|_| is_state);
    line.extend(first.map(|p| PlotPoint::new(p[0] / 24.0, measure.height(p[1]))));
    line.extend(
        days.iter()
            .map(|d| PlotPoint::new(middle(d), measure.height(d.mean))),
    );
    if let Some(last) = line.last().copied() {
        line.push(PlotPoint::new((last.x + 0.5).min(to.max(last.x)), last.y));
    }
    let known = || days.iter().filter(|d| d.least.is_finite());
    let band = Band {
        days: known().map(middle).collect(),
        least: known().map(|d| measure.height(d.least)).collect(),
        greatest: known().map(|d| measure.height(d.greatest)).collect(),
    };
    DrawnCurve {
        line,
        band: Some(band),
    }
}

/// Limits further away than this many times the greatest value do not stretch the axis.
const FAR: f64 = 2.0;
/// The same for limits that move, which are why the plot is looked at.
const FAR_MOVING: f64 = 3.0;

fn extent(series: &[Series], guides: &[Guide], measure: Measure) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for point in series.iter().flat_map(|s| &s.points) {
        let height = measure.height(point[1]);
        if height.is_finite() {
            high = high.max(height);
            let counts = !measure.is_log() || point[0] >= 24.0 * FILLING_DAYS;
            low = if counts { low.min(height) } else { low };
        }
    }
    let greatest = high;
    for guide in guides {
        let far = if guide.points.is_empty() {
            FAR
        } else {
            FAR_MOVING
        };
        for height in [guide.low, guide.high].map(|si| measure.height(si)) {
            let is_far =
                measure.kind != Kind::Temperature && !measure.is_log() && height > far * greatest;
            if height.is_finite() && !is_far {
                low = low.min(height);
                high = high.max(height);
            }
        }
    }
    // Flows and levels are read from nothing upwards; a trace of dew on cold water does not move the foot of the axis.
    let is_trace = low < 0.0 && low > -0.05 * high;
    let low = if measure.is_from_zero() && (low > 0.0 || is_trace) {
        0.0
    } else {
        low
    };
    if low.is_finite() && high.is_finite() {
        (low, high)
    } else {
        (0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::results::Asked;
    use dragback_units::{Dim, System};
    use std::time::Duration;

    fn set(generation: u64) -> CurveSet {
        let points = (0..9_000)
            .map(|i| [0.24 * i as f64, 1.0 + (i % 7) as f64])
            .collect();
        let series = Series {
            name: "tank".to_owned(),
            dim: Dim::Length,
            points,
        };
        CurveSet {
            asked: Asked {
                generation,
                document: 1,
                loop_key: String::new(),
                moved: None,
            },
            driver: Driver::Exact,
            plots: vec![PlotData {
                series: vec![series],
                guides: Vec::new(),
                pens: vec![0],
            }],
            rests: Vec::new(),
            final_station: None,
            holding_tank: None,
            alarms: Vec::new(),
            events: Vec::new(),
            run: None,
            took: Duration::ZERO,
        }
    }

    #[test]
    fn curves_are_made_anew_only_when_something_changed() {
        let mut cache = DrawnCache::default();
        let measure = Measure::of(Kind::Level, System::Metric);
        let (old, new) = (set(1), set(2));
        for _ in 0..5 {
            let drawn = cache.get(&old, &old.plots[0], measure, (0.0, 90.0), 400);
            assert!(drawn.curves[0].line.len() <= 92);
            assert_eq!(drawn.extent, (0.0, 7.0));
        }
        assert_eq!(cache.made, 1);
        cache.get(&old, &old.plots[0], measure, (0.0, 20.0), 400);
        cache.get(&new, &new.plots[0], measure, (0.0, 20.0), 400);
        cache.get(&new, &new.plots[0], measure, (0.0, 20.0), 300);
        let us = Measure {
            system: System::Us,
            ..measure
        };
        cache.get(&new, &new.plots[0], us, (0.0, 20.0), 300);
        assert_eq!(cache.made, 5);
    }
}
