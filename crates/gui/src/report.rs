//! What tests of the real window read: answers after each lever change, and where things are on the screen.

use std::path::PathBuf;
use std::time::Duration;

use egui::{Color32, Pos2, Rect};
use serde_json::{Map, Value, json};

use crate::command::{Question, append_line};
use crate::results::Figures;
use crate::state::State;

/// Where things are, in points.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layout {
    /// Path and rail of each lever, and where its handle stands.
    pub levers: Vec<(String, Rect, Pos2)>,
    /// Area of the curves of the concentration plot.
    pub concentration_plot: Option<Rect>,
    /// Hue of the final station's curve.
    pub final_station_hue: Option<Color32>,
    /// Hue of the holding tank's curve.
    pub holding_tank_hue: Option<Color32>,
    /// Names and places of buttons and the like.
    pub places: Vec<(&'static str, Rect)>,
}

impl Layout {
    /// Whether anything but handles has moved.
    fn differs(&self, other: &Self) -> bool {
        let rails = |l: &Self| -> Vec<(String, Rect)> {
            l.levers
                .iter()
                .map(|(path, rail, _)| (path.clone(), *rail))
                .collect()
        };
        rails(self) != rails(other)
            || self.concentration_plot != other.concentration_plot
            || self.final_station_hue != other.final_station_hue
            || self.holding_tank_hue != other.holding_tank_hue
            || self.places != other.places
    }
}

/// Writes lines of JSON to the file that the options name; does nothing without one.
#[derive(Default)]
pub struct Reporter {
    path: Option<PathBuf>,
    last: Option<Layout>,
    answered: u64,
    /// What was last said to be shown.
    shown: Option<Value>,
}

impl Reporter {
    /// A reporter for a file.
    #[must_use]
    pub fn new(path: Option<PathBuf>) -> Self {
        Self {
            path,
            ..Self::default()
        }
    }

    /// Notes the answer to a lever change.
    pub fn answer(&mut self, figures: &Figures, preview_took: Option<Duration>) {
        let (Some(moved), Some(line)) = (&figures.asked.moved, figures.line()) else {
            return;
        };
        if figures.asked.generation <= self.answered {
            return;
        }
        self.answered = figures.asked.generation;
        let set: Vec<String> = moved
            .changes
            .iter()
            .map(|(path, text)| format!("{path}={text}"))
            .collect();
        self.write(&json!({
            "lever": moved.path,
            "value_si": moved.si,
            "set": set,
            "final_rinse_film_mg_per_l": line.final_rinse.film_mg_per_l,
            "generation": figures.asked.generation,
            "settled_ms": 1e3 * figures.took.as_secs_f64(),
            "preview_ms": preview_took.map(|t| 1e3 * t.as_secs_f64()),
        }));
    }

    /// Notes where things are, when that has changed.
    pub fn layout(&mut self, layout: &Layout, pixels_per_point: f32) {
        if self.path.is_none() || layout.concentration_plot.is_none() {
            return;
        }
        if self.last.as_ref().is_some_and(|last| !layout.differs(last)) {
            return;
        }
        self.last = Some(layout.clone());
        let rgb = |c: Color32| [c.r(), c.g(), c.b()];
        let named: Map<String, Value> = layout
            .places
            .iter()
            .rev()
            .map(|(name, rect)| {
                let at = rect.center();
                (
                    (*name).to_owned(),
                    json!([rect.left(), at.x, rect.right(), at.y].map(|v| v * pixels_per_point)),
                )
            })
            .collect();
        let px = |r: Rect| [r.left(), r.top(), r.right(), r.bottom()].map(|v| v * pixels_per_point);
        let levers: Vec<Value> = layout
            .levers
            .iter()
            .map(|(path, rail, handle)| {
                let at = [handle.x, handle.y].map(|v| v * pixels_per_point);
                json!({"path": path, "rail_px": px(*rail), "handle_px": at})
            })
            .collect();
        self.write(&json!({
            "layout": {
                "pixels_per_point": pixels_per_point,
                "levers": levers,
                "concentration_plot_px": layout.concentration_plot.map(px),
                "places_px": named,
                "final_station_rgb": layout.final_station_hue.map(rgb),
                "holding_tank_rgb": layout.holding_tank_hue.map(rgb),
            }
        }));
    }

    /// Notes what is shown, when that has changed: scenario, cursor, whether a state is kept, how many changes there are.
    pub fn state(&mut self, state: &State) {
        if self.path.is_none() {
            return;
        }
        let document = state.document.as_ref();
        let now = json!({"state": {
            "scenario": document.map(|d| d.origin.name.clone()),
            "changes": document.map_or(0, |d| d.changed_texts().len()),
            "cursor_day": state.playhead.day,
            "is_pinned": state.pinned.is_some(),
            "has_advice": state.results.advice().is_some(),
            "page": state.page.map(|page| format!("{page:?}")),
            "asks": state.question.as_ref().map(|question| match question {
                Question::Unsaved { .. } => "unsaved",
                Question::Restore { .. } => "restore",
                Question::TakeUp { .. } => "take up",
                Question::Comments { .. } => "comments",
            }),
        }});
        if self.shown.as_ref() != Some(&now) {
            self.write(&now);
            self.shown = Some(now);
        }
    }

    fn write(&mut self, line: &Value) {
        if let Some(path) = &self.path {
            // A report that cannot be written is a test that fails by itself; the window goes on.
            if append_line(path, &line.to_string()).is_err() {
                self.path = None;
            }
        }
    }
}
