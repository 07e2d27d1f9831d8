//! The table of layouts that is shown.

use std::sync::Arc;

use super::Results;
use crate::sizing::{Progress, SizingTable};
use crate::worker::Job;

impl Results {
    /// A table of layouts is about to be worked out.
    pub fn begin_sizing(&mut self, table: SizingTable) {
        self.sizing = Some(Arc::new(table));
    }

    /// Takes a table as far as it has come, if it is the one that was asked for last and not given up.
    pub fn take_sizing(&mut self, new: Arc<SizingTable>) {
        let is_wanted = self.sizing.as_ref().is_some_and(|known| {
            known.of.number == new.of.number && known.progress == Progress::Underway
        });
        if is_wanted {
            self.sizing = Some(new);
        }
    }

    /// The table of layouts.
    #[must_use]
    pub const fn sizing(&self) -> Option<&Arc<SizingTable>> {
        self.sizing.as_ref()
    }

    /// The table is of another document.
    pub(super) fn forget_sizing(&mut self) {
        (self.sizing, self.taken) = (None, None);
    }

    /// The table that is being worked out stays as far as it has come.
    pub(super) fn give_up_sizing(&mut self, job: Job) {
        let underway = self.sizing.as_mut().filter(|_| job == Job::Sizing);
        if let Some(table) = underway.filter(|t| t.progress == Progress::Underway) {
            Arc::make_mut(table).progress = Progress::GivenUp;
        }
    }
}
