//! What the figures mean, in a sentence or two.

use dragback_study::LoopAnswer;
use dragback_study::advice::runs_over;
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System};

use crate::margin;
use crate::number::{joined, shown, three};
use crate::widgets::Tone;

/// A sentence about the loop and how it is meant.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The answer.
    pub first: String,
    /// What goes with it; may be empty.
    pub second: String,
    /// How it is meant: as the worst of the figures.
    pub tone: Tone,
}

/// Margins within this many L/h of nothing count as just closing.
const NEARLY_L_PER_H: f64 = 0.5;
/// Heaters above this share of their power are the limit.
const FULL_DUTY: f64 = 0.98;

/// Reads the answers of a loop. The verdict is that of its worst figure: a loop that closes with a final rinse over its limit is not well.
#[must_use]
pub fn reading(line: &LoopAnswer, system: System) -> Reading {
    let (water, of_water) = water_words(line, system);
    let rinse = rinse_words(line);
    let (first, tone) = match (rinse, of_water) {
        (None, tone) => (format!("{water}."), tone),
        (Some(over), Tone::Alarm | Tone::Plain) => (format!("{water}, and {over}."), Tone::Alarm),
        (Some(over), _) => (format!("{water}, but {over}."), Tone::Alarm),
    };
    Reading {
        first,
        second: second(line, system),
        tone,
    }
}

fn flow(l_per_h: f64, system: System) -> String {
    let si = m3_per_s_from_l_per_h(l_per_h);
    joined(shown(Dim::VolumeFlow, si, system, Style::Default))
}

/// How the water stands, without a stop.
fn water_words(line: &LoopAnswer, system: System) -> (String, Tone) {
    let Some(margin) = margin::week(line) else {
        return if line.closure_margin_l_per_h.is_none() {
            let words = "No evaporator takes rinse water up here, so there is no loop to close";
            (words.to_owned(), Tone::Plain)
        } else {
            let words = "Next to no water runs, so the balance of this loop has no answer";
            (words.to_owned(), Tone::Caution)
        };
    };
    if margin >= -NEARLY_L_PER_H && runs_over(line) {
        let over = flow(line.over_brim_l_per_h, system);
        let words = format!("The tanks are too small for the shifts: {over} runs over");
        (words, Tone::Alarm)
    } else if margin < -NEARLY_L_PER_H {
        let over = flow(-margin, system);
        let words = format!("The loop does not close: {over} more comes in than can evaporate");
        (words, Tone::Alarm)
    } else if margin <= NEARLY_L_PER_H {
        let words = "The loop just closes, with nothing to spare";
        (words.to_owned(), Tone::Caution)
    } else {
        let spare = flow(margin, system);
        let tone = if line.heater_duty >= FULL_DUTY {
            Tone::Caution
        } else {
            Tone::Good
        };
        (
            format!("The loop closes over the week with {spare} to spare"),
            tone,
        )
    }
}

/// Whether the film on the work is over its limit.
fn rinse_words(line: &LoopAnswer) -> Option<String> {
    let film = line.final_rinse.film_mg_per_l;
    let limit = line.final_rinse.limit_mg_per_l?;
    (film > limit).then(|| {
        format!(
            "the final rinse is at {}\u{a0}mg/L, over its limit of {}",
            three(film, 1),
            three(limit, 1)
        )
    })
}

fn second(line: &LoopAnswer, system: System) -> String {
    let has_room = margin::week(line).is_some_and(|m| m > 0.0);
    let is_short_in_shift = margin::in_shift(line).is_some_and(|m| m < 0.0);
    if line.heater_duty >= FULL_DUTY {
        "Heat is the limit: full power, the tank below its set point.".to_owned()
    } else if line.to_treatment_l_per_h > 0.05 {
        let lost = flow(line.to_treatment_l_per_h, system);
        format!("{lost} goes to treatment.")
    } else if let Some(litres) = margin::storage_l(line)
        && has_room
        && is_short_in_shift
    {
        let room = shown(Dim::Volume, litres / 1000.0, system, Style::Default);
        format!("During shifts its tanks must hold back {}.", joined(room))
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use dragback_study::{AirChoice, Case, Depth, Hours, settled_answers};
    use std::sync::Arc;

    fn demo() -> LoopAnswer {
        let text = include_str!("../../../../scenarios/demo.ron");
        let scenario = dragback_scenario::load(text).0.unwrap();
        let cache = dragback_plant::TowerCache::default();
        let case = Case::new(Arc::new(scenario), &cache).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true);
        found.unwrap().answers.loops[0].clone()
    }

    #[test]
    fn the_verdict_is_that_of_the_worst_figure() {
        let mut line = demo();
        let well = reading(&line, System::Metric);
        assert_eq!(well.tone, Tone::Good);
        assert!(well.first.starts_with("The loop closes over the week with"));
        line.final_rinse.limit_mg_per_l = Some(0.5 * line.final_rinse.film_mg_per_l);
        let dirty = reading(&line, System::Metric);
        assert_eq!(dirty.tone, Tone::Alarm);
        assert!(
            dirty.first.contains("but the final rinse is at"),
            "{}",
            dirty.first
        );
        line.final_rinse.limit_mg_per_l = None;
        line.heater_duty = 1.0;
        assert_eq!(reading(&line, System::Metric).tone, Tone::Caution);
    }
}
