//! The files that a report is written to.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow, bail};
use dragback_report::{Data, Document, Findings, Paper, PdfMaker, Show, csv, html};

use crate::args::ReportArgs;
use crate::io::{Io, printable};
use crate::target::Target;

/// What a file holds.
#[derive(Clone, Copy)]
enum Kind {
    Html,
    Pdf(PdfMaker),
    Csv,
    Json,
}

/// Where a report goes, checked before anything is worked out.
pub(super) struct Outputs {
    files: Vec<(String, Kind, Target)>,
    figures: Option<PathBuf>,
}

impl Outputs {
    pub(super) fn new(args: &ReportArgs, pdf: Option<PdfMaker>) -> Result<Self> {
        let mut files = Vec::new();
        for path in &args.output {
            let shown = printable(&path.to_string_lossy());
            let kind = kind(path, &shown, pdf)?;
            let target = Target::new(path, "-o", &args.input.file)?;
            if let Some(before) = &args.against {
                drop(Target::new(path, "-o", before)?);
            }
            files.push((shown, kind, target));
        }
        let figures = args.figures.as_ref().map(PathBuf::from);
        if let Some(folder) = figures.as_ref().filter(|f| !f.is_dir()) {
            // One that stands in a folder that there is: a slip further up makes no tree of folders.
            fs::create_dir(folder).map_err(|why| {
                let shown = printable(&folder.display().to_string());
                anyhow!("--figures {shown}: the folder could not be made: {why}")
            })?;
        }
        Ok(Self { files, figures })
    }

    /// Writes all of them; the names of the files.
    pub(super) fn write(
        &self,
        findings: &Findings,
        document: &Document,
        show: Show,
        io: &mut Io<'_>,
    ) -> Result<Vec<String>> {
        let mut written = Vec::new();
        for (name, kind, target) in &self.files {
            match kind {
                Kind::Json => target.write_json(&Data::of(findings, document), io)?,
                Kind::Html => bytes(target, html(document).as_bytes(), io)?,
                Kind::Csv => bytes(target, &csv(document)?, io)?,
                Kind::Pdf(make) => {
                    let paper = Paper::of(show.system);
                    let made = make(document, paper).map_err(|why| anyhow!("{name}: {why}"))?;
                    bytes(target, &made, io)?;
                }
            }
            written.push(name.clone());
        }
        if let Some(folder) = &self.figures {
            for figure in document.figures() {
                let path = folder.join(format!("{}.svg", figure.name));
                bytes(&Target::File(path.clone()), figure.svg.as_bytes(), io)?;
                written.push(printable(&path.display().to_string()));
            }
        }
        Ok(written)
    }
}

fn bytes(target: &Target, all: &[u8], io: &mut Io<'_>) -> Result<()> {
    target.write(io, |out| out.write_all(all))
}

/// What a file is to hold, by the end of its name.
fn kind(path: &OsString, shown: &str, pdf: Option<PdfMaker>) -> Result<Kind> {
    let end = Path::new(path)
        .extension()
        .map(|e| e.to_string_lossy().to_lowercase());
    Ok(match (end.as_deref(), pdf) {
        (Some("html" | "htm"), _) => Kind::Html,
        (Some("csv"), _) => Kind::Csv,
        (Some("json"), _) => Kind::Json,
        (Some("pdf"), Some(make)) => Kind::Pdf(make),
        (Some("pdf"), None) => bail!(
            "-o {shown}: this program was built without PDF files; write .html and print it from a browser"
        ),
        _ => bail!("-o {shown}: give a name that ends in .html, .pdf, .csv or .json"),
    })
}
