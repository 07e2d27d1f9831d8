//! Sizing: what must be installed so that work leaves clean enough and the loop closes. A table of layouts, the trade-off between them, and the one
//! that is looked at.

mod details;
mod head;
mod plot;
mod reaches;
mod table;

use dragback_scenario::Layout;
use egui::{Label, Rect, RichText, Ui, UiBuilder, Vec2, pos2, vec2};

use crate::command::Command;
use crate::sizing::{Height, OnBench, Progress, SizingTable, on_bench};
use crate::theme::space;
use crate::view_ctx::ViewCtx;
use crate::widgets::{AnswerEdit, roomy};

/// The panel; it keeps what is typed, what is looked at and what is unfolded.
#[derive(Default)]
pub struct SizingPanel {
    limit: AnswerEdit,
    /// Number of the document and key of the loop whose limit was put into the field.
    limit_of: Option<(u64, String)>,
    /// What is wrong with the limit that was typed.
    fault: Option<String>,
    height: Height,
    chosen: Option<Layout>,
    /// Whether the rows that something stops are unfolded.
    is_unfolded: bool,
}

/// Height of the line with the field and the buttons.
const HEAD: f32 = 32.0;
/// Height of a line of words under it.
const NOTE: f32 = 24.0;
/// Width of the column with the plot and the row that is looked at.
const SIDE: f32 = 356.0;
/// Share of that column that the plot takes.
const PLOT: f32 = 0.48;
/// Least room in which it can be read.
const LEAST: Vec2 = vec2(940.0, 420.0);

impl SizingPanel {
    /// Draws sizing into what is left of the window.
    pub fn ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui) {
        let area = ui.available_rect_before_wrap();
        let head = Rect::from_min_size(area.min, vec2(area.width(), HEAD));
        self.head_ui(ctx, ui, head);
        let mut top = area.top() + HEAD;
        let across = (area.left() + space::WIDE)..=(area.right() - space::WIDE);
        if let Some((words, color)) = self.note(ctx) {
            let line = Rect::from_x_y_ranges(across.clone(), top..=top + NOTE);
            let mut child = ui.new_child(UiBuilder::new().max_rect(line).id_salt("note"));
            child.add(Label::new(RichText::new(&words).color(color)).truncate());
            top += NOTE;
        }
        let body = Rect::from_x_y_ranges(across, top + space::TIGHT..=area.bottom() - space::NEAR);
        match ctx.results.sizing() {
            Some(table) if !table.rows.is_empty() => {
                roomy(ui, body, LEAST, |ui, body| {
                    self.body_ui(ctx, ui, body, table)
                });
            }
            other => {
                let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("no rows"));
                self.empty_ui(ctx, &mut child, other.map(AsRef::as_ref));
            }
        }
    }

    fn body_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, body: Rect, table: &SizingTable) {
        let split = body.right() - SIDE.max(0.36 * body.width());
        let left = Rect::from_min_max(body.min, pos2(split - space::WIDE, body.bottom()));
        let right = Rect::from_min_max(pos2(split, body.top()), body.max);
        let foot = left.bottom() - reaches::height(table);
        let rows = Rect::from_min_max(left.min, pos2(left.right(), foot));
        let chosen = self.chosen.and_then(|plan| table.row(plan));
        let chosen = chosen
            .filter(|row| row.verified)
            .or_else(|| table.working().next());
        let looked_at = chosen.map(|row| row.plan);
        let mut next = table::table_ui(ctx, ui, rows, table, looked_at, &mut self.is_unfolded);
        let rect = Rect::from_min_max(pos2(left.left(), foot), left.max);
        reaches::reaches_ui(ctx, ui, rect, table);
        let cut = right.top() + PLOT * right.height();
        let rect = Rect::from_min_max(right.min, pos2(right.right(), cut));
        next = next.or(plot::plot_ui(
            ctx,
            ui,
            rect,
            table,
            looked_at,
            &mut self.height,
        ));
        let rect = Rect::from_min_max(pos2(right.left(), cut + space::NEAR), right.max);
        if let Some(row) = chosen {
            details::details_ui(ctx, ui, rect, table, row);
        }
        self.chosen = next.or(self.chosen);
    }

    /// A line of words under the head: what is wrong with the limit, or what the table is to the line on the bench.
    fn note(&self, ctx: &ViewCtx<'_>) -> Option<(String, egui::Color32)> {
        let palette = ctx.palette;
        if let Some(fault) = &self.fault {
            return Some((fault.clone(), palette.alarm));
        }
        let (table, document) = (ctx.results.sizing()?, ctx.document?);
        let words = match on_bench(table, ctx.results.taken.as_ref(), document) {
            OnBench::Changed => {
                "The table is of the line before it was changed. “Size anew” brings it up to date."
                    .to_owned()
            }
            OnBench::OtherLoop => {
                let line = table.of.scenario.loops.get(&table.of.loop_key);
                let title = line.and_then(|l| l.title.as_deref());
                let title = title.unwrap_or(&table.of.loop_key);
                format!("The table is of the loop “{title}”. “Size anew” looks at the present one.")
            }
            OnBench::Row(_) => {
                let words =
                    "The row marked ▶ is the present line; the table is of the line before it.";
                return Some((words.to_owned(), palette.quiet));
            }
            OnBench::Sized if table.progress == Progress::GivenUp => {
                format!("Given up: {} layouts were looked at.", table.rows.len())
            }
            OnBench::Sized => return None,
        };
        Some((words, palette.caution))
    }

    /// What stands there while there are no rows: why, and one button.
    fn empty_ui(&mut self, ctx: &ViewCtx<'_>, ui: &mut Ui, table: Option<&SizingTable>) {
        ui.add_space(space::WIDE);
        let mut color = ctx.palette.quiet;
        let words = match table.map(|t| &t.progress) {
            Some(Progress::Failed(why)) => {
                color = ctx.palette.alarm;
                why
            }
            Some(Progress::Underway) => "Looking for the least rinse water of each layout …",
            Some(Progress::GivenUp) => "Given up before the first row.",
            _ => {
                "One to six counterflow rinses, with a still rinse or a spray before them or without, with a free final rinse or without, closed by the \
                 bath's surface, by a tower on the bath or by a heated holding tank: for each, the least rinse water that keeps the film on the work \
                 below the final rinse in the worst hour of the settled week, and the towers, heaters and tanks that it then needs. Site, work, bath \
                 and prices are those of the line as it stands. Every row is settled before it is shown; that takes some seconds."
            }
        };
        ui.set_max_width(640.0);
        ui.label(RichText::new(words).color(color));
        if table.is_none_or(|t| t.progress != Progress::Underway) {
            ui.add_space(space::NEAR);
            self.begin_button(ctx, ui, "Size the line");
        }
    }

    /// Asks for a table, or keeps what is wrong with the limit.
    fn size(&mut self, ctx: &ViewCtx<'_>) {
        let Some(document) = ctx.document else { return };
        let text = self.limit.answer();
        let found = dragback_study::size::wanted(&document.scenario, &document.loop_key, text);
        self.fault = match found {
            Ok(_) => {
                ctx.ask(Command::SizeLayouts(text.to_owned()));
                None
            }
            Err(problem) => Some(format!(
                "Final rinse: {}; {}.",
                problem.message, problem.advice
            )),
        };
    }
}
