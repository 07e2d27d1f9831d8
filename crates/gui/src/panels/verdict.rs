//! The strip beneath the figures: what they mean, and how good they are.

use egui::{Align, Color32, Layout, RichText, Ui, UiBuilder};

use super::advice::advice_ui;
use super::{Reading, reading};
use crate::results::Standing;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::Tone;

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

fn head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.add_space(space::WIDE);
    let State {
        mark,
        word,
        color,
        hint,
    } = state(ctx);
    ui.label(
        RichText::new(format!("{mark} {word}"))
            .color(color)
            .strong(),
    )
    .on_hover_text(hint);
    ui.add_space(space::WIDE);
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        ui.add_space(space::WIDE);
        words_ui(ctx, ui);
    });
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
    if full.is_none() && tone == Tone::Good {
        tone = Tone::Plain;
        rest.push("Looking ahead for impurities and salts …".to_owned());
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
    // A long verdict is written smaller rather than cut.
    let room = ui.available_width() - space::WIDE;
    let all = joined_words(&first, &rest);
    let points = if width(ui, &all, size::HEADING) > room {
        size::BODY
    } else {
        size::HEADING
    };
    let taken = width(ui, &first, points);
    ui.label(RichText::new(first).size(points).color(ctx.palette.ink));
    let told = fitting(&rest, room - taken, |words| width(ui, words, size::BODY));
    if !told.is_empty() {
        ui.label(RichText::new(told).color(ctx.palette.quiet))
            .on_hover_text(all);
    }
}

fn width(ui: &Ui, words: &str, points: f32) -> f32 {
    let painter = ui.painter();
    let galley = painter.layout_no_wrap(words.to_owned(), font(points), Color32::BLACK);
    galley.size().x
}

/// As many sentences as there is room for, whole, and how many more there are to read.
fn fitting(rest: &[String], room: f32, width: impl Fn(&str) -> f32) -> String {
    let all = rest.join(" ");
    if width(&all) <= room {
        return all;
    }
    (0..rest.len())
        .rev()
        .map(|n| {
            joined_words(
                &rest[..n].join(" "),
                &[format!("+ {} more", rest.len() - n)],
            )
        })
        .find(|words| width(words) <= room)
        .unwrap_or_default()
}

fn joined_words(first: &str, rest: &[String]) -> String {
    let sep = if first.is_empty() || rest.is_empty() {
        ""
    } else {
        " "
    };
    format!("{first}{sep}{}", rest.join(" "))
}

/// How good the results on screen are: one word, and what it means.
struct State {
    mark: &'static str,
    word: &'static str,
    color: Color32,
    hint: &'static str,
}

fn state(ctx: &ViewCtx<'_>) -> State {
    let palette = ctx.palette;
    let has_failed = ctx.results.failure().is_some();
    let is_firm = ctx.results.figures().is_none_or(|f| f.answers.refined);
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
        Standing::Preview => (
            "■",
            "Preview",
            palette.caution,
            "Averaged pumps and heaters, good for means. The exact run is under way and will replace these curves.",
        ),
        Standing::Exact if is_firm => (
            "●",
            "Exact",
            palette.good,
            "Every switch of pump, heater and electrode is located to a second. The figures are means of the settled week.",
        ),
        Standing::Exact => (
            "■",
            "Estimate",
            palette.caution,
            "The curves are exact. The settled figures are found with averaged pumps and heaters, and here an alarm fires, heaters work above 90 %, or a flow is a small difference of large ones, so the switched plant can differ from them by some per cent.",
        ),
    };
    State {
        mark,
        word,
        color,
        hint,
    }
}

#[cfg(test)]
mod tests {
    use super::fitting;

    #[test]
    fn sentences_stand_whole_or_are_counted() {
        let rest = ["One.", "Two.", "Three."].map(str::to_owned);
        let letters = |words: &str| f32::from(u16::try_from(words.chars().count()).unwrap_or(0));
        assert_eq!(fitting(&rest, 16.0, letters), "One. Two. Three.");
        assert_eq!(fitting(&rest, 15.0, letters), "One. + 2 more");
        assert_eq!(fitting(&rest, 12.0, letters), "+ 3 more");
        assert_eq!(fitting(&rest, 7.0, letters), "");
        assert_eq!(fitting(&[], 7.0, letters), "");
    }
}
