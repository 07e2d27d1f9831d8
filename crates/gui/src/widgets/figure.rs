//! A figure: what it is, its number with its unit, and what goes with it.

use egui::accesskit::Role;
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{Color32, Response, Sense, Ui, Vec2, WidgetInfo, pos2, vec2};

use crate::theme::{Palette, font, size};
use crate::workings::Formula;

/// How a figure is meant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// As it is.
    #[default]
    Plain,
    /// All is well.
    Good,
    /// Look here.
    Caution,
    /// A limit is passed.
    Alarm,
    /// Not up to date yet.
    Stale,
}

impl Tone {
    /// Its colour.
    #[must_use]
    pub const fn color(self, palette: &Palette) -> Color32 {
        match self {
            Self::Plain => palette.ink,
            Self::Good => palette.good,
            Self::Caution => palette.caution,
            Self::Alarm => palette.alarm,
            Self::Stale => palette.quiet,
        }
    }
}

/// What a figure says.
#[derive(Clone, Debug, Default)]
pub struct FigureText {
    /// What it is.
    pub name: String,
    /// The number.
    pub number: String,
    /// Its unit.
    pub unit: String,
    /// What goes with it, in one short line or two.
    pub beside: String,
    /// How the number is meant.
    pub tone: Tone,
    /// How what goes with it is meant.
    pub beside_tone: Tone,
    /// What it was in the state that is kept to compare with.
    pub compared: String,
    /// What it means and its full value, shown when the pointer rests on it.
    pub hint: String,
    /// Its formula, which may be asked for by pressing it.
    pub formula: Option<Formula>,
}

impl FigureText {
    /// The same in grey, where it is not of what is meant.
    #[must_use]
    pub fn greyed(self, is_so: bool) -> Self {
        if !is_so {
            return self;
        }
        Self {
            tone: Tone::Stale,
            beside_tone: Tone::Stale,
            ..self
        }
    }
}

/// Draws a companion of the key figure into a block of fixed size.
pub fn figure_ui(ui: &mut Ui, palette: &Palette, text: &FigureText, block: Vec2) -> Response {
    show(ui, palette, text, block, size::FIGURE)
}

/// Draws the key figure.
pub fn key_figure_ui(ui: &mut Ui, palette: &Palette, text: &FigureText, block: Vec2) -> Response {
    show(ui, palette, text, block, size::KEY)
}

fn show(ui: &mut Ui, palette: &Palette, text: &FigureText, block: Vec2, points: f32) -> Response {
    let sense = match text.formula {
        Some(_) => Sense::click(),
        None => Sense::hover(),
    };
    let (rect, response) = ui.allocate_exact_size(block, sense);
    let painter = ui.painter_at(rect);
    let line = |words: &str, points: f32, color: Color32, rows: usize| {
        let mut job = LayoutJob::single_section(
            words.to_owned(),
            TextFormat {
                font_id: font(points),
                color,
                ..TextFormat::default()
            },
        );
        job.wrap = TextWrapping {
            max_width: block.x,
            max_rows: rows,
            ..TextWrapping::default()
        };
        painter.layout_job(job)
    };
    let name = line(&text.name, size::SMALL, palette.quiet, 1);
    painter.galley(rect.min, name, palette.quiet);
    let color = text.tone.color(palette);
    let number = line(&text.number, points, color, 1);
    // Names, numbers and companions of all figures stand on the same three lines.
    let baseline = rect.top() + 48.0;
    let number_at = pos2(rect.left(), baseline - 0.8 * number.size().y);
    let unit_left = number_at.x + number.size().x + 4.0;
    let unit = line(&text.unit, size::BODY, palette.quiet, 1);
    painter.galley(number_at, number, color);
    painter.galley(
        pos2(unit_left, baseline - 0.8 * unit.size().y),
        unit,
        palette.quiet,
    );
    let beside_color = match text.beside_tone {
        Tone::Plain => palette.quiet,
        other => other.color(palette),
    };
    let beside = line(&text.beside, size::SMALL, beside_color, 2);
    painter.galley(rect.min + vec2(0.0, 56.0), beside, beside_color);
    if !text.compared.is_empty() {
        let compared = line(&text.compared, size::SMALL, palette.accent, 1);
        painter.galley(rect.min + vec2(0.0, 84.0), compared, palette.accent);
    }
    let said = format!(
        "{}: {} {}, {} {}",
        text.name, text.number, text.unit, text.beside, text.compared
    );
    if text.formula.is_none() {
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
        return if text.hint.is_empty() {
            response
        } else {
            response.on_hover_text(&text.hint)
        };
    }
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &said));
    if response.hovered() || response.has_focus() {
        let at = rect.left_top() + vec2(0.0, 18.0);
        let to = pos2(rect.left() + 24.0, at.y);
        ui.painter().line_segment([at, to], (1.5, palette.accent));
    }
    response.on_hover_text(format!("{} Press for the formula.", text.hint))
}
