//! The settled answer against one lever: what is asked, and what has been found so far.

use dragback_plant::ledger::CLOSURE_BOUND;
use dragback_scenario::Scenario;
use dragback_study::{Depth, LoopAnswer};
use dragback_units::constants::{m3_per_s_from_l_per_h, seconds_from_days};
use dragback_units::{Dim, kelvin_from_celsius};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

use crate::document::{Control, Document, Group, Lever};
use crate::margin;
use crate::number::daily_unit;
use crate::results::Asked;
use crate::widgets::Rail;

/// A figure of the settled week.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Figure {
    /// Film that leaves on the work.
    FinalRinse,
    /// Bath over final film.
    DilutionRatio,
    /// Lead solute lost a day.
    Lost,
    /// Share of drag-out that is not lost.
    Recovered,
    /// Room for rinse water.
    #[default]
    ClosureMargin,
    /// Water evaporated by towers.
    Evaporation,
    /// Mean power of the evaporation heaters.
    HeaterPower,
    /// Share of their power.
    HeaterDuty,
    /// Tank that feeds the tower.
    TankTemperature,
    /// Fresh rinse water.
    RinseFeed,
    /// Water to treatment.
    ToTreatment,
    /// Plain water into the bath.
    MakeUp,
    /// Fresh water for rinses and bath.
    WaterUse,
    /// Room for rinse water in the worst month.
    WorstMonth,
    /// Days until the loop has settled.
    DaysToSettle,
    /// Days until the first limit of an impurity or a salt.
    FirstLimit,
}

impl Figure {
    /// All of them, in the order of the list.
    pub const ALL: [Self; 16] = [
        Self::ClosureMargin,
        Self::WorstMonth,
        Self::FinalRinse,
        Self::Lost,
        Self::DilutionRatio,
        Self::Recovered,
        Self::Evaporation,
        Self::HeaterPower,
        Self::HeaterDuty,
        Self::TankTemperature,
        Self::RinseFeed,
        Self::ToTreatment,
        Self::MakeUp,
        Self::WaterUse,
        Self::DaysToSettle,
        Self::FirstLimit,
    ];

    /// Name to show.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::FinalRinse => "Final rinse",
            Self::DilutionRatio => "Dilution ratio",
            Self::Lost => "Lost for good",
            Self::Recovered => "Recovered share",
            Self::ClosureMargin => "Closure margin",
            Self::Evaporation => "Tower evaporation",
            Self::HeaterPower => "Heater power",
            Self::HeaterDuty => "Heater duty",
            Self::TankTemperature => "Tank temperature",
            Self::RinseFeed => "Rinse feed",
            Self::ToTreatment => "Water to treatment",
            Self::MakeUp => "Make-up water",
            Self::WaterUse => "Water use",
            Self::WorstMonth => "Margin, worst month",
            Self::DaysToSettle => "Days to settle",
            Self::FirstLimit => "Days to first limit",
        }
    }

    /// Its dimension.
    #[must_use]
    pub const fn dim(self) -> Dim {
        match self {
            Self::FinalRinse => Dim::Concentration,
            Self::DilutionRatio => Dim::Number,
            Self::Lost => Dim::MassFlow,
            Self::Recovered | Self::HeaterDuty => Dim::Fraction,
            Self::HeaterPower => Dim::Power,
            Self::TankTemperature => Dim::Temperature,
            Self::DaysToSettle | Self::FirstLimit => Dim::Time,
            Self::ClosureMargin
            | Self::WorstMonth
            | Self::WaterUse
            | Self::Evaporation
            | Self::RinseFeed
            | Self::ToTreatment
            | Self::MakeUp => Dim::VolumeFlow,
        }
    }

    /// Whether it is found by looking ahead, or month by month: that takes many times as long as a settled week.
    #[must_use]
    pub const fn depth(self) -> Depth {
        match self {
            Self::WorstMonth | Self::DaysToSettle | Self::FirstLimit => Depth::Full,
            _ => Depth::Quick,
        }
    }

    /// Whether answers of a depth have it: those that looked ahead have every figure.
    #[must_use]
    pub fn is_in(self, depth: Depth) -> bool {
        depth == Depth::Full || depth == self.depth()
    }

    /// Of what a value is a part, SI: the ledger closes no better than [`CLOSURE_BOUND`] of it.
    fn scale(self, line: &LoopAnswer) -> f64 {
        match self.dim() {
            Dim::Fraction => 1.0,
            Dim::VolumeFlow => m3_per_s_from_l_per_h(
                line.rinse_feed_l_per_h + line.evaporation_l_per_h + line.make_up_l_per_h,
            ),
            // Heaters that give so small a share of their power give none.
            Dim::Power if line.heater_duty < CLOSURE_BOUND => f64::INFINITY,
            _ => 0.0,
        }
    }

    /// Its value in SI, nothing where it is no more than what the ledger may miss; `None` where the loop has no such figure.
    #[must_use]
    pub fn si(self, line: &LoopAnswer) -> Option<f64> {
        let flow = m3_per_s_from_l_per_h;
        let value = match self {
            Self::FinalRinse => 1e-3 * line.final_rinse.film_mg_per_l,
            Self::DilutionRatio => line.final_rinse.dilution_ratio,
            Self::Lost => {
                let lost = line.lead_lost_kg_per_day()?;
                daily_unit(dragback_units::System::Metric, true).to_si(lost)
            }
            Self::Recovered => line.recovered_fraction,
            Self::ClosureMargin => flow(line.closure_margin_l_per_h.as_ref()?.week),
            Self::Evaporation => flow(line.evaporation_l_per_h),
            Self::HeaterPower => 1e3 * line.heater_mean_kw,
            Self::HeaterDuty => line.heater_duty,
            Self::TankTemperature => kelvin_from_celsius(line.evaporation_temperature_c?),
            Self::RinseFeed => flow(line.rinse_feed_l_per_h),
            Self::ToTreatment => flow(line.to_treatment_l_per_h),
            Self::MakeUp => flow(line.make_up_l_per_h),
            Self::WaterUse => flow(line.rinse_feed_l_per_h + line.make_up_l_per_h),
            Self::WorstMonth => flow(margin::worst_month(line)?.0),
            Self::DaysToSettle => seconds_from_days(line.days_to_settle?),
            Self::FirstLimit => seconds_from_days(line.first_limit.as_ref()?.days),
        };
        let is_noise = value.abs() < CLOSURE_BOUND * self.scale(line);
        let value = if is_noise { 0.0 } else { value };
        value.is_finite().then_some(value)
    }
}

