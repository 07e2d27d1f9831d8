//! The audit as people read it.

use std::collections::BTreeMap;

use dragback_plant::Plant;
use dragback_plant::ids::AccountId;
use dragback_plant::layout::Layout;
use dragback_plant::ledger::{Entry, Ledger};
use dragback_units::constants as unit;

use crate::answers::{EnergyLine, LedgerAnswer, MassLine, Way};

/// Water, energy and each solute with the ways that carried it.
pub(crate) fn books(plant: &Plant, ledger: &Ledger) -> BTreeMap<String, LedgerAnswer> {
    let told = ledger.entries.iter().enumerate().map(|(j, e)| {
        let entry = if j == Layout::ENTHALPY {
            energy(plant, e)
        } else {
            mass(plant, e)
        };
        (e.name.clone(), entry)
    });
    told.collect()
}

fn mass(plant: &Plant, e: &Entry) -> LedgerAnswer {
    let lines = ways(plant, e).map(|(name, side, kg)| MassLine { name, side, kg });
    LedgerAnswer::Mass {
        in_kg: e.in_total,
        out_kg: e.out_total,
        held_change_kg: e.held_change,
        closure_error: e.closure_error,
        lines: lines.collect(),
    }
}

fn energy(plant: &Plant, e: &Entry) -> LedgerAnswer {
    let lines = ways(plant, e).map(|(name, side, joules)| EnergyLine {
        name,
        side,
        kwh: unit::kilowatt_hours(joules),
    });
    LedgerAnswer::Energy {
        in_kwh: unit::kilowatt_hours(e.in_total),
        out_kwh: unit::kilowatt_hours(e.out_total),
        held_change_kwh: unit::kilowatt_hours(e.held_change),
        closure_error: e.closure_error,
        lines: lines.collect(),
    }
}

/// Name, side and amount of every line that carried something: first in, then out, the largest first.
fn ways<'a>(plant: &'a Plant, e: &'a Entry) -> impl Iterator<Item = (String, Way, f64)> + 'a {
    let name = |a: AccountId| plant.network().accounts[a.index()].name.clone();
    let sorted = |lines: &[(AccountId, f64)]| {
        let mut lines = lines.to_vec();
        lines.sort_by(|a, b| b.1.total_cmp(&a.1));
        lines
    };
    let (came, went) = (sorted(&e.came_in), sorted(&e.went_out));
    let came = came.into_iter().map(move |(a, x)| (name(a), Way::In, x));
    came.chain(went.into_iter().map(move |(a, x)| (name(a), Way::Out, x)))
}
