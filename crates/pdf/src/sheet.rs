//! The report as the template reads it: texts that the fonts can set, tables that have found room, figures by the names of their files.

use dragback_report::{Block, Document, Equation, Facts, Figure, Paper, Section, Statement, Tone};
use serde::Serialize;

use crate::fit::{Part, fit};
use crate::font;
use crate::letters::{Letters, lines_in, width_em};

/// Points in a millimetre.
const PT_PER_MM: f32 = 72.0 / 25.4;
/// Margins at the sides and above the text, millimetres.
const SIDE_MM: f32 = 20.0;
const TOP_MM: f32 = 18.0;
/// Between text and foot, and what stays free below the foot, millimetres.
const FOOT_GAP_MM: f32 = 6.0;
const EDGE_MM: f32 = 10.0;
/// Height of the foot's rule and first line, and of a line of the remark below, points.
const FOOT_HEAD: f32 = 16.0;
const FOOT_LINE: f32 = 9.5;
/// Sizes of type, points.
const BODY: f32 = 10.0;
const SMALL: f32 = 8.5;
const FINE: f32 = 7.5;
const LABELS: f32 = 9.0;
const TITLE: f32 = 20.0;
/// A table of less than this share of the page's height is not broken.
const WHOLE: f32 = 0.3;
/// A key figure is this large where it has room, and no smaller than that where it has not, points.
const KEY: f32 = 22.0;
const KEY_SMALLEST: f32 = 14.0;
/// Its unit is smaller by this factor.
const KEY_UNIT: f32 = 0.6;
/// Space between key figures, points.
const KEY_GAP: f32 = 16.0;
/// Key figures in a row.
const KEYS_IN_A_ROW: usize = 4;
/// Cells in a row of the title block.
const CELLS: usize = 3;
/// Lines of the remark at each page's foot; a longer one stands whole at the end of the report.
const FOOT_LINES: usize = 3;

/// Everything that the template is told.
#[derive(Serialize)]
pub(crate) struct Sheet {
    page: Page,
    family: &'static str,
    title: String,
    running_title: String,
    revision: Option<String>,
    author: Option<String>,
    title_block: Vec<Vec<Label>>,
    sections: Vec<Chapter>,
    foot: String,
    remarks: Vec<String>,
}

/// The page, points.
#[derive(Serialize)]
struct Page {
    width: f32,
    height: f32,
    side: f32,
    top: f32,
    bottom: f32,
    foot_gap: f32,
}

#[derive(Serialize)]
struct Label {
    label: String,
    value: String,
    /// Columns of the title block that it takes.
    span: usize,
}

#[derive(Serialize)]
struct Chapter {
    title: String,
    is_appendix: bool,
    pieces: Vec<Piece>,
}

/// What a chapter holds.
#[derive(Serialize)]
#[serde(rename_all = "snake_case", tag = "kind", content = "of")]
enum Piece {
    Heading(String),
    Answer(Vec<Told>),
    Figures(Keys),
    Text(String),
    Note(String),
    List(Vec<String>),
    Caution(Vec<String>),
    Facts(Pairs),
    Table {
        caption: String,
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
        formula: Vec<Run>,
        about: String,
        source: String,
    },
}

#[derive(Serialize)]
struct Told {
    text: String,
    tone: Tone,
    word: &'static str,
}

#[derive(Serialize)]
struct Keys {
    columns: usize,
    size: f32,
    unit_size: f32,
    gap: f32,
    keys: Vec<Key>,
}

#[derive(Serialize)]
struct Key {
    label: String,
    number: String,
    unit: String,
}

#[derive(Serialize)]
struct Pairs {
    label_width: f32,
    rows: Vec<Label>,
}

#[derive(Serialize)]
struct Run {
    text: String,
    height: dragback_report::Height,
}

/// A figure's drawing as a file beside the template.
pub(crate) struct Drawing {
    pub(crate) file: String,
    pub(crate) caption: String,
    pub(crate) svg: String,
}

