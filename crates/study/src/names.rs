//! How air and hours are called in answers.

use dragback_plant::climate::AirChoice;
use dragback_run::clock::Hours;

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// `Jan` … `Dec`, `mean` or `calendar`.
pub(crate) fn air_name(air: AirChoice) -> &'static str {
    match air {
        AirChoice::Calendar => "calendar",
        AirChoice::Mean => "mean",
        AirChoice::Month(m) => MONTHS[m % 12],
    }
}

/// The air of a month by its name; `None` for all other names.
pub(crate) fn month_air(name: &str) -> Option<AirChoice> {
    let month = MONTHS.iter().position(|m| *m == name)?;
    Some(AirChoice::Month(month))
}

/// `calendar`, `in-shift` or `week-mean`.
pub(crate) fn hours_name(hours: Hours) -> &'static str {
    match hours {
        Hours::Calendar => "calendar",
        Hours::AlwaysOpen => "in-shift",
        Hours::WeekMean => "week-mean",
    }
}
