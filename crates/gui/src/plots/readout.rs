//! What stands under the pointer: the time, the nearest curve and its value, alarms and events.

use dragback_study::curves::MEAN_H;
use dragback_study::verdict::Telling;
use egui::{Pos2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::View;
use super::ends::{Ends, elided};
use crate::panels::Words;
use crate::playhead::moment_words;
use crate::theme::size;

/// Marks within this many points of the pointer are told.
const NEAR: f32 = 5.0;

/// Says what is under the pointer, in this plot alone; figures and other plots keep still.
pub(super) fn readout(ui: &Ui, ends: &Ends<'_>, view: &View, at: Pos2) {
    let frame = ends.frame;
    let per_point = (view.to - view.from) / f64::from(frame.width().max(1.0));
    let day = ends.day_at(view, at.x);
    let mut lines = vec![moment_words(day)];
    let near = f64::from(NEAR) * per_point;
    let set = ends.input.set;
    let is_near = |hours: f64| (hours / 24.0 - day).abs() < near;
    let events = set.events.iter().filter(|e| is_near(e.at_h));
    lines.extend(events.map(|e| format!("◆ {}", e.words)));
    let alarm = set.alarms.iter().find(|(hours, _)| is_near(*hours));
    let told = Words::in_units(ends.input.system);
    lines.extend(alarm.map(|(_, alarm)| {
        let what = alarm.told.words(&alarm.device, |r| told.reading(r));
        format!("▼ {what}")
    }));
    if let Some(curve) = nearest(ends, day, at.y) {
        let series = &ends.data.series[curve];
        let value = ends.value_on(series, day);
        let (words, duty) = (ends.measure.words(value), ends.duty(curve, value));
        let mean = if ends.measure.is_flow() {
            format!(", mean of {MEAN_H:.0} h")
        } else {
            String::new()
        };
        lines.push(format!("{} {words}{duty}{mean}", series.name));
    }
    let palette = ends.input.palette;
    let width = (frame.width() - 16.0).max(60.0);
    let texts: Vec<_> = lines
        .iter()
        .map(|line| elided(ui, line, width, palette.ink))
        .collect();
    let wide = texts.iter().map(|t| t.size().x).fold(0.0, f32::max) + 12.0;
    let step = size::SMALL + 4.0;
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let high = step * texts.len() as f32 + 6.0;
    // Beside the pointer, on the side where there is room.
    let left = if at.x + 14.0 + wide <= frame.right() {
        at.x + 14.0
    } else {
        at.x - 14.0 - wide
    };
    let top = (at.y - high - 8.0).max(frame.top());
    let left = left.clamp(frame.left(), (frame.right() - wide).max(frame.left()));
    let back = Rect::from_min_size(pos2(left, top), vec2(wide, high));
    let line = Stroke::new(1.0, palette.rule);
    ui.painter()
        .rect_filled(back, 4.0, palette.sheet.gamma_multiply(0.94));
    ui.painter()
        .rect_stroke(back, 4.0, line, StrokeKind::Inside);
    let mut y = top + 3.0;
    for text in texts {
        ui.painter().galley(pos2(left + 6.0, y), text, palette.ink);
        y += step;
    }
}

/// The curve that passes nearest to the pointer.
fn nearest(ends: &Ends<'_>, day: f64, y: f32) -> Option<usize> {
    let shown = ends.drawn.curves.iter().enumerate();
    let shown = shown.filter(|(i, _)| !ends.hidden.get(*i).copied().unwrap_or(false));
    let apart = shown.filter_map(|(i, curve)| {
        let next = curve.line.partition_point(|p| p.x < day);
        let point = curve.line.get(next).or_else(|| curve.line.last())?;
        point
            .y
            .is_finite()
            .then(|| (i, (ends.y_of(point.y) - y).abs()))
    });
    let best = apart.min_by(|a, b| a.1.total_cmp(&b.1));
    best.map(|(i, _)| i)
}
