//! Where a key figure comes from: its formula in words, and the same with the present numbers.

use dragback_study::{LoopAnswer, ToldAs};
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System, kelvin_from_celsius};

use crate::number::{amount_unit, joined, shown, significant, strength, three};
use crate::words::solute;

/// Less than this share of the whole is not worth a term.
const DUST: f64 = 1e-6;

/// A figure that has a formula.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Formula {
    /// What is lost a day.
    Lost,
    /// The film that leaves the last rinse.
    FinalRinse,
    /// The bath over that film.
    Dilution,
    /// Room for more rinse water.
    Margin,
    /// Temperature of the tank that feeds the towers.
    Temperature,
    /// Days until strengths stay near where they settle.
    DaysToSettle,
    /// Share of the heaters' power, W.
    Duty {
        /// Power installed.
        rated_w: f64,
    },
}

impl Formula {
    /// The formula with the numbers of a loop's answer; `None` where the figure has no number.
    #[must_use]
    pub fn of(self, line: &LoopAnswer, lead: &ToldAs<'_>, system: System) -> Option<Workings> {
        match self {
            Self::Lost => lost(line, system),
            Self::FinalRinse => film(line, lead),
            Self::Dilution => dilution(line, lead, system),
            Self::Margin => margin(line, system),
            Self::Temperature => temperature(line, system),
            Self::DaysToSettle => days_to_settle(line),
            Self::Duty { rated_w } => duty(line, rated_w, system),
        }
    }
}

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
        match texts[..] {
            [_] => self.told.clone(),
            _ => format!("{} = {}", texts.join(self.rule.sign()), self.told),
        }
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

fn term(name: impl Into<String>, value: f64, text: String) -> Term {
    Term {
        name: name.into(),
        value,
        text,
    }
}

fn flow(l_per_h: f64, system: System) -> String {
    let si = m3_per_s_from_l_per_h(l_per_h);
    joined(shown(Dim::VolumeFlow, si, system, Style::Default)).replace('-', "−")
}

/// The sum of the ways on which it goes, kg a day.
fn lost(line: &LoopAnswer, system: System) -> Option<Workings> {
    let species = &line.final_rinse.species;
    let whole = line.lead_lost_kg_per_day()?;
    let unit = amount_unit(whole, system);
    let told = |kg: f64| significant(unit.from_si(kg), 3);
    let goes = line.lost_by_way.iter();
    let goes = goes.filter(|l| l.kg_per_day > DUST * whole);
    let terms: Vec<Term> = goes
        .map(|l| term(l.way, l.kg_per_day, told(l.kg_per_day)))
        .collect();
    (!terms.is_empty()).then(|| Workings {
        rule: Rule::Sum,
        terms,
        told: format!("{} {} a day", told(whole), unit.symbol),
        note: format!(
            "{} of the settled week by the ways on which it goes for good. What plates out or is purified is not lost.",
            solute(species)
        ),
    })
}

/// What the film carries over how much of it there is, mg/L.
fn film(line: &LoopAnswer, lead: &ToldAs<'_>) -> Option<Workings> {
    let rinse = &line.final_rinse;
    let told = |mg: f64| significant(lead.strength(mg), 3);
    let limit = rinse.limit_mg_per_l.map_or_else(String::new, |l| {
        format!(" The limit is {}\u{a0}mg/L.", told(l))
    });
    rinse.film_mg_per_l.is_finite().then(|| Workings {
        rule: Rule::Quotient,
        terms: vec![
            term(
                format!("{} that leaves on the work", solute(&rinse.species)),
                rinse.carried_mg_per_h,
                format!("{}\u{a0}mg/h", told(rinse.carried_mg_per_h)),
            ),
            // A rinse is told in mg/L with either system: only litres make the division come out.
            term(
                "film that leaves",
                rinse.film_l_per_h,
                flow(rinse.film_l_per_h, System::Metric),
            ),
        ],
        told: format!("{}\u{a0}mg/L", told(rinse.film_mg_per_l)),
        note: format!("Means of the settled week.{limit}"),
    })
}

/// Bath over film, mg/L each.
fn dilution(line: &LoopAnswer, lead: &ToldAs<'_>, system: System) -> Option<Workings> {
    let rinse = &line.final_rinse;
    let (bath, film) = (rinse.bath_mg_per_l, rinse.film_mg_per_l);
    rinse.dilution_ratio.is_finite().then(|| Workings {
        rule: Rule::Quotient,
        terms: vec![
            term(
                "bath while work runs",
                bath,
                joined(strength(1e-3 * lead.strength(bath), system)),
            ),
            term(
                "film that leaves",
                film,
                format!("{}\u{a0}mg/L", significant(lead.strength(film), 3)),
            ),
        ],
        told: three(rinse.dilution_ratio, 2),
        note: "The strip at the foot of the window shows what the rinses alone would make of it."
            .to_owned(),
    })
}

