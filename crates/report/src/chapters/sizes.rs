//! What must be installed.

use dragback_study::size::{CLOSINGS, Rinsing, Row};

use crate::document::Section;
use crate::findings::{Findings, SizeFindings};
use crate::plot::{Against, trade_off};
use crate::show::Show;
use crate::told;
use crate::told::sizes::{
    counted_table, heat_table, needs_table, ranked_words, reach_table, sizes_legend, working_notes,
    working_table,
};

/// Sizes of each loop; `None` where nobody asked for them.
pub(crate) fn sizes(findings: &Findings, show: Show) -> Option<Section> {
    if findings.sizes.is_empty() {
        return None;
    }
    let scenario = &findings.line.case.scenario;
    let prices = scenario.prices.as_ref();
    let currency = prices.and_then(|p| p.currency.as_deref());
    let mut section = Section::new("What must be installed");
    for found in &findings.sizes {
        if findings.sizes.len() > 1 {
            section.heading(&told::loop_name(scenario, &found.line));
        }
        let lead = scenario.loops.get(&found.line).map_or("", |l| &l.lead);
        of_loop(&mut section, found, (lead, currency), show);
    }
    section.note(format!(
        "{} It passes at the stated flow and fails at 0.98 of it.",
        sizes_legend(show)
    ));
    Some(section)
}

fn of_loop(
    section: &mut Section,
    found: &SizeFindings,
    (lead, currency): (&str, Option<&str>),
    show: Show,
) {
    section.text(format!(
        "What keeps the film on the work below {} of {lead} in the worst hour of the settled week and closes the loop.",
        show.rinse(found.final_rinse_mg_per_l)
    ));
    if let Some(why) = &found.refused {
        section.text(format!("It cannot be sized: {why}."));
        return;
    }
    if found.rows.len() < CLOSINGS.len() * Rinsing::all().len() {
        section.note("Looked at are layouts with another number of counterflow rinses, and closed in other ways; those with a still rinse, a spray or a free final rinse more or less than the line has are not.");
    }
    let working: Vec<&Row> = found.rows.iter().filter(|r| r.verified).collect();
    let stopped: Vec<&Row> = found.rows.iter().filter(|r| !r.verified).collect();
    if working.is_empty() {
        section.text("No layout that was looked at works.");
    }
    let order = format!("Layouts that work, {}", ranked_words(&working));
    section.table(&order, working_table(&working, currency, show));
    for note in working_notes(&working, show) {
        section.text(note);
    }
    let needs = needs_table(&working, show);
    section.table("What these layouts need besides", needs);
    section.table("Where their heat goes, kW", heat_table(&working));
    let kinds = [Against::Flow, Against::Duty, Against::Cost];
    for against in kinds {
        let figure = trade_off(&found.rows, against, currency.unwrap_or(""), show);
        if let Some(figure) = figure {
            section.figure(figure);
        }
    }
    section.table(
        &format!("{} layouts do not work", stopped.len()),
        counted_table(&stopped),
    );
    section.table(
        "The line as it is closes over the week, in the mean air of the year, with",
        reach_table(&found.as_it_is, show),
    );
}
