//! `dragback payback`.

use std::sync::Arc;

use anyhow::{Context, Result, bail};
use dragback_plant::TowerCache;
use dragback_study::money::{
    BreakEven, Kilogram, MoneyError, Payback, Plan, Swing, Years, input_break_even, kilograms,
    price_break_evens, tornado, work_inputs,
};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style};
use serde::Serialize;

use crate::answers_text::{CAUTION, section};
use crate::args::{Input, PaybackArgs};
use crate::facts::{Facts, paragraph};
use crate::io::{Io, printable};
use crate::progress::Progress;
use crate::show::Show;
use crate::source::{Loaded, load};
use crate::table::{Table, WIDTH, wrap};
use crate::target::Targets;
use crate::verdict::Verdict;

/// Says that prices are somebody's own.
const OWN_PRICES: &str =
    "Prices are the scenario's own, and so is the equipment; money is as good as they are.";

/// Says which price counts where.
const TWO_PRICES: &str = "The worth counts in what is lost a day and a year; the running cost counts what is bought, all of its price put on this solute here.";

/// What the command writes as JSON.
#[derive(Serialize)]
struct Sheet {
    #[serde(flatten)]
    payback: Payback,
    /// The answer in words.
    in_words: String,
    /// Years in which the break-even values bring the money back.
    within_years: f64,
    break_even: Vec<BreakEven>,
    tornado: Vec<Swing>,
    /// A kilogram of each lead solute by its several prices.
    kilograms: Vec<Kilogram>,
}

/// Sets two lines against each other.
pub(crate) fn payback(args: &PaybackArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    if args.before == "-" && args.after == "-" {
        bail!("only one of the two scenarios can come from standard input");
    }
    let within_years = within_years(&args.within)?;
    let targets = Targets::new(None, args.json.as_ref(), &args.after)?;
    drop(Targets::new(None, args.json.as_ref(), &args.before)?);
    let (before, after) = both(args, io)?;
    let sheet = {
        let mut progress = Progress::new(io, "Comparing settled weeks", None);
        sheet(&before, &after, within_years, show, &mut |t_s| {
            progress.at(t_s)
        })?
    };
    if let Some(target) = &targets.json {
        target.write_json(&sheet, io)?;
    }
    if !targets.take_standard() {
        io.print(&render(&sheet, show))?;
    }
    Ok(Verdict::Good)
}

/// Both lines, with what is set in each that has it; the one after must have it.
fn both(args: &PaybackArgs, io: &mut Io<'_>) -> Result<(Loaded, Loaded)> {
    let (file, set) = (args.after.clone(), args.set.clone());
    let after = load(&Input { file, set }, io)?;
    let file = args.before.clone();
    let set = Vec::new();
    let mut before = load(&Input { file, set }, io)?;
    before.set_where_it_is(&args.set)?;
    Ok((before, after))
}

fn within_years(text: &str) -> Result<f64> {
    let years = Dim::Time.parse(text).context("--within")? / unit::SECONDS_PER_YEAR;
    if (0.1..=100.0).contains(&years) {
        Ok(years)
    } else {
        bail!("--within {}: give 0.1 to 100 years", printable(text.trim()))
    }
}

fn sheet(
    before: &Loaded,
    after: &Loaded,
    within_years: f64,
    show: Show,
    watch: &mut dyn FnMut(f64) -> bool,
) -> Result<Sheet> {
    let cache = TowerCache::default();
    let mut plan = |loaded: &Loaded| {
        let found = Plan::settled(Arc::new(loaded.scenario.clone()), &cache, watch);
        found.map_err(|why| named(why, loaded))
    };
    let (old, new) = (plan(before)?, plan(after)?);
    let payback = Payback::of(&old, &new)?;
    let tornado = tornado(&old, &new, &cache, watch)?;
    let scenarios = (&before.scenario, &after.scenario);
    let mut break_even = price_break_evens(&payback, within_years);
    for (about, path, name) in work_inputs(&after.scenario) {
        let of = (about, path.as_str(), name.as_str());
        break_even.extend(input_break_even(
            scenarios,
            of,
            within_years,
            &cache,
            watch,
        )?);
    }
    let money = |amount: f64| whole(amount, &payback.currency);
    Ok(Sheet {
        in_words: payback.words(&money, &|years| show.years(years)),
        payback,
        within_years,
        break_even,
        tornado,
        kilograms: kilograms(&after.scenario),
    })
}

