//! The table of layouts: those that work, the best first; and folded away what stops the others.

use dragback_report::told::sizes::{evaporation, working_notes};
use dragback_scenario::Layout as Plan;
use dragback_study::size::{Rank, Row};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, percent_of_whole};
use egui::accesskit::Role;
use egui::{
    Align, Align2, Color32, EventFilter, Key, Layout, Modifiers, Rect, Response, RichText,
    ScrollArea, Sense, Stroke, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use crate::number::{NO_NUMBER, joined, shown, three, whole};
use crate::sizing::{OnBench, SizingTable, closed_words, on_bench, rinses_words, row_words};
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;

/// Height of a row, and of the two lines of the head.
const ROW: f32 = 21.0;
const HEAD: f32 = 32.0;
/// Height of the line under the rows.
const FOOT: f32 = 28.0;
/// Width of the column of marks.
const MARK: f32 = 16.0;

/// A column of numbers: its head in two lines, its share of the width.
struct Column {
    head: [String; 2],
    share: f32,
}

/// Draws the table; gives the row that was chosen in this frame.
pub(super) fn table_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    table: &SizingTable,
    looked_at: Option<Plan>,
    is_unfolded: &mut bool,
) -> Option<Plan> {
    let foot = pos2(rect.left(), rect.bottom() - FOOT);
    fold_ui(
        ctx,
        ui,
        Rect::from_min_max(foot, rect.max),
        table,
        is_unfolded,
    );
    let rect = Rect::from_min_max(rect.min, pos2(rect.right(), foot.y));
    if *is_unfolded {
        let mut child = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("stopped rows"));
        stopped_ui(ctx, &mut child, table);
        return None;
    }
    let columns = columns(ctx, table);
    let places = places(rect.width() - space::WIDE, &columns);
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), HEAD));
    head_ui(ctx, ui, head, &columns, &places);
    let rest = Rect::from_min_max(pos2(rect.left(), head.bottom()), rect.max);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rest).id_salt("sizing rows"));
    let rows = ScrollArea::vertical().auto_shrink([false, false]);
    let shown = rows.show(&mut child, |ui| {
        working_ui(ctx, ui, table, looked_at, &places)
    });
    shown.inner
}

/// The rows that work; gives the one that was chosen.
fn working_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    table: &SizingTable,
    looked_at: Option<Plan>,
    places: &Places,
) -> Option<Plan> {
    ui.spacing_mut().item_spacing.y = 0.0;
    let taken = ctx.results.taken.as_ref();
    let present = match ctx.document.map(|d| on_bench(table, taken, d)) {
        Some(OnBench::Row(plan)) => Some(plan),
        _ => None,
    };
    let mut rows: Vec<(Plan, Response)> = Vec::new();
    for (n, row) in table.working().enumerate() {
        let mark = Mark {
            is_best: n == 0,
            is_present: present == Some(row.plan),
            is_looked_at: looked_at == Some(row.plan),
        };
        rows.push((row.plan, row_ui(ctx, ui, table, row, &mark, places)));
    }
    if rows.is_empty() {
        let words = "No layout works; what stops each is shown by the button below.";
        ui.label(RichText::new(words).color(ctx.palette.caution));
    }
    chosen(ui, &rows)
}

fn columns(ctx: &ViewCtx<'_>, table: &SizingTable) -> Vec<Column> {
    let symbol = |dim: Dim| dim.display_unit(ctx.prefs.system, Style::Default).symbol;
    let (flow, volume) = (symbol(Dim::VolumeFlow), symbol(Dim::Volume));
    let column = |name: &str, unit: &str, share: f32| Column {
        head: [name.to_owned(), unit.to_owned()],
        share,
    };
    let mut all = vec![
        column("rinse", flow, 1.0),
        column("back", "%", 1.1),
        column("evap.", flow, 1.0),
        column("heat", symbol(Dim::Power), 0.9),
        column("towers", "", 0.9),
        column("holding", volume, 1.1),
        column("collect.", volume, 1.1),
    ];
    if table.working().any(|row| row.yearly_cost.is_some()) {
        all.push(column("cost", &format!("{}/a", table.currency()), 1.4));
    }
    all
}

/// The right edges of the columns of numbers and the left edges of the two of words, from the left edge of the table.
struct Places {
    closed: f32,
    numbers: Vec<f32>,
}

