//! What stands in the plots: limits, names at the ends of curves, and which curves are shown.

mod common;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::plots::{DrawnCache, KINDS, Measure, mean_between, value_at};
use dragback_gui::results::Standing;
use dragback_study::curves::Kind;
use dragback_units::System;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{DEMO, TempFile, click, type_into, wait, window};

type Window = Harness<'static, App>;

/// Whether a text is drawn that has some words in it.
fn has_drawn(harness: &Window, part: &str) -> bool {
    fn is_in(shape: &egui::Shape, part: &str) -> bool {
        match shape {
            egui::Shape::Text(text) => text.galley.text().contains(part),
            egui::Shape::Vec(all) => all.iter().any(|s| is_in(s, part)),
            _ => false,
        }
    }
    let drawn = &harness.output().shapes;
    drawn.iter().any(|clipped| is_in(&clipped.shape, part))
}

/// The strength at which a salt comes out is in sight beside the strengths, or is said at the head where it is far above them.
#[test]
fn the_saturation_of_bath_and_holding_tank_is_in_sight() {
    let place = KINDS.iter().position(|k| *k == Kind::Strength).unwrap();
    for name in ["demo.ron", "zinc-barrel.ron"] {
        let mut harness = window();
        harness.set_size(egui::vec2(1920.0, 1080.0));
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios");
        let path = std::path::Path::new(folder).join(name);
        harness.state_mut().ask(Command::OpenPath(path));
        harness
            .state_mut()
            .ask(Command::ShowPlots(Some(vec![Kind::Strength])));
        wait(&mut harness, |s| {
            let is_open = s.document.as_ref().is_some_and(|d| d.origin.name == name);
            is_open && s.results.standing() == Standing::Exact
        });
        harness.run_steps(3);
        let set = harness.state().state().results.curves().unwrap();
        let plot = &set.plots[place];
        let measure = Measure::of(Kind::Strength, System::Metric);
        let drawn_at = (0.0, 90.0);
        let mut cache = DrawnCache::default();
        let head = cache.get(set, plot, measure, drawn_at, 400).extent.1;
        let values = plot.series.iter().flat_map(|s| &s.points).map(|p| p[1]);
        let greatest = values.filter(|v| v.is_finite()).fold(0.0, f64::max);
        let moving: Vec<_> = plot
            .guides
            .iter()
            .filter(|g| !g.points.is_empty())
            .collect();
        assert!(!moving.is_empty(), "{name}");
        let mut beyond = 0;
        for guide in &moving {
            if guide.high <= 3.0 * greatest {
                assert!(head >= measure.height(guide.high), "{name}: {}", guide.name);
            }
            beyond += usize::from(measure.height(guide.low) > 1.2 * head);
        }
        let is_said = has_drawn(&harness, "saturated at ");
        assert_eq!(is_said, beyond > 0, "{name}: {beyond} of {}", moving.len());
    }
}

#[test]
fn curves_hidden_in_one_scenario_are_shown_in_the_next() {
    let mut harness = window();
    let name = "holding tank in Levels, m";
    let toggled = |h: &Window| h.get_by_label(name).accesskit_node().toggled();
    click(&mut harness, name);
    assert_eq!(toggled(&harness), Some(egui::accesskit::Toggled::False));
    // Other units are no other scenario.
    let foot = "holding tank in Levels, ft";
    harness.state_mut().ask(Command::SetSystem(System::Us));
    harness.run_steps(3);
    let in_feet = harness.get_by_label(foot).accesskit_node().toggled();
    assert_eq!(in_feet, Some(egui::accesskit::Toggled::False));
    harness.state_mut().ask(Command::SetSystem(System::Metric));
    let file = TempFile::new("the-next.ron", DEMO);
    let path = file.0.clone();
    harness.state_mut().ask(Command::OpenPath(path));
    wait(&mut harness, |s| {
        let document = s.document.as_ref();
        let opened = document.filter(|d| d.origin.name.contains("the-next"));
        let curves = s.results.curves().map(|c| c.asked.document);
        opened.is_some_and(|d| curves == Some(d.id)) && s.results.figures_are_current()
    });
    harness.run_steps(3);
    assert_eq!(toggled(&harness), Some(egui::accesskit::Toggled::True));
}

/// Values at the ends of curves stand in their order, also where a curve ends far from its mean.
#[test]
fn names_at_the_ends_stand_in_the_order_of_their_values() {
    let mut harness = window();
    type_into(&mut harness, "Heat input", "20 kW");
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    for cursor in [None, Some(20.5), Some(47.3)] {
        harness.state_mut().ask(Command::MoveCursor(cursor));
        harness.run_steps(3);
        let set = harness.state().state().results.curves().unwrap();
        let place = KINDS.iter().position(|k| *k == Kind::Level).unwrap();
        let each = set.plots[place].series.iter().map(|series| {
            let value = match cursor {
                Some(day) => value_at(series, day),
                None => mean_between(series, 83.0, 90.0),
            };
            let name = format!("{} in Levels, m", series.name);
            (harness.get_by_label(&name).rect().top(), value)
        });
        let mut each: Vec<(f32, f64)> = each.collect();
        each.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(each.len() > 3);
        assert!(
            each.windows(2).all(|w| w[0].1 >= w[1].1 - 1e-9),
            "{cursor:?}: {each:?}"
        );
    }
}

