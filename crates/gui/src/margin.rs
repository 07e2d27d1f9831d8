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

/// What evaporated less what was fed over a stretch of time, L/h: what stands for the margin at a moment.
#[must_use]
pub fn of_moment(line: &LoopAnswer) -> f64 {
    line.evaporation_l_per_h + line.surface_evaporation_l_per_h - line.rinse_feed_l_per_h
}

fn told(l_per_h: f64) -> Option<f64> {
    l_per_h.is_finite().then_some(l_per_h)
}

/// Rinse water that tanks must hold over shift hours for the week to close, L; `None` where there is no such figure.
#[must_use]
pub fn storage_l(line: &LoopAnswer) -> Option<f64> {
    told(line.storage_needed_l?)
}
