//! Pumps, fans, heaters and taps: state by shape first, by colour second.

use ecolor::Color32;
use emath::{Pos2, Rect, Vec2, pos2, vec2};

use super::Brush;
use crate::canvas::{Side, Stroke};
use crate::layout::PLATE;
use crate::scene::Running;

impl Brush<'_> {
    pub(super) fn symbol_radius(&self) -> f32 {
        7.5 * self.scale()
    }

    /// Half the width of a tap.
    pub(super) fn tap_radius(&self) -> f32 {
        4.5 * self.scale()
    }

    /// Fill and line of a symbol: full when it runs, empty when it rests.
    const fn look(&self, running: Running) -> (Color32, Color32) {
        let line = self.state_color(running);
        match running {
            Running::On => (line, self.palette.sheet),
            _ => (self.palette.sheet, line),
        }
    }

    /// A circle with a wedge in flow direction.
    pub(super) fn pump(&self, at: Pos2, along: Vec2, radius: f32, running: Running) {
        let (fill, wedge) = self.look(running);
        let stroke = Stroke::new(1.5, self.state_color(running));
        self.canvas.circle(at, radius, fill, stroke);
        if self.cue(at, radius, running) {
            return;
        }
        let along = along.normalized() * radius;
        let across = 0.62 * along.rot90();
        let corners = vec![
            at + 0.72 * along,
            at - 0.45 * along + across,
            at - 0.45 * along - across,
        ];
        let line = Stroke::new(1.25, wedge);
        let inner = if running == Running::On { wedge } else { fill };
        self.canvas.polygon(corners, inner, line);
    }

    /// A circle with three blades.
    pub(super) fn fan(&self, at: Pos2, radius: f32, running: Running) {
        let (fill, blade) = self.look(running);
        let stroke = Stroke::new(1.5, self.state_color(running));
        self.canvas.circle(at, radius, fill, stroke);
        if self.cue(at, radius, running) {
            return;
        }
        let turn = self.phase.filter(|_| running == Running::On).unwrap_or(0.0);
        for k in [0.0, 1.0, 2.0_f32] {
            let angle = std::f32::consts::TAU * ((k + turn) / 3.0) - std::f32::consts::FRAC_PI_2;
            let tip = at + 0.78 * radius * Vec2::angled(angle);
            let side = at + 0.62 * radius * Vec2::angled(angle + 0.75);
            let corners = vec![at, tip, side];
            self.canvas.polygon(corners, blade, Stroke::new(1.0, blade));
        }
    }

    /// The cross of a failure or the bar of an interlock; whether there is one.
    fn cue(&self, at: Pos2, radius: f32, running: Running) -> bool {
        let stroke = Stroke::new(2.0, self.state_color(running));
        let r = 0.5 * radius;
        match running {
            Running::Failed => {
                self.canvas
                    .segment([at + vec2(-r, -r), at + vec2(r, r)], stroke);
                self.canvas
                    .segment([at + vec2(-r, r), at + vec2(r, -r)], stroke);
                true
            }
            Running::Held => {
                for dx in [-0.45, 0.45] {
                    let x = vec2(dx * radius, 0.0);
                    let (a, b) = (at + x - vec2(0.0, r), at + x + vec2(0.0, r));
                    self.canvas.segment([a, b], stroke);
                }
                true
            }
            Running::On | Running::Off => false,
        }
    }

    /// A zigzag; thick and on a plate when it heats.
    pub(super) fn heater(&self, rect: Rect, running: Running) {
        let color = self.state_color(running);
        let plate = rect.expand2(PLATE);
        let border = Stroke::new(1.0, color);
        self.canvas
            .rect(plate, 3.0, self.palette.sheet, border, Side::Inside);
        if self.cue(rect.center(), 0.5 * rect.height() + 2.0, running) {
            return;
        }
        let zigzag: Vec<Pos2> = (0..=6_u8)
            .map(|i| {
                let x = rect.left() + f32::from(i) / 6.0 * rect.width();
                let y = match i {
                    0 | 6 => rect.center().y,
                    i if i % 2 == 1 => rect.top(),
                    _ => rect.bottom(),
                };
                pos2(x, y)
            })
            .collect();
        // Thick, but never so thick that a narrow one is a blot.
        let thick = (0.225 * rect.width()).clamp(1.2, 2.25);
        let width = if running == Running::On { thick } else { 1.0 };
        self.canvas.line(zigzag, Stroke::new(width, color));
    }

    /// A tap: two triangles, full when open.
    pub(super) fn tap(&self, at: Pos2, running: Running) {
        let (fill, _) = self.look(running);
        let r = self.tap_radius();
        let stroke = Stroke::new(1.25, self.state_color(running));
        let fill = if running == Running::On {
            fill
        } else {
            self.palette.sheet
        };
        for sign in [-1.0, 1.0_f32] {
            let corners = vec![
                at,
                at + vec2(sign * r, -0.8 * r),
                at + vec2(sign * r, 0.8 * r),
            ];
            self.canvas.polygon(corners, fill, stroke);
        }
        if matches!(running, Running::Failed | Running::Held) {
            self.cue(at, 1.6 * r, running);
        }
    }
}
