//! What a tower's air carries up the stack. Source: hand derivation.

use dragback_properties::tower::{carry_over_kg_per_s, solute_mg_per_dry_m3};

#[test]
fn stack_concentration() {
    // Hand calculation: 2 kg/s of 100 g/kg solute, carry-over 1e-5, pad passing 20 %: 0.4 mg/s in 1 kg/s of dry air, which is
    // 0.83046 m³/s at 20 °C and 101.325 kPa.
    let carried = carry_over_kg_per_s(2.0, 1e-5, 0.2);
    let found = solute_mg_per_dry_m3(0.1 * carried, 1.0);
    assert!((found / (0.4 / 0.830_46) - 1.0).abs() < 1e-4, "{found}");
    assert_eq!(solute_mg_per_dry_m3(1.0, 0.0), 0.0);
}
