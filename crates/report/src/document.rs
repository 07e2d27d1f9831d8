//! A report as plain data: what every writer (HTML, PDF, spreadsheet) sets in its own way.

use dragback_units::System;
use serde::Serialize;

use crate::facts::Facts;
use crate::runs::Runs;
use crate::table::Table;

/// What makes a PDF file of a report; in words, why it cannot. A program that is built without it has none.
pub type PdfMaker = fn(&Document, Paper) -> Result<Vec<u8>, String>;

/// A report.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Document {
    /// What it is about.
    pub title: String,
    /// Who hands it over, when, for which line.
    pub title_block: Facts,
    /// Its parts, the answer first.
    pub sections: Vec<Section>,
    /// Said at the foot of each page.
    pub foot: String,
}

impl Document {
    /// The sentences of the answer.
    pub fn answer(&self) -> impl Iterator<Item = &Statement> {
        self.blocks()
            .filter_map(|b| match b {
                Block::Answer(all) => Some(all),
                _ => None,
            })
            .flatten()
    }

    /// All figures, in their order.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        self.blocks().filter_map(|b| match b {
            Block::Figure(figure) => Some(figure),
            _ => None,
        })
    }

    fn blocks(&self) -> impl Iterator<Item = &Block> {
        self.sections.iter().flat_map(|section| &section.blocks)
    }
}

/// A part of a report.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Section {
    /// Its heading.
    pub title: String,
    /// What it holds.
    pub blocks: Vec<Block>,
    /// Whether it belongs behind the report proper: inputs, method.
    pub is_appendix: bool,
}

impl Section {
    /// A section without blocks.
    #[must_use]
    pub fn new(title: &str) -> Self {
        Self {
            title: title.to_owned(),
            blocks: Vec::new(),
            is_appendix: false,
        }
    }

    /// The same as an appendix.
    #[must_use]
    pub fn appendix(title: &str) -> Self {
        Self {
            is_appendix: true,
            ..Self::new(title)
        }
    }

    /// Adds a heading within the section.
    pub fn heading(&mut self, text: &str) {
        self.blocks.push(Block::Heading(text.to_owned()));
    }

    /// Adds a paragraph.
    pub fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(text.into()));
    }

    /// Adds a remark in smaller type.
    pub fn note(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Note(text.into()));
    }

    /// Adds facts, if there are any.
    pub fn facts(&mut self, facts: Facts) {
        if !facts.is_empty() {
            self.blocks.push(Block::Facts(facts));
        }
    }

    /// Adds a table below its caption, if it has rows.
    pub fn table(&mut self, caption: &str, table: Table) {
        if !table.is_empty() {
            let caption = caption.to_owned();
            self.blocks.push(Block::Table { caption, table });
        }
    }

    /// Adds a figure.
    pub fn figure(&mut self, figure: Figure) {
        self.blocks.push(Block::Figure(figure));
    }

    /// Adds a list, if it has items.
    pub fn list(&mut self, items: Vec<String>) {
        if !items.is_empty() {
            self.blocks.push(Block::List(items));
        }
    }
}

/// How a statement is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Tone {
    /// All is well.
    Good,
    /// Neither good nor bad.
    Plain,
    /// To be watched.
    Caution,
    /// Wrong.
    Alarm,
}

impl Tone {
    /// The word that says the same as the colour does.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Plain => "",
            Self::Caution => "watch",
            Self::Alarm => "amiss",
        }
    }
}

/// One thing that a section holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind", content = "of")]
pub enum Block {
    /// A heading within the section.
    Heading(String),
    /// The answer: sentences that are read first, and how each is meant.
    Answer(Vec<Statement>),
    /// The few figures that matter most, large.
    Figures(Facts),
    /// A paragraph.
    Text(String),
    /// A remark in smaller type.
    Note(String),
    /// Items of a list.
    List(Vec<String>),
    /// A warning about harm to people.
    Caution(Vec<String>),
    /// Labels with their values.
    Facts(Facts),
    /// A table.
    Table {
        /// What it shows.
        caption: String,
        /// Its cells.
        table: Table,
    },
    /// A figure.
    Figure(Figure),
    /// An equation with what it says and where it comes from.
    Equation(Equation),
}

/// A sentence of the answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Statement {
    /// What it says.
    pub text: String,
    /// How it is meant.
    pub tone: Tone,
    /// The word that says the same, for those who see no colour.
    pub word: &'static str,
}

impl Statement {
    /// A sentence meant in some way.
    #[must_use]
    pub fn new(text: String, tone: Tone) -> Self {
        let word = tone.word();
        Self { text, tone, word }
    }
}

/// A picture of lines and texts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// A short name for its file: letters, digits and hyphens.
    pub name: String,
    /// What it shows.
    pub caption: String,
    /// What it says, for those who cannot see it.
    pub alt: String,
    /// Its drawing: a whole SVG document, without scripts and references to other files.
    pub svg: String,
    /// Width over height of the drawing.
    pub aspect: f64,
    /// The numbers behind it, for spreadsheets, where no table has them.
    #[serde(skip)]
    pub numbers: Option<Table>,
}

/// An equation of the method.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Equation {
    /// What it is for.
    pub what: String,
    /// The equation, with raised and lowered parts.
    pub formula: Runs,
    /// What its symbols mean and where it holds.
    pub about: String,
    /// Where it comes from.
    pub source: String,
}

/// The paper that a report is set on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// ISO A4, 210 × 297 mm.
    A4,
    /// US Letter, 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// The paper usual where people use a system of units.
    #[must_use]
    pub const fn of(system: System) -> Self {
        match system {
            System::Metric => Self::A4,
            System::Us => Self::Letter,
        }
    }
}
