//! Densities and heat capacities against published values.

use super::*;

/// Density a salt solution has at this mass fraction, from our species (kg/m³).
fn density(salt: &str, temp_c: f64, mass_fraction: f64) -> f64 {
    let (species, masses) = parts(salt, mass_fraction);
    density_kg_per_m3(temp_c, 1.0 - mass_fraction, &species, &masses)
}

/// Species and masses of `mass` kg of an anhydrous salt.
fn parts(salt: &str, mass: f64) -> (Vec<Species>, Vec<f64>) {
    let salt = recipe::SALTS
        .iter()
        .find(|s| s.key.split(".").next() == Some(salt))
        .unwrap_or_else(|| panic!("{salt}"));
    let anhydrous = 1.0 - salt.crystal_water_kg_per_kg;
    salt.yields
        .iter()
        .map(|(key, y)| (species::builtin(key).unwrap().clone(), mass * y / anhydrous))
        .unzip()
}

/// Watts bath: practice says 1.17–1.25 kg/L for 300/60/40 g/L (from memory; no published source).
#[test]
fn watts_bath_density() {
    let recipe = [("NiSO4.6H2O", 300.0), ("NiCl2.6H2O", 60.0), ("H3BO3", 40.0)];
    for temp_c in [20.0, 55.0] {
        let bath = bath_from_recipe(&recipe, temp_c).unwrap();
        let rho = bath.density_kg_per_m3();
        println!(
            "Watts {temp_c} °C: {rho:.1} kg/m³, water {:.1}, cp {:.0}",
            bath.water_kg_per_m3,
            bath.heat_capacity_j_per_kg_k()
        );
        assert!(
            (1170.0..=1250.0).contains(&rho),
            "{rho} kg/m³ at {temp_c} °C"
        );
        // Made up to a litre: the parts fill the volume exactly.
        let v = volume_m3(temp_c, bath.water_kg_per_m3, &bath.species, &bath.kg_per_m3);
        assert!((v - 1.0).abs() < 1e-12);
        // Nickel metal by stoichiometry: 300·0.2233 + 60·0.2469.
        assert!((bath.concentration_kg_per_m3("Ni") - 81.8).abs() < 0.1);
    }
}

/// Chromic acid: Baumé against g/L, training course on hard chromium plating of the plating resource
/// centre (sterc.org), appendix 8; density = 145/(145 − °Bé) at 60 °F. Within 1 %.
#[test]
fn chromic_acid_baume_table() {
    let table = [
        (10.0, 105.9),
        (15.0, 164.1),
        (20.0, 228.3),
        (21.5, 248.4),
        (25.0, 298.4),
        (30.0, 374.5),
        (35.0, 464.8),
    ];
    let mut worst = 0.0_f64;
    for (baume, grams_per_litre) in table {
        let published = 1000.0 * 145.0 / (145.0 - baume);
        let bath = bath_from_recipe(&[("CrO3", grams_per_litre)], 15.56).unwrap();
        let relative = bath.density_kg_per_m3() / published - 1.0;
        worst = worst.max(relative.abs());
        assert!(
            relative.abs() < 0.01,
            "{baume} °Bé: off by {:.2} %",
            100.0 * relative
        );
    }
    println!(
        "chromic acid: worst density deviation {:.2} %",
        100.0 * worst
    );
}

/// Densities of Laliberté (2009), J. Chem. Eng. Data 54, 1725: points of the published equation, computed by
/// `data/fit_apparent_properties.py`. The species volumes were fitted to the same equation, so this shows
/// how well additive volumes reproduce it, not an independent check.
#[test]
fn densities_follow_laliberte() {
    let mut worst: std::collections::BTreeMap<String, f64> = std::collections::BTreeMap::new();
    for line in include_str!("../../data/laliberte2009_densities.csv")
        .lines()
        .skip(1)
    {
        let f: Vec<&str> = line.split(',').collect();
        let (salt, w) = (f[0], f[1].parse::<f64>().unwrap());
        let (temp_c, published) = (f[2].parse::<f64>().unwrap(), f[3].parse::<f64>().unwrap());
        let relative = density(salt, temp_c, w) / published - 1.0;
        let entry = worst.entry(salt.to_owned()).or_default();
        *entry = entry.max(relative.abs());
    }
    assert!(worst.len() >= 12);
    for (salt, deviation) in &worst {
        println!("{salt}: worst density deviation {:.2} %", 100.0 * deviation);
        let bound = match salt.as_str() {
            "NiSO4" | "NiCl2" | "CuSO4" | "NaCl" | "KCl" => 0.006,
            "HCl" => 0.026,
            _ => 0.021,
        };
        assert!(*deviation < bound, "{salt}: {deviation}");
    }
}

/// Heat capacity of the same paper at 41 °C (NiSO4), 25 °C (NiCl2, NaCl, KCl): see the CSV.
#[test]
fn heat_capacities_follow_laliberte() {
    let mut worst = 0.0_f64;
    let mut rows = 0;
    for line in include_str!("../../data/laliberte2009_heat_capacities.csv")
        .lines()
        .skip(1)
    {
        let f: Vec<&str> = line.split(',').collect();
        let (w, published) = (f[1].parse::<f64>().unwrap(), f[3].parse::<f64>().unwrap());
        let (species, masses) = parts(f[0], w);
        let ours = heat_capacity_j_per_k(1.0 - w, &species, &masses);
        worst = worst.max((ours / published - 1.0).abs());
        rows += 1;
        assert!((ours / published - 1.0).abs() < 0.055, "{line}: {ours}");
    }
    println!("heat capacity: worst deviation {:.1} %", 100.0 * worst);
    assert!(rows >= 20);
}

#[test]
fn bad_recipes_are_refused_by_name() {
    let unknown = bath_from_recipe(&[("NiSO4", 300.0)], 20.0).unwrap_err();
    assert!(unknown.to_string().contains("NiSO4"));
    assert!(matches!(
        bath_from_recipe(&[("CrO3", f64::NAN)], 20.0),
        Err(RecipeError::BadConcentration { .. })
    ));
    assert!(matches!(
        bath_from_recipe(&[("CrO3", 5000.0)], 20.0),
        Err(RecipeError::NoRoomForWater { .. })
    ));
}

#[test]
fn crystal_water_is_part_of_the_water() {
    let bath = bath_from_recipe(&[("NiSO4.6H2O", 262.84)], 20.0).unwrap();
    // 1 mol/L of salt brings 6 mol/L = 108.09 g/L of water (hand derivation).
    assert!((bath.crystal_water_kg_per_m3 - 108.09).abs() < 0.01);
    assert!(bath.water_kg_per_m3 > bath.crystal_water_kg_per_m3);
}
