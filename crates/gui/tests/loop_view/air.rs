//! The air at a tower.

use dragback_gui::loop_view::scene::StationKind;
use dragback_gui::loop_view::{self, Circumstances, Moment, labels_drawn};
use dragback_run::clock::Clock;
use dragback_units::System;
use egui::{Theme, vec2};

use crate::lines::DEMO;
use crate::{case, drawing};

/// The demo's room as its file says: 18 °C and 38 % in January, 27 °C and 54 % in July.
#[test]
fn a_tower_tells_the_air_of_the_month() {
    let case = case(DEMO);
    let begins = case.plant.initial();
    for (days, told) in [
        (1.0, "room 18.0\u{a0}°C, 38\u{a0}%"),
        (190.0, "room 27.0\u{a0}°C, 54\u{a0}%"),
    ] {
        let t_s = days * 86_400.0;
        let at = Circumstances::at(&case.plant, Clock::default(), t_s, &begins, &[]);
        let scene = loop_view::scene(&case.plant, &Moment::begins(&case.plant, at));
        let tower = scene.stations.iter().find(|s| s.kind == StationKind::Tower);
        let parts = loop_view::words::station_parts(&scene, tower.unwrap(), System::Metric);
        assert!(parts.contains(&format!("air: {told}")), "{parts:?}");
        let size = vec2(1280.0, 360.0);
        let harness = drawing(scene.clone(), size, Theme::Light, System::Metric);
        let labels = labels_drawn(&harness.ctx);
        let broken = told.replacen(' ', "\n", 1);
        assert!(
            labels.iter().any(|l| l.text == told || l.text == broken),
            "{labels:?}"
        );
    }
}
