//! Timing of the drivers, of answers and of the window: `cargo bench -p dragback-bench`.

mod hand;

pub use hand::{Outcome, Window, ms, percentile};

/// Most memory that the process has ever held, MB, where the system tells.
#[must_use]
pub fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1e3)
}
