//! The film equations of the tower: against an independent integration, and the laws and practice they must agree with.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper that fails fails its test"
)]

use dragback_properties::Amount;
use dragback_properties::air::{
    AirState, enthalpy_j_per_kg_da, humidity_ratio_from_vapour_pressure, pressure_at_altitude_pa,
};
use dragback_properties::tower::{
    CEILING_NTU, DEFAULT_FLOW_EXPONENT, FanPosition, Feed, LewisFactor, RatedPoint, Tower,
    TowerDesign, TowerError, TowerPoint, Transfer,
};
use dragback_properties::water::{CP_WATER, saturation_pressure_pa};

fn air(temp_c: f64, humidity: f64, pressure_pa: f64) -> AirState {
    AirState::from_relative_humidity(temp_c, humidity, pressure_pa).unwrap()
}

fn design(ntu: f64, fan: FanPosition, lewis: LewisFactor) -> TowerDesign {
    TowerDesign {
        air_flow_m3_per_s: 1.0,
        fan,
        feed_kg_per_s: 1.8,
        transfer: Transfer::Units {
            ntu,
            air_flow_m3_per_s: 1.0,
            feed_kg_per_s: 1.8,
        },
        flow_exponent: DEFAULT_FLOW_EXPONENT,
        lewis,
        carry_over_fraction: 1e-5,
    }
}

fn tower(ntu: f64) -> Tower {
    Tower::new(design(ntu, FanPosition::Before, LewisFactor::Unity)).unwrap()
}

/// State of an independent integration: moisture and enthalpy of the air, flow and temperature of the solution.
type March = [f64; 4];

/// Temperature and vapour of air by bisection on the enthalpy, written anew.
fn air_of(h: f64, w: f64, p: f64) -> (f64, f64) {
    let (mut low, mut high) = (-50.0, 110.0);
    for _ in 0..60 {
        let t = 0.5 * (low + high);
        let p_sat = saturation_pressure_pa(t).min(0.99 * p);
        let vapour = w.min(0.621_945 * p_sat / (p - p_sat));
        let found = 1006.0 * t + vapour * (2.501e6 + 1860.0 * t) + (w - vapour) * 4186.0 * t;
        if found > h { high = t } else { low = t }
    }
    let t = 0.5 * (low + high);
    let p_sat = saturation_pressure_pa(t);
    (t, w.min(0.621_945 * p_sat / (p - p_sat)))
}

/// Integrates upwards from a guessed solution at the foot with classical Runge–Kutta steps.
fn march(out_c: f64, out_kg: f64, dry_air: f64, ntu: f64, a_w: f64, inlet: &AirState) -> March {
    let p = inlet.pressure_pa;
    let rates = |y: March| -> March {
        let [w, h, l, t] = y;
        let (air_c, vapour) = air_of(h, w, p);
        let pw = a_w * saturation_pressure_pa(t);
        let up = 0.621_945 * pw / (p - pw) - vapour;
        let cp = 1006.0 + 1860.0 * vapour + 4186.0 * (w - vapour);
        let h_up = cp * (t - air_c) + (2.501e6 + 1860.0 * t) * up;
        // The solution gains upwards what the air gains: d(L·c·T) = G·dh, dL = G·dW.
        [
            up,
            h_up,
            dry_air * up,
            dry_air * (h_up - 4186.0 * t * up) / (l * 4186.0),
        ]
    };
    let steps = 1200;
    let dn = ntu / f64::from(steps);
    let shifted = |y: March, k: March, s: f64| [0, 1, 2, 3].map(|i| y[i] + s * k[i]);
    let mut y = [
        inlet.humidity_ratio,
        inlet.enthalpy_j_per_kg_da(),
        out_kg,
        out_c,
    ];
    for _ in 0..steps {
        let k1 = rates(y);
        let k2 = rates(shifted(y, k1, 0.5 * dn));
        let k3 = rates(shifted(y, k2, 0.5 * dn));
        let k4 = rates(shifted(y, k3, dn));
        for i in 0..4 {
            y[i] += dn / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]);
        }
    }
    y
}

