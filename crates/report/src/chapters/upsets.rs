//! Alarms, and what a day's standstill of each device does.

use crate::document::Section;
use crate::findings::{COURSE_D, Findings};
use crate::show::Show;
use crate::told;

/// Alarms and upsets.
pub(crate) fn upsets(findings: &Findings, show: Show) -> Section {
    let mut section = Section::new("Alarms and upset days");
    let of_week = told::alarms(&findings.line.settled.answers, show);
    if of_week.is_empty() {
        section.text("In the settled week no alarm is raised.");
    } else {
        section.text("Alarms of the settled week, counted from its Monday:");
        section.facts(of_week);
    }
    let of_course = told::alarms(&findings.line.course.answers(), show);
    if of_course.is_empty() {
        section.text(format!(
            "In the first {COURSE_D:.0} days from the start none is raised either."
        ));
    } else {
        section.text(format!(
            "Alarms of the first {COURSE_D:.0} days from the start:"
        ));
        section.facts(of_course);
    }
    let upsets = &findings.line.upsets;
    if upsets.is_empty() {
        section.text("What a day's standstill does is not told: no week of this line repeats, or nothing is in use that could stand still.");
        return section;
    }
    section.text("Each of these stands still for a day in turn, from Tuesday 10:00 of a settled week, every switch located; nobody intervenes, and it works again on Wednesday. What is told are the days until Monday, against the same days without it.");
    section.table("A day without", told::upsets(upsets, show));
    section
}
