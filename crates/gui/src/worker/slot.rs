//! A place for one request: a newer one takes it from an older one.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

struct State<T> {
    waiting: Option<(u64, T)>,
    is_closed: bool,
}

/// Holds at most one request, the newest.
pub struct Slot<T> {
    state: Mutex<State<T>>,
    changed: Condvar,
    latest: AtomicU64,
}

/// Generation of a slot whose request was given up: no request has it.
const GIVEN_UP: u64 = u64::MAX - 1;
/// Generation of a closed slot: later than any request.
const CLOSED: u64 = u64::MAX;

impl<T> Slot<T> {
    /// An empty slot.
    #[must_use]
    pub fn new() -> Self {
        let state = State {
            waiting: None,
            is_closed: false,
        };
        Self {
            state: Mutex::new(state),
            changed: Condvar::new(),
            latest: AtomicU64::new(0),
        }
    }

    fn lock(&self) -> MutexGuard<'_, State<T>> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts a request in place of any that waits.
    pub fn put(&self, generation: u64, request: T) {
        let mut state = self.lock();
        if state.is_closed {
            return;
        }
        self.latest.store(generation, Ordering::Release);
        state.waiting = Some((generation, request));
        self.changed.notify_all();
    }

    /// Gives up what is waited for and worked at; the next request is as any other.
    pub fn give_up(&self) {
        let mut state = self.lock();
        if state.is_closed {
            return;
        }
        state.waiting = None;
        self.latest.store(GIVEN_UP, Ordering::Release);
        self.changed.notify_all();
    }

    /// No more requests; whoever waits goes home, whoever works is overtaken.
    pub fn close(&self) {
        let mut state = self.lock();
        state.is_closed = true;
        state.waiting = None;
        self.latest.store(CLOSED, Ordering::Release);
        self.changed.notify_all();
    }

    /// Whether no later request has come.
    #[must_use]
    pub fn is_latest(&self, generation: u64) -> bool {
        self.latest.load(Ordering::Acquire) == generation
    }

    /// Whether the slot is closed.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.latest.load(Ordering::Acquire) == CLOSED
    }

    /// Waits for `calm`; says whether no later request came meanwhile.
    #[must_use]
    pub fn stays_latest(&self, generation: u64, calm: Duration) -> bool {
        let state = self.lock();
        let is_latest = |_: &mut State<T>| self.is_latest(generation);
        let waited = self.changed.wait_timeout_while(state, calm, is_latest);
        drop(waited);
        self.is_latest(generation)
    }

    /// Waits for a request, then until none has come for `calm`. `None` when the slot is closed.
    #[must_use]
    pub fn take(&self, calm: Duration) -> Option<(u64, T)> {
        let mut state = self.lock();
        loop {
            if state.is_closed {
                return None;
            }
            let Some((generation, _)) = state.waiting else {
                state = self
                    .changed
                    .wait(state)
                    .unwrap_or_else(PoisonError::into_inner);
                continue;
            };
            if !calm.is_zero() {
                let waited = self.changed.wait_timeout(state, calm);
                state = waited.unwrap_or_else(PoisonError::into_inner).0;
                let is_calm = state
                    .waiting
                    .as_ref()
                    .is_some_and(|(g, _)| *g == generation);
                if !is_calm {
                    continue;
                }
            }
            return state.waiting.take();
        }
    }
}

impl<T> Default for Slot<T> {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;
    use std::time::Instant;

    #[test]
    fn only_the_newest_request_is_taken() {
        let slot = Slot::new();
        slot.put(1, "old");
        slot.put(2, "new");
        assert_eq!(slot.take(Duration::ZERO), Some((2, "new")));
        assert!(slot.is_latest(2) && !slot.is_latest(1));
    }

    #[test]
    fn a_calm_taker_waits_until_the_hand_rests() {
        let slot = Arc::new(Slot::new());
        slot.put(1, 1);
        let mover = {
            let slot = Arc::clone(&slot);
            std::thread::spawn(move || {
                for g in 2..=5 {
                    std::thread::sleep(Duration::from_millis(10));
                    slot.put(g, g);
                }
            })
        };
        let began = Instant::now();
        let taken = slot.take(Duration::from_millis(200));
        mover.join().unwrap();
        assert_eq!(taken, Some((5, 5)));
        assert!(began.elapsed() >= Duration::from_millis(200));
    }

    #[test]
    fn a_later_request_ends_the_wait_of_an_earlier_one() {
        let slot = Arc::new(Slot::new());
        slot.put(1, 1);
        assert_eq!(slot.take(Duration::ZERO), Some((1, 1)));
        assert!(slot.stays_latest(1, Duration::from_millis(5)));
        let waiter = {
            let slot = Arc::clone(&slot);
            std::thread::spawn(move || slot.stays_latest(1, Duration::from_secs(600)))
        };
        slot.put(2, 2);
        assert!(!waiter.join().unwrap());
        assert!(!slot.stays_latest(1, Duration::from_secs(600)));
    }

    #[test]
    fn what_is_given_up_is_not_taken_and_the_next_request_is() {
        let slot = Slot::new();
        slot.put(1, 1);
        slot.give_up();
        assert!(!slot.is_latest(1) && !slot.is_closed());
        slot.put(2, 2);
        assert_eq!(slot.take(Duration::ZERO), Some((2, 2)));
        assert!(slot.is_latest(2));
    }

    #[test]
    fn closing_sends_everyone_home() {
        let slot: Arc<Slot<u8>> = Arc::new(Slot::new());
        let taker = {
            let slot = Arc::clone(&slot);
            std::thread::spawn(move || slot.take(Duration::ZERO))
        };
        slot.close();
        assert_eq!(taker.join().unwrap(), None);
        slot.put(3, 3);
        assert!(slot.is_closed() && !slot.is_latest(3));
    }
}
