//! A sheet of paper: the drawing as an SVG document.
//!
//! The document stands alone: no script, no reference to anything outside, no names that could clash with those of another picture on the same
//! web page. Numbers are rounded to a hundredth of a point. Texts stand as texts in the fonts of [`crate::font`]; each says how wide it is, so that
//! a reader without those fonts still sees none run into another.

use std::cell::RefCell;
use std::fmt::Write as _;

use dragback_units::System;
use ecolor::Color32;
use emath::{Pos2, Rect, Vec2, vec2};

use crate::canvas::{Canvas, Side, Stroke};
use crate::font;
use crate::layout::layout;
use crate::paint::{Brush, paint};
use crate::palette::LIGHT;
use crate::scene::{Scene, Selection};
use crate::words;

/// What a picture is made for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Page<'a> {
    /// Width and height of the picture, points; at least 240 by 160. Texts are 11 points and more: a picture of 1000 by 420 suits a wide sheet, one of
    /// 700 by 340 keeps them readable where it is shrunk to the width of an upright page.
    pub size: Vec2,
    /// Units.
    pub system: System,
    /// What the picture is called, for those who cannot see it and for the pointer.
    pub title: &'a str,
}

impl Page<'_> {
    /// A height in which a plant of so many lines has room for its figures at a width, points.
    #[must_use]
    pub fn height_for(lines: usize, width: f32) -> f32 {
        if lines < 2 {
            return (0.42 * width).max(340.0);
        }
        let lines = f32::from(u16::try_from(lines).unwrap_or(u16::MAX));
        30.0 + lines * (0.3 * width).max(260.0)
    }
}

/// Smallest size of a picture, points.
const LEAST: Vec2 = vec2(240.0, 160.0);

/// The drawing of a scene as an SVG document, in the light palette. The same scene and page give the same bytes.
#[must_use]
pub fn svg(scene: &Scene, page: &Page<'_>) -> String {
    let size = page.size.max(LEAST);
    let frame = Rect::from_min_size(Pos2::ZERO, size);
    let placement = layout(scene, frame.shrink(2.0));
    picture(size, page.title, &told(scene, page.system), |canvas| {
        drop(paint(&Brush {
            canvas,
            palette: &LIGHT,
            scene,
            placement: &placement,
            system: page.system,
            phase: None,
            selection: Selection::None,
            hovered: Selection::None,
            focused: Selection::None,
        }));
    })
}

/// Whatever is drawn on a sheet of a size, points, as an SVG document; `title` and `told` are for those who cannot see it.
pub fn picture(size: Vec2, title: &str, told: &str, draw: impl FnOnce(&dyn Canvas)) -> String {
    let sheet = Sheet::default();
    draw(&sheet);
    let (width, height) = (number(size.x), number(size.y));
    let (title, told) = (escaped(title), escaped(told));
    let family = font::FAMILY;
    // Widths are measured without kerning and ligatures.
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{title}\">\n\
         <title>{title}</title>\n\
         <desc>{told}</desc>\n\
         <g font-family=\"'{family}', sans-serif\" style=\"font-kerning:none;font-variant-ligatures:none\" fill=\"none\" stroke-linejoin=\"round\">\n\
         {}</g>\n</svg>\n",
        sheet.out.into_inner()
    )
}

/// What stands in the picture, read out: each station with what it holds, each stream with what flows.
fn told(scene: &Scene, system: System) -> String {
    let mut all: Vec<String> = Vec::new();
    for (number, line) in scene.lines.iter().enumerate() {
        if scene.lines.len() > 1 {
            all.push(line.title.clone());
        }
        let stations = scene.stations.iter().filter(|s| s.line == number);
        all.extend(stations.map(|s| one(&s.name, &words::station_parts(scene, s, system))));
        let streams = scene.streams.iter();
        let flowing = streams.filter(|s| s.line == number && s.flow_m3_per_s > 0.0);
        all.extend(flowing.map(|s| one(&s.name, &words::stream_parts(scene, s, system))));
    }
    all.join("; ")
}

fn one(name: &str, parts: &[String]) -> String {
    if parts.is_empty() {
        return name.to_owned();
    }
    format!("{name}: {}", parts.join(", "))
}

/// A document under way: one element a line.
#[derive(Default)]
struct Sheet {
    out: RefCell<String>,
}

impl Sheet {
    /// Adds an element of a form with its fill and line.
    fn add(&self, form: &str, fill: Color32, stroke: Stroke) {
        let mut out = self.out.borrow_mut();
        let _ = write!(out, "<{form}");
        if fill.a() > 0 {
            color(&mut out, "fill", fill);
        }
        if stroke.width > 0.0 && stroke.color.a() > 0 {
            color(&mut out, "stroke", stroke.color);
            let _ = write!(out, " stroke-width=\"{}\"", number(stroke.width));
        }
        out.push_str("/>\n");
    }
}

impl Canvas for Sheet {
    fn rect(&self, rect: Rect, corner: f32, fill: Color32, stroke: Stroke, side: Side) {
        // A line is drawn on both sides of an edge.
        let half = 0.5 * stroke.width;
        let (rect, corner) = match side {
            Side::Inside => (rect.shrink(half), (corner - half).max(0.0)),
            Side::Outside if corner > 0.0 => (rect.expand(half), corner + half),
            Side::Outside => (rect.expand(half), 0.0),
        };
        let mut form = format!(
            "rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            number(rect.left()),
            number(rect.top()),
            number(rect.width().max(0.0)),
            number(rect.height().max(0.0)),
        );
        if corner > 0.0 {
            let _ = write!(form, " rx=\"{}\"", number(corner));
        }
        self.add(&form, fill, stroke);
    }

