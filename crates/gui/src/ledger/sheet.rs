//! The ledger of one quantity, ready to draw and to write down.

use std::collections::BTreeMap;

use dragback_study::{LedgerAnswer, Way};
use dragback_units::constants::JOULES_PER_KWH;
use dragback_units::{Dim, Style, System};

use crate::number::{amount, amount_unit, significant, three};
use crate::words::solute;

/// One line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Name of the way.
    pub name: String,
    /// How much, kg or kWh, above zero.
    pub amount: f64,
    /// Strength of what took this way, kg of the lead solute for each m³ of water; `None` where no water took it, or where it is what is held.
    pub strength: Option<f64>,
    /// Whether it is what the vessels took up or gave up.
    pub is_held: bool,
}

/// One quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its key: `water`, `energy`, or the solute.
    pub key: String,
    /// What came in, and what the vessels gave up.
    pub left: Vec<Line>,
    /// What went out, and what the vessels took up.
    pub right: Vec<Line>,
    /// Sum of what came in.
    pub came: f64,
    /// Sum of what went out.
    pub went: f64,
    /// Change of what the vessels hold.
    pub held: f64,
    /// Closure error, relative.
    pub closure_error: f64,
}

/// Name of a quantity, for the beginning of a sentence.
#[must_use]
pub fn quantity_name(key: &str) -> String {
    match key {
        "water" => "Water".to_owned(),
        "energy" => "Energy".to_owned(),
        _ => solute(key),
    }
}

/// Name, side and amount of each line.
fn lines_of(entry: &LedgerAnswer) -> Vec<(&str, Way, f64)> {
    match entry {
        LedgerAnswer::Mass { lines, .. } => {
            let each = lines.iter().map(|l| (l.name.as_str(), l.side, l.kg));
            each.collect()
        }
        LedgerAnswer::Energy { lines, .. } => {
            let each = lines.iter().map(|l| (l.name.as_str(), l.side, l.kwh));
            each.collect()
        }
    }
}

impl Sheet {
    /// The sheet of one quantity; `lead` is the solute by which strength is told.
    #[must_use]
    pub fn of(entries: &BTreeMap<String, LedgerAnswer>, key: &str, lead: &str) -> Option<Self> {
        let entry = entries.get(key)?;
        let (came, went, held, closure_error) = match entry {
            LedgerAnswer::Mass {
                in_kg,
                out_kg,
                held_change_kg,
                closure_error,
                ..
            } => (*in_kg, *out_kg, *held_change_kg, *closure_error),
            LedgerAnswer::Energy {
                in_kwh,
                out_kwh,
                held_change_kwh,
                closure_error,
                ..
            } => (*in_kwh, *out_kwh, *held_change_kwh, *closure_error),
        };
        let amount_by = |key: &str, name: &str, side: Way| {
            let lines = entries.get(key).map(lines_of).unwrap_or_default();
            let same = lines.iter().find(|l| l.0 == name && l.1 == side);
            same.map_or(0.0, |l| l.2)
        };
        let side = |wanted: Way, held: f64, held_name: &str| {
            let each = lines_of(entry).into_iter().filter(|l| l.1 == wanted);
            let mut lines: Vec<Line> = each
                .filter(|l| l.2 > 0.0)
                .map(|(name, side, amount)| {
                    let water = amount_by("water", name, side);
                    // A shade needs no density: a cubic metre is taken as 1000 kg of water.
                    let strength =
                        (water > 0.0).then(|| 1000.0 * amount_by(lead, name, side) / water);
                    Line {
                        name: name.to_owned(),
                        amount,
                        strength,
                        is_held: false,
                    }
                })
                .collect();
            if held > 0.0 {
                lines.push(Line {
                    name: held_name.to_owned(),
                    amount: held,
                    strength: None,
                    is_held: true,
                });
            }
            lines
        };
        Some(Self {
            key: key.to_owned(),
            left: side(Way::In, -held, "from what is held"),
            right: side(Way::Out, held, "more is held"),
            came,
            went,
            held,
            closure_error,
        })
    }

    /// Whether amounts are kWh.
    #[must_use]
    pub fn is_energy(&self) -> bool {
        self.key == "energy"
    }

    /// An amount with three digits and its unit.
    #[must_use]
    pub fn told(&self, value: f64, system: System) -> (String, &'static str) {
        if self.is_energy() {
            let unit = Dim::Energy.display_unit(system, Style::Default);
            (three(unit.from_si(value * JOULES_PER_KWH), 2), unit.symbol)
        } else {
            amount(value, system)
        }
    }

