//! Reports put together by hand, and a reader for what comes out.

#![allow(dead_code, reason = "each test file uses its own part")]

use dragback_pdf::pdf;
use dragback_report::{
    Block, Document, Equation, Facts, Figure, Paper, Runs, Section, Statement, Table, Tone,
};

/// A report with nothing in it but its title.
pub fn empty(title: &str) -> Document {
    Document {
        title: title.to_owned(),
        title_block: Facts::default(),
        sections: Vec::new(),
        foot: String::new(),
    }
}

/// A report with one section.
pub fn one(section: Section) -> Document {
    Document {
        sections: vec![section],
        ..empty("A trial")
    }
}

pub fn facts<const N: usize>(pairs: [(&str, &str); N]) -> Facts {
    let mut facts = Facts::default();
    for (label, value) in pairs {
        facts.push(label, value);
    }
    facts
}

/// A table of numbers with a first column of names.
pub fn numbers(columns: usize, rows: usize) -> Table {
    let heads = (0..columns).map(|c| match c {
        0 => "Station".to_owned(),
        c => format!("Species {c}\nmg/L"),
    });
    let mut table = Table::new(heads);
    for r in 0..rows {
        table.push((0..columns).map(|c| match c {
            0 => format!("Rinse {}", r + 1),
            c => format!("{}.{}", 1000 + (37 * r + 11 * c) % 9000, c % 10),
        }));
    }
    table
}

/// A drawing with a frame, a curve and words in the type of the page.
pub fn drawing(width: u32, height: u32, words: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" \
         font-family=\"IBM Plex Sans\" font-size=\"12\"><rect x=\"0.5\" y=\"0.5\" width=\"{}\" height=\"{}\" fill=\"#FFFFFF\" stroke=\"#D8D3C8\"/>\
         <path d=\"M40 {} C 120 40, 240 40, {} 30\" fill=\"none\" stroke=\"#0B6E75\" stroke-width=\"1.75\"/>\
         <text x=\"50\" y=\"24\" fill=\"#1F2328\">{words}</text><text x=\"50\" y=\"42\" font-weight=\"bold\">in bold</text></svg>",
        width - 1,
        height - 1,
        height - 20,
        width - 20,
    )
}

pub fn figure(name: &str, caption: &str, svg: String) -> Figure {
    Figure {
        name: name.to_owned(),
        caption: caption.to_owned(),
        alt: format!("{caption}: a curve that rises and levels off"),
        svg,
        aspect: 2.0,
        numbers: None,
    }
}

fn answer() -> Section {
    let mut section = Section::new("The answer");
    let told = |text: &str, tone| Statement::new(text.to_owned(), tone);
    section.blocks.push(Block::Answer(vec![
        told("The loop closes: 6.4 L/d more evaporates than the rinses need, in the year's mean air.", Tone::Good),
        told("92 % of the drag-out comes back to the bath; 118 g/d of nickel are still lost with the last rinse.", Tone::Plain),
        told("In August the evaporator runs 23.1 of 24 hours. A warm summer would leave no reserve, so the holding tank must take up what the tower cannot.", Tone::Caution),
        told("Sodium rises by 0.9 g/L in a year and does not settle within eight years.", Tone::Alarm),
    ]));
    section.blocks.push(Block::Figures(facts([
        ("nickel lost", "118 g/d"),
        ("comes back", "92.3 %"),
        ("water evaporated", "1,284 L/d"),
        ("rinse feed", "52.5 L/h"),
        ("saved in a year", "14,300 USD"),
    ])));
    section
}

fn stations() -> Section {
    let mut section = Section::new("Stations");
    section.text("Work enters the bath dry and leaves over three counterflow rinses. Flows are means over the week; strengths are those at the end of a shift.");
    let mut table = Table::new([
        "Station",
        "Volume\nL",
        "Temperature\n°C",
        "Nickel\ng/L",
        "Conductivity\nµS/cm",
        "Stands in",
    ])
    .text(5);
    for (name, volume, temperature, nickel, conductivity, stands) in [
        (
            "Nickel bath",
            "4,200",
            "58.0",
            "78.2",
            "61,000",
            "hall 2, pit A",
        ),
        ("Rinse 1", "600", "24.1", "6.31", "7,840", "hall 2"),
        ("Rinse 2", "600", "21.9", "0.512", "742", "hall 2"),
        (
            "Rinse 3 (last before chromium)",
            "600",
            "21.2",
            "0.0413",
            "96.0",
            "hall 2, by the wall",
        ),
    ] {
        table.push([name, volume, temperature, nickel, conductivity, stands]);
    }
    table.push_strong(["All", "6,000", "", "", "", ""]);
    section.table("Stations in the settled week", table);
    section.note("Strengths are told as metal. A dash stands where the program has no number that it trusts.");
    section.heading("How the strength of the last rinse moves");
    section.figure(figure(
        "last-rinse",
        "Nickel in the last rinse over a week, mg/L",
        drawing(720, 300, "rinse 3, mg/L"),
    ));
    section.list(vec![
        "Dips after each pause: the rinse runs on while no work arrives.".to_owned(),
        "The level-off on Friday night is the tank's own strength at rest.".to_owned(),
    ]);
    section.blocks.push(Block::Caution(vec![
        "Hot nickel solution and its mist harm skin and lungs; the mist eliminator must work whenever the blower does.".to_owned(),
        "Local codes and licensed practice decide.".to_owned(),
    ]));
    section
}

