//! Where a unit of solute in each vessel ends up after a week.

use std::ops::Range;

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_solver::TransportMatrix;

use crate::preview::book::Early;

/// Unit columns that ride along with the linear solve of each step.
///
/// There are several sets of them, each with a column per vessel that says where one kg that starts there ends up: one of a solute that nothing restores
/// or purifies, and one for each solute with a way of its own. All sets stand side by side, so that one solve carries them.
#[derive(Clone, Debug)]
pub(crate) struct Passengers {
    n: usize,
    /// Whose columns the sets are; `None` for those of any solute that goes with the streams alone.
    sets: Vec<Option<SoluteId>>,
    /// A row per vessel; in each row the columns of all sets.
    columns: Vec<f64>,
    /// What purification takes at the beginning of the step under way.
    early_removals: Vec<(SoluteId, VesselId, f64)>,
    /// Solutes that additions restore in a bath: whenever salt is given, what that bath had been off is forgotten.
    held: Vec<Held>,
    /// Where the sets of solutes that are purified somewhere begin: a share of them goes on the way.
    first_purified: usize,
    /// Everything as it was before the step under way.
    columns_before: Vec<f64>,
    held_before: Vec<Held>,
    is_carried: bool,
}

#[derive(Clone, Copy, Debug)]
struct Held {
    solute: SoluteId,
    bath: VesselId,
    was_given: bool,
    /// Least strength of the week over the target.
    least: f64,
}

/// Place of the first set of a solute that is restored.
const FIRST_HELD: usize = 1;

impl Passengers {
    pub(super) fn new(
        n: usize,
        restored: impl Iterator<Item = (SoluteId, VesselId)>,
        purified: impl Iterator<Item = SoluteId>,
    ) -> Self {
        let held = restored.map(|(solute, bath)| Held {
            solute,
            bath,
            was_given: false,
            least: f64::INFINITY,
        });
        let held: Vec<Held> = held.collect();
        let mut sets = vec![None];
        sets.extend(held.iter().map(|h| Some(h.solute)));
        let first_purified = sets.len();
        sets.extend(purified.map(Some));
        let wide = n * sets.len();
        let mut columns = vec![0.0; n * wide];
        for (v, row) in columns.chunks_exact_mut(wide.max(1)).enumerate() {
            row.iter_mut().skip(v).step_by(n).for_each(|x| *x = 1.0);
        }
        Self {
            n,
            sets,
            columns_before: columns.clone(),
            columns,
            early_removals: Vec::new(),
            held_before: held.clone(),
            held,
            first_purified,
            is_carried: false,
        }
    }

    /// Begins a step, which [`Self::undo`] can take back.
    pub(crate) fn begin(&mut self) {
        self.early_removals.clear();
        self.held_before.clone_from(&self.held);
        self.is_carried = false;
    }

    /// Takes the step under way back.
    pub(crate) fn undo(&mut self) {
        if self.is_carried {
            self.columns.clone_from(&self.columns_before);
        }
        self.held.clone_from(&self.held_before);
        self.early_removals.clear();
    }

    pub(crate) fn carry(&mut self, early: &[Early], matrix: &TransportMatrix) {
        self.columns_before.clone_from(&self.columns);
        self.is_carried = true;
        let (n, wide) = (self.n, self.wide());
        for &(solute, v, share) in &self.early_removals {
            for set in (0..self.sets.len()).filter(|&set| self.sets[set] == Some(solute)) {
                let start = v.index() * wide + set * n;
                let was = &self.columns_before[start..start + n];
                for (x, was) in self.columns[start..start + n].iter_mut().zip(was) {
                    *x -= share * was;
                }
            }
        }
        for e in early.iter().filter(|e| e.share != 0.0) {
            let was = &self.columns_before[e.from * wide..(e.from + 1) * wide];
            let from = &mut self.columns[e.from * wide..(e.from + 1) * wide];
            for (x, was) in from.iter_mut().zip(was) {
                *x -= e.share * was;
            }
            if let Some(to) = e.to {
                let arrives = (1.0 - e.lost) * e.share;
                let to = &mut self.columns[to * wide..(to + 1) * wide];
                for (x, was) in to.iter_mut().zip(was) {
                    *x += arrives * was;
                }
            }
        }
        matrix.solve(&mut self.columns, wide);
        self.early_removals.clear();
    }

    /// Purification takes `share` of a vessel's content at the step's beginning. Comes before [`Self::carry`].
    pub(crate) fn purify_early(&mut self, solute: SoluteId, vessel: VesselId, share: f64) {
        self.early_removals.push((solute, vessel, share));
    }

    /// Purification takes `share` of a vessel's content at the step's end; `column` says where a unit there ends up.
    pub(crate) fn purify(
        &mut self,
        solute: SoluteId,
        vessel: VesselId,
        share: f64,
        column: &[f64],
    ) {
        let (n, wide, v) = (self.n, self.wide(), vessel.index());
        let taken = share / (1.0 + share * column[v]);
        for set in 0..self.sets.len() {
            if self.sets[set] != Some(solute) {
                continue;
            }
            for c in set * n..(set + 1) * n {
                let taken = taken * self.columns[v * wide + c];
                for (u, part) in column.iter().enumerate() {
                    self.columns[u * wide + c] -= taken * part;
                }
            }
        }
    }

