//! How a loop settles: the curves of one kind from the start.

use dragback_drawing::plot::{Dash, Measure, day_marks, kind_name, pen, pens, spread, tank_pens};
use dragback_drawing::{Canvas, Stroke, font, picture, size};
use dragback_plant::network::LoopRoles;
use dragback_study::curves::{Guide, GuideKind, Kind, Series, curves, guides};
use dragback_study::{Span, ToldAs};
use dragback_units::System;
use emath::{Align2, Rect, pos2};

use super::frame::{Frame, GAP, PAPER, WIDE, curve, cut, put, sheet, width};
use crate::document::Figure;
use crate::show::csv_number;
use crate::table::Table;

/// Height of the figure.
const HIGH: f32 = 216.0;
/// Room above the curves, and below them for the axis.
const ABOVE: f32 = 10.0;
const BELOW: f32 = 24.0;
/// Widest that names at the ends of curves may be.
const NAMES: f32 = 164.0;
/// Most decades of a logarithmic axis: what lies below them is water.
const MOST_DECADES: f64 = 6.0;
/// Hours of a day.
const DAY_H: f64 = 24.0;

/// The plot of one kind of curves of a loop; `None` where there is no curve.
#[must_use]
pub fn course(
    span: &Span,
    roles: &LoopRoles,
    kind: Kind,
    (system, lead): (System, ToldAs<'_>),
    lead_name: &str,
) -> Option<Figure> {
    let plot = Plot::of(span, roles, kind, system, lead)?;
    let title = match lead.as_salt() {
        Some(salt) if plot.measure.is_strength() => {
            plot.measure.title(&format!("{lead_name} {salt}"))
        }
        _ => plot.measure.title(lead_name),
    };
    let told = plot.told();
    let svg = picture(sheet(HIGH), &title, &told, |canvas| plot.draw(canvas));
    let name = kind_name(kind).to_lowercase().replace(' ', "-");
    Some(Figure {
        name: format!("{}-{name}", roles.name),
        caption: title,
        alt: told,
        svg,
        aspect: f64::from(WIDE / HIGH),
        numbers: Some(numbers(
            &curves(&span.plant, &span.trace, roles, kind),
            plot.measure,
        )),
    })
}

/// Curves against time: a row for each moment, which all curves of a plot share, with an empty cell where a value cannot be trusted.
fn numbers(series: &[Series], measure: Measure) -> Table {
    let unit = measure.table_unit_words();
    let mut heads = vec!["day".to_owned()];
    heads.extend(series.iter().map(|s| format!("{} ({unit})", s.name)));
    let mut table = Table::new(heads);
    let moments = series.iter().map(|s| s.points.len()).max().unwrap_or(0);
    for i in 0..moments {
        let mut at = series.iter().filter_map(|s| Some(s.points.get(i)?[0]));
        let day = at.next().map_or(f64::NAN, |hour| hour / DAY_H);
        let mut row = vec![csv_number(day)];
        row.extend(series.iter().map(|s| {
            let si = s.points.get(i).map_or(f64::NAN, |p| p[1]);
            csv_number(measure.in_table(si))
        }));
        table.push(row);
    }
    table
}

struct Plot {
    measure: Measure,
    /// Days and heights.
    curves: Vec<(String, Vec<[f64; 2]>)>,
    pens: Vec<usize>,
    /// Name, kind, number of the curve, low and high as heights.
    guides: Vec<(Guide, f64, f64)>,
    days: f64,
    last_si: Vec<Option<f64>>,
}

impl Plot {
    fn of(
        span: &Span,
        roles: &LoopRoles,
        kind: Kind,
        system: System,
        lead: ToldAs<'_>,
    ) -> Option<Self> {
        let (plant, trace) = (&span.plant, &span.trace);
        let measure = Measure {
            per_solute: lead.strength(1.0),
            ..Measure::of(kind, system)
        };
        let series = curves(plant, trace, roles, kind);
        let has_numbers = |s: &Series| s.points.iter().any(|p| p[1].is_finite());
        if !series.iter().any(has_numbers) {
            return None;
        }
        let pens = pens(kind, &series, &tank_pens(plant, roles));
        let last_si = series.iter().map(|s| {
            let mut back = s.points.iter().rev();
            back.find(|p| p[1].is_finite()).map(|p| p[1])
        });
        let last_si = last_si.collect();
        let days = trace.times_s().last().map_or(1.0, |t| {
            dragback_units::constants::days(*t).max(f64::MIN_POSITIVE)
        });
        let heights = |s: Series| {
            let points = s.points.into_iter();
            let points = points.map(|[h, si]| [h / DAY_H, measure.height(si)]);
            let points: Vec<[f64; 2]> = points.collect();
            let points = if measure.is_flow() {
                day_means(&points)
            } else {
                points
            };
            (s.name, points)
        };
        let guides = guides(plant, trace, roles, kind).into_iter();
        Some(Self {
            measure,
            pens,
            guides: guides
                .filter(|g| g.points.is_empty())
                .map(|g| {
                    let (low, high) = (measure.height(g.low), measure.height(g.high));
                    (g, low, high)
                })
                .collect(),
            curves: series.into_iter().map(heights).collect(),
            days,
            last_si,
        })
    }

    /// The range of the axis: that of the curves, at round ends; limits belong to it where they are not far beyond.
    fn range(&self) -> (f64, f64) {
        let values = self.curves.iter().flat_map(|(_, points)| points);
        let values = values.map(|p| p[1]).filter(|y| y.is_finite());
        let (mut low, mut high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), y| {
            (a.min(y), b.max(y))
        });
        if self.measure.is_from_zero() {
            low = low.min(0.0);
        }
        let span = (high - low).max(1e-9);
        for (_, from, to) in &self.guides {
            if *to <= high + 0.5 * span && *from >= low - 0.5 * span {
                (low, high) = (low.min(*from), high.max(*to));
            }
        }
        if self.measure.is_log() {
            let low = low.max(high - MOST_DECADES);
            return (
                (low + 1e-9).floor(),
                (high - 1e-9).ceil().max(low.floor() + 1.0),
            );
        }
        let step = dragback_drawing::plot::round_step((high - low).max(1e-9), 4.0);
        let (low, high) = ((low / step).floor() * step, (high / step).ceil() * step);
        if low < high {
            (low, high)
        } else {
            (low - step, high + step)
        }
    }

    fn draw(&self, canvas: &dyn Canvas) {
        let y = self.range();
        let inner = HIGH - ABOVE - BELOW;
        let marks = self.measure.y_marks(y, inner);
        let step = marks.windows(2).map(|w| w[1] - w[0]).fold(1.0, f64::min);
        let marks: Vec<(f64, String)> = marks
            .into_iter()
            .map(|m| (m, self.measure.mark_words(m, step)))
            .collect();
        let left = marks.iter().map(|(_, w)| width(w)).fold(0.0, f32::max) + GAP + 2.0;
        let names = self.curves.iter().map(|(name, _)| width(name));
        let names = names.chain(self.guides.iter().map(|(guide, ..)| width(&guide.name)));
        let right = names.fold(0.0, f32::max).min(NAMES) + 3.0 * GAP;
        let frame = Frame {
            rect: Rect::from_min_max(pos2(left, ABOVE), pos2(WIDE - right, HIGH - BELOW)),
            x: (0.0, self.days),
            y,
        };
        frame.y_axis(canvas, &marks);
        frame.x_axis(canvas, &day_marks((0.0, self.days), 9.0));
        self.draw_guides(canvas, &frame);
        canvas.clipped(frame.rect.expand(1.0), &mut |canvas| {
            for (i, (_, points)) in self.curves.iter().enumerate() {
                let (color, dash) = self.pen(i);
                curve(canvas, &frame, points, color, dash);
            }
        });
        self.draw_names(canvas, &frame);
    }

    fn pen(&self, i: usize) -> (ecolor::Color32, Dash) {
        let place = self.pens.get(i).copied().unwrap_or(i);
        pen(self.measure.kind, place, PAPER)
    }

    fn draw_guides(&self, canvas: &dyn Canvas, frame: &Frame) {
        let seen = |low: f64, high: f64| high <= frame.y.1 + 1e-9 && low >= frame.y.0 - 1e-9;
        for (guide, low, high) in self.guides.iter().filter(|g| seen(g.1, g.2)) {
            let color = match guide.kind {
                GuideKind::Limit => PAPER.alarm,
                GuideKind::Set => PAPER.tint(PAPER.quiet, 0.6),
            };
            for y in [*low, *high] {
                let y = frame.y_at(y);
                let ends = vec![pos2(frame.rect.left(), y), pos2(frame.rect.right(), y)];
                canvas.dashed(&ends, Stroke::new(0.75, color), 4.0, 3.0);
            }
        }
    }

    /// What is named beside the plot: its name, height and colour. Limits first, then curves, then set points, since not all may have room.
    fn named(&self, frame: &Frame) -> Vec<(&str, f32, ecolor::Color32)> {
        let guides = |wanted: GuideKind, color| {
            let own = self.guides.iter().filter(move |g| g.0.kind == wanted);
            let seen = own.filter(|g| g.2 <= frame.y.1 + 1e-9 && g.2 >= frame.y.0);
            seen.map(move |(guide, _, high)| (&*guide.name, frame.y_at(*high), color))
        };
        let curves = self.curves.iter().enumerate();
        let curves = curves.filter_map(|(i, (name, points))| {
            let last = points.iter().rev().find(|p| p[1].is_finite())?;
            Some((name.as_str(), frame.y_at(last[1]), self.pen(i).0))
        });
        guides(GuideKind::Limit, PAPER.alarm)
            .chain(curves)
            .chain(guides(GuideKind::Set, PAPER.quiet))
            .collect()
    }

    fn draw_names(&self, canvas: &dyn Canvas, frame: &Frame) {
        let mut named = self.named(frame);
        let high = font::line_height(size::SMALL);
        // More names than there is room for would lie over one another.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of lines"
        )]
        let most = (HIGH / high).floor() as usize;
        let more = named.len().saturating_sub(most);
        let words = format!("and {} more", more + 1);
        if more > 0 {
            named.truncate(most - 1);
            named.push((&words, frame.rect.bottom(), PAPER.quiet));
        }
        let wanted: Vec<f32> = named.iter().map(|(_, y, _)| *y).collect();
        let placed = spread(&wanted, high, (0.0, HIGH));
        let x = frame.rect.right();
        for ((name, y, color), at) in named.into_iter().zip(placed) {
            canvas.segment(
                [pos2(x + 1.0, y), pos2(x + 2.0 * GAP, at)],
                Stroke::new(0.75, color),
            );
            let place = pos2(x + 2.5 * GAP, at);
            put(canvas, Align2::LEFT_CENTER, place, &cut(name, NAMES), color);
        }
    }

    /// What the plot says, for those who cannot see it: where each curve ends.
    fn told(&self) -> String {
        let each = self.curves.iter().zip(&self.last_si);
        let each = each
            .filter_map(|((name, _), si)| Some(format!("{name} {}", self.measure.words((*si)?))));
        let each: Vec<String> = each.collect();
        format!("After {:.0} days: {}.", self.days, each.join(", "))
    }
}

/// Means over each day, in its middle: what is switched many times a day is a picket fence otherwise. Each point stands for the time since the one before it.
fn day_means(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut found: Vec<(f64, f64, f64)> = Vec::new();
    let mut before = 0.0;
    for [day, value] in points {
        let span = day - before;
        let middle = 0.5 * (day + before);
        before = *day;
        if span <= 0.0 || !value.is_finite() {
            continue;
        }
        match found.last_mut().filter(|(d, ..)| *d == middle.floor()) {
            Some((_, sum, of)) => {
                *sum += span * value;
                *of += span;
            }
            None => found.push((middle.floor(), span * value, span)),
        }
    }
    let means = found.into_iter();
    means.map(|(day, sum, of)| [day + 0.5, sum / of]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hand derivation: 10 for six hours and 2 for eighteen are 4 in the mean of the day.
    #[test]
    fn a_day_has_one_mean() {
        let points = [
            [0.25, 10.0],
            [0.5, 2.0],
            [1.0, 2.0],
            [1.5, 8.0],
            [2.0, f64::NAN],
        ];
        assert_eq!(day_means(&points), [[0.5, 4.0], [1.5, 8.0]]);
        assert_eq!(day_means(&[]), [] as [[f64; 2]; 0]);
    }
}
