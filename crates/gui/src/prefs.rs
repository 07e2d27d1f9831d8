//! How a person likes to see things; no part of any scenario.

use std::path::{Path, PathBuf};

use dragback_report::Show;
use dragback_study::Counted;
use dragback_study::curves::Kind;
use dragback_units::System;
use egui::ThemePreference;
use serde::{Deserialize, Serialize};

use crate::plots::KINDS;
use crate::sweep::SweepChoice;

/// Light, dark, or as the system has it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum ThemeChoice {
    /// Dark curves on a white sheet.
    Light,
    /// Light curves on a dark sheet.
    Dark,
    /// As the system has it.
    #[default]
    System,
}

impl ThemeChoice {
    /// As the drawing library wants it.
    #[must_use]
    pub const fn preference(self) -> ThemePreference {
        match self {
            Self::Light => ThemePreference::Light,
            Self::Dark => ThemePreference::Dark,
            Self::System => ThemePreference::System,
        }
    }
}

/// What the middle of the window shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Shown {
    /// The loop drawn, and the plots.
    #[default]
    Loop,
    /// The ledger.
    Ledger,
    /// What a year costs, and whether a change pays.
    Money,
    /// The line and its variants side by side.
    Compare,
    /// What must be installed.
    Sizing,
}

impl Shown {
    /// This one, or the loop where this one is out already.
    #[must_use]
    pub fn toggled(self, now: Self) -> Self {
        if self == now { Self::Loop } else { self }
    }
}

/// Sizes of text that are offered.
pub const SCALES: [f32; 6] = [1.0, 1.15, 1.3, 1.5, 1.75, 2.0];

/// Share of the sheet that the drawing takes at first.
pub const DRAWING_SHARE: f32 = 0.47;

/// Years within which a change is to pay at first, and the least and the most that can be asked.
pub const WITHIN_YEARS: f64 = 2.0;
/// The least.
pub const LEAST_WITHIN: f64 = 0.1;
/// The most.
pub const MOST_WITHIN: f64 = 100.0;

/// Most files that are remembered.
const MOST_RECENT: usize = 8;

/// Preferences.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Prefs {
    /// Units that are shown.
    pub system: System,
    /// As what strengths of lead solutes are shown.
    pub counted: Counted,
    /// Light or dark.
    pub theme: ThemeChoice,
    /// Size of text, as a multiple.
    pub scale: f32,
    /// Files that were opened or saved, the last one first.
    pub recent: Vec<PathBuf>,
    /// Names of the plots that are shown; `None` as many as there is room for.
    pub plots: Option<Vec<String>>,
    /// Names of the plots in the order in which they stand; those that are not named come last.
    pub order: Vec<String>,
    /// Name of what has the whole sheet to itself.
    pub large: Option<String>,
    /// What the plot of settled answers shows, if it is out.
    pub sweep: Option<SweepChoice>,
    /// How much of the sheet the drawing takes, 0 to 1.
    pub drawing_share: f32,
    /// What the middle of the window shows.
    pub shown: Shown,
    /// Years within which a change is to pay.
    pub within_years: f64,
}

impl Default for Prefs {
    fn default() -> Self {
        Self {
            system: System::Metric,
            counted: Counted::default(),
            theme: ThemeChoice::default(),
            scale: 1.0,
            recent: Vec::new(),
            plots: None,
            order: Vec::new(),
            large: None,
            sweep: None,
            drawing_share: DRAWING_SHARE,
            shown: Shown::default(),
            within_years: WITHIN_YEARS,
        }
    }
}

impl Prefs {
    /// How numbers and strengths are told on paper.
    #[must_use]
    pub const fn show(&self) -> Show {
        Show::in_units(self.system).counted_as(self.counted)
    }

    /// Sets the size of text, within what is offered.
    pub fn set_scale(&mut self, scale: f32) {
        if scale.is_finite() {
            self.scale = scale.clamp(SCALES[0], SCALES[SCALES.len() - 1]);
        }
    }

