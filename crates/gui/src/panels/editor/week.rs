//! A calendar as a week of shifts: a bar for each day, and a button that opens or closes it.

use dragback_scenario::{Body, Clock, Days, Edit, Part};
use egui::{Align2, Button, Rect, Sense, Stroke, Ui, pos2, vec2};

use super::EditorPanel;
use super::pen::Pen;
use crate::theme::{font, size, space};

/// Names of the days, Monday first.
const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
/// Sizes of the drawing, points.
const BUTTON: f32 = 48.0;
const ROW: f32 = 22.0;
const MOST_WIDTH: f32 = 620.0;

/// Hours of one day in which a calendar is open.
type Spans = Vec<(f32, f32)>;

impl EditorPanel {
    pub(super) fn week_ui(&mut self, pen: &Pen<'_>, ui: &mut Ui, calendar: &Part) {
        let week = week_of(calendar);
        let days = of(calendar, "days").and_then(|p| p.leaf()?.written.as_deref());
        let open = days.and_then(|d| Days::parse(d).ok()).map(|d| d.open());
        let name = pen.name(calendar);
        let width = (ui.available_width() - BUTTON - space::WIDE).min(MOST_WIDTH);
        for (day, word) in DAYS.iter().enumerate() {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                let is_open = open.is_some_and(|o| o[day]);
                let others = open.map_or(0, |o| o.iter().filter(|&&x| x).count());
                let can = open.is_some() && !(is_open && others == 1);
                let button = Button::selectable(is_open, *word).frame_when_inactive(true);
                let button =
                    ui.add_enabled_ui(can, |ui| ui.add_sized(vec2(BUTTON, ROW - 2.0), button));
                let button = button.inner.accessible_name(format!("{name}: {word}"));
                let hint = "Whether it is open on this day. One day at least stays open.";
                if button.on_hover_text(hint).clicked()
                    && let (Some(mut open), Some(part)) = (open, of(calendar, "days"))
                {
                    open[day] = !open[day];
                    let edit = Edit::Write {
                        at: part.spot.clone(),
                        text: words_of(open),
                    };
                    self.try_ask(pen, &part.spot, vec![edit], format!("{name}: {word}"));
                }
                let (rect, _) = ui.allocate_exact_size(vec2(width, ROW), Sense::hover());
                bar_ui(pen, ui, rect, week.get(day).map_or(&[][..], Vec::as_slice));
            });
        }
        ui.horizontal(|ui| {
            ui.allocate_exact_size(vec2(BUTTON, 14.0), Sense::hover());
            let (rect, _) = ui.allocate_exact_size(vec2(width, 14.0), Sense::hover());
            for hour in [0_u8, 6, 12, 18, 24] {
                let x = at(rect, f32::from(hour));
                let align = match hour {
                    0 => Align2::LEFT_CENTER,
                    24 => Align2::RIGHT_CENTER,
                    _ => Align2::CENTER_CENTER,
                };
                let words = format!("{hour}:00");
                let color = pen.ctx.palette.quiet;
                ui.painter().text(
                    pos2(x, rect.center().y),
                    align,
                    words,
                    font(size::SMALL),
                    color,
                );
            }
        });
    }
}

fn at(rect: Rect, hour: f32) -> f32 {
    rect.left() + rect.width() * hour / 24.0
}

fn bar_ui(pen: &Pen<'_>, ui: &Ui, rect: Rect, spans: &[(f32, f32)]) {
    let palette = pen.ctx.palette;
    let rect = rect.shrink2(vec2(0.0, 3.0));
    ui.painter()
        .rect_filled(rect, 3, palette.tint(palette.quiet, 0.10));
    for &(from, to) in spans {
        let bar = Rect::from_x_y_ranges(at(rect, from)..=at(rect, to), rect.y_range());
        ui.painter()
            .rect_filled(bar, 3, palette.tint(palette.accent, 0.55));
    }
    for hour in [6.0, 12.0, 18.0] {
        let line = Stroke::new(1.0, palette.rule);
        ui.painter().vline(at(rect, hour), rect.y_range(), line);
    }
}

fn of<'p>(record: &'p Part, name: &str) -> Option<&'p Part> {
    record.parts().iter().find(|p| p.meta.name == name)
}

/// The open hours of each day, further windows included. What is not understood is left out; it is told at its field.
fn week_of(calendar: &Part) -> Vec<Spans> {
    let mut week = vec![Spans::new(); 7];
    let windows = of(calendar, "more").map_or(&[][..], Part::parts);
    for window in std::iter::once(calendar).chain(windows) {
        if !matches!(window.body, Body::Record(_)) {
            continue;
        }
        let text = |name: &str| of(window, name)?.leaf()?.written.as_deref();
        let clock = |name: &str| Some(hours(&Clock::parse(text(name)?).ok()?));
        let days = text("days").and_then(|d| Days::parse(d).ok());
        let (Some(days), Some(from), Some(to)) = (days, clock("from"), clock("to")) else {
            continue;
        };
        for day in (0..7).filter(|&d| days.open()[d]) {
            if from < to {
                week[day].push((from, to));
            } else {
                week[day].push((from, 24.0));
                week[(day + 1) % 7].push((0.0, to));
            }
        }
    }
    week
}

#[expect(clippy::cast_possible_truncation, reason = "hours of a day")]
fn hours(clock: &Clock) -> f32 {
    (clock.seconds() / dragback_units::constants::SECONDS_PER_HOUR) as f32
}

/// Days as people write them: `Mon-Fri, Sun`.
fn words_of(open: [bool; 7]) -> String {
    if open == [true; 7] {
        return "every day".to_owned();
    }
    let mut words = Vec::new();
    let mut day = 0;
    while day < 7 {
        if !open[day] {
            day += 1;
            continue;
        }
        let to = (day..7).take_while(|&d| open[d]).last().unwrap_or(day);
        match to - day {
            0 => words.push(DAYS[day].to_owned()),
            1 => words.extend([DAYS[day].to_owned(), DAYS[to].to_owned()]),
            _ => words.push(format!("{}-{}", DAYS[day], DAYS[to])),
        }
        day = to + 1;
    }
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_written_as_they_are_read() {
        for pattern in 1_u8..128 {
            let open = std::array::from_fn(|d| pattern & (1 << d) != 0);
            let words = words_of(open);
            assert_eq!(Days::parse(&words).map(|d| d.open()), Ok(open), "{words}");
        }
    }
}
