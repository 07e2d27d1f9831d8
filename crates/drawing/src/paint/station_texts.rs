//! What stands in writing at tanks, towers and ways out. Where there is room for little, the strength of a tank comes before all but its name, its
//! temperature next; they then share one line and may stand within the tank.

use ecolor::Color32;
use emath::{Align2, Pos2, Rect, pos2, vec2};

use super::tanks::{height_of, rod_tips};
use super::{Brush, words};
use crate::labels::Labels;
use crate::layout::{PLATE, Spot, heater_spots};
use crate::scene::{ApparatusKind, Running, Station, StationKind};

/// Gap between lines, points.
const BETWEEN_LINES: f32 = 1.5;
/// Gap that texts within a tank keep from what else is in it, points.
const CLEAR: f32 = 1.5;

/// Lines of text under one another.
struct Column {
    at: Pos2,
    bounds: Rect,
    /// The line written last.
    last: Option<Rect>,
}

impl Column {
    fn line(
        &mut self,
        labels: &mut Labels<'_>,
        wordings: &[&str],
        points: f32,
        color: Color32,
    ) -> bool {
        let anchor = (Align2::LEFT_TOP, self.at);
        let placed = labels.place(wordings, points, color, anchor, self.bounds);
        if let Some(rect) = placed {
            self.at.y = rect.bottom() + BETWEEN_LINES;
            self.last = Some(rect);
        }
        placed.is_some()
    }

    fn room(&self) -> f32 {
        self.bounds.bottom() - self.at.y
    }
}

