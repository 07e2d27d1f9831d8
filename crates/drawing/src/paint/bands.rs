//! Streams as bands.

use ecolor::Color32;
use emath::{Align2, Pos2, Rect, pos2, vec2};

use super::{Brush, between, words};
use crate::canvas::Stroke;
use crate::labels::Labels;
use crate::layout::Path;
use crate::scene::{Place, Running, Scene, Stream, StreamKind};

/// Widest band at scale 1, points.
const WIDEST: f32 = 13.0;
/// Narrowest band, points.
const NARROWEST: f32 = 1.5;
/// Gap between travelling dots, points.
const DOTS_APART: f32 = 22.0;

/// Width of the band of a flow, points.
#[must_use]
pub fn band_width(scene: &Scene, flow_m3_per_s: f64, scale: f32) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "a width on screen")]
    let share = scene.width_share(flow_m3_per_s) as f32;
    (WIDEST * scale * share).max(NARROWEST)
}

/// The corners of a path rounded.
fn rounded(points: &[Pos2], radius: f32) -> Vec<Pos2> {
    let mut out = Vec::with_capacity(4 * points.len());
    for (i, &p) in points.iter().enumerate() {
        if i == 0 || i + 1 == points.len() {
            out.push(p);
            continue;
        }
        let (to_before, to_after) = (points[i - 1] - p, points[i + 1] - p);
        let r = radius
            .min(0.5 * to_before.length())
            .min(0.5 * to_after.length());
        let (a, b) = (
            p + r * to_before.normalized(),
            p + r * to_after.normalized(),
        );
        for step in 0..=4_u8 {
            let t = f32::from(step) / 4.0;
            let (u, v) = (a + t * (p - a), p + t * (b - p));
            out.push(u + t * (v - u));
        }
    }
    out
}

/// Cuts `by` points off the end of a path.
fn shortened(points: &[Pos2], by: f32) -> Vec<Pos2> {
    let mut out = points.to_vec();
    if let [.., a, b] = out[..] {
        let length = a.distance(b);
        if length > by {
            let last = out.len() - 1;
            out[last] = b + by / length * (a - b);
        }
    }
    out
}

