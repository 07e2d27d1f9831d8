//! `dragback dragout`.

use anyhow::{Context, Result, anyhow, bail};
use dragback_properties::Amount;
use dragback_properties::film::{DragOut, LINEAR_LIMIT, MeasuredRise, RelativeUncertainty};
use dragback_units::{Dim, Style, format_in};

use crate::args::DragoutArgs;
use dragback_report::Facts;

use crate::facts::{paragraph, rendered};
use crate::io::{Io, printable};
use crate::verdict::Verdict;
use dragback_report::Show;

/// Works out drag-out from a measured rise and tells how sure it is.
pub(crate) fn dragout(args: &DragoutArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    let (rise, within) = (rise_of(args)?, within_of(args)?);
    let area_m2 = args
        .area
        .as_deref()
        .map(|a| above_zero(Dim::Area, a, "--area"))
        .transpose()?;
    // Analyses are told in the unit of the bath's as typed.
    let strength = Dim::Concentration.parse_with_unit(&args.bath)?.unit;
    let found = rise.drag_out(&within).map_err(|why| {
        anyhow!(why.words(&|amount| match amount {
            Amount::KgPerM3(kg_per_m3) => format_in(strength, kg_per_m3, 3),
            other => show.amount(other),
        }))
    })?;
    io.print(&render(&rise, &found, &within, area_m2, show))?;
    Ok(Verdict::Good)
}

fn rise_of(args: &DragoutArgs) -> Result<MeasuredRise> {
    Ok(MeasuredRise {
        tank_m3: above_zero(Dim::Volume, &args.tank, "--tank")?,
        start_kg_per_m3: start_of(&args.start)?,
        rise_kg_per_m3: above_zero(Dim::Concentration, &args.rise, "--rise")?,
        bath_kg_per_m3: above_zero(Dim::Concentration, &args.bath, "--bath")?,
        loads: above_zero(Dim::Number, &args.loads, "--loads")?,
    })
}

fn above_zero(dim: Dim, text: &str, option: &'static str) -> Result<f64> {
    let si = dim.parse(text).context(option)?;
    if si > 0.0 {
        Ok(si)
    } else {
        bail!("{option} {}: it must be above 0", printable(text.trim()))
    }
}

fn start_of(text: &str) -> Result<f64> {
    let si = Dim::Concentration.parse(text).context("--start")?;
    if si >= 0.0 {
        Ok(si)
    } else {
        bail!("--start {}: it must be 0 or more", printable(text.trim()))
    }
}

fn within_of(args: &DragoutArgs) -> Result<RelativeUncertainty> {
    let share = |text: &str, option: &'static str| -> Result<f64> {
        let share = Dim::Fraction.parse(text).context(option)?;
        if (0.0..=1.0).contains(&share) {
            Ok(share)
        } else {
            bail!(
                "{option} {}: give a share from 0 to 100 %, with its sign: 5 % rather than 5",
                printable(text.trim())
            )
        }
    };
    Ok(RelativeUncertainty {
        tank: share(&args.tank_within, "--tank-within")?,
        rise: share(&args.rise_within, "--rise-within")?,
        bath: share(&args.bath_within, "--bath-within")?,
        loads: share(&args.loads_within, "--loads-within")?,
    })
}

fn render(
    rise: &MeasuredRise,
    found: &DragOut,
    uncertainty: &RelativeUncertainty,
    area_m2: Option<f64>,
    show: Show,
) -> String {
    let volume = |m3: f64| show.si(Dim::Volume, Style::Default, m3);
    let ranged = |d: f64, low: f64, high: f64| {
        format!("{} ({} to {})", volume(d), volume(low), volume(high))
    };
    let mut facts = Facts::default();
    let (low, high) = (found.low_m3_per_load, found.high_m3_per_load);
    facts.push("Per load", ranged(found.m3_per_load, low, high));
    let n = rise.loads;
    facts.push(
        "All loads together",
        ranged(n * found.m3_per_load, n * low, n * high),
    );
    if let Some(film) = area_m2.and_then(|a| found.per_area(a)) {
        let of = |m: f64| show.si(Dim::Film, Style::Default, m);
        let text = format!(
            "{} ({} to {})",
            of(film.m3_per_m2),
            of(film.low_m3_per_m2),
            of(film.high_m3_per_m2)
        );
        facts.push("Film on the work", text);
    }
    facts.push("Known within", found.known_within());
    let share = (rise.start_kg_per_m3 + rise.rise_kg_per_m3) / rise.bath_kg_per_m3;
    facts.push(
        "Rinse at the end",
        format!("{} of the bath's strength", show.percent(share)),
    );
    let linear = match rise.linear_drag_out_m3_per_load() {
        Ok(d) => volume(d),
        Err(_) => format!(
            "not usable above {} of the bath's strength",
            show.percent(LINEAR_LIMIT)
        ),
    };
    facts.push("Short form V × rise ÷ (n × bath)", linear);
    let mut out = "Drag-out from a measured rise\n".to_owned();
    out.push_str(&rendered(&facts));
    out.push('\n');
    let within = |share: f64| {
        if share > 0.0 {
            format!("within {}", show.percent(share))
        } else {
            "exactly".to_owned()
        }
    };
    out.push_str(&paragraph(&format!(
        "Assumed: the rinse had no inflow or overflow, was well mixed and kept its volume; each load brought in one film of \
         bath and took out as much of the rinse; tank volume is known {}, rise {}, bath {}, loads {}, independent of each other.",
        within(uncertainty.tank),
        within(uncertainty.rise),
        within(uncertainty.bath),
        within(uncertainty.loads)
    )));
    out
}
