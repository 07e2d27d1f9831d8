//! Drag-out from a measurement, with how sure it is, and the button that sets the lever.

use std::collections::BTreeMap;

use dragback_properties::film::DragOut;
use dragback_units::{Dim, Style, System, Unit, format, format_in};
use egui::{Button, RichText, Ui, vec2};

use super::page::{cell, head_ui};
use crate::command::Command;
use crate::document::{Lever, Role};
use crate::measured::{CountedAs, Measured, Method, Readings};
use crate::number::amount_told;
use crate::theme::{size, space};
use crate::view_ctx::ViewCtx;
use crate::widgets::{AnswerEdit, quiet};
use crate::words::sentence;

/// A reading that is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Field {
    Tank,
    Before,
    After,
    Bath,
    Volume,
    Loads,
    Area,
    Rate,
}

impl Field {
    const fn name(self) -> &'static str {
        match self {
            Self::Tank => "Liquid in the rinse",
            Self::Before => "Rinse before the first rack",
            Self::After => "Rinse after the last rack",
            Self::Bath => "Strength of the bath",
            Self::Volume => "Volume caught",
            Self::Loads => "Racks",
            Self::Area => "Area of a rack",
            Self::Rate => "Racks an hour",
        }
    }

    const fn hint(self) -> &'static str {
        match self {
            Self::Tank => "At the level it had while racks were rinsed.",
            Self::Before => "Analysed after the water was shut.",
            Self::After => "The same substance as in the bath; the rinse stirred.",
            Self::Bath => "Analysed the same day.",
            Self::Volume => "Of all racks together.",
            Self::Loads => "Counted; a barrel is a rack.",
            Self::Area => "Both sides, and what of the rack is wetted.",
            Self::Rate => "While work runs.",
        }
    }

    const fn dim(self) -> Dim {
        match self {
            Self::Tank | Self::Volume => Dim::Volume,
            Self::Before | Self::After | Self::Bath => Dim::Concentration,
            Self::Loads => Dim::Number,
            Self::Area => Dim::Area,
            Self::Rate => Dim::LoadRate,
        }
    }

    fn unit(self, system: System) -> &'static Unit {
        let style = match self {
            Self::Before | Self::After => Style::Rinse,
            Self::Bath => Style::Bath,
            _ => Style::Default,
        };
        self.dim().display_unit(system, style)
    }

    /// Uncertainty to begin with: 5 % of volumes and rinse, 3 % of a bath by ordinary titration, racks counted exactly (practice, from memory).
    const fn within(self) -> Option<&'static str> {
        match self {
            Self::Tank | Self::After | Self::Volume => Some("5 %"),
            Self::Bath => Some("3 %"),
            Self::Loads => Some("0 %"),
            Self::Before | Self::Area | Self::Rate => None,
        }
    }

    const fn of(method: Method) -> &'static [Self] {
        match method {
            Method::Still => &[Self::Tank, Self::After, Self::Bath, Self::Loads],
            Method::Shut => &[
                Self::Tank,
                Self::Before,
                Self::After,
                Self::Bath,
                Self::Loads,
            ],
            Method::Bucket => &[Self::Volume, Self::Loads],
        }
    }

    const fn beside(counted: CountedAs) -> Option<Self> {
        match counted {
            CountedAs::Film => Some(Self::Area),
            CountedAs::Flow => Some(Self::Rate),
            CountedAs::Rack => None,
        }
    }
}

/// The page; it keeps what was read, also while it is away.
#[derive(Default)]
pub struct DragOutPanel {
    method: Method,
    values: BTreeMap<Field, AnswerEdit>,
    within: BTreeMap<Field, AnswerEdit>,
}

const ASK: f32 = 230.0;
const ANSWER: f32 = 120.0;
const WITHIN: f32 = 70.0;
const LEFT: f32 = 660.0;

