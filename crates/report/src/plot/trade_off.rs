//! Stages against rinse water, duty or cost: what one more rinse buys.

use dragback_drawing::plot::{Dash, marks, round_step};
use dragback_drawing::{Canvas, Stroke, picture};
use dragback_scenario::ClosedBy;
use dragback_study::size::Row;
use dragback_units::constants as unit;
use dragback_units::{Dim, Style};
use emath::{Align2, Rect, pos2};

use super::frame::{Frame, GAP, PAPER, WIDE, line, put, sheet, width};
use crate::Show;
use crate::document::Figure;

/// Height of the figure.
const HIGH: f32 = 200.0;
/// Room for the names at the right.
const NAMES: f32 = 150.0;

/// What stages are set against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// Rinse water while work runs.
    Flow,
    /// Evaporation of the worst month.
    Duty,
    /// Running cost of a year.
    Cost,
}

impl Against {
    fn value(self, row: &Row, show: Show) -> Option<f64> {
        let flow = |l_per_h: f64| {
            let unit_of = Dim::VolumeFlow.display_unit(show.system, Style::Default);
            unit_of.from_si(unit::m3_per_s_from_l_per_h(l_per_h))
        };
        match self {
            Self::Flow => row.rinse_flow_l_per_h.map(flow),
            Self::Duty => row.worst_month_l_per_h.map(flow),
            Self::Cost => row.yearly_cost,
        }
    }

    fn caption(self, currency: &str, show: Show) -> String {
        let flow = show.unit(Dim::VolumeFlow, Style::Default);
        match self {
            Self::Flow => format!("Rinse water while work runs, {flow}, by counterflow rinses"),
            Self::Duty => format!("Evaporation in the worst month, {flow}, by counterflow rinses"),
            Self::Cost => format!("Running cost of a year, {currency}, by counterflow rinses"),
        }
    }
}

/// The least of each number of stages for every way to close, among rows that work; `None` where no row does, or none has such a value: without prices none has a cost.
#[must_use]
pub fn trade_off(rows: &[Row], against: Against, currency: &str, show: Show) -> Option<Figure> {
    let curves: Vec<(&str, Vec<[f64; 2]>)> = [
        (ClosedBy::Surface, "bath's surface alone"),
        (ClosedBy::BathTower, "tower on the bath"),
        (ClosedBy::HoldingTank, "heated holding tank"),
    ]
    .into_iter()
    .map(|(closed_by, name)| (name, best(rows, closed_by, against, show)))
    .filter(|(_, points)| !points.is_empty())
    .collect();
    if curves.is_empty() {
        return None;
    }
    let all = || curves.iter().flat_map(|(_, points)| points);
    let high = all().map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max);
    let most = all().map(|p| p[0]).fold(1.0, f64::max);
    let least = all().map(|p| p[1]).fold(f64::INFINITY, f64::min);
    // A cost is never near nothing; what matters is by how much it differs.
    let low = if against == Against::Cost { least } else { 0.0 };
    // The one that is marked in the table, too.
    let best_row = rows.iter().find(|r| r.verified)?;
    let ring = against.value(best_row, show);
    let ring = ring.map(|value| [f64::from(best_row.stages), value]);
    let step = round_step((high - low).max(1e-9), 4.0);
    let y = ((low / step).floor() * step, (high / step).ceil() * step);
    let y = (y.0, y.1.max(y.0 + step));
    let caption = against.caption(currency, show);
    let each = curves.iter().map(|(name, points)| {
        let points = points.iter().map(|p| format!("{:.0}: {:.4}", p[0], p[1]));
        format!("{name} {}", points.collect::<Vec<_>>().join(", "))
    });
    let alt = format!("{}.", each.collect::<Vec<_>>().join("; "));
    let svg = picture(sheet(HIGH), &caption, &alt, |canvas| {
        let y_marks = marks(y, step).into_iter().map(|m| (m, format!("{m}")));
        let y_marks: Vec<(f64, String)> = y_marks.collect();
        let left = y_marks.iter().map(|(_, w)| width(w)).fold(0.0, f32::max) + GAP + 2.0;
        let frame = Frame {
            rect: Rect::from_min_max(pos2(left, 14.0), pos2(WIDE - NAMES, HIGH - 24.0)),
            x: (0.5, most + 0.5),
            y,
        };
        frame.y_axis(canvas, &y_marks);
        let x_marks = marks((1.0, most), 1.0)
            .into_iter()
            .map(|m| (m, format!("{m:.0}")));
        frame.x_axis(canvas, &x_marks.collect::<Vec<_>>());
        for (i, (name, points)) in curves.iter().enumerate() {
            one(canvas, &frame, i, name, points);
        }
        if let Some(at) = ring {
            canvas.circle(
                frame.at(at),
                7.0,
                ecolor::Color32::TRANSPARENT,
                Stroke::new(1.25, PAPER.accent),
            );
        }
    });
    Some(Figure {
        name: match against {
            Against::Flow => "rinses-and-water",
            Against::Duty => "rinses-and-duty",
            Against::Cost => "rinses-and-cost",
        }
        .to_owned(),
        caption: format!("{caption}; the ring marks the row with *"),
        alt,
        svg,
        aspect: f64::from(WIDE / HIGH),
        numbers: None,
    })
}

/// The least value for each number of stages.
fn best(rows: &[Row], closed_by: ClosedBy, against: Against, show: Show) -> Vec<[f64; 2]> {
    let working = rows
        .iter()
        .filter(|r| r.verified && r.plan.closed_by == closed_by);
    let mut points: Vec<[f64; 2]> = Vec::new();
    for row in working {
        let Some(value) = against.value(row, show) else {
            continue;
        };
        let stages = f64::from(row.stages);
        match points.iter_mut().find(|p| p[0] == stages) {
            Some(point) => point[1] = point[1].min(value),
            None => points.push([stages, value]),
        }
    }
    points.sort_by(|a, b| a[0].total_cmp(&b[0]));
    points
}

fn one(canvas: &dyn Canvas, frame: &Frame, i: usize, name: &str, points: &[[f64; 2]]) {
    let color = [PAPER.series[5], PAPER.series[6], PAPER.series[3]][i % 3];
    let dash = [
        Dash::Solid,
        Dash::Dashed { length: 8.0 },
        Dash::Dotted { spacing: 4.0 },
    ][i % 3];
    let through = points.iter().map(|p| frame.at(*p)).collect();
    line(canvas, through, Stroke::new(1.5, color), dash);
    for point in points {
        let at = frame.at(*point);
        match i % 3 {
            0 => canvas.circle(at, 3.0, color, Stroke::NONE),
            1 => canvas.rect_filled(
                Rect::from_center_size(at, emath::vec2(5.5, 5.5)),
                0.0,
                color,
            ),
            _ => {
                let corners = [(0.0, -3.8), (3.5, 2.6), (-3.5, 2.6)];
                let corners = corners.map(|(x, y)| at + emath::vec2(x, y));
                canvas.polygon(corners.to_vec(), color, Stroke::NONE);
            }
        }
    }
    // Names stand in a column of their own, each beside its mark.
    #[expect(clippy::cast_precision_loss, reason = "three")]
    let y = frame.rect.top() + 8.0 + 18.0 * i as f32;
    let x = WIDE - NAMES + 2.0 * GAP;
    let ends = vec![pos2(x, y), pos2(x + 18.0, y)];
    line(canvas, ends, Stroke::new(1.5, color), dash);
    put(
        canvas,
        Align2::LEFT_CENTER,
        pos2(x + 18.0 + GAP, y),
        name,
        color,
    );
}
