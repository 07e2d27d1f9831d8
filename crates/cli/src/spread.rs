//! Work spread over the cores.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

/// How often the one who waits is asked.
const LOOK: Duration = Duration::from_millis(100);

/// Does each piece of work on as many threads as there are cores; results stand in the order of the pieces. While it waits it calls `wait` with the number
/// of pieces done.
///
/// # Panics
/// When a piece does.
pub(crate) fn spread<T: Sync, R: Send>(
    pieces: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut wait: impl FnMut(usize),
) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let done = AtomicUsize::new(0);
    let found: Vec<Mutex<Option<R>>> = pieces.iter().map(|_| Mutex::new(None)).collect();
    thread::scope(|scope| {
        let (ends, waiting) = channel::<()>();
        let cores = thread::available_parallelism().map_or(1, usize::from);
        for _ in 0..cores.min(pieces.len()) {
            let (ends, next, done, found, work) = (ends.clone(), &next, &done, &found, &work);
            scope.spawn(move || {
                // Gone when the thread ends, however it does.
                let _ends = ends;
                loop {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let (Some(piece), Some(slot)) = (pieces.get(place), found.get(place)) else {
                        break;
                    };
                    let result = work(piece);
                    if let Ok(mut slot) = slot.lock() {
                        *slot = Some(result);
                    }
                    done.fetch_add(1, Ordering::Relaxed);
                }
            });
        }
        drop(ends);
        while waiting.recv_timeout(LOOK) == Err(RecvTimeoutError::Timeout) {
            wait(done.load(Ordering::Relaxed));
        }
    });
    let results = found.into_iter().filter_map(|slot| slot.into_inner().ok());
    results.flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_pieces() {
        let pieces: Vec<u64> = (0..50).collect();
        let squares = spread(&pieces, |n| n * n, |_| {});
        let wanted: Vec<u64> = pieces.iter().map(|n| n * n).collect();
        assert_eq!(squares, wanted);
        assert!(spread(&[] as &[u64], |n| *n, |_| {}).is_empty());
    }
}