#[test]
fn agrees_with_shooting_from_the_foot() {
    // Own second integration: four equations marched upwards by Runge–Kutta from the answer's own foot must arrive at the
    // feed. (It cannot check stiff cases, where an error at the foot is blown up on the way.)
    let cases = [
        (1.5, 60.0, 1.0, air(21.0, 0.5, 101_325.0)),
        (0.8, 72.0, 0.95, air(-5.0, 0.7, 101_325.0)),
        (2.0, 45.0, 0.97, air(30.0, 0.3, 85e3)),
        (1.0, 35.0, 1.0, air(38.0, 0.9, 95e3)),
        (1.5, 20.0, 0.9, air(30.0, 0.2, 95e3)),
    ];
    for (ntu, feed_c, a_w, inlet) in cases {
        let feed = Feed {
            water_activity: a_w,
            ..Feed::water(feed_c, 1.8)
        };
        let point = tower(ntu).point(&feed, &inlet).unwrap();
        let out_kg = 1.8 - point.evaporation_kg_per_s;
        let head = march(
            point.solution_out_c,
            out_kg,
            point.dry_air_kg_per_s,
            point.ntu,
            a_w,
            &inlet,
        );
        let moisture = point.humidity_ratio_out + point.fog_out;
        println!(
            "{feed_c} °C, a_w {a_w}, N {ntu}: arrives at {:.6} °C, {:.8} kg/s",
            head[3], head[2]
        );
        assert!((head[3] - feed_c).abs() < 2e-3, "{} for {feed_c}", head[3]);
        assert!((head[2] - 1.8).abs() < 1e-5);
        assert!((head[0] - moisture).abs() < 1e-5 * (1.0 + moisture));
    }
}

/// Checks water and energy of one point.
fn check_balance(point: &TowerPoint, feed: &Feed, inlet: &AirState) {
    let g = point.dry_air_kg_per_s;
    let moisture = point.humidity_ratio_out + point.fog_out;
    let water = g * (moisture - inlet.humidity_ratio);
    assert!((water - point.evaporation_kg_per_s).abs() <= 1e-9 * (g * moisture));
    let h_out = enthalpy_j_per_kg_da(point.air_out_c, point.humidity_ratio_out)
        + point.fog_out * CP_WATER * point.air_out_c;
    let air_gain = g * (h_out - inlet.enthalpy_j_per_kg_da());
    let scale = g * h_out.abs() + feed.flow_kg_per_s * feed.cp_j_per_kg_k * feed.temp_c.abs();
    assert!((air_gain - point.heat_w).abs() <= 1e-9 * scale);
    let c_in = feed.flow_kg_per_s * feed.cp_j_per_kg_k;
    let c_out = c_in - CP_WATER * point.evaporation_kg_per_s;
    let solution_loss = c_in * feed.temp_c - c_out * point.solution_out_c;
    assert!((solution_loss - point.heat_w).abs() <= 1e-9 * scale);
}

#[test]
fn balances_close_and_nothing_fails_over_a_wide_range() {
    // 4,000 Sobol points far beyond practice: both fans, both Lewis factors, feed −5 to 85 °C, air −40 to 60 °C, liquid over
    // gas 0.05 to 100, transfer units 1e-4 to 40, water activity 0.05 to 1.
    for i in 0..4000 {
        let s = |d| f64::from(sobol_burley::sample(i, d, 3));
        let inlet = air(-40.0 + 100.0 * s(1), s(2), 60e3 + 50e3 * s(3));
        let fan = if i.is_multiple_of(2) {
            FanPosition::Before
        } else {
            FanPosition::After
        };
        let lewis = if i.is_multiple_of(3) {
            LewisFactor::Unity
        } else {
            LewisFactor::Bosnjakovic
        };
        let feed_kg = 1.2 * 0.05 * 2000_f64.powf(s(4));
        let ntu = 1e-4 * 4e5_f64.powf(s(5));
        let transfer = Transfer::Units {
            ntu,
            air_flow_m3_per_s: 1.0,
            feed_kg_per_s: feed_kg,
        };
        let tower = Tower::new(TowerDesign {
            transfer,
            ..design(1.0, fan, lewis)
        })
        .unwrap();
        let feed = Feed {
            temp_c: -5.0 + 90.0 * s(0),
            water_activity: 0.05 + 0.95 * s(6),
            flow_kg_per_s: feed_kg,
            cp_j_per_kg_k: 2500.0 + 2000.0 * s(7),
        };
        match tower.point(&feed, &inlet) {
            Ok(point) => check_balance(&point, &feed, &inlet),
            Err(TowerError::Boiling { .. }) => {}
            Err(error) => panic!("{error}: {feed:?}, {inlet:?}"),
        }
    }
}