impl Brush<'_> {
    pub(super) fn bands(&self) {
        for (stream, path) in self.scene.streams.iter().zip(&self.placement.streams) {
            if path.points.len() < 2 {
                continue;
            }
            match stream.kind {
                StreamKind::Circulation => self.pipe(stream, path),
                StreamKind::Vapour => self.vapour(stream, path),
                _ => self.band(stream, path),
            }
        }
    }

    fn width_of(&self, stream: &Stream) -> f32 {
        band_width(self.scene, stream.flow_m3_per_s, self.scale())
    }

    fn band(&self, stream: &Stream, path: &Path) {
        let flows = stream.flow_m3_per_s > 0.0;
        if stream.to == Place::Floor && !flows {
            return;
        }
        if let Some(ring) = self.stream_ring(stream.id) {
            let glow = self.palette.tint(ring.color, 0.35);
            let width = self.width_of(stream) + 7.0;
            let points = rounded(&path.points, 6.0);
            self.canvas.line(points, Stroke::new(width, glow));
        }
        if !flows {
            self.dry(path);
            return;
        }
        let width = self.width_of(stream);
        let head = (0.9 * width + 5.0).min(16.0);
        let edge = self.palette.tint(self.palette.ink, 0.62);
        let points = rounded(&shortened(&path.points, 0.8 * head), 3.0 + width);
        let under = Stroke::new(width + 2.0, edge);
        self.canvas.line(points.clone(), under);
        let fill = self.shade(stream.strength_kg_per_m3);
        self.canvas.line(points.clone(), Stroke::new(width, fill));
        self.arrow(path, head, width, edge);
        self.dots(&points, width, edge);
    }

    /// A band through which nothing flows: only its bed.
    fn dry(&self, path: &Path) {
        let stroke = Stroke::new(1.0, self.palette.rule);
        let points = rounded(&path.points, 4.0);
        self.canvas.dashed(&points, stroke, 3.0, 3.0);
        self.arrow(path, 6.0, 1.5, self.palette.rule);
    }

    fn arrow(&self, path: &Path, head: f32, width: f32, color: Color32) {
        let [.., before, tip] = path.points[..] else {
            return;
        };
        let along = (tip - before).normalized();
        let across = along.rot90() * (0.5 * width + 3.2);
        let back = tip - head * along;
        let corners = vec![tip, back + across, back - across];
        self.canvas.polygon(corners, color, Stroke::NONE);
    }

    fn dots(&self, points: &[Pos2], width: f32, edge: Color32) {
        let Some(phase) = self.phase else {
            return;
        };
        let radius = (0.28 * width).clamp(1.4, 3.0);
        let mut next = DOTS_APART * phase.rem_euclid(1.0);
        for pair in points.windows(2) {
            let length = pair[0].distance(pair[1]);
            while next < length {
                let at = pair[0] + next / length * (pair[1] - pair[0]);
                self.canvas
                    .circle(at, radius, self.palette.sheet, Stroke::new(0.75, edge));
                next += DOTS_APART;
            }
            next -= length;
        }
    }

    /// Solution that goes round: an empty pipe, since nothing is lost or won by it.
    fn pipe(&self, stream: &Stream, path: &Path) {
        let runs = stream.flow_m3_per_s > 0.0;
        let color = if runs {
            self.palette.quiet
        } else {
            self.palette.rule
        };
        let points = rounded(&path.points, 5.0);
        let color = self.stream_ring(stream.id).map_or(color, |r| r.color);
        self.canvas.line(points.clone(), Stroke::new(6.0, color));
        let inner = if runs {
            self.shade(stream.strength_kg_per_m3)
        } else {
            self.palette.sheet
        };
        self.canvas.line(points.clone(), Stroke::new(3.5, inner));
        self.arrow(path, 8.0, 4.0, color);
        if runs {
            self.dots(&points, 5.0, color);
        }
    }

    fn vapour(&self, stream: &Stream, path: &Path) {
        let [start, end] = path.points[..] else {
            return;
        };
        if stream.flow_m3_per_s <= 0.0 {
            return;
        }
        let width = self.width_of(stream).max(3.0);
        let ring = self.stream_ring(stream.id).map(|r| r.color);
        let color = ring.unwrap_or_else(|| self.palette.tint(self.palette.quiet, 0.75));
        // Three waves side by side, as wide together as the band would be.
        let length = start.y - end.y;
        let shift = self.phase.unwrap_or(0.0) * std::f32::consts::TAU;
        for k in [-1.0, 0.0, 1.0_f32] {
            let wave = (0..=24_u8).map(|i| {
                let t = f32::from(i) / 24.0;
                let sway = 1.6 * (t * 9.0 - shift + k).sin();
                pos2(
                    start.x + k * (0.5 * width + 2.0) + sway,
                    start.y - t * (length - 7.0),
                )
            });
            let stroke = Stroke::new((width / 4.0).max(1.25), color);
            self.canvas.line(wave.collect(), stroke);
        }
        self.arrow(path, 7.0, width + 3.0, color);
    }

    /// Pumps, and the taps of feeds.
    pub(super) fn band_symbols(&self, labels: &mut Labels<'_>) {
        for (stream, path) in self.scene.streams.iter().zip(&self.placement.streams) {
            if stream.to == Place::Floor && stream.flow_m3_per_s <= 0.0 {
                continue;
            }
            if let Some((a, b)) = path.longest() {
                // Texts keep off the bands.
                let wide = self.width_of(stream) + 2.0;
                for w in path.points.windows(2) {
                    labels.keep_free(between(w[0], w[1]).expand(0.5 * wide));
                }
                let Some(apparatus) = &stream.apparatus else {
                    continue;
                };
                if stream.from == Place::Tap {
                    let at = path.points[0];
                    self.tap(at, apparatus.running);
                    let size = vec2(2.0, 1.6) * (self.tap_radius() + 2.0);
                    labels.keep_free(Rect::from_center_size(at, size));
                } else {
                    let at = a + 0.5 * (b - a);
                    let radius = self.symbol_radius().min(0.48 * a.distance(b)).max(4.5);
                    self.pump(at, b - a, radius, apparatus.running);
                    labels.keep_free(Rect::from_center_size(at, vec2(2.0, 2.0) * radius));
                }
            }
        }
    }

    pub(super) fn band_texts(&self, labels: &mut Labels<'_>) {
        let mut order: Vec<usize> = (0..self.scene.streams.len()).collect();
        // What matters most is named first, so that it finds room.
        order.sort_by_key(|&i| match self.scene.streams[i].kind {
            StreamKind::Feed | StreamKind::Vapour => 0,
            StreamKind::Pumped | StreamKind::Overflow => 1,
            StreamKind::Film => 2,
            StreamKind::Circulation => 3,
        });
        for i in order {
            let (stream, path) = (&self.scene.streams[i], &self.placement.streams[i]);
            if path.points.len() >= 2 {
                self.band_text(labels, stream, path);
            }
        }
    }

    fn band_text(&self, labels: &mut Labels<'_>, stream: &Stream, path: &Path) {
        let stuck = stream
            .apparatus
            .as_ref()
            .filter(|a| matches!(a.running, Running::Failed | Running::Held));
        if stream.flow_m3_per_s <= 0.0 && stuck.is_none() {
            return;
        }
        let flow = words::flow(stream.flow_m3_per_s, self.system);
        let (long, color) = match (stuck, stream.kind, &stream.source) {
            (Some(a), ..) => (
                format!("{} {}", a.name, a.running.word()),
                self.state_color(a.running),
            ),
            (_, StreamKind::Vapour, _) => (format!("{flow} to the air"), self.palette.ink),
            (_, _, Some(source)) => (format!("{source} {flow}"), self.palette.ink),
            _ if stream.to == Place::Work => (format!("on work {flow}"), self.palette.quiet),
            _ => (flow.clone(), self.palette.ink),
        };
        let short = stuck.map_or(flow, |a| a.running.word().to_owned());
        let wordings = [long.as_str(), short.as_str()];
        let block = self.placement.blocks.get(stream.line).copied();
        let bounds = block.unwrap_or(Rect::EVERYTHING);
        // A plume sways; its words keep clear of it.
        let sway = if stream.kind == StreamKind::Vapour {
            5.0
        } else {
            0.0
        };
        let off = 0.5 * self.width_of(stream) + 3.5 + sway;
        // Words at a tap keep clear of it, and of the band under it.
        let tap = (0.5 * self.width_of(stream) + 2.5).max(self.tap_radius() + 3.5);
        let aside = if stream.from == Place::Tap { tap } else { off };
        for anchor in anchors(path, aside, self.symbol_radius() + 3.5, stream) {
            if labels
                .place(&wordings, self.small(), color, anchor, bounds)
                .is_some()
            {
                return;
            }
        }
    }
}

