//! The drawing of the loop: what it shows is what the plant holds, nothing is drawn over anything else, and everything can be reached by name.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

#[path = "loop_view/air.rs"]
mod air;
mod common;
#[path = "loop_view/hints.rs"]
mod hints;
#[path = "loop_view/in_window.rs"]
mod in_window;
#[path = "loop_view/lines.rs"]
#[allow(dead_code, reason = "each test file uses its own part")]
mod lines;
#[path = "loop_view/placement.rs"]
mod placement;
#[path = "loop_view/touched.rs"]
mod touched;

#[path = "loop_view/titles.rs"]
mod titles;
#[path = "loop_view/widths.rs"]
mod widths;

use std::sync::Arc;

use dragback_gui::loop_view::layout::{PLATE, heater_spots, layout};
use dragback_gui::loop_view::scene::{
    ApparatusKind, Place, Running, Scene, StationId, StationKind, StreamId, StreamKind,
};
use dragback_gui::loop_view::{self, Circumstances, Label, Moment, Selection, View, labels_drawn};
use dragback_gui::theme;
use dragback_plant::TowerCache;
use dragback_plant::network::{End, Law};
use dragback_run::Trace;
use dragback_run::clock::Clock;
use dragback_scenario::load;
use dragback_study::{Case, Driver, run_span};
use dragback_units::System;
use egui::accesskit::Toggled;
use egui::{Pos2, Rect, Theme, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use lines::{DEMO, SHIPPED, ZINC, texts, with_loops};
use placement::check_placement;

const SIZES: [Vec2; 7] = [
    vec2(SMALL[0].x + 2.0 * MARGIN, SMALL[0].y + 2.0 * MARGIN),
    vec2(SMALL[1].x + 2.0 * MARGIN, SMALL[1].y + 2.0 * MARGIN),
    vec2(600.0, 300.0),
    vec2(1280.0, 400.0),
    vec2(1280.0, 720.0),
    vec2(1920.0, 1080.0),
    vec2(3840.0, 2160.0),
];

fn case(text: &str) -> Case {
    let (scenario, problems) = load(text);
    assert!(scenario.is_some(), "{problems:?}");
    Case::new(Arc::new(scenario.unwrap()), &TowerCache::default()).unwrap()
}

fn around(case: &Case, trace: &Trace, i: usize) -> Circumstances {
    let t_s = trace.times_s()[i];
    Circumstances::at(&case.plant, Clock::default(), t_s, trace.row(i), &[])
}

/// A case and two days of it.
fn two_days(text: &str) -> (Case, Arc<Trace>) {
    let case = case(text);
    let span_s = 2.0 * 86_400.0;
    let clock = Clock::default();
    let span = run_span(&case, span_s, Driver::Preview, clock, &mut |_| true).unwrap();
    (case, span.trace)
}

fn scene_at(case: &Case, trace: &Trace, i: usize) -> Scene {
    let moment = Moment::of_trace(&case.plant, trace, i, 6.0 * 3600.0, around(case, trace, i));
    loop_view::scene(&case.plant, &moment)
}

fn last_scene(text: &str) -> Scene {
    let (case, trace) = two_days(text);
    scene_at(&case, &trace, trace.len() - 1)
}

fn named<'s>(scene: &'s Scene, name: &str) -> &'s loop_view::scene::Station {
    scene.stations.iter().find(|s| s.name == name).unwrap()
}

#[test]
fn stations_show_what_the_tanks_hold() {
    let (case, trace) = two_days(DEMO);
    let last = trace.len() - 1;
    let (scene, net, y) = (
        scene_at(&case, &trace, last),
        case.plant.network(),
        trace.row(last),
    );
    let tanks = scene
        .stations
        .iter()
        .filter(|s| matches!(s.id, StationId::Vessel(_)));
    assert_eq!(tanks.count(), net.vessels.len());
    for s in &scene.stations {
        let StationId::Vessel(v) = s.id else { continue };
        let vessel = &net.vessels[v.index()];
        let (volume_m3, temp_c, _) = case.plant.holdup(v, y);
        let brim_m = vessel.shape.level_m(vessel.full_m3);
        assert_eq!(s.volume_m3, Some(volume_m3));
        assert_eq!(s.temp_c, Some(temp_c));
        let share = vessel.shape.level_m(volume_m3) / brim_m;
        assert!((s.level - share).abs() < 1e-12, "{}", s.name);
        let lead = net.loops[0].lead;
        assert_eq!(s.strength_kg_per_m3, case.plant.concentration(v, lead, y));
    }
    let kinds = |k| scene.stations.iter().filter(|s| s.kind == k).count();
    assert_eq!(
        [StationKind::Bath, StationKind::Rinse, StationKind::Tower].map(kinds),
        [1, 3, 1]
    );
    // Six electrodes and floats read the holding tank's level: two alarms and three bands.
    let marks = &named(&scene, "holding tank").marks;
    assert_eq!(marks.len(), 2 + 3 * 2);
    let low = marks.iter().find(|m| m.name == "low alarm").unwrap();
    assert!(low.is_alarm && (low.level_m - 0.20).abs() < 1e-9);
    assert!(marks.windows(2).all(|w| w[0].level_m <= w[1].level_m));
}

