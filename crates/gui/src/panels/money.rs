//! Money: what a year costs, and whether the change from the pinned state pays.

mod cash;
mod costs;
mod kilogram;
mod pays;
mod steps;
mod tornado;

use std::sync::Arc;

use dragback_scenario::Scenario;
use dragback_study::money::{MoneyError, Payback, Plan};
use egui::{Align, Button, Label, Layout, Rect, RichText, Ui, UiBuilder, Vec2, pos2, vec2};

use crate::command::Command;
use crate::export::Export;
use crate::money::{Told, plan, told};
use crate::number::{joined, whole, years};
use crate::prefs::Shown;
use crate::results::Figures;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::{fitting_words, roomy};

/// The panel; it keeps the amounts of a year, which only a new settled week changes, and the answer, which a new price changes too.
#[derive(Default)]
pub struct MoneyPanel {
    now: Option<Kept>,
    before: Option<Kept>,
    answer: Option<Answer>,
    side: Side,
}

/// What stands beside the flow of money.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Side {
    /// The steps from the cost before to the cost after.
    #[default]
    Steps,
    /// When the change pays.
    Pays,
    /// What moves the payback most.
    Moves,
}

impl Side {
    const ALL: [(Self, &'static str, &'static str); 3] = [
        (
            Self::Steps,
            "Where it comes from",
            "The steps from the cost before to the cost after, line by line.",
        ),
        (
            Self::Pays,
            "When it pays",
            "The prices, and drag-out, work and hours, at which the money is back in the years that you want.",
        ),
        (
            Self::Moves,
            "What moves it most",
            "The payback at the low and at the high value of each uncertain input.",
        ),
    ];
}

/// What is told, and of what.
struct Answer {
    scenario: Arc<Scenario>,
    now: Arc<Figures>,
    before: Option<Arc<Figures>>,
    told: Result<Told, MoneyError>,
}

impl Answer {
    /// Whether it is that of what is on the bench and what is kept.
    fn is_of(
        &self,
        scenario: &Arc<Scenario>,
        now: &Arc<Figures>,
        before: Option<&Arc<Figures>>,
    ) -> bool {
        let is_same_before = match (&self.before, before) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        Arc::ptr_eq(&self.scenario, scenario) && Arc::ptr_eq(&self.now, now) && is_same_before
    }
}

/// The amounts of a settled week.
struct Kept {
    of: Arc<Figures>,
    plan: Plan,
}

impl Kept {
    /// Those of a settled week, worked out anew where it is another one.
    fn of(kept: &mut Option<Self>, figures: &Arc<Figures>) -> Plan {
        match kept {
            Some(known) if Arc::ptr_eq(&known.of, figures) => known.plan.clone(),
            _ => {
                let plan = plan(&figures.scenario, figures);
                *kept = Some(Self {
                    of: Arc::clone(figures),
                    plan: plan.clone(),
                });
                plan
            }
        }
    }
}

/// Height of the line with the name and the buttons.
const HEAD: f32 = 32.0;
/// Height of the answer.
const ANSWER: f32 = 46.0;
/// Height of the line in which is chosen what stands beside it.
const CHOICE: f32 = 30.0;
/// Width of the column with the curve and what it means.
const SIDE: f32 = 360.0;
/// Least room in which it can be read.
const LEAST: Vec2 = vec2(720.0, 340.0);

impl MoneyPanel {
    /// Draws money into what is left of the window.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let area = ui.available_rect_before_wrap();
        let head = Rect::from_min_size(area.min, vec2(area.width(), HEAD));
        head_ui(ctx, ui, head);
        let body = Rect::from_min_max(
            pos2(area.left() + space::WIDE, area.top() + HEAD),
            pos2(area.right() - space::WIDE, area.bottom() - space::NEAR),
        );
        roomy(ui, body, LEAST, |ui, body| self.body_ui(ctx, ui, body));
    }

    fn body_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, body: Rect) {
        let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("money"));
        let ui = &mut child;
        let (Some(document), Some(figures)) = (ctx.document, ctx.results.figures()) else {
            quiet(ctx, ui, "Looking for the settled week …");
            return;
        };
        let mut side = self.side;
        match self.told(&document.scenario, figures, ctx.pinned.map(|p| &p.figures)) {
            Ok(Told::Change(payback)) => {
                change_ui(ctx, ui, body, (payback, &document.scenario), &mut side)
            }
            Ok(Told::Alone(costs)) => costs::costs_ui(ctx, ui, body, costs, &document.scenario),
            Err(why) => {
                ui.add_space(space::WIDE);
                ui.label(RichText::new(format!("{why}.")).color(ctx.palette.caution));
            }
        }
        self.side = side;
    }
}

