//! Everything that a report tells, worked out.

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::Scenario;
use dragback_study::money::{
    BreakEven, Costs, Kilogram, MoneyError, Payback, Plan, Stopped, Swing, input_break_even,
    kilograms, price_break_evens, tornado, work_inputs,
};
use dragback_study::size::{Reach, Row, Sizing};
use dragback_study::upsets::{Upset, upsets};
use dragback_study::{
    AirChoice, Case, Clock, Depth, Driver, Hours, SettledCase, Span, StudyError, run_span,
    settled_answers,
};
use dragback_units::constants as unit;
use serde::Serialize;

/// Days of the course from the start.
pub const COURSE_D: f64 = 90.0;

/// How a line settles, how it comes there, and what a day's standstill does.
pub struct LineFindings {
    /// The case.
    pub case: Case,
    /// The settled week.
    pub settled: SettledCase,
    /// The first [`COURSE_D`] days, in the air of each month.
    pub course: Span,
    /// Standstills.
    pub upsets: Vec<Upset>,
}

impl LineFindings {
    /// Works them out.
    ///
    /// # Errors
    /// See [`StudyError`].
    pub fn of(
        scenario: Arc<Scenario>,
        cache: &TowerCache,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Self, StudyError> {
        let case = Case::new(scenario, cache)?;
        let air = AirChoice::Mean;
        let settled = settled_answers(&case, air, Hours::Calendar, Depth::Full, watch)?;
        let clock = Clock::default();
        let span_s = unit::seconds_from_days(COURSE_D);
        let course = run_span(&case, span_s, Driver::Preview, clock, watch)?;
        let upsets = upsets(&case, &settled.settled, air, watch)?;
        Ok(Self {
            case,
            settled,
            course,
            upsets,
        })
    }

    /// What it costs to run, or why that is not known.
    #[must_use]
    pub fn money(&self) -> MoneyFindings {
        match self.plan().costs() {
            Ok(costs) => MoneyFindings::Alone(costs),
            Err(why) => MoneyFindings::None(why.to_string()),
        }
    }

    /// What a year of it uses.
    #[must_use]
    pub fn plan(&self) -> Plan {
        let scenario = Arc::clone(&self.case.scenario);
        Plan::of(
            &self.settled.settled.world.plant,
            scenario,
            &self.settled.week,
        )
    }
}

/// What a change costs and saves, and what that hangs on.
#[derive(Clone, Debug, Serialize)]
pub struct ChangeFindings {
    /// The two lines against each other.
    #[serde(flatten)]
    pub payback: Payback,
    /// Years in which the break-even values bring the money back.
    pub within_years: f64,
    /// Values at which it does.
    pub break_even: Vec<BreakEven>,
    /// Inputs of the work of which no such value could be found, and why.
    pub break_even_stopped: Vec<Stopped>,
    /// What uncertain inputs do.
    pub tornado: Vec<Swing>,
    /// Uncertain inputs of which one value has no answer, and why.
    pub tornado_stopped: Vec<Stopped>,
    /// A kilogram of each lead solute by its several prices.
    pub kilograms: Vec<Kilogram>,
}

impl ChangeFindings {
    /// Works them out; both lines are settled anew for each value of an input that is no price.
    ///
    /// # Errors
    /// See [`MoneyError`].
    pub fn of(
        before: &Plan,
        after: &Plan,
        within_years: f64,
        cache: &TowerCache,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Self, MoneyError> {
        let payback = Payback::of(before, after)?;
        let tornado = tornado(before, after, cache, watch)?;
        let mut break_even = price_break_evens(&payback, within_years);
        let mut break_even_stopped = Vec::new();
        let scenarios = (&*before.scenario, &*after.scenario);
        for (about, path, name) in work_inputs(&after.scenario) {
            let of = (about, path.as_str(), name.as_str());
            match input_break_even(scenarios, of, within_years, cache, watch)? {
                Ok(found) => break_even.push(found),
                Err(stopped) => break_even_stopped.push(stopped),
            }
        }
        Ok(Self {
            payback,
            within_years,
            break_even,
            break_even_stopped,
            tornado: tornado.swings,
            tornado_stopped: tornado.stopped,
            kilograms: kilograms(&after.scenario),
        })
    }
}

/// What is known of money.
pub enum MoneyFindings {
    /// Nothing, and why.
    None(String),
    /// What the line costs to run.
    Alone(Costs),
    /// What a change brings.
    Change(Box<ChangeFindings>),
}

/// The sizes of one loop.
#[derive(Clone, Debug, Serialize)]
pub struct SizeFindings {
    /// Key of the loop.
    #[serde(rename = "loop")]
    pub line: String,
    /// What the film is to keep, mg/L.
    pub final_rinse_mg_per_l: f64,
    /// Layouts, in the order in which they are shown.
    pub rows: Vec<Row>,
    /// How far the line as it is still closes.
    pub as_it_is: Vec<Reach>,
    /// Why there is no layout, in words; `null` where some were looked at.
    pub refused: Option<String>,
}

impl SizeFindings {
    /// Of a loop that cannot be sized.
    pub(crate) fn refused(key: &str, limit_kg_per_m3: f64, why: String) -> Self {
        Self {
            line: key.to_owned(),
            final_rinse_mg_per_l: unit::mg_per_l(limit_kg_per_m3),
            rows: Vec::new(),
            as_it_is: Vec::new(),
            refused: Some(why),
        }
    }

    /// Without a row yet.
    pub(crate) fn empty(key: &str, sizing: &Sizing) -> Self {
        let limit = sizing.layouts().final_limit_kg_per_m3();
        Self {
            line: key.to_owned(),
            final_rinse_mg_per_l: unit::mg_per_l(limit),
            rows: Vec::new(),
            as_it_is: Vec::new(),
            refused: None,
        }
    }
}

/// Everything that a report tells.
pub struct Findings {
    /// The line.
    pub line: LineFindings,
    /// Title of the line that it is set against.
    pub against: Option<String>,
    /// Money.
    pub money: MoneyFindings,
    /// Sizes; empty where nobody asked.
    pub sizes: Vec<SizeFindings>,
}
