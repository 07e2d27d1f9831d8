//! The unit tables of all dimensions, built once at first use.

use std::sync::LazyLock;

use crate::dimension::Dim;
use crate::key::key_of;
use crate::tables;
use crate::unit::Unit;

struct Table {
    units: Vec<Unit>,
    /// Canonical spelling and index into `units`, sorted by spelling.
    keys: Vec<(String, usize)>,
}

static TABLES: LazyLock<Vec<Table>> =
    LazyLock::new(|| Dim::ALL.iter().map(|&dim| Table::new(dim)).collect());

impl Table {
    fn new(dim: Dim) -> Self {
        let units = tables::units_of(dim);
        let mut keys: Vec<(String, usize)> = Vec::new();
        for (index, unit) in units.iter().enumerate() {
            for spelling in std::iter::once(&unit.symbol).chain(unit.aliases) {
                keys.push((key_of(spelling), index));
            }
        }
        keys.sort();
        keys.dedup();
        Self { units, keys }
    }
}

impl Dim {
    /// All units in which this dimension may be written, the ones to suggest first at the front.
    #[must_use]
    pub fn units(self) -> &'static [Unit] {
        &TABLES[self as usize].units
    }

    /// The unit of this dimension with that spelling, if there is one.
    #[must_use]
    pub fn find_unit(self, spelling: &str) -> Option<&'static Unit> {
        // A window asks by symbol some thousand times a frame; that needs no key.
        let units = &TABLES[self as usize].units;
        let by_symbol = units.iter().find(|u| u.symbol == spelling);
        by_symbol.or_else(|| self.find_key(&key_of(spelling)))
    }

    pub(crate) fn find_key(self, key: &str) -> Option<&'static Unit> {
        let table = &TABLES[self as usize];
        let place = table
            .keys
            .binary_search_by(|(known, _)| known.as_str().cmp(key))
            .ok()?;
        table.units.get(table.keys[place].1)
    }

    /// The unit whose spelling differs from `key` only in upper and lower case.
    pub(crate) fn find_ignoring_case(self, key: &str) -> Option<&'static Unit> {
        let table = &TABLES[self as usize];
        let (_, index) = table
            .keys
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(key))?;
        table.units.get(*index)
    }

    /// The unit of this dimension with a factor of one.
    #[must_use]
    pub fn si(self) -> &'static Unit {
        // Every table has its SI unit (a test looks); the first unit is only there to avoid a panic path.
        self.find_unit(self.si_unit())
            .unwrap_or(&TABLES[self as usize].units[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_dimension_has_its_si_unit_with_factor_one() {
        for &dim in Dim::ALL {
            let unit = dim
                .find_unit(dim.si_unit())
                .unwrap_or_else(|| panic!("{dim:?} lacks {}", dim.si_unit()));
            assert_eq!((unit.factor_to_si, unit.offset), (1.0, 0.0), "{dim:?}");
            assert_eq!(dim.si(), unit);
        }
    }

    #[test]
    fn dimensions_are_listed_in_the_order_of_their_numbers() {
        for (index, &dim) in Dim::ALL.iter().enumerate() {
            assert_eq!(dim as usize, index);
        }
    }

    #[test]
    fn no_spelling_means_two_units_of_one_dimension() {
        for (dim, table) in Dim::ALL.iter().zip(TABLES.iter()) {
            for pair in table.keys.windows(2) {
                assert_ne!(pair[0].0, pair[1].0, "{dim:?}");
            }
        }
    }

    #[test]
    fn factors_are_positive_and_finite() {
        for &dim in Dim::ALL {
            for unit in dim.units() {
                assert!(
                    unit.factor_to_si.is_finite() && unit.factor_to_si > 0.0,
                    "{dim:?} {}",
                    unit.symbol
                );
            }
        }
    }
}
