//! Tanks, towers and ways out.

use emath::{Pos2, Rect, pos2, vec2};

use super::{Brush, words};
use crate::canvas::{Side, Stroke};
use crate::layout::{Spot, heater_spots};
use crate::scene::{Apparatus, ApparatusKind, Mark, Running, Station, StationKind};

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
            self.canvas.rect_stroke(around, 5.0, ring, Side::Outside);
        }
    }

    fn tank(&self, s: &Station, body: Rect) {
        let inner = body.shrink(1.0);
        self.canvas.rect_filled(inner, 2.0, self.palette.sheet);
        let (surface, foot) = (height_of(s.level, inner), height_of(s.slope, inner));
        let strength = s.strength_kg_per_m3.unwrap_or(0.0);
        if s.level > 0.0 {
            let fill = self.shade(strength);
            self.canvas
                .polygon(liquid(inner, surface, foot), fill, Stroke::NONE);
            let line = Stroke::new(1.5, self.palette.tint(self.palette.ink, 0.7));
            let right = if surface > foot && s.slope > 0.0 {
                inner.right() - inner.width() * (surface - foot) / (inner.bottom() - foot)
            } else {
                inner.right()
            };
            self.canvas
                .segment([pos2(inner.left(), surface), pos2(right, surface)], line);
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
        self.canvas.line(line, stroke);
        for x in [body.left(), body.right()] {
            let lip = [pos2(x - 3.0, body.top()), pos2(x + 3.0, body.top())];
            self.canvas.segment(lip, stroke);
        }
    }

    /// Thin rods from the brim to where they are read, with a tick; those of alarms end in a triangle.
    fn electrodes(&self, s: &Station, inner: Rect, surface: f32) {
        for (mark, tip) in s.marks.iter().zip(rod_tips(&s.marks, inner)) {
            let (x, y) = (tip.x, tip.y);
            let strength = self.scene.scale.share(s.strength_kg_per_m3.unwrap_or(0.0));
            let wet = if y > surface + 1.0 {
                self.palette.on_liquid(strength)
            } else {
                self.palette.ink
            };
            let stroke = Stroke::new(1.0, wet.gamma_multiply(0.75));
            // The part above the liquid stands before the sheet.
            let dry = Stroke::new(1.0, self.palette.tint(self.palette.ink, 0.6));
            let split = y.min(surface);
            self.canvas
                .segment([pos2(x, inner.top()), pos2(x, split)], dry);
            if y > surface {
                self.canvas.segment([pos2(x, surface), pos2(x, y)], stroke);
            }
            if mark.is_alarm {
                let up = if 2.0 * mark.share > 1.0 { -1.0 } else { 1.0 };
                let corners = vec![
                    pos2(x - 3.5, y - 3.0 * up),
                    pos2(x + 3.5, y - 3.0 * up),
                    pos2(x, y + 3.0 * up),
                ];
                let edge = Stroke::new(0.75, self.palette.sheet);
                self.canvas.polygon(corners, self.palette.alarm, edge);
            } else {
                let tick = Stroke::new(1.5, wet);
                self.canvas
                    .segment([pos2(x - 2.5, y), pos2(x + 2.5, y)], tick);
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
        self.canvas
            .rect(body, 3.0, self.palette.sheet, shell, Side::Inside);
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
                self.canvas.segment(drop, Stroke::new(2.0, spray));
            }
            self.canvas.segment(
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
        self.canvas.rect_filled(sump, 1.0, shade);
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
        self.canvas.rect_stroke(packing, 1.0, line, Side::Inside);
        self.canvas.clipped(packing, &mut |canvas| {
            let step = 13.0;
            let mut x = packing.left() - packing.height();
            while x < packing.right() {
                let h = packing.height();
                let (a, b) = (pos2(x, packing.top()), pos2(x + h, packing.bottom()));
                canvas.segment([a, b], line);
                canvas.segment([pos2(a.x, b.y), pos2(b.x, a.y)], line);
                x += step;
            }
        });
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
        self.canvas
            .rect(body, 4.0, self.palette.sheet, stroke, Side::Inside);
        for share in [0.3, 0.5, 0.7] {
            let y = body.top() + share * body.height();
            let line = [pos2(body.left() + 6.0, y), pos2(body.right() - 6.0, y)];
            self.canvas.segment(line, stroke);
        }
    }
}

/// Where a share of a tank's height lies on screen.
pub(super) fn height_of(share: f64, inner: Rect) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "a share of a height")]
    let share = share as f32;
    inner.bottom() - share * inner.height()
}

/// Lower ends of the rods of electrodes; none in a tank too narrow for them.
pub(super) fn rod_tips(marks: &[Mark], inner: Rect) -> Vec<Pos2> {
    if marks.is_empty() || inner.width() < 24.0 {
        return Vec::new();
    }
    #[expect(clippy::cast_precision_loss, reason = "a handful")]
    let step = (0.62 * inner.width() / marks.len() as f32).min(12.0);
    let tips = marks.iter().enumerate().map(|(i, mark)| {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let across = step * i as f32;
        pos2(inner.left() + 6.0 + across, height_of(mark.share, inner))
    });
    tips.collect()
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
