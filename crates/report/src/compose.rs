//! From findings to a report.

use dragback_scenario::TitleBlock;

use crate::chapters;
use crate::document::Document;
use crate::facts::Facts;
use crate::findings::Findings;
use crate::show::Show;

/// Said at the foot of each page.
const FOOT: &str = "Estimates from balances and published correlations, not a design. Local codes and licensed practice decide.";

/// The report of what was found, in the units of `show`. The same findings give the same report.
#[must_use]
pub fn compose(findings: &Findings, show: Show) -> Document {
    let scenario = &findings.line.case.scenario;
    let sections = [
        Some(chapters::answer(findings, show)),
        Some(chapters::line(findings, show)),
        Some(chapters::settled(findings, show)),
        Some(chapters::course(findings, show)),
        chapters::sizes(findings, show),
        Some(chapters::money(findings, show)),
        Some(chapters::outlook(findings, show)),
        Some(chapters::upsets(findings, show)),
        Some(chapters::ledger(findings, show)),
        Some(chapters::cautions()),
        Some(chapters::inputs(findings, show)),
        Some(chapters::method()),
        Some(chapters::limits(findings)),
    ];
    Document {
        title: scenario.title.clone(),
        title_block: title_block(scenario.title_block.as_ref()),
        sections: sections.into_iter().flatten().collect(),
        foot: FOOT.to_owned(),
    }
}

/// What people entered for the head of the report; a dash where they did not.
fn title_block(block: Option<&TitleBlock>) -> Facts {
    let mut facts = Facts::default();
    let mut push = |label: &str, of: fn(&TitleBlock) -> Option<&String>| {
        let given = block.and_then(of).map(|text| text.trim());
        let given = given.filter(|text| !text.is_empty());
        facts.push(label, given.unwrap_or(crate::NO_NUMBER));
    };
    push("Shop", |b| b.shop.as_ref());
    push("Line", |b| b.line.as_ref());
    push("Prepared by", |b| b.author.as_ref());
    push("Date", |b| b.date.as_ref());
    push("Revision", |b| b.revision.as_ref());
    facts
}
