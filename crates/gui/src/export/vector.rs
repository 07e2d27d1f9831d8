//! Pictures of lines and texts: what was painted in this frame, as an SVG document that stays sharp at any size.

use std::fmt::Write as _;

use dragback_drawing::{escaped, font, number};
use egui::epaint::text::Glyph;
use egui::epaint::{ClippedShape, PathShape, RectShape, TextShape};
use egui::{Color32, Context, Order, Pos2, Rect, Shape, Stroke};

/// The part of the window as an SVG document; all of it without a part. What lies over the sheet, such as a hint, is left out.
///
/// Letters are those of the printed page, each text as wide as in the window.
#[must_use]
pub fn vector(ctx: &Context, part: Option<Rect>, title: &str) -> String {
    let view = part.unwrap_or_else(|| ctx.content_rect());
    let mut pen = Pen::default();
    let layers = ctx.memory(|m| m.layer_ids().collect::<Vec<_>>());
    ctx.graphics(|graphics| {
        for layer in layers.into_iter().filter(|l| l.order <= Order::Middle) {
            for clipped in graphics
                .get(layer)
                .into_iter()
                .flat_map(|list| list.all_entries())
            {
                pen.clipped(clipped, view);
            }
        }
    });
    let [x, y, w, h] = [view.left(), view.top(), view.width(), view.height()].map(number);
    let (title, family) = (escaped(title), font::FAMILY);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\" role=\"img\" aria-label=\"{title}\">\n\
         <title>{title}</title>\n<g font-family=\"'{family}', sans-serif\" fill=\"none\">\n{}</g>\n</svg>\n",
        pen.out
    )
}

/// A document under way.
#[derive(Default)]
struct Pen {
    out: String,
}

impl Pen {
    fn clipped(&mut self, clipped: &ClippedShape, view: Rect) {
        let clip = clipped.clip_rect.intersect(view);
        let bounds = clipped.shape.visual_bounding_rect();
        if !clip.is_positive() || !bounds.intersects(clip) {
            return;
        }
        if clip.expand(1.0).contains_rect(bounds) {
            return self.shape(&clipped.shape);
        }
        // A picture within the picture cuts off what is beyond it.
        let [x, y, w, h] = [clip.left(), clip.top(), clip.width(), clip.height()].map(number);
        let _ = writeln!(
            self.out,
            "<svg x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\">"
        );
        self.shape(&clipped.shape);
        self.out.push_str("</svg>\n");
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Vec(all) => all.iter().for_each(|s| self.shape(s)),
            Shape::Circle(c) => {
                let [x, y, r] = [c.center.x, c.center.y, c.radius].map(number);
                self.add(
                    &format!("circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\""),
                    c.fill,
                    c.stroke,
                );
            }
            Shape::LineSegment { points, stroke } => {
                let [a, b] = points;
                let [x1, y1, x2, y2] = [a.x, a.y, b.x, b.y].map(number);
                let form = format!("line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"");
                self.add(&form, Color32::TRANSPARENT, *stroke);
            }
            Shape::Path(path) => self.path(path),
            Shape::Rect(rect) => self.rect(rect),
            Shape::Text(text) => self.text(text),
            // Shades within a thing, pictures and what others paint are no lines.
            _ => {}
        }
    }

    fn path(&mut self, path: &PathShape) {
        let kind = if path.closed { "polygon" } else { "polyline" };
        let points: Vec<String> = (path.points.iter())
            .map(|p| format!("{},{}", number(p.x), number(p.y)))
            .collect();
        let form = format!("{kind} points=\"{}\"", points.join(" "));
        let color = match &path.stroke.color {
            egui::epaint::ColorMode::Solid(color) => *color,
            egui::epaint::ColorMode::UV(_) => Color32::GRAY,
        };
        self.add(&form, path.fill, Stroke::new(path.stroke.width, color));
    }

    fn rect(&mut self, of: &RectShape) {
        let rect = of.rect;
        let [x, y, w, h] = [rect.left(), rect.top(), rect.width(), rect.height()].map(number);
        let corner = number(f32::from(of.corner_radius.nw));
        let form = format!("rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" rx=\"{corner}\"");
        self.add(&form, of.fill, of.stroke);
    }

    /// Each row of a text, parted where its format changes.
    fn text(&mut self, of: &TextShape) {
        let sections = &of.galley.job.sections;
        let mut byte = 0;
        for row in &of.galley.rows {
            let mut runs: Vec<(usize, Vec<&Glyph>)> = Vec::new();
            for glyph in &row.glyphs {
                let section = sections.iter().rposition(|s| s.byte_range.start.0 <= byte);
                let section = section.unwrap_or(0);
                byte += glyph.chr.len_utf8();
                match runs.last_mut().filter(|(s, _)| *s == section) {
                    Some((_, run)) => run.push(glyph),
                    None => runs.push((section, vec![glyph])),
                }
            }
            byte += usize::from(row.ends_with_newline);
            for (section, run) in runs {
                let Some(format) = sections.get(section).map(|s| &s.format) else {
                    continue;
                };
                let own = Some(format.color).filter(|c| *c != Color32::PLACEHOLDER);
                let color = of.override_text_color.or(own);
                let color = color.unwrap_or(of.fallback_color);
                let at = of.pos + row.pos.to_vec2();
                self.run(at, &run, format.font_id.size, color);
            }
        }
    }

    fn run(&mut self, at: Pos2, glyphs: &[&Glyph], points: f32, color: Color32) {
        let text: String = glyphs.iter().map(|g| g.chr).collect();
        let (Some(first), Some(last)) = (glyphs.first(), glyphs.last()) else {
            return;
        };
        if text.trim().is_empty() {
            return;
        }
        let wide = last.pos.x + last.advance_width - first.pos.x;
        let at = at + first.pos.to_vec2();
        let [x, y, size, wide] = [at.x, at.y, points, wide].map(number);
        let _ = write!(
            self.out,
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" textLength=\"{wide}\" lengthAdjust=\"spacingAndGlyphs\""
        );
        self.color("fill", color);
        let _ = writeln!(self.out, ">{}</text>", escaped(&text));
    }

    /// Adds an element of a form with its fill and line.
    fn add(&mut self, form: &str, fill: Color32, stroke: Stroke) {
        let has_line = stroke.width > 0.0 && stroke.color.a() > 0;
        if fill.a() == 0 && !has_line {
            return;
        }
        let _ = write!(self.out, "<{form}");
        if fill.a() > 0 {
            self.color("fill", fill);
        }
        if has_line {
            self.color("stroke", stroke.color);
            let _ = write!(self.out, " stroke-width=\"{}\"", number(stroke.width));
        }
        self.out.push_str("/>\n");
    }

    fn color(&mut self, attribute: &str, color: Color32) {
        let [r, g, b, a] = color.to_srgba_unmultiplied();
        let _ = write!(self.out, " {attribute}=\"#{r:02x}{g:02x}{b:02x}\"");
        if a < u8::MAX {
            let share = number(f32::from(a) / f32::from(u8::MAX));
            let _ = write!(self.out, " {attribute}-opacity=\"{share}\"");
        }
    }
}
