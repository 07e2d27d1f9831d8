//! The closure margin of a loop as the window tells it.

use dragback_study::LoopAnswer;

/// Room for more rinse water, mean of the week, L/h; `None` where there is no such figure.
#[must_use]
pub fn week(line: &LoopAnswer) -> Option<f64> {
    told(line.closure_margin_l_per_h.as_ref()?.week)
}

/// The same while work runs.
#[must_use]
pub fn in_shift(line: &LoopAnswer) -> Option<f64> {
    told(line.closure_margin_l_per_h.as_ref()?.in_shift)
}

/// The same in the worst month, and which that is.
#[must_use]
pub fn worst_month(line: &LoopAnswer) -> Option<(f64, &str)> {
    let margin = line.closure_margin_l_per_h.as_ref()?;
    Some((told(margin.worst_month)?, margin.month.as_str()))
}

fn told(l_per_h: f64) -> Option<f64> {
    l_per_h.is_finite().then_some(l_per_h)
}

/// Rinse water that tanks must hold over shift hours for the week to close, L; `None` where there is no such figure.
#[must_use]
pub fn storage_l(line: &LoopAnswer) -> Option<f64> {
    told(line.storage_needed_l?)
}
