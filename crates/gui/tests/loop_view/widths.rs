//! Widths of bands, and what is said of them.

use dragback_gui::loop_view::labels_drawn;
use dragback_gui::loop_view::scene::StreamKind;
use dragback_gui::loop_view::words::stream_parts;
use dragback_units::System;
use egui::{Theme, Vec2};

use crate::lines::{DEMO, SHIPPED};
use crate::{MARGIN, SMALL, drawing, last_scene};

/// Four times the flow is twice the width (hand derivation: the root of 4), until all bands are equally wide.
#[test]
fn a_band_is_as_wide_as_the_root_of_its_flow() {
    let scene = last_scene(DEMO);
    let full = scene.full_width_m3_per_s();
    let share = |part: f64| scene.width_share(part * full);
    assert!((share(1.0) - 1.0).abs() < 1e-12);
    for part in [0.01, 0.1, 0.25] {
        assert!(
            (share(4.0 * part) - 2.0 * share(part)).abs() < 1e-12,
            "{part}"
        );
    }
    assert!((share(3.0) - 1.0).abs() < 1e-12);
    assert!(share(0.0).abs() < 1e-12);
}

#[test]
fn the_legend_tells_how_width_is_measured_and_pipes_say_that_they_are_not() {
    for text in SHIPPED {
        let scene = last_scene(text);
        for size in SMALL {
            let whole = size + Vec2::splat(2.0 * MARGIN);
            let harness = drawing(scene.clone(), whole, Theme::Light, System::Metric);
            let labels = labels_drawn(&harness.ctx);
            assert!(
                labels.iter().any(|l| l.text == "width as √flow"),
                "{labels:?}"
            );
        }
        for s in &scene.streams {
            let parts = stream_parts(&scene, s, System::Metric);
            let is_said = parts.iter().any(|p| p.contains("not to scale"));
            assert_eq!(
                is_said,
                s.kind == StreamKind::Circulation,
                "{}: {parts:?}",
                s.name
            );
        }
    }
}
