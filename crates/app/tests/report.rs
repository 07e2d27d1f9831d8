//! A report as the built program writes it: the figures on its pages are those of its data, and two runs write the same bytes.

#![cfg(feature = "pdf")]
#![allow(clippy::expect_used, reason = "a test that cannot go on has failed")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use dragback_report::told::money::whole;
use dragback_report::{Show, System};
use serde_json::Value;

fn shipped(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../scenarios")
        .join(name)
}

/// Writes the report of the demo against the line before recovery.
fn write(name: &str, units: &str) -> Vec<u8> {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("reports");
    fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join(name);
    let ran = Command::new(env!("CARGO_BIN_EXE_dragback"))
        .args(["report", "--units", units, "--author", "A. Writer"])
        .arg(shipped("demo.ron"))
        .arg("--against")
        .arg(shipped("demo-before.ron"))
        .arg("-o")
        .arg(&file)
        .output()
        .expect("it starts");
    assert_eq!(
        ran.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    fs::read(file).expect("the report")
}

/// A text without spaces, line ends and places to break.
fn dense(text: &str) -> String {
    let is_kept = |c: &char| !c.is_whitespace() && *c != '\u{200b}';
    text.chars().filter(is_kept).collect()
}

#[test]
fn figures_on_the_pages_are_those_of_the_data() {
    for (units, system) in [("metric", System::Metric), ("us", System::Us)] {
        let data: Value =
            serde_json::from_slice(&write(&format!("demo-{units}.json"), units)).expect("JSON");
        let bytes = write(&format!("demo-{units}.pdf"), units);
        let file = lopdf::Document::load_mem(&bytes).expect("a PDF file");
        let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
        assert!((10..40).contains(&numbers.len()), "{} pages", numbers.len());
        let text = dense(&file.extract_text(&numbers).expect("the text of its pages"));
        let show = Show::in_units(system);
        let line = &data["answers"]["loops"][0];
        let number = |value: &Value| value.as_f64().expect("a number");
        let change = &data["change"];
        for (what, told) in [
            ("title", data["title"].as_str().expect("a title").to_owned()),
            ("author", "A. Writer".to_owned()),
            (
                "film",
                show.rinse(number(&line["final_rinse"]["film_mg_per_l"])),
            ),
            ("lost", show.per_day(number(&line["lost_kg_per_day"]["Ni"]))),
            (
                "margin",
                show.flow(number(&line["closure_margin_l_per_h"]["week"])),
            ),
            (
                "worst month",
                show.flow(number(&line["closure_margin_l_per_h"]["worst_month"])),
            ),
            ("heaters", show.power(number(&line["heater_mean_kw"]))),
            ("saving", whole(number(&change["saving_per_year"]), "EUR")),
            ("payback", show.years(number(&change["simple"]))),
            (
                "present value",
                whole(number(&change["net_present_value"]), "EUR"),
            ),
        ] {
            assert!(text.contains(&dense(&told)), "{units}: no {what} {told:?}");
        }
    }
}

#[test]
fn two_runs_write_the_same_bytes() {
    for name in ["again.pdf", "again.html", "again.csv", "again.json"] {
        let [once, twice] = [0, 1].map(|_| write(name, "metric"));
        assert!(once == twice, "{name}");
    }
}
