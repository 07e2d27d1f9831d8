//! `dragback report`: what stands in the web page, the spreadsheet and the data, for every shipped scenario in both systems of units.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use std::fs;

use common::{Folder, at, dragback, shipped};
use serde_json::Value;

const SHIPPED: [&str; 6] = [
    "chromium.ron",
    "demo-before.ron",
    "demo.ron",
    "teaching.ron",
    "warm-bath.ron",
    "zinc-barrel.ron",
];

/// What must stand in every report, in this order.
const PARTS: [&str; 12] = [
    "The answer",
    "The line",
    "Where it settles",
    "From the start",
    "Money",
    "Impurities and solubility",
    "Alarms and upset days",
    "Ledger",
    "Cautions",
    "Inputs",
    "Method",
    "Limits of validity",
];

fn written(folder: &Folder, words: &[&str], name: &str) -> String {
    let file = folder.file(name);
    let ran = dragback(&[&["report"], words, &["-o", &file]].concat());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{words:?}");
    fs::read_to_string(&file).expect("the report")
}

/// Every tag that is opened is closed, in the right order; the few that have no content are left out.
fn assert_well_formed(page: &str) {
    let mut open: Vec<&str> = Vec::new();
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        rest = &rest[at..];
        let end = rest.find('>').expect("a tag ends");
        let tag = &rest[1..end];
        let name = |t: &str| t.split([' ', '\n', '/']).next().map_or(0, str::len);
        if let Some(closed) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(closed), "in {}", &rest[..end.min(80)]);
        } else if !tag.starts_with('!') && !tag.ends_with('/') {
            let name = &tag[..name(tag)];
            if !["meta", "br"].contains(&name) {
                open.push(name);
            }
        }
        rest = &rest[end..];
    }
    assert!(open.is_empty(), "{open:?}");
}

#[test]
fn every_shipped_scenario_makes_a_page_that_stands_alone() {
    let folder = Folder::new();
    for (i, name) in SHIPPED.iter().enumerate() {
        for units in ["metric", "us"] {
            let file = shipped(name);
            let page = written(
                &folder,
                &[&file, "--units", units],
                &format!("{i}{units}.html"),
            );
            let what = format!("{name} {units}");
            assert_well_formed(&page);
            let heads: Vec<usize> = PARTS
                .iter()
                .map(|p| {
                    page.find(&format!("<h2>{p}</h2>"))
                        .unwrap_or_else(|| panic!("{what}: {p}"))
                })
                .collect();
            assert!(heads.is_sorted(), "{what}");
            for outside in [
                "<script",
                "src=\"http",
                "href=\"http",
                "url(http",
                "@import",
                "NaN",
                "inf ",
            ] {
                assert!(!page.contains(outside), "{what}: {outside}");
            }
            // The drawing, and at least concentrations, levels, temperatures and water.
            assert!(page.matches("<figure>").count() >= 5, "{what}");
            let foreign = if units == "us" { " °C" } else { " °F" };
            let main = &page[page.find("<main").unwrap_or(0)..];
            let main = &main[..main.find("<h2>Method").unwrap_or(main.len())];
            // People's own words may name any unit.
            let own = ["<h2>The line</h2>", "<h2>Where it settles</h2>"].map(|h| main.find(h));
            if let [Some(from), Some(to)] = own {
                let told = format!("{}{}", &main[..from], &main[to..]);
                let told = told[..told.find("<h2>Inputs</h2>").unwrap_or(told.len())].to_owned();
                assert!(!told.contains(foreign), "{what}: {foreign}");
            }
        }
    }
}

