//! Lines side by side in words: settled figures with their differences from one of them, money, and the inputs in which they differ.

use dragback_scenario::{Scenario, get};
use dragback_study::compare::{
    Compared, Differing, Inputs, Paid, RECOVERED, differing_inputs, figures, paid,
};
use dragback_study::money::Plan;
use dragback_study::verdict::capitalised;
use dragback_study::{Answers, Counted};
use dragback_units::constants::{SECONDS_PER_DAY, kg_per_day};
use dragback_units::{Dim, Style, System, percent_of_whole};

use crate::document::{group_of, input_names};
use crate::number::{
    NO_NUMBER, amount, joined, price, shown, strength, three, whole, whole_moved, years,
};

/// A line beside others.
pub struct Column<'a> {
    /// What it is called.
    pub name: &'a str,
    /// The line itself.
    pub line: &'a Scenario,
    /// Its inputs, listed.
    pub inputs: &'a Inputs,
    /// The answers of its settled week, where they are known.
    pub answers: Option<&'a Answers>,
    /// What a year of it uses, where that is known.
    pub plan: Option<&'a Plan>,
}

/// What stands in one row of one line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    /// The value.
    pub value: String,
    /// How far it is from that of the reference; empty where there is nothing to tell.
    pub moved: String,
}

/// One row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// What it tells.
    pub name: String,
    /// More about it.
    pub hint: String,
    /// A cell for each line.
    pub cells: Vec<Cell>,
}

/// Everything that is set side by side.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sheet {
    /// Settled figures and money.
    pub figures: Vec<Row>,
    /// Inputs that differ, by people's words; the hint is the path.
    pub inputs: Vec<Row>,
}

/// Units and words in which a sheet is told.
#[derive(Clone, Copy, PartialEq)]
struct Told {
    system: System,
    counted: Counted,
}

/// A difference smaller than this share of what it is between is none.
const DUST: f64 = 1.0e-4;

