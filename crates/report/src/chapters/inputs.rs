//! What the report rests on.

use crate::document::Section;
use crate::findings::Findings;
use crate::show::Show;
use crate::told;

/// Every input that the scenario gives.
pub(crate) fn inputs(findings: &Findings, show: Show) -> Section {
    let mut section = Section::appendix("Inputs");
    section.text("Every input that the scenario gives, with its unit. \"Measured\", \"assumed\" and \"typical\" say where a value comes from, where the scenario says so; what has no word there was entered without one. Inputs that are left out have their usual values, listed by the program.");
    let scenario = &findings.line.case.scenario;
    for of in told::inputs(scenario, show) {
        section.table(&of.title(scenario), of.table);
    }
    section
}
