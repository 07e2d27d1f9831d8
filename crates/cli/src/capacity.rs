//! `dragback capacity`.

mod csv_file;
mod points;

use anyhow::{Context, Result, anyhow, bail};
use dragback_properties::air::AirState;
use dragback_units::constants as unit;
use dragback_units::{
    Dim, Style, System, Unit, celsius_from_fahrenheit, celsius_from_kelvin, format_in,
    kelvin_from_celsius,
};
use serde::Serialize;

use crate::args::CapacityArgs;
use dragback_report::Facts;
use dragback_report::told::CAUTION;

use crate::facts::{paragraph, rendered};
use crate::io::Io;
use crate::source::load;
use crate::target::Targets;
use crate::verdict::Verdict;
use csv_file::write_csv;
use dragback_report::Table;
use dragback_report::{NO_NUMBER, Show};
use points::{Inlet, Point, RatedSheet, TowerSheet};

/// Temperature of the water as whose volume evaporation is told, °C.
const TOLD_AT_C: f64 = 20.0;

/// What the command writes as JSON.
#[derive(Serialize)]
struct Sheets<'a> {
    scenario: &'a str,
    towers: &'a [TowerSheet],
}

/// Tabulates every tower of a scenario.
pub(crate) fn capacity(args: &CapacityArgs, show: Show, io: &mut Io<'_>) -> Result<Verdict> {
    let at = args.at.as_deref().map(single).transpose()?;
    let targets = Targets::new(args.csv.as_ref(), args.json.as_ref(), &args.input.file)?;
    let loaded = load(&args.input, io)?;
    let case = loaded.case()?;
    let ladder = solution_ladder(show.system);
    let write = |amount| show.amount(amount);
    let asked = |pressure_pa: f64, ceiling_c: f64| -> Result<(Vec<f64>, Vec<Inlet>)> {
        match at {
            Some((solution_c, air_c, humidity)) => {
                let air = AirState::from_relative_humidity(air_c, humidity, pressure_pa);
                let air = air.map_err(|why| anyhow!("--at: {}", why.words(&write)))?;
                Ok((
                    vec![solution_c],
                    vec![Inlet {
                        name: "as asked".to_owned(),
                        air,
                    }],
                ))
            }
            None => Ok((
                ladder
                    .iter()
                    .copied()
                    .filter(|&t| t <= ceiling_c + 0.05)
                    .collect(),
                Vec::new(),
            )),
        }
    };
    let sheets = points::sheets(&case, &asked)?;
    if let Some(target) = &targets.csv {
        write_csv(target, &sheets, show, io)?;
    }
    if let Some(target) = &targets.json {
        let title = case.plant.network().title.clone();
        let sheets = Sheets {
            scenario: &title,
            towers: &sheets,
        };
        target.write_json(&sheets, io)?;
    }
    let too_hot: Vec<String> = sheets
        .iter()
        .filter_map(|s| too_hot(s, at?.0, show))
        .collect();
    if !targets.take_standard() {
        io.print(&render(
            &case.plant.network().title,
            &sheets,
            at.is_some(),
            &too_hot,
            show,
        ))?;
    }
    let refused = |p: &points::Point| p.fault.map(|why| why.words(&write));
    let reasons: Vec<Option<String>> = sheets.iter().flat_map(|s| &s.points).map(refused).collect();
    let none_answers = at.is_some() && reasons.iter().all(Option::is_some);
    if let (true, Some(Some(why))) = (none_answers, reasons.first()) {
        bail!("--at: no tower has an answer: {why}");
    }
    Ok(Verdict::of(&too_hot))
}

/// A solution hotter than the tower stands.
fn too_hot(sheet: &TowerSheet, solution_c: f64, show: Show) -> Option<String> {
    let is_above = solution_c > sheet.ceiling_c + 0.05;
    is_above.then(|| {
        format!(
            "{}: {} is above the {} that this tower stands",
            sheet.name,
            show.temperature(solution_c),
            show.temperature(sheet.ceiling_c)
        )
    })
}

/// Solution temperatures of the table, °C: round numbers in the units that are read.
fn solution_ladder(system: System) -> Vec<f64> {
    match system {
        System::Metric => (0..12).map(|i| 35.0 + 5.0 * f64::from(i)).collect(),
        System::Us => (0..11)
            .map(|i| celsius_from_fahrenheit(100.0 + 10.0 * f64::from(i)))
            .collect(),
    }
}

