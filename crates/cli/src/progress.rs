//! A line on standard error for anything longer than a second.

use std::io::Write;
use std::time::{Duration, Instant};

use dragback_units::constants as unit;

use crate::io::Io;

/// Silence before the first line.
const PATIENCE: Duration = Duration::from_secs(1);
/// Time between two lines.
const PAUSE: Duration = Duration::from_millis(250);

/// Tells how far a computation is. Nothing is printed before a second has passed, or where nobody watches.
pub(crate) struct Progress<'a> {
    err: &'a mut dyn Write,
    is_watched: bool,
    what: &'static str,
    span_s: Option<f64>,
    /// What is counted.
    counted: Option<&'static str>,
    began: Instant,
    shown: Option<Instant>,
    widest: usize,
}

impl<'a> Progress<'a> {
    /// Progress of `what`; with the length of the run if it is known.
    pub(crate) fn new(io: &'a mut Io<'_>, what: &'static str, span_s: Option<f64>) -> Self {
        Self {
            is_watched: io.is_watched,
            err: &mut *io.err,
            what,
            span_s,
            counted: None,
            began: Instant::now(),
            shown: None,
            widest: 0,
        }
    }

    /// Progress of `what`, told by the number of `things` that are done.
    pub(crate) fn counting(io: &'a mut Io<'_>, what: &'static str, things: &'static str) -> Self {
        let mut progress = Self::new(io, what, None);
        progress.counted = Some(things);
        progress
    }

    /// Takes note of how many of all are done.
    pub(crate) fn done(&mut self, count: usize, all: usize) {
        let Some(things) = self.counted else {
            return;
        };
        if self.is_watched && self.is_due() {
            self.shown = Some(Instant::now());
            let seconds = self.began.elapsed().as_secs();
            let line = format!("{} … {count} of {all} {things}, {seconds} s", self.what);
            self.rewrite(&line);
        }
    }

    /// Takes note of the plant's time; always says to go on.
    pub(crate) fn at(&mut self, t_s: f64) -> bool {
        if self.is_watched && self.is_due() {
            self.shown = Some(Instant::now());
            let line = self.line(t_s);
            self.rewrite(&line);
        }
        true
    }

    fn is_due(&self) -> bool {
        match self.shown {
            Some(shown) => shown.elapsed() >= PAUSE,
            None => self.began.elapsed() >= PATIENCE,
        }
    }

    fn line(&self, t_s: f64) -> String {
        let seconds = self.began.elapsed().as_secs();
        match self.span_s {
            Some(span_s) if span_s > 0.0 => {
                let percent = (100.0 * t_s / span_s).clamp(0.0, 100.0);
                let (day, days) = (unit::days(t_s), unit::days(span_s));
                format!(
                    "{} … day {day:.0} of {days:.0} ({percent:.0} %), {seconds} s",
                    self.what
                )
            }
            _ => format!("{} … {seconds} s", self.what),
        }
    }

    fn rewrite(&mut self, line: &str) {
        let width = line.chars().count();
        let blank = " ".repeat(self.widest.saturating_sub(width));
        self.widest = self.widest.max(width);
        // Progress is a courtesy: a terminal that does not take it is no reason to stop.
        drop(write!(self.err, "\r{line}{blank}").and_then(|()| self.err.flush()));
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        if self.shown.is_some() {
            self.rewrite("");
            drop(write!(self.err, "\r").and_then(|()| self.err.flush()));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is printed by a computation that began two seconds ago.
    fn printed(is_watched: bool) -> String {
        let (mut input, mut out, mut err) = (&b""[..], Vec::new(), Vec::new());
        let mut io = Io {
            input: &mut input,
            out: &mut out,
            err: &mut err,
            is_watched,
        };
        let mut progress = Progress::new(&mut io, "Running", Some(unit::seconds_from_days(90.0)));
        assert!(
            progress.at(0.0),
            "nothing is said in the first second, and the run goes on"
        );
        assert!(progress.shown.is_none());
        if let Some(earlier) = Instant::now().checked_sub(Duration::from_secs(2)) {
            progress.began = earlier;
        }
        assert!(progress.at(unit::seconds_from_days(45.0)));
        assert!(
            progress.at(unit::seconds_from_days(46.0)),
            "a second line would come too soon"
        );
        drop(progress);
        assert!(out.is_empty());
        String::from_utf8(err).expect("UTF-8")
    }

    #[test]
    fn progress_is_one_line_that_goes_away() {
        let text = printed(true);
        let lines: Vec<&str> = text.split('\r').collect();
        assert_eq!(lines[1], "Running … day 45 of 90 (50 %), 2 s");
        assert!(lines[2].trim().is_empty() && lines[2].chars().count() == lines[1].chars().count());
        assert_eq!(lines[3..], [""], "the cursor is back at the start");
    }

    #[test]
    fn things_that_are_done_are_counted() {
        let (mut input, mut out, mut err) = (&b""[..], Vec::new(), Vec::new());
        let mut io = Io {
            input: &mut input,
            out: &mut out,
            err: &mut err,
            is_watched: true,
        };
        let mut progress = Progress::counting(&mut io, "Sizing", "layouts");
        progress.done(3, 108);
        if let Some(earlier) = Instant::now().checked_sub(Duration::from_secs(2)) {
            progress.began = earlier;
        }
        progress.done(45, 108);
        progress.done(48, 108);
        drop(progress);
        let text = String::from_utf8(err).expect("UTF-8");
        let lines: Vec<&str> = text.split('\r').collect();
        assert_eq!(lines[1], "Sizing … 45 of 108 layouts, 2 s");
        assert_eq!(lines.len(), 4, "{text}");
    }

    #[test]
    fn nobody_watching_means_silence() {
        assert_eq!(printed(false), "");
    }
}
