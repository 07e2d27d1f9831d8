//! The thread that sizes layouts: it shares them out to as many threads as there are cores, and tells the table as it grows.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::Duration;

use dragback_run::RunError;
use dragback_study::StudyError;
use dragback_study::size::{Part, Sizing, table, table_parts};

use super::{Job, Shared, Work};
use crate::sizing::{Progress, SizingRequest, SizingTable};
use crate::words::sentence;

pub(super) fn sizing_thread(shared: &Shared) {
    while let Some((number, request)) = shared.sizing.take(Duration::ZERO) {
        let work = shared.begin(Job::Sizing);
        let sized = || run(shared, number, &request, &work);
        let told = match catch_unwind(AssertUnwindSafe(sized)) {
            Ok(Ok(())) => continue,
            Ok(Err(StudyError::Scenario { problems })) => {
                let first = problems
                    .first()
                    .map(|p| format!("{}; {}", p.message, p.advice));
                sentence(&first.unwrap_or_else(|| "the line makes no plant".to_owned()))
            }
            Ok(Err(why)) => sentence(&why.to_string()),
            Err(_) => "The computation stopped by an error of the program.".to_owned(),
        };
        let table = SizingTable {
            progress: Progress::Failed(told),
            ..SizingTable::begun(request)
        };
        shared.deliver(|inbox| inbox.sizing = Some(Arc::new(table)));
    }
}

/// Fills a table; ends early, without a word, when it is given up.
fn run(
    shared: &Shared,
    number: u64,
    request: &SizingRequest,
    work: &Work<'_>,
) -> Result<(), StudyError> {
    let (scenario, key) = (&request.scenario, &request.loop_key);
    let sizing = Arc::new(Sizing::new(
        scenario,
        key,
        request.limit.clone(),
        &shared.cache,
    )?);
    let mut found = SizingTable {
        sizing: Some(Arc::clone(&sizing)),
        wanted: table_parts(),
        ..SizingTable::begun(request.clone())
    };
    let take = |part| {
        match part {
            Part::Rows(rows) => found.take_rows(rows),
            Part::Reaches(reaches) => found.reaches = reaches,
        }
        found.done += 1;
        if found.done == found.wanted {
            found.progress = Progress::Whole;
        }
        work.tell(Some(found.share()));
        let told = Arc::new(found.clone());
        shared.deliver(|inbox| inbox.sizing = Some(told));
    };
    match table(scenario, &sizing, take, |_| shared.sizing.is_latest(number)) {
        Err(StudyError::Run(RunError::Cancelled)) => Ok(()),
        told => told,
    }
}
