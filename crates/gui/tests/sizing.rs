//! Sizing in the window: rows appear, one is looked at by pointer and keys, one becomes the present line and is taken back.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use std::sync::Arc;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::document::{NewEvent, Setting};
use dragback_gui::export::sizing_table;
use dragback_gui::prefs::Shown;
use dragback_gui::sizing::{Height, Progress, SizingTable, rinses_words, series};
use dragback_plant::TowerCache;
use dragback_scenario::{ClosedBy, Layout, check, load};
use dragback_study::size::{Rinsing, Sizing};
use dragback_units::{Quantity, System};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{DEMO, has_text, opened, press, texts, type_into, wait, window};

type Window = Harness<'static, App>;

const TAKE: &str = "Make this the present line";

fn table(harness: &Window) -> &Arc<SizingTable> {
    harness.state().state().results.sizing().unwrap()
}

fn is_whole(harness: &mut Window) {
    wait(harness, |s| {
        let table = s.results.sizing();
        table.is_some_and(|t| t.progress == Progress::Whole)
    });
}

/// The demo with the sheet of sizing out, sized for the limit that it has itself.
fn sized() -> Window {
    let mut harness = window();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::I);
    harness.run_steps(3);
    press(&mut harness, "Size the line");
    is_whole(&mut harness);
    harness
}

/// Labels of the rows of the table, from the top, with whether each is looked at.
fn rows(harness: &Window) -> Vec<(String, bool)> {
    let is_row = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        let label = n.label().unwrap_or_default();
        n.role() == Role::Button && label.contains("; rinse water ") && n.toggled().is_some()
    };
    let found = harness.root().query_all_by(is_row);
    let told = found.map(|n| n.accesskit_node());
    told.map(|n| {
        let is_on = n.toggled() == Some(egui::accesskit::Toggled::True);
        (n.label().unwrap(), is_on)
    })
    .collect()
}

fn looked_at(harness: &Window) -> String {
    let all = rows(harness);
    let on: Vec<&String> = all.iter().filter(|r| r.1).map(|r| &r.0).collect();
    assert_eq!(on.len(), 1, "{all:?}");
    on[0].clone()
}

/// The rows of the window are those that are found elsewhere, the cheapest first and marked.
#[test]
fn the_rows_are_those_that_are_found_elsewhere() {
    let harness = sized();
    let table = table(&harness);
    assert_eq!(table.rows.len(), 108);
    assert_eq!(table.of.limit.to_string(), "20 mg/L");
    let scenario = load(DEMO).0.unwrap();
    let limit = Quantity::parse("20 mg/L").unwrap();
    let sizing = Sizing::new(&scenario, "loop", limit, &TowerCache::default()).unwrap();
    let rinsing = Rinsing {
        stages: 3,
        before: None,
        has_free_final: false,
    };
    let direct = sizing.rows(rinsing, &mut |_| true).unwrap();
    for row in &direct {
        let shown = table.row(row.plan).unwrap();
        assert_eq!(shown.rinse_flow_l_per_h, row.rinse_flow_l_per_h);
        assert_eq!(shown.yearly_cost, row.yearly_cost);
        assert_eq!(shown.limit, row.limit);
    }
    let costs: Vec<f64> = table.working().filter_map(|r| r.yearly_cost).collect();
    assert!(costs.len() > 20 && costs.windows(2).all(|w| w[0] <= w[1]));
    let shown = rows(&harness);
    assert_eq!(shown.len(), costs.len());
    let cheapest: Vec<bool> = shown
        .iter()
        .map(|r| r.0.starts_with("Cheapest to run: "))
        .collect();
    assert!(
        cheapest[0] && !cheapest[1..].contains(&true),
        "{cheapest:?}"
    );
    assert!(
        shown[0].1,
        "the cheapest is looked at first: {:?}",
        shown[0]
    );
    assert!(has_text(
        &harness,
        "Drag-out, rinse water in the same ratio"
    ));
    assert_eq!(table.reaches.len(), 5);
}

/// Every point of the plot is a row, and each line runs through the least of each number of rinses.
#[test]
fn the_plot_is_that_of_the_rows() {
    let harness = sized();
    let table = table(&harness);
    for height in Height::ALL {
        let all = series(table, height, System::Metric);
        assert_eq!(all.len(), 3);
        let count: usize = all.iter().map(|s| s.points.len()).sum();
        assert_eq!(count, table.working().count());
        for each in &all {
            assert!(each.least.windows(2).all(|w| w[0].stages < w[1].stages));
            for point in &each.points {
                let row = table.row(point.plan).unwrap();
                assert_eq!(height.of(row, System::Metric), Some(point.height));
                let least = each.least.iter().find(|p| p.stages == point.stages);
                assert!(least.unwrap().height <= point.height);
            }
        }
    }
    // A press on a point looks at its row.
    let mut harness = harness;
    let canvas = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        let label = n.label().unwrap_or_default();
        n.role() == Role::Canvas && label.starts_with("Rinse water by number of rinses")
    };
    let plot = harness.get_by(canvas).rect();
    let before = looked_at(&harness);
    let mut seen = vec![before];
    let steps = |from: f32, to: f32| (0..40).map(move |n| from + (to - from) * n as f32 / 40.0);
    for x in steps(plot.left(), plot.right()) {
        let at = egui::pos2(x, plot.center().y);
        harness.drag_at(at);
        harness.run_steps(1);
        harness.drop_at(at);
        harness.run_steps(2);
        seen.push(looked_at(&harness));
    }
    seen.dedup();
    assert!(seen.len() > 2, "{seen:?}");
}

