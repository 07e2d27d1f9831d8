//! The texts of a picture, and what is wrong with where they stand.

use std::sync::Arc;

use dragback_gui::App;
use egui::epaint::{ClippedShape, Shape, TextShape};
use egui::{Galley, Rect};
use egui_kittest::Harness;

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
    let faults = faults(&seen);
    assert!(faults.is_empty(), "{place}:\n{}", faults.join("\n"));
}

pub fn faults(seen: &[Seen]) -> Vec<String> {
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
        let mut job =
            egui::text::LayoutJob::simple_singleline("elided".to_owned(), font(13.0), ink);
        job.wrap = egui::text::TextWrapping::truncate_at_width(20.0);
        let galley = painter.layout_job(job);
        painter.galley(at(10.0, 160.0), galley, ink);
    });
    let found = faults(&texts(&harness.output().shapes));
    for (fault, word) in [
        ("10 points", "small"),
        ("on one another", "two"),
        ("cut off", "too long"),
        ("cut short", "elided"),
    ] {
        let has = |f: &String| f.starts_with(fault) && f.contains(word);
        assert_eq!(
            found.iter().filter(|f| has(f)).count(),
            1,
            "{fault} in {found:?}"
        );
    }
    assert_eq!(found.len(), 4, "{found:?}");
}