#[test]
fn without_heat_the_solution_tends_to_the_wet_bulb() {
    // The temperature at which the solution leaves as it came, found by bisection. With a Lewis factor of 1.
    let resting = |tower: &Tower, inlet: &AirState| {
        let (mut low, mut high) = (-5.0, 60.0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            let point = tower.point(&Feed::water(middle, 1.8), inlet).unwrap();
            assert!(point.evaporation_kg_per_s.is_finite());
            if point.solution_out_c < middle {
                high = middle
            } else {
                low = middle
            }
        }
        0.5 * (low + high)
    };
    let unity = tower(1.5);
    let mut worst = 0.0_f64;
    for t_c in [10.0, 20.0, 30.0, 40.0] {
        for humidity in [0.1, 0.3, 0.5, 0.8, 0.95] {
            let inlet = air(t_c, humidity, 101_325.0);
            if inlet.wet_bulb_c() < 1.0 {
                continue;
            }
            let error = resting(&unity, &inlet) - inlet.wet_bulb_c();
            worst = worst.max(error.abs());
            assert!(error.abs() < 0.5, "{t_c} °C, {humidity}: {error}");
            let point = unity
                .point(&Feed::water(inlet.wet_bulb_c(), 1.8), &inlet)
                .unwrap();
            assert!(point.evaporation_kg_per_s > 0.0);
        }
    }
    println!("Lewis factor 1: at most {worst:.3} K from the wet bulb");
    let bosnjakovic =
        Tower::new(design(1.5, FanPosition::Before, LewisFactor::Bosnjakovic)).unwrap();
    for (t_c, humidity, below) in [(20.0, 0.5, 0.2), (30.0, 0.3, 0.5)] {
        let inlet = air(t_c, humidity, 101_325.0);
        let error = resting(&bosnjakovic, &inlet) - inlet.wet_bulb_c();
        println!("Bosnjakovic's factor, air of {t_c} °C and {humidity}: {error:+.3} K");
        assert!(error < 0.0 && error > -below);
    }
}

#[test]
fn equilibrium_evaporates_nothing_and_wetter_air_condenses() {
    for fan in [FanPosition::Before, FanPosition::After] {
        let tower = Tower::new(design(2.0, fan, LewisFactor::Bosnjakovic)).unwrap();
        for (t_c, a_w) in [(15.0, 0.97), (40.0, 0.8), (60.0, 1.0)] {
            // The fast saturation pressure agrees with this one to 5e-7, hence the bound below.
            let pressure_pa = 95e3;
            let vapour_pa = a_w * saturation_pressure_pa(t_c);
            let humidity_ratio = humidity_ratio_from_vapour_pressure(vapour_pa, pressure_pa);
            let inlet = AirState {
                temp_c: t_c,
                humidity_ratio,
                pressure_pa,
            };
            let feed = Feed {
                water_activity: a_w,
                ..Feed::water(t_c, 1.8)
            };
            let point = tower.point(&feed, &inlet).unwrap();
            assert!(point.evaporation_kg_per_s.abs() < 1e-6 * humidity_ratio);
            assert!((point.solution_out_c - t_c).abs() < 1e-4);
            let wetter = AirState {
                humidity_ratio: 1.02 * humidity_ratio,
                ..inlet
            };
            assert!(tower.point(&feed, &wetter).unwrap().evaporation_kg_per_s < 0.0);
            let drier = AirState {
                humidity_ratio: 0.98 * humidity_ratio,
                ..inlet
            };
            assert!(tower.point(&feed, &drier).unwrap().evaporation_kg_per_s > 0.0);
        }
    }
}

#[test]
fn pump_or_blower_alone_evaporates_nothing() {
    let tower = tower(1.5);
    let inlet = air(20.0, 0.5, 101_325.0);
    let no_pump = tower.point(&Feed::water(60.0, 0.0), &inlet).unwrap();
    assert_eq!((no_pump.evaporation_kg_per_s, no_pump.heat_w), (0.0, 0.0));
    assert!(no_pump.dry_air_kg_per_s > 0.0);
    let no_blower = tower
        .point_at(&Feed::water(60.0, 1.8), &inlet, 0.0)
        .unwrap();
    assert_eq!(
        (no_blower.evaporation_kg_per_s, no_blower.heat_w),
        (0.0, 0.0)
    );
    assert_eq!(no_blower.solution_out_c, 60.0);
}

