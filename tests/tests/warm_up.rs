//! A tank that warms up, by the exact driver.
//!
//! Source: closed form of a tank with a constant power and a loss that goes with its temperature.

use dragback_plant::control::{Acts, Role, Signal};
use dragback_plant::ids::VesselId;
use dragback_plant::network::{Gate, HeatLaw};
use dragback_run::World;
use dragback_tests::read::{ends_only, relative, run_exact, temp_c};
use dragback_tests::{Sketch, Tank};

/// A tank of water with a constant power and walls that lose heat, and an alarm at `goal_c`.
fn kettle(volume: f64, power_w: f64, wall_w_per_k: f64, goal_c: f64) -> World {
    let mut s = Sketch::new(&["metal"]);
    let tank = s.tank(
        "tank",
        &Tank::full(1.2 * volume, 20.0, &[])
            .filled(1.0 / 1.2)
            .walls(wall_w_per_k),
    );
    s.heat(
        "elements",
        tank,
        HeatLaw::Power { power_w },
        Gate::default(),
    );
    let band = (goal_c - 1.0, goal_c);
    s.relay(
        "warm",
        Signal::Temperature(tank),
        band,
        Acts::Above,
        Role::Alarm,
    );
    s.world()
}

/// Source: hand derivation, M·cp·dT/dt = P − UA·(T − Ta), so t = (M·cp/UA)·ln[(P − UA(T1 − Ta))/(P − UA(T2 − Ta))]; cp is the model's constant
/// 4,186 J/kg·K. The switch must be located within a second.
#[test]
fn warm_up_follows_its_closed_form() {
    for (volume, power, ua, goal) in [
        (1.0, 11_500.0, 40.0, 60.0),
        (2.5, 40_000.0, 120.0, 58.0),
        (0.3, 3_000.0, 5.0, 45.0),
    ] {
        let mut world = kettle(volume, power, ua, goal);
        let mass = world.y[world.plant.layout().vessel(VesselId(0))];
        let room = 20.0;
        let time = mass * 4186.0 / ua * (power / (power - ua * (goal - room))).ln();
        run_exact(&mut world, 1.5 * time, &ends_only(1e-6));
        let reached = world.alarms.first().expect("the goal is reached").t_s;
        println!(
            "{:.3} h, located {:+.3} s off",
            time / 3600.0,
            reached - time
        );
        assert!((reached - time).abs() < 1.0, "{reached} s for {time} s");
        let rise = power / ua * (1.0 - (-ua * 1.5 * time / (mass * 4186.0)).exp());
        assert!(relative(temp_c(&world, VesselId(0)) - room, rise) < 1e-5);
    }
}

/// Source: 1,000 L of water from 20 to 60 °C in 4 h without loss takes 11.5 kW (hand derivation: 990 kg, the density of the mean
/// temperature, times 4.18 kJ/(kg·K) times 40 K over 14,400 s). The model holds 998.2 kg of 4.186 kJ/(kg·K), so 11.6 kW.
#[test]
fn a_tank_without_losses_warms_up_in_the_time_worked_out_by_hand() {
    let mut world = kettle(1.0, 11_500.0, 0.0, 60.0);
    run_exact(&mut world, 5.0 * 3600.0, &ends_only(1e-6));
    let hours = world.alarms.first().expect("the goal is reached").t_s / 3600.0;
    assert!(relative(hours, 4.0) < 0.02, "{hours} h");
}