/// The figure that is shown where one is chosen: a loop that takes no water up has no room for it, and then the first thing to ask is how clean the work leaves.
#[must_use]
pub fn told_figure(chosen: Figure, line: Option<&LoopAnswer>) -> Figure {
    let has_none = |line: &LoopAnswer| line.closure_margin_l_per_h.is_none();
    match chosen {
        Figure::ClosureMargin | Figure::WorstMonth if line.is_some_and(has_none) => {
            Figure::FinalRinse
        }
        chosen => chosen,
    }
}

/// What the plot of settled answers shows.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SweepChoice {
    /// The figure.
    pub figure: Figure,
    /// Path of the lever; `None` for the heat input.
    pub path: Option<String>,
}

/// A request to sweep one lever.
#[derive(Clone)]
pub struct SweepRequest {
    /// Number of the request; later ones are higher.
    pub number: u64,
    /// Of which state.
    pub asked: Asked,
    /// The scenario as it stands.
    pub scenario: Arc<Scenario>,
    /// Path of the lever.
    pub path: String,
    /// Its positions, SI, rising.
    pub positions: Vec<f64>,
    /// Its present position, SI.
    pub present: f64,
    /// The figure that is looked at: where it bends most there are more positions.
    pub figure: Figure,
    /// The way of the lever; `None` where there is nothing between two positions.
    pub rail: Option<Rail>,
}

/// Whether an input can be swept: a quantity with a usual range that takes part in the loop that is shown. Neither what only describes the file,
/// nor prices, nor what belongs to another loop changes a settled figure.
#[must_use]
pub fn can_sweep(control: &Control) -> bool {
    let Control::Lever(lever) = control else {
        return false;
    };
    let takes_part = !matches!(lever.group, Group::Other | Group::Prices);
    takes_part && control.stands_in_group() && lever.usual.is_some_and(|(low, high)| high > low)
}

/// Levers that can be swept, with their names: the main ones first.
#[must_use]
pub fn sweepable(document: &Document) -> Vec<&Lever> {
    let mut all: Vec<&Lever> = document.levers.iter().collect();
    for control in document.controls.iter().filter(|c| can_sweep(c)) {
        let Control::Lever(lever) = control else {
            continue;
        };
        if all.iter().all(|known| known.path != lever.path) {
            all.push(lever);
        }
    }
    all
}

/// The lever that is swept: the one that was chosen, or the heat input where this scenario has no such lever to sweep.
#[must_use]
pub fn swept<'d>(document: &'d Document, choice: &SweepChoice) -> Option<&'d Lever> {
    let path = choice.path.as_deref();
    let found = path.and_then(|p| sweepable(document).into_iter().find(|l| l.path == p));
    found.or_else(|| document.levers.last())
}