#[test]
fn streams_show_the_means_of_what_was_moved() {
    let (case, trace) = two_days(DEMO);
    let last = trace.len() - 1;
    let moment = Moment::mean_of(&case.plant, &trace, around(&case, &trace, last));
    let scene = loop_view::scene(&case.plant, &moment);
    let span_s = trace.times_s()[last] - trace.times_s()[0];
    for s in &scene.streams {
        let StreamId::Transfer(t) = s.id else {
            continue;
        };
        if s.kind == StreamKind::Film {
            continue;
        }
        let entry = case.plant.layout().moved(t);
        let mean = (trace.row(last)[entry] - trace.row(0)[entry]) / span_s;
        assert!(
            (s.flow_m3_per_s - mean).abs() <= 1e-12 * mean.abs(),
            "{}",
            s.name
        );
    }
}

/// However films are made up, what drops off on each hop is what the transfers bring to its end, and none is left out.
#[test]
fn films_are_hops_of_the_work_and_all_of_them_are_counted() {
    for text in [DEMO, ZINC, SHIPPED[2], SHIPPED[3]] {
        let (case, trace) = two_days(text);
        let last = trace.len() - 1;
        let moment = Moment::mean_of(&case.plant, &trace, around(&case, &trace, last));
        let scene = loop_view::scene(&case.plant, &moment);
        let films = || scene.streams.iter().filter(|s| s.kind == StreamKind::Film);
        let span_s = trace.times_s()[last] - trace.times_s()[0];
        let by_place = |end: End| -> f64 {
            let net = case.plant.network();
            let into = net.transfers.iter().enumerate().filter(|(_, t)| {
                matches!(t.law, Law::Film { .. })
                    && match (t.to, end) {
                        (End::Account(_), End::Account(_)) => true,
                        (a, b) => a == b,
                    }
            });
            let moved = |t: usize| {
                let entry = case
                    .plant
                    .layout()
                    .moved(dragback_plant::ids::TransferId(t));
                trace.row(last)[entry] - trace.row(0)[entry]
            };
            into.map(|(t, _)| moved(t) / span_s).sum()
        };
        let mut checked = 0;
        for (at, s) in scene.stations.iter().enumerate() {
            let StationId::Vessel(v) = s.id else { continue };
            let drawn: f64 = films()
                .filter(|f| f.to == Place::Station(at))
                .map(|f| f.flow_m3_per_s)
                .sum();
            let true_flow = by_place(End::Vessel(v));
            assert!((drawn - true_flow).abs() <= 1e-9 * true_flow, "{}", s.name);
            checked += usize::from(true_flow > 0.0);
        }
        assert!(checked >= 3);
        let out: Vec<_> = films().filter(|f| f.to == Place::Work).collect();
        assert_eq!(out.len(), 1, "work leaves a line at one place");
        let all_out = by_place(End::Account(dragback_plant::ids::AccountId(0)));
        assert!((out[0].flow_m3_per_s - all_out).abs() <= 1e-9 * all_out);
    }
}

#[test]
fn work_goes_through_the_still_rinse_before_and_after_the_bath() {
    let scene = last_scene(ZINC);
    let at =
        |name: &str| Place::Station(scene.stations.iter().position(|s| s.name == name).unwrap());
    let has = |from, to| {
        scene
            .streams
            .iter()
            .any(|s| s.kind == StreamKind::Film && s.from == from && s.to == to)
    };
    assert!(has(at("drag"), at("bath")) && has(at("bath"), at("drag")));
    assert!(has(at("drag"), at("rinses 1")) && !has(at("bath"), at("rinses 1")));
    assert!(has(at("rinses 3"), Place::Work));
}

