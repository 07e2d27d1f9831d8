//! How long it takes to come to a decision: the table of layouts, a report as a web page, and a window in which a price is dragged or a dozen variants
//! stand beside the line.
//!
//! Tables and reports use all cores, as they do in the program. Prints a table; with `--check` it exits with 1 when anything is over its limit many
//! times (see `dragback_bench::too_long`).

#![expect(
    clippy::print_stdout,
    reason = "a table on the terminal is what this program is for"
)]

use std::hint::black_box;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use dragback_bench::{Outcome, Window, ms, percentile, too_long};
use dragback_gui::command::{Command, NameFor, VariantCommand};
use dragback_gui::document::Setting;
use dragback_gui::prefs::Shown;
use dragback_plant::TowerCache;
use dragback_report::{Findings, Show, System, Wanted, compose, html};
use dragback_scenario::{Scenario, load};
use dragback_study::size::{self, Part, Sizing};

/// Limits: s for tables and reports, ms for what follows a hand.
const TABLE_S: f64 = 3.0;
const PAGE_S: f64 = 1.0;
const PRICE_MS: f64 = 16.0;
const FRAME_MS: f64 = 16.0;
/// Variants beside the line.
const VARIANTS: usize = 12;
/// Times that each table and report is made; the fastest counts, since what else the machine does can only slow it.
const TIMES: usize = 3;

fn shipped(name: &str) -> Outcome<Arc<Scenario>> {
    let path = scenarios().join(name);
    let text = std::fs::read_to_string(&path)?;
    let scenario = load(&text).0;
    Ok(Arc::new(
        scenario.ok_or_else(|| format!("{name} is broken"))?,
    ))
}

fn scenarios() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../scenarios")
}

fn fastest_s(mut work: impl FnMut() -> Outcome<()>) -> Outcome<f64> {
    let mut fastest = f64::INFINITY;
    for _ in 0..TIMES {
        let began = Instant::now();
        work()?;
        fastest = fastest.min(began.elapsed().as_secs_f64());
    }
    Ok(fastest)
}

/// The whole table of layouts of each loop, and how far the line as it is still closes.
fn table(scenario: &Scenario) -> Outcome<()> {
    for (key, limit) in Wanted::own_limits(scenario) {
        let sizing = Sizing::new(scenario, &key, limit, &TowerCache::default())?;
        let mut rows = 0;
        let take = |part| {
            if let Part::Rows(more) = part {
                rows += more.len();
            }
        };
        size::table(scenario, &sizing, take, |_| true)?;
        if rows != 108 {
            return Err(format!("{rows} layouts of 108").into());
        }
    }
    Ok(())
}

fn page(scenario: &Arc<Scenario>, before: Option<&Arc<Scenario>>) -> Outcome<()> {
    let wanted = Wanted {
        scenario: Arc::clone(scenario),
        before: before.cloned(),
        within_years: 2.0,
        limits: Wanted::own_limits(scenario),
        all_layouts: false,
    };
    let findings = Findings::of(&wanted, |_, _| true)?;
    let page = html(&compose(&findings, Show::in_units(System::Metric)));
    if page.len() < 100_000 {
        return Err(format!("a page of {} bytes", page.len()).into());
    }
    black_box(page);
    Ok(())
}

/// Time of the frame after a price was moved, which must tell the new saving already.
fn prices(window: &mut Window) -> Outcome<Vec<f64>> {
    let mut took = Vec::new();
    let mut last = None;
    for step in 0..100_u32 {
        let rate = 0.08 + 0.001 * f64::from(step);
        window.app.ask(Command::SetLever {
            path: "prices.electricity.rate".to_owned(),
            setting: Setting::Text(format!("{rate:.3} EUR/kWh")),
        });
        let began = Instant::now();
        let texts = window.frame_texts();
        took.push(ms(began.elapsed()));
        let told = texts.into_iter().find(|text| text.contains("saves"));
        if told.is_none() || told == last {
            return Err(format!("at {rate:.3} EUR/kWh the window tells {told:?}").into());
        }
        last = told;
        window.live(began + Duration::from_millis(17));
    }
    Ok(took)
}

