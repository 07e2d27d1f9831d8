//! What the figures mean, in a sentence or two.

use dragback_study::LoopAnswer;
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System};

use crate::number::{joined, shown};
use crate::widgets::Tone;

/// A sentence about the loop and how it is meant.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The answer.
    pub first: String,
    /// What goes with it; may be empty.
    pub second: String,
    /// How it is meant.
    pub tone: Tone,
}

/// Margins within this many L/h of nothing count as just closing.
const NEARLY_L_PER_H: f64 = 0.5;
/// Heaters above this share of their power are the limit.
const FULL_DUTY: f64 = 0.98;

/// Reads the answers of a loop.
#[must_use]
pub fn reading(line: &LoopAnswer, system: System) -> Reading {
    let flow = |l_per_h: f64| {
        joined(shown(
            Dim::VolumeFlow,
            m3_per_s_from_l_per_h(l_per_h),
            system,
            Style::Default,
        ))
    };
    let margins = line.closure_margin_l_per_h.as_ref();
    let margin = margins.map_or(f64::NAN, |m| m.week);
    let is_heat_limited = line.heater_duty >= FULL_DUTY;
    let (first, tone) = if margins.is_none() {
        (
            "There is no evaporator here, and nothing comes back to the bath.".to_owned(),
            Tone::Plain,
        )
    } else if !margin.is_finite() {
        (
            "The water balance of this loop has no answer.".to_owned(),
            Tone::Caution,
        )
    } else if margin < -NEARLY_L_PER_H {
        let over = flow(-margin);
        (
            format!("The loop does not close: {over} more comes in than can evaporate."),
            Tone::Alarm,
        )
    } else if margin <= NEARLY_L_PER_H {
        (
            "The loop just closes, with nothing to spare.".to_owned(),
            Tone::Caution,
        )
    } else {
        (
            format!(
                "The loop closes over the week with {} to spare.",
                flow(margin)
            ),
            Tone::Good,
        )
    };
    let second = if is_heat_limited {
        "Heat is the limit: the heaters are at full power and the tank falls below its set point."
            .to_owned()
    } else if line.to_treatment_l_per_h > 0.05 {
        format!("{} goes to treatment.", flow(line.to_treatment_l_per_h))
    } else if margin > 0.0
        && margins.is_some_and(|m| m.in_shift < 0.0)
        && let Some(litres) = line.storage_needed_l.filter(|l| l.is_finite())
    {
        let room = shown(Dim::Volume, litres / 1000.0, system, Style::Default);
        format!("During shifts its tanks must hold back {}.", joined(room))
    } else {
        String::new()
    };
    Reading {
        first,
        second,
        tone,
    }
}
