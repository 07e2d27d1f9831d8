//! What can be done with the things of a list or map: keys, order, copies, new ones.

use dragback_scenario::{Body, Edit, Part, Spot};
use egui::{Button, ComboBox, Key, RichText, TextEdit, Ui, vec2};

use super::EditorPanel;
use super::pen::Pen;
use super::route::{as_the_one_before, visit_at_the_end};
use super::words::{key_stem, one_of};
use crate::theme::size;
use crate::widgets::quiet;

impl EditorPanel {
    /// The key of a thing, which can be changed; everything that names it follows.
    pub(super) fn key_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, thing: &Part, width: f32) {
        let at = thing.spot.child("");
        let now = thing.spot.last().to_owned();
        let mut text = match &self.writing {
            Some((spot, text)) if *spot == at => text.clone(),
            _ => now.clone(),
        };
        let field = TextEdit::singleline(&mut text)
            .id_salt(("key", &thing.spot))
            .font(crate::theme::font(size::HEADING))
            .text_color(pen.ctx.palette.accent)
            .desired_width(width - 12.0)
            .margin(vec2(6.0, 2.0));
        let name = format!("Key of {}", pen.name(thing));
        let response = ui.add(field).accessible_name(&name);
        if response.hovered() || response.has_focus() {
            let hint = "Its key. Where other fields name it, they follow a new key.";
            self.hint = Some((name.clone(), hint.to_owned()));
        }
        let key = text.trim();
        if self.is_typed(ui, &at, &response, &text) && key != now {
            let edit = Edit::Rename {
                at: thing.spot.clone(),
                key: key.to_owned(),
            };
            self.try_ask(pen, &thing.spot, vec![edit], name);
        }
    }

    /// What can be done with a thing of a list or map.
    pub(super) fn thing_buttons(
        &mut self,
        pen: &Pen<'_>,
        ui: &mut Ui,
        list: &Part,
        (i, thing): (usize, &Part),
    ) {
        let count = list.parts().len();
        let at = || thing.spot.clone();
        let name = pen.name(thing);
        let is_map = matches!(list.body, Body::Map(_));
        let copy_key = is_map.then(|| free_key(list, thing.spot.last()));
        let buttons = [
            (
                "↑",
                "Up",
                i > 0,
                Edit::Move {
                    at: at(),
                    is_down: false,
                },
            ),
            (
                "↓",
                "Down",
                i + 1 < count,
                Edit::Move {
                    at: at(),
                    is_down: true,
                },
            ),
            (
                "Copy",
                "Copy",
                true,
                Edit::Copy {
                    at: at(),
                    key: copy_key,
                },
            ),
            ("Remove", "Remove", true, Edit::Remove { at: at() }),
        ];
        for (words, what, is_on, edit) in buttons {
            let told = format!("{what}: {name}");
            let button = ui.add_enabled(is_on, Button::new(words).small());
            if button.accessible_name(&told).clicked() {
                let edits = self.with_visits(pen, thing, edit);
                self.try_ask(pen, &thing.spot, edits, told);
            }
        }
    }

    /// A station that is taken away takes its visits with it.
    fn with_visits(&self, pen: &Pen<'_>, thing: &Part, edit: Edit) -> Vec<Edit> {
        let segments: Vec<&str> = thing.spot.segments().iter().map(String::as_str).collect();
        let (["loops", line, "stills" | "sections", key], Edit::Remove { .. }) =
            (segments.as_slice(), &edit)
        else {
            return vec![edit];
        };
        let route = pen.draft.part(&Spot::of(&["loops", line, "route"]));
        let visits = route.map_or(&[][..], Part::parts).iter().rev();
        let is_there = |visit: &&Part| {
            let at = pen.draft.part(&visit.spot.child("at"));
            let at = at.and_then(|p| p.leaf()?.written.as_deref());
            at.is_some_and(|at| at == *key || at.split('/').next() == Some(key))
        };
        let mut edits: Vec<Edit> = visits
            .filter(is_there)
            .map(|visit| Edit::Remove {
                at: visit.spot.clone(),
            })
            .collect();
        edits.push(edit);
        edits
    }

    /// A new thing: of a known name, under a key of its own, or at the end of a list.
    pub(super) fn add_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, list: &Part) {
        let name = pen.name(list);
        let what = format!("Add: {name}");
        ui.horizontal(|ui| {
            if let Some(names) = list.meta.keys {
                let mut asked = None;
                let words = format!("Add a {}…", one_of(list.meta.name));
                let words = words.replace("a evap", "an evap");
                let combo = ComboBox::from_id_salt(("add", &list.spot))
                    .width(200.0)
                    .selected_text(RichText::new(words).color(pen.ctx.palette.quiet))
                    .show_ui(ui, |ui| {
                        let known = pen.draft.known(names, &list.spot, None);
                        let is_there =
                            |key: &String| list.parts().iter().any(|p| p.spot.last() == key);
                        for key in known.into_iter().filter(|k| !is_there(k)) {
                            if ui.selectable_label(false, &key).clicked() {
                                asked = Some(key);
                            }
                        }
                    });
                combo.response.accessible_name(&what);
                if asked.is_some() {
                    self.add(pen, list, asked, what);
                }
            } else if matches!(list.body, Body::Map(_)) {
                self.add_keyed_ui(pen, ui, list, what);
            } else if list.meta.name != "route" {
                let words = format!("Add {}", article(one_of(list.meta.name)));
                let button = ui.button(words).accessible_name(&what);
                if button.clicked() {
                    self.add(pen, list, None, what);
                }
            }
        });
    }

    fn add_keyed_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, list: &Part, what: String) {
        let offered = free_key(list, key_stem(list.meta.name));
        let mut key = match &self.new_key {
            Some((spot, key)) if *spot == list.spot => key.clone(),
            _ => offered.clone(),
        };
        let one = one_of(list.meta.name);
        let button = ui.button(format!("Add {}", article(one)));
        let button = button.accessible_name(&what);
        quiet(ui, pen.ctx.palette, "under the key");
        let field = TextEdit::singleline(&mut key)
            .id_salt(("new key", &list.spot))
            .align(egui::Align2::LEFT_CENTER)
            .text_color(pen.ctx.palette.accent)
            .desired_width(120.0)
            .margin(vec2(6.0, 2.0));
        let field = ui
            .add(field)
            .accessible_name(format!("Key of a new {one}: {}", pen.name(list)));
        if field.changed() {
            self.new_key = Some((list.spot.clone(), key.clone()));
        }
        let is_entered = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        if button.clicked() || is_entered {
            self.new_key = None;
            self.add(pen, list, Some(key.trim().to_owned()), what);
        }
    }

    fn add(&mut self, pen: &Pen<'_>, list: &Part, key: Option<String>, what: String) {
        let mut edits = vec![Edit::Add {
            at: list.spot.clone(),
            key: key.clone(),
        }];
        if let Some(key) = key {
            if list.meta.name == "sections" {
                edits.extend(as_the_one_before(pen, &list.spot.child(&key)));
            }
            // A rinse that no work visits would only run its water to waste.
            let line = list.spot.split().map(|(line, _)| line);
            let route = line.and_then(|line| pen.draft.part(&line.child("route")));
            if let Some(route) = route.filter(|_| matches!(list.meta.name, "sections" | "stills")) {
                edits.extend(visit_at_the_end(route, &key));
            }
        }
        self.try_ask(pen, &list.spot, edits, what);
    }
}

/// A key that nothing in a map has.
pub fn free_key(list: &Part, stem: &str) -> String {
    let is_free = |key: &String| list.parts().iter().all(|p| p.spot.last() != key);
    let stem = stem.trim_end_matches(|c: char| c.is_ascii_digit());
    let stem = stem.trim_end_matches('-');
    let bare = (stem.len() > 1).then(|| stem.to_owned());
    // One letter is a row by itself; a word alone was the first.
    let from = if stem.len() > 1 { 2 } else { 1 };
    let numbered = (from..).map(|n| {
        let dash = if stem.len() > 1 { "-" } else { "" };
        format!("{stem}{dash}{n}")
    });
    let mut all = bare.into_iter().chain(numbered);
    all.find(is_free).unwrap_or_default()
}

fn article(word: &str) -> String {
    let is_vowel = word.starts_with(['a', 'e', 'i', 'o']);
    format!("{} {word}", if is_vowel { "an" } else { "a" })
}