/// Places for a band's text, the best first.
fn anchors(path: &Path, off: f32, around: f32, stream: &Stream) -> Vec<(Align2, Pos2)> {
    let Some((a, b)) = path.longest() else {
        return Vec::new();
    };
    if stream.from == Place::Tap {
        let top = path.points[0];
        return vec![
            (Align2::LEFT_BOTTOM, top + vec2(off, 5.0)),
            (Align2::RIGHT_BOTTOM, top + vec2(-off, 5.0)),
            // Over it and the words of another tap at its side.
            (Align2::LEFT_BOTTOM, top + vec2(-0.5 * off, -1.5 * off)),
        ];
    }
    let mid = a + 0.5 * (b - a);
    let symbol = if stream.apparatus.is_some() {
        around
    } else {
        0.0
    };
    if (b.x - a.x).abs() > (b.y - a.y).abs() {
        let up = vec2(0.0, -off.max(symbol));
        let mut list = Vec::new();
        if stream.to == Place::Work {
            list.push((Align2::RIGHT_BOTTOM, pos2(a.x.max(b.x), mid.y - off)));
            list.push((Align2::RIGHT_TOP, pos2(a.x.max(b.x), mid.y + off)));
        }
        for share in [0.5, 0.25, 0.75] {
            let at = a + share * (b - a);
            let up = if share == 0.5 { up } else { vec2(0.0, -off) };
            list.push((Align2::CENTER_BOTTOM, at + up));
            list.push((Align2::CENTER_TOP, at - up));
        }
        list
    } else {
        let side = vec2(off.max(symbol), 0.0);
        [0.5, 0.2, 0.8]
            .into_iter()
            .flat_map(|share| {
                let at = a + share * (b - a);
                [
                    (Align2::LEFT_CENTER, at + side),
                    (Align2::RIGHT_CENTER, at - side),
                ]
            })
            .collect()
    }
}