#[test]
fn failed_and_held_devices_are_told_apart_from_those_that_rest() {
    let case = case(DEMO);
    let net = case.plant.network();
    let device = |name: &str| {
        net.devices
            .iter()
            .position(|d| d.name.ends_with(name))
            .unwrap()
    };
    let relay = |name: &str| {
        net.relays
            .iter()
            .position(|r| r.name.ends_with(name))
            .unwrap()
    };
    let mut at = Circumstances::at(
        &case.plant,
        Clock::default(),
        0.0,
        &case.plant.initial(),
        &[],
    );
    let calm = loop_view::scene(&case.plant, &Moment::begins(&case.plant, at.clone()));
    let heaters = |scene: &Scene| -> Vec<Running> {
        let tank = named(scene, "holding tank");
        tank.apparatus.iter().map(|a| a.running).collect()
    };
    assert_eq!(heaters(&calm), [Running::Off; 4]);
    at.failed[device("elements.e2")] = true;
    at.relays_on[relay("electrodes.low_alarm")] = true;
    let scene = loop_view::scene(&case.plant, &Moment::begins(&case.plant, at));
    assert_eq!(
        heaters(&scene),
        [Running::Held, Running::Failed, Running::Held, Running::Held]
    );
    let first = &named(&scene, "holding tank").apparatus[0];
    assert_eq!(first.held_by.as_deref(), Some("low alarm"));
    let pump = scene
        .streams
        .iter()
        .find(|s| s.kind == StreamKind::Circulation);
    let pump = pump.unwrap().apparatus.clone().unwrap();
    assert_eq!(pump.running, Running::Held);
    // The blower answers to the alarm only through the pump: it merely rests here.
    let tower = scene
        .stations
        .iter()
        .find(|s| s.kind == StationKind::Tower)
        .unwrap();
    assert_eq!(tower.apparatus[0].running, Running::Off);
}

#[test]
fn an_element_that_fails_by_an_event_is_drawn_as_failed_until_it_is_repaired() {
    let case = case(SHIPPED[5]);
    let y = case.plant.initial();
    let failed_at = |days: f64| {
        let at = Circumstances::at(&case.plant, Clock::default(), days * 86_400.0, &y, &[]);
        at.failed.iter().filter(|f| **f).count()
    };
    assert_eq!([9.0, 11.0, 13.0].map(failed_at), [0, 1, 0]);
}

#[test]
fn the_shape_of_the_drawing_does_not_change_while_time_plays() {
    for text in [DEMO, ZINC, SHIPPED[2]] {
        let (case, trace) = two_days(text);
        let frame = Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 400.0));
        let first = layout(&scene_at(&case, &trace, 0), frame);
        for i in (0..trace.len()).step_by(5) {
            assert_eq!(layout(&scene_at(&case, &trace, i), frame), first);
        }
    }
}

#[test]
fn nothing_is_laid_over_anything_else_at_any_size() {
    for (n, text) in texts().iter().enumerate() {
        let case = case(text);
        let at = Circumstances::at(
            &case.plant,
            Clock::default(),
            0.0,
            &case.plant.initial(),
            &[],
        );
        let scene = loop_view::scene(&case.plant, &Moment::begins(&case.plant, at));
        for size in SIZES {
            let frame = Rect::from_min_size(Pos2::new(7.0, 11.0), size);
            let what = format!("text {n} at {size:?}");
            check_placement(&scene, &layout(&scene, frame), frame, &what);
        }
    }
}

/// What the harness leaves free around a drawing, points.
const MARGIN: f32 = 8.0;

/// The drawing in a window of 1280 by 720, without and with a pinned state above it.
const SMALL: [Vec2; 2] = [vec2(976.0, 190.0), vec2(976.0, 160.0)];

/// However low the drawing is, every heater of the shipped lines stands in its tank, none on another.
#[test]
fn heaters_become_smaller_before_one_is_left_out() {
    for text in SHIPPED {
        let scene = last_scene(text);
        for size in SMALL {
            let placed = layout(&scene, Rect::from_min_size(Pos2::ZERO, size).shrink(4.0));
            for (s, spot) in scene.stations.iter().zip(&placed.stations) {
                let is_heater = |a: &&loop_view::scene::Apparatus| a.kind == ApparatusKind::Heater;
                let count = s.apparatus.iter().filter(is_heater).count();
                let inner = spot.body.shrink(1.0);
                let heaters = heater_spots(inner, inner.bottom(), count, placed.scale);
                assert_eq!(heaters.len(), count, "{} at {size:?}", s.name);
                let plates: Vec<Rect> = heaters.iter().map(|h| h.expand2(PLATE)).collect();
                for (i, plate) in plates.iter().enumerate() {
                    assert!(inner.contains_rect(*plate), "{} at {size:?}", s.name);
                    assert!(heaters[i].height() >= 4.0 && heaters[i].width() >= 6.0);
                    assert!(plates[..i].iter().all(|p| !p.intersects(*plate)));
                }
            }
        }
    }
}

