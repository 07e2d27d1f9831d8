//! Reports and drawings that the window writes: they tell the line as it stands, and the head that people enter is part of the line.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use std::path::PathBuf;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::document::Setting;
use dragback_gui::export::{Export, Picture};
use dragback_gui::handover::{ReportAsked, ReportKind};
use dragback_gui::page::Page;
use dragback_report::{Document, Paper};
use dragback_study::curves::Kind;
use egui::accesskit::Toggled;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use common::{
    has_text, is_dirty, opened, options, press, set_lever, type_into, wait, window, window_with,
};

fn place(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("dragback-handover-{}", std::process::id()));
    folder.join(name)
}

fn written(harness: &mut Harness<'_, App>, what: Export, name: &str) -> String {
    let path = place(name);
    harness
        .state_mut()
        .ask(Command::ExportTo(what, path.clone()));
    wait(harness, |s| s.notice.is_some());
    let notice = harness.state().state().notice.clone().unwrap();
    assert!(!notice.is_bad, "{}", notice.text);
    harness.state_mut().ask(Command::CloseNotice);
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::remove_file(&path).unwrap();
    text
}

const fn asked(kind: ReportKind) -> Export {
    Export::Report(ReportAsked {
        kind,
        is_against: true,
        has_sizes: false,
    })
}

#[test]
fn the_head_is_part_of_the_line_and_can_be_undone() {
    let mut harness = window();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::R);
    harness.run_steps(3);
    assert!(has_text(&harness, "Prepared by"));
    type_into(&mut harness, "Shop", "Corner shop & sons");
    type_into(&mut harness, "Revision", "B");
    let block = opened(&harness).scenario.title_block.clone().unwrap();
    assert_eq!(block.shop.as_deref(), Some("Corner shop & sons"));
    assert_eq!(block.revision.as_deref(), Some("B"));
    assert!(is_dirty(&harness));
    let text = written(&mut harness, asked(ReportKind::Page), "head.html");
    assert!(text.contains("Corner shop &amp; sons"));
    // An emptied field is taken away; the steps can be taken back.
    type_into(&mut harness, "Revision", " ");
    let block = opened(&harness).scenario.title_block.clone().unwrap();
    assert_eq!(block.revision, None);
    for _ in 0..3 {
        harness.state_mut().ask(Command::Undo);
        harness.run_steps(2);
    }
    let now = opened(&harness).scenario.title_block.clone();
    let begun = dragback_scenario::load(common::DEMO).0.unwrap().title_block;
    assert_eq!(now, begun);
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert!(harness.state().state().page.is_none());
}

/// What is pinned is what a report is set against; figures are those of the line as it stands, not of the file.
#[test]
fn a_report_tells_the_line_as_it_stands_against_what_is_kept() {
    let mut harness = window();
    harness.state_mut().ask(Command::Pin);
    harness.run_steps(2);
    set_lever(
        &mut harness,
        "loop.sections.rinses.flow",
        Setting::Text("80 L/h".to_owned()),
    );
    let line = common::shown_answer(&harness);
    let text = written(&mut harness, asked(ReportKind::Data), "data.json");
    let data: serde_json::Value = serde_json::from_str(&text).unwrap();
    let told = &data["answers"]["loops"][0]["rinse_feed_l_per_h"];
    assert!((told.as_f64().unwrap() - line.rinse_feed_l_per_h).abs() < 1e-9);
    assert!(
        data["change"]["saving_per_year"].is_number(),
        "nothing is set against it"
    );
    let page = written(&mut harness, asked(ReportKind::Page), "page.html");
    assert!(page.contains("Against "), "no word of the change");
    let sheet = written(&mut harness, asked(ReportKind::Sheet), "sheet.csv");
    assert!(sheet.contains("Running cost of a year, EUR"));
}

/// The program that was built with PDF files hands their maker in; without one the button says why it rests.
#[test]
fn pdf_files_are_made_by_what_the_program_was_built_with() {
    fn maker(document: &Document, paper: Paper) -> Result<Vec<u8>, String> {
        Ok(format!("{} {paper:?}", document.title).into_bytes())
    }
    let mut with = options();
    with.pdf = Some(maker);
    let mut harness = window_with(with);
    wait(&mut harness, |s| s.results.figures_are_current());
    let text = written(&mut harness, asked(ReportKind::Pdf), "made.pdf");
    assert_eq!(text, "Bright nickel rack line with a closed rinse loop A4");
    let mut harness = window();
    harness
        .state_mut()
        .ask(Command::ShowPage(Some(Page::Report)));
    harness.run_steps(3);
    let button = harness.get_by_label("PDF file…");
    assert!(button.accesskit_node().is_disabled());
    press(&mut harness, "Back to the line");
}

/// Every plot as lines: it parses, and names of curves and marks stand in it as texts.
#[test]
fn plots_and_the_window_are_written_as_lines_and_texts() {
    let mut harness = window();
    // Names of curves stand where plots have the room for them.
    let plots = vec![Kind::Temperature, Kind::Level];
    harness.state_mut().ask(Command::ShowPlots(Some(plots)));
    harness.run_steps(4);
    for (picture, wanted) in [
        (Picture::Plot(Kind::Temperature), ["bath", "days"]),
        (Picture::Plot(Kind::Level), ["collection tank", "days"]),
        (Picture::Window, ["Dragback", "holding tank"]),
    ] {
        let text = written(&mut harness, Export::Drawing(picture), "drawing.svg");
        let document = roxmltree::Document::parse(&text).unwrap();
        let texts: Vec<&str> = document
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .filter_map(|n| n.text())
            .collect();
        for word in wanted {
            assert!(
                texts.iter().any(|t| t.contains(word)),
                "{picture:?}: {word} in {texts:?}"
            );
        }
        let lines = document
            .descendants()
            .filter(|n| n.has_tag_name("polyline") || n.has_tag_name("line"));
        assert!(lines.count() > 10, "{picture:?}");
    }
}

/// Without a state to tell a change from, the box that asks for one is not ticked; with one it is.
#[test]
fn a_change_is_asked_for_only_where_there_is_one() {
    let mut harness = window();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::R);
    harness.run_steps(3);
    let ticked = |h: &Harness<'_, App>, name: &str| {
        let is_box = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
            n.toggled().is_some() && n.label().is_some_and(|l| l.starts_with(name))
        };
        h.get_by(is_box).accesskit_node().toggled()
    };
    let name = "What a change brings";
    assert_eq!(ticked(&harness, name), Some(Toggled::False));
    harness.state_mut().ask(Command::Pin);
    harness.run_steps(3);
    let name = "What the change brings against";
    assert_eq!(ticked(&harness, name), Some(Toggled::True));
}
