//! `dragback run`.

use anyhow::{Context, Result, bail};
use dragback_study::{Clock, Driver, run_span};
use dragback_units::Dim;
use dragback_units::constants as unit;

use crate::answers_text::{ending, not_shown, render, section};
use crate::args::RunArgs;
use crate::io::{Io, printable};
use crate::progress::Progress;
use crate::source::load;
use crate::target::Targets;
use crate::trace_csv::write_trace;
use crate::verdict::{Verdict, reasons};
use dragback_report::{Show, told};

/// Longest run, s: ten years.
const LONGEST_S: f64 = 10.0 * unit::SECONDS_PER_YEAR;
/// Shortest run, s.
const SHORTEST_S: f64 = unit::SECONDS_PER_HOUR;

/// Runs a line from its start and tells what happened.
pub(crate) fn run(args: &RunArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    let show = show.counted_as(args.as_what.into());
    let span_s = span_of(&args.span)?;
    let targets = Targets::new(args.csv.as_ref(), args.json.as_ref(), &args.input.file)?;
    let loaded = load(&args.input, io)?;
    let case = loaded.case()?;
    let driver = if args.exact {
        Driver::Exact
    } else {
        Driver::Preview
    };
    let span = {
        let mut progress = Progress::new(io, "Running", Some(span_s));
        run_span(&case, span_s, driver, Clock::default(), &mut |t_s| {
            progress.at(t_s)
        })?
    };
    let answers = span.answers();
    if let Some(target) = &targets.csv {
        target.write(io, |out| write_trace(&span, show, out))?;
    }
    if let Some(target) = &targets.json {
        target.write_json(&answers, io)?;
    }
    let reasons = reasons(&answers, show);
    if !targets.take_standard() {
        let mut out = render(&answers, &loaded.scenario, show);
        let at_end = span.tanks_at_end();
        section(
            "Tanks at the end",
            &told::tanks(&at_end, &answers, show),
            &mut out,
        );
        out.push_str(&not_shown(&told::not_shown(&at_end)));
        out.push_str(&ending(&reasons));
        io.print(&out)?;
    }
    Ok(Verdict::of(&reasons))
}

fn span_of(text: &str) -> Result<f64> {
    let span_s = Dim::Time.parse(text).context("--for")?;
    if !(SHORTEST_S..=LONGEST_S).contains(&span_s) {
        bail!(
            "--for {}: a run lasts from 1 h to 10 years",
            printable(text.trim())
        );
    }
    Ok(span_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_times_within_bounds() {
        assert_eq!(span_of("90 d").unwrap(), unit::seconds_from_days(90.0));
        assert_eq!(span_of("1 year").unwrap(), unit::SECONDS_PER_YEAR);
        for bad in ["90", "90 L", "0 d", "-3 d", "11 years", "1e300 d", ""] {
            let error = format!("{:#}", span_of(bad).unwrap_err());
            assert!(error.starts_with("--for"), "{error}");
        }
    }
}
