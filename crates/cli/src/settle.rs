//! `dragback settle`.

use anyhow::{Result, bail};
use dragback_study::{AirChoice, Depth, Hours, SettledCase, settled_answers};

use crate::answers_text::{ending, render};
use crate::args::SettleArgs;
use crate::io::{Io, printable};
use crate::progress::Progress;
use crate::source::{Loaded, load};
use crate::target::Targets;
use crate::verdict::{Verdict, reasons};
use dragback_report::Show;

/// Finds the settled week and tells it.
pub(crate) fn settle(args: &SettleArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    let show = show.counted_as(args.as_what.into());
    let air = air_choice(&args.air)?;
    let targets = Targets::new(None, args.json.as_ref(), &args.input.file)?;
    let loaded = load(&args.input, io)?;
    let found = settled(&loaded, air, args.hours.into(), io)?;
    if let Some(target) = &targets.json {
        target.write_json(&found.answers, io)?;
    }
    let reasons = reasons(&found.answers, show);
    if !targets.take_standard() {
        io.print(&format!(
            "{}{}",
            render(&found.answers, &loaded.scenario, show),
            ending(&reasons)
        ))?;
    }
    Ok(Verdict::of(&reasons))
}

/// The settled week of a scenario.
pub(crate) fn settled(
    loaded: &Loaded,
    air: AirChoice,
    hours: Hours,
    io: &mut Io<'_>,
) -> Result<SettledCase> {
    let case = loaded.case()?;
    let mut progress = Progress::new(io, "Looking for the settled week", None);
    let found = settled_answers(&case, air, hours, Depth::Full, &mut |t_s| progress.at(t_s))?;
    Ok(found)
}

/// A month or the mean.
fn air_choice(text: &str) -> Result<AirChoice> {
    let word = text.trim().to_lowercase();
    if word == "mean" {
        return Ok(AirChoice::Mean);
    }
    // Three letters tell every month from the others.
    let month = FULL
        .iter()
        .position(|month| word.len() >= 3 && month.starts_with(&word));
    match month {
        Some(month) => Ok(AirChoice::Month(month)),
        None => bail!(
            "--air {}: there is no such month; write Jan to Dec, or mean for the year's mean",
            printable(text)
        ),
    }
}

/// Months as some people write them.
const FULL: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn air_is_a_month_or_the_mean() {
        assert_eq!(air_choice("Jan").unwrap(), AirChoice::Month(0));
        assert_eq!(air_choice(" december ").unwrap(), AirChoice::Month(11));
        assert_eq!(air_choice("mean").unwrap(), AirChoice::Mean);
        for bad in ["", "Ja", "Janx", "13", "ü", "junember"] {
            let error = air_choice(bad).unwrap_err().to_string();
            assert!(error.contains("Jan to Dec"), "{error}");
        }
    }
}
