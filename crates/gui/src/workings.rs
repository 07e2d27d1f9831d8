//! Where a key figure comes from: its formula in words, and the same with the present numbers.

use dragback_study::{LedgerAnswer, LoopAnswer, ToldAs, Way};
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System};

use crate::number::{amount_unit, joined, shown, significant, strength, three};
use crate::results::Figures;
use crate::words::solute;

/// Lines of the ledger on which a solute leaves that is not lost: what plates out is the product, what is purified is taken on purpose.
const NOT_LOST: [&str; 2] = ["deposited", "purified"];
/// Less than this share of the whole is not worth a term.
const DUST: f64 = 1e-6;

/// How the terms make the figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Rule {
    Sum,
    Difference,
    Quotient,
}

impl Rule {
    const fn sign(self) -> &'static str {
        match self {
            Self::Sum => " + ",
            Self::Difference => " − ",
            Self::Quotient => " ÷ ",
        }
    }
}

/// One term of a formula.
#[derive(Clone, Debug, PartialEq)]
struct Term {
    name: String,
    value: f64,
    text: String,
}

/// The formula of a figure with the present numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Workings {
    rule: Rule,
    terms: Vec<Term>,
    /// The figure as it is told.
    told: String,
    /// What goes with it.
    note: String,
}

impl Workings {
    /// The formula in words.
    #[must_use]
    pub fn words(&self) -> String {
        let names: Vec<&str> = self.terms.iter().map(|t| t.name.as_str()).collect();
        names.join(self.rule.sign())
    }

    /// The same with numbers, and what they make.
    #[must_use]
    pub fn numbers(&self) -> String {
        let texts: Vec<&str> = self.terms.iter().map(|t| t.text.as_str()).collect();
        format!("{} = {}", texts.join(self.rule.sign()), self.told)
    }

    /// What is to be said beside it.
    #[must_use]
    pub fn note(&self) -> &str {
        &self.note
    }

    /// What the terms make, in the unit of the terms.
    #[must_use]
    pub fn value(&self) -> f64 {
        let mut values = self.terms.iter().map(|t| t.value);
        let first = values.next().unwrap_or(f64::NAN);
        values.fold(first, |made, value| match self.rule {
            Rule::Sum => made + value,
            Rule::Difference => made - value,
            Rule::Quotient => made / value,
        })
    }
}

/// Masses of the lead solute that went out in the settled week by each line of the ledger, kg; `None` where several loops share its lines.
fn out_kg(figures: &Figures, line: &LoopAnswer) -> Option<Vec<(String, f64)>> {
    if figures.answers.loops.len() != 1 {
        return None;
    }
    match figures.answers.ledger.get(&line.final_rinse.species)? {
        LedgerAnswer::Mass { lines, .. } => {
            let out = lines.iter().filter(|l| l.side == Way::Out);
            Some(out.map(|l| (l.name.clone(), l.kg)).collect())
        }
        LedgerAnswer::Energy { .. } => None,
    }
}

/// What is lost a day: the sum of the ways on which it goes, kg.
#[must_use]
pub fn lost(figures: &Figures, line: &LoopAnswer, system: System) -> Option<Workings> {
    let all = out_kg(figures, line)?;
    let days = figures.answers.span_h / 24.0;
    let whole = line.lost_kg_per_day.get(&line.final_rinse.species)?;
    let unit = amount_unit(*whole, system);
    let told = |kg: f64| significant(unit.from_si(kg), 3);
    let lost = all.iter().filter(|l| !NOT_LOST.contains(&l.0.as_str()));
    let lost = lost.filter(|l| l.1 / days > DUST * whole);
    let terms: Vec<Term> = lost
        .map(|(name, kg)| Term {
            name: name.clone(),
            value: kg / days,
            text: told(kg / days),
        })
        .collect();
    (!terms.is_empty()).then(|| Workings {
        rule: Rule::Sum,
        terms,
        told: format!("{} {} a day", told(*whole), unit.symbol),
        note: format!(
            "{} that went out in the settled week by each line of the ledger, over {} days. What plates out or is purified is not lost.",
            solute(&line.final_rinse.species),
            three(days, 0)
        ),
    })
}

