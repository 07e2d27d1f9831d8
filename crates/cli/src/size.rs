//! `dragback size`.

mod shown;

use anyhow::{Result, bail};
use dragback_plant::TowerCache;
use dragback_scenario::Scenario;
use dragback_study::StudyError;
use dragback_study::size::{
    CLOSINGS, Part, Reach, Row, Sizing, best_first, table, table_parts, wanted,
};
use dragback_units::Quantity;
use dragback_units::dim::Concentration;
use serde::Serialize;

use crate::args::SizeArgs;
use crate::io::{Io, printable};
use crate::progress::Progress;
use crate::source::{Loaded, Refused, load};
use crate::target::Targets;
use crate::verdict::Verdict;
use dragback_report::Show;

/// What the command writes as JSON.
#[derive(Serialize)]
struct Sheet<'a> {
    scenario: &'a str,
    #[serde(rename = "loop")]
    key: &'a str,
    final_rinse_mg_per_l: f64,
    currency: Option<&'a str>,
    rows: &'a [Row],
    as_it_is: &'a [Reach],
}

/// Sizes the layouts of a loop.
pub(crate) fn size(args: &SizeArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    let targets = Targets::new(None, args.json.as_ref(), &args.input.file)?;
    let loaded = load(&args.input, io)?;
    let key = loop_key(&loaded.scenario, args.loop_key.as_deref())?;
    let own = || {
        let line = loaded.scenario.loops.get(&key);
        Some(line?.final_limit.as_ref()?.quantity().to_string())
    };
    let Some(final_rinse) = args.final_rinse.clone().or_else(own) else {
        bail!(
            "the scenario does not say what the film on the work may hold; give it with --final-rinse, such as \"20 mg/L\", or as {key}.final_limit"
        );
    };
    let (_, sizing) = sizing(&loaded, &key, &final_rinse)?;
    let (mut rows, as_it_is) = rows(&sizing, &loaded.scenario, io)?;
    best_first(&mut rows);
    let prices = loaded.scenario.prices.as_ref();
    let currency = prices.and_then(|p| p.currency.as_deref());
    if let Some(target) = &targets.json {
        let limit = sizing.layouts().final_limit_kg_per_m3();
        let sheet = Sheet {
            scenario: &loaded.scenario.title,
            key: &key,
            final_rinse_mg_per_l: dragback_units::constants::mg_per_l(limit),
            currency,
            rows: &rows,
            as_it_is: &as_it_is,
        };
        target.write_json(&sheet, io)?;
    }
    if !targets.take_standard() {
        let text = shown::render(
            &loaded.scenario,
            &sizing,
            (&rows, &as_it_is),
            args.all,
            show,
        );
        io.print(&text)?;
    }
    Ok(if rows.iter().any(|row| row.verified) {
        Verdict::Good
    } else {
        Verdict::LimitHit
    })
}

/// The loop asked for; the only one where none is.
fn loop_key(scenario: &Scenario, asked: Option<&str>) -> Result<String> {
    let keys: Vec<&str> = scenario.loops.keys().collect();
    match (asked, &keys[..]) {
        (Some(key), _) if keys.contains(&key) => Ok(key.to_owned()),
        (None, [only]) => Ok((*only).to_owned()),
        (Some(key), _) => bail!(
            "--loop {}: there is no such loop; the loops are {}",
            printable(key),
            keys.join(", ")
        ),
        (None, _) => bail!(
            "the scenario has several loops; say with --loop which: {}",
            keys.join(", ")
        ),
    }
}

/// The film that a loop is to keep, and its sizing for that.
pub(crate) fn sizing(
    loaded: &Loaded,
    key: &str,
    final_rinse: &str,
) -> Result<(Quantity<Concentration>, Sizing)> {
    let refused = |problems| Refused {
        file: "--final-rinse".to_owned(),
        problems,
        hint: None,
    };
    let limit =
        wanted(&loaded.scenario, key, final_rinse).map_err(|problem| refused(vec![problem]))?;
    let found = Sizing::new(&loaded.scenario, key, limit.clone(), &TowerCache::default());
    let found = found.map_err(|why| match why {
        StudyError::Scenario { problems } => refused(problems).into(),
        other => anyhow::Error::new(other).context(loaded.name.clone()),
    });
    Ok((limit, found?))
}

/// Every row, and how far the line as it is still closes, worked out on as many threads as there are cores.
fn rows(sizing: &Sizing, scenario: &Scenario, io: &mut Io<'_>) -> Result<(Vec<Row>, Vec<Reach>)> {
    let each = CLOSINGS.len();
    let layouts = each * (table_parts() - 1);
    let mut progress = Progress::counting(io, "Sizing", "layouts");
    let (mut rows, mut as_it_is) = (Vec::new(), Vec::new());
    let take = |part| match part {
        Part::Rows(found) => rows.extend(found),
        Part::Reaches(found) => as_it_is = found,
    };
    let told = table(scenario, sizing, take, |done| {
        progress.done(each * done.saturating_sub(1), layouts);
        true
    });
    drop(progress);
    told?;
    Ok((rows, as_it_is))
}