#[test]
fn hot_towers_leave_saturated_air() {
    // Common practice, no source: air leaves a hot tower close to saturation or beyond, 95 % counting fog.
    for (ntu, t_c, inlet) in [
        (1.5, 60.0, air(21.0, 0.5, 101_325.0)),
        (2.0, 71.0, air(21.0, 0.5, 101_325.0)),
        (1.5, 65.0, air(0.0, 0.8, 101_325.0)),
    ] {
        let point = tower(ntu).point(&Feed::water(t_c, 1.8), &inlet).unwrap();
        println!(
            "N {ntu}, {t_c} °C: saturation {:.3}, fog {:.4}",
            point.air_saturation, point.fog_out
        );
        assert!(point.air_saturation >= 0.95);
    }
}

/// A tower rated at 40 US gal/h of water from 160 °F solution at 45 US gal/min, air of 70 °F and 50 %.
fn forty_gallons(air_flow_m3_per_s: f64) -> Result<(Tower, Feed, AirState), TowerError> {
    let gallon_m3 = 3.785_411_784e-3;
    let feed_kg_per_s = 45.0 * gallon_m3 / 60.0 * 977.0;
    let inlet = air(21.1, 0.5, 101_325.0);
    let rated = RatedPoint {
        evaporation_kg_per_s: 40.0 * gallon_m3 / 3600.0 * 998.2,
        solution_c: 71.1,
        water_activity: 1.0,
        air: inlet,
        air_flow_m3_per_s,
        feed_kg_per_s,
    };
    let design = TowerDesign {
        air_flow_m3_per_s,
        feed_kg_per_s,
        transfer: Transfer::Rated(rated),
        ..design(1.0, FanPosition::Before, LewisFactor::Unity)
    };
    Ok((Tower::new(design)?, Feed::water(71.1, feed_kg_per_s), inlet))
}

#[test]
fn forty_gallons_an_hour_cool_the_feed_by_sixteen_fahrenheit() {
    // Common practice, no source: 45 gal/min of 160 °F solution fed to a tower that evaporates 40 gal/h cools by 15 to 17 °F.
    // Latent heat alone gives 15.3 °F; warming the air adds to it, and what leaves as fog has given its latent heat back.
    for air_flow_m3_per_s in [0.2, 0.3, 0.472, 0.6] {
        let (tower, feed, inlet) = forty_gallons(air_flow_m3_per_s).unwrap();
        let point = tower.point(&feed, &inlet).unwrap();
        let fall_f = 1.8 * (feed.temp_c - point.solution_out_c);
        println!(
            "{air_flow_m3_per_s} m³/s, N {:.2}: falls {fall_f:.2} °F, air {:.1} °C",
            tower.ntu_rated(),
            point.air_out_c
        );
        assert!(fall_f > 15.0 && fall_f < 17.0, "{fall_f}");
        assert!(point.air_saturation > 0.95);
    }
}

#[test]
fn rated_points_are_met_or_refused_with_the_ceiling() {
    for fan in [FanPosition::Before, FanPosition::After] {
        let inlet = air(21.0, 0.5, pressure_at_altitude_pa(500.0));
        let rated = RatedPoint {
            evaporation_kg_per_s: 0.03,
            solution_c: 60.0,
            water_activity: 0.97,
            air: inlet,
            air_flow_m3_per_s: 0.6,
            feed_kg_per_s: 2.0,
        };
        let with = |rated| {
            Tower::new(TowerDesign {
                air_flow_m3_per_s: 0.6,
                feed_kg_per_s: 2.0,
                transfer: Transfer::Rated(rated),
                ..design(1.0, fan, LewisFactor::Unity)
            })
        };
        let tower = with(rated).unwrap();
        let feed = Feed {
            water_activity: 0.97,
            ..Feed::water(60.0, 2.0)
        };
        let point = tower.point(&feed, &inlet).unwrap();
        assert!((point.evaporation_kg_per_s / 0.03 - 1.0).abs() < 1e-8);
        assert!((point.ntu / tower.ntu_rated() - 1.0).abs() < 1e-8);
        assert!((point.merkel_number / tower.merkel_rated() - 1.0).abs() < 1e-8);

        let error = with(RatedPoint {
            evaporation_kg_per_s: 0.2,
            ..rated
        })
        .unwrap_err();
        let TowerError::AboveCeiling {
            ceiling_kg_per_s, ..
        } = error
        else {
            panic!("{error}")
        };
        let told = Amount::KgPerS(ceiling_kg_per_s).to_string();
        assert!(error.to_string().contains(&told), "{error}");
        // The ceiling is the film equations at 40 transfer units, and just below it a tower is still found.
        let below = with(RatedPoint {
            evaporation_kg_per_s: 0.999 * ceiling_kg_per_s,
            ..rated
        });
        assert!(below.unwrap().ntu_rated() < CEILING_NTU);
        // Saturating the air at the feed's temperature would be more: the solution's own cooling counts.
        let saturated_pa = 0.97 * saturation_pressure_pa(60.0);
        let saturated = humidity_ratio_from_vapour_pressure(saturated_pa, inlet.pressure_pa);
        assert!(
            ceiling_kg_per_s < point.dry_air_kg_per_s * (saturated - inlet.humidity_ratio) * 1.001
        );
    }
}

