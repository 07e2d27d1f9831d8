//! What would help, in sentences, each with a button that does it.

mod words;

use dragback_study::advice::{Advice, Limit, Proposal};
use egui::{Button, Label, RichText, Ui};

use crate::command::Command;
use crate::document::{Document, Setting};
use crate::page::Page;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::worker::Job;

pub use words::{proposal_words, remaining_words};

/// Width of the button that applies a proposal, with its gap.
const APPLY: f32 = 62.0;
/// Width of the button that shows what did not fit, with its gap.
pub(super) const MORE: f32 = 74.0;
/// Width in which what did not fit is shown.
pub(super) const LIST: f32 = 820.0;

/// A sentence, and what its button does.
struct Said<'a> {
    words: String,
    proposal: Option<&'a Proposal>,
}

/// Draws as much of the advice as fits into the line, and a button that shows the rest.
pub fn advice_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let Some(document) = ctx.document else { return };
    let Some(advice) = ctx.results.advice() else {
        if ctx.results.failure().is_none() {
            let words = match ctx.results.has_given_up(Job::Advice) {
                true => {
                    "The search for what would help was given up; the next change begins it anew."
                }
                false => "Looking for what would help …",
            };
            ui.label(RichText::new(words).color(ctx.palette.quiet));
        }
        return;
    };
    let all = said(ctx, document, advice);
    let mut told = 0;
    for said in &all {
        let is_last = told + 1 == all.len();
        let room = ui.available_width() - if is_last { 0.0 } else { MORE };
        let button = if said.proposal.is_some() { APPLY } else { 0.0 };
        let is_long = width_of(ui, &said.words) + button + space::WIDE > room;
        if told > 0 && is_long {
            break;
        }
        said_ui(ctx, ui, said, is_long);
        told += 1;
    }
    if advice.limit == Limit::Bath {
        let button =
            ui.add(Button::new(RichText::new("Open the editor").size(size::SMALL)).small());
        if button.clicked() {
            ctx.ask(Command::ShowPage(Some(Page::Editor)));
        }
    }
    if let Some(rest @ [_, ..]) = all.get(told..) {
        let name = format!("{} more…", rest.len());
        ui.menu_button(RichText::new(name).size(size::SMALL), |ui| {
            ui.set_max_width(LIST);
            for said in rest {
                ui.horizontal_wrapped(|ui| said_ui(ctx, ui, said, false));
            }
        });
    }
}

/// Proposals first, then what is to be said beside them.
fn said<'a>(ctx: &ViewCtx<'_>, document: &Document, advice: &'a Advice) -> Vec<Said<'a>> {
    let system = ctx.prefs.system;
    let proposals = advice.proposals.iter().filter_map(|p| {
        let lead = ctx.lead_told(&p.after);
        let words = proposal_words(document, &advice.now, p, system, &lead)?;
        Some(Said {
            words,
            proposal: Some(p),
        })
    });
    let rest = remaining_words(advice).into_iter().map(|words| Said {
        words,
        proposal: None,
    });
    proposals.chain(rest).collect()
}

fn said_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, said: &Said<'_>, is_cut: bool) {
    let words = &said.words;
    let Some(proposal) = said.proposal else {
        let text = RichText::new(words).color(ctx.palette.quiet);
        ui.add(Label::new(text).truncate_if(is_cut))
            .on_hover_text(words);
        return;
    };
    let text = RichText::new(words).color(ctx.palette.ink);
    ui.add(Label::new(text).truncate_if(is_cut))
        .on_hover_text(format!("{words} This was run before it was said."));
    let button = ui.add(Button::new(RichText::new("Apply").size(size::SMALL)).small());
    let button = button.accessible_name(format!("Apply: {words}"));
    ctx.saw("apply", button.rect);
    if button
        .on_hover_text("Change it so; undo takes it back.")
        .clicked()
    {
        ctx.ask(Command::SetLever {
            path: proposal.path.clone(),
            setting: Setting::Text(proposal.text.clone()),
        });
    }
    ui.add_space(space::NEAR);
}

fn width_of(ui: &Ui, words: &str) -> f32 {
    let font = crate::theme::font(size::BODY);
    let painter = ui.painter();
    let galley = painter.layout_no_wrap(words.to_owned(), font, egui::Color32::BLACK);
    galley.size().x
}

trait TruncateIf {
    fn truncate_if(self, is: bool) -> Self;
}

impl TruncateIf for Label {
    fn truncate_if(self, is: bool) -> Self {
        if is { self.truncate() } else { self.extend() }
    }
}