impl DragOutPanel {
    /// Draws the page.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let about = "From a reading of your own line to drag-out, and how sure it is. Gloves and glasses on: hot solution scalds and is toxic.";
        head_ui(ctx, ui, "Measure drag-out", about);
        ui.horizontal(|ui| {
            for method in Method::ALL {
                let button = Button::selectable(self.method == method, method.name());
                if ui.add(button).clicked() {
                    self.method = method;
                }
            }
        });
        ui.add_space(space::NEAR);
        let lever = ctx
            .document
            .and_then(|d| d.levers.iter().find(|l| l.role == Some(Role::DragOut)));
        let counted = lever.and_then(|l| CountedAs::of(l.dim));
        ui.horizontal_top(|ui| {
            cell(ui, LEFT, |ui| {
                ui.label(RichText::new(self.method.how()).color(ctx.palette.ink));
                ui.add_space(space::NEAR);
                self.fields_ui(ctx, ui, counted);
            });
            ui.add_space(space::WIDE);
            cell(ui, ui.available_width(), |ui| {
                self.found_ui(ctx, ui, lever, counted);
            });
        });
    }

    fn fields_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, counted: Option<CountedAs>) {
        let beside = counted.and_then(Field::beside);
        for field in Field::of(self.method).iter().copied().chain(beside) {
            let value = self.values.entry(field).or_default();
            let unit = field.unit(ctx.prefs.system);
            ui.horizontal_top(|ui| {
                cell(ui, ASK, |ui| {
                    let words = RichText::new(field.name()).strong();
                    ui.label(words.color(ctx.palette.ink));
                    quiet(ui, ctx.palette, field.hint());
                });
                let example = if unit.symbol.is_empty() {
                    "number"
                } else {
                    unit.symbol
                };
                cell(ui, ANSWER, |ui| {
                    value.ui(ui, ctx.palette, field.name(), example, unit)
                });
                let mut fault = read(field, value.answer()).err();
                if let Some(usual) = field.within() {
                    cell(ui, 38.0, |ui| {
                        ui.add_space(3.0);
                        ui.label(RichText::new("within").color(ctx.palette.quiet));
                    });
                    let edit = self.within.entry(field);
                    let edit = edit.or_insert_with(|| AnswerEdit::of(usual));
                    let name = format!("{} is known within", field.name());
                    let percent = Dim::Fraction.display_unit(System::Metric, Style::Default);
                    cell(ui, WITHIN, |ui| {
                        edit.ui(ui, ctx.palette, &name, "0 %", percent)
                    });
                    fault = fault.or_else(|| within(edit.answer()).err());
                }
                if let Some(fault) = fault {
                    cell(ui, ui.available_width(), |ui| {
                        let words = RichText::new(fault).size(size::SMALL);
                        ui.label(words.color(ctx.palette.alarm));
                    });
                }
            });
            ui.add_space(space::TIGHT);
        }
    }

    fn value(&self, field: Field) -> Option<f64> {
        read(field, self.values.get(&field)?.answer()).ok()?
    }

    /// A reading with its uncertainty.
    fn reading(&self, field: Field) -> Option<(f64, f64)> {
        let usual = field.within().unwrap_or_default();
        let text = self.within.get(&field).map_or(usual, AnswerEdit::answer);
        Some((self.value(field)?, within(text).ok()?))
    }

    /// The readings, once all are there.
    fn readings(&self) -> Option<Readings> {
        let loads = self.reading(Field::Loads)?;
        if self.method == Method::Bucket {
            let volume = self.reading(Field::Volume)?;
            return Some(Readings::Caught { volume, loads });
        }
        let before = match self.method {
            Method::Shut => self.value(Field::Before)?,
            _ => 0.0,
        };
        Some(Readings::Rise {
            tank: self.reading(Field::Tank)?,
            before,
            after: self.reading(Field::After)?,
            bath: self.reading(Field::Bath)?,
            loads,
        })
    }

    fn found_ui(
        &self,
        ctx: &ViewCtx<'_>,
        ui: &mut Ui,
        lever: Option<&Lever>,
        counted: Option<CountedAs>,
    ) {
        let found = match self.readings().map(|r| r.drag_out()) {
            None => {
                quiet(ui, ctx.palette, "Drag-out of a rack");
                let dash = RichText::new(crate::number::NO_NUMBER).size(size::KEY);
                ui.label(dash.color(ctx.palette.ink));
                quiet(ui, ctx.palette, "stands here once all readings are there.");
                return;
            }
            Some(Err(why)) => {
                let words = why.words(&|a| amount_told(a, ctx.prefs.system));
                ui.label(RichText::new(sentence(&words)).color(ctx.palette.alarm));
                return;
            }
            Some(Ok(found)) => found,
        };
        rack_ui(ctx, ui, &found);
        let (Some(lever), Some(counted)) = (lever, counted) else {
            return;
        };
        let other = Field::beside(counted).map_or(Some(1.0), |f| self.value(f));
        match other.and_then(|o| counted.value(&lever.path, &found, o)) {
            Some(measured) => set_ui(ctx, ui, lever, &measured),
            None => {
                let asked = Field::beside(counted)
                    .map_or("", Field::name)
                    .to_lowercase();
                let words = format!("With the {asked} it can set the lever.");
                quiet(ui, ctx.palette, words);
            }
        }
    }
}

