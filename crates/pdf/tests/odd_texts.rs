//! Texts that would be commands to a typesetter, a browser or a terminal are texts here.

#![expect(
    clippy::panic,
    clippy::expect_used,
    reason = "tests say what is wrong by panicking"
)]

mod common;

use common::{Read, dense, drawing, empty, facts, figure, one, set};
use dragback_pdf::{PdfError, pdf};
use dragback_report::{
    Block, Document, Equation, Facts, Paper, Runs, Section, Statement, Table, Tone,
};
use proptest::prelude::*;

/// Texts that mean something to a typesetter.
const COMMANDS: [&str; 16] = [
    "#panic()",
    "#read(\"/etc/passwd\")",
    "#import \"@preview/thing:0.1.0\"",
    "*bold* _slanted_ `raw`",
    "$x^2$ and a lone $",
    "[square] {curly} (round)",
    "back\\slash \\u{41} \\n",
    "<label> and @reference",
    "// a remark /* another */",
    "= heading\n== second",
    "- item\n+ item\n/ term: text",
    "https://example.org/a?b=c#d",
    "~ -- --- ... 'quoted' \"quoted\"",
    "%PDF-1.7 endobj (\\) >> stream",
    "<script>alert('x')</script> & &amp;",
    "\"; #eval(\"1\"); \"",
];

/// A report that has a text in every place.
fn everywhere(text: &str) -> Document {
    let mut section = Section::new(text);
    section.heading(text);
    section.blocks.push(Block::Answer(vec![Statement::new(
        text.to_owned(),
        Tone::Alarm,
    )]));
    let pair = || {
        let mut facts = Facts::default();
        facts.push(text, text);
        facts
    };
    section.blocks.push(Block::Figures(pair()));
    section.text(text);
    section.note(text);
    section.list(vec![text.to_owned()]);
    section.blocks.push(Block::Caution(vec![text.to_owned()]));
    section.facts(pair());
    let mut table = Table::new([text, text]).text(1);
    table.push([text, text]);
    table.push_strong([text, text]);
    section.table(text, table);
    section.figure(figure("figure", text, drawing(300, 200, "drawn")));
    section.blocks.push(Block::Equation(Equation {
        what: text.to_owned(),
        formula: Runs::parse(&format!("{text}_{{1}}")),
        about: text.to_owned(),
        source: text.to_owned(),
    }));
    Document {
        title: text.to_owned(),
        title_block: pair(),
        sections: vec![section],
        foot: text.to_owned(),
    }
}

/// How often a text stands on the pages.
fn times(read: &Read, text: &str) -> usize {
    dense(&read.text()).matches(&dense(text)).count()
}

#[test]
fn commands_are_texts() {
    for (i, text) in COMMANDS.into_iter().enumerate() {
        let read = Read::new(&set(&format!("hostile-{i}"), &everywhere(text), Paper::A4));
        // Title, title block twice, section, heading, statement, key figure twice, text, note, item, warning, fact twice, six cells, two captions,
        // four parts of the equation, and the foot.
        let found = times(&read, text);
        assert!(found >= 26, "{text}: {found} times in\n{}", read.text());
    }
}

#[test]
fn control_characters_are_seen_and_named() {
    let text = "a\u{0}b\u{1b}[31mc\u{7f}d\u{85}e";
    let read = Read::new(&set("control", &everywhere(text), Paper::A4));
    assert!(times(&read, "a�b�[31mc�d�e") >= 26, "{}", read.text());
    assert!(
        read.has("U+0000, U+001B, U+007F, U+0085."),
        "{}",
        read.text()
    );
}

#[test]
fn what_the_type_lacks_is_seen_and_named() {
    let mut section = Section::new("Names");
    section.text("Meister 水 of שלום works at the 🧪 bench; ṁ is a flow, Ђ a letter.");
    section.figure(figure("f", "A drawing of 水", drawing(300, 200, "tank 水")));
    let read = Read::new(&set("lacking", &one(section), Paper::A4));
    assert!(
        read.has("Meister � of ���� works at the � bench;"),
        "{}",
        read.text()
    );
    assert!(
        read.has("A drawing of �") && read.has("tank �"),
        "{}",
        read.text()
    );
    assert!(
        read.has("� stands for characters that the type of this report does not have: U+05D5, U+05DC, U+05DD, U+05E9, U+6C34, U+1F9EA."),
        "{}",
        read.text()
    );
    // A letter with a mark is made of both where it is not there as one.
    assert!(read.has("is a flow, Ђ a letter."), "{}", read.text());
    assert!(!read.has("U+1E41"));
}

#[test]
fn charges_are_raised() {
    let read = Read::new(&set("charges", &everywhere("SO₄²⁻ and Cr³⁺"), Paper::A4));
    assert!(times(&read, "SO₄²− and Cr³+") >= 26, "{}", read.text());
    assert!(!read.has("�"));
}

#[test]
fn a_report_that_lacks_nothing_does_not_speak_of_it() {
    let read = Read::new(&set("complete", &common::sample(), Paper::A4));
    assert!(!read.has("�"), "{}", read.text());
}

