//! One question of each person for whom the window is made, up to the sentence or figure that answers it.

use std::sync::Arc;

use dragback_gui::command::Command;
use dragback_gui::lessons::LESSONS;
use dragback_gui::number::three;
use dragback_plant::TowerCache;
use dragback_study::{AirChoice, Case, Depth, Hours, LoopAnswer, settled_answers};
use egui::accesskit::Role;
use egui_kittest::kittest::{NodeT, Queryable};

use crate::common::{DEMO, TempFile, has_text, shown_answer, take, texts, type_into, wait, window};
use crate::press;

const BEFORE: &str = include_str!("../../../../scenarios/demo-before.ron");

/// The settled answer of a text, computed without the window.
fn answer_of(text: &str) -> LoopAnswer {
    let scenario = Arc::new(dragback_scenario::load(text).0.unwrap());
    let case = Case::new(scenario, &TowerCache::default()).unwrap();
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    let settled = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
    settled.answers.loops[0].clone()
}

/// A supervisor asks: can I cut this rinse by a third?
#[test]
fn whether_a_rinse_can_be_cut_by_a_third() {
    let mut harness = window();
    type_into(&mut harness, "Rinse rate", "63.3 L/h");
    wait(&mut harness, |s| s.results.figures_are_current());
    let direct = answer_of(&DEMO.replacen("\"95 L/h\"", "\"63.3 L/h\"", 1));
    let rinse = &direct.final_rinse;
    let limit = rinse.limit_mg_per_l.unwrap();
    assert!(rinse.film_mg_per_l > limit, "the demo cannot bear it");
    // Three rinses in counterflow: a third less water makes the last one about 1.5³ times as strong.
    let times = rinse.film_mg_per_l / answer_of(DEMO).final_rinse.film_mg_per_l;
    assert!((2.8..4.0).contains(&times), "{times}");
    let answer = format!(
        "The final rinse is at {}\u{a0}mg/L, over its limit of {}\u{a0}mg/L.",
        three(rinse.film_mg_per_l, 1),
        three(limit, 1)
    );
    assert!(
        has_text(&harness, &answer),
        "{answer} {:?}",
        texts(&harness)
    );
    // How far it can be cut is said beneath, and doing so keeps the limit.
    wait(&mut harness, |s| s.results.advice().is_some());
    let first = harness.get_all_by_role(Role::Button).find_map(|b| {
        let label = b.accesskit_node().label()?;
        label.starts_with("Apply: ").then_some(label)
    });
    let first = first.unwrap();
    harness.get_by_label(&first).click();
    harness.run_steps(3);
    wait(&mut harness, |s| s.results.figures_are_current());
    let now = shown_answer(&harness);
    assert!(now.final_rinse.film_mg_per_l <= limit, "{first}");
    assert!(
        !has_text(&harness, "over its limit"),
        "{:?}",
        texts(&harness)
    );
}

/// A consultant asks: what does this shop lose a year, and what would recovery return?
#[test]
fn what_a_shop_loses_a_year_and_what_recovery_returns() {
    let (open, closed) = (
        TempFile::new("open-shop.ron", BEFORE),
        TempFile::new("closed-shop.ron", DEMO),
    );
    let mut harness = window();
    harness.state_mut().ask(Command::OpenPath(open.0.clone()));
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "open-shop.ron")
            && s.results.figures_are_current()
    });
    let (shop, recovered) = (answer_of(BEFORE), answer_of(DEMO));
    let lost = |a: &LoopAnswer| a.lost_kg_per_day["Ni"];
    let a_year = |a: &LoopAnswer| {
        let worth = a.lost_worth.as_ref().unwrap();
        (
            worth.per_year,
            format!(
                "{}\u{a0}{} a year",
                three(worth.per_year, 2),
                worth.currency
            ),
        )
    };
    let figure = |h: &crate::Window| {
        let all = texts(h);
        let found = all.iter().find(|t| t.starts_with("Nickel lost for good: "));
        found.unwrap().replace('\u{a0}', " ")
    };
    let plain = |words: String| words.replace('\u{a0}', " ");
    // What it loses: the metal of a day and the money of a year.
    let said = figure(&harness);
    let kg = format!("{} kg a day", three(lost(&shop), 2));
    assert!(said.contains(&kg), "{kg} in {said}");
    assert!(said.contains(&plain(a_year(&shop).1)), "{said}");
    // By hand: drag-out of 4.8 L/h of a bath with 75 g/L for 80 of 168 h is 4.1 kg a day.
    let by_hand = 4.8 * 0.075 * 80.0 / 7.0;
    assert!(
        (lost(&shop) / by_hand - 1.0).abs() < 0.02,
        "{}",
        lost(&shop)
    );
    // What recovery leaves of that: the closed line beside it.
    harness
        .state_mut()
        .ask(Command::ReferencePath(closed.0.clone()));
    wait(&mut harness, |s| s.pinned.is_some());
    harness.run_steps(3);
    let said = figure(&harness);
    let was = format!("was {} mg a day", three(1e6 * lost(&recovered), 2));
    assert!(said.contains(&was), "{was} in {said}");
    assert!(has_text(
        &harness,
        "“was” (pale dashes) is closed-shop.ron ("
    ));
    // And as its own line, with its money.
    harness.state_mut().ask(Command::OpenPath(closed.0.clone()));
    wait(&mut harness, |s| {
        s.document
            .as_ref()
            .is_some_and(|d| d.origin.name == "closed-shop.ron")
            && s.results.figures_are_current()
    });
    let said = figure(&harness);
    assert!(said.contains(&plain(a_year(&recovered).1)), "{said}");
    let returned = a_year(&shop).0 - a_year(&recovered).0;
    assert!(returned > 0.999 * a_year(&shop).0, "{returned}");
}

/// A trainee asks: why does one more rinse save so much water?
#[test]
fn why_one_more_rinse_saves_so_much_water() {
    let mut harness = window();
    harness.set_size(egui::vec2(1280.0, 1000.0));
    let before = shown_answer(&harness);
    harness.get_by_label("Help").click();
    harness.run_steps(3);
    let lesson = LESSONS[2];
    harness
        .get_by_role_and_label(Role::Button, lesson.name)
        .click();
    harness.run_steps(3);
    for (n, step) in lesson.steps.iter().enumerate() {
        // Said before it is seen.
        press(&mut harness, step.choices[0].words);
        take(&mut harness, step);
        assert!(has_text(&harness, step.why), "{:?}", texts(&harness));
        if n + 1 < lesson.steps.len() {
            harness.get_by_label("Next step").click();
            harness.run_steps(4);
        }
    }
    // The last sentence says it; the figures bear it out.
    assert!(has_text(
        &harness,
        "the work leaves cleaner than at first, with two fifths of the water saved"
    ));
    let after = shown_answer(&harness);
    assert!(after.final_rinse.film_mg_per_l < before.final_rinse.film_mg_per_l);
    let saved = 1.0 - after.rinse_feed_l_per_h / before.rinse_feed_l_per_h;
    assert!((saved - 0.4).abs() < 0.01, "{saved}");
}