    /// The columns of a solute that nothing restores or purifies.
    pub(super) fn free(&self) -> Vec<f64> {
        self.rows(0)
    }

    /// The columns of a solute that is purified.
    pub(super) fn purified_rows(&self, solute: SoluteId) -> Option<Vec<f64>> {
        let mut sets = self.first_purified..self.sets.len();
        let set = sets.find(|&set| self.sets[set] == Some(solute))?;
        Some(self.rows(set))
    }

    /// The columns of a solute that was restored in that bath during the week.
    pub(super) fn held_rows(&self, solute: SoluteId, bath: VesselId) -> Option<Vec<f64>> {
        let (at, held) = self.of(solute, bath)?;
        held.was_given.then(|| self.rows(FIRST_HELD + at))
    }

    pub(super) fn least(&self, solute: SoluteId, bath: VesselId) -> Option<f64> {
        self.of(solute, bath).map(|(_, held)| held.least)
    }

    pub(crate) fn pin(&mut self, solute: SoluteId, vessel: VesselId) {
        for at in 0..self.held.len() {
            if self.held[at].solute == solute {
                let row = self.row_of(vessel, FIRST_HELD + at);
                self.columns[row].fill(0.0);
                self.held[at].was_given |= self.held[at].bath == vessel;
            }
        }
    }

    pub(crate) fn see(&mut self, solute: SoluteId, vessel: VesselId, strength_over_target: f64) {
        let held = self.held.iter_mut();
        for held in held.filter(|h| h.solute == solute && h.bath == vessel) {
            held.least = held.least.min(strength_over_target);
        }
    }

    fn of(&self, solute: SoluteId, bath: VesselId) -> Option<(usize, &Held)> {
        let mut held = self.held.iter().enumerate();
        held.find(|(_, h)| h.solute == solute && h.bath == bath)
    }

    /// Columns of all sets.
    const fn wide(&self) -> usize {
        self.n * self.sets.len()
    }

    fn row_of(&self, vessel: VesselId, set: usize) -> Range<usize> {
        let start = vessel.index() * self.wide() + set * self.n;
        start..start + self.n
    }

    /// The columns of one set, row by row.
    fn rows(&self, set: usize) -> Vec<f64> {
        let rows = (0..self.n).flat_map(|v| &self.columns[self.row_of(VesselId(v), set)]);
        rows.copied().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SALT: SoluteId = SoluteId(0);
    const METAL: SoluteId = SoluteId(1);
    const BATH: VesselId = VesselId(0);

    /// A bath with a salt that is given to it, and a rinse, of which half runs away in a step; a metal is purified somewhere.
    fn aboard() -> (Passengers, TransportMatrix) {
        let passengers = Passengers::new(2, std::iter::once((SALT, BATH)), std::iter::once(METAL));
        let mut matrix = TransportMatrix::identity(2);
        matrix.carry(0, Some(1), 1.0);
        matrix.carry(1, None, 1.0);
        matrix.factor().unwrap();
        (passengers, matrix)
    }

    /// Hand derivation: of a kilogram in the bath ½ stays, ½ arrives in the rinse, of which ½ is left; of one in the rinse ½ is left.
    #[test]
    fn each_solute_has_columns_of_its_own() {
        let (mut passengers, matrix) = aboard();
        passengers.begin();
        passengers.carry(&[], &matrix);
        passengers.pin(SALT, BATH);
        // Half of what is in the rinse at the end, were it not taken.
        passengers.purify(METAL, VesselId(1), 1.0, &[0.0, 0.5]);
        assert_eq!(passengers.free(), [0.5, 0.0, 0.25, 0.5]);
        let held = passengers.held_rows(SALT, BATH).unwrap();
        assert_eq!(held, [0.0, 0.0, 0.25, 0.5]);
        let purified = passengers.purified_rows(METAL).unwrap();
        let third = 0.5 / (1.0 + 0.5);
        assert_eq!(
            purified,
            [0.5, 0.0, 0.25 * (1.0 - third), 0.5 * (1.0 - third)]
        );
        assert_eq!(passengers.purified_rows(SALT), None);
    }

    #[test]
    fn a_step_that_is_taken_back_leaves_no_trace() {
        let (mut passengers, matrix) = aboard();
        passengers.begin();
        passengers.carry(&[], &matrix);
        let (free, held) = (passengers.free(), passengers.held_rows(SALT, BATH));
        passengers.begin();
        passengers.purify_early(METAL, BATH, 0.5);
        passengers.carry(&[], &matrix);
        passengers.pin(SALT, BATH);
        passengers.see(SALT, BATH, 0.9);
        assert_ne!(passengers.free(), free);
        passengers.undo();
        assert_eq!(passengers.free(), free);
        assert_eq!(passengers.purified_rows(METAL), Some(free.clone()));
        assert_eq!(passengers.held_rows(SALT, BATH), held);
        assert_eq!(passengers.least(SALT, BATH), Some(f64::INFINITY));
    }
}