/// The strength of the film that leaves: what it carries over how much of it there is, mg/L.
#[must_use]
pub fn film(
    figures: &Figures,
    line: &LoopAnswer,
    lead: &ToldAs<'_>,
    system: System,
) -> Option<Workings> {
    let all = out_kg(figures, line)?;
    let (_, kg) = all.into_iter().find(|l| l.0 == "on work")?;
    let streams = figures.answers.streams.iter();
    let l_per_h: f64 = streams
        .filter(|s| s.to == "on work")
        .map(|s| s.mean_flow_l_per_h)
        .sum();
    let film = line.final_rinse.film_mg_per_l;
    let mg_per_h = 1e6 * kg / figures.answers.span_h;
    let flow = shown(
        Dim::VolumeFlow,
        m3_per_s_from_l_per_h(l_per_h),
        system,
        Style::Default,
    );
    (l_per_h > 0.0 && film.is_finite()).then(|| Workings {
        rule: Rule::Quotient,
        terms: vec![
            Term {
                name: format!(
                    "{} that leaves on the work",
                    solute(&line.final_rinse.species)
                ),
                value: mg_per_h,
                text: format!("{}\u{a0}mg/h", significant(lead.strength(mg_per_h), 3)),
            },
            Term {
                name: "film that leaves".to_owned(),
                value: l_per_h,
                text: joined(flow),
            },
        ],
        told: format!("{}\u{a0}mg/L", significant(lead.strength(film), 3)),
        note: format!(
            "Means of the settled week. The limit is {}.",
            line.final_rinse.limit_mg_per_l.map_or_else(
                || "not given".to_owned(),
                |l| format!("{}\u{a0}mg/L", three(lead.strength(l), 1))
            )
        ),
    })
}

/// The dilution: bath over film.
#[must_use]
pub fn dilution(line: &LoopAnswer, system: System) -> Option<Workings> {
    let (ratio, film) = (
        line.final_rinse.dilution_ratio,
        line.final_rinse.film_mg_per_l,
    );
    (ratio.is_finite() && film > 0.0).then(|| Workings {
        rule: Rule::Quotient,
        terms: vec![
            Term {
                name: "bath while work runs".to_owned(),
                value: ratio * film,
                text: joined(strength(1e-3 * ratio * film, system)),
            },
            Term {
                name: "film that leaves".to_owned(),
                value: film,
                text: format!("{}\u{a0}mg/L", significant(film, 3)),
            },
        ],
        told: three(ratio, 2),
        note: "The strip at the foot of the window shows what the rinses alone would make of it."
            .to_owned(),
    })
}

/// The closure margin: what could evaporate less what runs in, L/h.
#[must_use]
pub fn margin(line: &LoopAnswer, system: System) -> Option<Workings> {
    let margin = line.closure_margin_l_per_h.as_ref()?;
    let flow = |l_per_h: f64| {
        let si = m3_per_s_from_l_per_h(l_per_h);
        joined(shown(Dim::VolumeFlow, si, system, Style::Default))
    };
    margin.week.is_finite().then(|| Workings {
        rule: Rule::Difference,
        terms: vec![
            Term {
                name: "what could evaporate".to_owned(),
                value: margin.could_evaporate,
                text: flow(margin.could_evaporate),
            },
            Term {
                name: "what runs in".to_owned(),
                value: margin.runs_in,
                text: flow(margin.runs_in),
            },
        ],
        told: flow(margin.week).replace('-', "−"),
        note: format!(
            "Towers and surfaces, were the holding tank never short; rinse feed ({}), sprays, refills, water of additions and arriving film, less the film that leaves. Towers and surfaces now evaporate {}.",
            flow(line.rinse_feed_l_per_h),
            flow(line.evaporation_l_per_h + line.surface_evaporation_l_per_h)
        ),
    })
}

/// The duty of heaters of a rated power: what they give while the evaporator works over what they could.
#[must_use]
pub fn duty(line: &LoopAnswer, rated_w: f64, system: System) -> Option<Workings> {
    let power = |w: f64| joined(shown(Dim::Power, w, system, Style::Default));
    let given_w = line.heater_duty * rated_w;
    (line.heater_duty.is_finite() && rated_w > 0.0).then(|| Workings {
        rule: Rule::Quotient,
        terms: vec![
            Term {
                name: if line.evaporation_temperature_c.is_some() {
                    "given while the evaporator works".to_owned()
                } else {
                    "given".to_owned()
                },
                value: given_w,
                text: power(given_w),
            },
            Term {
                name: "power installed".to_owned(),
                value: rated_w,
                text: power(rated_w),
            },
        ],
        told: format!("{}\u{a0}%", three(100.0 * line.heater_duty, 1)),
        note: format!(
            "The mean of all hours is {}.",
            power(1e3 * line.heater_mean_kw)
        ),
    })
}
