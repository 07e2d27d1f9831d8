//! How the window is started, and why it may not be.

use std::path::PathBuf;

use dragback_report::PdfMaker;
use dragback_units::System;
use thiserror::Error;

/// How to start.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// What makes PDF files of reports, where the program was built with it.
    pub pdf: Option<PdfMaker>,
    /// Text of the scenario to begin with.
    pub demo_text: &'static str,
    /// Name to show for it.
    pub demo_name: &'static str,
    /// A file to open at once in place of it.
    pub open: Option<PathBuf>,
    /// Units to begin with in place of the preferred ones; kept only when a preference is changed in the window.
    pub units: Option<System>,
    /// For tests: the window itself asks for paths, as it does where the system has no dialog for files.
    pub without_dialogs: bool,
    /// For tests: a file to which a line of JSON is appended after each lever change that has been answered, and whenever the layout changes.
    pub report_path: Option<PathBuf>,
}

/// Why there is no window.
#[derive(Debug, Error)]
pub enum GuiError {
    /// Nothing to draw on.
    #[error(
        "there is no display: neither DISPLAY nor WAYLAND_DISPLAY is set; start the program from a desktop session, or through \
         `xvfb-run` or `ssh -X`"
    )]
    NoDisplay,
    /// There should be a display, but it does not answer.
    #[error(
        "the display does not answer: check DISPLAY or WAYLAND_DISPLAY, and whether this user may draw on it"
    )]
    Unreachable,
    /// A library of the system is missing.
    #[error("the window needs {what}; on Debian and Ubuntu: apt-get install {packages} ({detail})")]
    MissingLibrary {
        /// What is missing.
        what: &'static str,
        /// Packages that bring it.
        packages: &'static str,
        /// What the system said.
        detail: String,
    },
    /// The system refused the window for another reason.
    #[error("the window could not be opened: {detail}")]
    Refused {
        /// What the system said.
        detail: String,
    },
    /// The window was open and the program failed.
    #[error("the window closed by an error of the program: {detail}")]
    Crashed {
        /// What was said.
        detail: String,
    },
}

impl GuiError {
    /// Whether the window never opened, so that the terminal can take over.
    #[must_use]
    pub const fn never_opened(&self) -> bool {
        !matches!(self, Self::Crashed { .. })
    }

    /// Sorts what the system said.
    pub(crate) fn from_detail(detail: String) -> Self {
        let has = |words: &[&str]| {
            let lower = detail.to_lowercase();
            words.iter().any(|w| lower.contains(w))
        };
        if has(&[
            "open connection to x server",
            "could not connect",
            "wayland compositor",
        ]) {
            return Self::Unreachable;
        }
        if has(&["xkbcommon", "xkb"]) {
            let what = "the keyboard library of X11";
            return Self::MissingLibrary {
                what,
                packages: "libxkbcommon-x11-0",
                detail,
            };
        }
        if has(&["libx11", "libxcursor", "libxi.so", "libxi ", "libxrandr"]) {
            let packages = "libx11-6 libxcursor1 libxi6 libxrandr2";
            return Self::MissingLibrary {
                what: "the libraries of X11",
                packages,
                detail,
            };
        }
        if has(&[
            "glutin",
            "opengl",
            "libgl",
            "egl",
            "glx",
            "gl context",
            "no config",
        ]) {
            let packages = "libgl1 libgl1-mesa-dri libegl1";
            return Self::MissingLibrary {
                what: "OpenGL",
                packages,
                detail,
            };
        }
        Self::Refused { detail }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn missing_libraries_are_named_with_their_packages() {
        for (said, package) in [
            (
                "Library libxkbcommon-x11.so could not be loaded.",
                "libxkbcommon-x11-0",
            ),
            ("failed to open libXcursor.so.1", "libxcursor1"),
            ("Found no glutin configs matching the template", "libgl1"),
        ] {
            let error = GuiError::from_detail(said.to_owned());
            assert!(error.never_opened());
            let text = error.to_string();
            assert!(text.contains(package) && text.contains(said), "{text}");
        }
        let dead = "os error: Failed to open connection to X server".to_owned();
        assert!(matches!(GuiError::from_detail(dead), GuiError::Unreachable));
        let other = GuiError::from_detail("the moon is full".to_owned());
        assert!(matches!(other, GuiError::Refused { .. }));
    }
}