/// Figures of the page are those of the data, and those are the answers of the other commands.
#[test]
fn the_page_tells_what_the_other_commands_find() {
    let folder = Folder::new();
    let (demo, before) = (shipped("demo.ron"), shipped("demo-before.ron"));
    let words = [demo.as_str(), "--against", &before];
    let page = written(&folder, &words, "demo.html");
    let data: Value = serde_json::from_str(&written(&folder, &words, "demo.json")).expect("JSON");
    let settled = common::json(&["settle", &demo]);
    assert_eq!(data["answers"], settled);
    let payback = common::json(&["payback", &before, &demo]);
    for key in [
        "saving_per_year",
        "laid_out",
        "break_even",
        "tornado",
        "lines",
    ] {
        assert_eq!(data["change"][key], payback[key], "{key}");
    }
    let words = payback["in_words"].as_str().expect("words");
    assert!(page.contains(words), "{words}");
    // The rows that were sized are those of `size`.
    let sized = common::json(&["size", &demo, "--final-rinse", "20 mg/L"]);
    let all = sized["rows"].as_array().expect("rows");
    let rows = at(&data, "sizes.0.rows").as_array().expect("rows");
    assert_eq!(rows.len(), 18);
    assert!(rows.iter().all(|row| all.contains(row)));
    assert!(page.contains("<h2>What must be installed</h2>"));
    assert!(page.contains("From the yearly cost before"));
    let csv = written(&folder, &["--against", &before, &demo], "demo.csv");
    assert!(csv.contains("Running cost of a year, EUR"), "{csv}");
    numbers_stand_below(&csv, "year,flow (EUR),", &payback, &["flows", "cumulated"]);
    numbers_behind_the_bars(&csv, &payback);
    // The chapter on the method has the equations of what is told of money.
    for what in [
        "Payback with interest",
        "Internal rate of return",
        "capital recovery",
    ] {
        assert!(page.contains(what), "{what}");
    }
    let note = "a meter that takes a quarter of an hour sees somewhat more";
    assert!(page.contains(note), "no word on the highest demand");
}

/// Whether a table of the spreadsheet with such a head has the numbers of the data, a column for each key behind the first.
fn numbers_stand_below(csv: &str, head: &str, data: &Value, keys: &[&str]) {
    let mut lines = csv.lines().skip_while(|line| !line.starts_with(head));
    assert!(lines.next().is_some(), "no {head}");
    let all = data[keys[0]].as_array().expect("numbers");
    assert!(all.len() > 5, "{all:?}");
    for year in 0..all.len() {
        let row: Vec<f64> = lines
            .next()
            .expect("a row")
            .split(',')
            .map(|cell| cell.parse().expect("a number"))
            .collect();
        for (key, cell) in keys.iter().zip(&row[1..]) {
            let wanted = data[key][year].as_f64().expect("a number");
            assert!(
                (cell - wanted).abs() <= 1e-6 * wanted.abs(),
                "{key} {year}: {cell} {wanted}"
            );
        }
    }
}

/// Whether the spreadsheet has the saving at both ends of each uncertain input.
fn numbers_behind_the_bars(csv: &str, payback: &Value) {
    let mut lines = csv
        .lines()
        .skip_while(|line| !line.contains("saving at the low value (EUR/year)"));
    assert!(lines.next().is_some(), "no savings");
    // What moves it most stands first; equipment moves no saving.
    let span = |swing: &&Value| {
        let [low, high] = ["saving_at_low", "saving_at_high"].map(|key| swing[key].as_f64());
        (high.expect("a number") - low.expect("a number")).abs()
    };
    let all = payback["tornado"].as_array().expect("inputs").iter();
    let saving = payback["saving_per_year"].as_f64().expect("a saving");
    let mut moving: Vec<&Value> = all.filter(|swing| span(swing) > 1e-6 * saving).collect();
    moving.sort_by(|a, b| span(b).total_cmp(&span(a)));
    assert!(moving.len() > 4, "{moving:?}");
    for swing in moving {
        // The name may hold commas of its own.
        let row: Vec<&str> = lines.next().expect("a row").rsplit(',').take(3).collect();
        for (cell, key) in [(row[2], "saving_at_low"), (row[0], "saving_at_high")] {
            let (cell, wanted) = (cell.parse::<f64>().expect("a number"), swing[key].as_f64());
            let wanted = wanted.expect("a number");
            assert!(
                (cell - wanted).abs() <= 1e-6 * wanted.abs(),
                "{key}: {cell} {wanted}"
            );
        }
    }
}