    fn polygon(&self, corners: Vec<Pos2>, fill: Color32, stroke: Stroke) {
        let form = format!("polygon points=\"{}\"", points(&corners));
        self.add(&form, fill, stroke);
    }

    fn line(&self, through: Vec<Pos2>, stroke: Stroke) {
        let form = format!("polyline points=\"{}\"", points(&through));
        self.add(&form, Color32::TRANSPARENT, stroke);
    }

    fn segment(&self, [a, b]: [Pos2; 2], stroke: Stroke) {
        let [x1, y1, x2, y2] = [a.x, a.y, b.x, b.y].map(number);
        let form = format!("line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"");
        self.add(&form, Color32::TRANSPARENT, stroke);
    }

    fn dashed(&self, through: &[Pos2], stroke: Stroke, dash: f32, gap: f32) {
        let form = format!(
            "polyline points=\"{}\" stroke-dasharray=\"{} {}\"",
            points(through),
            number(dash),
            number(gap)
        );
        self.add(&form, Color32::TRANSPARENT, stroke);
    }

    fn circle(&self, at: Pos2, radius: f32, fill: Color32, stroke: Stroke) {
        let [x, y, r] = [at.x, at.y, radius].map(number);
        let form = format!("circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"");
        self.add(&form, fill, stroke);
    }

    fn clipped(&self, rect: Rect, draw: &mut dyn FnMut(&dyn Canvas)) {
        // A picture within the picture cuts off what is beyond it, and needs no name to be found by.
        let [x, y, w, h] = [rect.left(), rect.top(), rect.width(), rect.height()].map(number);
        let _ = writeln!(
            self.out.borrow_mut(),
            "<svg x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\">"
        );
        draw(self);
        self.out.borrow_mut().push_str("</svg>\n");
    }

    fn measure(&self, text: &str, points: f32) -> Vec2 {
        let (mut widest, mut lines) = (0.0_f32, 0.0);
        for line in text.split('\n').map(clean) {
            widest = widest.max(font::width(&line, points, false));
            lines += 1.0;
        }
        vec2(widest, lines * font::line_height(points))
    }

    fn text(&self, left_top: Pos2, text: &str, points: f32, ink: Color32) {
        let mut out = self.out.borrow_mut();
        let mut baseline = left_top.y + font::ascent(points);
        for line in text.split('\n').map(clean) {
            let [x, y, size] = [left_top.x, baseline, points].map(number);
            let width = number(font::width(&line, points, false));
            let _ = write!(
                out,
                "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" textLength=\"{width}\" lengthAdjust=\"spacingAndGlyphs\""
            );
            color(&mut out, "fill", ink);
            let _ = writeln!(out, ">{}</text>", escaped(&line));
            baseline += font::line_height(points);
        }
    }
}

/// A colour as an attribute, and how much of it covers what lies under it.
fn color(out: &mut String, attribute: &str, color: Color32) {
    let [r, g, b, a] = color.to_srgba_unmultiplied();
    let _ = write!(out, " {attribute}=\"#{r:02x}{g:02x}{b:02x}\"");
    if a < u8::MAX {
        let opacity = number(f32::from(a) / f32::from(u8::MAX));
        let _ = write!(out, " {attribute}-opacity=\"{opacity}\"");
    }
}

fn points(all: &[Pos2]) -> String {
    let each = all
        .iter()
        .map(|p| format!("{},{}", number(p.x), number(p.y)));
    each.collect::<Vec<String>>().join(" ")
}

/// A number to a hundredth, without zeros that say nothing; what is no number is 0.
#[must_use]
pub fn number(value: f32) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" {
        return "0".to_owned();
    }
    short.to_owned()
}

/// A text without what no document may hold (XML 1.0, W3C 2008, 2.2); gaps of any kind are spaces.
fn clean(text: &str) -> String {
    let kept = text.chars().filter_map(|c| match c {
        '\t' | '\n' | '\r' => Some(' '),
        '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => None,
        _ => Some(c),
    });
    kept.collect()
}

/// A text as it may stand in an element or an attribute.
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_wild() {
        for (value, text) in [
            (1.0, "1"),
            (10.0, "10"),
            (0.126, "0.13"),
            (-0.001, "0"),
            (-3.5, "-3.5"),
            (f32::NAN, "0"),
            (f32::INFINITY, "0"),
        ] {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn texts_cannot_break_out() {
        let text = escaped("a<b> & \"c\"\n\u{1}d");
        assert_eq!(text, "a&lt;b&gt; &amp; &quot;c&quot; d");
    }

    /// A line of width 2 outside of a square of 10 reaches from −2 to 12.
    #[test]
    fn lines_run_on_their_side_of_an_edge() {
        let drawn = |side| {
            let sheet = Sheet::default();
            let square = Rect::from_min_size(Pos2::ZERO, vec2(10.0, 10.0));
            sheet.rect_stroke(square, 0.0, Stroke::new(2.0, Color32::BLACK), side);
            sheet.out.into_inner()
        };
        let outside = drawn(Side::Outside);
        assert!(outside.contains("x=\"-1\" y=\"-1\" width=\"12\" height=\"12\""));
        let inside = drawn(Side::Inside);
        assert!(inside.contains("x=\"1\" y=\"1\" width=\"8\" height=\"8\""));
    }
}
