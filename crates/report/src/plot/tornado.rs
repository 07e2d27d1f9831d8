//! What uncertain inputs do to the payback.

use dragback_drawing::{Canvas, Side, Stroke, picture};
use dragback_study::money::{Payback, Swing};
use emath::{Align2, Rect, pos2};

use super::frame::{Frame, GAP, PAPER, WIDE, cut, put, sheet, width};
use crate::Show;
use crate::Table;
use crate::document::Figure;
use crate::show::csv_number;
use crate::told::money::{Naming, shared_unit, whole};

/// Height of a row.
const ROW: f32 = 19.0;
/// Width of the names.
const NAMES: f32 = 230.0;
/// Room beside the bars for the values of the inputs.
const ENDS: f32 = 64.0;

/// A saving that moves by less than this share of itself does not.
const DUST: f64 = 1.0e-6;

/// By how much an input moves the saving.
fn span(swing: &Swing) -> f64 {
    (swing.saving_at_high - swing.saving_at_low).abs()
}

/// Savings at the low and the high value of each input that moves them, one input at a time, the one that moves them most first; `None` without such inputs.
///
/// Savings are drawn, not payback times: those have no number where money never comes back.
#[must_use]
pub fn tornado_plot(
    payback: &Payback,
    all: &[Swing],
    show: Show,
    name: Naming<'_>,
) -> Option<Figure> {
    // What is laid out moves the payback, but no saving.
    let least = DUST * payback.saving_per_year.abs();
    let mut moving: Vec<&Swing> = all.iter().filter(|s| span(s) > least).collect();
    moving.sort_by(|a, b| span(b).total_cmp(&span(a)));
    let all = moving;
    if all.is_empty() {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "ten")]
    let high = all.len() as f32 * ROW + 30.0;
    let now = payback.saving_per_year;
    let caption = format!(
        "Saving a year, {}, with each uncertain input at its low and its high value",
        payback.currency
    );
    let each = all.iter().map(|s| {
        format!(
            "{} from {} to {}",
            name(&s.path),
            whole(s.saving_at_low, ""),
            whole(s.saving_at_high, "")
        )
    });
    let alt = format!(
        "Now {}; {}.",
        whole(now, ""),
        each.collect::<Vec<_>>().join("; ")
    );
    let svg = picture(sheet(high), &caption, &alt, |canvas| {
        let ends = all.iter().flat_map(|s| [s.saving_at_low, s.saving_at_high]);
        let (low, top) = ends.fold((now, now), |(a, b), x| (a.min(x), b.max(x)));
        let frame = Frame {
            rect: Rect::from_min_max(pos2(NAMES + ENDS, 4.0), pos2(WIDE - ENDS, high - 26.0)),
            x: (low, top.max(low + 1.0)),
            y: (0.0, 1.0),
        };
        for (i, swing) in all.iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "ten")]
            let at = frame.rect.top() + i as f32 * ROW;
            let told = (&*payback.currency, show, name);
            bar(canvas, &frame, at, swing, told);
        }
        let x = frame.x_at(now);
        let foot = frame.rect.bottom();
        canvas.segment(
            [pos2(x, frame.rect.top()), pos2(x, foot)],
            Stroke::new(1.0, PAPER.ink),
        );
        let words = format!("as it is: {}", whole(now, &payback.currency));
        let half = 0.5 * width(&words);
        let x = x.clamp(half, WIDE - half);
        put(
            canvas,
            Align2::CENTER_TOP,
            pos2(x, foot + 4.0),
            &words,
            PAPER.ink,
        );
    });
    Some(Figure {
        name: "what-moves-the-saving".to_owned(),
        caption,
        alt,
        svg,
        aspect: f64::from(WIDE / high),
        numbers: Some(numbers(payback, &all, name)),
    })
}

/// The saving a year at both ends of each input, and as it is.
fn numbers(payback: &Payback, all: &[&Swing], name: Naming<'_>) -> Table {
    let unit = format!("{}/year", payback.currency);
    let heads = ["at the low value", "as it is", "at the high value"];
    let heads = heads.map(|head| format!("saving {head} ({unit})"));
    let mut table = Table::new(std::iter::once(String::new()).chain(heads));
    for swing in all {
        let savings = [
            swing.saving_at_low,
            payback.saving_per_year,
            swing.saving_at_high,
        ];
        let cells = savings.map(csv_number);
        table.push(std::iter::once(name(&swing.path)).chain(cells));
    }
    table
}

fn bar(
    canvas: &dyn Canvas,
    frame: &Frame,
    top: f32,
    swing: &Swing,
    told: (&str, Show, Naming<'_>),
) {
    let middle = top + 0.5 * ROW;
    let (currency, show, name) = told;
    let told = [swing.low, swing.high].map(|si| show.any(swing.dim, si, currency));
    let name = name(&swing.path);
    // The unit stands by the name, where both values have it.
    let (values, name) = match shared_unit(&told) {
        Some((numbers, unit)) => (numbers, format!("{name}, {unit}")),
        None => (told.iter().map(String::as_str).collect(), name),
    };
    let name = cut(&name, NAMES - GAP);
    put(
        canvas,
        Align2::LEFT_CENTER,
        pos2(0.0, middle),
        &name,
        PAPER.ink,
    );
    let (low, high) = (
        frame.x_at(swing.saving_at_low),
        frame.x_at(swing.saving_at_high),
    );
    let bar = Rect::from_min_max(
        pos2(low.min(high), top + 4.0),
        pos2(low.max(high).max(low.min(high) + 1.0), top + ROW - 4.0),
    );
    canvas.rect(
        bar,
        1.0,
        PAPER.tint(PAPER.accent, 0.35),
        Stroke::new(1.0, PAPER.accent),
        Side::Inside,
    );
    for (i, (x, other)) in [(low, high), (high, low)].into_iter().enumerate() {
        let (align, at) = if x < other || (x == other && i == 0) {
            (Align2::RIGHT_CENTER, pos2(x - GAP, middle))
        } else {
            (Align2::LEFT_CENTER, pos2(x + GAP, middle))
        };
        let value = cut(values[i], ENDS - GAP);
        put(canvas, align, at, &value, PAPER.quiet);
    }
}
