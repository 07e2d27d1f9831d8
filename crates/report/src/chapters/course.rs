//! How the line comes to where it settles.

use dragback_study::curves::Kind;

use crate::document::Section;
use crate::findings::{COURSE_D, Findings};
use crate::plot;
use crate::show::Show;

/// What is plotted, in reading order.
const KINDS: [Kind; 7] = [
    Kind::Concentration,
    Kind::Level,
    Kind::Temperature,
    Kind::Evaporation,
    Kind::Heat,
    Kind::Loss,
    Kind::Impurity,
];

/// The main plots of each loop.
pub(crate) fn course(findings: &Findings, show: Show) -> Section {
    let span = &findings.line.course;
    let scenario = &findings.line.case.scenario;
    let solutes = &findings.line.settled.answers.solutes;
    let mut section = Section::new("From the start");
    let month = scenario.site.start_month.word();
    let mut text = format!(
        "The first {COURSE_D:.0} days from the start of the scenario, which begins in {month}, in the air of each month; averaged model. Flows and powers are means over each day."
    );
    if !scenario.events.is_empty() {
        text.push_str(" The events of the scenario happen in it.");
    }
    section.text(text);
    let net = span.plant.network();
    for roles in &net.loops {
        if net.loops.len() > 1 {
            section.heading(&crate::told::loop_name(scenario, &roles.name));
        }
        let lead = &net.solutes[roles.lead.index()].name;
        let told = show.counted.told(solutes, lead);
        for kind in KINDS {
            if let Some(figure) = plot::course(span, roles, kind, (show.system, told), lead) {
                section.figure(figure);
            }
        }
    }
    section
}
