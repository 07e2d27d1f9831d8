//! Reading scenarios and applying `--set`.

use std::ffi::OsStr;
use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::sync::Arc;

use anyhow::{Context, Result, bail};
use dragback_plant::TowerCache;
use dragback_scenario::{MAX_BYTES, Problem, Scenario};
use dragback_study::{Case, StudyError};

use crate::args::Input;
use crate::io::{Io, printable};

/// Name under which standard input is reported.
const STANDARD_INPUT: &str = "standard input";

/// Everything that is wrong with a scenario, one line each, with the name of its file.
#[derive(Debug)]
pub(crate) struct Refused {
    pub file: String,
    pub problems: Vec<Problem>,
    /// What else would help.
    pub hint: Option<String>,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for problem in &self.problems {
            writeln!(f, "{}", printable(&problem.in_file(&self.file)))?;
        }
        match self.problems.len() {
            1 => write!(f, "1 problem")?,
            n => write!(f, "{n} problems")?,
        }
        match &self.hint {
            Some(hint) => write!(f, "; {hint}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Refused {}

/// A scenario that was read.
pub struct Loaded {
    /// Name of its file, for messages.
    pub name: String,
    /// The scenario.
    pub scenario: Scenario,
}

impl Loaded {
    /// Reads text.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn from_text(name: &str, text: &str) -> Result<Self> {
        // Some editors put a byte-order mark in front.
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        match dragback_scenario::load(text) {
            (Some(scenario), _) => Ok(Self {
                name: name.to_owned(),
                scenario,
            }),
            (None, problems) => Err(Refused {
                file: name.to_owned(),
                problems,
                hint: None,
            }
            .into()),
        }
    }

    /// Gives inputs other values, `path=value` each, and checks the whole.
    ///
    /// # Errors
    /// Everything that is wrong; nothing is changed then.
    pub(crate) fn set(&mut self, changes: &[String]) -> Result<()> {
        let mut pairs = Vec::with_capacity(changes.len());
        for change in changes {
            match change.split_once('=') {
                Some((path, value)) => pairs.push((path.trim(), value.trim())),
                None => bail!(
                    "--set {}: there is no `=`; write it like --set 'loop.holding_tank.set_point=60 °C'",
                    printable(change)
                ),
            }
        }
        dragback_scenario::apply(&mut self.scenario, pairs).map_err(|problems| {
            // Only a path that leads nowhere has this said of it.
            let is_path = |p: &Problem| dragback_scenario::get(&self.scenario, &p.path).is_err();
            let has_wrong_path = problems.iter().any(is_path);
            let file = printable(&self.name);
            let hint = format!(
                "`dragback check {file} --inputs WORD` lists every path that has a word in it"
            );
            Refused {
                file: "--set".to_owned(),
                problems,
                hint: has_wrong_path.then_some(hint),
            }
            .into()
        })
    }

    /// The same for those inputs that it has.
    ///
    /// # Errors
    /// Everything that is wrong with the whole then.
    pub(crate) fn set_where_it_is(&mut self, changes: &[String]) -> Result<()> {
        let is_there = |change: &&String| {
            let mut tried = self.scenario.clone();
            let (path, value) = change.split_once('=').unwrap_or_default();
            dragback_scenario::set(&mut tried, path.trim(), value.trim()).is_ok()
        };
        let shared: Vec<String> = changes.iter().filter(is_there).cloned().collect();
        self.set(&shared)
    }

    /// Compiles it.
    ///
    /// # Errors
    /// Everything that keeps it from running.
    pub(crate) fn case(&self) -> Result<Case> {
        let cache = TowerCache::default();
        Case::new(Arc::new(self.scenario.clone()), &cache).map_err(|e| match e {
            StudyError::Scenario { problems } => Refused {
                file: self.name.clone(),
                problems,
                hint: None,
            }
            .into(),
            other => anyhow::Error::new(other).context(self.name.clone()),
        })
    }
}

/// Reads the scenario of a command and applies its changes.
pub(crate) fn load(input: &Input, io: &mut Io<'_>) -> Result<Loaded> {
    let mut loaded = if input.file == OsStr::new("-") {
        let bytes = read_limited(&mut *io.input).context(STANDARD_INPUT)?;
        Loaded::from_text(STANDARD_INPUT, &text_of(STANDARD_INPUT, bytes)?)?
    } else {
        load_file(Path::new(&input.file))?
    };
    loaded.set(&input.set)?;
    Ok(loaded)
}

/// Reads a scenario file.
///
/// # Errors
/// A file that cannot be read, or everything that is wrong with it.
pub fn load_file(path: &Path) -> Result<Loaded> {
    let name = printable(&path.display().to_string());
    if path.is_dir() {
        bail!("{name}: this is a folder; give the scenario file in it");
    }
    let read = File::open(path).and_then(|mut file| read_limited(&mut file));
    let bytes = match read {
        Ok(bytes) => bytes,
        Err(e) if e.kind() == io::ErrorKind::NotFound => bail!("{name}: there is no such file"),
        Err(e) => return Err(anyhow::Error::new(e).context(format!("{name}: cannot be read"))),
    };
    Loaded::from_text(&name, &text_of(&name, bytes)?)
}

/// Reads one byte more than a scenario may hold, so that a longer one is noticed and an endless one ends.
fn read_limited(from: &mut dyn Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(MAX_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn text_of(name: &str, bytes: Vec<u8>) -> Result<String> {
    if bytes.len() > MAX_BYTES {
        bail!(
            "{name}: holds more than {MAX_BYTES} bytes; a scenario is a few kilobytes: is this the right file?"
        );
    }
    String::from_utf8(bytes).map_err(|e| {
        let good = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = 1 + good.iter().filter(|&&b| b == b'\n').count();
        anyhow::anyhow!("{name}:{line}: this is not UTF-8 text; save the file as UTF-8")
    })
}
