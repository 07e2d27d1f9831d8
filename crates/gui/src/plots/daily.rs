//! Day means with each day's range: over many weeks a curve that swings every shift is a mean in a band, not a fence of strokes.

/// Hours of a day.
const DAY_H: f64 = 24.0;

/// One day of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// Its middle, hours from the start.
    pub middle_h: f64,
    /// Mean over time; not a number when nothing is known of the day.
    pub mean: f64,
    /// Least value.
    pub least: f64,
    /// Greatest value.
    pub greatest: f64,
}

/// Days of a curve whose points are (hours, value) with rising hours. A value holds over the time before it, as in
/// every mean of a run; the first one from the start.
#[must_use]
pub fn daily(points: &[[f64; 2]]) -> Vec<Day> {
    let mut sums: Vec<Sum> = Vec::new();
    let mut before_h = 0.0;
    for &[hour, value] in points {
        if value.is_finite() {
            note(&mut sums, before_h, hour, value);
        }
        before_h = hour;
    }
    let each = sums.into_iter().enumerate();
    each.map(|(i, sum)| sum.told(i)).collect()
}

#[derive(Clone, Copy)]
struct Sum {
    weighted: f64,
    hours: f64,
    least: f64,
    greatest: f64,
}

impl Sum {
    const NOTHING: Self = Self {
        weighted: 0.0,
        hours: 0.0,
        least: f64::INFINITY,
        greatest: f64::NEG_INFINITY,
    };

    fn told(self, index: usize) -> Day {
        #[expect(clippy::cast_precision_loss, reason = "a few thousand days")]
        let middle_h = (index as f64 + 0.5) * DAY_H;
        let mean = if self.hours > 0.0 {
            self.weighted / self.hours
        } else {
            f64::NAN
        };
        let is_known = self.least <= self.greatest;
        let or_nan = |v: f64| if is_known { v } else { f64::NAN };
        Day {
            middle_h,
            mean,
            least: or_nan(self.least),
            greatest: or_nan(self.greatest),
        }
    }
}

/// Adds a value that holds from `from_h` to `to_h` to every day that it touches.
fn note(sums: &mut Vec<Sum>, from_h: f64, to_h: f64, value: f64) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "hours are not negative"
    )]
    let day_of = |hour: f64| (hour / DAY_H) as usize;
    // A moment at midnight belongs to the day that ends there.
    let last = if to_h > from_h {
        day_of(to_h - 1e-9 * DAY_H)
    } else {
        day_of(to_h)
    };
    for day in day_of(from_h).min(last)..=last {
        while sums.len() <= day {
            sums.push(Sum::NOTHING);
        }
        #[expect(clippy::cast_precision_loss, reason = "a few thousand days")]
        let (start, end) = (day as f64 * DAY_H, (day as f64 + 1.0) * DAY_H);
        let hours = (to_h.min(end) - from_h.max(start)).max(0.0);
        let sum = &mut sums[day];
        sum.weighted += hours * value;
        sum.hours += hours;
        sum.least = sum.least.min(value);
        sum.greatest = sum.greatest.max(value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn means_are_weighted_by_time() {
        let days = daily(&[
            [0.0, 9.0],
            [6.0, 4.0],
            [24.0, 0.0],
            [36.0, 8.0],
            [60.0, 2.0],
        ]);
        let means: Vec<f64> = days.iter().map(|d| d.mean).collect();
        assert_eq!(means, vec![1.0, (12.0 * 8.0 + 12.0 * 2.0) / 24.0, 2.0]);
        assert_eq!((days[0].least, days[0].greatest), (0.0, 9.0));
        assert_eq!(days[1].middle_h, 36.0);
    }

    #[test]
    fn no_spike_is_hidden_wherever_it_stands() {
        for place in [0, 1, 95, 96, 97, 4_000, 8_638, 8_639] {
            for height in [50.0, -50.0] {
                let mut points: Vec<[f64; 2]> = (0..8_640)
                    .map(|i| [0.25 * f64::from(i), (f64::from(i) * 0.37).sin()])
                    .collect();
                points[place][1] = height;
                let found = daily(&points)
                    .iter()
                    .any(|d| d.least == height || d.greatest == height);
                assert!(found, "{height} at {place}");
            }
        }
    }

    #[test]
    fn days_without_values_are_gaps() {
        let days = daily(&[
            [0.0, 1.0],
            [24.0, 1.0],
            [30.0, f64::NAN],
            [72.0, f64::NAN],
            [96.0, 5.0],
        ]);
        assert_eq!(days.len(), 4);
        assert!(days[1].mean.is_nan() && days[2].least.is_nan());
        assert_eq!(days[3].mean, 5.0);
        assert!(daily(&[]).is_empty());
    }
}