#[test]
fn the_same_inputs_give_the_same_bytes() {
    let folder = Folder::new();
    let demo = shipped("demo.ron");
    for end in ["html", "json", "csv"] {
        let once = written(&folder, &[&demo], &format!("a.{end}"));
        let twice = written(&folder, &[&demo], &format!("b.{end}"));
        assert!(once == twice, "{end}");
    }
}

/// What people enter is text, whatever it looks like.
#[test]
fn what_people_enter_stands_in_the_head_and_is_never_taken_for_markup() {
    let folder = Folder::new();
    let demo = shipped("demo.ron");
    let shop = "<script>alert(1)</script> & \"Sons\"";
    let page = written(
        &folder,
        &[
            &demo,
            "--shop",
            shop,
            "--line",
            "Line 3",
            "--author",
            "A. Writer",
            "--date",
            "2026-05-04",
            "--revision",
            "C",
        ],
        "head.html",
    );
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;Sons&quot;"));
    assert!(!page.contains("<script"));
    for word in ["Line 3", "A. Writer", "2026-05-04", "</span>C<"] {
        assert!(page.contains(word), "{word}");
    }
}

#[test]
fn figures_are_files_of_their_own_where_asked() {
    let folder = Folder::new();
    let demo = shipped("demo.ron");
    let page = folder.file("r.html");
    let figures = folder.path().join("figures");
    // It is made where there is none.
    let figures = figures.display().to_string();
    let ran = dragback(&["report", &demo, "-o", &page, "--figures", &figures]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let names: Vec<String> = fs::read_dir(&figures)
        .expect("figures")
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    assert!(names.contains(&"line.svg".to_owned()), "{names:?}");
    assert!(
        names.contains(&"loop-concentrations.svg".to_owned()),
        "{names:?}"
    );
    for name in names {
        let text = fs::read_to_string(format!("{figures}/{name}")).expect("a figure");
        assert!(text.starts_with("<svg xmlns"), "{name}");
    }
}

#[test]
fn what_cannot_be_written_is_told_before_anything_is_worked_out() {
    let folder = Folder::new();
    let demo = shipped("demo.ron");
    let odd = folder.file("report.docx");
    for (more, wanted) in [
        (
            vec!["-o", odd.as_str()],
            "ends in .html, .pdf, .csv or .json",
        ),
        (vec!["-o", "-"], "ends in .html, .pdf, .csv or .json"),
        (vec!["-o", "/nowhere/a.html"], "there is no folder /nowhere"),
        (
            vec!["-o", "a.html", "--figures", "/no/where"],
            "the folder could not be made",
        ),
        (vec!["-o", "a.pdf"], "built without PDF files"),
        (vec!["-o", "a.html", "--final-rinse", "20"], "--final-rinse"),
        (
            vec!["-o", "a.html", "--within", "0 years"],
            "give 0.1 to 100 years",
        ),
    ] {
        let ran = dragback(&[vec!["report", demo.as_str()], more.clone()].concat());
        assert_eq!(ran.code, 2, "{more:?}");
        assert!(ran.err.contains(wanted), "{more:?}: {}", ran.err);
    }
    assert!(folder.names().is_empty(), "{:?}", folder.names());
}

/// A line without prices has no money, and says so; one with prices in another currency has no payback.
#[test]
fn missing_prices_are_told_in_words() {
    let folder = Folder::new();
    let line = common::line();
    let page = written(&folder, &[&line], "plain.html");
    assert!(page.contains("No answer in money: "), "no words");
    let demo = shipped("demo.ron");
    let text = fs::read_to_string(shipped("demo-before.ron")).expect("the scenario");
    let other = folder.file("dollars.ron");
    let text = text
        .replace("currency: \"EUR\"", "currency: \"USD\"")
        .replace(" EUR", " USD");
    fs::write(&other, text).expect("written");
    let page = written(&folder, &[&demo, "--against", &other], "dollars.html");
    assert!(page.contains("give both in one currency"), "no words");
}
