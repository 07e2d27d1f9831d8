//! The thread that finds what the answer in money hangs on besides prices, when the hand has rested for a while.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::Duration;

use dragback_study::money::{
    Payback, Plan, input_break_even, swing, uncertain_inputs, widest_first, work_inputs,
};

use super::{Job, Shared};
use crate::money::{Hangs, HangsOf, HangsParts, plan};

/// The search begins when nothing has moved for this long.
const CALM: Duration = Duration::from_millis(400);

/// What is asked.
pub struct HangsRequest {
    /// Number of the request; later ones are higher.
    pub number: u64,
    /// Of what.
    pub of: HangsOf,
}

pub(super) fn hangs_thread(shared: &Shared) {
    while let Some((number, request)) = shared.hangs.take(CALM) {
        // A panic leaves the answer as far as it had come; the window says that it is not whole.
        let work = || find(shared, number, &request.of);
        let _ = catch_unwind(AssertUnwindSafe(work));
    }
}

/// Finds one input after another and tells each; `None` where there is no answer in money, or something newer is asked.
fn find(shared: &Shared, number: u64, of: &HangsOf) -> Option<()> {
    let work = shared.begin(Job::Hangs);
    let before = plan(&of.before.scenario, &of.before);
    let now = plan(&of.line, &of.now);
    let payback = Payback::of(&before, &now).ok()?;
    let inputs = work_inputs(&now.scenario);
    let uncertain = uncertain_inputs(&now.scenario);
    let mut found = Found {
        shared,
        number,
        of,
        all: inputs.len() + uncertain.len(),
        done: 0,
    };
    let (mut parts, mut swings) = (HangsParts::default(), Vec::new());
    let cache = &shared.cache;
    for (about, path, name) in &inputs {
        let share = found.share();
        let mut goes_on = |_: f64| {
            work.tell(Some(share));
            shared.hangs.is_latest(number)
        };
        let scenarios: (&Plan, &Plan) = (&before, &now);
        let lines = (&*scenarios.0.scenario, &*scenarios.1.scenario);
        let input = (*about, path.as_str(), name.as_str());
        // Given up: something newer is asked.
        let one = input_break_even(lines, input, of.years, cache, &mut goes_on);
        match one.ok()? {
            Ok(one) => parts.break_evens.push(one),
            Err(why) => parts.break_evens_stopped.push(why),
        }
        found.tell(&parts)?;
    }
    for path in &uncertain {
        let share = found.share();
        let mut goes_on = |_: f64| {
            work.tell(Some(share));
            shared.hangs.is_latest(number)
        };
        match swing(&before, &now, path, cache, &mut goes_on).ok()? {
            Some(Ok(one)) => swings.push(one),
            Some(Err(why)) => parts.swings_stopped.push(why),
            None => {}
        }
        parts.swings.clone_from(&swings);
        widest_first(&mut parts.swings, payback.laid_out);
        found.tell(&parts)?;
    }
    Some(())
}

struct Found<'a> {
    shared: &'a Shared,
    number: u64,
    of: &'a HangsOf,
    all: usize,
    done: usize,
}

impl Found<'_> {
    fn share(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "some dozens")]
        let share = self.done as f64 / self.all.max(1) as f64;
        share
    }

    /// Tells what has been found so far; what was overtaken meanwhile may be cut short and is not told.
    fn tell(&mut self, parts: &HangsParts) -> Option<()> {
        if !self.shared.hangs.is_latest(self.number) {
            return None;
        }
        self.done += 1;
        let found = Hangs {
            of: self.of.clone(),
            parts: parts.clone(),
            share: self.share(),
        };
        let found = Arc::new(found);
        self.shared.deliver(|inbox| inbox.hangs = Some(found));
        Some(())
    }
}
