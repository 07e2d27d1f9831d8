//! What grows, and how near salts are to coming out.

use dragback_study::Answers;
use dragback_study::verdict::capitalised;

use crate::document::Section;
use crate::findings::Findings;
use crate::show::{NO_NUMBER, Show};
use crate::table::Table;
use crate::told;

/// Impurities and solubility.
pub(crate) fn outlook(findings: &Findings, show: Show) -> Section {
    let answers = &findings.line.settled.answers;
    let mut section = Section::new("Impurities and solubility");
    let impurities = told::impurities(answers, true, show);
    if impurities.is_empty() {
        section.text("No solute has a limit, and none grows by a hundredth of itself in a year.");
    }
    section.table("What grows, or has a limit", impurities);
    if let Some(about) = told::about_impurities(answers, true) {
        section.note(about);
    }
    for sentence in told::precipitation(answers, show) {
        section.text(capitalised(&sentence));
    }
    section.table("How near salts are to coming out", nearest(answers, show));
    section.note(
        "A share of 100 % is saturated, at the coldest that the tank gets: its own temperature, or the room's where no heater keeps it warm around the clock. Solubility is that of single salts in water; a mixed bath may hold less.",
    );
    section
}

fn nearest(answers: &Answers, show: Show) -> Table {
    let mut table = Table::new(["tank", "salt", "of what stays dissolved", "at"]).text(1);
    for vessel in &answers.vessels {
        let Some(salt) = &vessel.nearest_salt else {
            continue;
        };
        let share = if salt.saturation_fraction.is_finite() {
            show.percent(salt.saturation_fraction)
        } else {
            NO_NUMBER.to_owned()
        };
        table.push([
            vessel.name.clone(),
            salt.salt.clone(),
            share,
            show.temperature(salt.at_c),
        ]);
    }
    table
}