/// An error with the file that it is about.
fn named(why: MoneyError, loaded: &Loaded) -> anyhow::Error {
    let name = loaded.name.clone();
    match why {
        MoneyError::Study(study) => anyhow::Error::new(study).context(name),
        other => anyhow::Error::new(other).context(name),
    }
}

/// An amount of money to whole units.
fn whole(amount: f64, currency: &str) -> String {
    // Not "−0".
    let amount = if amount.abs() < 0.5 { 0.0 } else { amount };
    format!("{amount:.0} {currency}").trim_end().to_owned()
}

fn render(sheet: &Sheet, show: Show) -> String {
    let payback = &sheet.payback;
    let currency = payback.currency.as_str();
    let mut out = paragraph(&format!("Before: {}", payback.before));
    out.push_str(&paragraph(&format!("After:  {}", payback.after)));
    out.push('\n');
    out.push_str(&paragraph(&sheet.in_words));
    for warning in payback.warnings() {
        out.push_str(&paragraph(&warning));
    }
    section(
        &format!("Running cost of a year, {currency}"),
        &cost_table(payback),
        &mut out,
    );
    out.push_str("\nWhat that means\n");
    out.push_str(&facts(payback, show).into_text());
    // Where nothing is laid out there is nothing to come back.
    if payback.laid_out > 0.0 {
        let within = show.years(sheet.within_years);
        out.push_str(&format!(
            "\nIt pays within {within}, everything else as it is, if\n"
        ));
        for condition in conditions(&sheet.break_even, currency, show) {
            for (i, line) in wrap(&condition, WIDTH - 4).iter().enumerate() {
                let indent = if i == 0 { "  " } else { "    " };
                out.push_str(&format!("{indent}{line}\n"));
            }
        }
        section(
            "What moves the payback most, of the inputs with a low and a high value",
            &tornado_table(&sheet.tornado, currency, show),
            &mut out,
        );
    }
    for kilogram in &sheet.kilograms {
        let table = kilogram_table(kilogram, currency, show);
        section(
            &format!("A kilogram of {}", kilogram.solute),
            &table,
            &mut out,
        );
    }
    if !sheet.kilograms.is_empty() {
        out.push_str(&paragraph(TWO_PRICES));
    }
    if !payback.uncounted.is_empty() {
        out.push_str("\nNot counted\n");
        for what in &payback.uncounted {
            out.push_str(&format!("  {what}\n"));
        }
    }
    let date = payback.date.as_deref();
    let date = date.map_or_else(String::new, |d| format!(" They are of {d}."));
    out.push('\n');
    out.push_str(&paragraph(&format!("{OWN_PRICES}{date} {CAUTION}")));
    out
}

fn cost_table(payback: &Payback) -> Table {
    let mut table = Table::new(["", "before", "after", "difference"]);
    let bare = |amount: f64| whole(amount, "");
    for line in &payback.lines {
        table.push([
            line.name.clone(),
            bare(line.before),
            bare(line.after),
            bare(line.difference),
        ]);
    }
    table.push([
        "all".to_owned(),
        bare(payback.cost_before),
        bare(payback.cost_after),
        bare(-payback.saving_per_year),
    ]);
    table
}

