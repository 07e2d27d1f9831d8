//! The main levers, dragged by the pointer.

use dragback_gui::App;
use dragback_gui::plots::mean_between;
use dragback_gui::results::Standing;
use dragback_scenario::set_si;
use dragback_study::LoopAnswer;
use dragback_study::curves::{Kind, Series};
use egui_kittest::Harness;

use crate::common::{has_text, shown_answer, wait, window};
use crate::{answer_of, assert_same, demo_scenario};

/// The mean of a curve over the last week in sight.
fn last_week(harness: &Harness<'_, App>, kind: Kind, pick: impl Fn(&Series) -> bool) -> f64 {
    let curves = harness.state().state().results.curves().unwrap();
    let place = dragback_gui::plots::KINDS.iter().position(|&k| k == kind);
    let plot = &curves.plots[place.unwrap()];
    let mut picked = plot.series.iter().filter(|s| pick(s));
    let series = picked.next().unwrap();
    assert_eq!(picked.count(), 0, "one curve is meant");
    mean_between(series, 83.0, 90.0)
}

/// What a lever is to do, once it is dragged.
struct Drag {
    path: &'static str,
    /// How far the hand goes along the rail, points.
    by: f32,
    /// The curve that is looked at, and the name of its line.
    curve: (Kind, &'static str),
    /// Whether that curve is to rise.
    rises: bool,
    /// The figure that goes with it, and whether it is to rise.
    figure: (fn(&LoopAnswer) -> f64, bool),
}

const DRAGS: [Drag; 3] = [
    // More film carries more of the bath through the same water.
    Drag {
        path: "loop.work.drag_out.film",
        by: 40.0,
        curve: (Kind::Concentration, "rinses 3"),
        rises: true,
        figure: (|a| a.final_rinse.film_mg_per_l, true),
    },
    // More water rinses better.
    Drag {
        path: "loop.sections.rinses.flow",
        by: 40.0,
        curve: (Kind::Concentration, "rinses 3"),
        rises: false,
        figure: (|a| a.final_rinse.film_mg_per_l, false),
    },
    // Half of the heat no longer holds the set point while water evaporates.
    Drag {
        path: "loop.holding_tank.heat_input",
        by: -50.0,
        curve: (Kind::Temperature, "holding tank"),
        rises: false,
        figure: (|a| a.closure_margin_l_per_h.as_ref().unwrap().week, false),
    },
];

#[test]
fn each_main_lever_dragged_by_the_pointer_shows_a_preview_and_then_the_exact_run() {
    for drag in DRAGS {
        let path = drag.path;
        let mut harness = window();
        wait(&mut harness, |s| s.results.standing() == Standing::Exact);
        let si = |h: &Harness<'_, App>| {
            let document = h.state().state().document.as_ref();
            document.unwrap().lever(path).unwrap().si
        };
        let curve = |h: &Harness<'_, App>| {
            let (kind, name) = drag.curve;
            last_week(h, kind, |s| s.name == name)
        };
        let (figure, figure_rises) = drag.figure;
        let before = (
            si(&harness),
            curve(&harness),
            figure(&shown_answer(&harness)),
        );
        let (_, handle) = harness.state().lever_at(path).unwrap();
        harness.drag_at(handle);
        harness.run_steps(2);
        // The exact run waits for the hand to rest, so a moving hand always sees the mark of a preview.
        let mut marked = 0;
        for step in 1_u8..=8 {
            harness.hover_at(handle + egui::vec2(f32::from(step) / 8.0 * drag.by, 0.0));
            harness.run_steps(2);
            marked += usize::from(has_text(&harness, "■ Preview"));
        }
        harness.drop_at(handle + egui::vec2(drag.by, 0.0));
        harness.run_steps(2);
        assert!(marked >= 6, "{path}: a preview in {marked} of 8 steps");
        wait(&mut harness, |s| s.results.figures_are_current());
        let moved = si(&harness) / before.0;
        let is_far = if drag.by > 0.0 {
            moved > 1.2
        } else {
            moved < 0.8
        };
        assert!(is_far, "{path}: moved to {moved} of what it was");
        let shown = shown_answer(&harness);
        let now = figure(&shown);
        println!("{path} × {moved}: figure {} to {now}", before.2);
        assert_eq!(
            now > before.2,
            figure_rises,
            "{path}: {} became {now}",
            before.2
        );
        assert!((now - before.2).abs() > 0.1 * before.2.abs(), "{path}");
        let mut scenario = demo_scenario();
        set_si(&mut scenario, path, si(&harness)).unwrap();
        assert_same(&shown, &answer_of(scenario));
        wait(&mut harness, |s| s.results.standing() == Standing::Exact);
        assert!(has_text(&harness, "● Exact") || has_text(&harness, "■ Estimate"));
        let now = curve(&harness);
        println!("{path}: curve {} to {now}", before.1);
        assert_eq!(
            now > before.1,
            drag.rises,
            "{path}: {} became {now}",
            before.1
        );
        assert!((now - before.1).abs() > 1e-3 * before.1, "{path}");
    }
}
