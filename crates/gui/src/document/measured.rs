//! A measured drag-out: its value with origin and range becomes part of the scenario, as if it had stood in the file.

use dragback_scenario::{Input, Origin, Problem, Scenario, get, set};
use dragback_units::{Dim, Dimension, Quantity, Style, System, format_in};

use super::Document;
use super::history::Stroke;
use crate::measured::Measured;

/// Digits of a measured value: it is not known better.
const DIGITS: usize = 4;

impl Document {
    /// Gives the drag-out input what was measured. Where it is one input of the file, it is marked measured and keeps the range too; a mean over
    /// kinds of parts takes the value alone.
    ///
    /// # Errors
    /// What is wrong with the value, or with the plant that it leads to; nothing is changed then.
    pub fn take_measured(
        &mut self,
        measured: &Measured,
        system: System,
        gesture: u64,
    ) -> Result<(), Problem> {
        let path = &measured.path;
        let parameter = get(&self.scenario, path)?;
        let dim = parameter.dim().unwrap_or(Dim::Film);
        let (least, most) = parameter.allowed_si().unwrap_or((0.0, f64::INFINITY));
        let text = |si: f64| format_in(dim.display_unit(system, Style::Default), si, DIGITS);
        let texts = [
            measured.low_si.max(least),
            measured.si,
            measured.high_si.min(most),
        ]
        .map(text);
        let mut base = Scenario::clone(&self.content.base);
        let mut scenario = Scenario::clone(&self.scenario);
        for one in [&mut base, &mut scenario] {
            set(one, path, &texts[1])?;
            mark(one, path, &texts);
        }
        let mut changes = self.content.changes.as_ref().clone();
        changes.remove(path);
        let stroke = Stroke {
            what: path.clone(),
            gesture,
        };
        self.rebase((base, scenario), changes, stroke)
    }
}

/// Marks the input at a path as measured, with its range; `texts` are low, value and high.
fn mark(scenario: &mut Scenario, path: &str, texts: &[String; 3]) {
    let Some((key, name)) = path.split_once(".work.drag_out.") else {
        return;
    };
    let Some(line) = scenario.loops.get_mut(key) else {
        return;
    };
    let out = &mut line.work.drag_out;
    match name {
        "film" => note(out.film.as_mut(), texts),
        "flow" => note(out.flow.as_mut(), texts),
        "per_load" => note(out.per_load.as_mut(), texts),
        _ => {}
    }
    // It was measured as work drips now.
    if out.drain_reference.is_some() {
        out.drain_reference.clone_from(&out.drain_time);
    }
}

fn note<D: Dimension>(input: Option<&mut Input<D>>, texts: &[String; 3]) {
    let Some(input) = input else { return };
    let [low, likely, high] = texts.each_ref().map(|t| Quantity::parse(t).ok());
    input.origin = Some(Origin::Measured);
    (input.low, input.likely, input.high) = (low, likely, high);
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::document::{Origin as From, Setting};
    use dragback_scenario::{load, save};

    const FILM: &str = "loop.work.drag_out.film";

    fn demo() -> Document {
        let text = include_str!("../../../../scenarios/demo.ron");
        Document::read(text, From::default(), 1).unwrap()
    }

    fn measured(si: f64) -> Measured {
        Measured {
            path: FILM.to_owned(),
            si,
            low_si: 0.9 * si,
            high_si: 1.2 * si,
        }
    }

    #[test]
    fn a_measured_film_keeps_its_range_through_saving_and_is_one_step_of_undo() {
        let mut document = demo();
        let path = document.levers[0].path.clone();
        assert_eq!(path, FILM);
        document
            .change(FILM, Setting::Si(2.0 * document.levers[0].si), 1)
            .unwrap();
        let before = Arc::clone(&document.scenario);
        document
            .take_measured(&measured(0.2e-3), System::Metric, 2)
            .unwrap();
        assert!(document.is_dirty());
        let (scenario, problems) = load(&save(&document.scenario));
        assert!(problems.is_empty(), "{problems:?}");
        let film = get(&scenario.unwrap(), FILM).unwrap().leaf;
        assert_eq!(film.origin, Some(Origin::Measured));
        assert_eq!(film.text.as_deref(), Some("0.2 L/m²"));
        let spread = [film.spread.low, film.spread.likely, film.spread.high];
        for (found, wanted) in spread.into_iter().zip([0.18e-3, 0.2e-3, 0.24e-3]) {
            assert!((found.unwrap() / wanted - 1.0).abs() < 1e-9);
        }
        assert_eq!(document.undo().as_deref(), Some(FILM));
        assert_eq!(document.scenario, before);
    }

    #[test]
    fn what_cannot_be_changes_nothing() {
        let mut document = demo();
        let before = Arc::clone(&document.scenario);
        for bad in [0.0, 1.0, f64::NAN] {
            let outcome = document.take_measured(&measured(bad), System::Us, 1);
            assert!(outcome.is_err(), "{bad}");
        }
        assert!(Arc::ptr_eq(&document.scenario, &before) && document.undo_name().is_none());
    }
}
