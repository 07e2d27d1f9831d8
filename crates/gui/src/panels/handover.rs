//! What is written into a report, and the buttons that write it.

use egui::{Align, Button, Checkbox, Layout, ProgressBar, RichText, TextEdit, Ui, vec2};

use super::page::{cell, head_ui};
use crate::command::Command;
use crate::export::Export;
use crate::handover::{ReportAsked, ReportKind, Tally};
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;

/// Field of the scenario, its name, and what belongs there.
type Line = (&'static str, &'static str, &'static str);

const HEAD: [Line; 5] = [
    ("shop", "Shop", "The shop that the line stands in."),
    ("line", "Line", "What the shop calls the line."),
    ("author", "Prepared by", "Who answers for the report."),
    ("date", "Date", "As it is to be written."),
    ("revision", "Revision", "Such as A, then B after a change."),
];

const KINDS: [(ReportKind, &str, &str); 4] = [
    (
        ReportKind::Pdf,
        "PDF file…",
        "Pages to print or send: A4, or US Letter in US units.",
    ),
    (
        ReportKind::Page,
        "Web page…",
        "One file that any browser opens, with nothing else beside it.",
    ),
    (
        ReportKind::Sheet,
        "Tables (CSV)…",
        "All tables of the report for a spreadsheet.",
    ),
    (
        ReportKind::Data,
        "Data (JSON)…",
        "Everything with all digits: answers, curves, money, sizes.",
    ),
];

/// What a report tells, in its order.
const TOLD: &str = "The answer first; the line drawn; settled figures; the first 90 days; what must be installed; money; impurities and solubility; alarms, and what a day's standstill does; the ledger; cautions; then every input with where it comes from, the method with its sources, and where it holds.";

/// The page; it keeps what is being typed and what is wanted.
pub struct HandoverPanel {
    /// What stands in the fields, and the document that they are of.
    texts: [String; HEAD.len()],
    typing: Option<usize>,
    is_against: bool,
    has_sizes: bool,
}

impl Default for HandoverPanel {
    fn default() -> Self {
        Self {
            texts: Default::default(),
            typing: None,
            is_against: true,
            has_sizes: true,
        }
    }
}

const NAMES: f32 = 110.0;
const FIELDS: f32 = 320.0;
const FIELD_HIGH: f32 = 22.0;
const LEFT: f32 = 500.0;
const BAR: f32 = 160.0;

impl HandoverPanel {
    /// Draws the page.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let about = "A document that a customer's engineer can check, of the line as it stands now, in the units shown.";
        head_ui(ctx, ui, "Report", about);
        ui.horizontal_top(|ui| {
            cell(ui, LEFT, |ui| self.head_ui(ctx, ui));
            ui.add_space(space::WIDE);
            cell(ui, ui.available_width(), |ui| {
                self.wanted_ui(ctx, ui);
                ui.add_space(space::WIDE);
                self.write_ui(ctx, ui);
            });
        });
        ui.add_space(space::WIDE);
        heading(ctx, ui, "What stands in it");
        ui.label(RichText::new(TOLD).color(ctx.palette.quiet));
        ui.add_space(space::NEAR);
        let words = "Estimates from balances and published correlations, not a design: local codes and licensed practice decide. The report says so, with the usual cautions.";
        ui.label(RichText::new(words).color(ctx.palette.quiet));
    }

    /// The fields of the head; they are saved with the scenario.
    fn head_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        heading(ctx, ui, "Its head");
        let block = ctx.document.and_then(|d| d.scenario.title_block.as_ref());
        let now: [Option<&str>; HEAD.len()] = [
            block.and_then(|b| b.shop.as_deref()),
            block.and_then(|b| b.line.as_deref()),
            block.and_then(|b| b.author.as_deref()),
            block.and_then(|b| b.date.as_deref()),
            block.and_then(|b| b.revision.as_deref()),
        ];
        for (i, (field, name, hint)) in HEAD.into_iter().enumerate() {
            let now = now[i].unwrap_or("");
            if self.typing != Some(i) && self.texts[i] != now {
                now.clone_into(&mut self.texts[i]);
            }
            ui.horizontal(|ui| {
                let words = RichText::new(name).color(ctx.palette.ink);
                let across = Layout::left_to_right(Align::Center);
                ui.allocate_ui_with_layout(vec2(NAMES, FIELD_HIGH), across, |ui| {
                    ui.set_width(NAMES);
                    ui.label(words);
                });
                let edit = TextEdit::singleline(&mut self.texts[i])
                    .hint_text("left open")
                    .char_limit(120)
                    .text_color(ctx.palette.accent)
                    .desired_width(FIELDS)
                    .margin(vec2(6.0, 3.0));
                let response = ui.add_enabled(ctx.document.is_some(), edit);
                let response = response.accessible_name(name).on_hover_text(hint);
                if response.gained_focus() {
                    self.typing = Some(i);
                }
                if response.lost_focus() {
                    self.typing = None;
                    if self.texts[i].trim() != now {
                        ctx.ask(Command::SetHead(field, self.texts[i].clone()));
                    }
                }
            });
        }
        ui.add_space(space::TIGHT);
        let words = "Saved with the line. Nothing is worked out from it.";
        let words = RichText::new(words).size(size::SMALL);
        ui.label(words.color(ctx.palette.quiet));
    }

    fn wanted_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        heading(ctx, ui, "What it tells");
        let (words, hint) = match ctx.pinned {
            Some(pinned) => (
                format!("What the change brings against {}", pinned.name),
                "Cost before and after, payback, and what it hangs on, at the prices of the line as it stands now.",
            ),
            None => (
                "What a change brings".to_owned(),
                "Pin a state, or choose File, Compare with…, and this report tells what the change from it brings.",
            ),
        };
        // Without a state to tell a change from there is none, whatever was ticked.
        let mut none = false;
        let is_there = ctx.pinned.is_some();
        let ticked = if is_there {
            &mut self.is_against
        } else {
            &mut none
        };
        let against = ui.add_enabled(is_there, Checkbox::new(ticked, words));
        against.on_hover_text(hint).on_disabled_hover_text(hint);
        let words = "What must be installed, from one rinse to six";
        let sizes = ui.add(Checkbox::new(&mut self.has_sizes, words));
        sizes.on_hover_text("Layouts that differ from the line in the number of counterflow rinses and in what closes the loop, for the limit of the film on the work: that for which the sheet Sizing was filled last, else the line's own. Takes a second or two.");
    }

    fn write_ui(&self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        heading(ctx, ui, "Write it to");
        ui.horizontal_wrapped(|ui| {
            for (kind, words, hint) in KINDS {
                let can = kind != ReportKind::Pdf || ctx.makes_pdf;
                let is_free = ctx.document.is_some() && !ctx.is_opening && can;
                let button = Button::new(RichText::new(words).size(size::HEADING));
                let button = ui.add_enabled(is_free, button.min_size(vec2(0.0, 32.0)));
                let missing =
                    "This program was built without PDF files; a web page can be printed to one.";
                let button = button.on_hover_text(hint);
                let why = if can { hint } else { missing };
                if button.on_disabled_hover_text(why).clicked() {
                    let asked = ReportAsked {
                        kind,
                        is_against: self.is_against,
                        has_sizes: self.has_sizes,
                    };
                    ctx.ask(Command::Export(Export::Report(asked)));
                }
            }
        });
        if let Some(share) = ctx.tally.and_then(Tally::share) {
            underway_ui(ctx, ui, share);
        }
    }
}

/// How far the report has come, and a button that gives it up.
fn underway_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, share: f32) {
    ui.add_space(space::NEAR);
    ui.horizontal(|ui| {
        let bar = ui.add(ProgressBar::new(share).desired_width(BAR));
        bar.accessible_name("Share of the report that is worked out");
        // The last part is the paper itself, which takes less than a second.
        let words = if share < 1.0 {
            let hint = "Nothing is written then.";
            if ui.button("Give up").on_hover_text(hint).clicked() {
                ctx.ask(Command::GiveUpReport);
            }
            "Working it out…"
        } else {
            "Writing it…"
        };
        ui.label(RichText::new(words).color(ctx.palette.quiet));
    });
}

fn heading(ctx: &ViewCtx<'_>, ui: &mut Ui, words: &str) {
    let words = RichText::new(words).size(size::HEADING);
    ui.label(words.color(ctx.palette.ink));
    ui.add_space(space::TIGHT);
}
