//! Reports on paper, read back with another library.

#![expect(
    clippy::panic,
    clippy::expect_used,
    reason = "tests say what is wrong by panicking"
)]

mod common;

use common::{Read, empty, numbers, one, sample, set};
use dragback_report::{Document, Paper, Section};

#[test]
fn a_report_stands_on_its_pages() {
    for (name, paper, width, height) in [
        ("sample-a4", Paper::A4, 595.276, 841.89),
        ("sample-letter", Paper::Letter, 612.0, 792.0),
    ] {
        let read = Read::new(&set(name, &sample(), paper));
        assert_eq!(read.pages.len(), 4, "{name}");
        for page in read.file.get_pages().values() {
            let size = read.media_box(*page);
            assert!(
                (size[2] - width).abs() < 0.01 && (size[3] - height).abs() < 0.01,
                "{name}: {size:?}"
            );
        }
        for text in [
            "Closing the nickel line's rinse loop",
            "Example Plating Works",
            "1 The answer",
            "The loop closes: 6.4 L/d more evaporates",
            "118 g/d",
            "nickel lost",
            "14,300 USD",
            "Table 1: Stations in the settled week",
            "Rinse 3 (last before chromium)",
            "Figure 1: Nickel in the last rinse over a week, mg/L",
            "rinse 3, mg/L",
            "Danger to people",
            "Appendix A Inputs",
            "fan curve as given by the maker",
            "Appendix B Method",
            "= (r − 1)/(rN+1 − 1)",
            "Source: mass balance",
        ] {
            assert!(read.has(text), "{name}: {text} is not in\n{}", read.text());
        }
    }
}

#[test]
fn every_page_has_its_foot() {
    let read = Read::new(&set("feet", &sample(), Paper::A4));
    let count = read.pages.len();
    for (i, page) in read.pages.iter().enumerate() {
        for text in [
            &format!("page {} of {count}", i + 1),
            "Closing the nickel line's rinse loop · revision B",
            "local codes and licensed practice decide.",
        ] {
            assert!(
                common::dense(page).contains(&common::dense(text)),
                "page {}: {text}",
                i + 1
            );
        }
    }
}

#[test]
fn words_say_what_colours_say() {
    let read = Read::new(&set("tones", &sample(), Paper::A4));
    for text in [
        "good The loop closes",
        "watch In August",
        "amiss Sodium rises",
    ] {
        assert!(read.has(text), "{text} is not in\n{}", read.pages[0]);
    }
}

#[test]
fn the_file_says_what_it_is() {
    let read = Read::new(&set("about", &sample(), Paper::A4));
    let file = &read.file;
    assert_eq!(
        read.info("Title").as_deref(),
        Some("Closing the nickel line's rinse loop")
    );
    assert_eq!(read.info("Author").as_deref(), Some("A. Consultant"));
    assert_eq!(read.info("Creator").as_deref(), Some("Dragback"));
    assert_eq!(read.info("CreationDate"), None);
    let catalog = file.catalog().expect("a catalog");
    assert_eq!(
        catalog.get(b"Lang").and_then(|l| l.as_str()).ok(),
        Some(&b"en"[..])
    );
    let marks = catalog
        .get(b"MarkInfo")
        .and_then(|m| file.dereference(m))
        .expect("marks");
    let is_marked = marks
        .1
        .as_dict()
        .and_then(|d| d.get(b"Marked"))
        .and_then(|m| m.as_bool());
    assert_eq!(is_marked.ok(), Some(true));
    let bookmarks: Vec<(usize, String, usize)> =
        (file.get_toc().expect("bookmarks").toc.into_iter())
            .map(|t| (t.level, t.title.replace('\u{2002}', " "), t.page))
            .collect();
    let wanted = [
        (1, "1 The answer", 1),
        (1, "2 Stations", 1),
        (2, "How the strength of the last rinse moves", 2),
        (1, "Appendix A Inputs", 3),
        (1, "Appendix B Method", 4),
    ];
    let wanted = wanted.map(|(level, title, page)| (level, title.to_owned(), page));
    assert_eq!(bookmarks, wanted);
    assert!(read.is_for_all());
    let alts = read.alts();
    assert!(
        alts.iter()
            .any(|a| a.contains("a curve that rises and levels off")),
        "{alts:?}"
    );
}

#[test]
fn the_same_report_gives_the_same_bytes() {
    let first = set("again", &sample(), Paper::A4);
    let other = set("another", &one(Section::new("Something else")), Paper::A4);
    assert_ne!(first, other);
    assert!(first == set("again", &sample(), Paper::A4));
}

#[test]
fn an_empty_report_is_one_page() {
    for title in ["", "Nothing yet"] {
        let read = Read::new(&set(
            &format!("empty{}", title.len()),
            &empty(title),
            Paper::A4,
        ));
        assert_eq!(read.pages.len(), 1);
        assert!(
            read.has(title) && read.has("page 1 of 1"),
            "{}",
            read.text()
        );
    }
}

#[test]
fn empty_parts_leave_no_trace() {
    use dragback_report::{Block, Facts, Table};
    let mut section = Section::new("");
    section.blocks = vec![
        Block::Heading(String::new()),
        Block::Answer(Vec::new()),
        Block::Figures(Facts::default()),
        Block::Text(String::new()),
        Block::Note(String::new()),
        Block::List(Vec::new()),
        Block::Caution(Vec::new()),
        Block::Facts(Facts::default()),
        Block::Table {
            caption: "A table without columns".to_owned(),
            table: Table::default(),
        },
        Block::Table {
            caption: "A table without rows".to_owned(),
            table: Table::new(["Station", "Volume"]),
        },
    ];
    let document = Document {
        sections: vec![
            section,
            Section::new("Empty"),
            Section::appendix("Empty too"),
        ],
        ..empty("Empty parts")
    };
    let read = Read::new(&set("empty-parts", &document, Paper::Letter));
    assert_eq!(read.pages.len(), 2);
    for text in [
        "A table without columns",
        "A table without rows",
        "Station",
        "2 Empty",
        "Appendix A Empty too",
    ] {
        assert!(read.has(text), "{text} is not in\n{}", read.text());
    }
}

