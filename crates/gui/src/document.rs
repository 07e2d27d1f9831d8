//! What the window works on: a scenario as it was read, and what levers have changed since.

mod before;
mod editing;
mod group;
mod history;
mod lever;
mod measured;
mod moved;
mod timeline;
mod variants;

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

use dragback_scenario::{
    Draft, Parameter, Problem, Registry, Scenario, check, get, levers, load, lower, rewrite,
};

use before::Before;
pub use group::{Group, group_of, names as input_names};
pub use history::{History, Stroke};
pub use lever::{Begun, Clock, Control, Entry, Lever, Role, has_words};
use moved::moved;
pub use timeline::{EventLine, NewEvent};

/// A new value of an input.
#[derive(Clone, Debug, PartialEq)]
pub enum Setting {
    /// From a slider, SI.
    Si(f64),
    /// As typed, with its unit.
    Text(String),
}

/// Where a scenario came from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Origin {
    /// Name to show.
    pub name: String,
    /// Its file; `None` for the built-in one.
    pub path: Option<PathBuf>,
}

/// One state of a scenario: cheap to keep, for undo.
#[derive(Clone, Debug)]
struct Content {
    /// As in the file.
    base: Arc<Scenario>,
    /// The text that it was read from.
    source: Arc<str>,
    /// With the changes applied.
    scenario: Arc<Scenario>,
    changes: Arc<BTreeMap<String, Setting>>,
    /// An edited text with faults, which is not what runs.
    draft: Option<Arc<Draft>>,
}

impl Content {
    /// A scenario without changes.
    fn plain(scenario: Arc<Scenario>, source: Arc<str>) -> Self {
        Self {
            base: Arc::clone(&scenario),
            source,
            scenario,
            changes: Arc::default(),
            draft: None,
        }
    }

    fn is_same(&self, other: &Self) -> bool {
        let is_same =
            Arc::ptr_eq(&self.scenario, &other.scenario) || self.scenario == other.scenario;
        let draft = |c: &Self| c.draft.as_ref().map(|d| d.text().to_owned());
        is_same && draft(self) == draft(other)
    }
}

/// A scenario under the hand.
#[derive(Clone, Debug)]
pub struct Document {
    /// Number of the document; each opened scenario has a higher one.
    pub id: u64,
    /// Where it came from.
    pub origin: Origin,
    /// The scenario as read, with the changes applied.
    pub scenario: Arc<Scenario>,
    /// Key of the loop that is shown.
    pub loop_key: String,
    /// The loop's main levers.
    pub levers: Vec<Lever>,
    /// Every input.
    pub controls: Arc<Vec<Control>>,
    content: Content,
    /// As last read, saved or begun: what present values are compared with.
    begun: Arc<Scenario>,
    /// The text under the pen, once somebody asks for it.
    draft: OnceLock<Option<Arc<Draft>>>,
    /// As last read or saved; `None` for a line that never was.
    saved: Option<Content>,
    history: History<Content>,
    /// Whether it must be saved even if nothing has been changed since.
    must_be_saved: bool,
    /// What runs in the place of a file that never could.
    stand_in: Option<Box<Self>>,
}

impl Document {
    /// Reads a scenario.
    ///
    /// # Errors
    /// Everything that is wrong with the text.
    pub fn read(text: &str, origin: Origin, id: u64) -> Result<Self, Vec<Problem>> {
        let (scenario, problems) = load(text);
        let scenario = scenario.ok_or(problems)?;
        let loop_key = scenario
            .loops
            .keys()
            .next()
            .map(str::to_owned)
            .ok_or_else(|| {
                vec![Problem::at(
                    "loops",
                    "the scenario has no loop",
                    "add one: a bath with its rinses",
                )]
            })?;
        let base = Arc::new(scenario);
        let content = Content::plain(Arc::clone(&base), text.into());
        let mut document = Self {
            id,
            origin,
            scenario: Arc::clone(&base),
            begun: base,
            loop_key,
            levers: Vec::new(),
            controls: Arc::default(),
            saved: Some(content.clone()),
            content,
            draft: OnceLock::new(),
            history: History::default(),
            must_be_saved: false,
            stand_in: None,
        };
        document.find_controls();
        Ok(document)
    }

    /// Title of the scenario.
    #[must_use]
    pub fn title(&self) -> &str {
        &self.scenario.title
    }

    /// Keys of all loops with their titles.
    #[must_use]
    pub fn loops(&self) -> Vec<(String, String)> {
        let each = self.scenario.loops.iter();
        each.map(|(key, l)| {
            (
                key.to_owned(),
                l.title.clone().unwrap_or_else(|| key.to_owned()),
            )
        })
        .collect()
    }

    /// Shows another loop.
    pub fn choose_loop(&mut self, key: &str) {
        if self.scenario.loops.get(key).is_some() {
            key.clone_into(&mut self.loop_key);
            self.find_controls();
        }
    }

    /// Whether a lever or a typed value has moved an input.
    #[must_use]
    pub fn is_changed(&self, path: &str) -> bool {
        self.content.changes.contains_key(path)
    }

