//! Titles over the blocks of several lines.

use dragback_gui::loop_view::labels_drawn;
use dragback_units::System;
use egui::{Theme, Vec2};

use crate::lines::with_loops;
use crate::{MARGIN, SMALL, drawing, last_scene};

/// In a window of 1280 by 720 each of two baths has its title over its block.
#[test]
fn each_of_two_lines_has_its_title_in_a_low_drawing() {
    let scene = last_scene(&with_loops(&["north", "south"]));
    for size in SMALL {
        let whole = size + Vec2::splat(2.0 * MARGIN);
        let harness = drawing(scene.clone(), whole, Theme::Light, System::Metric);
        let labels = labels_drawn(&harness.ctx);
        let lefts = ["north", "south"].map(|key| {
            let title = format!("Bright nickel ({key})");
            let found = labels.iter().find(|l| l.text == title);
            assert!(found.is_some(), "{title} at {size:?}: {labels:#?}");
            found.unwrap().rect.left()
        });
        assert!(lefts[1] - lefts[0] > 0.4 * size.x, "{lefts:?}");
    }
}
