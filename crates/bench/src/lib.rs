//! Timing of the drivers on the demo: `cargo bench -p dragback-bench`.
