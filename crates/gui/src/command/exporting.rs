//! Writing things down: the name is asked for, the content is made and the file is written on a thread of its own.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::sync_channel;

use dragback_report::Wanted;
use dragback_study::compare::Inputs;
use dragback_study::money::Plan;
use egui::{ColorImage, Rect};

use super::files::write_bytes;
use super::opening::{Found, find};
use super::typing::{Purpose, by_dialog, with_ending};
use crate::compare::Column;
use crate::export::{
    Export, Picture, Shot, comparison_table, curves_table, figures_table, ledger_table,
    money_table, png, sizing_table, sweep_table, vector,
};
use crate::handover::{Making, ReportAsked, Tally};
use crate::ledger::told;
use crate::money::plan;
use crate::plots::KINDS;
use crate::results::Figures;
use crate::state::{Notice, State};
use crate::widgets::unit_of;

/// Makes the bytes of a file.
type Make = Box<dyn FnOnce() -> Result<Vec<u8>, String> + Send>;

/// Asks for a name by the system's dialog.
pub(super) fn ask(state: &mut State, what: Export) {
    let has_dialogs = !state.options.without_dialogs;
    begin(state, what, move |write| {
        let ending = what.ending();
        let dialog = || {
            rfd::FileDialog::new()
                .set_title(format!("{} to a file", what.name()))
                .set_file_name(what.file_name())
                .add_filter(ending.to_uppercase(), &[ending])
                .save_file()
        };
        let write = |path| write(with_ending(path, ending));
        by_dialog(Purpose::Export(what), has_dialogs, dialog, write)
    });
}

/// Writes to a file.
pub(super) fn write(state: &mut State, what: Export, path: PathBuf) {
    begin(state, what, |write| write(path));
}

/// Begins to write something down, to where `with_path` finds; nothing happens while another file is being asked for or written.
fn begin(
    state: &mut State,
    what: Export,
    with_path: impl FnOnce(&mut dyn FnMut(PathBuf) -> Found) -> Found + Send + 'static,
) {
    if state.opening.is_some() {
        return;
    }
    let tally = Arc::new(Tally::default());
    let mut make = match content(state, what, &tally) {
        Ok(make) => make,
        Err(why) => return refuse(state, what, why),
    };
    state.tally = Some(Arc::clone(&tally));
    find(state, "export", move || {
        with_path(&mut |path| written(path, what, make.take(), &tally))
    });
}

fn refuse(state: &mut State, what: Export, why: &str) {
    let text = format!("{} cannot be written: {why}.", what.name());
    state.notice = Some(Notice::bad(text));
}

/// Makes and writes; a picture is not made yet, only its place is known.
fn written(path: PathBuf, what: Export, make: Option<Make>, tally: &Tally) -> Found {
    match (what, make) {
        (Export::Picture(picture), _) => Found::PictureTo(picture, path),
        (Export::Drawing(picture), _) => Found::DrawingTo(picture, path),
        (_, None) => Found::Nothing,
        (_, Some(make)) => {
            let made = make();
            if tally.is_given_up() {
                return Found::Nothing;
            }
            Found::Exported(made.and_then(|bytes| put(&path, &bytes)))
        }
    }
}

fn put(path: &Path, bytes: &[u8]) -> Result<PathBuf, String> {
    let about = |error: std::io::Error| {
        format!(
            "{} was not written: {error}. Choose another place.",
            path.display()
        )
    };
    write_bytes(path, bytes).map_err(about)?;
    Ok(path.to_owned())
}

/// How to make what is asked for, from what is known now; nothing for pictures.
fn content(state: &State, what: Export, tally: &Arc<Tally>) -> Result<Option<Make>, &'static str> {
    let system = state.prefs.system;
    let results = &state.results;
    let curves = || results.curves().ok_or("there are no curves yet");
    let figures = || results.figures().ok_or("no settled week is found yet");
    let make: Make = match what {
        Export::Picture(_) | Export::Drawing(_) => return Ok(None),
        Export::Report(asked) => {
            let making = making(state, asked, tally)?;
            Box::new(move || making.make())
        }
        Export::Plot(kind) => {
            let set = Arc::clone(curves()?);
            Box::new(move || curves_table(&set, &[kind], system).csv())
        }
        Export::Curves => {
            let set = Arc::clone(curves()?);
            Box::new(move || curves_table(&set, &KINDS, system).csv())
        }
        Export::Sweep => {
            let sweep = results.sweep().filter(|s| s.is_whole());
            let sweep = Arc::clone(sweep.ok_or("put out the plot of settled answers first")?);
            let lever = state.document.as_ref().and_then(|d| d.lever(&sweep.path));
            let lever = lever.ok_or("its lever is not in this scenario")?;
            let (name, unit) = (lever.name.clone(), unit_of(lever, system));
            Box::new(move || sweep_table(&sweep, (&name, unit), system).csv())
        }
        Export::Figures => {
            let figures = Arc::clone(results.full().unwrap_or(figures()?));
            let kept = state.pinned.clone();
            Box::new(move || {
                let line = figures.line().ok_or("the loop has no answer")?;
                let kept = kept.as_ref().and_then(|k| {
                    let figures = k.full.as_ref().unwrap_or(&k.figures);
                    Some((k.name.as_str(), figures.line()?))
                });
                figures_table(line, kept, system).csv()
            })
        }
        Export::Answers => {
            let figures = Arc::clone(figures()?);
            Box::new(move || {
                let mut text = serde_json::to_vec_pretty(&figures.answers);
                if let Ok(text) = &mut text {
                    text.push(b'\n');
                }
                text.map_err(|e| e.to_string())
            })
        }
        Export::Ledger(back) => {
            let books = told(results, back, state.playhead.day);
            let books = books.ok_or("there is no ledger of this stretch")?;
            Box::new(move || ledger_table(&books.entries, &books.words, system).csv())
        }
        Export::Comparison => comparison(state, figures()?)?,
        Export::Money => {
            let document = state.document.as_ref().ok_or("there is no scenario")?;
            let now = plan(&document.scenario, figures()?);
            let kept = state.pinned.as_ref();
            let kept = kept.map(|k| plan(&k.figures.scenario, &k.figures));
            Box::new(move || money_table(kept.as_ref(), &now)?.csv())
        }
        Export::Sizing => {
            let table = results.sizing().filter(|t| !t.rows.is_empty());
            let table = Arc::clone(table.ok_or("no layout is sized yet")?);
            Box::new(move || sizing_table(&table, system).csv())
        }
    };
    Ok(Some(make))
}