    /// The next larger size of text, or the next smaller one.
    #[must_use]
    pub fn next_scale(&self, is_larger: bool) -> f32 {
        let mut sizes = SCALES.into_iter();
        let found = if is_larger {
            sizes.find(|s| *s > self.scale + 1e-3)
        } else {
            sizes.rev().find(|s| *s < self.scale - 1e-3)
        };
        found.unwrap_or(self.scale)
    }

    /// Sets the years within which a change is to pay.
    pub fn set_within(&mut self, years: f64) {
        if years.is_finite() {
            self.within_years = years.clamp(LEAST_WITHIN, MOST_WITHIN);
        }
    }

    /// Sets how much of the sheet the drawing takes; a sliver of it means none.
    pub fn set_drawing_share(&mut self, share: f32) {
        if share.is_finite() {
            self.drawing_share = if share < 0.1 { 0.0 } else { share.min(0.85) };
        }
    }

    /// Puts a file at the head of those remembered.
    pub fn note_recent(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        self.recent.retain(|p| *p != path);
        self.recent.insert(0, path);
        self.recent.truncate(MOST_RECENT);
    }

    /// Chooses plots.
    pub fn set_plots(&mut self, kinds: Option<&[Kind]>) {
        self.plots = kinds.map(|k| k.iter().map(|kind| format!("{kind:?}")).collect());
    }

    /// Puts the plots in an order.
    pub fn arrange_plots(&mut self, kinds: &[Kind]) {
        self.order = kinds.iter().map(|kind| format!("{kind:?}")).collect();
    }

    /// All plots in the order in which they stand.
    #[must_use]
    pub fn arranged_plots(&self) -> Vec<Kind> {
        let place = |kind: &Kind| {
            let name = format!("{kind:?}");
            let found = self.order.iter().position(|n| *n == name);
            found.unwrap_or(usize::MAX)
        };
        let mut all = KINDS.to_vec();
        all.sort_by_key(place);
        all
    }

    /// The plots that were chosen, in the order in which they stand; `None` as many as there is room for.
    #[must_use]
    pub fn chosen_plots(&self) -> Option<Vec<Kind>> {
        let names = self.plots.as_ref()?;
        let is_chosen = |kind: &Kind| names.iter().any(|n| *n == format!("{kind:?}"));
        Some(
            self.arranged_plots()
                .into_iter()
                .filter(is_chosen)
                .collect(),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn preferences_come_back_and_old_ones_are_read() {
        let mut prefs = Prefs {
            system: System::Us,
            counted: Counted::Salt,
            ..Prefs::default()
        };
        prefs.set_plots(Some(&[Kind::Level, Kind::Concentration]));
        prefs.set_scale(9.0);
        for i in 0..20 {
            prefs.note_recent(Path::new(&format!("/x/{i}.ron")));
        }
        prefs.note_recent(Path::new("/x/15.ron"));
        assert_eq!(prefs.recent.len(), MOST_RECENT);
        assert_eq!(prefs.recent[0], Path::new("/x/15.ron"));
        assert_eq!(prefs.recent[1], Path::new("/x/19.ron"));
        let text = serde_json::to_string(&prefs).unwrap();
        let back: Prefs = serde_json::from_str(&text).unwrap();
        assert_eq!(back, prefs);
        assert_eq!(
            back.chosen_plots(),
            Some(vec![Kind::Concentration, Kind::Level])
        );
        prefs.arrange_plots(&[Kind::Level, Kind::Heat]);
        assert_eq!(
            prefs.chosen_plots(),
            Some(vec![Kind::Level, Kind::Concentration])
        );
        assert_eq!(prefs.arranged_plots().len(), KINDS.len());
        let old: Prefs = serde_json::from_str("{\"system\":\"Us\",\"gone\":1}").unwrap();
        assert_eq!((old.system, old.scale), (System::Us, 1.0));
        assert_eq!(old.counted, Counted::Metal);
    }
}
