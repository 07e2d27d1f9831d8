//! What is written to files: the numbers are those on screen, pictures are asked of the screen, and what cannot be written is told.

#![expect(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

mod common;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use dragback_gui::App;
use dragback_gui::command::Command;
use dragback_gui::export::{Export, Picture};
use dragback_gui::ledger::Back;
use dragback_gui::results::Standing;
use dragback_gui::sweep::{Figure, SweepChoice};
use dragback_study::curves::Kind;
use dragback_units::System;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use common::{has_text, shown_answer, wait, window};

fn place(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("dragback-export-{}", std::process::id()));
    folder.join(name)
}

fn written(harness: &mut Harness<'_, App>, what: Export, name: &str) -> Vec<u8> {
    let path = place(name);
    harness
        .state_mut()
        .ask(Command::ExportTo(what, path.clone()));
    wait(harness, |s| s.notice.is_some());
    let notice = harness.state().state().notice.clone().unwrap();
    assert!(!notice.is_bad, "{}", notice.text);
    assert!(notice.text.contains(name), "{}", notice.text);
    harness.state_mut().ask(Command::CloseNotice);
    let bytes = std::fs::read(&path).unwrap();
    std::fs::remove_file(&path).unwrap();
    bytes
}

fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(bytes);
    let each = reader.records().map(|row| {
        let row = row.unwrap();
        row.iter().map(str::to_owned).collect()
    });
    each.collect()
}

#[test]
fn tables_hold_what_is_on_screen_in_the_units_shown() {
    let mut harness = window();
    wait(&mut harness, |s| s.results.standing() == Standing::Exact);
    let line = shown_answer(&harness);
    for (system, unit) in [(System::Metric, "L/h"), (System::Us, "gal/h")] {
        harness.state_mut().ask(Command::SetSystem(system));
        let figures = rows(&written(&mut harness, Export::Figures, "figures.csv"));
        assert_eq!(figures[0], ["figure", "settled week", "unit"]);
        let margin = figures.iter().find(|r| r[0] == "Closure margin").unwrap();
        assert_eq!(margin[2], unit);
        let told: f64 = margin[1].parse().unwrap();
        let litres = line.closure_margin_l_per_h.as_ref().unwrap().week;
        // 3.785 411 784 L are a gallon (NIST SP 811, B.8).
        let wanted = match system {
            System::Metric => litres,
            System::Us => litres / 3.785_411_784,
        };
        assert!(
            (told - wanted).abs() <= 1e-8 * wanted.abs(),
            "{told} {wanted}"
        );
        let film = figures.iter().find(|r| r[0] == "Final rinse").unwrap();
        assert_eq!(film[2], "mg/L");
        let told: f64 = film[1].parse().unwrap();
        let wanted = line.final_rinse.film_mg_per_l;
        assert!((told - wanted).abs() <= 1e-8 * wanted);
    }
    harness.state_mut().ask(Command::SetSystem(System::Metric));
    let levels = rows(&written(
        &mut harness,
        Export::Plot(Kind::Level),
        "levels.csv",
    ));
    let set = Arc::clone(harness.state().state().results.curves().unwrap());
    let series = &set.plots[1].series;
    assert_eq!(levels[0].len(), 1 + series.len());
    for (head, series) in levels[0][1..].iter().zip(series) {
        assert_eq!(*head, format!("{} (m)", series.name));
    }
    let last = levels.last().unwrap();
    let wanted = series[0].points.last().unwrap();
    assert!((last[0].parse::<f64>().unwrap() - wanted[0]).abs() < 1e-5);
    assert!((last[1].parse::<f64>().unwrap() - wanted[1]).abs() < 1e-8);
    let all = rows(&written(&mut harness, Export::Curves, "all.csv"));
    let count: usize = set.plots.iter().map(|p| p.series.len()).sum();
    assert_eq!(all[0].len(), 1 + count);
    assert!(all.len() > 1000);
}

#[test]
fn answers_are_json_and_the_ledger_balances_in_its_table() {
    let mut harness = window();
    let json = written(&mut harness, Export::Answers, "answers.json");
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let film = json["loops"][0]["final_rinse"]["film_mg_per_l"]
        .as_f64()
        .unwrap();
    assert_eq!(film, shown_answer(&harness).final_rinse.film_mg_per_l);
    let table = rows(&written(
        &mut harness,
        Export::Ledger(Back::Settled),
        "ledger.csv",
    ));
    let water = |side: &str, is_all: bool| -> f64 {
        let of = |r: &&Vec<String>| r[1] == "Water" && r[2] == side && (r[3] == "all") == is_all;
        let each = table
            .iter()
            .filter(of)
            .map(|r| r[4].parse::<f64>().unwrap());
        each.sum()
    };
    let (came, went, held) = (water("in", true), water("out", true), water("held", false));
    // Nine digits are written.
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-7 * came;
    assert!(came > 0.0 && near(water("in", false), came) && near(water("out", false), went));
    assert!(near(came - went, held), "{came} {went} {held}");
}

