//! The part of the time axis that is seen; all plots share it.

use super::DAILY_FROM;
use crate::worker::SPAN_DAYS;

/// The part of the time axis that is seen, days, and where the cursor stands. All plots share it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Left end.
    pub from: f64,
    /// Right end.
    pub to: f64,
    /// Cursor.
    pub cursor: Option<f64>,
}

/// The shortest time that can be seen, days.
const SHORTEST: f64 = 0.5;

impl Default for View {
    fn default() -> Self {
        Self {
            from: 0.0,
            to: SPAN_DAYS,
            cursor: None,
        }
    }
}

impl View {
    /// Whether so much is seen that curves are day means.
    #[must_use]
    pub fn is_daily(&self) -> bool {
        self.to - self.from > DAILY_FROM
    }

    /// Whether the whole run is seen.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.from <= 0.0 && self.to >= SPAN_DAYS
    }

    /// Moves by so many days, as far as there is something to see.
    pub fn shift(&mut self, days: f64) {
        let days = days.clamp(-self.from, SPAN_DAYS - self.to);
        self.from += days;
        self.to += days;
    }

    /// Magnifies about a day.
    pub fn zoom(&mut self, factor: f64, about: f64) {
        let span = ((self.to - self.from) / factor).clamp(SHORTEST, SPAN_DAYS);
        let share = ((about - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.from = (about - share * span).clamp(0.0, SPAN_DAYS - span);
        self.to = self.from + span;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_view_never_leaves_the_run() {
        let mut view = View::default();
        view.shift(10.0);
        assert_eq!((view.from, view.to), (0.0, SPAN_DAYS));
        view.zoom(3.0, 45.0);
        assert!((view.from - 30.0).abs() < 1e-9 && (view.to - 60.0).abs() < 1e-9);
        view.shift(1000.0);
        assert!((view.to - SPAN_DAYS).abs() < 1e-9);
        view.zoom(1e9, 80.0);
        assert!((view.to - view.from - SHORTEST).abs() < 1e-9);
        view.zoom(1e-9, 80.0);
        assert_eq!((view.from, view.to), (0.0, SPAN_DAYS));
    }
}
