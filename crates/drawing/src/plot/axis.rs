//! Marks on axes.

/// The round step (1, 2 or 5 times a power of ten) that parts `span` into about `parts`.
#[must_use]
pub fn round_step(span: f64, parts: f64) -> f64 {
    let raw = span / parts;
    let power = 10_f64.powf(raw.log10().floor());
    let lead = raw / power;
    let round = if lead < 1.5 {
        1.0
    } else if lead < 3.5 {
        2.0
    } else if lead < 7.5 {
        5.0
    } else {
        10.0
    };
    round * power
}

/// Marks at multiples of `step` within a range.
#[must_use]
pub fn marks((low, high): (f64, f64), step: f64) -> Vec<f64> {
    if !(step > 0.0 && high > low && (high - low) / step < 500.0) {
        return Vec::new();
    }
    let first = (low / step - 1e-9).ceil();
    let count = ((high / step + 1e-9).floor() - first).max(-1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most 500"
    )]
    let count = (count + 1.0) as usize;
    #[expect(clippy::cast_precision_loss, reason = "at most 500")]
    (0..count).map(|i| (first + i as f64) * step).collect()
}

/// Step of marks on an axis of days: hours, days, weeks.
#[must_use]
pub fn day_step(days: f64, most_marks: f64) -> f64 {
    let steps = [
        1.0 / 12.0,
        0.125,
        0.25,
        0.5,
        1.0,
        2.0,
        7.0,
        14.0,
        28.0,
        56.0,
    ];
    steps
        .into_iter()
        .find(|step| days / step <= most_marks)
        .unwrap_or(112.0)
}

/// Marks on an axis of days, with their words: whole days, or the hours of each, told as a moment is told.
#[must_use]
pub fn day_marks((from, to): (f64, f64), most_marks: f64) -> Vec<(f64, String)> {
    let step = day_step(to - from, most_marks);
    let all = marks((from, to), step);
    if step >= 1.0 {
        let last = all.len().saturating_sub(1);
        let words = |(i, day): (usize, f64)| {
            let unit = if i == last { " days" } else { "" };
            (day, format!("{day:.0}{unit}"))
        };
        return all.into_iter().enumerate().map(words).collect();
    }
    let minutes = |day: f64| (day * 1440.0).round();
    let is_midnight = |day: f64| minutes(day).rem_euclid(1440.0) < 0.5;
    let has_midnight = all.iter().copied().any(is_midnight);
    let words = |(i, day): (usize, f64)| {
        let (whole, minute) = (
            (minutes(day) / 1440.0).floor(),
            minutes(day).rem_euclid(1440.0),
        );
        let clock = format!("{:02.0}:{:02.0}", (minute / 60.0).floor(), minute % 60.0);
        let words = match i {
            _ if is_midnight(day) => format!("day {whole:.0}"),
            // Where no day begins in sight the first mark says which it is, and the next leaves it room.
            0 if !has_midnight => format!("day {whole:.0}, {clock}"),
            1 if !has_midnight => String::new(),
            _ => clock,
        };
        (day, words)
    };
    all.into_iter().enumerate().map(words).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round() {
        assert_eq!(round_step(47.0, 5.0), 10.0);
        assert_eq!(round_step(0.9, 5.0), 0.2);
        assert_eq!(marks((0.0, 60.0), 20.0), vec![0.0, 20.0, 40.0, 60.0]);
        assert_eq!(marks((0.0, 1.0), 0.0), Vec::<f64>::new());
        assert_eq!(day_step(90.0, 8.0), 14.0);
        assert_eq!(day_step(2.0, 8.0), 0.25);
    }

    #[test]
    fn marks_on_the_axis_of_days_count_as_moments_do() {
        let words = |from: f64, to: f64| -> Vec<String> {
            let all = day_marks((from, to), 5.0);
            all.into_iter().map(|(_, words)| words).collect()
        };
        assert_eq!(words(0.0, 90.0), ["0", "28", "56", "84 days"]);
        assert_eq!(
            words(45.0, 46.2),
            ["day 45", "06:00", "12:00", "18:00", "day 46"]
        );
        assert_eq!(words(45.2, 45.7), ["day 45, 06:00", "", "12:00", "15:00"]);
    }
}
