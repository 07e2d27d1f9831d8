//! `dragback report`.

mod find;
mod outputs;

use anyhow::{Result, bail};
use dragback_report::{PdfMaker, Show, compose};
use dragback_scenario::{Scenario, TitleBlock};

use crate::args::{HeadArgs, Input, ReportArgs};
use crate::facts::paragraph;
use crate::io::Io;
use crate::payback::within_years;
use crate::source::load;
use crate::verdict::Verdict;
use find::{Wanted, find};
use outputs::Outputs;

/// Works everything out and writes the report.
pub(crate) fn report(
    args: &ReportArgs,
    show: Show,
    pdf: Option<PdfMaker>,
    io: &mut Io<'_>,
) -> Result<Verdict> {
    let show = show.counted_as(args.as_what.into());
    if args
        .against
        .as_ref()
        .is_some_and(|b| b == "-" && args.input.file == "-")
    {
        bail!("only one of the two scenarios can come from standard input");
    }
    let outputs = Outputs::new(args, pdf)?;
    let within_years = within_years(&args.within)?;
    let mut loaded = load(&args.input, io)?;
    head(&mut loaded.scenario, &args.head);
    let against = args.against.as_ref().map(|file| {
        let input = Input {
            file: file.clone(),
            set: Vec::new(),
        };
        let mut before = load(&input, io)?;
        before.set_where_it_is(&args.input.set)?;
        Ok::<_, anyhow::Error>(before)
    });
    let against = against.transpose()?;
    let wanted = Wanted {
        within_years,
        final_rinse: args.final_rinse.as_deref(),
        all_layouts: args.all_layouts,
    };
    let findings = find(&loaded, against.as_ref(), &wanted, io)?;
    let document = compose(&findings, show);
    let written = outputs.write(&findings, &document, show, io)?;
    let mut out = paragraph(&document.title);
    for said in document.answer() {
        out.push_str(&paragraph(&said.text));
    }
    out.push('\n');
    for name in written {
        out.push_str(&paragraph(&format!("{name} written.")));
    }
    io.print(&out)?;
    Ok(Verdict::Good)
}

/// Puts what was given on the command line in the place of what the scenario says.
fn head(scenario: &mut Scenario, args: &HeadArgs) {
    let block = scenario.title_block.get_or_insert(TitleBlock {
        shop: None,
        line: None,
        author: None,
        date: None,
        revision: None,
        notes: None,
    });
    for (field, given) in [
        (&mut block.shop, &args.shop),
        (&mut block.line, &args.line),
        (&mut block.author, &args.author),
        (&mut block.date, &args.date),
        (&mut block.revision, &args.revision),
    ] {
        if given.is_some() {
            field.clone_from(given);
        }
    }
}