/// A row is reached and looked at by keys alone; its figures stand beside the table.
#[test]
fn a_row_is_chosen_by_keys() {
    let mut harness = sized();
    let second = rows(&harness)[1].0.clone();
    harness.get_by_label(&second).focus();
    harness.run_steps(2);
    harness.key_press(Key::Enter);
    harness.run_steps(3);
    assert_eq!(looked_at(&harness), rows(&harness)[1].0);
    harness.key_press(Key::ArrowDown);
    harness.run_steps(3);
    harness.key_press(Key::ArrowDown);
    harness.run_steps(3);
    assert_eq!(looked_at(&harness), rows(&harness)[3].0);
    harness.key_press(Key::ArrowUp);
    harness.run_steps(3);
    let told = looked_at(&harness);
    assert_eq!(told, rows(&harness)[2].0);
    let flow = told.split("rinse water ").nth(1).unwrap();
    let flow = flow.split(';').next().unwrap().to_owned();
    assert!(texts(&harness).contains(&flow), "{flow}");
}

fn holding(harness: &Window, stages: u32) -> Layout {
    let row = table(harness).working().find(|r| {
        let plan = r.plan;
        plan.stages == stages
            && plan.before.is_none()
            && !plan.has_free_final
            && plan.closed_by == ClosedBy::HoldingTank
    });
    row.unwrap().plan
}

/// A row becomes the present line as one step of undo; title, prices and remarks stay, and the text is that of the line.
#[test]
fn a_row_becomes_the_present_line_and_is_taken_back() {
    let mut harness = sized();
    let before = Arc::clone(&opened(&harness).scenario);
    let plan = holding(&harness, 4);
    let wanted = table(&harness).scenario(plan).unwrap();
    let words = rinses_words(&plan);
    let row = rows(&harness).into_iter().map(|r| r.0);
    let named = format!("{words}, holding tank;");
    let label = row.into_iter().find(|l| l.starts_with(&named)).unwrap();
    harness.get_by_label(&label).focus();
    harness.run_steps(2);
    harness.key_press(Key::Enter);
    harness.run_steps(3);
    press(&mut harness, TAKE);
    wait(&mut harness, |s| s.results.figures_are_current());
    let document = opened(&harness);
    assert!(
        harness.state().state().prefs.shown != Shown::Sizing,
        "the bench shows it"
    );
    assert_eq!(*document.scenario, wanted);
    assert!(check(&document.scenario).is_empty());
    assert_eq!(document.scenario.title, before.title);
    assert_eq!(document.scenario.prices, before.prices);
    let (again, problems) = load(&document.text());
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!(
        again.as_ref(),
        Some(&wanted),
        "the text is that of the line"
    );
    assert_eq!(document.draft().unwrap().text(), document.text());
    assert!(document.undo_name().unwrap().contains("layout 4"));
    // The film is below the limit, as the row says.
    let line = harness
        .state()
        .state()
        .results
        .figures()
        .unwrap()
        .line()
        .unwrap();
    assert!(line.final_rinse.film_mg_per_l <= 20.0);
    // The table is still there, says so, and gives another row; then one step back each.
    harness.key_press_modifiers(Modifiers::COMMAND, Key::I);
    harness.run_steps(3);
    assert!(has_text(
        &harness,
        "is the present line; the table is of the line before it"
    ));
    let other = holding(&harness, 3);
    harness.state_mut().ask(Command::TakeLayout(other));
    harness.run_steps(2);
    assert_ne!(*opened(&harness).scenario, wanted);
    for scenario in [&wanted, &*before] {
        harness.state_mut().ask(Command::Undo);
        harness.run_steps(2);
        assert_eq!(&*opened(&harness).scenario, scenario);
    }
    assert!(!opened(&harness).is_dirty());
}

/// A table of a line that was changed says so and gives no row; sized anew it does.
#[test]
fn a_table_of_the_line_before_says_so() {
    let mut harness = sized();
    harness.state_mut().ask(Command::SetLever {
        path: "loop.work.drag_out.film".to_owned(),
        setting: Setting::Text("0.15 L/m²".to_owned()),
    });
    harness.run_steps(3);
    assert!(has_text(&harness, "of the line before it was changed"));
    let changed = Arc::clone(&opened(&harness).scenario);
    let plan = holding(&harness, 3);
    harness.state_mut().ask(Command::TakeLayout(plan));
    harness.run_steps(3);
    assert!(has_text(&harness, "Size anew first"), "it is refused");
    assert_eq!(opened(&harness).scenario, changed);
    let first = table(&harness).row(plan).unwrap().rinse_flow_l_per_h;
    press(&mut harness, "Size anew");
    is_whole(&mut harness);
    assert!(!has_text(&harness, "of the line before it was changed"));
    let second = table(&harness).row(plan).unwrap().rinse_flow_l_per_h;
    assert!(
        second > first,
        "more drag-out takes more water: {first:?} {second:?}"
    );
    // Back at the value of before, the table is of another line again.
    harness.state_mut().ask(Command::Undo);
    harness.run_steps(3);
    assert!(has_text(&harness, "of the line before it was changed"));
}

