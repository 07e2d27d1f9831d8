//! The texts of a picture, and what is wrong with where they stand.

use std::sync::Arc;

use dragback_gui::App;
use egui::accesskit::Role;
use egui::epaint::{ClippedShape, Shape, TextShape};
use egui::{Galley, Rect};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

/// A text on the screen.
pub struct Seen {
    pub words: String,
    pub rect: Rect,
    pub clip: Rect,
    galley: Arc<Galley>,
    is_faint: bool,
}

impl Seen {
    /// Whether letters were left out for want of room.
    pub fn is_elided(&self) -> bool {
        self.galley.elided
    }
}

/// The part of a text that has ink: rows without their leading.
fn ink(text: &TextShape) -> Rect {
    text.galley.mesh_bounds.translate(text.pos.to_vec2())
}

fn gather(shape: &Shape, clip: Rect, found: &mut Vec<Seen>) {
    match shape {
        Shape::Vec(all) => all.iter().for_each(|s| gather(s, clip, found)),
        Shape::Text(text) if !text.galley.job.text.trim().is_empty() => found.push(Seen {
            words: text.galley.job.text.clone(),
            rect: ink(text),
            clip,
            galley: Arc::clone(&text.galley),
            is_faint: text.opacity_factor < 0.05,
        }),
        _ => {}
    }
}

pub fn texts(shapes: &[ClippedShape]) -> Vec<Seen> {
    let mut found = Vec::new();
    for shape in shapes {
        gather(&shape.shape, shape.clip_rect, &mut found);
    }
    found.retain(|s| !s.is_faint && s.rect.is_positive());
    found
}

pub fn check(harness: &Harness<'_, App>, place: &str) {
    let seen = texts(&harness.output().shapes);
    assert!(seen.len() > 60, "{place}: {} texts", seen.len());
    let faults = faults(&seen, &bars(harness));
    assert!(faults.is_empty(), "{place}:\n{}", faults.join("\n"));
}

/// The bars of what can be scrolled up and down, where there is more than is in sight.
pub fn bars<S>(harness: &Harness<'_, S>) -> Vec<Rect> {
    let all = harness.root().query_all_by(|n| n.role() == Role::ScrollBar);
    all.map(|n| n.rect())
        .filter(|r| r.height() > r.width())
        .collect()
}

/// Whether a bar stands to the right of a clip, and ends with it at this height. A field within what is scrolled has a clip of its own, so how far to
/// the right tells nothing.
fn is_scrolled(bars: &[Rect], clip: Rect, edge: f32, of_bar: impl Fn(&Rect) -> f32) -> bool {
    bars.iter()
        .any(|bar| bar.right() > clip.left() && (of_bar(bar) - edge).abs() < 6.0)
}

/// How far a text is cut off at its upper or lower edge, where no bar brings the rest into sight.
fn cut_upright(text: &Seen, bars: &[Rect]) -> f32 {
    let (rect, clip) = (text.rect, text.clip);
    let above = clip.top() - rect.top();
    let below = rect.bottom() - clip.bottom();
    let mut cut = 0.0_f32;
    if !is_scrolled(bars, clip, clip.top(), Rect::top) {
        cut = cut.max(above);
    }
    if !is_scrolled(bars, clip, clip.bottom(), Rect::bottom) {
        cut = cut.max(below);
    }
    cut
}

/// Words that stand nowhere on the screen as a whole.
pub fn out_of_sight(harness: &Harness<'_, App>, words: &[String]) -> Vec<String> {
    let screen = harness.ctx.content_rect().expand(1.0);
    let seen = texts(&harness.output().shapes);
    let is_whole = |words: &String| {
        seen.iter().any(|s| {
            let is_inside =
                screen.contains_rect(s.rect) && s.clip.expand(1.0).contains_rect(s.rect);
            s.words.contains(words) && is_inside && !s.is_elided()
        })
    };
    words.iter().filter(|w| !is_whole(w)).cloned().collect()
}

