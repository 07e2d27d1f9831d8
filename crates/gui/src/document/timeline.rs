//! Events of the scenario: step changes, failures, repairs. They are part of the document, and every change of them can be undone.

use dragback_scenario::{
    Deed, Dump, Event, Input, Problem, Scenario, SetValue, event_words, get, set, set_si,
};
use dragback_units::{Quantity, dim};

use super::history::Stroke;
use super::{Document, Setting};

/// What undo calls a change of events.
const TIMELINE: &str = "a change on the timeline";
/// Step changes of one input within this many hours are one.
const SAME_H: f64 = 1.0 / 60.0;

/// An event as the timeline lists it.
#[derive(Clone, Debug, PartialEq)]
pub struct EventLine {
    /// Number in the scenario's list.
    pub index: usize,
    /// When, hours from the start; `None` for one that waits for an electrode or alarm.
    pub at_h: Option<f64>,
    /// What happens, in words.
    pub words: String,
    /// New value as written, of a step change.
    pub value: Option<String>,
}

/// Something new on the timeline.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NewEvent {
    /// A device stops working.
    Fail(String),
    /// It works again.
    Restore(String),
    /// It is run by hand.
    ByHand(String),
    /// It follows its instruments again.
    Automatic(String),
    /// A water fails.
    StopWater(String),
    /// It returns.
    RestoreWater(String),
    /// An electrode, thermostat or alarm keeps its state.
    Stick(String),
    /// It follows its signal again.
    Free(String),
    /// A share of a tank is pumped out to treatment.
    Dump {
        /// Path of the tank.
        tank: String,
        /// The share in percent, as it is written.
        percent: u8,
    },
}

impl Document {
    /// All events, those with a time first and in its order.
    #[must_use]
    pub fn events(&self) -> Vec<EventLine> {
        let each = self
            .scenario
            .events
            .iter()
            .enumerate()
            .map(|(index, e)| EventLine {
                index,
                at_h: e
                    .at
                    .as_ref()
                    .map(|at| at.si() / dragback_units::constants::SECONDS_PER_HOUR),
                words: self.event_words(e),
                value: e.act.set.as_ref().map(|s| s.value.clone()),
            });
        let mut all: Vec<EventLine> = each.collect();
        let rank = |e: &EventLine| e.at_h.unwrap_or(f64::INFINITY);
        all.sort_by(|a, b| rank(a).total_cmp(&rank(b)));
        all
    }

    fn event_words(&self, event: &Event) -> String {
        let input = |path: &str| self.name_of(path);
        event_words(event, self.scenario.loops.len(), &input)
    }

    /// The value of an input at a time of the run, SI: that of the last step change before it, or that of the scenario.
    #[must_use]
    pub fn value_in_force(&self, path: &str, at_h: f64) -> Option<f64> {
        let mut now = None;
        let mut when = f64::NEG_INFINITY;
        for event in &self.scenario.events {
            let (Some(at), Some(set)) = (&event.at, &event.act.set) else {
                continue;
            };
            let hours = at.si() / dragback_units::constants::SECONDS_PER_HOUR;
            if set.path == path && hours <= at_h + SAME_H && hours >= when {
                (now, when) = (Some(set.value.as_str()), hours);
            }
        }
        let si_of = |s: &Scenario| get(s, path).ok()?.si();
        match now {
            None => si_of(&self.scenario),
            Some(text) => {
                let mut changed = Scenario::clone(&self.scenario);
                set(&mut changed, path, text).ok()?;
                si_of(&changed)
            }
        }
    }

    /// Gives an input a new value from a time of the run on: a step change that is already there at that time takes the value.
    ///
    /// # Errors
    /// What is wrong with the value, or with the plant that it leads to; nothing is changed then.
    pub fn set_step(
        &mut self,
        path: &str,
        at_h: f64,
        setting: &Setting,
        gesture: u64,
    ) -> Result<(), Problem> {
        let mut changed = Scenario::clone(&self.scenario);
        match setting {
            Setting::Si(si) => set_si(&mut changed, path, *si)?,
            Setting::Text(text) => set(&mut changed, path, text)?,
        }
        let value = get(&changed, path)?.text().unwrap_or_default().to_owned();
        let at = time(at_h)?;
        self.edit_events(gesture, |events| {
            let is_same = |e: &&mut Event| {
                let is_here = e.at.as_ref().is_some_and(|t| {
                    (t.si() - at.si()).abs() <= SAME_H * dragback_units::constants::SECONDS_PER_HOUR
                });
                is_here && e.act.set.as_ref().is_some_and(|s| s.path == path)
            };
            if let Some(set) = events
                .iter_mut()
                .find(is_same)
                .and_then(|e| e.act.set.as_mut())
            {
                set.value.clone_from(&value);
            } else {
                let mut event = plain(at.clone());
                event.act.set = Some(SetValue {
                    path: path.to_owned(),
                    value: value.clone(),
                    notes: None,
                });
                events.push(event);
            }
        })
    }

