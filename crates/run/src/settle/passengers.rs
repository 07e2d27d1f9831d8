//! Where a unit of solute in each vessel ends up after a week.

use dragback_plant::ids::{SoluteId, VesselId};
use dragback_solver::TransportMatrix;

use crate::preview::book::Early;

/// Unit columns that ride along with the linear solve of each step.
#[derive(Clone, Debug)]
pub(crate) struct Passengers {
    n: usize,
    /// Column per vessel: where one kg that starts there ends up.
    pub(super) free: Vec<f64>,
    /// What purification takes at the beginning of the step under way.
    early_removals: Vec<(SoluteId, VesselId, f64)>,
    /// A set of columns before the step.
    before: Vec<f64>,
    /// The same for each solute that additions restore in a bath: whenever salt is given, what that bath had been off is forgotten.
    held: Vec<Held>,
    /// The same for each solute that is purified somewhere: a share of it goes on the way.
    purified: Vec<(SoluteId, Vec<f64>)>,
}

#[derive(Clone, Debug)]
struct Held {
    solute: SoluteId,
    bath: VesselId,
    rows: Vec<f64>,
    was_given: bool,
    /// Least strength of the week over the target.
    least: f64,
}

impl Passengers {
    pub(super) fn new(
        n: usize,
        restored: impl Iterator<Item = (SoluteId, VesselId)>,
        purified: impl Iterator<Item = SoluteId>,
    ) -> Self {
        let mut unit = vec![0.0; n * n];
        for i in 0..n {
            unit[i * n + i] = 1.0;
        }
        let held = restored.map(|(solute, bath)| Held {
            solute,
            bath,
            rows: unit.clone(),
            was_given: false,
            least: f64::INFINITY,
        });
        Self {
            n,
            early_removals: Vec::new(),
            before: Vec::new(),
            held: held.collect(),
            purified: purified.map(|s| (s, unit.clone())).collect(),
            free: unit,
        }
    }

    pub(crate) fn carry(&mut self, early: &[Early], matrix: &TransportMatrix) {
        let n = self.n;
        let held = self.held.iter_mut().map(|h| (Some(h.solute), &mut h.rows));
        let purified = self.purified.iter_mut().map(|p| (Some(p.0), &mut p.1));
        for (solute, rows) in held.chain(purified).chain([(None, &mut self.free)]) {
            self.before.clone_from(rows);
            for &(s, v, share) in &self.early_removals {
                if solute == Some(s) {
                    for c in v.index() * n..(v.index() + 1) * n {
                        rows[c] -= share * self.before[c];
                    }
                }
            }
            for e in early {
                for c in 0..n {
                    let x = e.share * self.before[e.from * n + c];
                    rows[e.from * n + c] -= x;
                    if let Some(to) = e.to {
                        rows[to * n + c] += (1.0 - e.lost) * x;
                    }
                }
            }
            matrix.solve(rows, n);
        }
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
        let (n, v) = (self.n, vessel.index());
        let held = self.held.iter_mut().filter(|h| h.solute == solute);
        let purified = self.purified.iter_mut().filter(|p| p.0 == solute);
        let all = held.map(|h| &mut h.rows).chain(purified.map(|p| &mut p.1));
        for rows in all {
            for c in 0..n {
                let taken = share * rows[v * n + c] / (1.0 + share * column[v]);
                for (u, part) in column.iter().enumerate() {
                    rows[u * n + c] -= taken * part;
                }
            }
        }
    }

    /// The columns of a solute that nothing restores.
    pub(super) fn free_rows(&self, solute: SoluteId) -> Option<&[f64]> {
        self.purified
            .iter()
            .find(|p| p.0 == solute)
            .map(|p| p.1.as_slice())
    }

    pub(crate) fn pin(&mut self, solute: SoluteId, vessel: VesselId) {
        let (n, v) = (self.n, vessel.index());
        for held in self.held.iter_mut().filter(|h| h.solute == solute) {
            held.rows[v * n..(v + 1) * n].fill(0.0);
            held.was_given |= held.bath == vessel;
        }
    }

    pub(crate) fn see(&mut self, solute: SoluteId, vessel: VesselId, strength_over_target: f64) {
        let held = self.held.iter_mut();
        for held in held.filter(|h| h.solute == solute && h.bath == vessel) {
            held.least = held.least.min(strength_over_target);
        }
    }

    pub(super) fn least(&self, solute: SoluteId, bath: VesselId) -> Option<f64> {
        self.of(solute, bath).map(|h| h.least)
    }

    /// The columns of a solute that was restored in that bath during the week.
    pub(super) fn held_rows(&self, solute: SoluteId, bath: VesselId) -> Option<&[f64]> {
        let held = self.of(solute, bath).filter(|h| h.was_given)?;
        Some(&held.rows)
    }

    fn of(&self, solute: SoluteId, bath: VesselId) -> Option<&Held> {
        let mut held = self.held.iter();
        held.find(|h| h.solute == solute && h.bath == bath)
    }
}
