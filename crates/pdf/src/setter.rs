//! Lays a document out for the template.

use dragback_report::{Block, Document, Equation, Facts, Figure, Paper, Section, Statement, Table};

use crate::fit::{GAP_EM, fit};
use crate::keys;
use crate::letters::{Letters, lines_in, width_em};
use crate::sheet::{Chapter, Drawing, Label, Lifted, Page, Pairs, Piece, SIZES, Sheet, Told};
use crate::title;
use dragback_drawing::font;

/// A table of less than this share of the page's height is not broken.
const WHOLE: f32 = 0.3;
/// Lines of the remark at each page's foot; a longer one stands whole at the end of the report.
const FOOT_LINES: usize = 3;
/// A caption of more lines becomes a paragraph.
const CAPTION_LINES: usize = 8;
/// An equation or a warning with more lines may be broken.
const WHOLE_LINES: usize = 16;
/// A report of so many sections has a list of them.
const CONTENTS: usize = 5;
/// Labels of facts take at most this share of the width.
const LABEL_SHARE: f32 = 0.45;
/// Space between a label and its value, points.
const LABEL_GAP: f32 = 12.0;

/// A document on its way to the template.
pub(crate) struct Setter {
    pub(crate) letters: Letters,
    pub(crate) page: Page,
    tables: usize,
    drawings: Vec<Drawing>,
}

impl Setter {
    /// The sheet of a document and the drawings that it names.
    pub(crate) fn set(document: &Document, paper: Paper) -> (Sheet, Vec<Drawing>) {
        let mut setter = Self {
            letters: Letters::default(),
            page: Page::of(paper),
            tables: 0,
            drawings: Vec::new(),
        };
        let sheet = setter.sheet(document);
        (sheet, setter.drawings)
    }

    fn sheet(&mut self, document: &Document) -> Sheet {
        let said_by = title::named(&document.title_block, &["prepared by", "author", "by"]);
        let revision = title::named(&document.title_block, &["revision"]);
        let foot = self.shortened(&document.foot, SIZES.fine, 1.0, FOOT_LINES);
        let is_cut = foot.ends_with('…') && !document.foot.ends_with('…');
        let whole_foot = is_cut.then(|| self.line(&document.foot, SIZES.small));
        let foot_lines = lines_in(&foot, self.page.room() / SIZES.fine, false);
        self.page.keep_foot(foot_lines);
        Sheet {
            page: self.page,
            sizes: SIZES,
            family: font::FAMILY,
            cell_gap: GAP_EM,
            title: self.line(document.title.trim(), SIZES.title),
            running_title: self.shortened(&document.title.replace('\n', " "), SIZES.fine, 0.6, 1),
            revision: revision.map(|text| self.shortened(text, SIZES.fine, 0.2, 1)),
            author: said_by.map(|text| self.letters.known(text)),
            title_block: title::block(self, &document.title_block),
            sections: self.chapters(&document.sections),
            has_contents: document.sections.len() >= CONTENTS,
            foot,
            remarks: (whole_foot.into_iter())
                .chain(self.letters.remark())
                .collect(),
        }
    }

    /// A text in type of so many points that runs over the whole width.
    fn line(&mut self, text: &str, points: f32) -> String {
        self.within(text, self.page.room(), points)
    }

    /// A text in type of so many points in a place so many points wide.
    pub(crate) fn within(&mut self, text: &str, room: f32, points: f32) -> String {
        self.letters.fitted(text, room / points)
    }