    /// Puts something new on the timeline.
    ///
    /// # Errors
    /// As for [`Document::set_step`].
    pub fn add_event(&mut self, at_h: f64, new: NewEvent, gesture: u64) -> Result<(), Problem> {
        let mut event = plain(time(at_h)?);
        match new {
            NewEvent::Fail(path) => event.act.fail = Some(path),
            NewEvent::Restore(path) => event.act.restore = Some(path),
            NewEvent::ByHand(path) => event.act.by_hand = Some(path),
            NewEvent::Automatic(path) => event.act.automatic = Some(path),
            NewEvent::StopWater(key) => event.act.stop_water = Some(key),
            NewEvent::RestoreWater(key) => event.act.restore_water = Some(key),
            NewEvent::Stick(path) => event.act.stick = Some(path),
            NewEvent::Free(path) => event.act.free = Some(path),
            NewEvent::Dump { tank, percent } => {
                let share = Quantity::parse(&format!("{percent} %")).map_err(|fault| {
                    Problem::at("events", fault.to_string(), "give a share of the tank")
                })?;
                event.act.dump = Some(Dump {
                    tank,
                    share: Input::new(share),
                    notes: None,
                });
            }
        }
        self.edit_events(gesture, |events| events.push(event))
    }

    /// Moves an event to another time.
    ///
    /// # Errors
    /// As for [`Document::set_step`].
    pub fn move_event(&mut self, index: usize, at_h: f64, gesture: u64) -> Result<(), Problem> {
        let at = time(at_h)?;
        self.edit_events(gesture, |events| {
            if let Some(event) = events.get_mut(index).filter(|e| e.at.is_some()) {
                event.at = Some(at);
            }
        })
    }

    /// Gives a step change another value.
    ///
    /// # Errors
    /// As for [`Document::set_step`].
    pub fn edit_event(&mut self, index: usize, value: &str, gesture: u64) -> Result<(), Problem> {
        self.edit_events(gesture, |events| {
            if let Some(set) = events.get_mut(index).and_then(|e| e.act.set.as_mut()) {
                value.clone_into(&mut set.value);
            }
        })
    }

    /// Takes an event away.
    ///
    /// # Errors
    /// As for [`Document::set_step`].
    pub fn remove_event(&mut self, index: usize, gesture: u64) -> Result<(), Problem> {
        self.edit_events(gesture, |events| {
            if index < events.len() {
                events.remove(index);
            }
        })
    }

    fn edit_events(
        &mut self,
        gesture: u64,
        edit: impl FnOnce(&mut Vec<Event>),
    ) -> Result<(), Problem> {
        let mut events = self.scenario.events.clone();
        edit(&mut events);
        let mut base = Scenario::clone(&self.content.base);
        let mut scenario = Scenario::clone(&self.scenario);
        base.events.clone_from(&events);
        scenario.events = events;
        // What was set in an event by its path is part of the event now.
        let mut changes = self.content.changes.as_ref().clone();
        changes.retain(|path, _| !path.starts_with("events."));
        let stroke = Stroke {
            what: TIMELINE.to_owned(),
            gesture,
        };
        self.rebase((base, scenario), changes, stroke)
    }
}

/// An event at a time that does nothing yet.
fn plain(at: Input<dim::Time>) -> Event {
    Event {
        name: None,
        at: Some(at),
        when: None,
        act: Deed {
            fail: None,
            restore: None,
            by_hand: None,
            automatic: None,
            stick: None,
            free: None,
            reset: None,
            dump: None,
            stop_water: None,
            restore_water: None,
            set: None,
            notes: None,
        },
        notes: None,
    }
}

