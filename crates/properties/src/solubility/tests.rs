//! Saturation against published curves and PHREEQC.

use super::*;
use crate::solution::bath_from_recipe;

#[test]
fn curves_return_their_points_and_stay_within_their_ends() {
    for c in CURVES {
        for (t, w) in GRID_TEMP_C.iter().zip(c.mass_percent) {
            let got = c.saturation_kg_per_kg_water(*t);
            assert!((got - w / (100.0 - w)).abs() < 1e-12, "{} at {t}", c.salt);
        }
        let cold = c.saturation_kg_per_kg_water(-20.0);
        assert!((cold - c.saturation_kg_per_kg_water(0.0)).abs() < 1e-15);
        assert!(c.saturation_kg_per_kg_water(f64::NAN) > 0.0);
        assert!(c.saturation_kg_per_m3(25.0) > 0.0, "{}", c.salt);
    }
}

/// Boric acid: about 50 g/L at 20 °C (any handbook; from memory 47–50), as 4.77 % by mass is in a solution of
/// 1.015 kg/L (from memory).
#[test]
fn boric_acid_in_grams_per_litre() {
    let got = saturation_kg_per_m3("H3BO3", 20.0).unwrap();
    println!("H3BO3 at 20 °C: {got:.1} g/L");
    assert!((got - 48.4).abs() < 0.5, "{got}");
}

/// Saturated NaCl at 25 °C: 26.45 % by mass (CRC), density 1.197 kg/L (from memory): 317 g/L.
#[test]
fn salt_in_grams_per_litre() {
    let got = saturation_kg_per_m3("NaCl", 25.0).unwrap();
    println!("NaCl at 25 °C: {got:.1} g/L");
    assert!((got - 317.0).abs() < 5.0, "{got}");
    // A hydrate is given as the hydrate.
    let hydrate = saturation_kg_per_m3("NiSO4.6H2O", 50.0).unwrap();
    let anhydrous = curve("NiSO4").unwrap().saturation_kg_per_m3(50.0);
    assert!((hydrate / anhydrous - 262.84 / 154.75).abs() < 1e-3);
    assert!(saturation_kg_per_m3("Ni(SO3NH2)2.4H2O", 25.0).is_none());
}

/// In a Watts bath boric acid goes first (practice), and cooling to 10 °C takes it past saturation.
#[test]
fn boric_acid_goes_first_in_a_watts_bath() {
    let recipe = [("NiSO4.6H2O", 300.0), ("NiCl2.6H2O", 60.0), ("H3BO3", 40.0)];
    let bath = bath_from_recipe(&recipe, 55.0).unwrap();
    let check = Saturations::compile(&bath.species);
    let x = bath.kg_per_kg_water();
    for temp_c in [10.0, 20.0, 30.0] {
        let first = check.first(&x, temp_c).unwrap();
        println!("{temp_c} °C: {} {:.2}", first.curve.salt, first.index);
        assert_eq!(first.curve.salt, "H3BO3", "at {temp_c} °C");
    }
    assert!(check.first(&x, 10.0).unwrap().index > 1.0);
    assert!(check.first(&x, 55.0).unwrap().index < 0.6);
}

/// A solution saturated with one salt alone has index 1 for it (hand derivation).
#[test]
fn index_is_one_at_saturation() {
    for c in CURVES {
        let list: Vec<Species> = c
            .ions
            .iter()
            .map(|(k, _)| species::builtin(k).unwrap().clone())
            .collect();
        let m = c.saturation_mol_per_kg(35.0);
        let x: Vec<f64> = c
            .ions
            .iter()
            .zip(&list)
            .map(|((_, n), s)| n * m * s.molar_mass_kg_per_mol)
            .collect();
        let first = Saturations::compile(&list).first(&x, 35.0).unwrap();
        assert_eq!(first.curve.salt, c.salt);
        assert!(
            (first.index - 1.0).abs() < 1e-9,
            "{}: {}",
            c.salt,
            first.index
        );
    }
}

/// Gypsum against PHREEQC 3.8.6, pitzer.dat (`data/phreeqc_gypsum.py`): saturated solutions must show an index
/// near 1. Sulfate backgrounds at 25 °C 0.92–1.16; the whole table 0.70–1.31.
#[test]
fn gypsum_against_phreeqc() {
    let mut rows = 0;
    for line in include_str!("../../data/phreeqc_gypsum.csv")
        .lines()
        .skip(1)
    {
        let f: Vec<&str> = line.split(',').collect();
        let number = |i: usize| f[i].parse::<f64>().unwrap();
        // The background's other ions come from the charge balance and the ionic strength.
        let (ca, so4, strength) = (number(2), number(3), number(4));
        let rest = 2.0 * (strength - 2.0 * ca - 2.0 * so4);
        let keys = ["Ca", "SO4", "Mg", "Na", "Cl"];
        let part = |key: &str| {
            f[0].split(' ')
                .find_map(|p| p.strip_prefix(key).and_then(|p| p.strip_prefix('=')))
                .map_or(0.0, |v| v.parse::<f64>().unwrap())
        };
        let molalities = [ca, so4, part("Mg"), part("Na") + part("K"), part("Cl")];
        let charged = 4.0 * molalities[2] + molalities[3] + molalities[4];
        assert!(
            (charged - rest).abs() < 0.01 * (1.0 + rest),
            "{line}: {charged} {rest}"
        );
        let list: Vec<Species> = keys
            .iter()
            .map(|k| species::builtin(k).unwrap().clone())
            .collect();
        let x: Vec<f64> = molalities
            .iter()
            .zip(&list)
            .map(|(m, s)| m * s.molar_mass_kg_per_mol)
            .collect();
        let check = Saturations::compile(&list);
        let index = check
            .all(&x, number(1))
            .find(|s| s.curve.is_gypsum())
            .unwrap()
            .index;
        println!("{} at {} °C: index {index:.2}", f[0], f[1]);
        let sulfate = f[0].contains("SO4") && f[1] == "25";
        let (low, high) = if sulfate { (0.92, 1.16) } else { (0.70, 1.31) };
        assert!((low..=high).contains(&index), "{line}: {index}");
        rows += 1;
    }
    assert_eq!(rows, 24);
}

/// Hard tap water used as make-up: 120 mg/L Ca left in a nickel bath is well below gypsum saturation, ten
/// times that is past it (PHREEQC puts saturation near 0.012 mol/kg = 0.5 g/L in such solutions).
#[test]
fn hard_water_brings_gypsum() {
    let recipe = [
        ("NiSO4.6H2O", 300.0),
        ("NiCl2.6H2O", 60.0),
        ("CaSO4.2H2O", 0.515),
    ];
    let mut bath = bath_from_recipe(&recipe, 25.0).unwrap();
    let ca = bath.species.iter().position(|s| s.key == "Ca").unwrap();
    let gypsum = |bath: &solution::Bath| {
        Saturations::compile(&bath.species)
            .all(&bath.kg_per_kg_water(), 25.0)
            .find(|s| s.curve.is_gypsum())
            .unwrap()
            .index
    };
    assert!(gypsum(&bath) < 0.7);
    bath.kg_per_m3[ca] *= 10.0;
    assert!(gypsum(&bath) > 1.2);
}
