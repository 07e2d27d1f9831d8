//! The thread that runs variants of the line, one after another; each is told as soon as it is known.

use std::sync::Arc;
use std::time::Duration;

use dragback_study::{Case, Depth, Driver, StudyError};

use super::{Job, Request, Shared, attempt, curve_set, figures};
use crate::compare::{Overlaid, VariantAnswers, VariantFound, Wanted};
use crate::money::plan;
use crate::results::Asked;

/// Variants that something is to be known of.
pub struct VariantsRequest {
    /// Number of the request; later ones are higher.
    pub number: u64,
    /// The variants.
    pub lines: Vec<Wanted>,
}

pub(super) fn variants_thread(shared: &Shared) {
    while let Some((number, request)) = shared.variants.take(Duration::ZERO) {
        let work = shared.begin(Job::Variants);
        let count = request.lines.len();
        for (i, of) in request.lines.into_iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "a hundred at most")]
            let share = i as f64 / count as f64;
            let mut goes_on = |_: f64| {
                work.tell(Some(share));
                shared.variants.is_latest(number)
            };
            if !goes_on(0.0) {
                break;
            }
            let asked = Asked {
                generation: number,
                document: 0,
                loop_key: of.loop_key.clone(),
                moved: None,
            };
            let request = Request {
                asked,
                scenario: Arc::clone(&of.line),
            };
            let found = attempt(&request, Driver::Preview, || {
                answers(shared, &request, &mut goes_on)
            });
            let Some(outcome) = found else { break };
            let found = VariantFound { of, outcome };
            shared.deliver(|inbox| inbox.variants.push(found));
        }
    }
}

fn answers(
    shared: &Shared,
    request: &Request,
    goes_on: &mut dyn FnMut(f64) -> bool,
) -> Result<VariantAnswers, StudyError> {
    let case = Case::new(Arc::clone(&request.scenario), &shared.cache)?;
    let figures = figures(&case, request, Depth::Full, goes_on)?;
    let curves = curve_set(&case, request, Driver::Exact, goes_on)?;
    Ok(VariantAnswers {
        plan: plan(&request.scenario, &figures),
        figures: Arc::new(figures),
        curves: Overlaid::of(&curves),
    })
}