/// Drag-out of a rack.
fn rack_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, found: &DragOut) {
    let system = ctx.prefs.system;
    let volume = |m3: f64| format(Dim::Volume, m3, system, Style::Default);
    quiet(ui, ctx.palette, "Drag-out of a rack");
    let key = RichText::new(volume(found.m3_per_load)).size(size::KEY);
    ui.label(key.color(ctx.palette.ink));
    let words = format!(
        "{} to {}, known within {}",
        volume(found.low_m3_per_load),
        volume(found.high_m3_per_load),
        found.known_within()
    );
    ui.label(RichText::new(words).color(ctx.palette.ink));
    ui.add_space(space::WIDE);
}

/// What it makes of the lever.
fn set_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, lever: &Lever, measured: &Measured) {
    let unit = lever.dim.display_unit(ctx.prefs.system, Style::Default);
    let text = |si: f64| format_in(unit, si, 3);
    quiet(ui, ctx.palette, "The drag-out lever would be");
    let figure = RichText::new(text(measured.si)).size(size::FIGURE);
    ui.label(figure.color(ctx.palette.accent));
    let words = format!("{} to {}", text(measured.low_si), text(measured.high_si));
    ui.label(RichText::new(words).color(ctx.palette.ink));
    quiet(ui, ctx.palette, format!("now {}", text(lever.si)));
    ui.add_space(space::NEAR);
    let button = Button::new(RichText::new("Set the lever").size(size::HEADING));
    let button = ui.add_sized(vec2(170.0, 34.0), button);
    let hint = "Marked as measured, with its range. Undo takes it back.";
    if button.on_hover_text(hint).clicked() {
        ctx.ask(Command::TakeDragOut(measured.clone()));
    }
    if let Some(problem) = ctx.faults.get(&lever.path) {
        let words = sentence(&format!("{}; {}", problem.message, problem.advice));
        ui.label(RichText::new(words).color(ctx.palette.alarm));
    }
}

/// A reading, SI; `None` while it is open.
fn read(field: Field, text: &str) -> Result<Option<f64>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let si = field.dim().parse(text).map_err(|why| why.to_string())?;
    // Before the first rack there may be nothing in the rinse.
    let may_be_zero = field == Field::Before;
    if si > 0.0 || (may_be_zero && si == 0.0) {
        Ok(Some(si))
    } else if may_be_zero {
        Err("It cannot be below 0.".to_owned())
    } else {
        Err("It must be above 0.".to_owned())
    }
}

/// A relative uncertainty (–).
fn within(text: &str) -> Result<f64, String> {
    if text.is_empty() {
        return Ok(0.0);
    }
    let share = Dim::Fraction.parse(text).map_err(|why| why.to_string())?;
    if (0.0..=1.0).contains(&share) {
        Ok(share)
    } else {
        Err("Give 0 to 100 %.".to_owned())
    }
}
