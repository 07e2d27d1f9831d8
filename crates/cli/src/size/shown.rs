//! The table of `dragback size`.

use dragback_report::Show;
use dragback_report::told::CAUTION;
use dragback_report::told::sizes::{
    counted_table, ranked_words, reach_table, sizes_legend, stopped_table, working_notes,
    working_table,
};
use dragback_scenario::Scenario;
use dragback_study::size::{Reach, Row, Sizing};
use dragback_units::constants as unit;

use crate::answers_text::section;
use crate::facts::paragraph;

/// Rows shown unless all are asked for.
const BEST: usize = 15;

pub(super) fn render(
    scenario: &Scenario,
    sizing: &Sizing,
    (rows, as_it_is): (&[Row], &[Reach]),
    all: bool,
    show: Show,
) -> String {
    let limit = sizing.layouts().final_limit_kg_per_m3();
    let line = scenario.loops.get(sizing.layouts().key());
    let lead = line.map_or("", |l| l.lead.as_str());
    let mut out = paragraph(&scenario.title);
    out.push_str(&paragraph(&format!(
        "What brings the film on the work below {} of {lead} in the worst hour of the settled week, and closes the loop.",
        show.rinse(unit::mg_per_l(limit))
    )));
    let working: Vec<&Row> = rows.iter().filter(|row| row.verified).collect();
    let shown = if all {
        working.len()
    } else {
        BEST.min(working.len())
    };
    let currency = scenario.prices.as_ref().and_then(|p| p.currency.as_deref());
    let table = working_table(&working[..shown], currency, show);
    let order = ranked_words(&working);
    section(&format!("Layouts that work, {order}"), &table, &mut out);
    if working.is_empty() {
        out.push_str("\nNo layout works.\n");
    } else if shown < working.len() {
        out.push_str(&format!(
            "  {} more work; --all shows them\n",
            working.len() - shown
        ));
    }
    for note in working_notes(&working[..shown], show) {
        out.push_str(&paragraph(&note));
    }
    let stopped: Vec<&Row> = rows.iter().filter(|row| !row.verified).collect();
    if all {
        section(
            "Layouts that do not work",
            &stopped_table(&stopped, show),
            &mut out,
        );
    } else {
        section(
            &format!("{} layouts do not work", stopped.len()),
            &counted_table(&stopped),
            &mut out,
        );
    }
    section(
        "The line as it is closes over the week, in the mean air of the year, with",
        &reach_table(as_it_is, show),
        &mut out,
    );
    out.push('\n');
    out.push_str(&paragraph(&format!("{} {CAUTION}", sizes_legend(show))));
    out
}
