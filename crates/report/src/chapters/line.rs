//! The line as a drawing.

use dragback_drawing::{Page, settled_svg};
use emath::vec2;

use crate::document::{Figure, Section};
use crate::findings::Findings;
use crate::show::Show;

/// Width of the drawing, points: on a printed page its letters are then as large as those of a table.
const WIDE: f32 = 720.0;

/// Higher than it must be, so that every line beside a tank has room.
const MORE: f32 = 1.1;

/// The drawing and what the line is.
pub(crate) fn line(findings: &Findings, show: Show) -> Section {
    let scenario = &findings.line.case.scenario;
    let mut section = Section::new("The line");
    if let Some(description) = &scenario.description {
        for paragraph in description.split("\n\n") {
            section.text(paragraph.trim());
        }
    }
    let loops = scenario.loops.keys().count();
    let high = MORE * Page::height_for(loops, WIDE);
    let caption = "The line in its settled week: height is level, shade is strength, width goes with the root of the flow";
    let page = Page {
        size: vec2(WIDE, high),
        system: show.system,
        title: caption,
    };
    section.figure(Figure {
        name: "line".to_owned(),
        caption: caption.to_owned(),
        alt: format!("The tanks and streams of {}.", scenario.title),
        svg: settled_svg(&findings.line.settled, show.counted, &page),
        aspect: f64::from(WIDE / high),
        numbers: None,
    });
    section
}
