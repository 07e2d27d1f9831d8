//! The drawing as the window shows it: of the settled week, with what its answers say.

use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::loop_view::labels_drawn;
use dragback_gui::{App, Options};
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use crate::common::{figures, options, wait, window, window_with};
use crate::lines::SHIPPED;

/// What the drawing says of a tank or stream.
fn said(harness: &Harness<'_, App>, name: &str) -> String {
    let node = harness.get_by_role_and_label(Role::Button, name);
    node.accesskit_node().value().unwrap()
}

/// So little rinse water and so much drag-out that the holding tank's low alarm stands all week, while the level has come back over the electrode
/// itself.
#[test]
fn what_a_standing_alarm_cuts_all_week_is_drawn_as_held() {
    let mut harness = window();
    assert!(said(&harness, "holding tank").contains("elements e1, e2, e3, e4 used"));
    for (path, text) in [
        ("loop.work.drag_out.film", "0.4 L/m²"),
        ("loop.sections.rinses.flow", "5 L/h"),
    ] {
        harness.state_mut().ask(Command::SetLever {
            path: path.to_owned(),
            setting: Setting::Text(text.to_owned()),
        });
    }
    harness.run_steps(2);
    wait(&mut harness, |s| s.results.figures_are_current());
    let alarms = &figures(&harness).answers.alarms;
    let states: Vec<_> = alarms
        .iter()
        .map(|a| (a.called.as_str(), a.state))
        .collect();
    let stands = ("low alarm of the holding tank", "active");
    assert!(states.contains(&stands), "{states:?}");
    let tank = said(&harness, "holding tank");
    assert!(
        tank.contains("elements e1, e2, e3, e4 held by low alarm"),
        "{tank}"
    );
    let pump = said(&harness, "feed of the tower t1");
    assert!(pump.contains("feed pump held by low alarm"), "{pump}");
    // The blower answers to the alarm only through the pump: it goes on over a dry packing.
    let tower = said(&harness, "tower t1");
    assert!(tower.contains("blower used"), "{tower}");
}

/// Strengths of hexavalent chromium are masses of CrO₃ in a litre, and say so.
#[test]
fn strengths_are_marked_with_what_is_weighed() {
    let mut harness = window_with(Options {
        demo_text: SHIPPED[2],
        demo_name: "chromium.ron",
        ..options()
    });
    wait(&mut harness, |s| s.results.figures_are_current());
    let bath = said(&harness, "bath");
    assert!(bath.contains("g/L\u{a0}CrO₃"), "{bath}");
    let labels = labels_drawn(&harness.ctx);
    let has = |part: &str| labels.iter().any(|l| l.text.contains(part));
    assert!(has("000 g/L CrO₃"), "the legend: {labels:?}");
    assert!(!has("Cr6"), "{labels:?}");
}

/// A cooler takes heat out, so that what it gives is below zero; it is used all the same, by the share of its power that the answers tell.
#[test]
fn a_cooler_is_drawn_as_used() {
    let harness = window();
    let line = figures(&harness).line().unwrap();
    let bath = &figures(&harness)
        .scenario
        .loops
        .values()
        .next()
        .unwrap()
        .bath;
    let share = 1e3 * line.bath_cooler_mean_kw / bath.cooler_power.si();
    assert!(share > 0.05, "{share}");
    let bath = said(&harness, "bath");
    let words = format!("bath cooler used, {:.0}\u{a0}% in the mean", 100.0 * share);
    assert!(bath.contains(&words), "{words} in {bath}");
}