struct Shown {
    scene: Scene,
    selection: Selection,
    view: View,
}

fn drawing(scene: Scene, size: Vec2, theme: Theme, system: System) -> Harness<'static, Shown> {
    let state = Shown {
        scene,
        selection: Selection::None,
        view: View {
            system,
            is_playing: false,
            phase: 0.0,
        },
    };
    let mut harness = Harness::builder().with_size(size).build_ui_state(
        |ui, state: &mut Shown| {
            loop_view::show(ui, &state.scene, &mut state.selection, state.view);
        },
        state,
    );
    theme::install(&harness.ctx);
    harness.ctx.set_theme(theme);
    harness.run_steps(3);
    harness
}

#[test]
fn texts_are_large_enough_and_never_touch() {
    for (n, text) in texts().iter().enumerate() {
        let scene = last_scene(text);
        for size in SIZES {
            for (theme, system) in [(Theme::Light, System::Metric), (Theme::Dark, System::Us)] {
                let harness = drawing(scene.clone(), size, theme, system);
                let labels = labels_drawn(&harness.ctx);
                let what = format!("text {n} at {size:?}");
                let frame = Rect::from_min_size(Pos2::ZERO, size);
                assert!(labels.len() >= 5, "{what}: {} texts", labels.len());
                for (i, a) in labels.iter().enumerate() {
                    assert!(a.points >= 11.0, "{what}: {a:?}");
                    assert!(frame.contains_rect(a.rect), "{what}: {a:?}");
                    for b in &labels[..i] {
                        assert!(!a.rect.intersects(b.rect), "{what}: {a:?} and {b:?}");
                    }
                }
            }
        }
    }
}

/// What matters has room in a window of the usual size, whatever the shipped scenario.
#[test]
fn every_tank_of_the_shipped_lines_has_its_name_strength_and_temperature() {
    for text in SHIPPED {
        let scene = last_scene(text);
        let harness = drawing(
            scene.clone(),
            vec2(1280.0, 360.0),
            Theme::Light,
            System::Metric,
        );
        let labels = labels_drawn(&harness.ctx);
        let has = |t: &str| labels.iter().any(|l| l.text == t);
        for s in scene.stations.iter().filter(|s| s.volume_m3.is_some()) {
            assert!(has(&s.name), "{}", s.name);
            let lead = &scene.lines[s.line].lead;
            let strength = s.strength_kg_per_m3.unwrap();
            assert!(has(&loop_view::words::strength_of(
                strength,
                lead,
                System::Metric
            )));
            assert!(has(&loop_view::words::temperature(
                s.temp_c.unwrap(),
                System::Metric
            )));
        }
    }
}

/// In a window of 1280 by 720 every tank tells its strength, a heated one its temperature too, at the tank itself.
#[test]
fn every_tank_of_the_shipped_lines_has_its_strength_in_a_low_drawing() {
    for (n, text) in SHIPPED.iter().enumerate() {
        let scene = last_scene(text);
        for size in SMALL {
            for theme in [Theme::Light, Theme::Dark] {
                let whole = size + Vec2::splat(2.0 * MARGIN);
                let harness = drawing(scene.clone(), whole, theme, System::Metric);
                let labels = labels_drawn(&harness.ctx);
                let frame = Rect::from_min_size(Pos2::new(MARGIN, MARGIN), size).shrink(4.0);
                let placed = layout(&scene, frame);
                for (s, spot) in scene.stations.iter().zip(&placed.stations) {
                    let Some(volume_m3) = s.volume_m3 else {
                        continue;
                    };
                    assert!(volume_m3 > 0.0);
                    let near = spot.body.union(spot.text).expand2(vec2(0.0, 18.0));
                    let near = || labels.iter().filter(|l| near.contains(l.rect.center()));
                    let what = format!("{} of text {n} at {size:?} {spot:?}: {labels:#?}", s.name);
                    let strength = strength_alone(s.strength_kg_per_m3.unwrap());
                    assert!(near().any(|l| l.text.contains(&strength)), "{what}");
                    if !s.apparatus.is_empty() {
                        let whole = s.temp_c.unwrap();
                        let exact = loop_view::words::temperature(whole, System::Metric);
                        let whole = loop_view::words::temperature_whole(whole, System::Metric);
                        let told = |l: &Label| l.text.contains(&exact) || l.text.contains(&whole);
                        assert!(near().any(told), "{what}");
                    }
                }
            }
        }
    }
}

/// A strength without what is dissolved.
fn strength_alone(kg_per_m3: f64) -> String {
    let told = loop_view::words::strength_of(kg_per_m3, "", System::Metric);
    told.trim_end().to_owned()
}