#[test]
fn appendices_begin_on_a_new_page() {
    let document = Document {
        sections: vec![
            Section::new("Report"),
            Section::appendix("First"),
            Section::appendix("Second"),
        ],
        ..empty("Appendices")
    };
    let read = Read::new(&set("appendices", &document, Paper::A4));
    assert_eq!(read.pages.len(), 2);
    assert!(!read.pages[0].contains("First"));
    assert!(read.pages[1].contains("First") && read.pages[1].contains("Second"));
}

#[test]
fn heads_stand_above_a_table_on_every_page() {
    let mut section = Section::new("Long");
    section.table("Two hundred stations", numbers(6, 200));
    let read = Read::new(&set("long-table", &one(section), Paper::A4));
    assert!(read.pages.len() >= 3);
    for page in &read.pages {
        assert!(
            page.contains("Species 5") && page.contains("Station"),
            "{page}"
        );
    }
    for row in 1..=200 {
        assert!(read.has(&format!("Rinse {row}")), "row {row}");
    }
}

#[test]
fn a_wide_table_is_split_and_nothing_is_lost() {
    let table = numbers(41, 200);
    let cells: Vec<String> = table.rows.iter().flatten().cloned().collect();
    let mut section = Section::new("Wide");
    section.table("Forty species at two hundred stations", table);
    for (name, paper) in [("wide-a4", Paper::A4), ("wide-letter", Paper::Letter)] {
        let read = Read::new(&set(name, &one(section.clone()), paper));
        assert!(read.has("Table 1, part 2 of"), "{name}");
        let words: std::collections::BTreeSet<String> =
            read.text().split_whitespace().map(str::to_owned).collect();
        for cell in &cells {
            let last = cell.split(' ').next_back().unwrap_or(cell);
            assert!(words.contains(last), "{name}: {cell}");
        }
        // The first column stands in every part.
        let times = read
            .pages
            .iter()
            .filter(|p| p.contains("Rinse 200"))
            .count();
        assert!(times >= 4, "{name}: {times}");
    }
}

#[test]
fn a_report_of_many_sections_lists_them() {
    let mut document = sample();
    let read = Read::new(&set("four-sections", &document, Paper::A4));
    assert!(!read.has("Appendix A Inputs 3"), "{}", read.pages[0]);
    document.sections.push(Section::appendix("Limits"));
    let read = Read::new(&set("five-sections", &document, Paper::A4));
    let listed =
        "1 The answer 1 2 Stations 1 Appendix A Inputs 3 Appendix B Method 4 Appendix C Limits 4";
    assert!(
        common::dense(&read.pages[0]).contains(&common::dense(listed)),
        "{}",
        read.pages[0]
    );
    assert!(read.is_for_all());
}

/// The page on which a text stands.
fn page_of(read: &Read, text: &str) -> usize {
    let text = common::dense(text);
    let found = (read.pages.iter()).position(|page| common::dense(page).contains(&text));
    found.unwrap_or_else(|| panic!("{text} stands nowhere in\n{}", read.text()))
}

/// Sections of the kinds that must hold together, behind more and more lines, so that each comes to lie across the page's end.
#[test]
fn what_belongs_together_stays_together() {
    let mut times_parted = [0; 3];
    for lines in 0..56 {
        let mut section = Section::new("Filled");
        for line in 0..lines {
            section.note(format!("Line {line}."));
        }
        section.heading("A heading over a table");
        section.table("A long table", numbers(4, 60));
        section.heading("A heading over a small table");
        section.table("A small table", numbers(5, 8));
        section.heading("A heading over a figure");
        section.figure(common::figure(
            "f",
            "A figure",
            common::drawing(700, 300, "the drawing"),
        ));
        section.heading("A heading over a text");
        section.text("A text that begins here. ".repeat(20));
        let read = Read::new(&set("together", &one(section), Paper::A4));
        let page = |text: &str| page_of(&read, text);
        let holds = [
            [
                "A heading over a table",
                "Table 1: A long table",
                "Rinse 1 1011.1",
                "Rinse 3 1085.1",
            ],
            [
                "A heading over a small table",
                "Table 2: A small table",
                "A small table Station",
                "1303.4",
            ],
            [
                "A heading over a figure",
                "the drawing",
                "Figure 1: A figure",
                "Figure 1: A figure",
            ],
            [
                "A heading over a text",
                "A text that begins here.",
                "A text that begins here.",
                "A text that begins here.",
            ],
        ];
        for [first, others @ ..] in holds {
            for other in others {
                assert_eq!(page(first), page(other), "{lines} lines: {first}, {other}");
            }
        }
        let ends = [
            ("Rinse 1 1011.1", "Rinse 60"),
            ("1 Filled", "A heading over a table"),
            ("A heading over a small table", "A heading over a figure"),
        ];
        for (times, (begin, end)) in times_parted.iter_mut().zip(ends) {
            *times += usize::from(page_of(&read, begin) != page_of(&read, end));
        }
    }
    // The pages did end in all of these places.
    assert!(
        times_parted.iter().all(|&times| times > 3),
        "{times_parted:?}"
    );
}