    /// Paths and texts of everything that differs from the file as read or saved, as the terminal's `--set` takes them; events are told apart.
    #[must_use]
    pub fn changed_texts(&self) -> Vec<(String, String)> {
        let edited = self.edited_paths();
        let paths: BTreeSet<&String> = self.content.changes.keys().chain(&edited).collect();
        let each = paths.into_iter().filter_map(|path| {
            let text = get(&self.scenario, path).ok()?.text()?.to_owned();
            Some((path.clone(), text))
        });
        each.collect()
    }

    /// Paths of inputs that the editor has changed since the scenario was read, saved or begun.
    fn edited_paths(&self) -> Vec<String> {
        if Arc::ptr_eq(&self.content.base, &self.begun) {
            return Vec::new();
        }
        let differs = |p: &&Parameter| {
            let before = get(&self.begun, &p.path).ok();
            let is_own = !p.is_derived && !p.path.starts_with("events.");
            is_own && before.is_some_and(|b| b.text() != p.text())
        };
        let now = Registry::of(&self.content.base);
        let found = now.iter().filter(differs).map(|p| p.path.clone());
        found.collect()
    }

    /// Whether anything differs from what was last read or saved.
    #[must_use]
    pub fn is_dirty(&self) -> bool {
        self.must_be_saved || !self.saved.as_ref().is_some_and(|s| self.content.is_same(s))
    }

    /// Whether it has never been in a file.
    #[must_use]
    pub const fn is_new(&self) -> bool {
        self.saved.is_none()
    }

    /// The same as a line that lies in no file yet.
    #[must_use]
    pub fn into_unsaved(mut self) -> Self {
        self.saved = None;
        self.find_controls();
        self
    }

    /// The scenario as its file is to be.
    #[must_use]
    pub fn text(&self) -> String {
        Self::text_of(&self.content)
    }

    /// The scenario as it was last read or saved, in text.
    #[must_use]
    pub fn saved_text(&self) -> String {
        // What only stands in for a file is not what was saved in it.
        let saved = self.saved.as_ref().filter(|s| s.draft.is_none());
        Self::text_of(saved.unwrap_or(&self.content))
    }

    /// A scenario whose unsaved changes were kept elsewhere: one step of undo leads to what was saved. Where that cannot be read, the changed text
    /// stands for it, and still counts as unsaved.
    ///
    /// # Errors
    /// Everything that is wrong with the changed text.
    pub fn restored(
        saved: &str,
        text: &str,
        origin: Origin,
        id: u64,
    ) -> Result<Self, Vec<Problem>> {
        let mut changed = Self::read(text, origin.clone(), id)?;
        let Ok(mut document) = Self::read(saved, origin, id) else {
            changed.must_be_saved = true;
            return Ok(changed);
        };
        let stroke = Stroke {
            what: "unsaved changes".to_owned(),
            gesture: u64::MAX,
        };
        document.history.note(document.content.clone(), stroke);
        document.put(changed.content);
        Ok(document)
    }

    /// Notes that the scenario now lies in a file: its values are those of the file from here on.
    pub fn note_saved(&mut self, origin: Origin) {
        self.origin = origin;
        self.must_be_saved = false;
        self.content = Content::plain(Arc::clone(&self.scenario), self.text().into());
        self.saved = Some(self.content.clone());
        self.begun = Arc::clone(&self.scenario);
        self.find_controls();
    }

    /// Changes one input; changes by one gesture are one step of undo.
    ///
    /// # Errors
    /// What is wrong with the value, or between it and others; nothing is changed then.
    pub fn change(&mut self, path: &str, setting: Setting, gesture: u64) -> Result<(), Problem> {
        let mut changes = BTreeMap::clone(&self.content.changes);
        changes.insert(path.to_owned(), setting);
        self.take(changes, path, gesture)
    }

    /// Puts one input back to what the file says, whether a lever or the editor has changed it.
    ///
    /// # Errors
    /// When another change does not fit without this one.
    pub fn restore(&mut self, path: &str, gesture: u64) -> Result<(), Problem> {
        let text = |s: &Scenario| Some(get(s, path).ok()?.text()?.to_owned());
        let before = text(&self.begun);
        if let Some(before) = before.filter(|b| Some(b) != text(&self.content.base).as_ref()) {
            return self.rewrite(path, before, gesture);
        }
        let mut changes = BTreeMap::clone(&self.content.changes);
        if changes.remove(path).is_none() {
            return Ok(());
        }
        self.take(changes, path, gesture)
    }

    /// Takes the last step back; returns what it had changed.
    pub fn undo(&mut self) -> Option<String> {
        let what = self.history.last()?.to_owned();
        let content = self.history.undo(self.content.clone())?;
        self.put(content);
        Some(what)
    }

    /// Brings the last undone step back; returns what it changes.
    pub fn redo(&mut self) -> Option<String> {
        let what = self.history.next()?.to_owned();
        let content = self.history.redo(self.content.clone())?;
        self.put(content);
        Some(what)
    }

