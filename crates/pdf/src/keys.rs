//! Key figures: as large as they have room beside each other.

use dragback_report::Facts;

use crate::letters::{Letters, breakable, lines_in, width_em};
use crate::sheet::{Key, Keys, SIZES};

/// A key figure is this large where it has room, and no smaller than that where it has not, points.
const LARGEST: f32 = 22.0;
const SMALLEST: f32 = 14.0;
/// Its unit is smaller by this factor.
const UNIT: f32 = 0.6;
/// Space between key figures, points.
const GAP: f32 = 16.0;
/// Key figures in a row.
const IN_A_ROW: usize = 4;
/// One of more lines may be broken.
const WHOLE_LINES: usize = 12;

/// Finds room for key figures in a width of so many points.
pub(crate) fn keys(facts: &Facts, room: f32, letters: &mut Letters) -> Keys {
    let mut keys: Vec<Key> = (facts.0.iter())
        .map(|fact| key(&fact.label, &fact.value, letters))
        .collect();
    let widest = keys.iter().map(key_em).fold(1.0, f32::max);
    let each = |columns: usize| (room + GAP) / columns as f32 - GAP;
    let most = keys.len().clamp(1, IN_A_ROW);
    let fits = |columns: &usize| widest * SMALLEST <= each(*columns);
    let columns = (1..=most).rev().find(fits).unwrap_or(1);
    // Rows of about the same length.
    let rows = keys.len().div_ceil(columns).max(1);
    let columns = keys.len().div_ceil(rows).max(1);
    let room = each(columns);
    let size = (room / widest).floor().clamp(SMALLEST, LARGEST);
    for key in &mut keys {
        key.number = breakable(&key.number, room / size);
        key.unit = breakable(&key.unit, room / size / UNIT);
        key.label = breakable(&key.label, room / SIZES.label);
        let lines = lines_in(&key.number, room / size, true)
            + lines_in(&key.label, room / SIZES.label, false);
        key.is_whole = lines <= WHOLE_LINES;
    }
    Keys {
        columns,
        size,
        unit_size: size * UNIT,
        gap: GAP,
        keys,
    }
}

fn key(label: &str, value: &str, letters: &mut Letters) -> Key {
    let value = letters.known(value);
    let (number, unit) = parted(&value);
    Key {
        label: letters.known(label),
        number: number.to_owned(),
        unit: unit.to_owned(),
        is_whole: true,
    }
}

/// Width of a key figure with its unit, ems of the figure.
fn key_em(key: &Key) -> f32 {
    let unit = if key.unit.is_empty() {
        0.0
    } else {
        width_em(&format!(" {}", key.unit), false)
    };
    width_em(&key.number, true) + UNIT * unit
}

/// A value parted into its number and its unit; words are not parted.
fn parted(value: &str) -> (&str, &str) {
    let is_number = |text: &str| {
        text.chars().any(|c| c.is_ascii_digit())
            && (text.chars()).all(|c| c.is_ascii_digit() || "+-−–.,<>≤≥≈~".contains(c))
    };
    match value.split_once([' ', '\u{a0}']) {
        Some((number, unit)) if is_number(number) => (number, unit.trim()),
        _ => (value, ""),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn laid(values: &[&str], room: f32) -> Keys {
        let mut facts = Facts::default();
        for value in values {
            facts.push("label", *value);
        }
        keys(&facts, room, &mut Letters::default())
    }

    #[test]
    fn numbers_part_from_units() {
        assert_eq!(parted("1,284 L/d"), ("1,284", "L/d"));
        assert_eq!(parted("−0.5\u{a0}°C"), ("−0.5", "°C"));
        assert_eq!(parted("92.3 %"), ("92.3", "%"));
        assert_eq!(parted("closes in August"), ("closes in August", ""));
        assert_eq!(parted("–"), ("–", ""));
        assert_eq!(parted("2 of 3 towers"), ("2", "of 3 towers"));
    }

    #[test]
    fn rows_are_about_as_long() {
        for (count, columns) in [
            (1, 1),
            (2, 2),
            (3, 3),
            (4, 4),
            (5, 3),
            (6, 3),
            (7, 4),
            (9, 3),
        ] {
            assert_eq!(
                laid(&vec!["118 g/d"; count], 480.0).columns,
                columns,
                "{count}"
            );
        }
    }

    #[test]
    fn long_figures_get_fewer_columns_and_smaller_type() {
        let short = laid(&["118 g/d"; 4], 480.0);
        assert_eq!((short.columns, short.size), (4, LARGEST));
        let long = laid(&["1,234,567.8 lb/yr"; 4], 480.0);
        assert!(long.columns < 4 || long.size < LARGEST);
        for keys in [short, long] {
            let room = (480.0 + GAP) / keys.columns as f32 - GAP;
            for key in &keys.keys {
                assert!(key_em(key) * keys.size <= room);
            }
        }
    }
}
