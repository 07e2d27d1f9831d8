//! The lesson that is under way, above the levers that it speaks of.

use dragback_units::{Dim, Style, System};
use egui::{Align, Button, Frame, Layout, RichText, ScrollArea, Ui};

use crate::command::Command;
use crate::lessons::{Lesson, Seen, Standing, Step};
use crate::number::{shown, strength};
use crate::sweep::Figure;
use crate::theme::{Palette, size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::quiet;

/// Width of its column, points.
pub const LESSON_WIDTH: f32 = 280.0;
/// Height of the way on at its foot.
const FOOT: f32 = 36.0;

/// Draws it, if there is one.
pub fn lesson_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let Some(standing) = ctx.lesson else { return };
    let (Some(lesson), Some(step)) = (standing.lesson(), standing.step()) else {
        return;
    };
    let ground = ctx.palette.tint(ctx.palette.accent, 0.08);
    let around = Frame::NONE.outer_margin(8);
    let frame = around.fill(ground).corner_radius(6).inner_margin(10);
    let seen = seen(ctx, standing);
    frame.show(ui, |ui| {
        // The way on keeps its place at the foot, however long the text is.
        let foot = seen.map_or(0.0, |_| FOOT);
        let high = (ui.available_height() - foot).max(0.0);
        let scroll = ScrollArea::vertical().auto_shrink([false, true]);
        scroll.max_height(high).show(ui, |ui| {
            head_ui(ctx, ui, standing, lesson);
            ui.add_space(space::TIGHT);
            if !fits(ctx, standing) {
                elsewhere_ui(ctx, ui);
                return;
            }
            ui.label(ink(ctx.palette, step.text));
            ui.add_space(space::TIGHT);
            ui.label(ink(ctx.palette, step.ask).strong());
            choices_ui(ctx, ui, standing, step);
            follow_ui(ctx, ui, step, standing, seen.as_ref());
        });
        if seen.is_some() {
            next_ui(ctx, ui, standing);
        }
    });
}

/// Whether the lesson can be shown on this line; also while that is not known yet.
fn fits(ctx: &ViewCtx<'_>, standing: &Standing) -> bool {
    let line = ctx.results.figures().and_then(|f| f.line());
    let line = line.filter(|_| standing.predicted.is_none() && ctx.results.figures_are_current());
    ctx.document
        .zip(line)
        .is_none_or(|(document, line)| standing.fits(document, line))
}

/// Where the lesson can be shown, if not here.
fn elsewhere_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    ui.label(ink(
        ctx.palette,
        "This line lacks a lever or a figure that the lesson speaks of. The demo has all of them.",
    ));
    ui.add_space(space::TIGHT);
    if ui.button("Open the demo").clicked() {
        ctx.ask(Command::OpenDemo);
    }
}

/// Its name, the step, and the way out: a quiet word at the edge, unlike the answers to choose from.
fn head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, standing: &Standing, lesson: &Lesson) {
    ui.horizontal(|ui| {
        let of = format!("Step {} of {}", standing.step + 1, lesson.steps.len());
        quiet(ui, ctx.palette, of);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let words = RichText::new("Leave the lesson").size(size::SMALL);
            let leave = ui.link(words.color(ctx.palette.quiet));
            let hint = "What was moved stays; undo takes it back.";
            if leave.on_hover_text(hint).clicked() {
                ctx.ask(Command::BeginLesson(None));
            }
        });
    });
    let name = ink(ctx.palette, lesson.name).size(size::HEADING).strong();
    ui.label(name);
}

fn ink(palette: &Palette, words: &str) -> RichText {
    RichText::new(words).color(palette.ink)
}

/// The settled answers for the levers as they stand.
fn seen(ctx: &ViewCtx<'_>, standing: &Standing) -> Option<Seen> {
    let line = ctx.results.figures()?.line()?;
    let is_current = ctx.results.figures_are_current();
    standing.seen(ctx.document?, line).filter(|_| is_current)
}

fn choices_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, standing: &Standing, step: &Step) {
    let predicted = standing.predicted.map(|p| p.choice);
    let is_open = predicted.is_none() && ctx.results.figures_are_current();
    for (n, choice) in step.choices.iter().enumerate() {
        let button = Button::selectable(predicted == Some(n), choice.words);
        let button = button.frame_when_inactive(true).wrap();
        if ui.add_enabled(is_open, button).clicked() {
            ctx.ask(Command::Predict(n));
        }
    }
}

/// What to do after the prediction, and what came of it.
fn follow_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    step: &Step,
    standing: &Standing,
    seen: Option<&Seen>,
) {
    let Some(predicted) = standing.predicted else {
        return;
    };
    ui.add_space(space::TIGHT);
    if ctx.document.is_some_and(|d| standing.is_disturbed(d)) {
        let words = format!(
            "Something else has been moved since you chose, so that nothing can be said of “{}” alone. Take it back (Ctrl+Z), or answer anew.",
            step.lever.name()
        );
        ui.label(RichText::new(words).color(ctx.palette.caution));
        return;
    }
    let Some(seen) = seen else {
        let words = format!(
            "Now drag “{}” at the left {}.",
            step.lever.name(),
            step.goal_words
        );
        ui.label(RichText::new(words).color(ctx.palette.accent).strong());
        return;
    };
    let came = step.choices.get(seen.choice).map_or("", |c| c.words);
    let (words, color) = if seen.choice == predicted.choice {
        ("As you said".to_owned(), ctx.palette.good)
    } else {
        (
            format!("It came otherwise: {}", lower(came)),
            ctx.palette.caution,
        )
    };
    ui.label(RichText::new(words).color(color).strong());
    let system = ctx.prefs.system;
    let numbers = format!(
        "{}: {} before, {} now.",
        step.figure.name(),
        told(step.figure, seen.before, system),
        told(step.figure, seen.after, system)
    );
    ui.label(ink(ctx.palette, &numbers));
    let why = ui.label(ink(ctx.palette, step.why));
    // Once, when it is seen: whoever scrolls then may.
    let id = ui.scope_id().with("seen");
    let shown = Some((standing.lesson, standing.step));
    if ui.data(|d| d.get_temp(id)) != Some(shown) {
        why.scroll_to_me(Some(Align::BOTTOM));
        ui.data_mut(|d| d.insert_temp(id, shown));
    }
}

/// The way on, once it is seen what came.
fn next_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, standing: &Standing) {
    ui.add_space(space::TIGHT);
    let words = if standing.next().is_some() {
        "Next step"
    } else {
        "Done"
    };
    if ui.button(words).clicked() {
        ctx.ask(Command::NextStep);
    }
}

fn lower(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_lowercase)
        .collect();
    format!("{first}{}", letters.as_str())
}

/// A figure with its unit.
fn told(figure: Figure, si: f64, system: System) -> String {
    let (number, unit) = match figure.dim() {
        Dim::Concentration => strength(si, system),
        dim => shown(dim, si, system, Style::Default),
    };
    format!("{number} {unit}").trim_end().to_owned()
}
