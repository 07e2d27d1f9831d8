//! Timing of the drivers, of answers and of the window: `cargo bench -p dragback-bench`.

mod hand;

pub use hand::{Outcome, Window, ms, percentile};

/// What takes more than so many times its limit fails a check: what else a machine does may take as long again. The program of the tests, with its debug assertions
/// and less optimisation, takes about twice as long as the one that is handed out.
pub const TOO_LONG: f64 = if cfg!(debug_assertions) { 6.0 } else { 3.0 };

/// Most memory that the process has ever held, MB, where the system tells.
#[must_use]
pub fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1e3)
}
