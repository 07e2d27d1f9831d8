//! The strip beneath the figures: what they mean, and how good they are.

use egui::{Align, Color32, Label, Layout, RichText, Ui, UiBuilder};

use super::advice::{LIST, MORE, advice_ui};
use super::{Reading, reading};
use crate::command::Command;
use crate::number::three;
use crate::results::Standing;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::Tone;
use crate::worker::{Job, Underway};

/// Height of the strip: the verdict, and below it what would help.
pub const VERDICT_HEIGHT: f32 = 58.0;
/// Height of the verdict.
const HEAD: f32 = 30.0;

/// Draws the strip: the verdict to the left, the word on the state of the results to the right, and below them what would help.
pub fn verdict_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let area = ui.available_rect_before_wrap();
    let (head, foot) = area.split_top_bottom_at_y(area.top() + HEAD);
    let layout = Layout::right_to_left(Align::Center);
    let mut child = ui.new_child(UiBuilder::new().max_rect(head).layout(layout));
    head_ui(ctx, &mut child);
    let foot = foot.with_max_y(foot.bottom() - 4.0);
    let layout = Layout::left_to_right(Align::Center);
    let mut child = ui.new_child(UiBuilder::new().max_rect(foot).layout(layout));
    child.add_space(2.0 * space::WIDE + 2.0);
    advice_ui(ctx, &mut child);
}

/// Height of the verdict alone.
pub const VERDICT_LINE: f32 = HEAD;

/// Draws the verdict alone, for pages that leave no room for more.
pub fn verdict_line_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let layout = Layout::right_to_left(Align::Center);
    let line = ui.available_rect_before_wrap();
    let mut child = ui.new_child(UiBuilder::new().max_rect(line).layout(layout));
    head_ui(ctx, &mut child);
}

fn head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.add_space(space::WIDE);
    let State {
        mark,
        word,
        color,
        hint,
    } = state(ctx);
    let label = RichText::new(format!("{mark} {word}"))
        .color(color)
        .strong();
    ui.label(label).on_hover_text(hint);
    underway_ui(ctx, ui);
    ui.add_space(space::WIDE);
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        ui.add_space(space::WIDE);
        words_ui(ctx, ui);
    });
}

/// What has been worked at for long, how far that is, and a button that gives it up; from right to left.
fn underway_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    if ctx.underway.is_empty() {
        return;
    }
    ui.add_space(space::NEAR);
    let hint = "Give this up. What is on screen stays, and the next change begins it anew.";
    if ui.button("Cancel").on_hover_text(hint).clicked() {
        ctx.ask(Command::GiveUpLong);
    }
    let told: Vec<String> = ctx.underway.iter().map(underway_words).collect();
    // The verdict needs the room: one of them at sight, all of them in the hint.
    let more = match told.len() {
        0 | 1 => String::new(),
        n => format!(" and {} more", n - 1),
    };
    let first = told.first().map_or("", String::as_str);
    let words = RichText::new(format!("{first}{more}")).size(size::SMALL);
    ui.label(words.color(ctx.palette.quiet))
        .on_hover_text(told.join("\n"));
}

/// Work with how far it is: `Exact run 42 %`, or `Look ahead …` where that is not known.
fn underway_words(work: &Underway) -> String {
    match work.share {
        Some(share) => format!("{} {:.0}\u{a0}%", work.job.name(), 100.0 * share),
        None => format!("{} …", work.job.name()),
    }
}

fn words_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    // Impurities and salts are known only to figures that looked ahead.
    let full = ctx.results.full().filter(|_| ctx.results.full_is_current());
    let Some(figures) = full.or_else(|| ctx.results.figures()) else {
        return;
    };
    let Some(line) = figures.line() else { return };
    let Reading {
        first,
        mut rest,
        mut tone,
    } = match ctx.results.failure() {
        Some(f) => Reading {
            first: f.words(ctx.prefs.system),
            rest: vec!["The figures are those of the last run that worked.".to_owned()],
            tone: Tone::Alarm,
        },
        None => reading(&figures.answers, line, ctx.prefs.system, ctx.prefs.counted),
    };
    let first = match ctx.line_at_cursor {
        Some(_) => format!("Settled week: {first}"),
        None => first,
    };
    if full.is_none() && tone == Tone::Good {
        tone = Tone::Plain;
        rest.push("Looking ahead for impurities and salts …".to_owned());
    }
    let run = ctx.results.curves().and_then(|c| c.run.as_ref());
    if let Some(day) = run.and_then(|run| run.passed_limit_on_day) {
        // The settled week may be clean all the same.
        if tone != Tone::Alarm {
            tone = Tone::Caution;
            let day = three(day, 1);
            let words = format!("In the run the final rinse passes its limit on day {day}.");
            rest.insert(0, words);
        }
    }
    if ctx.document.is_some_and(|d| !d.scenario.events.is_empty()) {
        // A settled week comes again and again; what happens once is no part of it.
        rest.push("Settled without the timeline's events.".to_owned());
    }
    let mark = match tone {
        Tone::Good => "●",
        Tone::Alarm => "▲",
        _ => "■",
    };
    ui.spacing_mut().item_spacing.x = space::NEAR;
    ui.label(
        RichText::new(mark)
            .size(size::HEADING)
            .color(tone.color(ctx.palette)),
    );
    // One size, so that the words do not jump while a lever moves.
    let room = ui.available_width() - space::WIDE;
    let kept = if rest.is_empty() { 0.0 } else { MORE };
    let taken = width(ui, &first, size::HEADING);
    let is_long = taken > room - kept;
    let words = RichText::new(&first).size(size::HEADING);
    let label = Label::new(words.color(ctx.palette.ink));
    if is_long {
        ui.scope(|ui| {
            ui.set_max_width(room - kept);
            ui.add(label.truncate()).on_hover_text(&first);
        });
    } else {
        ui.add(label.extend());
    }
    let left = room - taken - space::NEAR;
    let told = fitting(&rest, left, MORE, |words| width(ui, words, size::BODY));
    if !told.is_empty() {
        let words: Vec<&str> = told.iter().map(|&i| rest[i].as_str()).collect();
        let words = RichText::new(words.join(" "));
        ui.add(Label::new(words.color(ctx.palette.quiet)).extend());
    }
    let others = rest.iter().enumerate().filter(|(i, _)| !told.contains(i));
    let others: Vec<&String> = others.map(|(_, words)| words).collect();
    more_ui(ctx, ui, &others);
}

