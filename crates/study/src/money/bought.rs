//! Chemicals as bought, from what additions brought.

use std::collections::BTreeMap;

use dragback_plant::ids::SoluteId;
use dragback_plant::network::{LoopRoles, Pace};
use dragback_scenario::{Scenario, salt_yields};
use nalgebra::{DMatrix, DVector};

use super::usage::summed;
use crate::figures::Means;

/// Singular values below this share of the largest belong to salts that cannot be told apart.
const APART: f64 = 1.0e-12;

/// Mean rate at which each salt, or species dosed as it is, is bought, kg/s.
///
/// Doses by ampere hour follow the current. Of what else the ledger line of a loop's additions brought, each salt takes the share that explains the solutes
/// that are brought back to their targets: as many equations as there are of these, linear in the masses of the salts.
pub(super) fn chemicals_kg_per_s(means: &Means<'_>, scenario: &Scenario) -> BTreeMap<String, f64> {
    let loops = means.plant.network().loops.iter();
    let each = loops.flat_map(|roles| {
        let (dosed, mut brought) = dosed(means, scenario, roles);
        let restored = restored(means, scenario, roles, &mut brought);
        dosed.into_iter().chain(restored)
    });
    summed(each)
}

/// What is dosed by ampere hour, and what of each solute the additions brought besides, kg/s.
fn dosed(
    means: &Means<'_>,
    scenario: &Scenario,
    roles: &LoopRoles,
) -> (Vec<(String, f64)>, Vec<f64>) {
    let (net, layout) = (means.plant.network(), means.plant.layout());
    let Some(line) = roles.additions else {
        return (Vec::new(), vec![0.0; net.solutes.len()]);
    };
    let solutes = 0..net.solutes.len();
    let entry = |s: usize| layout.account(line) + layout.solute(SoluteId(s));
    // A ledger line that gives to the plant runs below zero.
    let mut brought: Vec<f64> = solutes.map(|s| -means.rate(entry(s))).collect();
    let bath = scenario.loops.get(&roles.name).map(|l| &l.bath);
    let current = bath.and_then(|b| b.rectifier.as_ref());
    let doses = bath.and_then(|b| b.additions.as_ref());
    let mut dosed = Vec::new();
    let mut share = 0.0;
    for source in net.sources.iter().filter(|s| s.account == line) {
        share = source.gate.device.map_or(1.0, |d| means.ran(d));
        if source.pace == Pace::Steady {
            for &(s, kg) in &source.solutes_kg {
                brought[s.index()] -= kg * share;
            }
        }
    }
    if let (Some(current), Some(doses)) = (current, doses) {
        let each = doses.per_charge.iter();
        dosed = each
            .map(|(key, kg_per_c)| (key.to_owned(), kg_per_c.si() * current.current.si() * share))
            .collect();
    }
    (dosed, brought)
}

/// The salts by which managed solutes are restored, kg/s.
fn restored(
    means: &Means<'_>,
    scenario: &Scenario,
    roles: &LoopRoles,
    brought: &mut [f64],
) -> Vec<(String, f64)> {
    let line = scenario.loops.get(&roles.name);
    let Some(additions) = line.and_then(|l| l.bath.additions.as_ref()) else {
        return Vec::new();
    };
    let net = means.plant.network();
    let place = |species: &str| net.solutes.iter().position(|s| s.name == species);
    let managed: Vec<(usize, &str)> = additions
        .restore
        .iter()
        .filter_map(|(species, salt)| Some((place(species)?, salt.as_str())))
        .collect();
    let mut salts: Vec<&str> = managed.iter().map(|(_, salt)| *salt).collect();
    salts.sort_unstable();
    salts.dedup();
    if salts.is_empty() {
        return Vec::new();
    }
    let yields = |salt: &str, solute: usize| {
        let parts = salt_yields(scenario, salt).unwrap_or_default();
        let name = &net.solutes[solute].name;
        parts
            .iter()
            .find(|(k, _)| k == name)
            .map_or(0.0, |(_, y)| *y)
    };
    let matrix = DMatrix::from_fn(managed.len(), salts.len(), |i, j| {
        yields(salts[j], managed[i].0)
    });
    let right = DVector::from_iterator(managed.len(), managed.iter().map(|(s, _)| brought[*s]));
    let svd = matrix.svd(true, true);
    let least = APART * svd.singular_values.max();
    let masses = svd.solve(&right, least).unwrap_or_else(|_| {
        // Both sides of the decomposition were asked for: it always solves.
        DVector::from_element(salts.len(), f64::NAN)
    });
    let names = salts.iter().map(|s| (*s).to_owned());
    names.zip(masses.iter().copied()).collect()
}
