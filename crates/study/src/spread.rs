//! Work spread over the cores.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

/// How often the one who waits is asked.
const LOOK: Duration = Duration::from_millis(100);

/// Does each piece of work on as many threads as there are cores, and hands what came of it to `take`, with its place, as soon as it is there.
///
/// `goes_on` is asked after each piece and several times a second, with the number of pieces done. Once it says no, the work that is under way is told
/// so by its own watch, no further piece is begun, and nothing more is taken.
///
/// # Panics
/// When a piece does.
pub fn spread<T: Sync, R: Send>(
    pieces: &[T],
    work: impl Fn(&T, &mut dyn FnMut(f64) -> bool) -> R + Sync,
    mut take: impl FnMut(usize, R),
    mut goes_on: impl FnMut(usize) -> bool,
) {
    let next = AtomicUsize::new(0);
    let is_wanted = AtomicBool::new(true);
    thread::scope(|scope| {
        let (found, waiting) = channel();
        let cores = thread::available_parallelism().map_or(1, usize::from);
        for _ in 0..cores.min(pieces.len()) {
            let (found, next, is_wanted, work) = (found.clone(), &next, &is_wanted, &work);
            scope.spawn(move || {
                let mut watch = |_: f64| is_wanted.load(Ordering::Relaxed);
                while watch(0.0) {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let Some(piece) = pieces.get(place) else {
                        break;
                    };
                    if found.send((place, work(piece, &mut watch))).is_err() {
                        break;
                    }
                }
            });
        }
        // The channel ends with the last thread, however that ends.
        drop(found);
        let mut done = 0;
        loop {
            match waiting.recv_timeout(LOOK) {
                Ok((place, result)) => {
                    take(place, result);
                    done += 1;
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            if !goes_on(done) {
                is_wanted.store(false, Ordering::Relaxed);
                break;
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_piece_is_taken_once_with_its_place() {
        let pieces: Vec<u64> = (0..50).collect();
        let mut squares = vec![None; pieces.len()];
        let mut told = Vec::new();
        spread(
            &pieces,
            |n, _| n * n,
            |place, square| assert_eq!(squares[place].replace(square), None),
            |done| {
                told.push(done);
                true
            },
        );
        let wanted: Vec<Option<u64>> = pieces.iter().map(|n| Some(n * n)).collect();
        assert_eq!(squares, wanted);
        assert!(told.is_sorted() && told.last() == Some(&50));
        spread(&[] as &[u64], |n, _| *n, |_, _| panic!(), |_| true);
    }

    #[test]
    fn what_is_given_up_ends_early() {
        let begun = AtomicUsize::new(0);
        let pieces = [(); 1000];
        let mut taken = 0;
        let work = |(): &(), watch: &mut dyn FnMut(f64) -> bool| {
            // A thousand such pieces would go on for ever.
            if begun.fetch_add(1, Ordering::Relaxed) > 0 {
                while watch(0.0) {
                    thread::yield_now();
                }
            }
        };
        spread(&pieces, work, |_, ()| taken += 1, |done| done == 0);
        assert_eq!(taken, 1);
        let cores = thread::available_parallelism().map_or(1, usize::from);
        assert!(begun.load(Ordering::Relaxed) <= 2 * cores);
    }
}