/// A button that shows the sentences that did not fit.
fn more_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rest: &[&String]) {
    if rest.is_empty() {
        return;
    }
    let name = RichText::new(format!("+ {} more", rest.len())).size(size::SMALL);
    ui.menu_button(name, |ui| {
        ui.set_max_width(LIST);
        for words in rest {
            ui.label(RichText::new(*words).color(ctx.palette.ink));
        }
    });
}

fn width(ui: &Ui, words: &str, points: f32) -> f32 {
    let painter = ui.painter();
    let galley = painter.layout_no_wrap(words.to_owned(), font(points), Color32::BLACK);
    galley.size().x
}

/// The sentences that there is room for, whole, by their numbers: in order, but one that is too long lets shorter ones after it stand. Where that is not all,
/// there is room for the button that shows the others.
fn fitting(rest: &[String], room: f32, button: f32, width: impl Fn(&str) -> f32) -> Vec<usize> {
    if width(&rest.join(" ")) <= room {
        return (0..rest.len()).collect();
    }
    let mut told: Vec<usize> = Vec::new();
    let mut line = String::new();
    for (i, words) in rest.iter().enumerate() {
        let gap = if line.is_empty() { "" } else { " " };
        let longer = format!("{line}{gap}{words}");
        if width(&longer) + button <= room {
            line = longer;
            told.push(i);
        }
    }
    told
}

/// How good the results on screen are: one word, and what it means.
struct State {
    mark: &'static str,
    word: &'static str,
    color: Color32,
    hint: String,
}

fn state(ctx: &ViewCtx<'_>) -> State {
    let palette = ctx.palette;
    let has_failed = ctx.results.failure().is_some();
    let is_firm = ctx.results.figures().is_none_or(|f| f.answers.refined);
    let shown = ctx.results.figures().and_then(|f| f.line());
    let is_spent = shown.is_some_and(|l| l.bath.runs_down());
    let doubts = ctx.results.figures().map(|f| f.answers.doubts.join("; "));
    let estimate = format!(
        "The curves are exact. The settled figures are found with averaged pumps and heaters, and the switched plant can differ from them by some per cent. Here: {}.",
        doubts.unwrap_or_default()
    );
    let (mark, word, color, hint) = match ctx.results.standing() {
        Standing::Waiting => (
            "■",
            "First run",
            palette.quiet,
            "The first run is under way.",
        ),
        Standing::Preview if has_failed => (
            "▲",
            "Old",
            palette.alarm,
            "The newest position of the levers gave no run; what is shown is of an earlier one.",
        ),
        Standing::Preview if ctx.results.has_given_up(Job::Exact) => (
            "■",
            "Preview",
            palette.caution,
            "Averaged pumps and heaters, good for means. The exact run was given up; the next change begins it anew.",
        ),
        Standing::Preview => (
            "■",
            "Preview",
            palette.caution,
            "Averaged pumps and heaters, good for means. The exact run is under way and will replace these curves.",
        ),
        Standing::Exact if is_spent => (
            "■",
            "Spent bath",
            palette.caution,
            "The curves are exact. The settled figures are those of a bath that nothing restores, once it has run down: judge the line by its curves, or let additions hold the bath.",
        ),
        Standing::Exact if is_firm => (
            "●",
            "Exact",
            palette.good,
            "Every switch of pump, heater and electrode is located to a second. The figures are means of the settled week.",
        ),
        Standing::Exact => ("■", "Estimate", palette.caution, estimate.as_str()),
    };
    State {
        mark,
        word,
        color,
        hint: hint.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::fitting;

    #[test]
    fn sentences_stand_whole_or_are_counted() {
        let rest = ["One.", "Two.", "Three."].map(str::to_owned);
        let letters = |words: &str| f32::from(u16::try_from(words.chars().count()).unwrap_or(0));
        assert_eq!(fitting(&rest, 16.0, 6.0, letters), [0, 1, 2]);
        assert_eq!(fitting(&rest, 14.0, 6.0, letters), [0]);
        assert_eq!(fitting(&rest, 15.0, 6.0, letters), [0, 1]);
        assert!(fitting(&rest, 9.0, 6.0, letters).is_empty());
        assert!(fitting(&[], 0.0, 6.0, letters).is_empty());
        // One that is too long keeps none of the others out of sight.
        let rest = ["A long one.", "Two.", "Three."].map(str::to_owned);
        assert_eq!(fitting(&rest, 17.0, 6.0, letters), [0]);
        assert_eq!(fitting(&rest, 16.0, 6.0, letters), [1]);
        assert_eq!(fitting(&rest, 20.0, 4.0, letters), [0, 1]);
    }
}