impl MoneyPanel {
    /// What is told; worked out only where something of it is new.
    fn told(
        &mut self,
        scenario: &Arc<Scenario>,
        figures: &Arc<Figures>,
        pinned: Option<&Arc<Figures>>,
    ) -> &Result<Told, MoneyError> {
        let known = self.answer.take();
        let known = known.filter(|a| a.is_of(scenario, figures, pinned));
        let answer = known.unwrap_or_else(|| {
            // A price that is being dragged counts at once; amounts follow with the settled week.
            let now = Plan {
                scenario: Arc::clone(scenario),
                ..Kept::of(&mut self.now, figures)
            };
            let before = pinned.map(|figures| Kept::of(&mut self.before, figures));
            Answer {
                scenario: Arc::clone(scenario),
                now: Arc::clone(figures),
                before: pinned.cloned(),
                told: told(before.as_ref(), &now),
            }
        });
        &self.answer.insert(answer).told
    }
}

fn quiet(ctx: &ViewCtx<'_>, ui: &mut Ui, words: &str) {
    ui.centered_and_justified(|ui| {
        ui.label(RichText::new(words).color(ctx.palette.quiet));
    });
}

fn head_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, rect: Rect) {
    let layout = Layout::right_to_left(Align::Center);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    let ui = &mut child;
    ui.add_space(space::WIDE);
    let hint = "Show the drawing of the loop and the curves again (Ctrl+M).";
    if ui.button("Back to the loop").on_hover_text(hint).clicked() {
        ctx.ask(Command::Show(Shown::Loop));
    }
    let hint = "Write every line of the yearly cost, and what it means, to a CSV file.";
    let can_write = !ctx.is_opening && ctx.results.figures().is_some();
    let button = ui.add_enabled(can_write, Button::new("Write to a file…"));
    if button.on_hover_text(hint).clicked() {
        ctx.ask(Command::Export(Export::Money));
    }
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        ui.add_space(space::WIDE);
        let name = RichText::new("Money").size(size::HEADING).strong();
        ui.label(name.color(ctx.palette.ink));
        ui.add_space(space::NEAR);
        let prices = ctx.document.and_then(|d| d.scenario.prices.as_ref());
        let of = prices.map_or_else(String::new, |p| {
            let date = p.date.as_ref();
            let date = date.map_or_else(String::new, |d| format!(" of {d}"));
            let currency = p.currency.as_deref().unwrap_or("no currency given");
            format!("{currency}, at the scenario's prices{date}")
        });
        let year = if prices.is_some() {
            format!("a year of the settled week in {of}")
        } else {
            "the scenario has no prices".to_owned()
        };
        let words = match ctx.pinned {
            Some(pinned) => vec![
                format!("{year}; before is {}", pinned.name),
                format!("{of}; before is {}", pinned.name),
                format!("before is {}", pinned.name),
                of,
            ],
            None => vec![year, of],
        };
        let notes = prices.and_then(|p| p.notes.as_deref());
        let notes = notes.map_or_else(String::new, |n| {
            format!("\nOf its prices the scenario says: {n}")
        });
        let full = words.first().cloned().unwrap_or_default() + &notes;
        fitting_words(ui, ctx.palette, &words, &full);
    });
}

/// An amount to whole units, with its currency.
fn money(amount: f64, currency: &str) -> String {
    joined((whole(amount), currency))
}

