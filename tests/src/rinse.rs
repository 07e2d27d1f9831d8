//! Closed forms of rinsing: what ideal counterflow and still rinses do.
//!
//! All assume perfect mixing, equal drag-in and drag-out `D`, clean feed and no evaporation. They check the
//! network. `r = Q/D` is the flow ratio. The counterflow series is a standard mass balance over the stages (textbook).

pub use dragback_properties::rinse::{counterflow_dilution, counterflow_flow_ratio};

/// Concentration in stage `stage` (1 is next to the bath) over that of the bath, c_k/c0 (–):
/// `Σ_{j≤n−k} r^j / Σ_{j≤n} r^j`. Stage 0 is the bath itself; beyond the last stage it is 0.
#[must_use]
pub fn counterflow_stage(flow_ratio: f64, stages: u32, stage: u32) -> f64 {
    if stage > stages {
        return 0.0;
    }
    counterflow_dilution(flow_ratio, stages - stage) / counterflow_dilution(flow_ratio, stages)
}

/// Fraction of the drag-out recovered when the feed of a counterflow rinse all returns to the bath, with
/// `flow_ratio` = returned water over drag-out: `1 − 1/Σ rᵏ` (–).
#[must_use]
pub fn recovery_fraction(flow_ratio: f64, stages: u32) -> f64 {
    let dilution = counterflow_dilution(flow_ratio, stages);
    (dilution - 1.0) / dilution
}

/// Build-up in a still rinse after `loads` equal loads, c_N/c0 (–), from clean water.
///
/// Each load brings `drag_out_m3` of bath, mixes it into `tank_m3`, and takes the same volume away:
/// `1 − (V/(V + d))^N`.
#[must_use]
pub fn still_rinse_build_up(tank_m3: f64, drag_out_m3: f64, loads: f64) -> f64 {
    -(-loads * (drag_out_m3 / tank_m3).ln_1p()).exp_m1()
}

/// The same with continuous work: `1 − exp(−N·d/V)`, the limit of many small loads (–).
#[must_use]
pub fn still_rinse_build_up_continuous(tank_m3: f64, drag_out_m3: f64, loads: f64) -> f64 {
    -(-loads * drag_out_m3 / tank_m3).exp_m1()
}

/// A still rinse whose solution returns to the bath at `return_ratio` = F/D: c1/c0 = 1/(1 + F/D) (–),
/// the same as a single flowing rinse.
#[must_use]
pub fn still_rinse_with_return(return_ratio: f64) -> f64 {
    1.0 / (1.0 + return_ratio)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Single flowing rinse, worked example of a 1977 trade paper on rinsing ("Rinsing with less water"):
    /// D = 1 gal/h, Q = 2,000 gal/h, bath 10 oz/gal Ni → 2,001:1 and 0.005 oz/gal, 37 mg/L.
    #[test]
    fn published_single_rinse_example() {
        let ratio = counterflow_dilution(2000.0 / 1.0, 1);
        assert!((ratio - 2001.0).abs() < 1e-9);
        let (bath_oz_per_gal, g_per_l_per_oz_per_gal) = (10.0, 7.489);
        let rinse_oz_per_gal = bath_oz_per_gal / ratio;
        assert!((rinse_oz_per_gal - 0.005).abs() < 5e-6);
        let mg_per_l = 1e3 * rinse_oz_per_gal * g_per_l_per_oz_per_gal;
        assert!((mg_per_l - 37.0).abs() < 0.5, "{mg_per_l}");
    }

    /// Flow ratios of the exact series, computed with scipy 1.17.1 (root finding), to the digits of the table.
    #[test]
    fn counterflow_ratios() {
        let table = [
            (100.0, [99.000, 9.462, 4.249, 2.841, 2.234]),
            (500.0, [499.000, 21.844, 7.572, 4.437, 3.218]),
            (1_000.0, [999.000, 31.111, 9.642, 5.340, 3.741]),
            (5_000.0, [4999.000, 70.205, 16.753, 8.138, 5.266]),
            (10_000.0, [9999.000, 99.496, 21.200, 9.733, 6.087]),
            (20_000.0, [19_999.0, 140.919, 26.802, 11.628, 7.029]),
        ];
        for (dilution, ratios) in table {
            for (stages, expected) in (1..).zip(ratios) {
                let r = counterflow_flow_ratio(dilution, stages).unwrap();
                assert!((r - expected).abs() < 6e-4, "{dilution}, {stages}: {r}");
                assert!((counterflow_dilution(r, stages) / dilution - 1.0).abs() < 1e-12);
            }
        }
    }

    /// Recovered fraction, computed from the series (hand derivation), five digits.
    #[test]
    fn recovered_fractions() {
        let table = [
            (1.0, [0.50000, 0.66667, 0.75000, 0.80000]),
            (2.0, [0.66667, 0.85714, 0.93333, 0.96774]),
            (3.0, [0.75000, 0.92308, 0.97500, 0.99174]),
            (5.0, [0.83333, 0.96774, 0.99359, 0.99872]),
            (8.0, [0.88889, 0.98630, 0.99829, 0.99979]),
            (10.0, [0.90909, 0.99099, 0.99910, 0.99991]),
            (15.0, [0.93750, 0.99585, 0.99972, 0.99998]),
            (20.0, [0.95238, 0.99762, 0.99988, 0.99999]),
        ];
        for (r, expected) in table {
            for (stages, expected) in (1..).zip(expected) {
                let got = recovery_fraction(r, stages);
                assert!((got - expected).abs() < 6e-6, "{r}, {stages}: {got}");
            }
        }
    }

    /// Still rinse, V = 1,000 L, d = 1 L per load, per cent of bath strength (hand derivation, three digits).
    #[test]
    fn still_rinse() {
        for (loads, discrete, continuous) in [
            (10.0, 0.995, 0.995),
            (100.0, 9.512, 9.516),
            (500.0, 39.332, 39.347),
            (1_000.0, 63.194, 63.212),
            (2_000.0, 86.453, 86.466),
        ] {
            let got = 100.0 * still_rinse_build_up(1.0, 1e-3, loads);
            assert!((got - discrete).abs() < 6e-4, "{loads}: {got}");
            let got = 100.0 * still_rinse_build_up_continuous(1.0, 1e-3, loads);
            assert!((got - continuous).abs() < 6e-4, "{loads}: {got}");
        }
        assert!((still_rinse_with_return(2000.0) - 1.0 / 2001.0).abs() < 1e-15);
    }

    /// The stages against a matrix solve: `(Q + D)·c_k = D·c_{k−1} + Q·c_{k+1}` (hand derivation).
    #[test]
    fn stages_satisfy_their_balances() {
        for stages in 1..=5 {
            for r in [0.0, 0.5, 1.0, 3.0, 100.0] {
                for k in 1..=stages {
                    let c = |k| counterflow_stage(r, stages, k);
                    let residual = (r + 1.0) * c(k) - c(k - 1) - r * c(k + 1);
                    assert!(residual.abs() < 1e-12, "{stages} {r} {k}: {residual}");
                }
                let last = counterflow_stage(r, stages, stages);
                assert!((last * counterflow_dilution(r, stages) - 1.0).abs() < 1e-12);
            }
        }
        assert!(
            counterflow_flow_ratio(0.5, 3).is_none() && counterflow_flow_ratio(10.0, 0).is_none()
        );
        assert!(counterflow_flow_ratio(1.0, 3).unwrap() < 1e-6);
    }
}
