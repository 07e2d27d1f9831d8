//! `dragback check`.

use anyhow::Result;
use dragback_properties::film::FILM_HINTS;
use dragback_scenario::{Origin, Parameter, Registry};
use dragback_units::{Dim, Style, System, format_in};

use crate::args::CheckArgs;
use crate::io::Io;
use crate::source::{Loaded, load};
use crate::table::{WIDTH, cut, wrap};
use crate::verdict::Verdict;
use dragback_report::Show;

/// Bounds converted through another unit may differ in the last place.
const SLACK: f64 = 1e-9;

/// Reads, checks and compiles a scenario and says what it found.
pub(crate) fn check(args: &CheckArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    let loaded = load(&args.input, io)?;
    let case = loaded.case()?;
    let registry = Registry::of(&loaded.scenario);
    let net = case.plant.network();
    let mut out = format!(
        "{}: good. {}, {}, {}, {}\n",
        loaded.name,
        counted(net.loops.len(), "loop"),
        counted(net.vessels.len(), "tank"),
        counted(net.solutes.len(), "solute"),
        counted(registry.len(), "input"),
    );
    out.push_str(&variants(&loaded));
    out.push_str(&origins(&registry));
    out.push_str(&unusual(&registry, show));
    out.push_str(&outside_own(&registry, show));
    if let Some(word) = &args.inputs {
        out.push_str(&inputs(&loaded, &registry, word, show));
    }
    io.print(&out)?;
    Ok(Verdict::Good)
}

fn counted(n: usize, what: &str) -> String {
    if n == 1 {
        format!("1 {what}")
    } else {
        format!("{n} {what}s")
    }
}

/// Names of the variants that stand in the file.
fn variants(loaded: &Loaded) -> String {
    let variants = &loaded.scenario.variants;
    let names: Vec<&str> = variants.iter().map(|(name, _)| name).collect();
    if names.is_empty() {
        return String::new();
    }
    let count = counted(names.len(), "variant");
    wrap(&format!("{count}: {}", names.join(", ")), WIDTH - 2)
        .iter()
        .map(|line| format!("  {line}\n"))
        .collect()
}

/// How many inputs are measured, assumed and typical.
fn origins(registry: &Registry) -> String {
    let given = || registry.iter().filter(|p| p.leaf.is_given && !p.is_derived);
    let of = |origin: Origin| given().filter(|p| p.leaf.origin == Some(origin)).count();
    let silent = given().filter(|p| p.leaf.origin.is_none()).count();
    let (measured, assumed, typical) = (
        of(Origin::Measured),
        of(Origin::Assumed),
        of(Origin::Typical),
    );
    format!(
        "  given: {measured} measured, {assumed} assumed, {typical} typical, {silent} without origin\n"
    )
}

/// Inputs outside what is usual: no fault, but worth a look.
fn unusual(registry: &Registry, show: Show) -> String {
    let mut out = String::new();
    for p in registry.iter().filter(|p| p.leaf.is_given && !p.is_derived) {
        let (Some(si), Some((low, high)), Some(usual)) = (p.si(), p.usual_si(), usual(p, show))
        else {
            continue;
        };
        let slack = SLACK * low.abs().max(high.abs());
        if si < low - slack || si > high + slack {
            out.push_str(&format!(
                "  unusual: {}: {} (usual {usual})\n",
                p.path,
                p.text().unwrap_or_default()
            ));
        }
    }
    out
}

/// Inputs whose value lies outside what the scenario itself says of them: one of the three is wrong.
fn outside_own(registry: &Registry, show: Show) -> String {
    let mut out = String::new();
    for p in registry.iter().filter(|p| p.leaf.is_given && !p.is_derived) {
        let (Some(si), spread) = (p.si(), p.leaf.spread) else {
            continue;
        };
        let is_below = spread.low.is_some_and(|low| si < low - SLACK * low.abs());
        let is_above = spread
            .high
            .is_some_and(|high| si > high + SLACK * high.abs());
        let end = match (is_below, is_above) {
            (true, _) => spread.low.map(|low| ("below its own low", low)),
            (_, true) => spread.high.map(|high| ("above its own high", high)),
            _ => None,
        };
        let told =
            end.and_then(|(words, si)| Some(format!("{words} of {}", own_words(p, si, show)?)));
        if let Some(told) = told {
            let value = p.text().unwrap_or_default();
            out.push_str(&format!("  {told}: {}: {value}\n", p.path));
        }
    }
    out
}

