//! Fewer points with the same outline: the least and the greatest value of each pixel column.

use egui_plot::PlotPoint;

/// Points of one curve reduced to a visible range.
///
/// `points` are (x, value) with rising x; `to_y` turns a value into the height that is drawn. Of every pixel column the least and the greatest
/// point are kept, in the order in which they occur, so that no spike is ever hidden; one point beyond each end keeps the curve running
/// out of the picture. A value that is not finite breaks the curve.
#[must_use]
pub fn decimate(
    points: &[[f64; 2]],
    (from, to): (f64, f64),
    columns: usize,
    to_y: impl Fn(f64) -> f64,
) -> Vec<PlotPoint> {
    let first = points.partition_point(|p| p[0] < from).saturating_sub(1);
    let last = (points.partition_point(|p| p[0] <= to) + 1).min(points.len());
    let seen = points.get(first..last).unwrap_or_default();
    let drawn = |p: &[f64; 2]| PlotPoint::new(p[0], to_y(p[1]));
    if columns == 0 || to <= from || seen.len() <= 2 * columns {
        return seen.iter().map(drawn).collect();
    }
    #[expect(clippy::cast_precision_loss, reason = "a few thousand pixels")]
    let per_unit = columns as f64 / (to - from);
    let mut out = Outline {
        out: Vec::with_capacity(2 * columns + 4),
        ..Outline::default()
    };
    for point in seen.iter().map(drawn) {
        // Points beyond the ends have columns of their own.
        let column = ((point.x - from) * per_unit).floor();
        out.add(column, point);
    }
    out.close();
    out.out
}

/// Collects the outline column by column.
#[derive(Default)]
struct Outline {
    out: Vec<PlotPoint>,
    column: f64,
    least: Option<(usize, PlotPoint)>,
    greatest: Option<(usize, PlotPoint)>,
    count: usize,
}

impl Outline {
    fn add(&mut self, column: f64, point: PlotPoint) {
        if !point.y.is_finite() {
            self.close();
            let is_broken = self.out.last().is_none_or(|p| p.y.is_nan());
            if !is_broken {
                self.out.push(PlotPoint::new(point.x, f64::NAN));
            }
            return;
        }
        if self.least.is_some() && (column - self.column).abs() > 0.5 {
            self.close();
        }
        self.column = column;
        self.count += 1;
        let here = Some((self.count, point));
        if self.least.is_none_or(|(_, p)| point.y < p.y) {
            self.least = here;
        }
        if self.greatest.is_none_or(|(_, p)| point.y > p.y) {
            self.greatest = here;
        }
    }

    fn close(&mut self) {
        let (Some(a), Some(b)) = (self.least.take(), self.greatest.take()) else {
            return;
        };
        let (early, late) = if a.0 <= b.0 { (a, b) } else { (b, a) };
        self.out.push(early.1);
        if late.0 != early.0 {
            self.out.push(late.1);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(count: usize) -> Vec<[f64; 2]> {
        (0..count)
            .map(|i| [i as f64, (i as f64 * 0.37).sin()])
            .collect()
    }

    #[test]
    fn no_spike_is_hidden_wherever_it_stands() {
        for place in [0, 1, 4_999, 5_000, 7_321, 9_998, 9_999] {
            for height in [50.0, -50.0] {
                let mut points = wave(10_000);
                points[place][1] = height;
                for columns in [1, 7, 100, 400, 1000] {
                    let kept = decimate(&points, (0.0, 9_999.0), columns, |y| y);
                    let found = kept.iter().any(|p| p.y == height && p.x == place as f64);
                    assert!(found, "{height} at {place} with {columns} columns");
                    assert!(kept.len() <= 2 * columns + 4, "{} points", kept.len());
                    assert!(kept.windows(2).all(|w| w[0].x <= w[1].x));
                }
            }
        }
    }

    #[test]
    fn short_curves_are_left_alone_and_run_out_of_the_picture() {
        let points = wave(50);
        let kept = decimate(&points, (10.5, 20.5), 400, |y| 2.0 * y);
        assert_eq!(kept.first().map(|p| p.x), Some(10.0));
        assert_eq!(kept.last().map(|p| p.x), Some(21.0));
        assert_eq!(kept[1].y, 2.0 * points[11][1]);
    }

    #[test]
    fn a_gap_stays_a_gap() {
        let mut points = wave(10_000);
        for p in &mut points[4_000..4_500] {
            p[1] = f64::NAN;
        }
        let kept = decimate(&points, (0.0, 9_999.0), 200, |y| y);
        assert_eq!(kept.iter().filter(|p| p.y.is_nan()).count(), 1);
        assert!(
            decimate(&points, (4_100.0, 4_200.0), 20, |y| y)
                .iter()
                .all(|p| p.y.is_nan())
        );
    }

    #[test]
    fn nothing_is_made_of_nothing() {
        assert!(decimate(&[], (0.0, 1.0), 100, |y| y).is_empty());
    }
}
