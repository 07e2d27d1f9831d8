//! The trade-off of a table: stages against what they save, one series for each way to close the loop.

use dragback_scenario::{ClosedBy, Layout};
use dragback_study::size::{CLOSINGS, Row};
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style, System};

use super::SizingTable;

/// What stands upright in the plot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Height {
    /// Fresh water into the last recovered rinse while work runs.
    #[default]
    RinseWater,
    /// Water to evaporate in the worst month.
    Evaporation,
    /// Running cost of a year.
    Cost,
}

impl Height {
    /// All that can be chosen.
    pub const ALL: [Self; 3] = [Self::RinseWater, Self::Evaporation, Self::Cost];

    /// Name to show.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::RinseWater => "Rinse water",
            Self::Evaporation => "Evaporation",
            Self::Cost => "Yearly cost",
        }
    }

    /// Its value in a row, in the unit shown.
    #[must_use]
    pub fn of(self, row: &Row, system: System) -> Option<f64> {
        let flow = |l_per_h: f64| {
            let unit = Dim::VolumeFlow.display_unit(system, Style::Default);
            unit.from_si(m3_per_s_from_l_per_h(l_per_h))
        };
        match self {
            Self::RinseWater => row.rinse_flow_l_per_h.map(flow),
            Self::Evaporation => row.worst_month_l_per_h.map(flow),
            Self::Cost => row.yearly_cost,
        }
    }

    /// The unit shown.
    #[must_use]
    pub fn unit(self, system: System, currency: &str) -> String {
        match self {
            Self::Cost => format!("{currency}/year")
                .trim_start_matches('/')
                .to_owned(),
            _ => {
                let unit = Dim::VolumeFlow.display_unit(system, Style::Default);
                unit.symbol.to_owned()
            }
        }
    }
}

/// A point of the plot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Number of counterflow rinses.
    pub stages: f64,
    /// Height in the unit shown.
    pub height: f64,
    /// Its row.
    pub plan: Layout,
}

/// What one way to close the loop needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What closes the loop.
    pub closed_by: ClosedBy,
    /// Every row that works.
    pub points: Vec<Point>,
    /// The least for each number of stages, by rising stages: what the line runs through.
    pub least: Vec<Point>,
}

/// The series of a table; a way to close the loop of which no row works has none.
#[must_use]
pub fn series(table: &SizingTable, height: Height, system: System) -> Vec<Series> {
    let of = |closed_by: ClosedBy| {
        let rows = table.working().filter(|r| r.plan.closed_by == closed_by);
        let points: Vec<Point> = rows
            .filter_map(|row| {
                Some(Point {
                    stages: f64::from(row.stages),
                    height: height.of(row, system)?,
                    plan: row.plan,
                })
            })
            .collect();
        Series {
            closed_by,
            least: least(&points),
            points,
        }
    };
    let all = CLOSINGS.into_iter().map(of);
    all.filter(|s| !s.points.is_empty()).collect()
}

/// The lowest point of each number of stages.
fn least(points: &[Point]) -> Vec<Point> {
    let mut least: Vec<Point> = Vec::new();
    for point in points {
        let same = least
            .iter_mut()
            .find(|l| l.plan.stages == point.plan.stages);
        match same {
            Some(known) if known.height <= point.height => {}
            Some(known) => *known = *point,
            None => least.push(*point),
        }
    }
    least.sort_by_key(|p| p.plan.stages);
    least
}