impl Sheet {
    /// Sets lines side by side as seen from one loop; differences are from the line at `from`.
    #[must_use]
    pub fn of(
        columns: &[Column<'_>],
        from: usize,
        loop_key: &str,
        (system, counted): (System, Counted),
    ) -> Self {
        let told = Told { system, counted };
        let mut rows = figure_rows(columns, from, loop_key, told);
        rows.extend(money_rows(columns, from));
        Self {
            figures: rows,
            inputs: input_rows(columns, loop_key, system),
        }
    }
}

/// The settled figures of the loop, as data, with a value for each line; those of lines without answers are none.
#[must_use]
pub fn settled(columns: &[Column<'_>], loop_key: &str) -> Vec<Compared> {
    let known: Vec<&Answers> = columns.iter().filter_map(|c| c.answers).collect();
    let is_single = known.iter().all(|a| a.loops.len() == 1);
    let rows = figures(&known).into_iter();
    let own = rows.filter(|row| is_single || row.line == loop_key);
    let spread = own.map(|row| {
        let mut values = row.values.iter();
        let value = |c: &Column<'_>| c.answers.and_then(|_| *values.next()?);
        Compared {
            values: columns.iter().map(value).collect(),
            ..row
        }
    });
    spread.collect()
}

/// Inputs that differ.
#[must_use]
pub fn inputs(columns: &[Column<'_>]) -> Vec<Differing> {
    let lines: Vec<&Inputs> = columns.iter().map(|c| c.inputs).collect();
    differing_inputs(&lines)
}

/// For each line whether it pays against the one at `from`.
#[must_use]
pub fn pays(columns: &[Column<'_>], from: usize) -> Vec<Option<Paid>> {
    let plans: Vec<Option<&Plan>> = columns.iter().map(|c| c.plan).collect();
    paid(&plans, from)
}

/// What a line costs to run for a year, with its currency.
#[must_use]
pub fn cost(column: &Column<'_>) -> Option<(f64, String)> {
    let costs = column.plan?.costs().ok()?;
    let prices = column.line.prices.as_ref()?;
    let is_told = !costs.lines.is_empty();
    is_told.then(|| (costs.per_year, prices.currency.clone().unwrap_or_default()))
}

fn figure_rows(columns: &[Column<'_>], from: usize, loop_key: &str, told: Told) -> Vec<Row> {
    let salt = columns.iter().find_map(|c| Some(told.lead(c, loop_key)?.1));
    let rows = settled(columns, loop_key).into_iter().map(|row| {
        let is_strength = row.dim == Dim::Concentration;
        let factor = |i: usize| {
            let lead = columns.get(i).and_then(|c| told.lead(c, loop_key));
            lead.filter(|_| is_strength)
                .map_or(1.0, |(factor, _)| factor)
        };
        let value = |i: usize| Some(factor(i) * (*row.values.get(i)?)?);
        let was = value(from);
        let cell = |i: usize| match value(i) {
            None => Cell {
                value: NO_NUMBER.to_owned(),
                moved: String::new(),
            },
            Some(now) => Cell {
                value: told.value(&row, now),
                moved: was
                    .filter(|_| i != from)
                    .map_or_else(String::new, |was| told.moved(&row, now, was)),
            },
        };
        let salt = salt.as_ref().filter(|s| is_strength && !s.is_empty());
        let as_salt = salt.map_or_else(String::new, |s| format!(" {s}"));
        Row {
            name: format!("{}{as_salt}", capitalised(row.name)),
            hint: "Of the settled week in the mean air of the year.".to_owned(),
            cells: (0..columns.len()).map(cell).collect(),
        }
    });
    rows.collect()
}

fn money_rows(columns: &[Column<'_>], from: usize) -> Vec<Row> {
    let costs: Vec<Option<(f64, String)>> = columns.iter().map(cost).collect();
    let mut rows = Vec::new();
    if costs.iter().any(Option::is_some) {
        let was = costs.get(from).cloned().flatten();
        let cell = |(i, cost): (usize, &Option<(f64, String)>)| match cost {
            None => Cell {
                value: NO_NUMBER.to_owned(),
                moved: String::new(),
            },
            Some((now, currency)) => {
                // Amounts in two currencies have no difference.
                let was = was.as_ref().filter(|(_, own)| i != from && own == currency);
                let moved = was.map_or_else(String::new, |(was, _)| match whole_moved(now - was) {
                    none if none == "0" => SAME.to_owned(),
                    moved => joined((moved, currency)),
                });
                Cell {
                    value: joined((whole(*now), currency)),
                    moved,
                }
            }
        };
        rows.push(Row {
            name: "Running cost a year".to_owned(),
            hint: "A year of such weeks at the line's own prices, without equipment.".to_owned(),
            cells: costs.iter().enumerate().map(cell).collect(),
        });
    }
    let pays = pays(columns, from);
    if pays.iter().any(Option::is_some) {
        let cell = |paid: &Option<Paid>| {
            let words = |p: &Paid| p.words(&years);
            let is_warned = paid.as_ref().is_some_and(|p| !p.warnings.is_empty());
            let moved = if is_warned { "with reserve" } else { "" };
            Cell {
                value: paid.as_ref().map_or_else(|| NO_NUMBER.to_owned(), words),
                moved: moved.to_owned(),
            }
        };
        let told = |(column, paid): (&Column<'_>, &Option<Paid>)| {
            let warnings = paid.as_ref()?.warnings.join(" ");
            (!warnings.is_empty()).then(|| format!("\n{}: {warnings}", column.name))
        };
        let reserves: String = columns.iter().zip(&pays).filter_map(told).collect();
        rows.push(Row {
            name: "Payback".to_owned(),
            hint: format!(
                "Years until what is laid out for a change from the line that all are compared with has come back, without interest, at the prices of \
                 the line that is changed to.{reserves}"
            ),
            cells: pays.iter().map(cell).collect(),
        });
    }
    rows
}

/// What stands where there is no difference.
const SAME: &str = "the same";

impl Told {
    /// Factor and words by which strengths of a line's lead solute are told.
    fn lead(self, column: &Column<'_>, loop_key: &str) -> Option<(f64, String)> {
        let answers = column.answers?;
        let own = answers.loops.iter().find(|l| l.name == loop_key);
        let line = own.or_else(|| answers.loops.first())?;
        let told = self
            .counted
            .told(&answers.solutes, &line.final_rinse.species);
        Some((told.strength(1.0), told.as_salt().unwrap_or_default()))
    }

    fn value(self, row: &Compared, si: f64) -> String {
        match row.dim {
            Dim::MassFlow => {
                let (number, unit) = amount(kg_per_day(si), self.system);
                format!("{} a day", joined((number, unit)))
            }
            Dim::Time => format!("{} days", three(si / SECONDS_PER_DAY, 0)),
            Dim::Fraction if row.name == RECOVERED => joined((percent_of_whole(si), "%")),
            Dim::Fraction => joined((three(100.0 * si, 1), "%")),
            Dim::Concentration => joined(strength(si, self.system)),
            dim => joined(shown(dim, si, self.system, row.style)),
        }
    }

    /// How far a value is from another one.
    fn moved(self, row: &Compared, now: f64, was: f64) -> String {
        let away = now - was;
        let is_dust = away.abs() <= DUST * now.abs().max(was.abs());
        if is_dust && self.value(row, now) == self.value(row, was) {
            return SAME.to_owned();
        }
        let told = match row.dim {
            Dim::Temperature => joined(shown(
                Dim::TemperatureDifference,
                away.abs(),
                self.system,
                Style::Default,
            )),
            // A share of a whole is told with all its digits, a difference of two of them with three.
            Dim::Fraction => joined((three(100.0 * away.abs(), 4), "%")),
            _ => self.value(row, away.abs()),
        };
        let sign = if away > 0.0 { "+" } else { "−" };
        format!("{sign}{told}")
    }
}

fn input_rows(columns: &[Column<'_>], loop_key: &str, system: System) -> Vec<Row> {
    let rows = inputs(columns).into_iter().map(|input| {
        let (name, _) = input_names(&input.path, loop_key, group_of(&input.path, loop_key));
        let cell = |(column, text): (&Column<'_>, &Option<String>)| Cell {
            value: input_words(column.line, &input.path, text.as_deref(), system),
            moved: String::new(),
        };
        Row {
            name,
            cells: columns.iter().zip(&input.values).map(cell).collect(),
            hint: input.path,
        }
    });
    rows.collect()
}

/// An input in words: a quantity in the units shown, anything else as it is written.
fn input_words(line: &Scenario, path: &str, text: Option<&str>, system: System) -> String {
    let text = match text {
        None => return "not there".to_owned(),
        Some("") => return "there".to_owned(),
        Some(text) => text,
    };
    let parameter = get(line, path).ok();
    let found = parameter.and_then(|p| Some((p.dim()?, p.si()?)));
    let Some((dim, si)) = found else {
        return text.to_owned();
    };
    let style = match dim {
        Dim::Count => return format!("{si:.0}"),
        Dim::Concentration if si < 1.0 => Style::Rinse,
        Dim::Concentration => Style::Bath,
        Dim::VolumeFlow if path.ends_with("air_flow") => Style::Air,
        _ => Style::Default,
    };
    if dim.is_money() {
        let prices = line.prices.as_ref();
        let currency = prices.and_then(|p| p.currency.as_deref());
        return price(dim, si, currency.unwrap_or_default(), system);
    }
    joined(shown(dim, si, system, style))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use dragback_plant::TowerCache;
    use dragback_scenario::{load, set};
    use dragback_study::{AirChoice, Case, Depth, Hours, settled_answers};

    use super::*;

    struct Found(Scenario, Answers, Plan, Inputs);

    fn found(text: &str, changes: &[(&str, &str)]) -> Found {
        let mut line = load(text).0.unwrap();
        for (path, value) in changes {
            set(&mut line, path, value).unwrap();
        }
        let line = Arc::new(line);
        let case = Case::new(Arc::clone(&line), &TowerCache::default()).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let week = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let plan = Plan::of(&case.plant, Arc::clone(&line), &week.week);
        let inputs = Inputs::of(&line);
        Found(Scenario::clone(&line), week.answers, plan, inputs)
    }

    fn sheet(all: &[&Found], from: usize, system: System) -> Sheet {
        let names = ["a", "b", "c"];
        let columns: Vec<Column<'_>> = all
            .iter()
            .zip(names)
            .map(|(f, name)| Column {
                name,
                line: &f.0,
                inputs: &f.3,
                answers: Some(&f.1),
                plan: Some(&f.2),
            })
            .collect();
        Sheet::of(&columns, from, "loop", (system, Counted::Metal))
    }

    fn cells<'s>(rows: &'s [Row], name: &str) -> &'s [Cell] {
        let row = rows.iter().find(|r| r.name == name);
        &row.unwrap_or_else(|| panic!("{name} in {rows:?}")).cells
    }

    const DEMO: &str = include_str!("../../../../scenarios/demo.ron");
    const FLOW: &str = "loop.sections.rinses.flow";
    const POINT: &str = "loop.holding_tank.set_point";

    #[test]
    fn differences_are_from_the_line_that_is_chosen() {
        let (a, b) = (
            found(DEMO, &[]),
            found(DEMO, &[(FLOW, "60 L/h"), (POINT, "56 °C")]),
        );
        let first = sheet(&[&a, &b], 0, System::Metric);
        let film = |f: &Found| f.1.loops[0].final_rinse.film_mg_per_l;
        let row = cells(&first.figures, "Film on the work");
        assert_eq!(row[0].value, format!("{}\u{a0}mg/L", three(film(&a), 4)));
        assert_eq!(row[0].moved, "");
        let away = three(film(&b) - film(&a), 4);
        assert_eq!(row[1].moved, format!("+{away}\u{a0}mg/L"));
        let second = sheet(&[&a, &b], 1, System::Metric);
        let row = cells(&second.figures, "Film on the work");
        assert_eq!(
            (row[0].moved.as_str(), row[1].moved.as_str()),
            (&*format!("−{away}\u{a0}mg/L"), "")
        );
        let cost = cells(&first.figures, "Running cost a year");
        assert!(
            cost[1].moved.ends_with("EUR") && cost[0].moved.is_empty(),
            "{cost:?}"
        );
        assert_eq!(cells(&first.figures, "Payback")[0].value, NO_NUMBER);
    }

    #[test]
    fn inputs_are_told_in_the_units_shown_with_their_path_as_hint() {
        let (a, b) = (
            found(DEMO, &[]),
            found(DEMO, &[(FLOW, "60 L/h"), (POINT, "56 °C")]),
        );
        let us = sheet(&[&a, &b], 0, System::Us);
        let row = us.inputs.iter().find(|r| r.hint == FLOW).unwrap();
        assert_eq!(row.name, "Rinses: rinses, flow");
        assert_eq!(row.cells[0].value, "25.1\u{a0}gal/h");
        assert_eq!(us.inputs.len(), 2, "{:?}", us.inputs);
        // 58 °C less 56 °C is 2 K, 3.6 °F (NIST SP 811, B.8).
        let metric = sheet(&[&a, &b], 0, System::Metric);
        let kelvin = &cells(&metric.figures, "Evaporation temperature")[1].moved;
        let fahrenheit = &cells(&us.figures, "Evaporation temperature")[1].moved;
        assert!(
            kelvin.ends_with('K') && fahrenheit.ends_with("°F"),
            "{kelvin} {fahrenheit}"
        );
        let number = |told: &str| -> f64 {
            let digits = told.split('\u{a0}').next().unwrap();
            digits.replace('−', "-").parse().unwrap()
        };
        let ratio = number(fahrenheit) / number(kelvin);
        assert!((ratio - 1.8).abs() < 0.02, "{kelvin} {fahrenheit}");
    }

    fn column<'a>(found: &'a Found, name: &'a str, is_known: bool) -> Column<'a> {
        let Found(line, answers, plan, inputs) = found;
        Column {
            name,
            line,
            inputs,
            answers: is_known.then_some(answers),
            plan: is_known.then_some(plan),
        }
    }

    #[test]
    fn a_line_without_answers_has_none_and_a_part_that_is_missing_is_said() {
        let (a, b) = (
            found(DEMO, &[]),
            found(include_str!("../../../../scenarios/demo-before.ron"), &[]),
        );
        let columns = [
            column(&a, "a", true),
            column(&a, "b", false),
            column(&b, "c", true),
        ];
        let sheet = Sheet::of(&columns, 0, "loop", (System::Metric, Counted::Metal));
        let row = cells(&sheet.figures, "Rinse feed");
        assert_eq!(row[1].value, NO_NUMBER);
        assert!(
            row[2].value.ends_with("L/h") && row[2].moved.starts_with('+'),
            "{row:?}"
        );
        let tower = sheet
            .inputs
            .iter()
            .find(|r| r.hint == "loop.towers")
            .unwrap();
        assert_eq!(tower.cells[0].value, "there");
        assert_eq!(tower.cells[2].value, "not there");
    }
}
