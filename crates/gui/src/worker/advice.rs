//! The thread that looks for what would help, when the hand has rested for a while.

use std::sync::Arc;
use std::time::Duration;

use dragback_study::advice::advise;
use dragback_study::{AirChoice, Case, Depth, Driver, Hours, settled_answers};

use super::{Job, Shared, guarded, roles_of};
use crate::results::AdviceFound;

/// The search begins when no lever has moved for this long: exact run and sweep come first.
const CALM: Duration = Duration::from_millis(400);

pub(super) fn advice_thread(shared: &Shared) {
    while let Some((generation, request)) = shared.advice.take(CALM) {
        let work = shared.begin(Job::Advice);
        let mut is_latest = |_: f64| {
            work.tell(None);
            shared.advice.is_latest(generation)
        };
        guarded(shared, &request, Driver::Preview, || {
            let case = Case::new(Arc::clone(&request.scenario), &shared.cache)?;
            let (air, hours) = (AirChoice::Mean, Hours::Calendar);
            // Impurities and the worst month are known only to answers that looked ahead.
            let now = settled_answers(&case, air, hours, Depth::Full, &mut is_latest)?;
            let Some(key) = roles_of(&case, &request.asked).map(|(_, roles)| &roles.name) else {
                return Ok(());
            };
            let found = advise(
                &request.scenario,
                key,
                &now.answers,
                &shared.cache,
                &mut is_latest,
            )?;
            let Some(advice) = found else { return Ok(()) };
            let found = AdviceFound {
                asked: request.asked.clone(),
                advice,
            };
            shared.deliver(|inbox| inbox.advice = Some(Arc::new(found)));
            Ok(())
        });
    }
}
