//! Where the line settles.

use crate::document::Section;
use crate::findings::Findings;
use crate::show::Show;
use crate::told;

/// The figures of the settled week.
pub(crate) fn settled(findings: &Findings, show: Show) -> Section {
    let answers = &findings.line.settled.answers;
    let scenario = &findings.line.case.scenario;
    let mut section = Section::new("Where it settles");
    section.text(told::headline(answers));
    for line in &answers.loops {
        section.heading(&told::loop_name(scenario, &line.name));
        section.facts(told::loop_figures(answers, line, show));
        section.table("Per day", told::per_day(line, show));
    }
    section.heading("The tanks");
    let tanks = told::tanks(&answers.vessels, answers, show);
    section.table("Tanks, means of the week", tanks);
    for (i, table) in told::strengths(answers, usize::MAX, show)
        .into_iter()
        .enumerate()
    {
        let caption = if i == 0 {
            "Strengths, means of the week"
        } else {
            "Strengths, continued"
        };
        section.table(caption, table);
    }
    for why in told::not_shown(&answers.vessels) {
        section.note(why);
    }
    let notes = [told::growing(answers), told::counted_as(answers, show)];
    for note in notes.into_iter().flatten() {
        section.note(note);
    }
    section
}