#[test]
fn fan_after_fixes_the_outlet_volume() {
    let tower = Tower::new(design(1.5, FanPosition::After, LewisFactor::Unity)).unwrap();
    let inlet = air(10.0, 0.6, 101_325.0);
    let point = tower.point(&Feed::water(65.0, 1.8), &inlet).unwrap();
    let out = AirState {
        temp_c: point.air_out_c,
        humidity_ratio: point.humidity_ratio_out,
        ..inlet
    };
    let volume = point.dry_air_kg_per_s * out.specific_volume_m3_per_kg_da();
    assert!((volume - 1.0).abs() < 1e-9, "{volume}");
    let before = Tower::new(design(1.5, FanPosition::Before, LewisFactor::Unity)).unwrap();
    let entering = before
        .point(&Feed::water(65.0, 1.8), &inlet)
        .unwrap()
        .dry_air_kg_per_s
        * inlet.specific_volume_m3_per_kg_da();
    assert!((entering - 1.0).abs() < 1e-12);
}

#[test]
fn merkel_number_follows_the_flows() {
    let tower = tower(1.5);
    let inlet = air(20.0, 0.0, 101_325.0);
    let at = |feed_kg, air_m3| {
        tower
            .point_at(&Feed::water(50.0, feed_kg), &inlet, air_m3)
            .unwrap()
    };
    let rated = at(1.8, 1.0);
    assert!(
        (rated.ntu - 1.5).abs() < 1e-3,
        "dry air of 20 °C is the reference: {}",
        rated.ntu
    );
    let plugged = at(0.9, 1.0);
    assert!((plugged.merkel_number / rated.merkel_number - 0.5_f64.powf(-0.6)).abs() < 1e-9);
    let slow = at(1.8, 0.5);
    assert!((slow.merkel_number / rated.merkel_number - 2_f64.powf(-0.6)).abs() < 1e-9);
    assert!(plugged.evaporation_kg_per_s < rated.evaporation_kg_per_s);
    assert!(slow.evaporation_kg_per_s < rated.evaporation_kg_per_s);
}

#[test]
fn bad_towers_are_refused() {
    let good = design(1.5, FanPosition::Before, LewisFactor::Unity);
    let named = |design| match Tower::new(design) {
        Err(TowerError::OutOfRange { input, .. }) => input,
        other => panic!("{other:?}"),
    };
    assert!(
        named(TowerDesign {
            air_flow_m3_per_s: f64::NAN,
            ..good
        })
        .contains("air flow")
    );
    assert!(
        named(TowerDesign {
            flow_exponent: 1.5,
            ..good
        })
        .contains("exponent")
    );
    assert!(
        named(TowerDesign {
            carry_over_fraction: -0.1,
            ..good
        })
        .contains("carry-over")
    );
    let transfer = Transfer::Units {
        ntu: 50.0,
        air_flow_m3_per_s: 1.0,
        feed_kg_per_s: 1.0,
    };
    assert!(named(TowerDesign { transfer, ..good }).contains("transfer units"));
    let inlet = air(20.0, 0.5, 80e3);
    let boiling = tower(1.0)
        .point(&Feed::water(92.0, 1.0), &inlet)
        .unwrap_err();
    assert!(matches!(boiling, TowerError::Boiling { .. }), "{boiling}");
}
