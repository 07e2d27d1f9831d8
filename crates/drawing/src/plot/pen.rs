//! Hue, dash and width of curves.

use dragback_plant::Plant;
use dragback_plant::network::LoopRoles;
use dragback_study::curves::{Kind, Series};
use ecolor::Color32;

use crate::palette::Palette;

/// Width of curves, points.
pub const CURVE_WIDTH: f32 = 1.75;

/// How a curve is dashed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dash {
    /// Not at all.
    Solid,
    /// Dashes of a length, points, and gaps about half as long.
    Dashed {
        /// Length of a dash.
        length: f32,
    },
    /// Dots at a distance, points.
    Dotted {
        /// From dot to dot.
        spacing: f32,
    },
}

/// Dash of a curve by its number, so that hue is never the only carrier.
#[must_use]
pub fn dash(index: usize) -> Dash {
    match index % 8 {
        0 => Dash::Solid,
        1 => Dash::Dashed { length: 12.0 },
        2 => Dash::Dashed { length: 5.0 },
        3 => Dash::Dashed { length: 20.0 },
        4 => Dash::Dotted { spacing: 4.0 },
        5 => Dash::Dashed { length: 8.0 },
        6 => Dash::Dashed { length: 3.0 },
        _ => Dash::Dotted { spacing: 8.0 },
    }
}

/// Width of a curve; for dots it is their radius.
#[must_use]
pub const fn width_of(style: Dash) -> f32 {
    match style {
        Dash::Dotted { .. } => 0.65 * CURVE_WIDTH,
        _ => CURVE_WIDTH,
    }
}

/// Pens of rinses in the order in which work meets them; those of bath, collection and holding tank are taken.
const RINSES: [usize; 5] = [1, 2, 3, 4, 7];
/// Pens of the bath, the collection tank and the holding tank.
const BATH: usize = 0;
const COLLECTION: usize = 5;
const HOLDING: usize = 6;

/// What a tank is, for its pen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TankKind {
    /// The process bath.
    Bath,
    /// A rinse: how many the work has met before it.
    Rinse(usize),
    /// The collection tank.
    Collection,
    /// The heated holding tank.
    Holding,
}

/// The pen of a tank. It follows from what the tank is, so that it stays the same from scenario to scenario.
#[must_use]
pub const fn tank_pen(kind: TankKind) -> usize {
    match kind {
        TankKind::Bath => BATH,
        TankKind::Collection => COLLECTION,
        TankKind::Holding => HOLDING,
        TankKind::Rinse(n) => RINSES[n % RINSES.len()] + 8 * (n / RINSES.len()),
    }
}

/// Names of the tanks of a loop and their pens.
#[must_use]
pub fn tank_pens(plant: &Plant, roles: &LoopRoles) -> Vec<(String, usize)> {
    let mut rinses = 0;
    let each = roles.vessels.iter().map(|&v| {
        let kind = if v == roles.bath {
            TankKind::Bath
        } else if Some(v) == roles.collection {
            TankKind::Collection
        } else if Some(v) == roles.holding {
            TankKind::Holding
        } else {
            rinses += 1;
            TankKind::Rinse(rinses - 1)
        };
        (
            plant.network().vessels[v.index()].name.clone(),
            tank_pen(kind),
        )
    });
    each.collect()
}

/// Solutes that are often watched, each with a pen of its own.
const WATCHED: [&str; 8] = ["Fe", "Na", "Zn", "Cu", "Ca", "Mg", "Cl", "SO4"];

/// The pens of solutes: each its own, whatever others stand beside it, unless a rarer one has taken it already.
#[must_use]
pub fn solute_pens<'n>(names: impl Iterator<Item = &'n str>) -> Vec<usize> {
    let mut taken: Vec<usize> = Vec::new();
    for name in names {
        let known = WATCHED.iter().position(|w| *w == name);
        let other = || name.bytes().map(usize::from).sum::<usize>() % WATCHED.len();
        let mut pen = known.unwrap_or_else(other);
        while taken.contains(&pen) {
            pen += 1;
        }
        taken.push(pen);
    }
    taken
}

/// The pen of each curve of a plot.
#[must_use]
pub fn pens(kind: Kind, series: &[Series], tanks: &[(String, usize)]) -> Vec<usize> {
    let names = || series.iter().map(|s| s.name.as_str());
    if kind == Kind::Impurity {
        return solute_pens(names());
    }
    let of = |(i, name): (usize, &str)| {
        let tank = tanks.iter().find(|(tank, _)| tank == name);
        let is_second = kind == Kind::Heat && name == "bath heating";
        tank.map_or(i.max(usize::from(is_second)), |(_, pen)| *pen)
    };
    names().enumerate().map(of).collect()
}

/// Hue and dash of one curve. Tanks keep theirs across all plots; flows have others.
#[must_use]
pub fn pen(kind: Kind, index: usize, palette: &Palette) -> (Color32, Dash) {
    let is_of_tanks = matches!(
        kind,
        Kind::Concentration | Kind::Level | Kind::Temperature | Kind::Strength
    );
    if !is_of_tanks && kind != Kind::Impurity {
        let hues = [palette.series[6], palette.series[7], palette.accent];
        let dashes = [
            Dash::Solid,
            Dash::Dashed { length: 6.0 },
            Dash::Dashed { length: 14.0 },
        ];
        return (hues[index % 3], dashes[index % 3]);
    }
    // Beyond eight the hues come again with other dashes.
    let again = index / palette.series.len();
    let hue = palette.series[index % palette.series.len()];
    (hue, dash(index + again))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tank_keeps_its_pen_whatever_stands_beside_it() {
        let all = [TankKind::Bath, TankKind::Collection, TankKind::Holding];
        let all = all.into_iter().chain((0..12).map(TankKind::Rinse));
        let pens: Vec<usize> = all.map(tank_pen).collect();
        let palette = &crate::palette::LIGHT;
        for (i, a) in pens.iter().enumerate() {
            for b in &pens[i + 1..] {
                assert_ne!(
                    pen(Kind::Level, *a, palette),
                    pen(Kind::Level, *b, palette),
                    "{a} and {b}"
                );
            }
        }
        assert_eq!(solute_pens(["Na"].into_iter()), vec![1]);
        assert_eq!(solute_pens(["Fe", "Na"].into_iter()), vec![0, 1]);
    }

    #[test]
    fn dashes_tell_neighbours_apart() {
        for i in 0..7 {
            for j in i + 1..8 {
                assert_ne!(dash(i), dash(j), "{i} and {j}");
            }
        }
    }
}
