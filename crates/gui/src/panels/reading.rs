//! What the figures mean, in a sentence or two.

use dragback_run::Reading as Instrument;
use dragback_study::verdict::{Severity, Telling, verdict};
use dragback_study::{Answers, Counted, LoopAnswer, ToldAs};
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System, kelvin_from_celsius};

use crate::margin;
use crate::number::{joined, shown, strength, three};
use crate::widgets::Tone;
use crate::words::solute;

/// A sentence about the loop and how it is meant.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The answer.
    pub first: String,
    /// What goes with it, sentence by sentence; may be empty.
    pub rest: Vec<String>,
    /// How it is meant: as the worst that is said.
    pub tone: Tone,
}

/// Reads the answers of a loop: the worst first, then everything else that is to be said.
#[must_use]
pub fn reading(answers: &Answers, line: &LoopAnswer, system: System, counted: Counted) -> Reading {
    let lead = counted.told(&answers.solutes, &line.final_rinse.species);
    let told = Words {
        system,
        lead: Some(lead),
    };
    let found = verdict(answers, line);
    let mut sentences = found.iter().map(|f| format!("{}.", f.words(&told)));
    let first = sentences.next().unwrap_or_default();
    let mut rest: Vec<String> = sentences.collect();
    rest.extend(beside(line, system));
    let tone = match found.iter().map(|f| f.severity()).max() {
        Some(Severity::Alarm) => Tone::Alarm,
        Some(Severity::Caution) => Tone::Caution,
        Some(Severity::Good) => Tone::Good,
        _ => Tone::Plain,
    };
    Reading { first, rest, tone }
}

/// The window's way to write what a verdict names.
pub struct Words<'a> {
    /// Units.
    pub system: System,
    /// How strengths of the loop's lead solute are told, where a loop is spoken of.
    pub lead: Option<ToldAs<'a>>,
}

impl Words<'_> {
    /// Of no loop.
    #[must_use]
    pub const fn in_units(system: System) -> Self {
        Self { system, lead: None }
    }
}

/// A strength of the lead solute in rinse water, mg/L, as it is told.
#[must_use]
pub fn rinse_told(mg_per_l: f64, lead: &ToldAs<'_>) -> String {
    let told = format!("{}\u{a0}mg/L", three(lead.strength(mg_per_l), 1));
    match lead.as_salt() {
        Some(salt) => format!("{told} {salt}"),
        None => told,
    }
}

impl Telling for Words<'_> {
    fn flow(&self, l_per_h: f64) -> String {
        let si = m3_per_s_from_l_per_h(l_per_h);
        joined(shown(Dim::VolumeFlow, si, self.system, Style::Default))
    }

    fn rinse(&self, mg_per_l: f64) -> String {
        self.lead.map_or_else(
            || format!("{}\u{a0}mg/L", three(mg_per_l, 1)),
            |lead| rinse_told(mg_per_l, &lead),
        )
    }

    fn strength(&self, g_per_l: f64) -> String {
        joined(strength(g_per_l, self.system))
    }

    fn days(&self, days: f64) -> String {
        format!("{}\u{a0}days", three(days, 0))
    }

    fn reading(&self, reading: Instrument) -> String {
        let (dim, si) = match reading {
            Instrument::StrengthGPerL(g_per_l) => return self.strength(g_per_l),
            Instrument::AboutC(temp_c) => (Dim::Temperature, kelvin_from_celsius(temp_c.round())),
            Instrument::TemperatureC(temp_c) => (Dim::Temperature, kelvin_from_celsius(temp_c)),
            Instrument::LevelM(level_m) => (Dim::Length, level_m),
            Instrument::ConductivitySPerM(value) => (Dim::ElectricConductivity, value),
            // Hydrometers are read alike everywhere.
            Instrument::DensityKgPerM3(_) => return reading.to_string(),
        };
        joined(shown(dim, si, self.system, Style::Default))
    }

    fn solute(&self, name: &str) -> String {
        solute(name)
    }
}

/// What goes with the balance of water.
fn beside(line: &LoopAnswer, system: System) -> Option<String> {
    let has_room = margin::week(line).is_some_and(|m| m > 0.0);
    let is_short_in_shift = margin::in_shift(line).is_some_and(|m| m < 0.0);
    if line.to_treatment_l_per_h > 0.05 {
        let lost = Words::in_units(system).flow(line.to_treatment_l_per_h);
        return Some(format!("{lost} goes to treatment."));
    }
    let litres = margin::storage_l(line).filter(|_| has_room && is_short_in_shift)?;
    let room = shown(Dim::Volume, litres / 1000.0, system, Style::Default);
    Some(format!(
        "During shifts its tanks must hold back {}.",
        joined(room)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use dragback_study::{AirChoice, Case, Depth, Hours, settled_answers};
    use std::sync::Arc;

    fn answers(text: &str, depth: Depth) -> Answers {
        let scenario = dragback_scenario::load(text).0.unwrap();
        let cache = dragback_plant::TowerCache::default();
        let case = Case::new(Arc::new(scenario), &cache).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case, air, hours, depth, &mut |_| true);
        found.unwrap().answers
    }

    #[test]
    fn the_verdict_is_that_of_the_worst_figure() {
        let text = include_str!("../../../../scenarios/demo.ron");
        let answers = answers(text, Depth::Quick);
        let mut line = answers.loops[0].clone();
        let read = |line: &LoopAnswer| reading(&answers, line, System::Metric, Counted::Metal);
        let well = read(&line);
        assert_eq!(well.tone, Tone::Good);
        assert!(well.first.starts_with("The loop closes over the week with"));
        line.final_rinse.limit_mg_per_l = Some(0.5 * line.final_rinse.film_mg_per_l);
        let dirty = read(&line);
        assert_eq!(dirty.tone, Tone::Alarm);
        assert!(
            dirty.first.starts_with("The final rinse is at"),
            "{}",
            dirty.first
        );
        assert!(
            dirty
                .rest
                .join(" ")
                .contains("The loop closes over the week")
        );
        line.final_rinse.limit_mg_per_l = None;
        line.heater_duty = 1.0;
        assert_eq!(read(&line).tone, Tone::Caution);
    }

    #[test]
    fn impurities_that_pass_their_limit_within_a_year_are_no_good_verdict() {
        for (text, first) in [
            (
                include_str!("../../../../scenarios/zinc-barrel.ron"),
                "in bath passes its limit of",
            ),
            (
                include_str!("../../../../scenarios/chromium.ron"),
                "Chloride in bath passes its limit of",
            ),
        ] {
            let answers = answers(text, Depth::Full);
            let read = reading(&answers, &answers.loops[0], System::Metric, Counted::Metal);
            assert_eq!(read.tone, Tone::Alarm);
            assert!(read.first.contains(first), "{}", read.first);
        }
    }
}