/// Solution temperature (°C), air temperature (°C) and relative humidity of `--at`.
fn single(text: &str) -> Result<(f64, f64, f64)> {
    let parts: Vec<&str> = text.split(',').collect();
    let [solution, air, humidity] = parts[..] else {
        bail!(
            "--at {}: write solution temperature, air temperature and relative humidity, such as \"62 °C, 21 °C, 45 %\"",
            crate::io::printable(text)
        );
    };
    let kelvin = |text: &str| Dim::Temperature.parse(text).context("--at");
    let written = crate::io::printable(humidity.trim());
    let humidity = Dim::Fraction.parse(humidity).context("--at")?;
    if !(0.0..=1.0).contains(&humidity) {
        let is_percent = (0.0..=100.0).contains(&humidity) && !written.contains('%');
        let advice = if is_percent {
            format!("its unit is missing, write \"{written} %\"")
        } else {
            "give 0 to 100 %".to_owned()
        };
        bail!("--at: relative humidity \"{written}\" cannot be: {advice}");
    }
    Ok((
        celsius_from_kelvin(kelvin(solution)?),
        celsius_from_kelvin(kelvin(air)?),
        humidity,
    ))
}

fn render(
    title: &str,
    sheets: &[TowerSheet],
    is_single: bool,
    too_hot: &[String],
    show: Show,
) -> String {
    let mut out = paragraph(title);
    if sheets.is_empty() {
        out.push_str("This line has no evaporator.\n");
        return out;
    }
    for sheet in sheets {
        out.push('\n');
        out.push_str(&about(sheet, show));
        if is_single {
            out.push_str(&one(sheet, show));
        } else {
            out.push_str(&blocks(sheet, show));
        }
    }
    if sheets
        .iter()
        .flat_map(|s| &s.points)
        .any(|p| p.evaporation_l_per_h < 0.0)
    {
        out.push('\n');
        out.push_str(&paragraph(
            "Evaporation below zero is condensation: the air is so warm and damp that it gives water to the solution.",
        ));
    }
    for reason in too_hot {
        out.push('\n');
        out.push_str(&paragraph(reason));
    }
    out.push('\n');
    out.push_str(&paragraph(&format!(
        "Film equations at the full feed and air, with the water activity of the feeding tank as it starts. The heat is all \
         that leaves the solution; heaters must replace it and the tanks' own losses. Transfer units and Merkel number \
         say how good the contact of air and solution is. Volumes evaporated are of water at {}.",
        show.temperature(TOLD_AT_C)
    )));
    out.push('\n');
    out.push_str(&paragraph(CAUTION));
    out
}

fn about(sheet: &TowerSheet, show: Show) -> String {
    let mut facts = Facts::default();
    facts.push("Tower", &sheet.name);
    facts.push(
        "Fed from",
        format!("{}, {}", sheet.fed_from, show.flow(sheet.feed_l_per_h)),
    );
    let air_m3_per_s = sheet.air_flow_m3_per_h / unit::m3_per_h(1.0);
    facts.push("Air", show.si(Dim::VolumeFlow, Style::Air, air_m3_per_s));
    facts.push(
        "Water activity of the solution",
        format!("{:.4} (1 is pure water)", sheet.water_activity),
    );
    let (ntu, merkel) = (sheet.transfer_units, sheet.merkel_number);
    facts.push(
        "Rated contact",
        format!("{ntu:.2} transfer units, Merkel number {merkel:.3}"),
    );
    if let Some(rated) = &sheet.rated {
        rated_facts(rated, show, &mut facts);
    }
    rendered(&facts)
}

fn rated_facts(rated: &RatedSheet, show: Show, facts: &mut Facts) {
    facts.push(
        "Rated by its maker",
        format!(
            "{} of water from {}, air {}, {}",
            show.flow(rated.evaporation_l_per_h),
            show.temperature(rated.solution_c),
            show.temperature(rated.air_c),
            show.percent(rated.relative_humidity)
        ),
    );
    facts.push(
        "Computed there",
        format!(
            "{} of water; {} from this solution, with the air, feed and fan of this line",
            show.flow(rated.computed_l_per_h),
            show.flow(rated.as_run_l_per_h)
        ),
    );
}

/// Heat flows of towers: kW in both systems, as heaters are rated.
fn heat_unit(show: Show) -> &'static Unit {
    let kilowatt = Dim::Power.find_unit("kW");
    kilowatt.unwrap_or_else(|| Dim::Power.display_unit(show.system, Style::Default))
}

/// A heat flow in [`heat_unit`], three digits.
fn heat(show: Show, kw: f64) -> String {
    if kw.is_finite() {
        format_in(heat_unit(show), 1000.0 * kw, 3)
    } else {
        NO_NUMBER.to_owned()
    }
}

