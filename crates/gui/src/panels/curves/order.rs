//! The order of plots on the sheet.

use dragback_study::curves::Kind;

/// All plots with one of them in the place of another, which moves on.
pub(super) fn carried_to(mut all: Vec<Kind>, carried: Kind, onto: Kind) -> Vec<Kind> {
    let place = |all: &[Kind], kind: Kind| all.iter().position(|k| *k == kind);
    if let (Some(from), Some(to)) = (place(&all, carried), place(&all, onto)) {
        let kind = all.remove(from);
        all.insert(to, kind);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plot_that_is_carried_takes_the_place_of_another() {
        let [a, b, c] = [Kind::Concentration, Kind::Level, Kind::Temperature];
        assert_eq!(carried_to(vec![a, b, c], a, c), [b, c, a]);
        assert_eq!(carried_to(vec![a, b, c], c, a), [c, a, b]);
        assert_eq!(carried_to(vec![a, b, c], b, b), [a, b, c]);
    }
}
