//! One input as a hand meets it: its name, group, ranges, origin and value.

use dragback_scenario::{Feed, Kind, Origin, Parameter, Scenario};
use dragback_units::Dim;

use super::before::Was;
use super::group::{Group, group_of, names};

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
    /// The order of [`dragback_scenario::levers`].
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

/// What a value is compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Begun {
    /// The file as it was read or last saved.
    File,
    /// The line as it began, where it has been in no file yet.
    Line,
    /// What it was when it was added, after the file was read or the line began.
    Added,
}

impl Begun {
    /// A value that stands where it stood then.
    #[must_use]
    pub const fn as_then(self) -> &'static str {
        match self {
            Self::File => "as in file",
            Self::Line => "as begun",
            Self::Added => "as added",
        }
    }

    /// What stands before the value of then.
    #[must_use]
    pub const fn then(self) -> &'static str {
        match self {
            Self::File => "file",
            Self::Line => "begun at",
            Self::Added => "added as",
        }
    }
}

/// The hours in which a flow is what its input says, while figures of the week are means of all hours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// While work runs.
    Working,
    /// In all hours.
    Always,
    /// While its valve is open.
    Valve,
    /// At most.
    Most,
}

impl Clock {
    /// The clock of the input at a path, where it is a flow that does not always run.
    #[must_use]
    pub fn of(scenario: &Scenario, path: &str) -> Option<Self> {
        let (key, rest) = path.split_once('.')?;
        let line = scenario.loops.get(key)?;
        if rest == "work.drag_out.flow" {
            return Some(Self::Working);
        }
        let section = rest.strip_prefix("sections.")?.strip_suffix(".flow")?;
        Some(match line.sections.get(section)?.feed {
            Feed::Continuous => Self::Always,
            Feed::WhileWorking => Self::Working,
            Feed::Conductivity => Self::Valve,
            Feed::Matched => Self::Most,
        })
    }

    /// In a few words, behind a flow.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Working => "while work runs",
            Self::Always => "in all hours",
            Self::Valve => "while its valve is open",
            Self::Most => "at most",
        }
    }

    /// In a sentence, behind what the lever is.
    #[must_use]
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Working => {
                "It is the flow while work runs; figures of the week are means of all hours."
            }
            Self::Always => "It is the flow in all hours.",
            Self::Valve => {
                "It is the flow while its valve is open; figures of the week are means of all hours."
            }
            Self::Most => "It is the most that flows; figures of the week are means of all hours.",
        }
    }
}

/// An input that is a number and has a value: a slider can move it.
#[derive(Clone, Debug, PartialEq)]
pub struct Lever {
    /// Which of the three main ones it is, if any.
    pub role: Option<Role>,
    /// Name that tells it from all others; also its accessible name.
    pub name: String,
    /// Name within its group.
    pub short: String,
    /// Group in which it stands.
    pub group: Group,
    /// Path of its input.
    pub path: String,
    /// Its dimension.
    pub dim: Dim,
    /// Present value, SI.
    pub si: f64,
    /// Value in the file, or at the beginning of a line that is in no file, SI.
    pub file_si: f64,
    /// Value as last edited, without what levers did, SI.
    pub edited_si: f64,
    /// What [`Lever::file_si`] is the value of.
    pub begun: Begun,
    /// Its origin has changed since, as when it was measured.
    pub has_new_origin: bool,
    /// Where the value of then came from, when the scenario says so.
    pub begun_origin: Option<Origin>,
    /// Present value as written.
    pub text: String,
    /// Least and greatest that is accepted, SI.
    pub allowed: (f64, f64),
    /// Least and greatest that is usual, SI; `None` where nothing is declared.
    pub usual: Option<(f64, f64)>,
    /// What it is and what moving it does.
    pub hint: &'static str,
    /// Where the value comes from, when the scenario says so.
    pub origin: Option<Origin>,
    /// Whether the scenario gives it; otherwise it is a default.
    pub is_given: bool,
    /// Whether it makes sense to move it while looking on.
    pub suits: bool,
    /// In which hours it is what it says, where it is such a flow.
    pub clock: Option<Clock>,
}

