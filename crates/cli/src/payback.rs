//! `dragback payback`.

use std::sync::Arc;

use anyhow::{Context, Result, bail};
use dragback_plant::TowerCache;
use dragback_report::told::{CAUTION, money};
use dragback_report::{ChangeFindings, Show};
use dragback_study::money::{MoneyError, Plan};
use dragback_units::Dim;
use dragback_units::constants as unit;
use serde::Serialize;

use crate::answers_text::section;
use crate::args::{Input, PaybackArgs};
use crate::facts::{paragraph, rendered};
use crate::io::{Io, printable};
use crate::progress::Progress;
use crate::source::{Loaded, load};
use crate::table::{WIDTH, wrap};
use crate::target::Targets;
use crate::verdict::Verdict;

/// What the command writes as JSON.
#[derive(Serialize)]
struct Sheet {
    #[serde(flatten)]
    change: ChangeFindings,
    /// The answer in words.
    in_words: String,
}

/// Sets two lines against each other.
pub(crate) fn payback(args: &PaybackArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    if args.before == "-" && args.after == "-" {
        bail!("only one of the two scenarios can come from standard input");
    }
    let within_years = within_years(&args.within)?;
    let targets = Targets::new(None, args.json.as_ref(), &args.after)?;
    drop(Targets::new(None, args.json.as_ref(), &args.before)?);
    let (before, after) = both(args, io)?;
    let sheet = {
        let mut progress = Progress::new(io, "Comparing settled weeks", None);
        sheet(&before, &after, within_years, show, &mut |t_s| {
            progress.at(t_s)
        })?
    };
    if let Some(target) = &targets.json {
        target.write_json(&sheet, io)?;
    }
    if !targets.take_standard() {
        io.print(&render(&sheet, show))?;
    }
    Ok(Verdict::Good)
}

/// Both lines, with what is set in each that has it; the one after must have it.
fn both(args: &PaybackArgs, io: &mut Io<'_>) -> Result<(Loaded, Loaded)> {
    let (file, set) = (args.after.clone(), args.set.clone());
    let after = load(&Input { file, set }, io)?;
    let file = args.before.clone();
    let set = Vec::new();
    let mut before = load(&Input { file, set }, io)?;
    before.set_where_it_is(&args.set)?;
    Ok((before, after))
}

pub(crate) fn within_years(text: &str) -> Result<f64> {
    let wanted = || {
        let told = printable(text.trim());
        format!("--within {told}: give 0.1 to 100 years, such as \"3 years\"")
    };
    let years = Dim::Time.parse(text).with_context(wanted)? / unit::SECONDS_PER_YEAR;
    if !(0.1..=100.0).contains(&years) {
        bail!(wanted());
    }
    Ok(years)
}

fn sheet(
    before: &Loaded,
    after: &Loaded,
    within_years: f64,
    show: Show,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Sheet> {
    let cache = TowerCache::default();
    let mut plan = |loaded: &Loaded| {
        let found = Plan::settled(Arc::new(loaded.scenario.clone()), &cache, watch);
        found.map_err(|why| named(why, loaded))
    };
    let (old, new) = (plan(before)?, plan(after)?);
    let change = ChangeFindings::of(&old, &new, within_years, &cache, watch)?;
    let payback = &change.payback;
    let told = |amount: f64| money::whole(amount, &payback.currency);
    Ok(Sheet {
        in_words: payback.words(&told, &|years| show.years(years)),
        change,
    })
}

/// An error with the file that it is about.
fn named(why: MoneyError, loaded: &Loaded) -> anyhow::Error {
    let name = loaded.name.clone();
    match why {
        MoneyError::Study(study) => anyhow::Error::new(study).context(name),
        other => anyhow::Error::new(other).context(name),
    }
}

fn render(sheet: &Sheet, show: Show) -> String {
    let change = &sheet.change;
    let payback = &change.payback;
    let currency = payback.currency.as_str();
    let mut out = paragraph(&format!("Before: {}", payback.before));
    out.push_str(&paragraph(&format!("After:  {}", payback.after)));
    out.push('\n');
    out.push_str(&paragraph(&sheet.in_words));
    for warning in payback.warnings() {
        out.push_str(&paragraph(&warning));
    }
    section(
        &format!("Running cost of a year, {currency}"),
        &money::difference_lines(payback),
        &mut out,
    );
    for note in money::cost_notes(payback.lines.iter().map(|l| l.kind)) {
        out.push_str(&paragraph(note));
    }
    out.push_str("\nWhat that means\n");
    out.push_str(&rendered(&money::payback_facts(payback, show)));
    // Where nothing is laid out there is nothing to come back.
    if payback.laid_out > 0.0 {
        what_it_hangs_on(change, show, &mut out);
    }
    for kilogram in &change.kilograms {
        let table = money::kilogram_table(kilogram, currency, show, &str::to_owned);
        section(&money::kilogram_head(kilogram), &table, &mut out);
    }
    if !change.kilograms.is_empty() {
        out.push_str(&paragraph(money::TWO_PRICES));
    }
    if !payback.uncounted.is_empty() {
        out.push_str("\nNot counted\n");
        for what in &payback.uncounted {
            out.push_str(&format!("  {what}\n"));
        }
    }
    let about = money::about_prices(payback.date.as_deref(), payback.notes.as_deref());
    out.push('\n');
    out.push_str(&paragraph(&format!("{about} {CAUTION}")));
    out
}

/// When it pays, and what moves that most. Inputs stand there as `--set` takes them.
fn what_it_hangs_on(change: &ChangeFindings, show: Show, out: &mut String) {
    let currency = change.payback.currency.as_str();
    let stops = |all| money::stops(all, currency, show, &str::to_owned);
    let years = change.within_years;
    for (head, all) in money::conditions(&change.break_even, years, currency, show) {
        out.push_str(&format!("\n{head}\n"));
        list(&all, out);
    }
    list(&stops(&change.break_even_stopped), out);
    section(
        "What moves the payback most, of the inputs with a low and a high value",
        &money::tornado_table(&change.tornado, currency, show, &str::to_owned),
        out,
    );
    list(&stops(&change.tornado_stopped), out);
}

/// Indented lines, each wrapped.
fn list(all: &[String], out: &mut String) {
    for one in all {
        for (i, line) in wrap(one, WIDTH - 4).iter().enumerate() {
            let indent = if i == 0 { "  " } else { "    " };
            out.push_str(&format!("{indent}{line}\n"));
        }
    }
}