pub fn faults(seen: &[Seen], bars: &[Rect]) -> Vec<String> {
    let mut faults = Vec::new();
    for text in seen {
        // What has been scrolled out of sight is not on the screen.
        let visible = text.rect.intersect(text.clip);
        if !visible.is_positive() {
            continue;
        }
        let smallest = text
            .galley
            .job
            .sections
            .iter()
            .map(|s| s.format.font_id.size);
        let smallest = smallest.fold(f32::INFINITY, f32::min);
        if smallest < 10.99 {
            faults.push(format!("{smallest} points: {:?}", text.words));
        }
        if text.is_elided() {
            faults.push(format!("cut short: {:?}", text.words));
        }
        // A scrolled column may cut at its upper and lower edge, never at the sides.
        let beyond =
            (text.clip.left() - text.rect.left()).max(text.rect.right() - text.clip.right());
        if beyond > 1.0 {
            faults.push(format!("cut off by {beyond}: {:?}", text.words));
        }
        let beyond = cut_upright(text, bars);
        if beyond > 1.0 {
            faults.push(format!("cut through, {beyond} are gone: {:?}", text.words));
        }
    }
    for (i, a) in seen.iter().enumerate() {
        for b in &seen[i + 1..] {
            let (a_seen, b_seen) = (a.rect.intersect(a.clip), b.rect.intersect(b.clip));
            let both = a_seen.shrink(1.0).intersect(b_seen.shrink(1.0));
            if both.is_positive() {
                faults.push(format!(
                    "on one another: {:?} and {:?} at {both:?}",
                    a.words, b.words
                ));
            }
        }
    }
    faults
}

#[test]
fn the_reader_of_texts_sees_each_fault() {
    let harness = Harness::new_ui(|ui| {
        let at = |x: f32, y: f32| egui::pos2(x, y);
        let font = |points: f32| egui::FontId::proportional(points);
        let ink = egui::Color32::BLACK;
        let align = egui::Align2::LEFT_TOP;
        let painter = ui.painter();
        painter.text(at(10.0, 10.0), align, "small", font(10.0), ink);
        painter.text(at(10.0, 50.0), align, "one", font(13.0), ink);
        painter.text(at(12.0, 52.0), align, "two", font(13.0), ink);
        painter.text(at(10.0, 90.0), align, "good", font(13.0), ink);
        let narrow = Rect::from_min_size(at(10.0, 120.0), egui::vec2(40.0, 20.0));
        let clipped = painter.with_clip_rect(narrow);
        clipped.text(at(10.0, 120.0), align, "too long for it", font(13.0), ink);
        let low = Rect::from_min_size(at(10.0, 200.0), egui::vec2(90.0, 6.0));
        let clipped = painter.with_clip_rect(low);
        clipped.text(at(10.0, 200.0), align, "half", font(13.0), ink);
        let mut job =
            egui::text::LayoutJob::simple_singleline("elided".to_owned(), font(13.0), ink);
        job.wrap = egui::text::TextWrapping::truncate_at_width(20.0);
        let galley = painter.layout_job(job);
        painter.galley(at(10.0, 160.0), galley, ink);
        // What can be scrolled to is no fault.
        let area = Rect::from_min_size(at(150.0, 10.0), egui::vec2(120.0, 100.0));
        let mut child = ui.new_child(egui::UiBuilder::new().max_rect(area));
        let scroll = egui::ScrollArea::vertical().auto_shrink([false, false]);
        scroll.show(&mut child, |ui| {
            for n in 0..30 {
                ui.label(format!("scrolled {n}"));
            }
        });
    });
    let bars = bars(&harness);
    assert_eq!(bars.len(), 1);
    let seen = texts(&harness.output().shapes);
    let cut =
        |s: &&Seen| s.rect.bottom() > s.clip.bottom() + 1.0 && s.words.starts_with("scrolled");
    assert!(seen.iter().any(|s| cut(&s)), "the last one in sight is cut");
    let found = faults(&seen, &bars);
    for (fault, word) in [
        ("10 points", "small"),
        ("on one another", "two"),
        ("cut off", "too long"),
        ("cut through", "half"),
        ("cut short", "elided"),
    ] {
        let has = |f: &String| f.starts_with(fault) && f.contains(word);
        assert_eq!(
            found.iter().filter(|f| has(f)).count(),
            1,
            "{fault} in {found:?}"
        );
    }
    assert_eq!(found.len(), 5, "{found:?}");
}
