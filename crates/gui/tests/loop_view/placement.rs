//! What a placement must keep: everything inside the frame, nothing over anything else.

use dragback_gui::loop_view::layout::Placement;
use dragback_gui::loop_view::scene::{Place, Scene};
use egui::{Pos2, Rect};

/// Whether a straight part goes through the inside of a rectangle.
fn crosses(a: Pos2, b: Pos2, rect: Rect) -> bool {
    let part = Rect::from_two_pos(a, b);
    rect.shrink(0.5).intersects(part)
}

pub fn check_placement(scene: &Scene, placed: &Placement, frame: Rect, what: &str) {
    let all = frame.expand(0.1);
    for (i, spot) in placed.stations.iter().enumerate() {
        let name = &scene.stations[i].name;
        assert!(spot.body.is_positive(), "{what}: {name} {:?}", spot.body);
        assert!(
            all.contains_rect(spot.body),
            "{what}: {name} {:?}",
            spot.body
        );
        for (j, other) in placed.stations.iter().enumerate() {
            let texts = [spot.text, other.text];
            let is_empty = !texts[1].is_positive();
            if i < j {
                let hits = spot.body.shrink(0.1).intersects(other.body.shrink(0.1));
                assert!(!hits, "{what}: {name} and {}", scene.stations[j].name);
            }
            let hits = !is_empty && spot.body.shrink(0.2).intersects(other.text);
            assert!(
                !hits,
                "{what}: {name} and texts of {}",
                scene.stations[j].name
            );
        }
    }
    for (s, path) in scene.streams.iter().zip(&placed.streams) {
        assert!(path.points.len() >= 2, "{what}: {} has no path", s.name);
        for p in &path.points {
            assert!(all.contains(*p), "{what}: {} at {p:?}", s.name);
        }
        if s.to == Place::Floor {
            continue;
        }
        for w in path.points.windows(2) {
            for (k, spot) in placed.stations.iter().enumerate() {
                let hits = crosses(w[0], w[1], spot.body);
                assert!(
                    !hits,
                    "{what}: {} goes through {}",
                    s.name, scene.stations[k].name
                );
            }
        }
    }
    check_tracks(scene, placed, what);
}

/// No two level runs lie on one another.
fn check_tracks(scene: &Scene, placed: &Placement, what: &str) {
    let mut runs: Vec<(usize, Pos2, Pos2)> = Vec::new();
    for (i, path) in placed.streams.iter().enumerate() {
        for w in path
            .points
            .windows(2)
            .filter(|w| (w[0].y - w[1].y).abs() < 0.01)
        {
            runs.push((i, w[0], w[1]));
        }
    }
    for (n, a) in runs.iter().enumerate() {
        for b in &runs[..n] {
            let (left, right) = (
                a.1.x.min(a.2.x).max(b.1.x.min(b.2.x)),
                a.1.x.max(a.2.x).min(b.1.x.max(b.2.x)),
            );
            let lies_on = (a.1.y - b.1.y).abs() < 1.0 && right - left > 0.5;
            let names = (&scene.streams[a.0].name, &scene.streams[b.0].name);
            assert!(a.0 == b.0 || !lies_on, "{what}: {names:?}");
        }
    }
}