    fn lines(&mut self, texts: &[String], room: f32) -> Vec<String> {
        let texts = texts.iter().map(|text| self.within(text, room, SIZES.body));
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
            if lines_in(&format!("{cut}…"), room_em, false) > lines {
                cut.pop();
                break;
            }
        }
        format!("{}…", cut.trim_end())
    }

    fn chapters(&mut self, sections: &[Section]) -> Vec<Chapter> {
        let mut report = 0;
        let mut appendices = 0;
        let chapters = sections.iter().map(|section| {
            let number = if section.is_appendix {
                appendices += 1;
                format!("Appendix {}", title::letter(appendices))
            } else {
                report += 1;
                report.to_string()
            };
            let name = self.line(&section.title, SIZES.section);
            let mut pieces = Vec::new();
            for block in &section.blocks {
                self.block(block, &mut pieces);
            }
            Chapter {
                title: format!("{number}\u{2002}{name}").trim_end().to_owned(),
                is_appendix: section.is_appendix,
                pieces,
            }
        });
        chapters.collect()
    }

    fn block(&mut self, block: &Block, pieces: &mut Vec<Piece>) {
        let room = self.page.room();
        if is_empty(block) {
            return;
        }
        let piece = match block {
            Block::Heading(text) => {
                Piece::Heading(self.line(text, SIZES.heading).trim().to_owned())
            }
            Block::Answer(statements) => Piece::Answer(self.answer(statements)),
            Block::Figures(facts) => Piece::Figures(keys::keys(facts, room, &mut self.letters)),
            Block::Text(text) => Piece::Text(self.line(text, SIZES.body)),
            Block::Note(text) => Piece::Note(self.line(text, SIZES.small)),
            Block::List(items) => Piece::List(self.lines(items, room * 0.9)),
            Block::Caution(items) => self.caution(items),
            Block::Facts(facts) => Piece::Facts(self.pairs(facts)),
            Block::Equation(equation) => self.equation(equation),
            Block::Figure(figure) => return self.figure(figure, pieces),
            Block::Table { caption, table } => return self.table(caption, table, pieces),
        };
        pieces.push(piece);
    }

    fn answer(&mut self, statements: &[Statement]) -> Vec<Told> {
        let room = self.page.room() * 0.8;
        let told = statements.iter().map(|statement| Told {
            text: self.within(&statement.text, room, SIZES.answer),
            tone: statement.tone,
            word: statement.word,
        });
        told.collect()
    }

    fn caution(&mut self, items: &[String]) -> Piece {
        let room = self.page.room() * 0.9;
        let items = self.lines(items, room);
        let lines = items.iter().map(|i| lines_in(i, room / SIZES.body, false));
        let is_whole = lines.sum::<usize>() <= WHOLE_LINES;
        Piece::Caution { items, is_whole }
    }

    fn pairs(&mut self, facts: &Facts) -> Pairs {
        let room = self.page.room();
        let widths = facts.0.iter().map(|f| width_em(&f.label, false));
        let label = widths.fold(0.0, f32::max) * SIZES.label + LABEL_GAP;
        let label_width = label.min(room * LABEL_SHARE);
        let rows = facts.0.iter().map(|fact| Label {
            label: self.within(&fact.label, label_width - LABEL_GAP, SIZES.label),
            value: self.within(&fact.value, room - label_width - LABEL_GAP, SIZES.label),
            span: 1,
        });
        let rows = rows.collect();
        Pairs { label_width, rows }
    }

    /// A caption behind its number. One that is too long for a caption becomes a paragraph before it.
    fn caption(&mut self, number: String, caption: &str, pieces: &mut Vec<Piece>) -> String {
        let caption = self.line(caption, SIZES.label);
        if lines_in(&caption, self.page.room() / SIZES.label, true) > CAPTION_LINES {
            pieces.push(Piece::Text(caption));
            number
        } else if caption.is_empty() {
            number
        } else {
            format!("{number}: {caption}")
        }
    }

    fn table(&mut self, caption: &str, table: &Table, pieces: &mut Vec<Piece>) {
        let parts = fit(table, self.page.room(), &mut self.letters);
        if parts.is_empty() {
            pieces.push(Piece::Note(self.line(caption, SIZES.small)));
            return;
        }
        self.tables += 1;
        let count = parts.len();
        for (i, part) in parts.into_iter().enumerate() {
            let mut number = format!("Table {}", self.tables);
            if count > 1 {
                number = format!("{number}, part {} of {count}", i + 1);
            }
            let caption = self.caption(number, caption, pieces);
            pieces.push(Piece::Table {
                caption,
                is_whole: part.height < WHOLE * self.page.height,
                part,
            });
        }
    }

    fn figure(&mut self, figure: &Figure, pieces: &mut Vec<Piece>) {
        let number = self.drawings.len() + 1;
        let file = format!("figure-{number}.svg");
        self.drawings.push(Drawing {
            file: file.clone(),
            caption: figure.caption.clone(),
            svg: self.letters.drawn(&figure.svg),
        });
        let alt = if figure.alt.is_empty() {
            &figure.caption
        } else {
            &figure.alt
        };
        let alt = self.letters.known(alt);
        let caption = self.caption(format!("Figure {number}"), &figure.caption, pieces);
        pieces.push(Piece::Figure { caption, alt, file });
    }

    fn equation(&mut self, equation: &Equation) -> Piece {
        let formula: Vec<Lifted> = (equation.formula.0.iter())
            .map(|run| Lifted {
                text: self.line(&run.text, SIZES.answer),
                height: run.height,
            })
            .collect();
        let what = self.line(&equation.what, SIZES.body);
        let about = self.line(&equation.about, SIZES.small);
        let source = self.line(&equation.source, SIZES.small);
        let room_em = self.page.room() / SIZES.answer;
        let texts = formula.iter().map(|run| &run.text);
        let texts = texts.chain([&what, &about, &source]);
        let lines: usize = texts.map(|text| lines_in(text, room_em, true)).sum();
        Piece::Equation {
            what,
            formula,
            about,
            source,
            is_whole: lines <= WHOLE_LINES,
        }
    }
}

/// Whether there is nothing in a block that could be set.
fn is_empty(block: &Block) -> bool {
    match block {
        Block::Heading(text) | Block::Text(text) | Block::Note(text) => text.trim().is_empty(),
        Block::Answer(statements) => statements.is_empty(),
        Block::Figures(facts) | Block::Facts(facts) => facts.is_empty(),
        Block::List(items) | Block::Caution(items) => items.is_empty(),
        Block::Table { .. } | Block::Figure(_) | Block::Equation(_) => false,
    }
}
