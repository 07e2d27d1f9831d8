//! How the money flows over the years.

use dragback_drawing::plot::{Dash, marks, round_step};
use dragback_drawing::{Stroke, picture};
use dragback_study::money::{Payback, Years};
use emath::{Align2, Rect, pos2};

use super::frame::{Frame, GAP, PAPER, WIDE, curve, put, sheet, width};
use crate::Show;
use crate::Table;
use crate::document::Figure;
use crate::show::csv_number;
use crate::told::money::{whole, years_words};

/// Height of the figure.
const HIGH: f32 = 190.0;

/// The sum of all flows up to each year, and the point at which it passes nothing; `None` where nothing flows.
#[must_use]
pub fn cash(payback: &Payback, show: Show) -> Option<Figure> {
    if !payback.flows.iter().any(|f| f.abs() >= 0.5) {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "some decades")]
    let points = payback
        .cumulated
        .iter()
        .enumerate()
        .map(|(y, s)| [y as f64, *s]);
    let points: Vec<[f64; 2]> = points.collect();
    let sums = points.iter().map(|p| p[1]);
    let (low, high) = sums.fold((0.0_f64, 0.0_f64), |(a, b), s| (a.min(s), b.max(s)));
    let step = round_step((high - low).max(1.0), 4.0);
    let y = ((low / step).floor() * step, (high / step).ceil() * step);
    let years = points.last().map_or(1.0, |p| p[0].max(1.0));
    let caption = format!(
        "Money laid out and saved so far, {}, with {} interest",
        payback.currency,
        show.percent(payback.interest)
    );
    let alt = format!(
        "{} at the beginning, {} after {years:.0} years; back with interest: {}.",
        whole(points.first().map_or(0.0, |p| p[1]), &payback.currency),
        whole(points.last().map_or(0.0, |p| p[1]), &payback.currency),
        years_words(payback.discounted, show)
    );
    let svg = picture(sheet(HIGH), &caption, &alt, |canvas| {
        let y_marks = marks(y, step)
            .into_iter()
            .map(|m| (m, whole(m, "").replace('-', "−")));
        let y_marks: Vec<(f64, String)> = y_marks.collect();
        let left = y_marks.iter().map(|(_, w)| width(w)).fold(0.0, f32::max) + GAP + 2.0;
        let frame = Frame {
            rect: Rect::from_min_max(pos2(left, 8.0), pos2(WIDE - 40.0, HIGH - 24.0)),
            x: (0.0, years),
            y,
        };
        frame.y_axis(canvas, &y_marks);
        let x_marks = marks((0.0, years), round_step(years, 6.0).max(1.0));
        let last = x_marks.last().copied();
        let x_marks = x_marks.into_iter().map(|m| {
            let unit = if Some(m) == last { " years" } else { "" };
            (m, format!("{m:.0}{unit}"))
        });
        frame.x_axis(canvas, &x_marks.collect::<Vec<_>>());
        let nothing = frame.y_at(0.0);
        let ends = [
            pos2(frame.rect.left(), nothing),
            pos2(frame.rect.right(), nothing),
        ];
        canvas.segment(ends, Stroke::new(1.0, PAPER.quiet));
        curve(canvas, &frame, &points, PAPER.accent, Dash::Solid);
        if let Years::After(after) = payback.discounted {
            let at = frame.at([after, 0.0]);
            canvas.circle(at, 4.5, PAPER.accent, Stroke::NONE);
            let words = format!("back in {}", years_words(payback.discounted, show));
            let corner = at + emath::vec2(GAP, GAP);
            put(canvas, Align2::LEFT_TOP, corner, &words, PAPER.ink);
        }
    });
    Some(Figure {
        name: "cash".to_owned(),
        caption,
        alt,
        svg,
        aspect: f64::from(WIDE / HIGH),
        numbers: Some(numbers(payback)),
    })
}

/// What flows in each year, and the discounted sum so far; year 0 is the beginning.
fn numbers(payback: &Payback) -> Table {
    let currency = &payback.currency;
    let heads = [
        "year".to_owned(),
        format!("flow ({currency})"),
        format!("sum so far, with interest ({currency})"),
    ];
    let mut table = Table::new(heads);
    let each = payback.flows.iter().zip(&payback.cumulated);
    for (year, (flow, sum)) in each.enumerate() {
        table.push([year.to_string(), csv_number(*flow), csv_number(*sum)]);
    }
    table
}