fn places(width: f32, columns: &[Column]) -> Places {
    // Words take what they need, numbers share the rest.
    const RINSES: f32 = 112.0;
    const CLOSED: f32 = 92.0;
    let closed = MARK + RINSES;
    let from = closed + CLOSED;
    let all: f32 = columns.iter().map(|c| c.share).sum();
    let mut right = from;
    let edges = columns.iter().map(|c| {
        right += (width - from) * c.share / all;
        right
    });
    Places {
        numbers: edges.collect(),
        closed,
    }
}

fn head_ui(ctx: &ViewCtx<'_>, ui: &Ui, rect: Rect, columns: &[Column], places: &Places) {
    let quiet = ctx.palette.quiet;
    let painter = ui.painter();
    let at = |x: f32, line: usize| {
        let y = if line == 0 {
            rect.top() + 8.0
        } else {
            rect.top() + 21.0
        };
        pos2(rect.left() + x, y)
    };
    for (x, name) in [(MARK, "rinses"), (places.closed, "closed by")] {
        painter.text(
            at(x, 0),
            Align2::LEFT_CENTER,
            name,
            font(size::SMALL),
            quiet,
        );
    }
    for (column, x) in columns.iter().zip(&places.numbers) {
        for (line, words) in column.head.iter().enumerate() {
            painter.text(
                at(*x, line),
                Align2::RIGHT_CENTER,
                words,
                font(size::SMALL),
                quiet,
            );
        }
    }
    let stroke = Stroke::new(1.0, ctx.palette.rule);
    painter.hline(rect.x_range(), rect.bottom() - 1.0, stroke);
}

/// What sets a row apart.
struct Mark {
    is_best: bool,
    is_present: bool,
    is_looked_at: bool,
}

fn row_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    table: &SizingTable,
    row: &Row,
    mark: &Mark,
    places: &Places,
) -> Response {
    let wide = ui.available_width() - space::NEAR;
    let (rect, response) = ui.allocate_exact_size(vec2(wide, ROW), Sense::click());
    let palette = ctx.palette;
    let said = row_said(ctx, table, row, mark);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, mark.is_looked_at, &said));
    if !ui.is_rect_visible(rect) {
        return response;
    }
    let tint = match (mark.is_looked_at, response.hovered()) {
        (true, _) => Some(0.18),
        (false, true) => Some(0.07),
        _ => None,
    };
    if let Some(share) = tint {
        let fill = palette.tint(palette.accent, share);
        ui.painter().rect_filled(rect, 4.0, fill);
    }
    if response.has_focus() {
        let stroke = Stroke::new(1.0, palette.accent);
        let inside = egui::StrokeKind::Inside;
        ui.painter().rect_stroke(rect, 4.0, stroke, inside);
    }
    let write = |x: f32, align: Align2, words: &str, color: Color32| {
        let at = pos2(rect.left() + x, rect.center().y);
        ui.painter().text(at, align, words, font(size::BODY), color);
    };
    if mark.is_present {
        write(2.0, Align2::LEFT_CENTER, "▶", palette.accent);
    } else if mark.is_best {
        write(3.0, Align2::LEFT_CENTER, "●", palette.good);
    }
    let mark = if row.first_limit.is_some() {
        " †"
    } else {
        ""
    };
    let rinses = format!("{}{mark}", rinses_words(&row.plan));
    write(MARK, Align2::LEFT_CENTER, &rinses, palette.ink);
    let closed = closed_words(row.plan.closed_by);
    write(places.closed, Align2::LEFT_CENTER, closed, palette.quiet);
    for (words, x) in cells(ctx, row).iter().zip(&places.numbers) {
        write(*x, Align2::RIGHT_CENTER, words, palette.ink);
    }
    response.on_hover_text(said)
}

/// A row in words.
fn row_said(ctx: &ViewCtx<'_>, table: &SizingTable, row: &Row, mark: &Mark) -> String {
    let best = match mark.is_best.then(|| table.rank()) {
        Some(Rank::Cost) => "Cheapest to run: ",
        Some(Rank::Evaporation) => "Least evaporation: ",
        None => "",
    };
    let present = if mark.is_present {
        "; the present line"
    } else {
        ""
    };
    let words = row_words(row, ctx.prefs.system, table.currency());
    format!("{best}{words}{present}")
}