/// Heaters have a duty beside their power: behind their name, and as a second scale whose head is their full power.
#[test]
fn heaters_have_a_duty_beside_their_power() {
    let mut harness = window();
    harness
        .state_mut()
        .ask(Command::ShowPlots(Some(vec![Kind::Heat])));
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.run_steps(3);
    assert!(has_drawn(&harness, "duty 100 %"));
    let set = harness.state().state().results.curves().unwrap();
    let place = KINDS.iter().position(|k| *k == Kind::Heat).unwrap();
    let plot = &set.plots[place];
    let full = plot.guides.iter().find(|g| g.of == Some(0)).unwrap().high;
    let share = 100.0 * mean_between(&plot.series[0], 83.0, 90.0) / full;
    assert!(share > 5.0 && share < 100.0, "{share}");
    let words = format!("{}, duty {share:.1}", plot.series[0].name);
    assert!(has_drawn(&harness, &words), "{words}");
}

/// Where the curves of each plot on the sheet are drawn.
fn frames(harness: &Window) -> Vec<egui::Rect> {
    let canvases = harness.get_all_by_role(egui::accesskit::Role::Canvas);
    let plots = canvases.filter(|node| {
        let title = node.accesskit_node().label().unwrap_or_default();
        let button = format!("Enlarge: {title}");
        harness.query_by_label(&button).is_some()
    });
    plots.map(|node| node.rect()).collect()
}

/// Plots that stand on one another show the same day at the same place, with marks and names of any length.
#[test]
fn days_stand_below_one_another() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    let all = Some(KINDS.to_vec());
    harness.state_mut().ask(Command::ShowPlots(all));
    for size in [
        egui::vec2(1280.0, 1000.0),
        egui::vec2(1920.0, 1080.0),
        egui::vec2(3840.0, 2160.0),
    ] {
        harness.set_size(size);
        for system in [System::Us, System::Metric] {
            harness.state_mut().ask(Command::SetSystem(system));
            harness.run_steps(4);
            let frames = frames(&harness);
            let pairs = frames.iter().enumerate().flat_map(|(i, a)| {
                let below = frames[i + 1..]
                    .iter()
                    .filter(|b| a.x_range().contains(b.center().x));
                below.map(move |b| (*a, *b))
            });
            let pairs: Vec<(egui::Rect, egui::Rect)> = pairs.collect();
            assert!(pairs.len() >= 2, "{size:?} {system:?}: {frames:?}");
            for (a, b) in pairs {
                assert!(
                    (a.left() - b.left()).abs() < 0.6,
                    "{size:?} {system:?}: {a:?} {b:?}"
                );
                assert!(
                    (a.right() - b.right()).abs() < 0.6,
                    "{size:?} {system:?}: {a:?} {b:?}"
                );
            }
        }
    }
}

/// How many pieces of line are drawn in a colour.
fn pieces(harness: &Window, color: egui::Color32) -> usize {
    fn count(shape: &egui::Shape, color: egui::Color32) -> usize {
        match shape {
            egui::Shape::LineSegment { stroke, .. } => usize::from(stroke.color == color),
            egui::Shape::Path(path) => {
                usize::from(path.stroke.color == egui::epaint::ColorMode::Solid(color))
            }
            egui::Shape::Vec(all) => all.iter().map(|s| count(s, color)).sum(),
            _ => 0,
        }
    }
    let drawn = &harness.output().shapes;
    drawn.iter().map(|c| count(&c.shape, color)).sum()
}

/// The curves of a pinned state stay as pale dashes where they were, and go with it.
#[test]
fn a_pinned_state_leaves_pale_dashes() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    let palette = dragback_gui::theme::palette(egui::Theme::Light);
    let place = KINDS
        .iter()
        .position(|k| *k == Kind::Concentration)
        .unwrap();
    let set = harness.state().state().results.curves().unwrap().clone();
    let station = set.final_station.unwrap();
    let (hue, _) =
        dragback_gui::plots::pen(Kind::Concentration, set.plots[place].pens[station], palette);
    let pale = hue.gamma_multiply(0.6);
    assert_eq!(pieces(&harness, pale), 0);
    harness.state_mut().ask(Command::Pin);
    type_into(&mut harness, "Rinse rate", "70 L/h");
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    harness.run_steps(3);
    assert!(pieces(&harness, pale) > 10, "{}", pieces(&harness, pale));
    harness.state_mut().ask(Command::Unpin);
    harness.run_steps(3);
    assert_eq!(pieces(&harness, pale), 0);
}
