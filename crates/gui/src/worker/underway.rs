//! What the threads are at, for work that takes long enough to be told.

use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Work that has gone on for this long is told, with a way to give it up.
pub const LONG: Duration = Duration::from_millis(500);
/// How often its progress is told anew.
const TELL_EVERY: Duration = Duration::from_millis(200);

/// A kind of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Job {
    /// Averaged curves.
    Preview,
    /// Figures of the settled week.
    Figures,
    /// Every month's margin, days to settle and the impurity outlook.
    Ahead,
    /// Exact curves.
    Exact,
    /// The settled answer against a lever.
    Sweep,
    /// A scenario to compare with.
    Reference,
    /// What would help.
    Advice,
    /// Variants of the line.
    Variants,
    /// Layouts and their sizes.
    Sizing,
    /// What the answer in money hangs on.
    Hangs,
}

impl Job {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Preview,
        Self::Figures,
        Self::Ahead,
        Self::Exact,
        Self::Sweep,
        Self::Reference,
        Self::Advice,
        Self::Variants,
        Self::Sizing,
        Self::Hangs,
    ];

    /// Name to show.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Preview => "Preview",
            Self::Figures => "Settled week",
            Self::Ahead => "Look ahead",
            Self::Exact => "Exact run",
            Self::Sweep => "Settled answers",
            Self::Reference => "Comparison",
            Self::Advice => "Search for advice",
            Self::Variants => "Variants",
            Self::Sizing => "Sizing",
            Self::Hangs => "What payback hangs on",
        }
    }
}

/// Work that goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Underway {
    /// Which.
    pub job: Job,
    /// How much of it is done, 0 to 1, where that is known.
    pub share: Option<f64>,
}

#[derive(Clone, Copy, Default)]
struct Line {
    since: Option<Instant>,
    share: Option<f64>,
    told: Option<Instant>,
}

/// A line for each kind of work.
#[derive(Default)]
pub(super) struct Board {
    lines: Mutex<[Line; Job::ALL.len()]>,
}

impl Board {
    fn write<T>(&self, job: Job, change: impl FnOnce(&mut Line) -> T) -> T {
        let mut lines = self.lines.lock().unwrap_or_else(PoisonError::into_inner);
        change(&mut lines[job as usize])
    }

    /// What has gone on for long.
    pub(super) fn long(&self) -> Vec<Underway> {
        let lines = *self.lines.lock().unwrap_or_else(PoisonError::into_inner);
        let each = Job::ALL.into_iter().zip(lines);
        let is_long = |line: &Line| line.since.is_some_and(|s| s.elapsed() >= LONG);
        let long = each.filter(|(_, line)| is_long(line));
        long.map(|(job, line)| Underway {
            job,
            share: line.share,
        })
        .collect()
    }

    /// Work begins; it ends when what is returned is dropped. `wake` is called when there is something new to tell.
    pub(super) fn begin<'b>(&'b self, job: Job, wake: &'b dyn Fn()) -> Work<'b> {
        self.write(job, |line| {
            *line = Line {
                since: Some(Instant::now()),
                ..Line::default()
            };
        });
        Work {
            board: self,
            job,
            wake,
        }
    }
}

/// Work that goes on, as its thread has it.
pub(super) struct Work<'b> {
    board: &'b Board,
    job: Job,
    wake: &'b dyn Fn(),
}

impl Work<'_> {
    /// Notes how much is done.
    pub(super) fn tell(&self, share: Option<f64>) {
        let is_due = self.board.write(self.job, |line| {
            line.share = share.map(|s| s.clamp(0.0, 1.0));
            let is_long = line.since.is_some_and(|s| s.elapsed() >= LONG);
            let is_due = is_long && line.told.is_none_or(|t| t.elapsed() >= TELL_EVERY);
            if is_due {
                line.told = Some(Instant::now());
            }
            is_due
        });
        if is_due {
            (self.wake)();
        }
    }
}

impl Drop for Work<'_> {
    fn drop(&mut self) {
        let was_told = self
            .board
            .write(self.job, |line| std::mem::take(line).told.is_some());
        if was_told {
            (self.wake)();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    #[test]
    fn only_long_work_is_told_and_its_end_too() {
        let (board, wakes) = (Board::default(), Cell::new(0));
        let wake = || wakes.set(wakes.get() + 1);
        let work = board.begin(Job::Exact, &wake);
        work.tell(Some(0.25));
        assert!(board.long().is_empty() && wakes.get() == 0);
        std::thread::sleep(LONG + Duration::from_millis(20));
        work.tell(Some(0.5));
        work.tell(Some(0.75));
        assert_eq!(wakes.get(), 1);
        let told = board.long();
        assert_eq!((told[0].job, told[0].share), (Job::Exact, Some(0.75)));
        drop(work);
        assert!(board.long().is_empty() && wakes.get() == 2);
    }
}