fn inputs() -> Section {
    let mut section = Section::appendix("Inputs");
    section.facts(facts([
        ("Drag-out", "120 mL/m² of racked work"),
        ("Work", "210 m² in an hour, five days of two shifts"),
        ("Towers", "two, 3,400 m³/h each"),
        ("", "fan curve as given by the maker"),
    ]));
    section.table("Every input", numbers(7, 60));
    section
}

fn method() -> Section {
    let mut section = Section::appendix("Method");
    section.blocks.push(Block::Equation(Equation {
        what: "Counterflow rinse of N stages".to_owned(),
        formula: Runs::parse("C_{N}/C_{0} = (r − 1)/(r^{N+1} − 1)"),
        about: "C0: strength of the bath, g/L; CN: of the last rinse; r: feed over drag-out, both in L/h. Holds for perfectly mixed rinses.".to_owned(),
        source: "mass balance; Kushner, J. B., Water and Waste Control for the Plating Shop, 1976".to_owned(),
    }));
    section.blocks.push(Block::Equation(Equation {
        what: "Vapour over the tower's packing".to_owned(),
        formula: Runs::parse("ṁ = h_{D}·A·(ρ_{s} − ρ_{∞})·(1 − x_{w})^{−2/3}"),
        about: "Area A in m².".to_owned(),
        source: String::new(),
    }));
    section.text("No correlation is used outside the range of its source.");
    section
}

/// A report as a consultant would hand it over.
pub fn sample() -> Document {
    Document {
        title: "Closing the nickel line's rinse loop".to_owned(),
        title_block: facts([
            ("Prepared for", "Example Plating Works"),
            ("Line", "Nickel, hall 2"),
            ("Prepared by", "A. Consultant"),
            ("Date", "26 November 2026"),
            ("Revision", "B"),
            ("Scenario", "demo.ron, sha-256 3f9a…c41e"),
            ("Basis", "Settled week in the year's mean air; averaged model; five days of two shifts, 210 m² in an hour, water of the town, prices of this year"),
        ]),
        sections: vec![answer(), stations(), inputs(), method()],
        foot: "These are estimates from balances and published correlations, not a design. Hot solution, chromic acid and nickel, \
               mains electricity and exhaust air can hurt people: local codes and licensed practice decide."
            .to_owned(),
    }
}

/// Sets a report and keeps the file for the check of boxes and for people who want to look.
pub fn set(name: &str, document: &Document, paper: Paper) -> Vec<u8> {
    let bytes = pdf(document, paper).unwrap_or_else(|why| panic!("{name}: {why}"));
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("reports");
    std::fs::create_dir_all(&folder).expect("a folder for the samples");
    std::fs::write(folder.join(format!("{name}.pdf")), &bytes).expect("a sample is written");
    bytes
}

/// A file as a reader of PDF sees it.
pub struct Read {
    pub file: lopdf::Document,
    /// Text of each page, its line ends and spaces as the reader guesses them.
    pub pages: Vec<String>,
}

impl Read {
    pub fn new(bytes: &[u8]) -> Self {
        let file = lopdf::Document::load_mem(bytes).expect("a PDF file");
        let pages = (file.get_pages().keys())
            .map(|&n| file.extract_text(&[n]).expect("text of a page"))
            .collect();
        Self { file, pages }
    }

    pub fn text(&self) -> String {
        self.pages.concat()
    }

    /// Whether a text stands on the pages, whatever spaces and line ends the reader puts into it.
    pub fn has(&self, text: &str) -> bool {
        dense(&self.text()).contains(&dense(text))
    }
}

/// A text without spaces, line ends and places to break.
pub fn dense(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '\u{200b}')
        .collect()
}

impl Read {
    /// Size of a page, points.
    pub fn media_box(&self, page: lopdf::ObjectId) -> Vec<f32> {
        let page = self.file.get_dictionary(page).expect("a page");
        let media = page.get(b"MediaBox").and_then(lopdf::Object::as_array);
        (media.expect("its size").iter())
            .map(|n| n.as_float().expect("a number"))
            .collect()
    }

    /// An entry of the file's own data.
    pub fn info(&self, key: &str) -> Option<String> {
        let info = self.file.trailer.get(b"Info").ok()?;
        let info = self.file.dereference(info).ok()?.1.as_dict().ok()?;
        lopdf::decode_text_string(info.get(key.as_bytes()).ok()?).ok()
    }

    /// Whether the file says that it keeps the rules for readers who cannot see the page (PDF/UA-1).
    pub fn is_for_all(&self) -> bool {
        let metadata = self.file.catalog().and_then(|c| c.get(b"Metadata"));
        let metadata = metadata.and_then(|m| self.file.dereference(m));
        let stream = metadata.and_then(|(_, m)| m.as_stream());
        stream.is_ok_and(|s| {
            String::from_utf8_lossy(&s.content).contains("<pdfuaid:part>1</pdfuaid:part>")
        })
    }

    /// What is said of figures for those who cannot see them.
    pub fn alts(&self) -> Vec<String> {
        let dictionaries = self.file.objects.values().filter_map(|o| o.as_dict().ok());
        let alts = dictionaries.filter_map(|d| d.get(b"Alt").ok());
        alts.filter_map(|a| lopdf::decode_text_string(a).ok())
            .collect()
    }
}
