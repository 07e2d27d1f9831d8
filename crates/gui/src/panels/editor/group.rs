//! Records, lists and maps: their heads, their parts, and what can be done with each.

use dragback_scenario::{Body, Edit, Part, Spot};
use egui::{Button, ComboBox, Key, RichText, TextEdit, Ui, vec2};

use super::EditorPanel;
use super::chapters::chapter_of;
use super::leaf::STEP;
use super::pen::{Pen, is_told};
use super::words::{key_stem, one_of};
use crate::theme::{size, space};
use crate::widgets::quiet;

impl EditorPanel {
    /// Any part.
    pub(super) fn part_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, depth: usize) {
        // A part with a chapter of its own stands there.
        if chapter_of(&part.spot) != self.chapter {
            return;
        }
        if depth > 0 && self.is_hidden(pen, part) {
            return;
        }
        match &part.body {
            Body::Leaf(_) => self.leaf_ui(pen, ui, part, depth),
            Body::Record(parts) => {
                let is_root = depth == 0;
                self.record_head_ui(pen, ui, part, is_root);
                self.inner_ui(ui, !is_root, |panel, ui| {
                    panel.fields_ui(pen, ui, parts, depth + 1);
                });
            }
            Body::Months(_) => self.months_ui(pen, ui, part),
            Body::Absent => self.absent_ui(pen, ui, part),
            Body::List(_) | Body::Map(_) => self.things_ui(pen, ui, part, depth),
            Body::Strange(text) => {
                ui.horizontal(|ui| {
                    ui.label(RichText::new(pen.label(part)).strong());
                    ui.label(RichText::new(text).color(pen.ctx.palette.alarm));
                    self.remove_ui(pen, ui, part);
                });
                self.wrong_ui(pen, ui, part, depth);
            }
        }
    }

    /// Whether a part is left out and nobody asked for it.
    fn is_hidden(&self, pen: &Pen<'_>, part: &Part) -> bool {
        let holder = part.spot.split().map(|(holder, _)| holder);
        let is_revealed = self.revealed.contains(&part.spot)
            || part.leaf().is_some() && holder.is_some_and(|h| self.revealed.contains(&h));
        !self.shows_all && !is_revealed && !is_told(part) && !pen.has_faults_within(&part.spot)
    }

    /// What may be added to a record, as buttons, and a way to the inputs that are left out.
    fn more_fields_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, parts: &[Part]) {
        let hidden: Vec<&Part> = parts
            .iter()
            .filter(|p| chapter_of(&p.spot) == self.chapter && self.is_hidden(pen, p))
            .collect();
        let Some(first) = hidden.first() else { return };
        let holder = first.spot.split().map(|(holder, _)| holder);
        let (leaves, others): (Vec<&Part>, Vec<&Part>) =
            hidden.into_iter().partition(|p| p.leaf().is_some());
        ui.horizontal_wrapped(|ui| {
            quiet(ui, pen.ctx.palette, "Left out:");
            for part in others {
                let is_map = matches!(part.body, Body::Map(_));
                let told = format!(
                    "{}: {}",
                    if is_map { "Show" } else { "Add" },
                    pen.name(part)
                );
                let words = format!("+ {}", pen.label(part));
                let button = ui.small_button(words).accessible_name(&told);
                if !button.on_hover_text(part.meta.hint).clicked() {
                    continue;
                }
                if is_map {
                    self.revealed.insert(part.spot.clone());
                } else {
                    let add = Edit::Add {
                        at: part.spot.clone(),
                        key: None,
                    };
                    self.try_ask(pen, &part.spot, vec![add], told);
                }
            }
            if let (Some(holder), false) = (holder, leaves.is_empty()) {
                let words = match leaves.len() {
                    1 => format!("{}…", pen.label(leaves[0])),
                    n => format!("{n} inputs…"),
                };
                let name = pen
                    .draft
                    .part(&holder)
                    .map_or(String::new(), |p| pen.name(p));
                let button = ui.small_button(words);
                let button = button.accessible_name(format!("Show what is left out: {name}"));
                let names: Vec<String> = leaves.iter().map(|p| pen.label(p)).collect();
                if button.on_hover_text(names.join(", ")).clicked() {
                    self.revealed.insert(holder);
                }
            }
        });
    }

    /// The fields of a record: inputs first, what they hold behind them.
    pub(super) fn fields_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, parts: &[Part], depth: usize) {
        let (leaves, others): (Vec<&Part>, Vec<&Part>) =
            parts.iter().partition(|p| p.leaf().is_some());
        let (notes, leaves): (Vec<&Part>, Vec<&Part>) =
            leaves.into_iter().partition(|p| p.meta.name == "notes");
        for part in leaves.into_iter().chain(others).chain(notes) {
            self.part_ui(pen, ui, part, depth);
        }
        self.more_fields_ui(pen, ui, parts);
    }

    /// What stands within a part, moved in.
    pub(super) fn inner_ui(
        &mut self,
        ui: &mut Ui,
        is_in: bool,
        add: impl FnOnce(&mut Self, &mut Ui),
    ) {
        if !is_in {
            add(self, ui);
            return;
        }
        ui.horizontal(|ui| {
            ui.add_space(STEP);
            ui.vertical(|ui| add(self, ui));
        });
        ui.add_space(space::TIGHT);
    }

    fn record_head_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, is_root: bool) {
        let can_go = part.is_option;
        if is_root && !can_go {
            self.wrong_ui(pen, ui, part, 0);
            return;
        }
        ui.add_space(space::TIGHT);
        ui.horizontal(|ui| {
            head_ui(pen, ui, &pen.label(part));
            let whole_year = format!("{}.all.", part.path);
            if part.parts().iter().any(|p| p.path.starts_with(&whole_year)) {
                let name = format!("Month by month: {}", pen.name(part));
                let button = ui.small_button("Month by month").accessible_name(&name);
                let hint = "Twelve states of air, all alike at first.";
                if button.on_hover_text(hint).clicked() {
                    let at = part.spot.clone();
                    self.try_ask(pen, &part.spot, vec![Edit::EachMonth { at }], name);
                }
            }
            if can_go {
                self.remove_ui(pen, ui, part);
            }
            if !is_root {
                quiet(ui, pen.ctx.palette, first_sentence(part.meta.hint));
            }
        });
        self.wrong_ui(pen, ui, part, 0);
    }

    fn absent_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part) {
        ui.horizontal(|ui| {
            let name = format!("Add: {}", pen.name(part));
            let words = format!("Add {}", pen.label(part).to_lowercase());
            let button = ui.add(Button::new(words)).accessible_name(&name);
            if button.on_hover_text(part.meta.hint).clicked() {
                let add = Edit::Add {
                    at: part.spot.clone(),
                    key: None,
                };
                self.try_ask(pen, &part.spot, vec![add], name);
            }
            quiet(ui, pen.ctx.palette, first_sentence(part.meta.hint));
        });
        self.wrong_ui(pen, ui, part, 0);
    }

    /// A list or map with its things.
    fn things_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part, depth: usize) {
        ui.add_space(space::TIGHT);
        if depth > 0 || part.spot.segments().len() == 1 && self.chapter == 0 {
            ui.horizontal(|ui| {
                head_ui(pen, ui, &pen.label(part));
                quiet(ui, pen.ctx.palette, first_sentence(part.meta.hint));
            });
        }
        self.wrong_ui(pen, ui, part, 0);
        let is_in = depth > 0;
        self.inner_ui(ui, is_in, |panel, ui| {
            if part.meta.name == "route" {
                panel.route_ui(pen, ui, part);
            } else if part.meta.name == "loops" {
                panel.loops_ui(pen, ui, part);
            } else if super::table::is_table(part) {
                panel.table_ui(pen, ui, part);
            } else {
                for (i, thing) in part.parts().iter().enumerate() {
                    if i > 0 {
                        ui.separator();
                    }
                    panel.thing_ui(pen, ui, part, (i, thing), depth);
                }
            }
            panel.add_ui(pen, ui, part);
        });
    }

    /// One thing with its fields.
    fn thing_ui(
        &mut self,
        pen: &Pen<'_>,
        ui: &mut Ui,
        list: &Part,
        (i, thing): (usize, &Part),
        depth: usize,
    ) {
        ui.horizontal(|ui| {
            if matches!(list.body, Body::Map(_)) {
                self.key_ui(pen, ui, thing, 170.0);
            } else {
                head_ui(pen, ui, &format!("{}", i + 1));
            }
            self.thing_buttons(pen, ui, list, (i, thing));
        });
        self.wrong_ui(pen, ui, thing, 0);
        if list.meta.name == "calendars" {
            self.week_ui(pen, ui, thing);
        }
        ui.add_space(space::TIGHT);
        match &thing.body {
            Body::Record(parts) => self.fields_ui(pen, ui, parts, depth + 1),
            _ => self.part_ui(pen, ui, thing, depth + 1),
        }
    }

    /// The loops: only their keys; what is in them stands in the other chapters.
    fn loops_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, list: &Part) {
        for (i, thing) in list.parts().iter().enumerate() {
            ui.horizontal(|ui| {
                self.key_ui(pen, ui, thing, 170.0);
                self.thing_buttons(pen, ui, list, (i, thing));
            });
            self.wrong_ui(pen, ui, thing, 0);
        }
    }

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
        if response.changed() {
            self.writing = Some((at.clone(), text.clone()));
        }
        let is_mine = self.writing.as_ref().is_some_and(|(spot, _)| *spot == at);
        if response.lost_focus() && is_mine {
            self.writing = None;
            let is_dropped = ui.input(|i| i.key_pressed(Key::Escape));
            let key = text.trim().to_owned();
            if key != now && !is_dropped {
                let edit = Edit::Rename {
                    at: thing.spot.clone(),
                    key,
                };
                self.try_ask(pen, &thing.spot, vec![edit], name);
            }
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

    pub(super) fn remove_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, part: &Part) {
        let name = format!("Remove: {}", pen.name(part));
        let button = ui.add(Button::new("Remove").small());
        if button.accessible_name(&name).clicked() {
            let edit = Edit::Remove {
                at: part.spot.clone(),
            };
            self.try_ask(pen, &part.spot, vec![edit], name);
        }
    }

    /// Asks for edits, unless they cannot be made; then the reason stands beside the part.
    pub(super) fn try_ask(&mut self, pen: &Pen<'_>, at: &Spot, edits: Vec<Edit>, what: String) {
        match pen.draft.edited(&edits) {
            Ok(_) => {
                self.refused = None;
                pen.ask(edits, what);
            }
            Err(problem) => self.refused = Some((at.clone(), problem)),
        }
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
        let edit = Edit::Add {
            at: list.spot.clone(),
            key,
        };
        self.try_ask(pen, &list.spot, vec![edit], what);
    }
}

/// A head within a chapter.
pub fn head_ui(pen: &Pen<'_>, ui: &mut Ui, words: &str) {
    let words = RichText::new(words).size(size::HEADING).strong();
    ui.label(words.color(pen.ctx.palette.ink));
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

/// The first sentence of a hint; all of it stands at the foot.
fn first_sentence(hint: &str) -> &str {
    hint.split_once(". ").map_or(hint, |(first, _)| first)
}