/// Lays a document out for the template.
pub(crate) struct Setter {
    letters: Letters,
    page: Page,
    tables: usize,
    drawings: Vec<Drawing>,
}

impl Page {
    fn of(paper: Paper) -> Self {
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

    /// Width of the text, points.
    fn room(&self) -> f32 {
        self.width - 2.0 * self.side
    }
}

impl Setter {
    pub(crate) fn new(paper: Paper) -> Self {
        Self {
            letters: Letters::default(),
            page: Page::of(paper),
            tables: 0,
            drawings: Vec::new(),
        }
    }

    /// The sheet of a document and the drawings that it names.
    pub(crate) fn sheet(mut self, document: &Document) -> (Sheet, Vec<Drawing>) {
        let title = self.line(&document.title, TITLE);
        let running_title = self.shortened(&document.title.replace('\n', " "), FINE, 0.6, 1);
        let revision = named(&document.title_block, &["revision"]);
        let revision = revision.map(|text| self.shortened(text, FINE, 0.2, 1));
        let author = named(&document.title_block, &["prepared by", "author", "by"]);
        let author = author.map(|text| self.letters.known(text));
        let title_block = self.title_block(&document.title_block);
        let mut appendices = 0;
        let mut sections = Vec::new();
        for (i, section) in document.sections.iter().enumerate() {
            if section.is_appendix {
                appendices += 1;
            }
            let number = if section.is_appendix {
                format!("Appendix {}", letter(appendices))
            } else {
                format!("{}", i + 1 - appendices)
            };
            sections.push(self.chapter(&number, section));
        }
        let foot = self.shortened(&document.foot, FINE, 1.0, FOOT_LINES);
        let foot_lines = lines_in(&foot, self.page.room() / FINE, false);
        self.page.bottom += FOOT_LINE * foot_lines as f32;
        let mut remarks = Vec::new();
        if foot.ends_with('…') && !document.foot.ends_with('…') {
            remarks.push(self.line(&document.foot, SMALL));
        }
        remarks.extend(self.letters.remark());
        let sheet = Sheet {
            page: self.page,
            family: font::FAMILY,
            title,
            running_title,
            revision,
            author,
            title_block,
            sections,
            foot,
            remarks,
        };
        (sheet, self.drawings)
    }

    /// A text in type of so many points that runs over the whole width.
    fn line(&mut self, text: &str, points: f32) -> String {
        self.within(text, self.page.room(), points)
    }

    /// A text in type of so many points in a place so many points wide.
    fn within(&mut self, text: &str, room: f32, points: f32) -> String {
        self.letters.fitted(text, room / points)
    }

    fn lines(&mut self, texts: &[String], room: f32) -> Vec<String> {
        let texts = texts.iter().map(|text| self.within(text, room, BODY));
        texts.collect()
    }

    /// A text cut to so many lines of a share of the width, with an ellipsis where it was cut.
    fn shortened(&mut self, text: &str, points: f32, share: f32, lines: usize) -> String {
        let room_em = self.page.room() * share / points;
        let text = self.letters.fitted(text, room_em);
        if lines_in(&text, room_em, false) <= lines {
            return text;
        }
        let mut cut = String::new();
        for c in text.chars() {
            cut.push(c);
            if lines_in(&format!("{cut} …"), room_em, false) > lines {
                cut.pop();
                break;
            }
        }
        format!("{}…", cut.trim_end())
    }

    /// Rows of the title block: pairs side by side, or one that needs the whole width.
    fn title_block(&mut self, facts: &Facts) -> Vec<Vec<Label>> {
        let cell = self.page.room() / CELLS as f32 - 12.0;
        let mut rows: Vec<Vec<Label>> = Vec::new();
        for (label, value) in joined(facts) {
            let is_wide = lines_in(&value, cell / BODY, false) > 2;
            let room = if is_wide {
                self.page.room() - 12.0
            } else {
                cell
            };
            let pair = Label {
                label: self.within(label, room, FINE),
                value: self.within(&value, room, BODY),
                span: if is_wide { CELLS } else { 1 },
            };
            let fits =
                |row: &Vec<Label>| row.iter().map(|l| l.span).sum::<usize>() + pair.span <= CELLS;
            match rows.last_mut() {
                Some(row) if fits(row) => row.push(pair),
                _ => rows.push(vec![pair]),
            }
        }
        for row in &mut rows {
            let taken: usize = row.iter().map(|l| l.span).sum();
            if let Some(last) = row.last_mut() {
                last.span += CELLS - taken;
            }
        }
        rows
    }