/// The fewest decimals, one to four, with which a difference comes out as it is told, for somebody who works it out by hand.
fn decimals_of((a, b): (f64, f64), difference: f64) -> usize {
    let comes_out = |decimals: &usize| {
        let scale = f64::from(10_u32.pow(u32::try_from(*decimals).unwrap_or(0)));
        let round = |x: f64| (x * scale).round();
        round(a) - round(b) == round(difference)
    };
    (1..=4).find(comes_out).unwrap_or(4)
}

/// What could evaporate less what runs in, L/h.
fn margin(line: &LoopAnswer, system: System) -> Option<Workings> {
    let margin = line.closure_margin_l_per_h.as_ref()?;
    let unit = Dim::VolumeFlow.display_unit(system, Style::Default);
    let shown = |l_per_h: f64| unit.from_si(m3_per_s_from_l_per_h(l_per_h));
    let (could, runs_in) = (shown(margin.could_evaporate), shown(margin.runs_in));
    let decimals = decimals_of((could, runs_in), shown(margin.week));
    let exact = |l_per_h: f64| {
        let number = format!("{:.decimals$}", shown(l_per_h)).replace('-', "−");
        joined((number, unit.symbol))
    };
    let flow = |l_per_h: f64| flow(l_per_h, system);
    margin.week.is_finite().then(|| Workings {
        rule: Rule::Difference,
        terms: vec![
            term(
                "what could evaporate",
                margin.could_evaporate,
                exact(margin.could_evaporate),
            ),
            term("what runs in", margin.runs_in, exact(margin.runs_in)),
        ],
        told: exact(margin.week),
        note: format!(
            "Towers and surfaces, were the holding tank never short; rinse feed ({}), sprays, refills, water of additions and arriving film, less the film that leaves. Towers and surfaces now evaporate {}.",
            flow(line.rinse_feed_l_per_h),
            flow(line.evaporation_l_per_h + line.surface_evaporation_l_per_h)
        ),
    })
}

/// What the thermostat keeps less what is missing, °C or °F.
fn temperature(line: &LoopAnswer, system: System) -> Option<Workings> {
    let (kept_c, held_c) = (line.thermostat_c?, line.evaporation_temperature_c?);
    let unit = Dim::Temperature.display_unit(system, Style::Default);
    let shown = |c: f64| unit.from_si(kelvin_from_celsius(c));
    let (kept, held) = (shown(kept_c), shown(held_c));
    let missing = Dim::TemperatureDifference.display_unit(system, Style::Default);
    let decimals = decimals_of((kept, kept - held), held);
    let told = |x: f64| {
        // Not "−0.0".
        let text = format!("{x:.decimals$}");
        let is_nothing = text
            .trim_start_matches('-')
            .chars()
            .all(|c| matches!(c, '0' | '.'));
        if is_nothing {
            text.trim_start_matches('-').to_owned()
        } else {
            text.replace('-', "−")
        }
    };
    Some(Workings {
        rule: Rule::Difference,
        terms: vec![
            term(
                "what the thermostat keeps",
                kept,
                joined((told(kept), unit.symbol)),
            ),
            term(
                "what is missing",
                kept - held,
                joined((told(kept - held), missing.symbol)),
            ),
        ],
        told: joined((told(held), unit.symbol)),
        note: "Mean of the settled week while the evaporator works. Something is missing where the heaters cannot follow; below nothing, other heat warms the tank."
            .to_owned(),
    })
}

/// The last day on which a strength is far from where it settles.
fn days_to_settle(line: &LoopAnswer) -> Option<Workings> {
    let days = line.days_to_settle?;
    Some(Workings {
        rule: Rule::Sum,
        terms: vec![term(
            "the last day on which a strength is more than 5 % off where it settles",
            days,
            three(days, 0),
        )],
        told: format!("{} days", three(days, 0)),
        note: format!(
            "{} in bath, holding tank, collection tank and last rinse, each as a running mean over four weeks, from the start of the scenario.",
            solute(&line.final_rinse.species)
        ),
    })
}

/// What heaters give over what they could, W.
fn duty(line: &LoopAnswer, rated_w: f64, system: System) -> Option<Workings> {
    let power = |w: f64| joined(shown(Dim::Power, w, system, Style::Default));
    let given_w = 1e3 * line.heater_at_work_kw;
    let given = match line.evaporation_temperature_c {
        Some(_) => "given while the evaporator works",
        None => "given",
    };
    (line.heater_duty.is_finite() && rated_w > 0.0).then(|| Workings {
        rule: Rule::Quotient,
        terms: vec![
            term(given, given_w, power(given_w)),
            term("power installed", rated_w, power(rated_w)),
        ],
        told: format!("{}\u{a0}%", three(100.0 * line.heater_duty, 1)),
        note: format!(
            "The mean of all hours is {}.",
            power(1e3 * line.heater_mean_kw)
        ),
    })
}