/// A change: the answer first, then where it comes from and how the money flows.
fn change_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    body: Rect,
    (payback, scenario): (&Payback, &Scenario),
    side: &mut Side,
) {
    let mut answer = payback.words(&|amount| money(amount, &payback.currency), &years);
    for warning in payback.warnings() {
        answer.push(' ');
        answer.push_str(&warning);
    }
    let color = if payback.is_good() {
        ctx.palette.good
    } else {
        ctx.palette.caution
    };
    // What is to be known before the answer is believed may take some lines.
    let font = font(size::HEADING);
    let words = ui.painter().layout(answer, font, color, body.width());
    let high = ANSWER.max(words.size().y + space::WIDE);
    let top = Rect::from_center_size(
        pos2(body.center().x, body.top() + 0.5 * high),
        vec2(body.width(), words.size().y),
    );
    let layout = Layout::top_down(Align::Min);
    let mut child = ui.new_child(UiBuilder::new().max_rect(top).layout(layout));
    child.label(words);
    let rest = Rect::from_min_max(pos2(body.left(), body.top() + high), body.max);
    let split = rest.right() - SIDE.min(0.5 * rest.width());
    let left = Rect::from_min_max(rest.min, pos2(split - space::WIDE, rest.bottom()));
    let right = Rect::from_min_max(pos2(split, rest.top()), rest.max);
    let choice = Rect::from_min_size(left.min, vec2(left.width(), CHOICE));
    side_ui(ui, choice, side);
    let left = Rect::from_min_max(pos2(left.left(), choice.bottom()), left.max);
    match side {
        Side::Steps => steps::steps_ui(ctx, ui, left, payback),
        Side::Pays => pays::pays_ui(ctx, ui, left, payback),
        Side::Moves => tornado::tornado_ui(ctx, ui, left, payback),
    }
    cash::cash_ui(ctx, ui, right, payback, scenario);
}

/// What stands beside the flow of money is chosen here.
fn side_ui(ui: &mut Ui, rect: Rect, side: &mut Side) {
    let layout = Layout::left_to_right(Align::Min);
    let mut child = ui.new_child(
        UiBuilder::new()
            .max_rect(rect)
            .layout(layout)
            .id_salt("side"),
    );
    for (offered, name, hint) in Side::ALL {
        let is_chosen = *side == offered;
        let button = child.add(Button::selectable(is_chosen, name).frame_when_inactive(true));
        if button.on_hover_text(hint).clicked() {
            *side = offered;
        }
    }
}

/// One line of words and a number at the right edge.
fn row_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, name: &str, told: &str, hint: &str) {
    let wide = ui.available_width();
    let layout = Layout::right_to_left(Align::Center);
    let row = ui.allocate_ui_with_layout(vec2(wide, 20.0), layout, |ui| {
        ui.set_min_size(vec2(wide, 20.0));
        let text = |words: &str, color| RichText::new(words).size(size::BODY).color(color);
        ui.add(Label::new(text(told, ctx.palette.ink)).wrap_mode(egui::TextWrapMode::Extend));
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            ui.add(Label::new(text(name, ctx.palette.quiet)).truncate());
        });
    });
    if !hint.is_empty() {
        row.response.on_hover_text(hint);
    }
}

/// What is used and has no price.
fn uncounted_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, uncounted: &[String]) {
    if uncounted.is_empty() {
        return;
    }
    ui.add_space(space::NEAR);
    let words = format!("Not counted: {}.", uncounted.join("; "));
    let text = RichText::new(words)
        .size(size::SMALL)
        .color(ctx.palette.caution);
    ui.add(Label::new(text).wrap());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_have_their_currency() {
        assert_eq!(money(12.0, "EUR"), "12\u{a0}EUR");
    }

    /// By hand: 0.02 of 365 days. All digits of a terminal, so that the two agree.
    #[test]
    fn times_are_as_a_terminal_tells_them() {
        assert_eq!(years(0.02), "7.3 days");
        assert_eq!(years(2.64), "2.64 years");
    }
}