/// A time as a person would write it: whole days, or hours to the minute.
fn time(at_h: f64) -> Result<Input<dim::Time>, Problem> {
    let minutes = (60.0 * at_h.max(0.0)).round();
    let text = if minutes % 1440.0 == 0.0 {
        format!("{} d", minutes / 1440.0)
    } else {
        let hours = format!("{:.2}", minutes / 60.0);
        format!("{} h", hours.trim_end_matches('0').trim_end_matches('.'))
    };
    let quantity = Quantity::parse(&text)
        .map_err(|fault| Problem::at("events", fault.to_string(), "give a time of the run"))?;
    Ok(Input::new(quantity))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::document::Origin;

    const RINSE: &str = "loop.sections.rinses.flow";

    fn demo() -> Document {
        let text = include_str!("../../../../scenarios/demo.ron");
        Document::read(text, Origin::default(), 1).unwrap()
    }

    #[test]
    fn a_lever_moved_from_the_cursor_is_one_step_change_and_one_step_of_undo() {
        let mut document = demo();
        let before = Arc::clone(&document.scenario);
        let si = document.lever(RINSE).unwrap().si;
        for i in 1..=5 {
            let setting = Setting::Si(si * (1.0 + 0.1 * f64::from(i)));
            document.set_step(RINSE, 30.0 * 24.0, &setting, 7).unwrap();
        }
        let events = document.events();
        assert_eq!(events.len(), 1, "{events:?}");
        assert_eq!(events[0].at_h, Some(720.0));
        assert_eq!(
            document.lever(RINSE).unwrap().si,
            si,
            "the input itself stays"
        );
        let now = |h: f64| document.value_in_force(RINSE, h).unwrap() / si;
        assert!((now(719.0) - 1.0).abs() < 1e-12 && (now(721.0) - 1.5).abs() < 1e-9);
        assert!(document.is_dirty());
        let again = Document::read(&document.text(), Origin::default(), 2).unwrap();
        assert_eq!(again.events(), events);
        assert_eq!(document.undo().as_deref(), Some(TIMELINE));
        assert_eq!(document.scenario, before);
        assert!(!document.is_dirty());
        document.redo();
        assert_eq!(document.events(), events);
    }

    #[test]
    fn events_are_moved_edited_and_removed_and_bad_ones_refused() {
        let mut document = demo();
        let fan = "loop.holding_tank.elements.e1";
        document
            .add_event(48.0, NewEvent::Fail(fan.to_owned()), 1)
            .unwrap();
        document
            .add_event(96.5, NewEvent::Restore(fan.to_owned()), 2)
            .unwrap();
        document
            .set_step(RINSE, 240.0, &Setting::Text("80 L/h".to_owned()), 3)
            .unwrap();
        let words: Vec<String> = document.events().into_iter().map(|e| e.words).collect();
        assert_eq!(words[0], "element e1 of the holding tank fails");
        assert!(words[2].contains("becomes 80 L/h"), "{words:?}");
        document.move_event(0, 120.0, 4).unwrap();
        assert_eq!(document.events()[1].at_h, Some(120.0));
        document.edit_event(2, "70 L/h", 5).unwrap();
        assert_eq!(document.events()[2].value.as_deref(), Some("70 L/h"));
        let kept = Arc::clone(&document.scenario);
        assert!(document.edit_event(2, "70 °C", 6).is_err());
        let stranger = NewEvent::Fail("loop.nobody".to_owned());
        assert!(document.add_event(1.0, stranger, 7).is_err());
        assert_eq!(document.scenario, kept);
        let half = NewEvent::Dump {
            tank: "loop.sections.rinses/1".to_owned(),
            percent: 50,
        };
        document.add_event(300.0, half, 10).unwrap();
        let probe = "loop.holding_tank.electrodes.transfer".to_owned();
        for new in [NewEvent::Stick(probe.clone()), NewEvent::Free(probe)] {
            document.add_event(310.0, new, 11).unwrap();
        }
        let words: Vec<String> = document.events().into_iter().map(|e| e.words).collect();
        assert_eq!(words[3], "50 % of rinses 1 is pumped out");
        assert_eq!(words[4], "transfer electrode of the holding tank sticks");
        assert_eq!(
            words[5],
            "transfer electrode of the holding tank moves again"
        );
        for _ in 0..3 {
            document.remove_event(3, 12).unwrap();
        }
        document.remove_event(1, 8).unwrap();
        assert_eq!(document.events().len(), 2);
        let change = Setting::Text("100 L/h".to_owned());
        document.change(RINSE, change, 9).unwrap();
        assert_eq!(document.events().len(), 2, "a lever leaves events alone");
    }
}
