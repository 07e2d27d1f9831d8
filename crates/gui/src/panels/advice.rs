//! What would help, in sentences, each with a button that does it.

use dragback_study::advice::{Advice, Goal, Limit, Proposal};
use dragback_study::{LoopAnswer, ToldAs};
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System};
use egui::{Button, Label, RichText, Ui};

use super::reading::rinse_told;
use crate::command::Command;
use crate::document::{Document, Setting};
use crate::margin;
use crate::number::{joined, shown};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::value_words;

/// Most proposals that are told.
const MOST: usize = 3;
/// Width of the button that applies a proposal, with its gap.
const APPLY: f32 = 62.0;

/// Draws as many proposals as fit into the line.
pub fn advice_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let Some(document) = ctx.document else { return };
    let Some(advice) = ctx.results.advice() else {
        if ctx.results.failure().is_none() {
            let words = "Looking for what would help …";
            ui.label(RichText::new(words).color(ctx.palette.quiet));
        }
        return;
    };
    let system = ctx.prefs.system;
    let quiet = |words: String| RichText::new(words).color(ctx.palette.quiet);
    let beyond = beyond_words(advice);
    let mut told = 0;
    for proposal in advice.proposals.iter().take(MOST) {
        let lead = ctx.lead_told(&proposal.after);
        let Some(words) = proposal_words(document, proposal, system, &lead) else {
            continue;
        };
        let text = RichText::new(&words).color(ctx.palette.ink);
        let wide = width_of(ui, &words) + APPLY + space::WIDE;
        if told > 0 && wide > ui.available_width() {
            break;
        }
        told += 1;
        ui.add(Label::new(text).truncate_if(wide > ui.available_width()))
            .on_hover_text(format!("{words} This was run before it was said."));
        let button = ui.add(Button::new(RichText::new("Apply").size(size::SMALL)).small());
        let button = button.accessible_name(format!("Apply: {words}"));
        ctx.saw("apply", button.rect);
        if button
            .on_hover_text("Move the lever there; undo takes it back.")
            .clicked()
        {
            ctx.ask(Command::SetLever {
                path: proposal.path.clone(),
                setting: Setting::Text(proposal.text.clone()),
            });
        }
        ui.add_space(space::NEAR);
    }
    if let Some(words) = beyond.filter(|_| told == 0) {
        ui.add(Label::new(quiet(words)).truncate());
    } else if told == 0 {
        let words = match advice.limit {
            Limit::NoLoop => "Nothing to mend: what is rinsed off goes to treatment.",
            _ => {
                "Nothing to mend, and little to spare: no main lever can be turned down without losing the loop or the final rinse."
            }
        };
        ui.add(Label::new(quiet(words.to_owned())).truncate());
    }
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

/// Why nothing is proposed towards a goal.
fn beyond_words(advice: &Advice) -> Option<String> {
    let what = match advice.out_of_reach.first()? {
        Goal::Closes => {
            "No heat, rinse rate or set point within reach closes this loop: less must come in, or a larger evaporator is needed."
        }
        Goal::CleanRinse => {
            "No rinse rate or drag-out within reach brings the final rinse to its limit: another stage is needed."
        }
        Goal::Saves => return None,
    };
    Some(what.to_owned())
}

/// A proposal in a sentence; `None` where the document has no such lever.
#[must_use]
pub fn proposal_words(
    document: &Document,
    p: &Proposal,
    system: System,
    lead: &ToldAs<'_>,
) -> Option<String> {
    let lever = document.lever(&p.path)?;
    let name = &lever.name;
    let value = value_words(lever, p.to_si, system);
    let now = value_words(lever, p.from_si, system);
    let words = match p.goal {
        Goal::Closes => format!(
            "{name} at {value} instead of {now} closes the loop{}.",
            rinse_then(&p.after, lead)
        ),
        Goal::CleanRinse => format!(
            "{name} at {value} instead of {now} brings the final rinse to {}{}.",
            rinse_told(p.after.final_rinse.film_mg_per_l, lead),
            water_then(&p.after, system)
        ),
        Goal::Saves => format!(
            "{name} could fall from {now} to {value}{}.",
            rinse_then(&p.after, lead)
        ),
    };
    Some(words)
}

/// What the final rinse would be.
fn rinse_then(after: &LoopAnswer, lead: &ToldAs<'_>) -> String {
    let film = after.final_rinse.film_mg_per_l;
    let told = rinse_told(film, lead);
    match after.final_rinse.limit_mg_per_l {
        Some(limit) if film > limit => {
            format!("; the final rinse would be {told}, over its limit")
        }
        _ => format!("; the final rinse would be {told}"),
    }
}

/// How the water would stand.
fn water_then(after: &LoopAnswer, system: System) -> String {
    match margin::week(after) {
        Some(m) if m < 0.0 => {
            let si = m3_per_s_from_l_per_h(-m);
            let lacks = joined(shown(Dim::VolumeFlow, si, system, Style::Default));
            format!(", but {lacks} more would come in than can evaporate")
        }
        Some(_) => ", and the loop closes".to_owned(),
        None => String::new(),
    }
}
