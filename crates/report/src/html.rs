//! A report as one web page that needs nothing else: style, fonts and figures stand in it, and there is no script.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use dragback_drawing::font;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::document::{Block, Document, Equation, Figure, Section, Statement, Tone};
use crate::facts::Facts;
use crate::runs::{Height, Runs};
use crate::table::Table;

/// How the page looks.
const STYLE: &str = include_str!("html.css");

/// The page. The same document gives the same bytes.
#[must_use]
pub fn html(document: &Document) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (document.title) }
                style { (PreEscaped(fonts())) (PreEscaped(STYLE)) }
            }
            body {
                header {
                    div.block { @for fact in &document.title_block.0 { div { span { (fact.label) } (fact.value) } } }
                    h1 { (document.title) }
                    nav aria-label="Contents" {
                        @for (i, section) in document.sections.iter().enumerate() { a href=(format!("#part-{i}")) { (section.title) } }
                    }
                }
                main { @for (i, section) in document.sections.iter().enumerate() { (part(i, section)) } }
                footer { (document.foot) }
            }
        }
    };
    page.into_string()
}

/// The two fonts in the page itself; their licence allows it and goes with them.
fn fonts() -> String {
    let face = |bytes: &[u8], weight: u16| {
        let data = STANDARD.encode(bytes);
        let family = font::FAMILY;
        format!(
            "@font-face{{font-family:\"{family}\";font-weight:{weight};src:url(data:font/ttf;base64,{data}) format(\"truetype\");}}\n"
        )
    };
    let licence = "/* IBM Plex Sans: Copyright 2017 IBM Corp., SIL Open Font License 1.1, https://openfontlicense.org */\n";
    format!(
        "{licence}{}{}",
        face(font::REGULAR, 400),
        face(font::BOLD, 700)
    )
}

fn part(i: usize, section: &Section) -> Markup {
    html! {
        section id=(format!("part-{i}")) class=[section.is_appendix.then_some("appendix")] {
            h2 { (section.title) }
            @for block in &section.blocks { (one(block)) }
        }
    }
}

fn one(block: &Block) -> Markup {
    match block {
        Block::Heading(text) => html! { h3 { (text) } },
        Block::Answer(all) => html! { ul.answer { @for said in all { (statement(said)) } } },
        Block::Figures(facts) => html! {
            div.figures { @for fact in &facts.0 { div { span { (fact.label) } (fact.value) } } }
        },
        Block::Text(text) => html! { p { (text) } },
        Block::Note(text) => html! { p.note { (text) } },
        Block::List(items) => html! { ul { @for item in items { li { (item) } } } },
        Block::Caution(all) => html! {
            div.warn role="note" { @for text in all { p { strong { "Caution. " } (text) } } }
        },
        Block::Facts(all) => facts(all),
        Block::Table {
            caption,
            table: cells,
        } => table(caption, cells),
        Block::Figure(drawn) => figure(drawn),
        Block::Equation(of) => equation(of),
    }
}

fn statement(said: &Statement) -> Markup {
    let class = match said.tone {
        Tone::Good => "good",
        Tone::Plain => "plain",
        Tone::Caution => "caution",
        Tone::Alarm => "alarm",
    };
    html! { li class=(class) { @if !said.word.is_empty() { b { (said.word) } } (said.text) } }
}

fn facts(all: &Facts) -> Markup {
    html! { dl { @for fact in &all.0 { dt { (fact.label) } dd { (fact.value) } } } }
}

fn table(caption: &str, of: &Table) -> Markup {
    let class = |column: usize| of.texts.contains(&column).then_some("text");
    html! {
        div.wide tabindex="0" {
            table {
                caption { (caption) }
                thead { tr { @for (i, head) in of.heads.iter().enumerate() { th scope="col" class=[class(i)] { (head) } } } }
                tbody {
                    @for (r, row) in of.rows.iter().enumerate() {
                        tr class=[of.strong.contains(&r).then_some("strong")] {
                            @for (i, cell) in row.iter().enumerate() { td class=[class(i)] { (cell) } }
                        }
                    }
                }
            }
        }
    }
}

fn figure(drawn: &Figure) -> Markup {
    html! { figure { figcaption { (drawn.caption) } (PreEscaped(&drawn.svg)) } }
}

fn equation(of: &Equation) -> Markup {
    html! {
        div.equation {
            strong { (of.what) }
            p.formula { (runs(&of.formula)) }
            p.about { (of.about) }
            p.source { "Source: " (of.source) }
        }
    }
}

fn runs(all: &Runs) -> Markup {
    html! {
        @for run in &all.0 {
            @match run.height {
                Height::Line => (run.text),
                Height::Raised => sup { (run.text) },
                Height::Lowered => sub { (run.text) },
            }
        }
    }
}