/// What a report is made of.
fn making(state: &State, asked: ReportAsked, tally: &Arc<Tally>) -> Result<Making, &'static str> {
    let document = state.document.as_ref().ok_or("there is no scenario")?;
    let kept = state.pinned.as_ref().filter(|_| asked.is_against);
    let mut limits = Wanted::own_limits(&document.scenario);
    limits.retain(|_| asked.has_sizes);
    // What was sized for last counts for the report, too.
    let sized = state.results.sizing().map(|table| &table.of);
    if let Some(of) = sized.filter(|of| of.document == document.id && asked.has_sizes) {
        limits.retain(|(key, _)| *key != of.loop_key);
        limits.push((of.loop_key.clone(), of.limit.clone()));
    }
    Ok(Making {
        wanted: Wanted {
            scenario: Arc::clone(&document.scenario),
            before: kept.map(|k| Arc::clone(&k.figures.scenario)),
            within_years: state.prefs.within_years,
            limits,
            all_layouts: false,
        },
        kind: asked.kind,
        show: state.prefs.show(),
        pdf: state.options.pdf,
        tally: Arc::clone(tally),
        wake: Arc::clone(&state.wake),
    })
}

/// How to make the table of the line and its variants, once all of them are known.
fn comparison(state: &State, figures: &Arc<Figures>) -> Result<Make, &'static str> {
    let document = state.document.as_ref().ok_or("there is no scenario")?;
    let (system, loop_key) = (state.prefs.system, document.loop_key.clone());
    let mut lines = vec![(
        "the line".to_owned(),
        Arc::clone(&document.scenario),
        Arc::clone(figures),
    )];
    for (name, line) in document.variants().iter() {
        let found = state.variants.get(line, &loop_key);
        let found = found.ok_or("some variants are still being worked out")?;
        let found = found.outcome.as_ref();
        let found = found.map_err(|_| "a variant has no settled week")?;
        lines.push((
            name.to_owned(),
            Arc::clone(line),
            Arc::clone(&found.figures),
        ));
    }
    if lines.len() < 2 {
        return Err("there are no variants yet");
    }
    let named = |name: &String| lines.iter().position(|(own, ..)| own == name);
    let from = state.against.as_ref().and_then(named).unwrap_or(0);
    Ok(Box::new(move || {
        let plans: Vec<Plan> = lines.iter().map(|(_, line, f)| plan(line, f)).collect();
        let inputs: Vec<Inputs> = lines.iter().map(|(_, line, _)| Inputs::of(line)).collect();
        let columns: Vec<Column<'_>> = lines
            .iter()
            .zip(plans.iter().zip(&inputs))
            .map(|((name, line, figures), (plan, inputs))| Column {
                name,
                line,
                inputs,
                answers: Some(&figures.answers),
                plan: Some(plan),
            })
            .collect();
        comparison_table(&columns, from, &loop_key, system).csv()
    }))
}

/// Tells what came of an export.
pub(super) fn note(state: &mut State, outcome: Result<PathBuf, String>) {
    state.notice = Some(match outcome {
        Ok(path) => {
            let name = path.file_name().unwrap_or(path.as_os_str());
            Notice::good(format!("Written to {}.", name.to_string_lossy()))
        }
        Err(text) => Notice::bad(text),
    });
}

/// Asks the screen for the picture that waits. `part` is where it stands, points; `None` when it is not in sight.
pub fn take_picture(state: &mut State, ctx: &egui::Context, part: Option<Rect>) {
    if state.opening.is_some() {
        return;
    }
    let Some(Shot {
        picture,
        path,
        is_lines,
    }) = state.picture.take()
    else {
        return;
    };
    let part = match (picture, part) {
        (Picture::Window, _) => None,
        (_, Some(part)) => Some(part),
        (_, None) => {
            let why = "it is not in sight; put it on the sheet by “Plots”, or enlarge it";
            return refuse(state, Export::Picture(picture), why);
        }
    };
    if is_lines {
        let svg = vector(ctx, part, &Export::Drawing(picture).name());
        return note(state, put(&path, svg.as_bytes()));
    }
    let scale = ctx.pixels_per_point();
    let wake = Arc::clone(&state.wake);
    let (sender, receiver) = sync_channel(1);
    ctx.request_screenshot(move |image: Arc<ColorImage>| {
        let work = move || {
            let bytes = png(&image, part, scale);
            // The window may be gone by now; then nobody wants to know.
            let _ = sender.send(Found::Exported(bytes.and_then(|b| put(&path, &b))));
            wake();
        };
        let thread = std::thread::Builder::new().name("picture".to_owned());
        // Without a thread the sender is gone, and so the picture is given up.
        let _ = thread.spawn(work);
    });
    state.opening = Some(receiver);
    ctx.request_repaint();
}
