//! `dragback report`.

mod outputs;

use std::sync::Arc;

use anyhow::{Result, bail};
use dragback_report::{FindError, Findings, MoneyFindings, PdfMaker, Show, Wanted, compose};
use dragback_scenario::{Scenario, TitleBlock};
use dragback_units::Quantity;
use dragback_units::dim::Concentration;

use crate::args::{HeadArgs, Input, ReportArgs};
use crate::facts::paragraph;
use crate::io::Io;
use crate::payback::within_years;
use crate::progress::Progress;
use crate::size::sizing;
use crate::source::{Loaded, load};
use crate::verdict::Verdict;
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
        limits: limits(&loaded, args.final_rinse.as_deref())?,
        scenario: Arc::new(loaded.scenario.clone()),
        before: against.as_ref().map(|b| Arc::new(b.scenario.clone())),
        within_years,
        all_layouts: args.all_layouts,
    };
    let mut progress = Progress::counting(io, "Working the report out", "parts");
    let findings = Findings::of(&wanted, |done, all| {
        progress.done(done, all);
        true
    });
    drop(progress);
    let findings = findings.map_err(|why| {
        let of = match (&why, &against) {
            (FindError::Before(_), Some(before)) => before,
            _ => &loaded,
        };
        anyhow::Error::new(why).context(of.name.clone())
    })?;
    let document = compose(&findings, show);
    let written = outputs.write(&findings, &document, show, io)?;
    let mut out = paragraph(&document.title);
    for said in document.answer() {
        out.push_str(&paragraph(&said.text));
    }
    if let (Some(_), MoneyFindings::None(why)) = (&against, &findings.money) {
        out.push_str(&paragraph(&format!("There is no answer in money: {why}.")));
    }
    out.push('\n');
    for name in written {
        out.push_str(&paragraph(&format!("{name} written.")));
    }
    io.print(&out)?;
    Ok(Verdict::Good)
}

/// What the film is to keep: each loop's own limit, or for every loop what was asked for here, which then must be possible.
fn limits(
    loaded: &Loaded,
    final_rinse: Option<&str>,
) -> Result<Vec<(String, Quantity<Concentration>)>> {
    let Some(limit) = final_rinse else {
        return Ok(Wanted::own_limits(&loaded.scenario));
    };
    let keys = loaded.scenario.loops.keys();
    keys.map(|key| Ok((key.to_owned(), sizing(loaded, key, limit)?.0)))
        .collect()
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