    /// Name of what undo would take back.
    #[must_use]
    pub fn undo_name(&self) -> Option<String> {
        self.history.last().map(|path| self.name_of(path))
    }

    /// Name of what redo would bring back.
    #[must_use]
    pub fn redo_name(&self) -> Option<String> {
        self.history.next().map(|path| self.name_of(path))
    }

    /// Name of the input at a path.
    #[must_use]
    pub fn name_of(&self, path: &str) -> String {
        let main = self.levers.iter().find(|l| l.path == path);
        let any = || self.controls.iter().find(|c| c.path() == path);
        main.map(|l| l.name.clone())
            .or_else(|| any().map(|c| c.name().to_owned()))
            .unwrap_or_else(|| path.to_owned())
    }

    /// The lever of an input, if it is a number with a value.
    #[must_use]
    pub fn lever(&self, path: &str) -> Option<&Lever> {
        let main = self.levers.iter().find(|l| l.path == path);
        main.or_else(|| {
            self.controls.iter().find_map(|c| match c {
                Control::Lever(l) if l.path == path => Some(l),
                _ => None,
            })
        })
    }

    /// Applies changes to the scenario as read, so that the way in which a value was reached leaves no trace.
    fn take(
        &mut self,
        changes: BTreeMap<String, Setting>,
        path: &str,
        gesture: u64,
    ) -> Result<(), Problem> {
        let scenario = moved(&self.content.base, &changes)?;
        if let Some(problem) = check(&scenario).into_iter().next() {
            return Err(problem);
        }
        let stroke = Stroke {
            what: path.to_owned(),
            gesture,
        };
        let content = Content {
            scenario: Arc::new(scenario),
            changes: Arc::new(changes),
            draft: None,
            ..self.content.clone()
        };
        self.step(stroke, self.with_draft(content));
        Ok(())
    }

    /// Makes `base` the scenario as in the file, with `scenario` as what it is under the changes left; one step of undo.
    ///
    /// # Errors
    /// The first thing that is wrong with the scenario or its plant; nothing is changed then.
    fn rebase(
        &mut self,
        (base, scenario): (Scenario, Scenario),
        changes: BTreeMap<String, Setting>,
        stroke: Stroke,
    ) -> Result<(), Problem> {
        let first = check(&scenario).into_iter().next();
        let first = first.or_else(|| lower(&scenario).err()?.into_iter().next());
        if let Some(problem) = first {
            return Err(problem);
        }
        let source = rewrite(&self.content.source, &self.content.base, &base);
        let content = Content {
            base: Arc::new(base),
            source: source.into(),
            scenario: Arc::new(scenario),
            changes: Arc::new(changes),
            draft: None,
        };
        self.step(stroke, self.with_draft(content));
        Ok(())
    }

    fn step(&mut self, stroke: Stroke, content: Content) {
        self.history.note(self.content.clone(), stroke);
        self.put(content);
    }

    fn put(&mut self, content: Content) {
        self.scenario = Arc::clone(&content.scenario);
        self.content = content;
        self.draft = OnceLock::new();
        if self.scenario.loops.get(&self.loop_key).is_none() {
            let first = self.scenario.loops.keys().next();
            self.loop_key = first.map(str::to_owned).unwrap_or_default();
        }
        self.find_controls();
    }

    /// A lever with the hours in which it is what it says.
    fn timed(&self, lever: Lever) -> Lever {
        Lever {
            clock: Clock::of(&self.scenario, &lever.path),
            ..lever
        }
    }

    fn find_controls(&mut self) {
        let now = Registry::of(&self.scenario);
        let before = Before::of(self);
        let each = now.iter().map(
            |p| match Control::of(p, before.at(&p.path), &self.loop_key) {
                Control::Lever(lever) => Control::Lever(self.timed(lever)),
                entry => entry,
            },
        );
        self.controls = Arc::new(each.collect());
        let paths = levers(&self.scenario, &self.loop_key);
        let each = paths
            .into_iter()
            .flat_map(|paths| Role::ALL.into_iter().zip(paths));
        let line = self.scenario.loops.get(&self.loop_key);
        let sections = line.map_or(0, |l| l.sections.len());
        let main = each.filter_map(|(role, path)| {
            let name = main_name(role, &path, sections);
            let now = get(&self.scenario, &path).ok()?;
            let lever = Lever::of(&now, before.at(&path)?, &self.loop_key)?;
            let lever = self.timed(lever);
            Some(Lever {
                role: Some(role),
                short: name.clone(),
                name,
                ..lever
            })
        });
        self.levers = main.collect();
    }
}

/// What a main lever is called: the rinse rate with the name of its section where there are several.
fn main_name(role: Role, path: &str, sections: usize) -> String {
    let mut parts = path.rsplit('.').skip(1);
    match (role, parts.next(), parts.next()) {
        (Role::RinseRate, Some(section), Some("sections")) if sections > 1 => {
            format!("{}, {}", role.name(), section.replace('_', " "))
        }
        _ => role.name().to_owned(),
    }
}

#[cfg(test)]
mod tests;
