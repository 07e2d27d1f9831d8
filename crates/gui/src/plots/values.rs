//! Values of a curve at a time, and its means.

use dragback_study::curves::Series;

/// SI value of a curve at a day: that of the last moment before it.
#[must_use]
pub fn value_at(series: &Series, day: f64) -> f64 {
    let hour = day * 24.0;
    let next = series.points.partition_point(|p| p[0] <= hour + 1e-6);
    let place = next.saturating_sub(1);
    series.points.get(place).map_or(f64::NAN, |p| p[1])
}

/// SI value of a curve of means at a day: the mean whose hours the day lies in, which is drawn at their end.
#[must_use]
pub fn mean_around(series: &Series, day: f64) -> f64 {
    let hour = day * 24.0;
    let place = series.points.partition_point(|p| p[0] < hour - 1e-6);
    let found = series.points.get(place).or(series.points.last());
    found.map_or(f64::NAN, |p| p[1])
}

/// Mean over time of a curve between two days, SI; a value holds over the time before it, the first one from the start.
#[must_use]
pub fn mean_between(series: &Series, from: f64, to: f64) -> f64 {
    let (from_h, to_h) = (24.0 * from, 24.0 * to);
    let first = series
        .points
        .partition_point(|p| p[0] <= from_h)
        .saturating_sub(1);
    let (mut sum, mut hours) = (0.0, 0.0);
    let mut before_h = if first == 0 {
        0.0
    } else {
        series.points[first - 1][0]
    };
    for &[hour, value] in series.points.get(first..).unwrap_or_default() {
        let dt = hour.min(to_h) - before_h.max(from_h);
        if dt > 0.0 && value.is_finite() {
            sum += dt * value;
            hours += dt;
        }
        if hour >= to_h {
            break;
        }
        before_h = hour;
    }
    if hours > 0.0 {
        sum / hours
    } else {
        value_at(series, to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use dragback_units::Dim;

    #[test]
    fn the_value_at_a_day_is_the_last_known() {
        let points = vec![[0.0, 1.0], [24.0, 2.0], [48.0, 3.0]];
        let series = Series {
            name: "x".to_owned(),
            dim: Dim::Length,
            points,
        };
        assert_eq!(value_at(&series, 1.0), 2.0);
        assert_eq!(value_at(&series, 1.5), 2.0);
        assert_eq!(value_at(&series, 90.0), 3.0);
        assert_eq!(mean_around(&series, 1.0), 2.0);
        assert_eq!(mean_around(&series, 1.5), 3.0);
        assert_eq!(mean_around(&series, 90.0), 3.0);
        assert_eq!(
            mean_between(&series, 0.5, 2.0),
            (12.0 * 2.0 + 24.0 * 3.0) / 36.0
        );
        assert_eq!(mean_between(&series, 5.0, 6.0), 3.0);
        let points = vec![[6.0, 8.0], [24.0, 4.0], [30.0, f64::NAN], [48.0, 1.0]];
        let flow = Series { points, ..series };
        assert_eq!(
            mean_between(&flow, 0.0, 1.0),
            (6.0 * 8.0 + 18.0 * 4.0) / 24.0
        );
        assert_eq!(mean_between(&flow, 1.0, 2.0), 1.0);
    }
}
