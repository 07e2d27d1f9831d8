//! Where preferences lie, and how they get there and back.

use std::path::{Path, PathBuf};

use super::files::{read_text, write_whole};
use crate::prefs::Prefs;

/// The file for preferences, by the habits of each system; `None` when the system names no home.
#[must_use]
pub fn prefs_path() -> Option<PathBuf> {
    let folder = |name: &str| {
        let value = std::env::var_os(name).filter(|v| !v.is_empty())?;
        Some(PathBuf::from(value)).filter(|p| p.is_absolute())
    };
    let home = || folder("HOME");
    let base = if cfg!(windows) {
        folder("APPDATA")
    } else if cfg!(target_os = "macos") {
        home().map(|h| h.join("Library").join("Application Support"))
    } else {
        folder("XDG_CONFIG_HOME").or_else(|| home().map(|h| h.join(".config")))
    };
    base.map(|b| b.join("dragback").join("window.json"))
}

/// Preferences as they were left; those of a first start when there are none, or none that can be read.
#[must_use]
pub fn read_prefs(path: &Path) -> Prefs {
    let text = read_text(path).ok();
    let mut prefs: Prefs = text
        .and_then(|t| serde_json::from_str(&t).ok())
        .unwrap_or_default();
    prefs.set_scale(prefs.scale);
    prefs
}

/// Keeps preferences for the next start.
pub fn write_prefs(path: &Path, prefs: &Prefs) {
    if let Ok(text) = serde_json::to_string_pretty(prefs) {
        // Preferences that cannot be kept are no reason to disturb anyone.
        let _ = write_whole(path, &text);
    }
}
