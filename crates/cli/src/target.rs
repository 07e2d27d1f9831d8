//! Writing files whole or not at all.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use serde::Serialize;

use crate::io::{Io, printable, unless_gone};

/// Where an output goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Target {
    /// Standard output.
    Standard,
    /// A file.
    File(PathBuf),
}

/// The outputs that a command was asked for, checked before anything is computed.
#[derive(Debug, Default)]
pub(crate) struct Targets {
    pub csv: Option<Target>,
    pub json: Option<Target>,
}

impl Targets {
    /// Checks that the outputs can be there and are not the scenario itself.
    pub(crate) fn new(
        csv: Option<&OsString>,
        json: Option<&OsString>,
        scenario: &OsString,
    ) -> Result<Self> {
        let csv = csv.map(|p| Target::new(p, "--csv", scenario)).transpose()?;
        let json = json
            .map(|p| Target::new(p, "--json", scenario))
            .transpose()?;
        if csv
            .as_ref()
            .zip(json.as_ref())
            .is_some_and(|(a, b)| a.is(b))
        {
            bail!("--csv and --json go to the same place; give each its own");
        }
        Ok(Self { csv, json })
    }

    /// Whether standard output is taken, so that the tables stay away from it.
    pub(crate) fn take_standard(&self) -> bool {
        [&self.csv, &self.json]
            .into_iter()
            .flatten()
            .any(|t| *t == Target::Standard)
    }
}

impl Target {
    pub(crate) fn new(path: &OsString, option: &str, scenario: &OsString) -> Result<Self> {
        if path == "-" {
            return Ok(Self::Standard);
        }
        let path = PathBuf::from(path);
        let shown = printable(&path.display().to_string());
        if path.is_dir() {
            bail!("{option} {shown}: this is a folder; give the name of a file");
        }
        let Some(folder) = folder_of(&path) else {
            bail!("{option} {shown}: this is not the name of a file");
        };
        if !folder.is_dir() {
            bail!(
                "{option} {shown}: there is no folder {}",
                printable(&folder.display().to_string())
            );
        }
        let same = |a: &Path, b: &Path| matches!((fs::canonicalize(a), fs::canonicalize(b)), (Ok(a), Ok(b)) if a == b);
        if same(&path, Path::new(scenario)) {
            bail!("{option} {shown}: this is the scenario itself; give another name");
        }
        Ok(Self::File(path))
    }

    /// Whether two outputs go to the same place, however that is written.
    fn is(&self, other: &Self) -> bool {
        let (Self::File(a), Self::File(b)) = (self, other) else {
            return self == other;
        };
        let whole = |path: &Path| {
            let folder = folder_of(path).and_then(|f| fs::canonicalize(f).ok());
            fs::canonicalize(path)
                .ok()
                .or_else(|| Some(folder?.join(path.file_name()?)))
        };
        a == b || matches!((whole(a), whole(b)), (Some(a), Some(b)) if a == b)
    }

    /// Writes a value as JSON with a line's end behind it. A number that is none becomes `null`.
    pub(crate) fn write_json(&self, value: &impl Serialize, io: &mut Io<'_>) -> Result<()> {
        let text = serde_json::to_string_pretty(value)?;
        self.write(io, |out| writeln!(out, "{text}"))
    }

    /// Writes what `fill` gives, whole or not at all.
    pub(crate) fn write(
        &self,
        io: &mut Io<'_>,
        fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> Result<()> {
        match self {
            Self::Standard => {
                let mut out = BufWriter::new(&mut *io.out);
                unless_gone(fill(&mut out).and_then(|()| out.flush())).context("standard output")
            }
            Self::File(path) => write_file(path, fill).with_context(|| {
                format!(
                    "{}: cannot be written",
                    printable(&path.display().to_string())
                )
            }),
        }
    }
}

fn folder_of(path: &Path) -> Option<&Path> {
    path.file_name()?;
    let parent = path.parent()?;
    Some(if parent.as_os_str().is_empty() {
        Path::new(".")
    } else {
        parent
    })
}

/// Writes beside the file and renames, so that a reader never meets half a file and a failure leaves the old one.
fn write_file(path: &Path, fill: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    let known = fs::metadata(path).ok();
    if known.as_ref().is_some_and(|m| !m.is_file()) {
        // A pipe or a device is written to; it must not be replaced by a file.
        let mut out = BufWriter::new(OpenOptions::new().write(true).open(path)?);
        return fill(&mut out).and_then(|()| out.flush());
    }
    // A link keeps pointing at the file that is replaced.
    let path = if known.is_some() {
        fs::canonicalize(path)?
    } else {
        path.to_owned()
    };
    let beside = Beside::create(&path)?;
    let mut out = BufWriter::new(&beside.file);
    fill(&mut out)?;
    out.flush()?;
    drop(out);
    if let Some(known) = known {
        beside.file.set_permissions(known.permissions())?;
    }
    beside.file.sync_all()?;
    beside.replace(&path)
}

/// A new file beside the one to be written; it goes away unless it takes its place.
struct Beside {
    file: File,
    path: PathBuf,
    is_kept: bool,
}

impl Beside {
    fn create(path: &Path) -> io::Result<Self> {
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        for attempt in 0..100_u32 {
            let beside = path.with_file_name(format!(".{name}.{}-{attempt}", std::process::id()));
            match OpenOptions::new()
                .write(true)
                .create_new(true)
                .open(&beside)
            {
                Ok(file) => {
                    return Ok(Self {
                        file,
                        path: beside,
                        is_kept: false,
                    });
                }
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
                Err(e) => return Err(e),
            }
        }
        Err(io::Error::from(io::ErrorKind::AlreadyExists))
    }

    fn replace(mut self, path: &Path) -> io::Result<()> {
        fs::rename(&self.path, path)?;
        self.is_kept = true;
        Ok(())
    }
}

impl Drop for Beside {
    fn drop(&mut self) {
        if !self.is_kept {
            drop(fs::remove_file(&self.path));
        }
    }
}