    /// An amount that is round in the unit in which it is told.
    #[must_use]
    pub fn rounded(&self, value: f64, system: System, round: impl Fn(f64) -> f64) -> f64 {
        if self.is_energy() {
            return round(value);
        }
        let unit = amount_unit(value, system);
        unit.to_si(round(unit.from_si(value)))
    }

    /// An amount with its sign, for a change.
    #[must_use]
    pub fn told_signed(&self, value: f64, system: System) -> (String, &'static str) {
        let (number, unit) = self.told(value, system);
        let sign = if value > 0.0 && number.contains(|c: char| matches!(c, '1'..='9')) {
            "+"
        } else {
            ""
        };
        (format!("{sign}{number}"), unit)
    }

    /// The closure error in words.
    #[must_use]
    pub fn error_words(&self) -> String {
        if self.closure_error == 0.0 {
            "0".to_owned()
        } else {
            significant(self.closure_error, 2)
        }
    }

    /// Whether the books close as they must.
    #[must_use]
    pub fn closes(&self) -> bool {
        self.closure_error <= dragback_plant::ledger::CLOSURE_BOUND
    }
}

#[cfg(test)]
mod tests {
    use dragback_study::MassLine;

    use super::*;

    fn mass(lines: &[(&str, Way, f64)], held: f64) -> LedgerAnswer {
        let sum = |side: Way| lines.iter().filter(|l| l.1 == side).map(|l| l.2).sum();
        let line = |l: &(&str, Way, f64)| MassLine {
            name: l.0.to_owned(),
            side: l.1,
            kg: l.2,
        };
        LedgerAnswer::Mass {
            in_kg: sum(Way::In),
            out_kg: sum(Way::Out),
            held_change_kg: held,
            closure_error: 2.5e-14,
            lines: lines.iter().map(line).collect(),
        }
    }

    fn books() -> BTreeMap<String, LedgerAnswer> {
        let water = [("feed", Way::In, 100.0), ("to treatment", Way::Out, 90.0)];
        let nickel = [
            ("salts", Way::In, 1.0),
            ("to treatment", Way::Out, 0.9),
            ("on the work", Way::Out, 0.3),
        ];
        [
            ("water".to_owned(), mass(&water, 10.0)),
            ("Ni".to_owned(), mass(&nickel, -0.2)),
        ]
        .into()
    }

    #[test]
    fn what_is_held_stands_on_the_side_that_it_balances() {
        for key in ["water", "Ni"] {
            let sheet = Sheet::of(&books(), key, "Ni").unwrap();
            let sum = |side: &[Line]| side.iter().map(|l| l.amount).sum::<f64>();
            assert!((sum(&sheet.left) - sum(&sheet.right)).abs() < 1e-12);
            assert_eq!(
                sheet.left.iter().any(|l| l.is_held),
                key == "Ni",
                "{sheet:?}"
            );
        }
        assert!(Sheet::of(&books(), "Cu", "Ni").is_none());
    }

    #[test]
    fn strength_is_solute_over_water_of_the_same_way() {
        let sheet = Sheet::of(&books(), "water", "Ni").unwrap();
        let of = |line: &Line| line.strength;
        assert_eq!(of(&sheet.left[0]), Some(0.0));
        assert!((of(&sheet.right[0]).unwrap() - 10.0).abs() < 1e-12);
        // Salts come without water, and so does what is held.
        let sheet = Sheet::of(&books(), "Ni", "Ni").unwrap();
        assert_eq!(of(&sheet.left[0]), None);
        assert_eq!(of(&sheet.left[1]), None);
    }

    #[test]
    fn amounts_are_told_with_their_units() {
        let sheet = Sheet::of(&books(), "water", "Ni").unwrap();
        assert_eq!(sheet.told(12.34, System::Metric), ("12.3".to_owned(), "kg"));
        assert_eq!(sheet.told_signed(10.0, System::Metric).0, "+10.0");
        assert_eq!(sheet.told_signed(0.0, System::Metric).0, "0");
        assert_eq!(
            sheet.told_signed(-0.5, System::Metric),
            ("−500".to_owned(), "g")
        );
        assert_eq!(sheet.error_words(), "2.5e−14");
        assert!(sheet.closes());
    }
}
