//! What the hint over a tank or stream says.

use dragback_gui::theme;
use dragback_units::System;
use egui::{Theme, vec2};
use egui_kittest::kittest::{NodeT, Queryable};

use crate::lines::DEMO;
use crate::{drawing, last_scene};

/// Devices that do the same are told in one line, commas and all.
#[test]
fn a_hint_keeps_what_belongs_together_in_one_line() {
    let scene = last_scene(DEMO);
    let size = vec2(1280.0, 720.0);
    let mut harness = drawing(scene, size, Theme::Light, System::Metric);
    theme::show_hints(&harness.ctx);
    let rect = harness.get_by_label("holding tank").rect();
    harness.hover_at(rect.center());
    harness.run_steps(8);
    let said = |n: &egui_kittest::kittest::AccessKitNode<'_>| n.label().or(n.value());
    let nodes = harness.query_all_by(|n| said(n).is_some_and(|t| t.starts_with("element")));
    let lines: Vec<_> = nodes.filter_map(|n| said(&n.accesskit_node())).collect();
    assert_eq!(lines.len(), 1, "{lines:?}");
    assert!(
        lines[0].starts_with("elements e1, e2, e3, e4 "),
        "{lines:?}"
    );
}
