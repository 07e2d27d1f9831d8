//! Timing of the drivers, of answers and of the window: `cargo bench -p dragback-bench`.

mod hand;

pub use hand::{Outcome, Window, ms, percentile};

/// What takes more than so many times its limit fails a check: what else a machine does may take as long again, and more. The program of the tests, with its debug
/// assertions and less optimisation, takes `slower` times as long as the one that is handed out.
#[must_use]
pub const fn too_long(slower: f64) -> f64 {
    if cfg!(debug_assertions) {
        3.0 * slower
    } else {
        3.0
    }
}

/// Most memory that the process has ever held, MB, where the system tells.
#[must_use]
pub fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1e3)
}
