//! Everything of a report as data.

use dragback_study::Answers;
use dragback_study::curves::{Kind, Series, curves};
use dragback_study::money::Costs;
use dragback_study::upsets::Upset;
use serde::Serialize;

use crate::document::{Block, Document};
use crate::facts::Facts;
use crate::findings::{ChangeFindings, Findings, MoneyFindings, SizeFindings};
use crate::table::Table;

/// Everything that a report tells, as data: full numbers where there are some, and the tables as they are set.
#[derive(Serialize)]
pub struct Data<'a> {
    title: &'a str,
    title_block: &'a Facts,
    against: Option<&'a str>,
    answers: &'a Answers,
    upsets: &'a [Upset],
    sizes: &'a [SizeFindings],
    /// What the line costs to run, where nothing is set against it.
    costs: Option<&'a Costs>,
    change: Option<&'a ChangeFindings>,
    /// Why there is no answer in money.
    no_money: Option<&'a str>,
    course: Vec<CurvesOf>,
    tables: Vec<TableOf<'a>>,
}

/// The curves of one kind of a loop, from the start.
#[derive(Serialize)]
struct CurvesOf {
    #[serde(rename = "loop")]
    line: String,
    plot: &'static str,
    curves: Vec<Curve>,
}

#[derive(Serialize)]
struct Curve {
    name: String,
    /// Unit of the values.
    unit: &'static str,
    /// Hours from the start, and the value there; `null` where it cannot be trusted.
    points: Vec<[f64; 2]>,
}

#[derive(Serialize)]
struct TableOf<'a> {
    section: &'a str,
    caption: &'a str,
    heads: &'a [String],
    rows: &'a [Vec<String>],
}

/// All kinds of curves.
const KINDS: [Kind; 9] = [
    Kind::Concentration,
    Kind::Level,
    Kind::Temperature,
    Kind::Evaporation,
    Kind::Strength,
    Kind::Heat,
    Kind::Loss,
    Kind::Impurity,
    Kind::Treatment,
];

impl<'a> Data<'a> {
    /// Of findings and the document that was made of them.
    #[must_use]
    pub fn of(findings: &'a Findings, document: &'a Document) -> Self {
        let (mut costs, mut change, mut no_money) = (None, None, None);
        match &findings.money {
            MoneyFindings::None(why) => no_money = Some(why.as_str()),
            MoneyFindings::Alone(found) => costs = Some(found),
            MoneyFindings::Change(found) => change = Some(&**found),
        }
        Self {
            title: &document.title,
            title_block: &document.title_block,
            against: findings.against.as_deref(),
            answers: &findings.line.settled.answers,
            upsets: &findings.line.upsets,
            sizes: &findings.sizes,
            costs,
            change,
            no_money,
            course: course(findings),
            tables: tables(document),
        }
    }
}

fn course(findings: &Findings) -> Vec<CurvesOf> {
    let span = &findings.line.course;
    let loops = &span.plant.network().loops;
    let each = loops.iter().flat_map(|roles| {
        KINDS.iter().map(|&kind| CurvesOf {
            line: roles.name.clone(),
            plot: dragback_drawing::plot::kind_name(kind),
            curves: curves(&span.plant, &span.trace, roles, kind)
                .into_iter()
                .map(curve)
                .collect(),
        })
    });
    each.filter(|c| !c.curves.is_empty()).collect()
}

fn curve(series: Series) -> Curve {
    Curve {
        unit: series.dim.si_unit(),
        name: series.name,
        points: series.points,
    }
}

fn tables(document: &Document) -> Vec<TableOf<'_>> {
    let mut found = Vec::new();
    for section in &document.sections {
        for block in &section.blocks {
            if let Block::Table { caption, table } = block {
                let Table { heads, rows, .. } = table;
                found.push(TableOf {
                    section: &section.title,
                    caption,
                    heads,
                    rows,
                });
            }
        }
    }
    found
}