/// Positions besides those around the present one.
const POSITIONS: usize = 24;
/// Parts into which the way to the next position is cut around the present one and around the largest bend.
const PARTS: u8 = 4;
/// Positions that are found where the figure bends most.
pub const AT_BEND: usize = 2 * (PARTS as usize - 1);

/// The way of a lever that has positions between any two of its positions. There is no half a stage.
#[must_use]
pub fn way(lever: &Lever) -> Option<Rail> {
    (lever.dim != Dim::Count).then(|| Rail::of(lever))
}

/// Positions of a lever on its rail: evenly spread there, and closer around the present one, which is among them.
#[must_use]
pub fn positions(lever: &Lever) -> Vec<f64> {
    let rail = Rail::of(lever);
    #[expect(clippy::cast_precision_loss, reason = "two dozen")]
    let share = |i: usize| i as f64 / (POSITIONS - 1) as f64;
    let each = (0..POSITIONS).map(|i| rail.value(share(i)));
    let is_count = way(lever).is_none();
    let mut all: Vec<f64> = each
        .map(|si| if is_count { si.round() } else { si })
        .collect();
    all.dedup();
    let step = share(1);
    let present = rail.share(lever.si);
    let mut add = |si: f64| {
        let place = rail.share(si);
        // A neighbour that stands all but on another would say the same twice.
        all.retain(|known| (rail.share(*known) - place).abs() > 0.05 * step);
        all.push(si);
    };
    if !is_count {
        let around = (1..PARTS).map(|part| step * f64::from(part) / f64::from(PARTS));
        for away in around.flat_map(|away| [-away, away]) {
            let place = present + away;
            if (0.0..=1.0).contains(&place) {
                add(rail.value(place));
            }
        }
    }
    add(lever.si);
    all.sort_by(f64::total_cmp);
    all
}

/// Positions between that one of `values` (position and figure, rising) at which the figure bends most and its two neighbours; none where it is
/// straight, or where there are too few to tell.
#[must_use]
pub fn at_bend(values: &[[f64; 2]], rail: Rail) -> Vec<f64> {
    let slope = |a: [f64; 2], b: [f64; 2]| (b[1] - a[1]) / (rail.share(b[0]) - rail.share(a[0]));
    let bend = |w: &[[f64; 2]]| (slope(w[1], w[2]) - slope(w[0], w[1])).abs();
    let greatest = values.iter().fold(0.0_f64, |most, v| most.max(v[1].abs()));
    let most = values
        .windows(3)
        .filter(|w| bend(w).is_finite() && bend(w) > 1e-6 * greatest)
        .max_by(|a, b| bend(a).total_cmp(&bend(b)));
    let Some(window) = most else {
        return Vec::new();
    };
    let between = |pair: &[[f64; 2]]| -> Vec<f64> {
        let (from, to) = (rail.share(pair[0][0]), rail.share(pair[1][0]));
        let parts = (1..PARTS).map(|part| f64::from(part) / f64::from(PARTS));
        parts
            .map(|part| rail.value(from + part * (to - from)))
            .collect()
    };
    window.windows(2).flat_map(between).collect()
}

/// One point of a sweep.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepPoint {
    /// Position of the lever, SI.
    pub si: f64,
    /// The settled answer there; `None` where there is none.
    pub answer: Option<LoopAnswer>,
}

/// A sweep as far as it has come.
#[derive(Clone, Debug)]
pub struct Sweep {
    /// What it answers.
    pub asked: Asked,
    /// Path of the lever.
    pub path: String,
    /// How much was asked at each point.
    pub depth: Depth,
    /// Present position, SI.
    pub present: f64,
    /// Points found so far, rising.
    pub points: Vec<SweepPoint>,
    /// How many there will be.
    pub wanted: usize,
}

impl Sweep {
    /// Position and value of a figure at every point where there is one.
    #[must_use]
    pub fn values(&self, figure: Figure) -> Vec<[f64; 2]> {
        let each = self.points.iter().filter_map(|p| {
            let value = figure.si(p.answer.as_ref()?)?;
            Some([p.si, value])
        });
        each.collect()
    }

    /// The value at the present position.
    #[must_use]
    pub fn present_value(&self, figure: Figure) -> Option<f64> {
        let point = self
            .points
            .iter()
            .find(|p| p.si.to_bits() == self.present.to_bits())?;
        figure.si(point.answer.as_ref()?)
    }

    /// Whether every point has been found.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.points.len() >= self.wanted
    }
}

#[cfg(test)]
mod tests {
    use dragback_plant::TowerCache;
    use dragback_study::{AirChoice, Case, Hours, settled_answers};

    use super::*;
    use crate::document::Origin;
    use crate::templates::TEMPLATES;
    use dragback_scenario::{Scenario, set_si};

