//! Numbers with their units, as they stand in texts, and whether two of them can be the same.

use dragback_units::{Dim, Style, System, Unit};

impl Amount {
    /// Whether it is in a unit of the other system, one that is never shown with this one.
    pub fn is_foreign_to(&self, system: System) -> bool {
        let is_foreign = |(dim, unit): &(Dim, &Unit)| {
            let styles = [Style::Bath, Style::Rinse, Style::Air, Style::Default];
            let shown = styles.map(|style| dim.display_unit(system, style).symbol);
            unit.system.is_some_and(|own| own != system) && !shown.contains(&unit.symbol)
        };
        self.units.iter().all(is_foreign)
    }
}

/// The units that a word may stand for, each with its dimension.
type Units = Vec<(Dim, &'static Unit)>;

/// A number with its unit, as it stands in a text.
#[derive(Debug, Clone)]
pub struct Amount {
    pub text: String,
    value: f64,
    /// Half of the last digit shown.
    half: f64,
    units: Units,
}

/// Every dimension that knows a unit, with that unit. Differences of temperatures are told in K or °F, never in °C.
fn units_called(word: &str) -> Units {
    // No inches are shown: "rinses 1 in Levels".
    if word.trim().is_empty() || word == "in" {
        return Vec::new();
    }
    let all = Dim::ALL.iter();
    let each = all.filter_map(|&d| d.find_unit(word).map(|u| (d, u)));
    let is_told =
        |(dim, unit): &(Dim, &Unit)| *dim != Dim::TemperatureDifference || unit.symbol != "°C";
    each.filter(is_told).collect()
}

/// The units of a difference of two amounts that have these units.
fn of_difference(units: &Units) -> Units {
    let each = units.iter().filter_map(|(dim, unit)| match dim {
        Dim::Temperature => {
            let dim = Dim::TemperatureDifference;
            dim.find_unit(unit.symbol).map(|u| (dim, u))
        }
        _ => Some((*dim, *unit)),
    });
    each.collect()
}

/// One number, or both ends of a range.
fn numbers(word: &str) -> Vec<&str> {
    let is_number = |text: &&str| {
        let has_digit = text.contains(|c: char| c.is_ascii_digit());
        has_digit && text.trim_start_matches('+').parse::<f64>().is_ok()
    };
    let parts: Vec<&str> = word.split('–').collect();
    if parts.len() <= 2 && parts.iter().all(is_number) {
        parts
    } else {
        Vec::new()
    }
}

/// Splits a text into what frames its amounts, and the amounts. Units in the frame, as in the titles of plots, are all the same to it.
pub fn amounts(text: &str) -> (String, Vec<Amount>) {
    let text = text
        .replace(" a day", "/d")
        .replace(" a week", "/week")
        .replace("EUR/", "per ")
        .replace("1000\u{a0}gal", "kgal")
        .replace("1000 gal", "kgal")
        .replace('−', "-");
    let mut frame = String::new();
    let mut found: Vec<Amount> = Vec::new();
    // What the text is about: its first number. What it was is told without the unit.
    let mut first: Option<Units> = None;
    let words: Vec<&str> = text.split_whitespace().collect();
    let trimmed = |at: usize| {
        let word = words.get(at).copied().unwrap_or_default();
        word.trim_end_matches([',', ';', '.', ':', ')'])
    };
    let mut at = 0;
    while at < words.len() {
        let is_moved = words[at].starts_with("(+") || words[at].starts_with("(-");
        let told = words[at].trim_start_matches('(');
        let mut all = numbers(told);
        // Some units are two words.
        let two = format!("{} {}", trimmed(at + 1), trimmed(at + 2));
        let (mut units, mut taken) = (units_called(&two), 3);
        if units.is_empty() || trimmed(at + 2).is_empty() {
            (units, taken) = (units_called(trimmed(at + 1)), 2);
        }
        if units.is_empty() || all.is_empty() {
            taken = 1;
            all = numbers(trimmed(at).trim_start_matches('('));
            let was = at.checked_sub(1).map(|before| words[before]);
            units = match (all.as_slice(), found.last()) {
                // A number with a sign but no unit is in that of the one before.
                ([_], Some(before)) if is_moved => of_difference(&before.units),
                ([one], Some(before)) if one.starts_with(['+', '-']) => before.units.clone(),
                ([_], _) if was.is_some_and(|was| ["was", "fed", "out"].contains(&was)) => {
                    first.clone().unwrap_or_default()
                }
                // A sum has its unit at its end.
                ([_], _) if text.starts_with("= ") => units_called(trimmed(words.len() - 1)),
                _ => Vec::new(),
            };
        }
        if !all.is_empty() && first.is_none() {
            first = Some(units.clone());
        }
        if units.is_empty() || all.is_empty() {
            let is_unit = frame.ends_with(',') && !units_called(trimmed(at)).is_empty();
            frame.push(' ');
            frame.push_str(if is_unit { "§" } else { words[at] });
            at += 1;
            continue;
        }
        for number in all {
            let number = number.trim_start_matches('+');
            found.push(Amount {
                text: words[at..at + taken].join(" "),
                value: number.parse().unwrap(),
                half: half_of_last_digit(number),
                units: units.clone(),
            });
            frame.push_str(" #");
        }
        at += taken;
    }
    (frame, found)
}

fn half_of_last_digit(number: &str) -> f64 {
    if let Some((_, decimals)) = number.split_once('.') {
        return 0.5 * 10.0_f64.powi(-i32::try_from(decimals.len()).unwrap());
    }
    // Three digits are shown: zeros at the end of a longer number may stand for anything.
    let digits = i32::try_from(number.trim_start_matches('-').len()).unwrap();
    0.5 * 10.0_f64.powi((digits - 3).max(0))
}

/// Whether two amounts can be the same within the digits shown, in some dimension that has both units.
pub fn agree(a: &Amount, b: &Amount) -> bool {
    a.units.iter().any(|(dim, unit)| {
        b.units
            .iter()
            .filter(|(other, _)| other == dim)
            .any(|(_, of_b)| {
                let interval = |x: &Amount, u: &Unit| {
                    let ends = [
                        u.to_si(x.value - 1.01 * x.half),
                        u.to_si(x.value + 1.01 * x.half),
                    ];
                    (ends[0].min(ends[1]), ends[0].max(ends[1]))
                };
                let (a, b) = (interval(a, unit), interval(b, of_b));
                a.0 <= b.1 && b.0 <= a.1
            })
    })
}

#[test]
fn amounts_are_the_same_only_within_the_digits_shown() {
    let one = |text: &str| amounts(text).1.remove(0);
    // 1 US gallon is 3.785 412 L; 0 °C is 32 °F (NIST SP 811, tables B.8 and B.11).
    assert!(agree(&one("feed 95.0 L/h"), &one("feed 25.1 gal/h")));
    assert!(!agree(&one("feed 95.0 L/h"), &one("feed 25.2 gal/h")));
    assert!(!agree(&one("feed 95.0 L/h"), &one("feed 25.1 gal")));
    let second = |text: &str| amounts(text).1.remove(1);
    let (a, b) = ("+10.2 L/h in shift −38.6", "+2.69 gal/h in shift −10.2");
    assert!(agree(&second(a), &second(b)) && !agree(&second(a), &one(b)));
    assert!(agree(&one("holds 58.0 °C,"), &one("holds 136 °F,")));
    assert!(!agree(&one("holds 58.0 °C,"), &one("holds 138 °F,")));
    let is_foreign = |text: &str| one(text).is_foreign_to(System::Us);
    assert!(is_foreign("feed 95.0 L/h") && is_foreign("holds 58.0 °C"));
    assert!(!is_foreign("leaves 9.3 mg/L") && !is_foreign("takes 12 kW"));
    // 104 °F is as much above 0 °F as 58 °C is above 0 °C.
    assert!(!agree(&one("holds 58.0 °C,"), &one("holds 104 °F,")));
}

#[test]
fn what_an_amount_was_how_far_it_moved_and_ranges_are_read_too() {
    let same = |a: &str, b: &str| -> Vec<bool> {
        let ((frame_a, a), (frame_b, b)) = (amounts(a), amounts(b));
        assert_eq!((frame_a, a.len()), (frame_b, b.len()));
        a.iter().zip(&b).map(|(a, b)| agree(a, b)).collect()
    };
    let (a, b) = (
        "Tank: 62.0 °C, full was 60.0 (+2.0)",
        "Tank: 144 °F, full was 140 (+3.6)",
    );
    assert_eq!(same(a, b), [true; 3]);
    let b = "Tank: 144 °F, full was 60.0 (+2.0)";
    assert_eq!(same(a, b), [true, false, false]);
    let (a, b) = ("usual 60–80 °C", "usual 140–176 °F");
    assert_eq!(same(a, b), [true; 2]);
    assert_eq!(same(a, "usual 140–180 °F"), [true, false]);
    let (a, b) = (
        "= 511 + 242 = 753 mg a day",
        "= 0.018 + 0.0085 = 0.0266 oz a day",
    );
    assert_eq!(same(a, b), [true; 3]);
    let b = "= 511 + 242 = 0.0266 oz a day";
    assert_eq!(same(a, b), [false, false, true]);
    // A ratio has no unit, and what it was has none.
    let (frame, found) = amounts("Dilution: 8230, limit 37.0 mg/L was 8100 (−1.6 %)");
    assert_eq!((found.len(), frame.contains("was 8100")), (2, true));
}
