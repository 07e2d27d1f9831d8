//! What must be installed.

use dragback_study::size::{HEATER_RESERVE, Row, TANK_RESERVE, TOWER_RESERVE};

use crate::document::Section;
use crate::findings::{Findings, SizeFindings};
use crate::plot::{Against, trade_off};
use crate::show::Show;
use crate::told;
use crate::told::sizes::{counted_table, heat_table, needs_table, reach_table, working_table};

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
        of_loop(&mut section, found, currency, show);
    }
    section.note(format!(
        "A layout is what stands before the rinses, the number of counterflow rinses, and whether a free final rinse follows. Each is settled as it stands: it passes at the stated flow and fails at 0.98 of it. Evaporation is that of the worst month, the surfaces credited. Towers stand {} over the worst month, heaters {} over what they give at work, tanks {} over what swings in them. Heat is that of the holding tank, or of the bath where there is none; cost is running cost without equipment.",
        show.percent(TOWER_RESERVE - 1.0),
        show.percent(HEATER_RESERVE - 1.0),
        show.percent(TANK_RESERVE - 1.0),
    ));
    Some(section)
}

fn of_loop(section: &mut Section, found: &SizeFindings, currency: Option<&str>, show: Show) {
    section.text(format!(
        "What keeps the film on the work below {} in the worst hour of the settled week and closes the loop.",
        show.rinse(found.final_rinse_mg_per_l)
    ));
    if let Some(why) = &found.refused {
        section.text(format!("It cannot be sized: {why}."));
        return;
    }
    let working: Vec<&Row> = found.rows.iter().filter(|r| r.verified).collect();
    let stopped: Vec<&Row> = found.rows.iter().filter(|r| !r.verified).collect();
    if working.is_empty() {
        section.text("No layout that was looked at works.");
    }
    let has_cost = working.first().is_some_and(|r| r.yearly_cost.is_some());
    let order = if has_cost {
        "Layouts that work, cheapest to run first (marked *)"
    } else {
        "Layouts that work, least evaporation first (marked *)"
    };
    section.table(order, working_table(&working, currency, show));
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
        "The line as it is closes, in the mean air of the year, with",
        reach_table(&found.as_it_is, show),
    );
}
