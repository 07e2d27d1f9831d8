//! Hue, dash and width of curves.

use dragback_study::curves::Kind;
use egui::Color32;
use egui_plot::LineStyle;

use crate::theme::{CURVE_WIDTH, Palette};

/// Dash of a curve by its number, so that hue is never the only carrier.
#[must_use]
pub fn dash(index: usize) -> LineStyle {
    match index % 8 {
        0 => LineStyle::Solid,
        1 => LineStyle::Dashed { length: 12.0 },
        2 => LineStyle::Dashed { length: 5.0 },
        3 => LineStyle::Dashed { length: 20.0 },
        4 => LineStyle::Dotted { spacing: 4.0 },
        5 => LineStyle::Dashed { length: 8.0 },
        6 => LineStyle::Dashed { length: 3.0 },
        _ => LineStyle::Dotted { spacing: 8.0 },
    }
}

/// Width of a curve; for dots it is their radius.
pub(super) const fn width_of(style: LineStyle) -> f32 {
    match style {
        LineStyle::Dotted { .. } => 0.65 * CURVE_WIDTH,
        _ => CURVE_WIDTH,
    }
}

/// Hue and dash of one curve. Tanks keep theirs across all plots; flows have others.
#[must_use]
pub fn pen(kind: Kind, index: usize, palette: &Palette) -> (Color32, LineStyle) {
    let is_of_tanks = matches!(
        kind,
        Kind::Concentration | Kind::Level | Kind::Temperature | Kind::Strength
    );
    if !is_of_tanks {
        let hues = [palette.series[6], palette.series[7], palette.accent];
        let dashes = [
            LineStyle::Solid,
            LineStyle::Dashed { length: 6.0 },
            LineStyle::Dashed { length: 14.0 },
        ];
        return (hues[index % 3], dashes[index % 3]);
    }
    (palette.series[index % palette.series.len()], dash(index))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_tell_neighbours_apart() {
        for i in 0..7 {
            for j in i + 1..8 {
                assert_ne!(dash(i), dash(j), "{i} and {j}");
            }
        }
    }
}