impl Brush<'_> {
    /// Name, strength, temperature, heat and volume, as far as there is room.
    pub(super) fn station_texts(&self, labels: &mut Labels<'_>, s: &Station, spot: &Spot) {
        let mut column = Column {
            at: spot.text.left_top(),
            bounds: spot.text,
            last: None,
        };
        self.name(labels, s, &mut column);
        match s.kind {
            StationKind::Tower => self.tower_texts(labels, s, &mut column),
            StationKind::Outlet => {
                if let Some(q) = words::outlet_inflow(self.scene, s) {
                    let flow = words::flow(q, self.system);
                    column.line(labels, &[&flow], self.small(), self.palette.quiet);
                }
            }
            _ => {
                self.figures(labels, s, spot, &mut column);
                self.less(labels, s, &mut column);
            }
        }
    }

    /// A whole name in small type tells more than a part of it.
    fn name(&self, labels: &mut Labels<'_>, s: &Station, column: &mut Column) {
        let (small, ink) = (self.small(), self.palette.ink);
        let last = s.name.rsplit(' ').next().unwrap_or("");
        let broken = s.name.replacen(" tank", "\ntank", 1);
        let height = |points: f32| labels.measure(&s.name, points).y;
        // Where only two lines have room, the second is for the strength.
        let is_low = column.room() < height(self.body_text()) + height(small) + 2.0 * BETWEEN_LINES;
        let in_body = self.body_text();
        let parts = [s.name.trim_end_matches(" tank"), last];
        // In a single line the temperature of a heated tank stands behind a short name.
        let is_single = column.room() < 2.0 * height(small) + BETWEEN_LINES - 0.5;
        let is_shared = is_single && !s.apparatus.is_empty();
        let _ = (is_shared && column.line(labels, &parts, small, ink))
            || (!is_low && column.line(labels, &[&s.name, &broken], in_body, ink))
            || column.line(labels, &[&s.name], small, ink)
            || (!is_low && column.line(labels, &[&broken], small, ink))
            || column.line(labels, &parts, if is_low { small } else { in_body }, ink);
    }

    fn tower_texts(&self, labels: &mut Labels<'_>, s: &Station, column: &mut Column) {
        if let Some(a) = s.apparatus.first() {
            let word = self.scene.word(a.running);
            let words = format!("{} {word}", a.name);
            let color = self.state_color(a.running);
            column.line(labels, &[&words, word], self.small(), color);
        }
        if let Some(air) = &s.air {
            let told = words::air(air, self.system);
            let broken = told.replacen(' ', "\n", 1);
            let quiet = self.palette.quiet;
            column.line(labels, &[&told, &broken], self.small(), quiet);
        }
    }

    /// Strength and temperature: under one another beside the tank, or in one line wherever it fits, or the one before the other.
    fn figures(&self, labels: &mut Labels<'_>, s: &Station, spot: &Spot, column: &mut Column) {
        let (small, ink) = (self.small(), self.palette.ink);
        let lead = self.scene.lines.get(s.line).map_or("", |l| l.lead.as_str());
        let strength = s
            .strength_kg_per_m3
            .map_or_else(String::new, |c| words::strength_of(c, lead, self.system));
        let bare = strength.trim_end_matches(lead).trim_end();
        let temp = s
            .temp_c
            .map_or_else(String::new, |t| words::temperature(t, self.system));
        let line = labels.measure("0", small).y;
        let has_two = column.room() >= 2.0 * line + BETWEEN_LINES - 0.5;
        let mut told = [strength.is_empty(), temp.is_empty()];
        if has_two || told.contains(&true) {
            told[0] = told[0] || column.line(labels, &[&strength, bare], small, ink);
            told[1] = told[1] || column.line(labels, &[&temp], small, ink);
        }
        let mut around = self.around(s, spot, column, line);
        // The temperature of a tank that nothing heats is not worth covering the tank.
        if told[0] && s.apparatus.is_empty() {
            around.retain(|place| matches!(place.ground, Ground::Sheet));
        }
        let mut anywhere = |labels: &mut Labels<'_>, texts: &[&str]| -> bool {
            let found = around.iter().find_map(|place| {
                let mut fitting = texts.iter();
                fitting.find_map(|text| place.write(labels, text, small))
            });
            if let Some(rect) = found
                && column.bounds.contains_rect(rect)
            {
                column.at.y = column.at.y.max(rect.bottom() + BETWEEN_LINES);
            }
            found.is_some()
        };
        if told == [false, false]
            && let Some(temp_c) = s.temp_c
        {
            let whole = words::temperature_whole(temp_c, self.system);
            let both = [
                format!("{strength} · {temp}"),
                format!("{bare} · {temp}"),
                format!("{bare} · {whole}"),
            ];
            if anywhere(labels, &both.each_ref().map(String::as_str)) {
                return;
            }
        }
        if !told[0] && !anywhere(labels, &[&strength, bare]) {
            // Over two lines rather than not at all.
            anywhere(labels, &[&bare.replacen('\u{a0}', "\n", 1)]);
        }
        if !told[1] {
            anywhere(labels, &[&temp]);
        }
    }

    /// Places for a line of a tank's figures, the best first: beside it, within it, under it.
    fn around(&self, s: &Station, spot: &Spot, column: &Column, line: f32) -> Vec<Within> {
        let beside = Within {
            anchor: (Align2::LEFT_TOP, column.at),
            bounds: column.bounds,
            color: self.palette.ink,
            ground: Ground::Sheet,
        };
        let foot = spot.body.left_bottom();
        let block = self.placement.blocks.get(s.line);
        let lowest = block.map_or(foot.y, |b| b.bottom() + 1.0);
        let right = spot.text.right().max(spot.body.right());
        let under = Within {
            anchor: (Align2::LEFT_TOP, foot + vec2(0.0, 1.5)),
            bounds: Rect::from_min_max(foot, pos2(right, lowest.max(foot.y))),
            ..beside
        };
        let mut all = vec![beside];
        all.extend(self.within(s, spot.body, line));
        all.extend(column.last.map(|name| Within {
            anchor: (Align2::LEFT_TOP, name.right_top() + vec2(7.0, 0.0)),
            ..beside
        }));
        all.push(under);
        all
    }

    /// Parts of a tank that hold neither rods nor heaters and lie wholly in its liquid or wholly over it; at the worst, others, on a plate.
    fn within(&self, s: &Station, body: Rect, line: f32) -> Vec<Within> {
        let inner = body.shrink(2.0);
        let walls = body.shrink(1.0);
        let (surface, foot) = (height_of(s.level, walls), height_of(s.slope, walls));
        let tips = rod_tips(&s.marks, walls);
        let rods_right = tips.iter().map(|t| t.x + 4.0).fold(inner.left(), f32::max);
        let rods_foot = tips.iter().map(|t| t.y + 4.0).fold(inner.top(), f32::max);
        let heaters = s.apparatus.iter();
        let count = heaters.filter(|a| a.kind == ApparatusKind::Heater).count();
        let plates = heater_spots(walls, foot, count, self.scale());
        let plates = plates.iter().map(|h| h.expand2(PLATE)).reduce(Rect::union);
        let floor = foot.min(inner.bottom());
        let over = plates.map_or(floor, |p| p.top());
        let beside = plates.map_or(inner.left(), |p| p.right() + CLEAR);
        let strength = self.scene.scale.share(s.strength_kg_per_m3.unwrap_or(0.0));
        let (mut found, mut straddling) = (Vec::new(), Vec::new());
        let add = |to: &mut Vec<Within>, bounds: Rect, color, ground| {
            if bounds.height() >= line - 1.0 && bounds.width() > 0.0 {
                to.push(Within {
                    anchor: (Align2::CENTER_CENTER, bounds.center()),
                    bounds,
                    color,
                    ground,
                });
            }
        };
        let (ink, plate) = (self.palette.ink, Ground::Plate(self.palette.sheet));
        for (rods, top) in [(inner.left(), rods_foot), (rods_right, inner.top())] {
            for (left, bottom) in [(inner.left(), over), (beside, floor)] {
                let left_top = |top: f32| pos2(left.max(rods) + CLEAR, top);
                let all = Rect::from_min_max(left_top(top), pos2(inner.right(), bottom));
                let wet = Rect::from_min_max(left_top(top.max(surface + CLEAR)), all.max);
                let dry_foot = bottom.min(surface - CLEAR);
                let dry = Rect::from_min_max(all.min, pos2(all.right(), dry_foot));
                let in_liquid = self.palette.on_liquid(strength);
                add(&mut found, wet, in_liquid, Ground::Tank);
                add(&mut found, dry, ink, Ground::Tank);
                add(&mut straddling, all, ink, plate);
            }
        }
        // A plate hides the surface, and at the worst rods, but no heater.
        let over_rods = Rect::from_min_max(inner.min, pos2(inner.right(), over));
        add(&mut straddling, over_rods, ink, plate);
        found.extend(straddling);
        found
    }

    /// What stands there only where there is room for more.
    fn less(&self, labels: &mut Labels<'_>, s: &Station, column: &mut Column) {
        let (small, quiet) = (self.small(), self.palette.quiet);
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
            column.line(labels, &[&text, &count, short], small, color);
        }
        if let Some(v) = s.volume_m3 {
            column.line(labels, &[&words::volume(v, self.system)], small, quiet);
        }
        if let Some(text) = words::evaporation(s, self.system) {
            let short = text.replace("evaporates", "to air");
            column.line(labels, &[&text, &short], small, quiet);
        }
    }
}

/// What a text stands on.
#[derive(Clone, Copy)]
enum Ground {
    /// The sheet, beside what is drawn.
    Sheet,
    /// The liquid of a tank, or the air over it.
    Tank,
    /// A plate of this colour within a tank.
    Plate(Color32),
}

/// A place for a line of a tank's figures.
#[derive(Clone, Copy)]
struct Within {
    anchor: (Align2, Pos2),
    bounds: Rect,
    color: Color32,
    ground: Ground,
}

impl Within {
    fn write(&self, labels: &mut Labels<'_>, text: &str, points: f32) -> Option<Rect> {
        let plate = match self.ground {
            Ground::Sheet => {
                return labels.place(&[text], points, self.color, self.anchor, self.bounds);
            }
            Ground::Tank => None,
            Ground::Plate(color) => Some(color),
        };
        labels.place_inside(text, (points, self.color), plate, self.anchor, self.bounds)
    }
}
