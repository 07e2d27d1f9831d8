//! Vessels that liquid joins: each such part of a network settles by itself.

use dragback_plant::ids::VesselId;
use dragback_plant::network::{End, Network};
use nalgebra::{DMatrix, DVector};

/// The vessels of one part, in their order.
#[derive(Clone, Debug)]
pub(super) struct Part(Vec<VesselId>);

/// The parts of a network: two lines that share nothing but the room are two.
pub(super) fn parts(net: &Network) -> Vec<Part> {
    let mut part_of: Vec<usize> = (0..net.vessels.len()).collect();
    for transfer in &net.transfers {
        let (End::Vessel(from), End::Vessel(to)) = (transfer.from, transfer.to) else {
            continue;
        };
        let (kept, gone) = (part_of[from.index()], part_of[to.index()]);
        for part in part_of.iter_mut().filter(|p| **p == gone) {
            *part = kept;
        }
    }
    let of = |part: usize| {
        let vessels = (0..part_of.len()).filter(|&v| part_of[v] == part);
        Part(vessels.map(VesselId).collect())
    };
    let all = (0..part_of.len()).map(of);
    all.filter(|part| !part.0.is_empty()).collect()
}

impl Part {
    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    pub(super) fn vessels(&self) -> impl Iterator<Item = VesselId> {
        self.0.iter().copied()
    }

    /// Place of a vessel among those of this part.
    pub(super) fn place(&self, vessel: VesselId) -> Option<usize> {
        self.0.iter().position(|&v| v == vessel)
    }

    /// This part's share of columns over `n` vessels.
    pub(super) fn cut(&self, n: usize, rows: &[f64]) -> DMatrix<f64> {
        let at = |i: usize, j: usize| rows[self.0[i].index() * n + self.0[j].index()];
        DMatrix::from_fn(self.len(), self.len(), at)
    }

    /// A value for each vessel of this part.
    pub(super) fn each(&self, value: impl Fn(VesselId) -> f64) -> DVector<f64> {
        DVector::from_iterator(self.len(), self.vessels().map(value))
    }

    /// Puts this part's values among those of all vessels.
    pub(super) fn put(&self, values: &DVector<f64>, all: &mut DVector<f64>) {
        for (vessel, value) in self.vessels().zip(values.iter()) {
            all[vessel.index()] = *value;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_go_where_their_vessels_are() {
        let part = Part(vec![VesselId(1), VesselId(3)]);
        let rows: Vec<f64> = (0..16).map(f64::from).collect();
        assert_eq!(
            part.cut(4, &rows),
            DMatrix::from_row_slice(2, 2, &[5.0, 7.0, 13.0, 15.0])
        );
        let mut all = DVector::zeros(4);
        part.put(&part.each(|v| 10.0 + v.index() as f64), &mut all);
        assert_eq!(all, DVector::from_row_slice(&[0.0, 11.0, 0.0, 13.0]));
        assert_eq!(
            (part.place(VesselId(3)), part.place(VesselId(0))),
            (Some(1), None)
        );
    }
}
