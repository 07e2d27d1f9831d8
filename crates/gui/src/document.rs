//! What the window works on: a scenario as it was read, and what levers have changed since.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use dragback_scenario::{Parameter, Problem, Scenario, check, get, levers, load, set, set_si};
use dragback_units::Dim;

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

/// The three inputs that matter most in a loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// What work carries out of the bath.
    DragOut,
    /// Fresh water into the rinses.
    RinseRate,
    /// Power of the heaters that drive the evaporation.
    HeatInput,
}

impl Role {
    /// The order of [`levers`].
    pub const ALL: [Self; 3] = [Self::DragOut, Self::RinseRate, Self::HeatInput];

    /// Name to show; also the accessible name of the slider.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::DragOut => "Drag-out",
            Self::RinseRate => "Rinse rate",
            Self::HeatInput => "Heat input",
        }
    }
}

/// One lever with its present value.
#[derive(Clone, Debug, PartialEq)]
pub struct Lever {
    /// Which.
    pub role: Role,
    /// Path of its input.
    pub path: String,
    /// Its dimension.
    pub dim: Dim,
    /// Present value, SI.
    pub si: f64,
    /// Value in the file, SI.
    pub file_si: f64,
    /// Present value as written.
    pub text: String,
    /// Least and greatest that is accepted, SI.
    pub allowed: (f64, f64),
    /// Least and greatest that is usual, SI.
    pub usual: (f64, f64),
    /// What it is and what moving it does.
    pub hint: &'static str,
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
    /// The loop's levers.
    pub levers: Vec<Lever>,
    base: Arc<Scenario>,
    changes: BTreeMap<String, Setting>,
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
        let mut document = Self {
            id,
            origin,
            scenario: Arc::clone(&base),
            loop_key,
            levers: Vec::new(),
            base,
            changes: BTreeMap::new(),
        };
        document.find_levers();
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
            self.find_levers();
        }
    }

    /// Whether a lever stands elsewhere than in the file.
    #[must_use]
    pub fn is_changed(&self, path: &str) -> bool {
        self.changes.contains_key(path)
    }

    /// Paths and texts of everything that was changed, as the terminal's `--set` takes them.
    #[must_use]
    pub fn changed_texts(&self) -> Vec<(String, String)> {
        let each = self.changes.keys().filter_map(|path| {
            let text = get(&self.scenario, path).ok()?.text()?.to_owned();
            Some((path.clone(), text))
        });
        each.collect()
    }

    /// Changes one input.
    ///
    /// # Errors
    /// What is wrong with the value, or between it and others; nothing is changed then.
    pub fn change(&mut self, path: &str, setting: Setting) -> Result<(), Problem> {
        let mut changes = self.changes.clone();
        changes.insert(path.to_owned(), setting);
        self.take(changes)
    }

    /// Puts one input back to what the file says.
    ///
    /// # Errors
    /// When another change does not fit without this one.
    pub fn restore(&mut self, path: &str) -> Result<(), Problem> {
        let mut changes = self.changes.clone();
        changes.remove(path);
        self.take(changes)
    }

    /// Applies changes to the scenario as read, so that the way in which a value was reached leaves no trace.
    fn take(&mut self, changes: BTreeMap<String, Setting>) -> Result<(), Problem> {
        let mut scenario = Scenario::clone(&self.base);
        for (path, setting) in &changes {
            match setting {
                Setting::Si(si) => set_si(&mut scenario, path, *si)?,
                Setting::Text(text) => set(&mut scenario, path, text)?,
            }
        }
        if let Some(problem) = check(&scenario).into_iter().next() {
            return Err(problem);
        }
        self.scenario = Arc::new(scenario);
        self.changes = changes;
        self.find_levers();
        Ok(())
    }

    fn find_levers(&mut self) {
        let paths = levers(&self.scenario, &self.loop_key);
        let each = paths
            .into_iter()
            .flat_map(|paths| Role::ALL.into_iter().zip(paths));
        self.levers = each
            .filter_map(|(role, path)| self.lever(role, path))
            .collect();
    }

    fn lever(&self, role: Role, path: String) -> Option<Lever> {
        let now: Parameter = get(&self.scenario, &path).ok()?;
        let dim = now.dim()?;
        let si = now.si()?;
        let file_si = get(&self.base, &path).ok()?.si()?;
        let allowed = now.allowed_si().unwrap_or((0.0, f64::INFINITY));
        let usual = now.usual_si().unwrap_or((0.5 * file_si, 2.0 * file_si));
        let text = now.text()?.to_owned();
        Some(Lever {
            role,
            path,
            dim,
            si,
            file_si,
            text,
            allowed,
            usual,
            hint: now.hint(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use dragback_units::dim;

    const DEMO: &str = include_str!("../../../scenarios/demo.ron");

    fn demo() -> Document {
        Document::read(DEMO, Origin::default(), 1).unwrap()
    }

    #[test]
    fn the_demo_has_three_levers() {
        let document = demo();
        let roles: Vec<Role> = document.levers.iter().map(|l| l.role).collect();
        assert_eq!(roles, Role::ALL);
        assert!(
            document
                .levers
                .iter()
                .all(|l| l.si == l.file_si && l.hint.len() > 20)
        );
    }

    #[test]
    fn heat_taken_to_nothing_and_back_leaves_no_trace() {
        let mut document = demo();
        let heat = document.levers[2].clone();
        document.change(&heat.path, Setting::Si(0.0)).unwrap();
        assert!(document.is_changed(&heat.path));
        document.change(&heat.path, Setting::Si(heat.si)).unwrap();
        assert!((document.levers[2].si - heat.si).abs() < 1e-9 * heat.si);
        document.restore(&heat.path).unwrap();
        assert_eq!(document.scenario, demo().scenario);
    }

    #[test]
    fn a_typed_value_keeps_its_text_and_a_bad_one_changes_nothing() {
        let mut document = demo();
        let rinse = document.levers[1].path.clone();
        document
            .change(&rinse, Setting::Text("25 gal/h".to_owned()))
            .unwrap();
        assert_eq!(document.levers[1].text, "25 gal/h");
        let si = dragback_units::Quantity::<dim::VolumeFlow>::parse("25 gal/h")
            .unwrap()
            .si();
        assert_eq!(document.levers[1].si, si);
        for bad in ["25 °C", "much", "-5 L/h"] {
            assert!(
                document
                    .change(&rinse, Setting::Text(bad.to_owned()))
                    .is_err(),
                "{bad}"
            );
            assert_eq!(document.levers[1].text, "25 gal/h");
        }
        assert_eq!(
            document.changed_texts(),
            vec![(rinse, "25 gal/h".to_owned())]
        );
    }
}