/// The numbers of a row, without their units.
fn cells(ctx: &ViewCtx<'_>, row: &Row) -> Vec<String> {
    let none = || NO_NUMBER.to_owned();
    let number = |dim: Dim, si: Option<f64>| {
        let unit = dim.display_unit(ctx.prefs.system, Style::Default);
        si.map_or_else(none, |si| three(unit.from_si(si), 1))
    };
    let flow = |x: Option<f64>| number(Dim::VolumeFlow, x.map(unit::m3_per_s_from_l_per_h));
    let volume = |x: Option<f64>| number(Dim::Volume, x.map(unit::m3_from_litres));
    let mut all = vec![
        flow(row.rinse_flow_l_per_h),
        row.recovered_fraction.map_or_else(none, percent_of_whole),
        flow(evaporation(row, row.worst_month_l_per_h)),
        number(Dim::Power, row.heater_kw.map(|kw| 1000.0 * kw)),
        row.towers.map_or_else(none, |n| n.to_string()),
        volume(row.holding_tank_l),
        volume(row.collection_tank_l),
    ];
    all.extend(row.yearly_cost.map(whole));
    all
}

/// The row that was clicked, or to which the arrow keys went.
fn chosen(ui: &Ui, rows: &[(Plan, Response)]) -> Option<Plan> {
    let clicked = rows.iter().find(|(_, response)| response.clicked());
    if let Some((plan, response)) = clicked {
        response.request_focus();
        return Some(*plan);
    }
    let here = rows.iter().position(|(_, response)| response.has_focus())?;
    let filter = EventFilter {
        vertical_arrows: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(rows[here].1.id, filter));
    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    let to = if pressed(Key::ArrowDown) {
        here + 1
    } else if pressed(Key::ArrowUp) {
        here.checked_sub(1)?
    } else {
        return None;
    };
    let (plan, response) = rows.get(to)?;
    response.request_focus();
    response.scroll_to_me(None);
    Some(*plan)
}

/// The line under the table that leads to what stops the other layouts, and back.
fn fold_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    table: &SizingTable,
    is_unfolded: &mut bool,
) {
    let stopped = table.rows.iter().filter(|row| !row.verified).count();
    if stopped == 0 {
        *is_unfolded = false;
        return;
    }
    let layout = Layout::left_to_right(Align::Center);
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    let words = format!("{stopped} layouts do not work.");
    child.label(RichText::new(words).color(ctx.palette.quiet));
    let verb = if *is_unfolded { "Hide" } else { "Show" };
    if child.button(format!("{verb} what stops them")).clicked() {
        *is_unfolded = !*is_unfolded;
    }
    notes_ui(ctx, &mut child, table);
}

/// What the table does not say by itself: few words, all of them under the pointer.
fn notes_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, table: &SizingTable) {
    let working: Vec<&Row> = table.working().collect();
    let notes = working_notes(&working, ctx.prefs.show());
    if notes.is_empty() {
        return;
    }
    let has_limits = working.iter().any(|row| row.first_limit.is_some());
    let leaves_out = working.iter().any(|row| !row.uncounted.is_empty());
    let (words, is_mild) = match (has_limits, leaves_out) {
        (true, true) => (
            "† passes a limit within a year; the cost leaves something out",
            false,
        ),
        (true, false) => ("† passes a limit within a year", false),
        (false, true) => ("The cost leaves something out", false),
        (false, false) => ("A free final rinse takes more water", true),
    };
    let color = if is_mild {
        ctx.palette.quiet
    } else {
        ctx.palette.caution
    };
    let words = RichText::new(words).color(color);
    ui.label(words).on_hover_text(notes.join("\n"));
}

/// What stops the other layouts.
fn stopped_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, table: &SizingTable) {
    let write = |dim, si| joined(shown(dim, si, ctx.prefs.system, Style::Default));
    let rows = ScrollArea::vertical().auto_shrink([false, false]);
    rows.show(ui, |ui| {
        for row in table.stopped() {
            let why = row.limit_as.as_ref();
            let why = why.map_or_else(String::new, |l| l.words(&write));
            let closed = closed_words(row.plan.closed_by);
            let words = format!("{}, {closed}: {why}", rinses_words(&row.plan));
            ui.label(RichText::new(words).color(ctx.palette.quiet));
        }
    });
}
