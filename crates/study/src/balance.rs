//! How the water, the heat, the final rinse and the bath of a loop stand: the one reading of an answer that verdict and advice share.

use crate::answers::{BathAnswer, LoopAnswer};

/// Heaters above this share of their power are at their limit.
const FULL_DUTY: f64 = 0.98;
/// A tank that misses its set point by less holds it: what a face shows to a tenth, K.
const HOLDS_K: f64 = 0.2;
/// Water over the brim of more than this share of the rinse feed is told.
const RUNS_OVER: f64 = 1e-3;
/// A margin below zero by less is none: less than a face shows, L/h.
pub(crate) const DUST_L_PER_H: f64 = 0.05;
/// A margin of less than this share of the rinse feed is next to nothing.
const NEXT_TO_NOTHING: f64 = 0.02;
/// A bath whose lead solute settles below this share of what it began with is not held.
const RUN_DOWN: f64 = 0.5;
/// A bath further from its set point is not held there, K.
const OFF_K: f64 = 1.0;

/// The closure margin, mean of the week, L/h; `None` where it has no number.
#[must_use]
pub fn margin(line: &LoopAnswer) -> Option<f64> {
    let week = line.closure_margin_l_per_h.as_ref()?.week;
    week.is_finite().then_some(week)
}

/// Whether more comes in than can evaporate.
#[must_use]
pub fn is_short_of_room(line: &LoopAnswer) -> bool {
    margin(line).is_some_and(|m| m < -DUST_L_PER_H)
}

/// Whether the margin is so small that any change eats it up.
pub(crate) fn just_closes(line: &LoopAnswer) -> bool {
    margin(line).is_some_and(|m| m <= NEXT_TO_NOTHING * line.rinse_feed_l_per_h)
}

/// Whether water runs over the brim of the collection tank.
#[must_use]
pub fn runs_over(line: &LoopAnswer) -> bool {
    line.over_brim_l_per_h > RUNS_OVER * line.rinse_feed_l_per_h
}

/// Whether the loop closes and its tanks hold what the shifts bring.
pub(crate) fn closes(line: &LoopAnswer) -> bool {
    margin(line).is_some_and(|m| m >= -DUST_L_PER_H) && !runs_over(line)
}

/// Whether the film on the work keeps its limit. No film, and one too clean to tell, does.
#[must_use]
pub fn is_clean(line: &LoopAnswer) -> bool {
    let rinse = &line.final_rinse;
    !rinse
        .limit_mg_per_l
        .is_some_and(|limit| rinse.film_mg_per_l > limit)
}

/// Whether the evaporation heaters are at full power while they are needed; where there are none, a tank that misses its set point needs them.
#[must_use]
pub fn uses_all_heat(line: &LoopAnswer) -> bool {
    let has_none = line.heater_mean_kw <= 0.0;
    line.heater_duty >= FULL_DUTY || (has_none && missing_k(line).is_some())
}

/// By how much the tank that feeds the towers misses what its thermostat is to keep, K; `None` where it holds it.
#[must_use]
pub fn missing_k(line: &LoopAnswer) -> Option<f64> {
    let missing = line.thermostat_c? - line.evaporation_temperature_c?;
    (missing >= HOLDS_K).then_some(missing)
}

impl BathAnswer {
    /// Whether nothing keeps up its lead solute, so that settled figures are those of a spent bath.
    #[must_use]
    pub fn runs_down(&self) -> bool {
        self.lead_g_per_l < RUN_DOWN * self.lead_at_start_g_per_l
    }

    /// How far its mean temperature is above its set point (below zero: under it), K; `None` where it is held there.
    #[must_use]
    pub fn off_k(&self) -> Option<f64> {
        let off = self.temperature_c - self.set_point_c;
        (off.abs() > OFF_K).then_some(off)
    }
}
