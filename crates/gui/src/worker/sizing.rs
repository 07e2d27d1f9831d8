//! The thread that sizes layouts: it shares them out to as many threads as there are cores, and tells the table as it grows.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::Duration;

use dragback_study::size::{Reach, Rinsing, Row, Sizing, reaches};
use dragback_study::{StudyError, spread};

use super::{Job, Shared, Work};
use crate::sizing::{Progress, SizingRequest, SizingTable};
use crate::words::sentence;

/// Part of a table.
enum Part {
    Rows(Vec<Row>),
    Reaches(Vec<Reach>),
}

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
    let mut pieces = vec![None];
    pieces.extend(Rinsing::all().into_iter().map(Some));
    let mut table = SizingTable {
        sizing: Some(Arc::clone(&sizing)),
        wanted: pieces.len(),
        ..SizingTable::begun(request.clone())
    };
    spread(
        &pieces,
        |rinsing, watch| match rinsing {
            None => reaches(scenario, key, &shared.cache, watch).map(Part::Reaches),
            Some(rinsing) => sizing.rows(*rinsing, watch).map(Part::Rows),
        },
        |_, part| {
            // Only what is given up gives no part.
            let Ok(part) = part else { return };
            match part {
                Part::Rows(rows) => table.take_rows(rows),
                Part::Reaches(reaches) => table.reaches = reaches,
            }
            table.done += 1;
            if table.done == table.wanted {
                table.progress = Progress::Whole;
            }
            work.tell(Some(table.share()));
            let told = Arc::new(table.clone());
            shared.deliver(|inbox| inbox.sizing = Some(told));
        },
        |_| shared.sizing.is_latest(number),
    );
    Ok(())
}