impl Lever {
    /// The lever of an input that has a value now and had one before.
    #[must_use]
    pub(super) fn of(now: &Parameter, was: Was<'_>, loop_key: &str) -> Option<Self> {
        let dim = now.dim()?;
        let (si, file_si) = (now.si()?, was.parameter.si()?);
        let group = group_of(&now.path, loop_key);
        let (name, short) = names(&now.path, loop_key, group);
        Some(Self {
            role: None,
            name,
            short,
            group,
            path: now.path.clone(),
            dim,
            si,
            file_si,
            edited_si: was.edited_si.unwrap_or(file_si),
            begun: was.begun,
            has_new_origin: now.leaf.origin != was.parameter.leaf.origin,
            begun_origin: was.parameter.leaf.origin,
            text: now.text()?.to_owned(),
            allowed: now
                .allowed_si()
                .unwrap_or((f64::NEG_INFINITY, f64::INFINITY)),
            usual: now.usual_si(),
            hint: now.hint(),
            origin: now.leaf.origin,
            is_given: now.leaf.is_given,
            suits: now.suits_lever(),
            clock: None,
        })
    }

    /// Whether it stands elsewhere than in the file.
    #[must_use]
    pub fn is_moved(&self) -> bool {
        (self.si - self.file_si).abs() > 1e-9 * self.file_si.abs().max(1e-12)
    }

    /// Where the value of then came from, where a hand has moved it away since: it is assumed now.
    #[must_use]
    pub fn moved_from(&self) -> Option<Origin> {
        let is_assumed = self.origin == Some(Origin::Assumed) && self.is_moved();
        self.begun_origin
            .filter(|_| is_assumed && self.has_new_origin)
    }

    /// Where its value comes from, in a word.
    #[must_use]
    pub fn origin_word(&self) -> &'static str {
        match (self.origin, self.begun) {
            (Some(origin), _) if self.has_new_origin => origin.word(),
            _ if self.is_moved() => "changed",
            (Some(origin), _) => origin.word(),
            (None, _) if !self.is_given => "default",
            (None, Begun::File) => "as in the file",
            (None, Begun::Line) => "as begun",
            (None, Begun::Added) => "added",
        }
    }
}

/// An input without a slider: a word, a name, a yes or no, or a number that is not set.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Name that tells it from all others; also its accessible name.
    pub name: String,
    /// Name within its group.
    pub short: String,
    /// Group in which it stands.
    pub group: Group,
    /// Path of its input.
    pub path: String,
    /// What kind of input it is.
    pub kind: Kind,
    /// Value as written; `None` when it is not set.
    pub text: Option<String>,
    /// What it is and what it does.
    pub hint: &'static str,
}

/// Any input.
#[derive(Clone, Debug, PartialEq)]
pub enum Control {
    /// With a slider.
    Lever(Lever),
    /// Without.
    Entry(Entry),
}

impl Control {
    /// The control of an input.
    #[must_use]
    pub(super) fn of(now: &Parameter, was: Option<Was<'_>>, loop_key: &str) -> Self {
        if let Some(lever) = was.and_then(|was| Lever::of(now, was, loop_key)) {
            return Self::Lever(lever);
        }
        let group = group_of(&now.path, loop_key);
        let (name, short) = names(&now.path, loop_key, group);
        Self::Entry(Entry {
            name,
            short,
            group,
            path: now.path.clone(),
            kind: now.leaf.kind,
            text: now.text().map(str::to_owned),
            hint: now.hint(),
        })
    }

    /// Path of its input.
    #[must_use]
    pub fn path(&self) -> &str {
        match self {
            Self::Lever(l) => &l.path,
            Self::Entry(e) => &e.path,
        }
    }

    /// Name that tells it from all others.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Lever(l) => &l.name,
            Self::Entry(e) => &e.name,
        }
    }

    /// Group in which it stands.
    #[must_use]
    pub const fn group(&self) -> Group {
        match self {
            Self::Lever(l) => l.group,
            Self::Entry(e) => e.group,
        }
    }

    /// What it is and what it does.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Lever(l) => l.hint,
            Self::Entry(e) => e.hint,
        }
    }

    /// Whether it stands in its group without being searched for: numbers that the scenario gives, and what else it says of prices, but for what people call them.
    #[must_use]
    pub fn stands_in_group(&self) -> bool {
        match self {
            Self::Lever(l) => l.is_given || l.suits,
            Self::Entry(e) => {
                let is_title = e.path.ends_with(".title");
                e.group == Group::Prices && e.text.is_some() && !is_title
            }
        }
    }
}

/// Whether a text has every word of a search, upper and lower case alike.
#[must_use]
pub fn has_words(text: &str, search: &str) -> bool {
    let text = text.to_lowercase();
    let mut words = search.split_whitespace();
    words.all(|word| text.contains(&word.to_lowercase()))
}