#[test]
fn directions_and_joiners_show_nothing() {
    let text = "A\u{202e}B\u{200d}C\u{feff}D\u{2066}E";
    let read = Read::new(&set("directions", &everywhere(text), Paper::A4));
    assert!(times(&read, "ABCDE") >= 26, "{}", read.text());
}

#[test]
fn endless_words_break() {
    let word = "Longword0".repeat(1200);
    let read = Read::new(&set("endless", &everywhere(&word), Paper::Letter));
    // Feet stand between pieces of a word, and the two cut ones end in an ellipsis; all else has it whole, but for pieces parted by a page's end.
    let found = times(&read, "Longword0");
    assert!(found > 26 * 1200 - 500, "{found}");
    assert!(read.has("…"), "{}", read.pages[0]);
}

#[test]
fn a_foot_that_is_too_long_stands_whole_at_the_end() {
    let foot = "One sentence of many that nobody reads. ".repeat(30);
    let document = Document {
        foot: foot.clone(),
        ..one(Section::new("Short"))
    };
    let read = Read::new(&set("long-foot", &document, Paper::A4));
    assert_eq!(read.pages.len(), 1);
    assert!(read.has(foot.trim()), "{}", read.text());
    assert!(read.has("…"));
}

#[test]
fn long_names_wrap_in_their_places() {
    let name =
        "A rinse whose name was given by somebody who wanted to say everything about it at once";
    let mut section = Section::new("Long names");
    section.blocks.push(Block::Figures(facts([
        (name, "12.5 L/h"),
        (name, "as the supervisor sets it by hand every morning"),
    ])));
    let mut table =
        Table::new([name, "Volume of the tank up to its weir\nL", name, "µS/cm"]).text(2);
    for _ in 0..12 {
        table.push([name, "600", name, "1,234,567.8"]);
    }
    section.table(name, table);
    let document = Document {
        title_block: facts([(name, name), ("Line", name), (name, "short")]),
        ..one(section)
    };
    for (name_of_file, paper) in [("names-a4", Paper::A4), ("names-letter", Paper::Letter)] {
        let read = Read::new(&set(name_of_file, &document, paper));
        assert!(times(&read, name) >= 30, "{}", times(&read, name));
    }
}

#[test]
fn a_figure_that_is_no_drawing_is_named() {
    for (svg, said) in [
        ("<svg", "A broken drawing"),
        ("", "A broken drawing"),
        (
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10\" height=\"10\"><text>&#0;</text></svg>",
            "A broken drawing",
        ),
    ] {
        let mut section = Section::new("Figures");
        section.figure(figure("good", "A good drawing", drawing(300, 200, "drawn")));
        section.figure(figure("bad", "A broken drawing", svg.to_owned()));
        match pdf(&one(section), Paper::A4) {
            Err(PdfError::Figure { caption, why }) => {
                assert_eq!(caption, said);
                assert!(!why.is_empty());
            }
            other => panic!("{svg}: {:?}", other.map(|bytes| bytes.len())),
        }
    }
}

/// A drawing may name a character by its number, past the look at what the type has: the page shows an empty box, and the file is written all the same.
#[test]
fn a_drawing_with_an_unknown_sign_is_set() {
    let mut section = Section::new("Figures");
    section.figure(figure(
        "sign",
        "A drawing",
        drawing(300, 200, "tank &#x6C34; 2"),
    ));
    let read = Read::new(&set("sign", &one(section), Paper::A4));
    assert!(
        read.has("Figure 1: A drawing") && read.has("tank"),
        "{}",
        read.text()
    );
}

#[test]
fn a_figure_cannot_fetch_a_file() {
    for href in [
        "/etc/hostname",
        "file:///etc/hostname",
        "../../etc/hostname.png",
        "https://example.org/x.png",
        "document.json",
        "figure-1.svg",
    ] {
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100\" height=\"100\"><image href=\"{href}\" width=\"90\" height=\"90\"/></svg>"
        );
        let mut section = Section::new("Figures");
        section.figure(figure("fetch", "A drawing that fetches", svg));
        match pdf(&one(section), Paper::A4) {
            Err(PdfError::Figure { caption, .. }) => assert_eq!(caption, "A drawing that fetches"),
            other => panic!("{href}: {:?}", other.map(|bytes| bytes.len())),
        }
    }
}

#[test]
fn an_error_is_told_in_words() {
    let mut section = Section::new("Figures");
    section.figure(figure("bad", "Nickel in the last rinse", "<svg".to_owned()));
    let why = pdf(&one(section), Paper::A4).map(|bytes| bytes.len());
    let why = why.expect_err("no drawing").to_string();
    assert!(
        why.starts_with("the figure \"Nickel in the last rinse\" cannot be set: "),
        "{why}"
    );
    assert!(pdf(&empty("x"), Paper::A4).is_ok());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_text_can_be_set(text in any::<String>(), rare in "\\PC{0,60}", marks in "[a\u{300}-\u{36f}\u{1f1e6}-\u{1f1ff}\u{200d}\u{e000}]{0,40}") {
        for text in [text, rare, marks] {
            let set = pdf(&everywhere(&text), Paper::A4);
            prop_assert!(set.is_ok(), "{:?}: {:?}", text, set.err());
        }
    }
}
