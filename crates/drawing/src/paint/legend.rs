//! What shade, width and symbols mean.

use dragback_units::digits::three;
use dragback_units::{Dim, Style, System};
use emath::{Align2, Rect, pos2, vec2};

use super::{Brush, band_width};
use crate::canvas::{Side, Stroke};
use crate::labels::Labels;
use crate::scene::Running;
use crate::size;

/// How apparatus may stand, and in which words.
type State = (Running, &'static str);

/// Width in which all that it tells has room at scale 1, points.
const WHOLE: f32 = 770.0;
/// Gap behind the word of a symbol, points.
const STATES_APART: f32 = 12.0;
/// Steps in which the shades are drawn.
const STEPS: u8 = 60;

impl Brush<'_> {
    pub(super) fn legend(&self, labels: &mut Labels<'_>) {
        let rect = self.placement.legend;
        let mut x = self.shades(labels, rect) + 18.0;
        x = self.widths(labels, rect, x) + 18.0;
        let (states, mean) = self.last_words(labels, rect, x);
        let x = self.states(labels, rect, x, &states);
        if let Some(words) = mean {
            self.word(labels, x, words);
        }
    }

    /// Which symbols are told, in which words, and that all numbers are means: as much as there is room for from a place on. What the numbers are comes
    /// before long words and before symbols that have words of their own where they stand.
    fn last_words(
        &self,
        labels: &Labels<'_>,
        rect: Rect,
        from: f32,
    ) -> (Vec<State>, Option<&'static str>) {
        let told = |held| {
            let short =
                [Running::On, Running::Off, Running::Failed].map(|r| (r, self.scene.word(r)));
            [&short[..], &[(Running::Held, held)]].concat()
        };
        let [long, short] = ["held by an interlock", "held"].map(told);
        let [mean, brief] = ["means of the settled week", "settled week"];
        let choices = [
            (&long[..], mean),
            (&short[..], mean),
            (&long[..], brief),
            (&short[..], brief),
            (&short[..3], brief),
            (&short[..2], brief),
        ];
        let wide = |text: &str| labels.measure(text, self.legend_text()).x;
        let all = |states: &[State]| -> f32 {
            let symbol = self.state_start(rect) + STATES_APART;
            states.iter().map(|(_, text)| symbol + wide(text)).sum()
        };
        let found = choices
            .into_iter()
            .filter(|_| self.scene.is_mean)
            .find(|(states, mean)| from + all(states) + wide(mean) <= rect.right());
        match found {
            Some((states, mean)) => (states.to_vec(), Some(mean)),
            None => (long, None),
        }
    }

    fn state_radius(&self, rect: Rect) -> f32 {
        (0.36 * rect.height()).min(self.symbol_radius())
    }

    /// Where the word of a symbol begins, from the symbol's left.
    fn state_start(&self, rect: Rect) -> f32 {
        2.0 * self.state_radius(rect) + 5.0
    }

    /// Size of its type: as elsewhere, but no larger than leaves room for all that it tells.
    fn legend_text(&self) -> f32 {
        if self.placement.legend.width() < WHOLE * self.scale() {
            size::SMALL
        } else {
            self.small()
        }
    }

    fn word(&self, labels: &mut Labels<'_>, x: f32, text: &str) -> Option<f32> {
        let rect = self.placement.legend;
        let at = pos2(x, rect.center().y);
        let anchor = (Align2::LEFT_CENTER, at);
        let placed = labels.place(
            &[text],
            self.legend_text(),
            self.palette.quiet,
            anchor,
            rect,
        );
        placed.map(|r| r.right())
    }

    fn leads(&self) -> String {
        let mut leads: Vec<&str> = Vec::new();
        for line in &self.scene.lines {
            if !leads.contains(&line.lead.as_str()) {
                leads.push(&line.lead);
            }
        }
        leads.join(", ")
    }

    /// The scale of strengths; its right end.
    fn shades(&self, labels: &mut Labels<'_>, rect: Rect) -> f32 {
        let scale = &self.scene.scale;
        let low = tick(scale.low_kg_per_m3, self.system);
        let high = format!(
            "{} {}",
            tick(scale.high_kg_per_m3, self.system),
            self.leads()
        );
        let mut x = rect.left() + 4.0;
        if let Some(right) = self.word(labels, x, &low) {
            x = right + 5.0;
        }
        let width = (0.1 * rect.width()).clamp(50.0, 200.0);
        let half = (0.22 * rect.height()).min(6.0);
        for i in 0..STEPS {
            let share = (f64::from(i) + 0.5) / f64::from(STEPS);
            let left = x + width * f32::from(i) / f32::from(STEPS);
            let step = Rect::from_min_max(
                pos2(left, rect.center().y - half),
                pos2(
                    left + width / f32::from(STEPS) + 0.5,
                    rect.center().y + half,
                ),
            );
            self.canvas
                .rect_filled(step, 0.0, self.palette.liquid(share));
        }
        let frame = Rect::from_center_size(
            pos2(x + 0.5 * width, rect.center().y),
            vec2(width, 2.0 * half),
        );
        let line = Stroke::new(1.0, self.palette.tint(self.palette.ink, 0.5));
        self.canvas.rect_stroke(frame, 0.0, line, Side::Outside);
        // A tick at each decade shows that the scale is logarithmic.
        let decades = (scale.high_kg_per_m3 / scale.low_kg_per_m3).log10().round();
        let mut decade = 1.0;
        while decade < decades {
            #[expect(clippy::cast_possible_truncation, reason = "a place on screen")]
            let tick = x + width * (decade / decades) as f32;
            let ends = [pos2(tick, frame.bottom()), pos2(tick, frame.bottom() + 3.0)];
            self.canvas.segment(ends, line);
            decade += 1.0;
        }
        labels.keep_free(frame);
        let right = x + width;
        self.word(labels, right + 5.0, &high).unwrap_or(right)
    }

    /// Bands of round flows.
    fn widths(&self, labels: &mut Labels<'_>, rect: Rect, from: f32) -> f32 {
        let unit = Dim::VolumeFlow.display_unit(self.system, Style::Default);
        let mut told: Vec<(f64, String)> = [1.0, 10.0, 100.0]
            .map(|value| (unit.to_si(value), format!("{value}")))
            .into_iter()
            .filter(|(m3_per_s, _)| *m3_per_s <= self.scene.full_width_m3_per_s())
            .collect();
        let law = self.word(labels, from, "width as √flow");
        let from = law.map_or(from, |right| right + 8.0);
        // The last that there is room for carries the unit.
        let wide =
            |labels: &Labels<'_>, text: &str| 31.0 + labels.measure(text, self.legend_text()).x;
        while let Some((_, last)) = told.last_mut() {
            last.push_str(&format!(" {}", unit.symbol));
            let all: f32 = told.iter().map(|(_, text)| wide(labels, text)).sum();
            if from + all - 9.0 <= rect.right() {
                break;
            }
            told.pop();
        }
        let mut x = from;
        for (flow_m3_per_s, text) in told {
            let width = band_width(self.scene, flow_m3_per_s, self.scale());
            let band = Rect::from_min_max(
                pos2(x, rect.center().y - 0.5 * width),
                pos2(x + 18.0, rect.center().y + 0.5 * width),
            );
            let fill = self.palette.liquid(0.35);
            let edge = Stroke::new(1.0, self.palette.tint(self.palette.ink, 0.62));
            self.canvas.rect(band, 0.0, fill, edge, Side::Outside);
            x = self.word(labels, x + 22.0, &text).unwrap_or(x + 18.0) + 9.0;
        }
        x
    }

    /// What symbols of apparatus mean; where the next word may stand.
    fn states(&self, labels: &mut Labels<'_>, rect: Rect, from: f32, states: &[State]) -> f32 {
        let (radius, start) = (self.state_radius(rect), self.state_start(rect));
        let mut x = from;
        for (running, text) in states {
            if x + start + labels.measure(text, self.legend_text()).x > rect.right() {
                break;
            }
            let at = pos2(x + radius, rect.center().y);
            self.pump(at, vec2(1.0, 0.0), radius, *running);
            let end = self.word(labels, x + start, text);
            x = end.unwrap_or(x + 2.0 * radius) + STATES_APART;
        }
        x
    }
}

/// A power of ten in the unit that suits it.
fn tick(kg_per_m3: f64, system: System) -> String {
    let tidy = |value: f64| {
        let rounded: f64 = format!("{value:.3e}").parse().unwrap_or(value);
        format!("{rounded}")
    };
    if system == System::Metric && kg_per_m3 >= 0.999 {
        return format!("{} g/L", tidy(kg_per_m3));
    }
    if system == System::Us && kg_per_m3 >= 0.999 {
        let unit = Dim::Concentration.display_unit(system, Style::Bath);
        return format!("{} {}", three(unit.from_si(kg_per_m3), 2), unit.symbol);
    }
    format!("{} mg/L", tidy(1000.0 * kg_per_m3))
}
