//! Tanks, towers and ways out.

use egui::{Align2, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2};

use super::{Brush, words};
use crate::loop_view::labels::Labels;
use crate::loop_view::layout::{Spot, heater_spots};
use crate::loop_view::scene::{Apparatus, ApparatusKind, Running, Station, StationKind};
use crate::loop_view::shade::on_liquid;

impl Brush<'_> {
    pub(super) fn station(&self, s: &Station, spot: &Spot) {
        if !spot.body.is_positive() {
            return;
        }
        match s.kind {
            StationKind::Tower => self.tower(s, spot.body),
            StationKind::Outlet => self.outlet(s, spot.body),
            _ => self.tank(s, spot.body),
        }
        if let Some(ring) = self.station_ring(s.id) {
            let around = spot.body.expand(3.0);
            self.painter
                .rect_stroke(around, 5.0, ring, StrokeKind::Outside);
        }
    }

    fn tank(&self, s: &Station, body: Rect) {
        let inner = body.shrink(1.0);
        self.painter.rect_filled(inner, 2.0, self.palette.sheet);
        #[expect(clippy::cast_possible_truncation, reason = "shares of a height")]
        let (level, slope) = (s.level as f32, s.slope as f32);
        let surface = inner.bottom() - level * inner.height();
        let foot = inner.bottom() - slope * inner.height();
        let strength = s.strength_kg_per_m3.unwrap_or(0.0);
        if level > 0.0 {
            let fill = self.shade(strength);
            self.painter.add(Shape::convex_polygon(
                liquid(inner, surface, foot),
                fill,
                Stroke::NONE,
            ));
            let line = Stroke::new(1.5, self.palette.tint(self.palette.ink, 0.7));
            let right = if surface > foot && slope > 0.0 {
                inner.right() - inner.width() * (surface - foot) / (inner.bottom() - foot)
            } else {
                inner.right()
            };
            self.painter
                .line_segment([pos2(inner.left(), surface), pos2(right, surface)], line);
        }
        self.walls(body, foot);
        self.electrodes(s, inner, surface);
        self.heaters(s, inner, foot);
    }

    /// Walls and bottom; a tank is open at its top.
    fn walls(&self, body: Rect, foot: f32) {
        let stroke = Stroke::new(2.0, self.palette.tint(self.palette.ink, 0.8));
        let mut line = vec![body.left_top(), body.left_bottom()];
        if foot < body.bottom() - 2.0 {
            line.push(pos2(body.right(), foot));
        } else {
            line.push(body.right_bottom());
        }
        line.push(body.right_top());
        self.painter.add(Shape::line(line, stroke));
        for x in [body.left(), body.right()] {
            let lip = [pos2(x - 3.0, body.top()), pos2(x + 3.0, body.top())];
            self.painter.line_segment(lip, stroke);
        }
    }

    /// Thin rods from the brim to where they are read, with a tick; those of alarms end in a triangle.
    fn electrodes(&self, s: &Station, inner: Rect, surface: f32) {
        let count = s.marks.len();
        if count == 0 || inner.width() < 24.0 {
            return;
        }
        let room = 0.62 * inner.width();
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let step = (room / count as f32).min(12.0);
        for (i, mark) in s.marks.iter().enumerate() {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_precision_loss,
                reason = "places on screen"
            )]
            let (x, y) = (
                inner.left() + 6.0 + step * i as f32,
                inner.bottom() - mark.share as f32 * inner.height(),
            );
            let strength = self.scene.scale.share(s.strength_kg_per_m3.unwrap_or(0.0));
            let wet = if y > surface + 1.0 {
                on_liquid(self.theme, strength)
            } else {
                self.palette.ink
            };
            let stroke = Stroke::new(1.0, wet.gamma_multiply(0.75));
            // The part above the liquid stands before the sheet.
            let dry = Stroke::new(1.0, self.palette.tint(self.palette.ink, 0.6));
            let split = y.min(surface);
            self.painter
                .line_segment([pos2(x, inner.top()), pos2(x, split)], dry);
            if y > surface {
                self.painter
                    .line_segment([pos2(x, surface), pos2(x, y)], stroke);
            }
            if mark.is_alarm {
                let up = if 2.0 * mark.share > 1.0 { -1.0 } else { 1.0 };
                let corners = vec![
                    pos2(x - 3.5, y - 3.0 * up),
                    pos2(x + 3.5, y - 3.0 * up),
                    pos2(x, y + 3.0 * up),
                ];
                let edge = Stroke::new(0.75, self.palette.sheet);
                self.painter
                    .add(Shape::convex_polygon(corners, self.palette.alarm, edge));
            } else {
                let tick = Stroke::new(1.5, wet);
                self.painter
                    .line_segment([pos2(x - 2.5, y), pos2(x + 2.5, y)], tick);
            }
        }
    }

    fn heaters(&self, s: &Station, inner: Rect, foot: f32) {
        let heaters = |a: &&Apparatus| a.kind == ApparatusKind::Heater;
        let mut shown: Vec<_> = s.apparatus.iter().filter(heaters).collect();
        // Those that are worst off are shown first where there is no room for all.
        shown.sort_by_key(|a| match a.running {
            Running::Failed => 0,
            Running::Held => 1,
            Running::On => 2,
            Running::Off => 3,
        });
        let spots = heater_spots(inner, foot, shown.len(), self.scale());
        for (a, spot) in shown.iter().zip(spots) {
            self.heater(spot, a.running);
        }
    }

    /// Two nested columns: the shell, and the packing within, wetted from above.
    fn tower(&self, s: &Station, body: Rect) {
        let ink = self.palette.tint(self.palette.ink, 0.8);
        let shell = Stroke::new(2.0, ink);
        self.painter
            .rect(body, 3.0, self.palette.sheet, shell, StrokeKind::Inside);
        let radius = self.symbol_radius().min(0.36 * body.width());
        let fan = pos2(body.center().x, body.top() + radius + 5.0);
        let top = fan.y + radius + 10.0;
        let sump = (0.08 * body.height()).clamp(6.0, 16.0);
        let packing = Rect::from_min_max(
            pos2(body.left() + 5.0, top.min(body.bottom())),
            pos2(body.right() - 5.0, (body.bottom() - sump - 3.0).max(top)),
        );
        let wet = s.evaporates_kg_per_s > 0.0;
        let shade = self.shade(s.strength_kg_per_m3.unwrap_or(0.0));
        if packing.is_positive() {
            self.packing(packing, wet);
            let spray = if wet { shade } else { self.palette.rule };
            let y = packing.top() - 4.0;
            for share in [0.2, 0.5, 0.8] {
                let x = packing.left() + share * packing.width();
                let drop = [pos2(x, y - 1.0), pos2(x, y + 3.0)];
                self.painter.line_segment(drop, Stroke::new(2.0, spray));
            }
            self.painter.line_segment(
                [
                    pos2(packing.left(), y - 2.0),
                    pos2(packing.right(), y - 2.0),
                ],
                Stroke::new(1.5, ink),
            );
        }
        let sump = Rect::from_min_max(
            pos2(body.left() + 2.0, body.bottom() - sump),
            body.max - vec2(2.0, 2.0),
        );
        self.painter.rect_filled(sump, 1.0, shade);
        let blower = s.apparatus.iter().find(|a| a.kind == ApparatusKind::Blower);
        if let Some(a) = blower {
            self.fan(fan, radius, a.running);
        }
    }

    fn packing(&self, packing: Rect, wet: bool) {
        let line = Stroke::new(
            1.0,
            self.palette
                .tint(self.palette.ink, if wet { 0.3 } else { 0.15 }),
        );
        self.painter
            .rect_stroke(packing, 1.0, line, StrokeKind::Inside);
        let painter = self
            .painter
            .with_clip_rect(packing.intersect(self.painter.clip_rect()));
        let step = 13.0;
        let mut x = packing.left() - packing.height();
        while x < packing.right() {
            let h = packing.height();
            let (a, b) = (pos2(x, packing.top()), pos2(x + h, packing.bottom()));
            painter.line_segment([a, b], line);
            painter.line_segment([pos2(a.x, b.y), pos2(b.x, a.y)], line);
            x += step;
        }
    }

    /// A grate.
    fn outlet(&self, s: &Station, body: Rect) {
        let flows = words::outlet_inflow(self.scene, s).unwrap_or(0.0) > 0.0;
        let color = if flows {
            self.palette.ink
        } else {
            self.palette.quiet
        };
        let stroke = Stroke::new(1.5, self.palette.tint(color, 0.8));
        self.painter
            .rect(body, 4.0, self.palette.sheet, stroke, StrokeKind::Inside);
        for share in [0.3, 0.5, 0.7] {
            let y = body.top() + share * body.height();
            let line = [pos2(body.left() + 6.0, y), pos2(body.right() - 6.0, y)];
            self.painter.line_segment(line, stroke);
        }
    }

    /// Name, strength, temperature, heat and volume, as far as there is room.
    pub(super) fn station_texts(&self, labels: &mut Labels<'_>, s: &Station, spot: &Spot) {
        let (ink, quiet) = (self.palette.ink, self.palette.quiet);
        let mut at = spot.text.left_top();
        let mut line = |labels: &mut Labels<'_>, wordings: &[&str], points: f32, color| {
            let placed = labels.place(wordings, points, color, (Align2::LEFT_TOP, at), spot.text);
            if let Some(rect) = placed {
                at = pos2(at.x, rect.bottom() + 1.5);
            }
            placed.is_some()
        };
        let last = s.name.rsplit(' ').next().unwrap_or("");
        let broken = s.name.replacen(" tank", "\ntank", 1);
        // A whole name in small type tells more than a part of it.
        let wholes = [s.name.as_str(), &broken];
        let _ = line(labels, &wholes, self.body_text(), ink)
            || line(labels, &wholes, self.small(), ink)
            || line(
                labels,
                &[s.name.trim_end_matches(" tank"), last],
                self.body_text(),
                ink,
            );
        let lead = self.scene.lines.get(s.line).map_or("", |l| l.lead.as_str());
        if s.kind == StationKind::Tower {
            if let Some(a) = s.apparatus.first() {
                let words = format!("{} {}", a.name, self.scene.word(a.running));
                line(
                    labels,
                    &[&words, self.scene.word(a.running)],
                    self.small(),
                    self.state_color(a.running),
                );
            }
            return;
        }
        if let Some(q) = words::outlet_inflow(self.scene, s) {
            line(labels, &[&words::flow(q, self.system)], self.small(), quiet);
            return;
        }
        if let Some(c) = s.strength_kg_per_m3 {
            let long = words::strength_of(c, lead, self.system);
            let short = long.trim_end_matches(lead).trim_end();
            line(labels, &[&long, short], self.small(), ink);
        }
        if let Some(t) = s.temp_c {
            line(
                labels,
                &[&words::temperature(t, self.system)],
                self.small(),
                ink,
            );
        }
        if let Some((text, running)) = words::heating(s, self.system) {
            let color = if running == Running::On {
                quiet
            } else {
                self.state_color(running)
            };
            let short = match running {
                Running::On if text.starts_with("cooling") => "cooling",
                Running::On => "heat on",
                Running::Off => "heat off",
                Running::Failed => "heat failed",
                Running::Held => "heat held",
            };
            let count = text.replace(" heaters", "");
            line(labels, &[&text, &count, short], self.small(), color);
        }
        if let Some(v) = s.volume_m3 {
            line(
                labels,
                &[&words::volume(v, self.system)],
                self.small(),
                quiet,
            );
        }
        if let Some(text) = words::evaporation(s, self.system) {
            let short = text.replace("evaporates", "to air");
            line(labels, &[&text, &short], self.small(), quiet);
        }
    }
}

/// Outline of the liquid in a tank whose bottom slopes up to the right.
fn liquid(inner: Rect, surface: f32, foot: f32) -> Vec<Pos2> {
    let (left, right, bottom) = (inner.left(), inner.right(), inner.bottom());
    if foot >= bottom - 1.0 {
        return vec![
            pos2(left, surface),
            pos2(right, surface),
            pos2(right, bottom),
            pos2(left, bottom),
        ];
    }
    if surface >= foot {
        let x = left + (right - left) * (bottom - surface) / (bottom - foot);
        return vec![pos2(left, surface), pos2(x, surface), pos2(left, bottom)];
    }
    vec![
        pos2(left, surface),
        pos2(right, surface),
        pos2(right, foot),
        pos2(left, bottom),
    ]
}
