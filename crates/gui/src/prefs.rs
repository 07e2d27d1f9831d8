//! How a person likes to see things; no part of any scenario.

use dragback_units::System;
use egui::Theme;
use serde::{Deserialize, Serialize};

/// Preferences.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Prefs {
    /// Units that are shown.
    pub system: System,
    /// Light or dark.
    pub is_dark: bool,
}

impl Default for Prefs {
    fn default() -> Self {
        Self {
            system: System::Metric,
            is_dark: false,
        }
    }
}

impl Prefs {
    /// The theme.
    #[must_use]
    pub const fn theme(self) -> Theme {
        if self.is_dark {
            Theme::Dark
        } else {
            Theme::Light
        }
    }
}