fn facts(payback: &Payback, show: Show) -> Facts {
    let money = |amount: f64| whole(amount, &payback.currency);
    let mut facts = Facts::default();
    let equipment = payback.equipment.iter();
    let equipment: Vec<String> = equipment.map(|(k, x)| format!("{k} {x:.0}")).collect();
    let laid_out = if equipment.is_empty() {
        money(payback.laid_out)
    } else {
        format!("{}: {}", money(payback.laid_out), equipment.join(", "))
    };
    facts.push("laid out", laid_out);
    facts.push(
        "payback without interest",
        years_words(payback.simple, show),
    );
    let interest = show.percent(payback.interest);
    facts.push(
        &format!("payback with {interest} interest"),
        years_words(payback.discounted, show),
    );
    let horizon = payback.horizon_years;
    facts.push(
        &format!("net present value, {horizon} years"),
        money(payback.net_present_value),
    );
    facts.push(
        "internal rate of return",
        payback.rate_words(&|rate| show.percent(rate)),
    );
    if payback.laid_out <= 0.0 {
        return facts;
    }
    facts.push(
        "cost of the recovery",
        format!(
            "{} a year, equipment included",
            money(payback.cost_of_recovery)
        ),
    );
    if let Some(per_m3) = payback.per_m3_evaporated {
        let told = show.price(Dim::MoneyPerVolume, per_m3, &payback.currency);
        facts.push("  of water evaporated", told);
    }
    if let Some(per_kg) = payback.per_kg_returned {
        let told = show.price(Dim::MoneyPerMass, per_kg, &payback.currency);
        facts.push("  of lead metal returned", told);
    }
    facts
}

fn years_words(years: Years, show: Show) -> String {
    match years {
        Years::After(after) => show.years(after),
        Years::AtOnce => "at once".to_owned(),
        Years::Never => "never".to_owned(),
    }
}

/// Each break-even value as a condition; those of which no value makes a difference come last.
fn conditions(all: &[BreakEven], currency: &str, show: Show) -> Vec<String> {
    let told = |found: &BreakEven| found.condition(&|si| show.any(found.dim, si, currency));
    let (with, without): (Vec<&BreakEven>, Vec<&BreakEven>) =
        all.iter().partition(|found| found.value.is_some());
    with.into_iter().chain(without).map(told).collect()
}

/// Each uncertain input with its low, likely and high value, and the payback at each.
fn tornado_table(all: &[Swing], currency: &str, show: Show) -> Table {
    let mut table = Table::new(["", "low, likely, high", "payback, years"]);
    for swing in all {
        let told =
            [swing.low, swing.likely, swing.high].map(|si| show.any(swing.dim, si, currency));
        let years = [swing.at_low, swing.at_likely, swing.at_high].map(|years| match years {
            Years::After(after) => show.si(Dim::Number, Style::Default, after),
            other => years_words(other, show),
        });
        table.push([short_path(&swing.path), in_a_row(&told), years.join(", ")]);
    }
    table
}

/// What a kilogram is worth where it is lost, and what it costs as each thing that brings it.
fn kilogram_table(kilogram: &Kilogram, currency: &str, show: Show) -> Table {
    let mut table = Table::new(["", "price", "by"]).text(2);
    let told = |per_kg: f64| show.any(Dim::MoneyPerMass, per_kg, currency);
    if let Some(worth) = kilogram.worth_per_kg {
        let path = format!("prices.solutes.{}", kilogram.solute);
        table.push(["worth where it is lost".to_owned(), told(worth), path]);
    }
    for bought in &kilogram.bought {
        let name = format!("bought as {}", bought.name);
        table.push([name, told(bought.per_kg), bought.path.clone()]);
    }
    table
}

/// Values in a row, with their unit once where they share it.
fn in_a_row(told: &[String]) -> String {
    let unit = |text: &str| text.split_once(' ').map(|(_, unit)| unit.to_owned());
    let first = told.first().and_then(|t| unit(t));
    if told.iter().any(|t| unit(t) != first) {
        return told.join(", ");
    }
    let numbers: Vec<&str> = told.iter().filter_map(|t| t.split(' ').next()).collect();
    format!("{} {}", numbers.join(", "), first.unwrap_or_default())
        .trim_end()
        .to_owned()
}

/// A path without the word that all prices share.
fn own_path(path: &str) -> &str {
    path.strip_prefix("prices.").unwrap_or(path)
}

/// The last two parts of a path, which tell the inputs of one scenario apart nearly always; a table of five columns has no room for more.
fn short_path(path: &str) -> String {
    let parts: Vec<&str> = own_path(path).split('.').collect();
    let crystal_water = parts.last().is_some_and(|p| p.ends_with("H2O"));
    let kept = if crystal_water { 3 } else { 2 };
    parts[parts.len().saturating_sub(kept)..].join(".")
}