/// Events name parts that may be gone: they are left out, and it is said.
#[test]
fn events_that_are_left_out_are_told() {
    let mut harness = window();
    let device = "loop.holding_tank.elements.e1".to_owned();
    harness.state_mut().ask(Command::AddEvent {
        at_h: 500.0,
        new: NewEvent::Fail(device),
    });
    harness
        .state_mut()
        .ask(Command::SizeLayouts("20 mg/L".to_owned()));
    is_whole(&mut harness);
    let plan = holding(&harness, 3);
    harness.state_mut().ask(Command::TakeLayout(plan));
    harness.run_steps(3);
    assert!(has_text(
        &harness,
        "The event of the line before is left out"
    ));
    assert!(opened(&harness).scenario.events.is_empty());
    harness.state_mut().ask(Command::Undo);
    harness.run_steps(3);
    assert_eq!(opened(&harness).scenario.events.len(), 1);
}

/// A limit that cannot be is told beside the field, with what is allowed; a number alone has the unit shown.
#[test]
fn a_limit_that_cannot_be_is_told() {
    let mut harness = window();
    harness.state_mut().ask(Command::Show(Shown::Sizing));
    harness.run_steps(3);
    for (typed, told) in [
        ("20 L", "20 L"),
        ("-5 mg/L", "allowed"),
        ("90 g/L", "strength of the bath"),
    ] {
        type_into(&mut harness, "Final rinse below", typed);
        wait(&mut harness, |s| {
            let table = s.results.sizing();
            table.is_none_or(|t| t.progress != Progress::Underway)
        });
        assert!(has_text(&harness, told), "{typed}: {:?}", texts(&harness));
        assert!(rows(&harness).is_empty());
    }
    type_into(&mut harness, "Final rinse below", "30");
    is_whole(&mut harness);
    assert_eq!(table(&harness).of.limit.to_string(), "30 mg/L");
}

/// What stops a layout is folded away, and comes into sight by one press, in the units of the window.
#[test]
fn what_stops_the_others_is_unfolded() {
    let mut harness = sized();
    let why = "the bath's surface drives off ";
    assert!(!has_text(&harness, why));
    press(&mut harness, "Show what stops them");
    let told = |h: &Window, unit: &str| {
        let all = texts(h);
        all.iter().any(|t| t.contains(why) && t.contains(unit))
    };
    assert!(told(&harness, "L/h"), "{:?}", texts(&harness));
    harness.state_mut().ask(Command::SetSystem(System::Us));
    harness.run_steps(3);
    assert!(told(&harness, "gal/h"), "{:?}", texts(&harness));
    press(&mut harness, "Hide what stops them");
    assert!(!has_text(&harness, why));
}

/// Sizing can be given up; the rows that were found stay, and it can begin anew.
#[test]
fn sizing_can_be_given_up() {
    let mut harness = window();
    harness.state_mut().ask(Command::Show(Shown::Sizing));
    harness
        .state_mut()
        .ask(Command::SizeLayouts("20 mg/L".to_owned()));
    wait(&mut harness, |s| {
        s.results.sizing().is_some_and(|t| t.done > 2)
    });
    press(&mut harness, "Give up");
    let found = table(&harness).rows.len();
    assert_eq!(table(&harness).progress, Progress::GivenUp);
    assert!(found < 108 && has_text(&harness, "Given up: "), "{found}");
    std::thread::sleep(std::time::Duration::from_millis(500));
    harness.run_steps(3);
    assert_eq!(table(&harness).rows.len(), found, "nothing more comes");
    press(&mut harness, "Size anew");
    is_whole(&mut harness);
    assert_eq!(table(&harness).rows.len(), 108);
}

/// What is written holds every row, with figures or with what stops it.
#[test]
fn the_table_is_written_row_by_row() {
    let harness = sized();
    for (system, unit) in [(System::Metric, "(L/h)"), (System::Us, "(gal/h)")] {
        let written = sizing_table(table(&harness), system);
        assert_eq!(written.rows.len(), 108);
        let place = |name: &str| {
            written
                .heads
                .iter()
                .position(|h| h.starts_with(name))
                .unwrap()
        };
        let (water, why) = (place("rinse water"), place("what stops it"));
        assert!(written.heads[water].ends_with(unit), "{:?}", written.heads);
        for row in &written.rows {
            assert_ne!(row[water].is_empty(), row[why].is_empty(), "{row:?}");
        }
        assert!(written.csv().is_ok());
    }
}