#[test]
fn settled_answers_are_written_when_their_plot_is_out_and_refused_before() {
    let mut harness = window();
    let path = place("sweep.csv");
    harness
        .state_mut()
        .ask(Command::ExportTo(Export::Sweep, path.clone()));
    let notice = harness.state().state().notice.clone().unwrap();
    assert!(
        notice.is_bad && notice.text.contains("settled answers first"),
        "{}",
        notice.text
    );
    assert!(!path.exists());
    harness.state_mut().ask(Command::CloseNotice);
    harness
        .state_mut()
        .ask(Command::SetSweep(Some(SweepChoice::default())));
    wait(&mut harness, |s| {
        s.results.sweep().is_some_and(|w| w.is_whole())
    });
    let table = rows(&written(&mut harness, Export::Sweep, "sweep.csv"));
    assert_eq!(table[0][0], "Heat input (kW)");
    assert_eq!(table[0][1], "Closure margin (L/h)");
    let sweep = Arc::clone(harness.state().state().results.sweep().unwrap());
    assert_eq!(table.len(), 1 + sweep.points.len());
    let rows = table[1..].iter().filter(|r| !r[1].is_empty());
    let values = sweep.values(Figure::ClosureMargin);
    assert!(values.len() > 10);
    assert_eq!(rows.clone().count(), values.len());
    for (row, [heat_w, margin_m3_per_s]) in rows.zip(values) {
        // Nine digits are written; a cubic metre a second is 3.6e6 L/h.
        for (told, wanted) in [(&row[0], heat_w / 1e3), (&row[1], 3.6e6 * margin_m3_per_s)] {
            let told: f64 = told.parse().unwrap();
            assert!(
                (told - wanted).abs() <= 1e-8 * wanted.abs(),
                "{told} {wanted}"
            );
        }
    }
}

#[test]
fn a_picture_is_asked_of_the_screen_and_cut_to_its_plot() {
    let mut harness = window();
    let path = place("levels.png");
    let picture = Export::Picture(Picture::Plot(Kind::Level));
    harness.state_mut().ask(Command::SetDrawingShare(0.0));
    harness
        .state_mut()
        .ask(Command::ShowPlots(Some(vec![Kind::Level])));
    harness.run_steps(3);
    harness
        .state_mut()
        .ask(Command::ExportTo(picture, path.clone()));
    let [wide, high] = [1280_usize, 720];
    let image = egui::ColorImage::filled([wide, high], egui::Color32::from_rgb(1, 2, 3));
    let mut taken = false;
    for _ in 0..400 {
        harness.run_steps(1);
        let viewport = harness.output().viewport_output.values().next().unwrap();
        for command in &viewport.commands {
            if let egui::ViewportCommand::Screenshot(callback) = command {
                callback.clone().complete(Arc::new(image.clone()));
                taken = true;
            }
        }
        if harness.state().state().notice.is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert!(taken);
    // The notice is measured in one frame and seen in the next.
    harness.run_steps(1);
    assert!(has_text(&harness, "Written to levels.png."));
    let file = std::fs::File::open(&path).unwrap();
    let reader = png::Decoder::new(std::io::BufReader::new(file))
        .read_info()
        .unwrap();
    let info = reader.info();
    assert!(
        info.width > 600 && (info.width as usize) < wide,
        "{}",
        info.width
    );
    assert!(
        info.height > 150 && (info.height as usize) < high,
        "{}",
        info.height
    );
    std::fs::remove_file(path).unwrap();
}

#[test]
fn what_cannot_be_written_is_told() {
    let mut harness = window();
    harness
        .state_mut()
        .ask(Command::ShowPlots(Some(vec![Kind::Level])));
    harness.run_steps(3);
    let hidden = Export::Picture(Picture::Plot(Kind::Heat));
    harness
        .state_mut()
        .ask(Command::ExportTo(hidden, place("heat.png")));
    wait(&mut harness, |s| s.notice.is_some());
    let notice = harness.state().state().notice.clone().unwrap();
    assert!(
        notice.is_bad && notice.text.contains("not in sight"),
        "{}",
        notice.text
    );
    harness.state_mut().ask(Command::CloseNotice);
    // A file stands where a folder should be.
    let file = common::TempFile::new("a file", "kept");
    let path = file.0.join("figures.csv");
    harness
        .state_mut()
        .ask(Command::ExportTo(Export::Figures, path));
    wait(&mut harness, |s| s.notice.is_some());
    let notice = harness.state().state().notice.clone().unwrap();
    assert!(
        notice.is_bad && notice.text.contains("was not written"),
        "{}",
        notice.text
    );
    assert_eq!(std::fs::read_to_string(&file.0).unwrap(), "kept");
}

#[test]
fn the_menu_offers_everything() {
    let mut harness = window();
    harness.get_by_label("File").click();
    harness.run_steps(3);
    harness.get_by_label_contains("Write to a file").click();
    harness.run_steps(3);
    for name in [
        "Key figures (CSV)…",
        "All answers (JSON)…",
        "All curves (CSV)…",
        "Settled answers (CSV)…",
        "Window (PNG)…",
    ] {
        harness.get_by_label(name);
    }
    assert!(!Path::new("key-figures.csv").exists());
}
