//! Undo and redo: snapshots of something cheap to clone, with a cap, one for each gesture of a hand.

use std::collections::VecDeque;

/// Most steps that can be taken back.
const MOST: usize = 200;

/// What tells two steps apart: changes with the same mark are taken back together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// What was changed.
    pub what: String,
    /// Number of the gesture: a press, a key, a word from an assistive tool.
    pub gesture: u64,
}

/// The past and the undone future of a value.
#[derive(Clone, Debug)]
pub struct History<T> {
    past: VecDeque<(T, Stroke)>,
    future: Vec<(T, Stroke)>,
}

impl<T> Default for History<T> {
    fn default() -> Self {
        Self {
            past: VecDeque::new(),
            future: Vec::new(),
        }
    }
}

impl<T: Clone> History<T> {
    /// Notes the value before a change. A change of the same stroke as the last one makes no new step.
    pub fn note(&mut self, before: T, stroke: Stroke) {
        self.future.clear();
        if self.past.back().is_some_and(|(_, last)| *last == stroke) {
            return;
        }
        self.past.push_back((before, stroke));
        if self.past.len() > MOST {
            self.past.pop_front();
        }
    }

    /// The value of one step back; `now` can be brought back by [`History::redo`].
    pub fn undo(&mut self, now: T) -> Option<T> {
        let (before, stroke) = self.past.pop_back()?;
        self.future.push((now, stroke));
        Some(before)
    }

    /// The value of one step forward.
    pub fn redo(&mut self, now: T) -> Option<T> {
        let (after, mut stroke) = self.future.pop()?;
        // A redone stroke is over: the next change is a step of its own.
        stroke.gesture = u64::MAX;
        self.past.push_back((now, stroke));
        Some(after)
    }

    /// What the next step back would take back.
    #[must_use]
    pub fn last(&self) -> Option<&str> {
        self.past.back().map(|(_, s)| s.what.as_str())
    }

    /// What the next step forward would bring back.
    #[must_use]
    pub fn next(&self) -> Option<&str> {
        self.future.last().map(|(_, s)| s.what.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stroke(what: &str, gesture: u64) -> Stroke {
        Stroke {
            what: what.to_owned(),
            gesture,
        }
    }

    #[test]
    fn one_drag_is_one_step() {
        let mut history = History::default();
        let mut now = 0;
        for (next, gesture) in [(1, 1), (2, 1), (3, 1), (4, 2)] {
            history.note(now, stroke("a", gesture));
            now = next;
        }
        now = history.undo(now).unwrap();
        assert_eq!(now, 3);
        now = history.undo(now).unwrap();
        assert_eq!(now, 0);
        assert_eq!(history.undo(now), None);
        now = history.redo(now).unwrap();
        now = history.redo(now).unwrap();
        assert_eq!((now, history.redo(now)), (4, None));
        history.note(now, stroke("a", 2));
        assert_eq!(history.undo(5), Some(4));
    }

    #[test]
    fn the_past_is_capped_and_a_change_forgets_the_future() {
        let mut history = History::default();
        for i in 0..1000 {
            history.note(i, stroke("a", i));
        }
        assert_eq!(history.undo(1000), Some(999));
        assert_eq!(history.next(), Some("a"));
        history.note(999, stroke("b", 5000));
        assert_eq!((history.next(), history.last()), (None, Some("b")));
        let steps = std::iter::from_fn(|| history.undo(0)).count();
        assert_eq!(steps, MOST);
    }
}