    fn chapter(&mut self, number: &str, section: &Section) -> Chapter {
        let title = self.line(&section.title, 14.0);
        let mut pieces = Vec::new();
        for block in &section.blocks {
            self.block(block, &mut pieces);
        }
        Chapter {
            title: format!("{number}\u{2002}{title}"),
            is_appendix: section.is_appendix,
            pieces,
        }
    }

    fn block(&mut self, block: &Block, pieces: &mut Vec<Piece>) {
        let room = self.page.room();
        pieces.push(match block {
            Block::Heading(text) => Piece::Heading(self.line(text, 12.0)),
            Block::Answer(statements) => Piece::Answer(self.answer(statements)),
            Block::Figures(facts) => Piece::Figures(self.keys(facts)),
            Block::Text(text) => Piece::Text(self.line(text, BODY)),
            Block::Note(text) => Piece::Note(self.line(text, SMALL)),
            Block::List(items) => Piece::List(self.lines(items, room * 0.9)),
            Block::Caution(items) => Piece::Caution(self.lines(items, room * 0.85)),
            Block::Facts(facts) => Piece::Facts(self.pairs(facts)),
            Block::Figure(figure) => self.figure(figure),
            Block::Equation(equation) => self.equation(equation),
            Block::Table { caption, table } => {
                let parts = fit(table, room, &mut self.letters);
                self.table(caption, parts, pieces);
                return;
            }
        });
    }

    fn answer(&mut self, statements: &[Statement]) -> Vec<Told> {
        let room = self.page.room() * 0.8;
        let told = statements.iter().map(|statement| Told {
            text: self.within(&statement.text, room, BODY + 1.0),
            tone: statement.tone,
            word: statement.word,
        });
        told.collect()
    }

    fn keys(&mut self, facts: &Facts) -> Keys {
        let mut keys: Vec<Key> = (facts.0.iter())
            .map(|fact| {
                let value = self.letters.known(&fact.value);
                let (number, unit) = parted(&value);
                Key {
                    label: self.letters.known(&fact.label),
                    number: number.to_owned(),
                    unit: unit.to_owned(),
                }
            })
            .collect();
        let width_em = |key: &Key| {
            let unit = if key.unit.is_empty() {
                0.0
            } else {
                width_em(&format!(" {}", key.unit), false)
            };
            width_em(&key.number, true) + KEY_UNIT * unit
        };
        let widest = keys.iter().map(width_em).fold(1.0, f32::max);
        let room = |columns: usize| (self.page.room() + KEY_GAP) / columns as f32 - KEY_GAP;
        let most = keys.len().clamp(1, KEYS_IN_A_ROW);
        let columns = (1..=most).rev();
        let columns = columns.fold(1, |found, columns| {
            let fits = widest * KEY_SMALLEST <= room(columns);
            if fits { found.max(columns) } else { found }
        });
        // Rows of about the same length.
        let rows = keys.len().div_ceil(columns).max(1);
        let columns = keys.len().div_ceil(rows).max(1);
        let room = room(columns);
        let size = (room / widest).floor().clamp(KEY_SMALLEST, KEY);
        for key in &mut keys {
            key.number = crate::letters::breakable(&key.number, room / size);
            key.unit = crate::letters::breakable(&key.unit, room / size / KEY_UNIT);
            key.label = crate::letters::breakable(&key.label, room / LABELS);
        }
        Keys {
            columns,
            size,
            unit_size: size * KEY_UNIT,
            gap: KEY_GAP,
            keys,
        }
    }