fn keep(window: &mut Window, count: usize) -> Outcome<()> {
    for i in 1..=count {
        for command in [
            VariantCommand::AskName(NameFor::Keep),
            VariantCommand::TakeName(format!("variant {i}")),
        ] {
            window.app.ask(Command::Variant(command));
            window.frame(Vec::new());
        }
        window.app.ask(Command::SetLever {
            path: "loop.sections.rinses.flow".to_owned(),
            setting: Setting::Text(format!("{} L/h", 60 + 5 * i)),
        });
        window.frame(Vec::new());
    }
    let document = window.app.state().document.as_ref();
    let kept = document.map_or(0, |d| d.variants().iter().count());
    if kept != count {
        return Err(format!("{kept} variants of {count} were kept").into());
    }
    Ok(())
}

/// The program of the tests takes so many times as long as the one that is handed out (measured: tables of 4.2 to 4.7 s for 3.0 to 3.5).
const TOO_LONG: f64 = too_long(2.0);

/// A line of the table; whether it is over its limit by far.
fn told(what: &str, value: f64, limit: f64, unit: &str) -> bool {
    println!("{what:60} {value:9.2} {limit:8.1} {unit}");
    // What is no number is none that may pass.
    value.is_nan() || value > TOO_LONG * limit
}

fn main() -> Outcome<()> {
    let is_check = std::env::args().any(|a| a == "--check");
    println!("{:60} {:>9} {:>8}", "", "measured", "limit");
    let mut is_slow = false;
    let mut names = Vec::new();
    for entry in std::fs::read_dir(scenarios())? {
        names.push(entry?.file_name().to_string_lossy().into_owned());
    }
    names.sort_unstable();
    for name in &names {
        let scenario = shipped(name)?;
        let took = fastest_s(|| table(&scenario))?;
        is_slow |= told(&format!("table of layouts, {name}"), took, TABLE_S, "s");
    }
    for name in &names {
        let scenario = shipped(name)?;
        let took = fastest_s(|| page(&scenario, None))?;
        is_slow |= told(&format!("web page, {name}"), took, PAGE_S, "s");
    }
    let (demo, before) = (shipped("demo.ron")?, shipped("demo-before.ron")?);
    let took = fastest_s(|| page(&demo, Some(&before)))?;
    is_slow |= told(
        "web page, demo.ron against demo-before.ron",
        took,
        PAGE_S,
        "s",
    );

    let mut window = Window::open();
    window.frame(Vec::new());
    let is_settled = |app: &dragback_gui::App| app.state().results.figures_are_current();
    window.live_until("the first answer", is_settled)?;
    let file = scenarios().join("demo-before.ron");
    window.app.ask(Command::ReferencePath(file));
    window.live_until("the line before", |app| app.state().pinned.is_some())?;
    window.app.ask(Command::Show(Shown::Money));
    window.live(Instant::now() + Duration::from_millis(500));
    let took = prices(&mut window)?;
    let most = percentile(&took, 0.95);
    is_slow |= told(
        "a dragged price to the new payback, 95 %",
        most,
        PRICE_MS,
        "ms",
    );

    keep(&mut window, VARIANTS)?;
    window.app.ask(Command::Show(Shown::Compare));
    window.live_until("the variants", |app| {
        let state = app.state();
        state.document.as_ref().is_some_and(|d| {
            let mut lines = d.variants().iter();
            lines.all(|(_, line)| state.variants.get(line, &d.loop_key).is_some())
        })
    })?;
    window.frames_ms.clear();
    window.drag("loop.sections.rinses.flow")?;
    let most = percentile(&window.frames_ms, 0.95);
    let what = format!("a frame beside {VARIANTS} variants while a lever moves, 95 %");
    is_slow |= told(&what, most, FRAME_MS, "ms");
    if is_slow && is_check {
        return Err(format!("over {TOO_LONG} times a limit").into());
    }
    Ok(())
}
