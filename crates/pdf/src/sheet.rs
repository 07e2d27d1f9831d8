//! The report as the template reads it: texts that the fonts can set, tables that have found room, figures by the names of their files.
//! All lengths are points.

use dragback_report::{Height, Paper, Tone};
use serde::Serialize;

use crate::fit::Part;

/// Points in a millimetre.
const PT_PER_MM: f32 = 72.0 / 25.4;
/// Margins at the sides and above the text, millimetres.
const SIDE_MM: f32 = 20.0;
const TOP_MM: f32 = 18.0;
/// Between text and foot, and what stays free below the foot, millimetres.
const FOOT_GAP_MM: f32 = 6.0;
const EDGE_MM: f32 = 10.0;
/// Height of the foot's rule and first line, and of a line of the remark below.
const FOOT_HEAD: f32 = 16.0;
const FOOT_LINE: f32 = 9.5;

/// Sizes of type, which the template reads too.
#[derive(Clone, Copy, Serialize)]
pub(crate) struct Sizes {
    pub(crate) title: f32,
    pub(crate) section: f32,
    pub(crate) heading: f32,
    pub(crate) answer: f32,
    pub(crate) body: f32,
    pub(crate) label: f32,
    pub(crate) small: f32,
    pub(crate) fine: f32,
}

/// The sizes of all reports.
pub(crate) const SIZES: Sizes = Sizes {
    title: 20.0,
    section: 14.0,
    heading: 11.0,
    answer: 11.0,
    body: 10.0,
    label: 9.0,
    small: 8.5,
    fine: 7.5,
};

/// Everything that the template is told.
#[derive(Serialize)]
pub(crate) struct Sheet {
    pub(crate) page: Page,
    pub(crate) sizes: Sizes,
    pub(crate) family: &'static str,
    /// Space beside a table's cell, left and right together, ems.
    pub(crate) cell_gap: f32,
    pub(crate) title: String,
    /// The title as it stands in the foot of each page.
    pub(crate) running_title: String,
    pub(crate) revision: Option<String>,
    pub(crate) author: Option<String>,
    /// Rows of the title block.
    pub(crate) title_block: Vec<Vec<Label>>,
    pub(crate) sections: Vec<Chapter>,
    /// Whether a list of the sections stands behind the first.
    pub(crate) has_contents: bool,
    pub(crate) foot: String,
    /// Said below everything else.
    pub(crate) remarks: Vec<String>,
}

/// The page.
#[derive(Clone, Copy, Serialize)]
pub(crate) struct Page {
    pub(crate) width: f32,
    pub(crate) height: f32,
    side: f32,
    top: f32,
    bottom: f32,
    foot_gap: f32,
}

impl Page {
    /// A page without a remark at its foot.
    pub(crate) fn of(paper: Paper) -> Self {
        let (width_mm, height_mm) = match paper {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        };
        Self {
            width: width_mm * PT_PER_MM,
            height: height_mm * PT_PER_MM,
            side: SIDE_MM * PT_PER_MM,
            top: TOP_MM * PT_PER_MM,
            bottom: (FOOT_GAP_MM + EDGE_MM) * PT_PER_MM + FOOT_HEAD,
            foot_gap: FOOT_GAP_MM * PT_PER_MM,
        }
    }

    /// Keeps room for a remark of so many lines at the foot.
    pub(crate) fn keep_foot(&mut self, lines: usize) {
        self.bottom += FOOT_LINE * lines as f32;
    }

    /// Width of the text.
    pub(crate) fn room(&self) -> f32 {
        self.width - 2.0 * self.side
    }
}

/// A label with its value.
#[derive(Serialize)]
pub(crate) struct Label {
    pub(crate) label: String,
    pub(crate) value: String,
    /// Columns of the title block that it takes.
    pub(crate) span: usize,
}

/// A section.
#[derive(Serialize)]
pub(crate) struct Chapter {
    pub(crate) title: String,
    pub(crate) is_appendix: bool,
    pub(crate) pieces: Vec<Piece>,
}

/// What a section holds.
#[derive(Serialize)]
#[serde(rename_all = "snake_case", tag = "kind", content = "of")]
pub(crate) enum Piece {
    Heading(String),
    Answer(Vec<Told>),
    Figures(Keys),
    Text(String),
    Note(String),
    List(Vec<String>),
    Caution {
        items: Vec<String>,
        is_whole: bool,
    },
    Facts(Pairs),
    Table {
        caption: String,
        /// Whether it is small enough to stand on one page.
        is_whole: bool,
        part: Part,
    },
    Figure {
        caption: String,
        alt: String,
        file: String,
    },
    Equation {
        what: String,
        formula: Vec<Lifted>,
        about: String,
        source: String,
        is_whole: bool,
    },
}

/// A sentence of the answer.
#[derive(Serialize)]
pub(crate) struct Told {
    pub(crate) text: String,
    pub(crate) tone: Tone,
    pub(crate) word: &'static str,
}

/// Key figures.
#[derive(Serialize)]
pub(crate) struct Keys {
    pub(crate) columns: usize,
    pub(crate) size: f32,
    pub(crate) unit_size: f32,
    pub(crate) gap: f32,
    pub(crate) keys: Vec<Key>,
}

/// A key figure.
#[derive(Serialize)]
pub(crate) struct Key {
    pub(crate) label: String,
    pub(crate) number: String,
    pub(crate) unit: String,
    pub(crate) is_whole: bool,
}

/// Facts.
#[derive(Serialize)]
pub(crate) struct Pairs {
    pub(crate) label_width: f32,
    pub(crate) rows: Vec<Label>,
}

/// A part of a formula.
#[derive(Serialize)]
pub(crate) struct Lifted {
    pub(crate) text: String,
    pub(crate) height: Height,
}

/// A figure's drawing as a file beside the template.
pub(crate) struct Drawing {
    pub(crate) file: String,
    pub(crate) caption: String,
    pub(crate) svg: String,
}