    /// The thread that sweeps puts a lever at its positions; where that cannot be done, it would have nothing to find.
    #[test]
    fn whatever_is_offered_can_be_put_at_its_positions() {
        for template in TEMPLATES {
            let mut document = Document::read(template.text, Origin::default(), 1).unwrap();
            for (key, _) in document.loops() {
                document.choose_loop(&key);
                let offered = sweepable(&document);
                assert!(offered.len() > 10, "{}: {}", template.name, offered.len());
                for lever in offered {
                    let mut moved = Scenario::clone(&document.scenario);
                    let all = positions(lever);
                    let is_whole = |si: &f64| lever.dim != Dim::Count || si.fract() == 0.0;
                    assert!(all.len() > 1 && all.iter().all(is_whole), "{}", lever.path);
                    for si in [all[0], all[all.len() - 1]] {
                        let outcome = set_si(&mut moved, &lever.path, si);
                        assert!(outcome.is_ok(), "{} {si}: {outcome:?}", lever.path);
                    }
                }
            }
        }
    }

    #[test]
    fn what_takes_no_part_in_the_line_is_not_offered() {
        let text = include_str!("../../../scenarios/demo.ron");
        let document = Document::read(text, Origin::default(), 1).unwrap();
        let paths: Vec<&str> = sweepable(&document)
            .iter()
            .map(|l| l.path.as_str())
            .collect();
        let is_none = |p: &&str| p.starts_with("version") || p.starts_with("prices");
        assert!(!paths.iter().any(is_none), "{paths:?}");
        assert!(paths.contains(&"loop.sections.rinses.stages"), "{paths:?}");
        assert!(paths.contains(&"loop.holding_tank.set_point"), "{paths:?}");
        let choice = SweepChoice {
            path: Some("version".to_owned()),
            ..SweepChoice::default()
        };
        let swept = swept(&document, &choice).unwrap();
        assert_eq!(swept.path, document.levers[2].path);
    }

    #[test]
    fn the_present_position_is_among_those_of_the_rail() {
        let text = include_str!("../../../scenarios/demo.ron");
        let document = Document::read(text, Origin::default(), 1).unwrap();
        for lever in &document.levers {
            let all = positions(lever);
            assert!((24..=31).contains(&all.len()), "{}", all.len());
            assert!(all.windows(2).all(|w| w[0] < w[1]));
            assert!(all.contains(&lever.si));
            let rail = Rail::of(lever);
            let present = rail.share(lever.si);
            let is_near = |si: &&f64| (rail.share(**si) - present).abs() < 0.9 / 23.0;
            assert!(all.iter().filter(is_near).count() >= 7, "{all:?}");
        }
    }

    #[test]
    fn a_knee_between_two_positions_gets_positions_of_its_own() {
        let rail = Rail {
            low: 0.0,
            high: 10.0,
            is_log: false,
        };
        // Straight to 6.3, level from there.
        let knee = |si: f64| [si, si.min(6.3)];
        let values: Vec<[f64; 2]> = (0..=10).map(|i| knee(f64::from(i))).collect();
        let found = at_bend(&values, rail);
        assert_eq!(found.len(), AT_BEND);
        assert!(found.iter().any(|si| (si - 6.25).abs() < 1e-9), "{found:?}");
        assert!(found.iter().all(|si| (5.0..=8.0).contains(si)), "{found:?}");
        let straight: Vec<[f64; 2]> = (0..=10).map(|i| [f64::from(i), 2.0]).collect();
        assert_eq!(at_bend(&straight, rail), Vec::<f64>::new());
    }

    /// What is a thousand-millionth of its like or less is nothing: the ledger closes no better.
    #[test]
    fn what_is_below_the_ledger_is_nothing() {
        let text = include_str!("../../../scenarios/demo.ron");
        let scenario = Arc::new(dragback_scenario::load(text).0.unwrap());
        let case = Case::new(scenario, &TowerCache::default()).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true);
        let mut line = found.unwrap().answers.loops[0].clone();
        assert!(Figure::HeaterDuty.si(&line).unwrap() > 0.1);
        line.heater_duty = 3.44e-15;
        line.heater_mean_kw = 1e-13;
        line.to_treatment_l_per_h = 1e-9 * line.rinse_feed_l_per_h;
        for figure in [Figure::HeaterDuty, Figure::HeaterPower, Figure::ToTreatment] {
            assert_eq!(figure.si(&line), Some(0.0), "{}", figure.name());
        }
        line.to_treatment_l_per_h = 1e-6 * line.rinse_feed_l_per_h;
        assert!(Figure::ToTreatment.si(&line).unwrap() > 0.0);
    }
}
