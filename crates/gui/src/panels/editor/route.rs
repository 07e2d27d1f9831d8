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
            self.one_more_ui(pen, ui, &line, route);
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
                    "A new run of counterflow rinses, visited at the end. It is fed and overflows as the section before it; its sizes are usual ones, marked as assumed.",
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

impl EditorPanel {
    /// One more stage in the last section: the same water passes one more rinse.
    fn one_more_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, line: &Spot, route: &Part) {
        let Some(section) = last_section(pen, line, route) else {
            return;
        };
        let stages = section.parts().iter().find(|p| p.meta.name == "stages");
        let written = |p: &Part| p.leaf()?.written.as_deref()?.parse::<u32>().ok();
        let Some((at, now)) = stages.and_then(|p| Some((p.spot.clone(), written(p)?))) else {
            return;
        };
        let words = format!("One more rinse in {}", section.spot.last());
        let hint = format!(
            "{} stages in counterflow in place of {now}: the same water passes one more rinse.",
            now + 1
        );
        if ui.button(&words).on_hover_text(hint).clicked() {
            let text = (now + 1).to_string();
            self.try_ask(pen, &route.spot, vec![Edit::Write { at, text }], words);
        }
    }
}

/// The section that work visits last.
fn last_section<'p>(pen: &Pen<'p>, line: &Spot, route: &Part) -> Option<&'p Part> {
    let sections = pen.draft.part(&line.child("sections"))?;
    let of_visit = |visit: &Part| {
        let at = visit.parts().iter().find(|p| p.meta.name == "at")?;
        let at = at.leaf()?.written.as_deref()?;
        let key = at.split('/').next()?;
        sections.parts().iter().find(|s| s.spot.last() == key)
    };
    let visited = route.parts().iter().rev().find_map(of_visit);
    visited.or_else(|| sections.parts().last())
}

/// A new section is fed and overflows as the one before it; the first one into the collection tank, where the loop has one.
pub(super) fn as_the_one_before(pen: &Pen<'_>, section: &Spot) -> Vec<Edit> {
    let Some(line) = section.split().and_then(|(list, _)| Some(list.split()?.0)) else {
        return Vec::new();
    };
    let write = |name: &str, text: &str| Edit::Write {
        at: section.child(name),
        text: text.to_owned(),
    };
    let route = pen.draft.part(&line.child("route"));
    if let Some(before) = route.and_then(|route| last_section(pen, &line, route)) {
        let written = |name: &&str| {
            let part = before.parts().iter().find(|p| p.meta.name == *name)?;
            let written = part.leaf()?.written.as_deref()?;
            // A feed by conductivity needs its instrument too, which is the old section's own.
            (written != "conductivity").then(|| write(name, written))
        };
        return ["water", "feed", "drain"]
            .iter()
            .filter_map(written)
            .collect();
    }
    let collection = pen.draft.part(&line.child("collection"));
    let is_there = collection.is_some_and(|c| !matches!(c.body, Body::Absent));
    if is_there {
        vec![write("drain", "collection")]
    } else {
        Vec::new()
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
    let mut edits = vec![add(&stations, Some(key.clone()))];
    if list == "sections" {
        edits.extend(as_the_one_before(pen, &stations.child(&key)));
    }
    edits.extend(visit_at_the_end(route, &key));
    edits
}

/// A visit to a station at the end of a route.
pub(super) fn visit_at_the_end(route: &Part, key: &str) -> [Edit; 2] {
    let visit = route.spot.child((route.parts().len() + 1).to_string());
    [
        add(&route.spot, None),
        Edit::Write {
            at: visit.child("at"),
            text: key.to_owned(),
        },
    ]
}
