//! Where in time the window stands: the cursor through all plots, and whether time plays.

use crate::worker::SPAN_DAYS;

/// How fast time plays.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Speed {
    /// An hour a second.
    Hour,
    /// Six hours a second.
    SixHours,
    /// A day a second.
    #[default]
    Day,
    /// A week a second.
    Week,
}

impl Speed {
    /// All speeds, the slowest first.
    pub const ALL: [Self; 4] = [Self::Hour, Self::SixHours, Self::Day, Self::Week];

    /// Name to show.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hour => "1 h/s",
            Self::SixHours => "6 h/s",
            Self::Day => "1 d/s",
            Self::Week => "7 d/s",
        }
    }

    /// Days of the run in a second of the clock on the wall.
    #[must_use]
    pub const fn days_per_s(self) -> f64 {
        match self {
            Self::Hour => 1.0 / 24.0,
            Self::SixHours => 0.25,
            Self::Day => 1.0,
            Self::Week => 7.0,
        }
    }
}

/// From when on a moved lever acts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ActsFrom {
    /// From the start of the run: the input itself changes.
    #[default]
    Start,
    /// From the cursor: a step change is put on the timeline.
    Cursor,
}

/// The cursor and the play of time. No part of any scenario, and not remembered.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Playhead {
    /// Where the cursor stands, days from the start; `None` while the settled week is shown.
    pub day: Option<f64>,
    /// Whether time plays.
    pub is_playing: bool,
    /// How fast.
    pub speed: Speed,
    /// From when on a moved lever acts.
    pub acts: ActsFrom,
    /// Seconds that have been played, for what moves in the drawing.
    pub played_s: f32,
}

/// A frame that took longer than this was not played through.
const LONGEST_FRAME_S: f64 = 0.25;

impl Playhead {
    /// Puts the cursor at a day of the run; `None` goes back to the settled week.
    pub fn put(&mut self, day: Option<f64>) {
        self.day = day
            .filter(|d| d.is_finite())
            .map(|d| d.clamp(0.0, SPAN_DAYS));
        if self.day.is_none() {
            self.is_playing = false;
            self.acts = ActsFrom::Start;
        }
    }

    /// Steps by so many days; from the settled week it begins at the start of the run.
    pub fn step(&mut self, days: f64) {
        self.put(Some(self.day.unwrap_or(0.0) + days));
    }

    /// Starts or stops. At the end of the run it begins anew.
    pub fn toggle(&mut self) {
        self.is_playing = !self.is_playing;
        if self.is_playing && self.day.is_none_or(|d| d >= SPAN_DAYS) {
            self.day = Some(0.0);
        }
    }

    /// Lets time go on by a frame of so many seconds; stops at the end of the run.
    pub fn play(&mut self, frame_s: f64) {
        if !self.is_playing {
            return;
        }
        let frame_s = frame_s.clamp(0.0, LONGEST_FRAME_S);
        let day = self.day.unwrap_or(0.0) + frame_s * self.speed.days_per_s();
        #[expect(clippy::cast_possible_truncation, reason = "a part of a second")]
        let seconds = frame_s as f32;
        // Only the fraction of a second matters to what is drawn; small numbers keep it.
        self.played_s = (self.played_s + seconds) % 1024.0;
        self.is_playing = day < SPAN_DAYS;
        self.put(Some(day));
    }
}

const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// A moment in words: `Tue, day 8, 14:05`. Runs begin on a Monday; days are counted as they have passed, as on the axes and in the scenario's events.
#[must_use]
pub fn moment_words(day: f64) -> String {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "minutes of a run"
    )]
    let minutes = (day.max(0.0) * 1440.0).round() as usize;
    let (day, minute) = (minutes / 1440, minutes % 1440);
    format!(
        "{}, day {}, {:02}:{:02}",
        NAMES[day % 7],
        day,
        minute / 60,
        minute % 60
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_plays_at_its_speed_and_stops_at_the_end() {
        let mut head = Playhead::default();
        head.play(1.0);
        assert_eq!(head.day, None, "nothing plays until it is started");
        head.toggle();
        for _ in 0..8 {
            head.play(0.125);
        }
        assert_eq!(head.day, Some(1.0));
        head.speed = Speed::Week;
        for _ in 0..60 {
            head.play(0.25);
        }
        assert_eq!((head.day, head.is_playing), (Some(SPAN_DAYS), false));
        head.toggle();
        assert_eq!((head.day, head.is_playing), (Some(0.0), true));
        head.put(None);
        assert!(!head.is_playing && head.acts == ActsFrom::Start);
    }

    #[test]
    fn the_cursor_stays_within_the_run() {
        let mut head = Playhead::default();
        head.step(-3.0);
        assert_eq!(head.day, Some(0.0));
        head.step(500.0);
        assert_eq!(head.day, Some(SPAN_DAYS));
        head.put(Some(f64::NAN));
        assert_eq!(head.day, None);
    }

    #[test]
    fn moments_are_told_by_weekday_and_hour() {
        assert_eq!(moment_words(0.0), "Mon, day 0, 00:00");
        assert_eq!(moment_words(8.0 + 14.0 / 24.0), "Tue, day 8, 14:00");
        assert_eq!(moment_words(6.999_999), "Mon, day 7, 00:00");
    }
}
