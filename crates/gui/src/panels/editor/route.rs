//! The route: a row for each visit, and new stations at its end.

use dragback_scenario::{Body, Edit, Part, Spot};
use egui::{RichText, Ui};

use super::EditorPanel;
use super::pen::Pen;
use super::things::free_key;
use super::words::key_stem;
use crate::theme::{size, space};
use crate::widgets::quiet;

impl EditorPanel {
    pub(super) fn route_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, route: &Part) {
        for (i, visit) in route.parts().iter().enumerate() {
            let parts = visit.parts();
            let part = |name: &str| parts.iter().find(|p| p.meta.name == name);
            ui.horizontal(|ui| {
                let number = RichText::new(format!("{:>2}", i + 1)).size(size::HEADING);
                ui.label(number.color(pen.ctx.palette.quiet));
                for (name, words, width) in [
                    ("at", "", 150.0),
                    ("efficiency", "replaces", 74.0),
                    ("film", "leaves with", 110.0),
                ] {
                    let Some(part) = part(name) else { continue };
                    if !words.is_empty() {
                        quiet(ui, pen.ctx.palette, words);
                    }
                    let field = self.field_ui(pen, ui, part, width);
                    self.note_hint(pen, part, &field);
                }
                self.thing_buttons(pen, ui, route, (i, visit));
                if let Some(spray) = part("spray").filter(|p| matches!(p.body, Body::Absent)) {
                    let told = format!("Add: {}", pen.name(spray));
                    let button = ui.small_button("+ Spray").accessible_name(&told);
                    if button.on_hover_text(spray.meta.hint).clicked() {
                        self.try_ask(pen, &spray.spot, vec![add(&spray.spot, None)], told);
                    }
                }
            });
            self.wrong_ui(pen, ui, visit, 0);
            for name in ["at", "efficiency", "film"] {
                if let Some(part) = part(name) {
                    self.wrong_ui(pen, ui, part, 0);
                }
            }
            let told: Vec<&Part> = ["spray", "notes"]
                .into_iter()
                .filter_map(part)
                .filter(|p| match &p.body {
                    Body::Leaf(leaf) => leaf.written.is_some() || self.shows_all,
                    Body::Absent => false,
                    _ => true,
                })
                .collect();
            if !told.is_empty() {
                self.inner_ui(ui, true, |panel, ui| {
                    for part in told {
                        panel.part_ui(pen, ui, part, 1);
                    }
                });
            }
        }
        self.new_visits_ui(pen, ui, route);
    }

    /// A visit, or a station with its visit.
    fn new_visits_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, route: &Part) {
        let Some((line, _)) = route.spot.split() else {
            return;
        };
        ui.add_space(space::NEAR);
        ui.horizontal(|ui| {
            let visit = ui.button("Add a visit");
            let hint = "One more visit at the end, to a station that is there already.";
            if visit.on_hover_text(hint).clicked() {
                let what = "Add: Route".to_owned();
                self.try_ask(pen, &route.spot, vec![add(&route.spot, None)], what);
            }
            for (list, words, hint) in [
                (
                    "sections",
                    "Add a rinse section",
                    "A new run of counterflow rinses, visited at the end. Its sizes are usual ones, marked as assumed.",
                ),
                (
                    "stills",
                    "Add a still rinse",
                    "A new rinse without flow, visited at the end. Its sizes are usual ones, marked as assumed.",
                ),
            ] {
                if ui.button(words).on_hover_text(hint).clicked() {
                    let edits = new_station(pen, &line, route, list);
                    self.try_ask(pen, &route.spot, edits, words.to_owned());
                }
            }
        });
        ui.add_space(space::TIGHT);
        quiet(
            ui,
            pen.ctx.palette,
            "Work visits the stations from top to bottom. A section stands for all of its stages in order, section/2 for one of them.",
        );
    }
}

fn add(at: &Spot, key: Option<String>) -> Edit {
    Edit::Add {
        at: at.clone(),
        key,
    }
}

/// A new station, and a visit to it at the end of the route.
fn new_station(pen: &Pen<'_>, line: &Spot, route: &Part, list: &str) -> Vec<Edit> {
    let stations = line.child(list);
    let Some(part) = pen.draft.part(&stations) else {
        return Vec::new();
    };
    let key = free_key(part, key_stem(list));
    let visit = route.spot.child((route.parts().len() + 1).to_string());
    vec![
        add(&stations, Some(key.clone())),
        add(&route.spot, None),
        Edit::Write {
            at: visit.child("at"),
            text: key,
        },
    ]
}
