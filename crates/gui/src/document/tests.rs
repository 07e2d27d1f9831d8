//! Levers, undo and what is remembered of a file.

use super::*;
use dragback_units::dim;

const DEMO: &str = include_str!("../../../../scenarios/demo.ron");

fn demo() -> Document {
    Document::read(DEMO, Origin::default(), 1).unwrap()
}

#[test]
fn the_demo_has_three_levers() {
    let document = demo();
    let roles: Vec<Role> = document.levers.iter().filter_map(|l| l.role).collect();
    assert_eq!(roles, Role::ALL);
    assert!(
        document
            .levers
            .iter()
            .all(|l| l.si == l.file_si && l.hint.len() > 20)
    );
}

#[test]
fn heat_taken_to_nothing_and_back_leaves_no_trace() {
    let mut document = demo();
    let heat = document.levers[2].clone();
    document.change(&heat.path, Setting::Si(0.0), 1).unwrap();
    assert!(document.is_changed(&heat.path));
    document
        .change(&heat.path, Setting::Si(heat.si), 2)
        .unwrap();
    assert!((document.levers[2].si - heat.si).abs() < 1e-9 * heat.si);
    document.restore(&heat.path, 3).unwrap();
    assert_eq!(document.scenario, demo().scenario);
    assert!(!document.is_dirty());
}

#[test]
fn a_typed_value_keeps_its_text_and_a_bad_one_changes_nothing() {
    let mut document = demo();
    let rinse = document.levers[1].path.clone();
    document
        .change(&rinse, Setting::Text("25 gal/h".to_owned()), 1)
        .unwrap();
    assert_eq!(document.levers[1].text, "25 gal/h");
    let si = dragback_units::Quantity::<dim::VolumeFlow>::parse("25 gal/h")
        .unwrap()
        .si();
    assert_eq!(document.levers[1].si, si);
    for bad in ["25 °C", "much", "-5 L/h"] {
        assert!(
            document
                .change(&rinse, Setting::Text(bad.to_owned()), 2)
                .is_err(),
            "{bad}"
        );
        assert_eq!(document.levers[1].text, "25 gal/h");
    }
    assert_eq!(
        document.changed_texts(),
        vec![(rinse, "25 gal/h".to_owned())]
    );
}

#[test]
fn undo_takes_back_whole_drags_and_saving_is_remembered() {
    let mut document = demo();
    let first = Arc::clone(&document.scenario);
    let rinse = document.levers[1].path.clone();
    let set_point = "loop.holding_tank.set_point";
    for step in 1..=5 {
        let si = document.levers[1].file_si * (1.0 + 0.1 * f64::from(step));
        document.change(&rinse, Setting::Si(si), 7).unwrap();
    }
    document
        .change(set_point, Setting::Text("60 °C".to_owned()), 8)
        .unwrap();
    let text = document.text();
    document.note_saved(Origin::default());
    assert!(!document.is_dirty() && !document.levers[1].is_moved());
    assert_eq!(document.undo().as_deref(), Some(set_point));
    assert!(document.is_dirty());
    assert!(!document.levers[1].is_moved());
    assert_eq!(document.undo().as_deref(), Some(rinse.as_str()));
    // The file holds what was saved.
    assert!((1.5 * document.levers[1].si / document.levers[1].file_si - 1.0).abs() < 1e-9);
    assert_eq!(document.scenario, first);
    assert_eq!(document.undo(), None);
    assert!(document.redo().is_some() && document.redo().is_some());
    assert_eq!(document.text(), text);
    assert!(!document.is_dirty());
}

#[test]
fn restored_changes_are_unsaved_and_one_undo_from_what_was_saved() {
    let mut document = demo();
    let rinse = document.levers[1].path.clone();
    document
        .change(&rinse, Setting::Text("25 gal/h".to_owned()), 1)
        .unwrap();
    let (saved, text) = (document.saved_text(), document.text());
    let mut back = Document::restored(&saved, &text, Origin::default(), 2).unwrap();
    assert!(back.is_dirty());
    assert_eq!(back.scenario, document.scenario);
    assert!(back.undo().is_some());
    assert_eq!(back.text(), saved);
    let alone = Document::restored("broken", &text, Origin::default(), 3).unwrap();
    assert!(alone.is_dirty());
    assert_eq!(alone.text(), text);
    assert!(Document::restored(&saved, "broken", Origin::default(), 4).is_err());
}

#[test]
fn every_input_is_a_control_with_a_name_of_its_own() {
    let document = demo();
    let mut names: Vec<&str> = document.controls.iter().map(Control::name).collect();
    assert_eq!(names.len(), Registry::of(&document.scenario).len());
    names.sort_unstable();
    let twice: Vec<_> = names.windows(2).filter(|w| w[0] == w[1]).collect();
    assert!(twice.is_empty(), "{twice:?}");
    for group in Group::SHOWN {
        let standing = document
            .controls
            .iter()
            .filter(|c| c.group() == group && c.stands_in_group());
        let count = standing.count();
        assert!((1..=60).contains(&count), "{count} in {}", group.name());
    }
}

/// A hint says what an input is and what moving it does.
#[test]
fn the_main_levers_of_every_line_say_what_moving_them_does() {
    for template in crate::templates::TEMPLATES {
        let mut document = Document::read(template.text, Origin::default(), 1).unwrap();
        for (key, _) in document.loops() {
            document.choose_loop(&key);
            for lever in &document.levers {
                let sentences = lever.hint.matches(['.', ';']).count();
                assert!(sentences > 1, "{}: {}", lever.path, lever.hint);
            }
        }
    }
}

#[test]
fn of_several_sections_the_rinse_rate_says_which_it_moves() {
    let name = |text: &str| {
        let document = Document::read(text, Origin::default(), 1).unwrap();
        let mut levers = document.levers.iter();
        let found = levers.find(|l| l.role == Some(Role::RinseRate));
        found.unwrap().name.clone()
    };
    let chromium = include_str!("../../../../scenarios/chromium.ron");
    assert_eq!(name(chromium), "Rinse rate, recovery");
    assert_eq!(name(DEMO), "Rinse rate");
}