/// A value in the unit in which the input is written.
fn own_words(p: &Parameter, si: f64, show: Show) -> Option<String> {
    let dim = p.dim()?;
    let written = p.text().and_then(|text| dim.parse_with_unit(text).ok());
    let unit = match written {
        Some(parsed) if !parsed.unit_text.trim().is_empty() => parsed.unit,
        _ if show.system == System::Us => dim.display_unit(show.system, Style::Default),
        _ => dim.find_unit(p.meta.unit)?,
    };
    Some(format_in(unit, si, 4))
}

/// The usual range in the unit in which the value is written, or else in that in which it is declared, or in the US one of its dimension.
fn usual(p: &Parameter, show: Show) -> Option<String> {
    let (dim, (low, high)) = (p.dim()?, p.usual_si()?);
    let written = p.text().and_then(|text| dim.parse_with_unit(text).ok());
    let unit = match written {
        Some(parsed) if !parsed.unit_text.trim().is_empty() => parsed.unit,
        _ if show.system == System::Us => dim.display_unit(show.system, Style::Default),
        _ => dim.find_unit(p.meta.unit)?,
    };
    let low = format_in(unit, low, 2);
    // The unit once, behind the second number.
    let low = low.strip_suffix(unit.symbol).unwrap_or(&low).trim_end();
    Some(format!("{low} to {}", format_in(unit, high, 2)))
}

/// Notes are for people, not for runs.
fn is_note(p: &Parameter) -> bool {
    p.path.rsplit('.').next() == Some("notes")
}

fn inputs(loaded: &Loaded, registry: &Registry, word: &str, show: Show) -> String {
    let wanted = word.to_lowercase();
    let matching: Vec<&Parameter> = registry
        .iter()
        .filter(|p| p.path.to_lowercase().contains(&wanted) && !is_note(p))
        .collect();
    if matching.is_empty() {
        let near = registry
            .suggest(word)
            .map_or_else(String::new, |p| format!("; did you mean {p}?"));
        return format!(
            "\nNo input of {} has `{word}` in its path{near}\n",
            loaded.name
        );
    }
    let mut out = "\nInputs\n".to_owned();
    let mut has_film = false;
    for p in matching {
        let value = p.text().unwrap_or("not given");
        let default = if p.leaf.is_given || p.text().is_none() {
            ""
        } else {
            " (default)"
        };
        out.push_str(&cut(&format!("  {} = {value}{default}", p.path), WIDTH));
        out.push('\n');
        let mut about = p.hint().to_owned();
        if let Some(usual) = usual(p, show) {
            about.push_str(&format!(" Usual: {usual}."));
        }
        for line in wrap(&about, WIDTH - 6) {
            out.push_str(&format!("      {line}\n"));
        }
        has_film |= p.dim() == Some(Dim::Film);
    }
    if has_film {
        out.push_str(&film_hints(show));
    }
    out
}

/// Films by kind of work, for someone who has not measured.
fn film_hints(show: Show) -> String {
    let of = |m: f64| show.si(Dim::Film, Style::Default, m);
    let mut out = "\nFilm by kind of work, where nothing was measured\n".to_owned();
    for hint in FILM_HINTS {
        let (low, high) = (hint.low_m3_per_m2, hint.high_m3_per_m2);
        let range = if low < high {
            format!("{} to {}", of(low), of(high))
        } else {
            of(low)
        };
        out.push_str(&format!("  {:<34}{range}\n", hint.work));
    }
    out
}