/// Unit of fog, by the mass of dry air.
fn fog_unit(show: Show) -> &'static str {
    match show.system {
        System::Metric => "g/kg dry air",
        System::Us => "lb/1000 lb dry air",
    }
}

fn blocks(sheet: &TowerSheet, show: Show) -> String {
    let mut out = String::new();
    for inlet in &sheet.inlets {
        out.push_str(&format!(
            "\n  Inlet air {}, {} relative humidity ({})\n",
            show.temperature(inlet.air.temp_c),
            show.percent(inlet.air.relative_humidity()),
            inlet.name
        ));
        let unit = |dim| show.unit(dim, Style::Default);
        let mut table = Table::new([
            "solution".to_owned(),
            format!("evaporation\n{}", unit(Dim::VolumeFlow)),
            format!("heat\n{}", heat_unit(show).symbol),
            format!("solution\nleaves {}", unit(Dim::Temperature)),
            format!("air leaves\n{}", unit(Dim::Temperature)),
            "saturation\n%".to_owned(),
        ]);
        for point in sheet.points.iter().filter(|p| p.inlet == inlet.name) {
            table.push(columns(point, show));
        }
        out.push_str(&crate::table::rendered(&table));
    }
    out
}

fn first_word(text: &str) -> String {
    text.split(' ').next().unwrap_or_default().to_owned()
}

fn columns(point: &Point, show: Show) -> Vec<String> {
    let bare = |dim, si: f64| show.bare(dim, Style::Default, si);
    let temperature = |c: f64| match show.system {
        _ if !c.is_finite() => NO_NUMBER.to_owned(),
        system => format!(
            "{:.1}",
            Dim::Temperature
                .display_unit(system, Style::Default)
                .from_si(kelvin_from_celsius(c))
        ),
    };
    vec![
        show.temperature(point.solution_c),
        bare(Dim::VolumeFlow, point.evaporation_m3_per_s()),
        first_word(&heat(show, point.heat_kw)),
        temperature(point.solution_out_c),
        temperature(point.air_out_c),
        bare(Dim::Fraction, point.air_out_saturation),
    ]
}

fn one(sheet: &TowerSheet, show: Show) -> String {
    let mut facts = Facts::default();
    for point in &sheet.points {
        let humidity = show.percent(point.relative_humidity);
        facts.push("Solution enters at", show.temperature(point.solution_c));
        facts.push(
            "Air enters at",
            format!(
                "{}, {humidity} relative humidity",
                show.temperature(point.air_c)
            ),
        );
        if let Some(why) = point.fault {
            facts.push("No answer", why.words(&|amount| show.amount(amount)));
            continue;
        }
        facts.push("Evaporation", show.flow(point.evaporation_l_per_h));
        facts.push("Heat drawn from the solution", heat(show, point.heat_kw));
        let specific_j_per_m3 = 1000.0 * point.heat_kw / point.evaporation_m3_per_s();
        let specific = if point.evaporation_l_per_h > 0.0 {
            specific_j_per_m3
        } else {
            f64::NAN
        };
        facts.push(
            "Heat for each volume evaporated",
            show.si(Dim::EnergyPerVolume, Style::Default, specific),
        );
        facts.push("Solution leaves at", show.temperature(point.solution_out_c));
        let saturation = show.percent(point.air_out_saturation);
        facts.push(
            "Air leaves at",
            format!(
                "{}, {saturation} of saturation with its fog",
                show.temperature(point.air_out_c)
            ),
        );
        facts.push(
            "Fog",
            format!("{:.2} {}", point.fog_g_per_kg_dry_air, fog_unit(show)),
        );
        facts.push(
            "Contact here",
            format!(
                "{:.2} transfer units, Merkel number {:.3}",
                point.transfer_units, point.merkel_number
            ),
        );
    }
    rendered(&facts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_is_three_quantities() {
        let (solution, air, humidity) = single("160 °F, 70 °F,50%").unwrap();
        assert!(
            (solution - 71.11).abs() < 0.01
                && (air - 21.11).abs() < 0.01
                && (humidity - 0.5).abs() < 1e-12
        );
        for bad in [
            "",
            "62 °C",
            "62 °C, 21 °C",
            "62 °C, 21 °C, 45 %, 1",
            "62, 21 °C, 45 %",
            "62 L, 21 °C, 45 %",
            "62 °C, 21 °C, 150 %",
        ] {
            let error = format!("{:#}", single(bad).unwrap_err());
            assert!(error.starts_with("--at"), "{error}");
        }
    }
}
