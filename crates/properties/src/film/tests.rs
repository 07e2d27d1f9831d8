//! Films against hand derivations and remembered practice.

use super::*;

const RISE: MeasuredRise = MeasuredRise {
    tank_m3: 0.6,
    start_kg_per_m3: 0.0,
    rise_kg_per_m3: 1.9,
    bath_kg_per_m3: 75.0,
    loads: 40.0,
};

/// Draining 10 s instead of 3 s cuts about 40 % (a pollution-prevention sheet, from memory). The default curve
/// gives 42 %.
#[test]
fn draining_longer() {
    let cut = 1.0 - DrainCurve::default().factor(10.0, 3.0);
    println!("10 s instead of 3 s: {:.1} % less", 100.0 * cut);
    assert!((cut - 0.42).abs() < 0.005, "{cut}");
    assert!((DrainCurve::default().share_left(-1.0) - 1.0).abs() < 1e-15);
    assert!((DrainCurve::default().share_left(1e9) - 0.3).abs() < 1e-15);
}

/// The exact form inverts the build-up of a still rinse (hand derivation), from clean and from used water.
#[test]
fn exact_form_inverts_the_build_up() {
    for d in [1e-5, 4e-4, 2e-2] {
        for start in [0.0, 1.5] {
            // Each load mixes d into the tank and takes as much away: 1 − (V/(V + d))^N.
            let build_up = -(-40.0 * (d / 0.6_f64).ln_1p()).exp_m1();
            let rise = MeasuredRise {
                start_kg_per_m3: start,
                rise_kg_per_m3: build_up * (75.0 - start),
                ..RISE
            };
            let got = rise.drag_out_m3_per_load().unwrap();
            assert!((got / d - 1.0).abs() < 1e-10, "{d} {start}: {got}");
        }
    }
}

/// 600 L, 1.9 g/L rise from a 75 g/L bath over 40 loads: linear 0.380 L, exact 1.3 % more (hand derivation:
/// −ln(1 − 0.02533)/0.02533 = 1.0129).
#[test]
fn worked_example() {
    let d = RISE.drag_out_m3_per_load().unwrap();
    assert!((d * 1e3 - 0.3850).abs() < 2e-4, "{d}");
    assert!(matches!(
        RISE.linear_drag_out_m3_per_load(),
        Err(RiseError::LinearOutOfRange { .. })
    ));
    let small = MeasuredRise {
        rise_kg_per_m3: 0.75,
        ..RISE
    };
    let linear = small.linear_drag_out_m3_per_load().unwrap();
    assert!((linear * 1e3 - 0.15).abs() < 1e-12);
    let exact = small.drag_out_m3_per_load().unwrap();
    assert!(
        (exact / linear - 1.0).abs() < 0.0102,
        "below 2 % of bath the two differ by 1 % at most"
    );
}

/// The closed-form sensitivities against finite differences.
#[test]
fn uncertainty_matches_finite_differences() {
    let base = MeasuredRise {
        start_kg_per_m3: 2.0,
        rise_kg_per_m3: 20.0,
        ..RISE
    };
    let d = base.drag_out_m3_per_load().unwrap();
    let h = 1e-6;
    type Change = fn(&mut MeasuredRise, f64);
    let cases: [(Change, RelativeUncertainty); 4] = [
        (|m, f| m.tank_m3 *= f, only(|u| &mut u.tank)),
        (|m, f| m.rise_kg_per_m3 *= f, only(|u| &mut u.rise)),
        (|m, f| m.bath_kg_per_m3 *= f, only(|u| &mut u.bath)),
        (|m, f| m.loads *= f, only(|u| &mut u.loads)),
    ];
    for (change, uncertainty) in cases {
        let mut moved = base;
        change(&mut moved, 1.0 + h);
        let slope = (moved.drag_out_m3_per_load().unwrap() / d).ln() / h;
        let u = base.drag_out(&uncertainty).unwrap().relative_uncertainty;
        assert!(
            (u - 0.01 * slope.abs()).abs() < 1e-6,
            "{uncertainty:?}: {u} against {slope}"
        );
    }
    let range = RISE.drag_out(&RelativeUncertainty::default()).unwrap();
    // Near the linear form: √(5² + 5² + 3²) % = 7.7 % (hand derivation).
    assert!((range.relative_uncertainty - 0.077).abs() < 0.002);
    assert!(
        range.low_m3_per_load < range.m3_per_load && range.m3_per_load < range.high_m3_per_load
    );
    let film = range.per_area(4.0).unwrap();
    assert!((film.m3_per_m2 * 4.0 - range.m3_per_load).abs() < 1e-18);
    assert!(range.per_area(0.0).is_none());
}

fn only(field: fn(&mut RelativeUncertainty) -> &mut f64) -> RelativeUncertainty {
    let mut u = RelativeUncertainty {
        tank: 0.0,
        rise: 0.0,
        bath: 0.0,
        loads: 0.0,
    };
    *field(&mut u) = 0.01;
    u
}

#[test]
fn bad_inputs_are_named() {
    let above = MeasuredRise {
        rise_kg_per_m3: 80.0,
        ..RISE
    };
    let text = above.drag_out_m3_per_load().unwrap_err().to_string();
    assert!(text.contains("80") && text.contains("75"), "{text}");
    for (bad, field) in [
        (
            MeasuredRise {
                tank_m3: 0.0,
                ..RISE
            },
            "tank volume",
        ),
        (
            MeasuredRise {
                rise_kg_per_m3: f64::NAN,
                ..RISE
            },
            "rise",
        ),
        (
            MeasuredRise {
                loads: -3.0,
                ..RISE
            },
            "number of loads",
        ),
        (
            MeasuredRise {
                start_kg_per_m3: -1.0,
                ..RISE
            },
            "starting concentration",
        ),
    ] {
        let text = bad.drag_out_m3_per_load().unwrap_err().to_string();
        assert!(text.contains(field), "{text}");
    }
    let negative = RelativeUncertainty {
        bath: -0.1,
        ..RelativeUncertainty::default()
    };
    assert!(matches!(
        RISE.drag_out(&negative),
        Err(RiseError::Negative { .. })
    ));
}

/// The metric column of the classic table against its US column (gal/1000 ft² × 0.04075 = L/m²).
#[test]
fn hints_agree_with_the_us_units_of_the_table() {
    for (gallons, hint) in [0.4, 2.0, 4.0, 0.8, 10.0].iter().zip(FILM_HINTS) {
        let litres = gallons * 3.785_411_784 / 92.903_04;
        assert!(
            (hint.low_m3_per_m2 * 1e3 / litres - 1.0).abs() < 0.09,
            "{}: {litres}",
            hint.work
        );
    }
}
