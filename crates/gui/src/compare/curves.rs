//! Curves of a line as day means: what ninety days look like from afar, and little to keep for a dozen lines.

use dragback_study::curves::{Kind, Series, film_on_work};

use crate::plots::{KINDS, daily};
use crate::results::CurveSet;

/// A curve that lines can be compared by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Which {
    /// The plot that it belongs to.
    pub kind: Kind,
    /// Its name there.
    pub name: String,
}

/// Name of the curve of the film, which stands in no plot.
const FILM: &str = "film on the work";

impl Default for Which {
    fn default() -> Self {
        Self {
            kind: Kind::Concentration,
            name: FILM.to_owned(),
        }
    }
}

impl Which {
    /// What it is called in a list.
    #[must_use]
    pub fn words(&self) -> String {
        if *self == Self::default() {
            "Film on the work".to_owned()
        } else {
            format!("{}: {}", crate::plots::kind_name(self.kind), self.name)
        }
    }
}

/// The curves of a line, each with its hours and day means, SI.
#[derive(Clone, Debug, Default)]
pub struct Overlaid(Vec<(Which, Vec<[f64; 2]>)>);

impl Overlaid {
    /// All curves of a run.
    #[must_use]
    pub fn of(set: &CurveSet) -> Self {
        let each = names(set).into_iter();
        Self(
            each.map(|which| (which.clone(), one(set, &which).unwrap_or_default()))
                .collect(),
        )
    }

    /// One of them.
    #[must_use]
    pub fn get(&self, which: &Which) -> Option<&[[f64; 2]]> {
        let found = self.0.iter().find(|(own, _)| own == which);
        found.map(|(_, points)| points.as_slice())
    }
}

/// The curves that a run has.
#[must_use]
pub fn names(set: &CurveSet) -> Vec<Which> {
    let film = set.run.as_ref().map(|_| Which::default());
    let plots = KINDS.iter().zip(&set.plots);
    let rest = plots.flat_map(|(kind, plot)| {
        plot.series.iter().map(|series| Which {
            kind: *kind,
            name: series.name.clone(),
        })
    });
    film.into_iter().chain(rest).collect()
}

/// Hours and day means of one curve of a run, SI; none where it has no such curve.
#[must_use]
pub fn one(set: &CurveSet, which: &Which) -> Option<Vec<[f64; 2]>> {
    if *which == Which::default() {
        let run = set.run.as_ref()?;
        let plant = &run.case.plant;
        let roles = plant.network().loops.get(run.loop_index)?;
        return Some(means(&film_on_work(plant, &run.trace, roles), false));
    }
    let place = KINDS.iter().position(|kind| *kind == which.kind)?;
    let series = &set.plots.get(place)?.series;
    let found = series.iter().find(|s| s.name == which.name)?;
    let is_flow = matches!(which.kind, Kind::Evaporation | Kind::Heat | Kind::Treatment);
    Some(means(found, !is_flow))
}

/// Day means at the middles of their days; a state begins with its first value. Days of which nothing is known are passed over.
fn means(series: &Series, is_state: bool) -> Vec<[f64; 2]> {
    let first = series.points.first().copied();
    let first = first.filter(|p| is_state && p[1].is_finite());
    let days = daily(&series.points).into_iter();
    let known = days.map(|day| [day.middle_h, day.mean]);
    let known = known.filter(|p| p[1].is_finite());
    first.into_iter().chain(known).collect()
}

#[cfg(test)]
mod tests {
    use dragback_units::Dim;

    use super::*;

    #[test]
    fn a_curve_from_afar_has_a_point_a_day_and_no_gaps() {
        let mut points: Vec<[f64; 2]> = (0..=240).map(|h| [f64::from(h), f64::from(h)]).collect();
        for point in &mut points[97..=144] {
            point[1] = f64::NAN;
        }
        let series = Series {
            name: "x".to_owned(),
            dim: Dim::Length,
            points,
        };
        let state = means(&series, true);
        // Ten days, two of them unknown, and the first value.
        assert_eq!(state.len(), 9);
        assert_eq!((state[0], state[1][0]), ([0.0, 0.0], 12.0));
        assert_eq!(means(&series, false).len(), 8);
        assert!(state.iter().all(|p| p[1].is_finite()));
    }
}