    fn pairs(&mut self, facts: &Facts) -> Pairs {
        let room = self.page.room();
        let widths = (facts.0.iter()).map(|f| width_em(&f.label, false) * LABELS + 12.0);
        let label_width = widths.fold(0.0, f32::max).min(room * 0.45);
        let rows = facts.0.iter().map(|fact| Label {
            label: self.within(&fact.label, label_width - 12.0, LABELS),
            value: self.within(&fact.value, room - label_width - 12.0, LABELS),
            span: 1,
        });
        let rows = rows.collect();
        Pairs { label_width, rows }
    }

    fn table(&mut self, caption: &str, parts: Vec<Part>, pieces: &mut Vec<Piece>) {
        self.tables += 1;
        let caption = self.line(caption, LABELS);
        let count = parts.len();
        for (i, part) in parts.into_iter().enumerate() {
            let number = self.tables;
            let which = if count > 1 {
                format!("Table {number}, part {} of {count}", i + 1)
            } else {
                format!("Table {number}")
            };
            let caption = if caption.is_empty() {
                which
            } else {
                format!("{which}: {caption}")
            };
            pieces.push(Piece::Table {
                caption,
                is_whole: part.height < WHOLE * self.page.height,
                part,
            });
        }
    }

    fn figure(&mut self, figure: &Figure) -> Piece {
        let number = self.drawings.len() + 1;
        let caption = self.line(&figure.caption, LABELS);
        let file = format!("figure-{number}.svg");
        self.drawings.push(Drawing {
            file: file.clone(),
            caption: figure.caption.clone(),
            svg: self.letters.known(&figure.svg),
        });
        Piece::Figure {
            caption: if caption.is_empty() {
                format!("Figure {number}")
            } else {
                format!("Figure {number}: {caption}")
            },
            alt: self.letters.known(&figure.alt),
            file: format!("/{file}"),
        }
    }

    fn equation(&mut self, equation: &Equation) -> Piece {
        let formula = equation.formula.0.iter().map(|run| Run {
            text: self.line(&run.text, BODY + 1.0),
            height: run.height,
        });
        Piece::Equation {
            formula: formula.collect(),
            what: self.line(&equation.what, BODY),
            about: self.line(&equation.about, SMALL),
            source: self.line(&equation.source, SMALL),
        }
    }
}

/// Facts with those that go on with the one before joined to it.
fn joined(facts: &Facts) -> Vec<(&str, String)> {
    let mut pairs: Vec<(&str, String)> = Vec::new();
    for fact in &facts.0 {
        match pairs.last_mut() {
            Some((_, value)) if fact.label.is_empty() => {
                value.push('\n');
                value.push_str(&fact.value);
            }
            _ => pairs.push((&fact.label, fact.value.clone())),
        }
    }
    pairs
}

/// The value of the first fact that goes by one of these labels.
fn named<'a>(facts: &'a Facts, labels: &[&str]) -> Option<&'a str> {
    let is_one = |label: &str| labels.iter().any(|l| label.eq_ignore_ascii_case(l));
    let found = facts.0.iter().find(|fact| is_one(&fact.label));
    found.map(|f| f.value.as_str()).filter(|v| !v.is_empty())
}

/// A value parted into its number and its unit; words are not parted.
fn parted(value: &str) -> (&str, &str) {
    let is_number = |text: &str| {
        text.chars().any(|c| c.is_ascii_digit())
            && (text.chars()).all(|c| c.is_ascii_digit() || "+-−–.,<>≤≥≈~%".contains(c))
    };
    match value.split_once([' ', '\u{a0}']) {
        Some((number, unit)) if is_number(number) => (number, unit.trim()),
        _ => (value, ""),
    }
}

/// The letter of an appendix: A to Z, then a number.
fn letter(number: usize) -> String {
    let letter = u8::try_from(number).ok().filter(|n| (1..=26).contains(n));
    letter.map_or_else(
        || number.to_string(),
        |n| char::from(b'A' + n - 1).to_string(),
    )
}
