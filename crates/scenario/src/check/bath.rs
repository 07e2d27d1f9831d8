//! The process bath: its chemistry, rectifier, additions, temperatures and level bands.

use dragback_units::{Dim, Style, System, format};

use super::line::tank;
use super::names::{has_salt, has_species, yield_of};
use super::site::room_for_water;
use super::{Findings, Part};
use crate::lower::{bath_bands, bath_concentrations, bath_over_temperature_k, yields};
use crate::schema::{Additions, FedFrom, Rectifier};

pub(super) fn check(part: &Part<'_>, found: &mut Findings) {
    let bath = &part.line.bath;
    let path = |name: &str| part.path(&format!("bath.{name}"));
    tank(&path("tank"), &bath.tank, found);
    for salt in bath.recipe.keys() {
        found.salt(part.scenario, path(&format!("recipe.{salt}")), salt);
    }
    let maps = [
        ("contaminants", bath.contaminants.keys().collect::<Vec<_>>()),
        ("impurity_limits", bath.impurity_limits.keys().collect()),
        ("purification", bath.purification.keys().collect()),
    ];
    for (name, keys) in maps {
        found.species_map(part.scenario, &path(name), keys.into_iter());
    }
    chemistry(part, found);
    if let Some(rectifier) = &bath.rectifier {
        self::rectifier(part, rectifier, found);
    }
    if let Some(additions) = &bath.additions {
        self::additions(part, additions, found);
    }
    found.water(part.scenario, path("make_up.water"), &bath.make_up.water);
    temperatures(part, found);
    levels(part, found);
}

/// The cooler holds the bath below the alarm of a bath that feeds a tower; other baths have no such alarm.
fn temperatures(part: &Part<'_>, found: &mut Findings) {
    let bath = &part.line.bath;
    let mut towers = part.line.towers.values();
    let feeds = towers.any(|t| t.fed_from == FedFrom::Bath);
    let alarm_k = bath_over_temperature_k(bath);
    if !feeds || bath.cooler_power.si() <= 0.0 || bath.cooler_offset.si() < alarm_k {
        return;
    }
    let message = format!(
        "\"{}\" is not below the offset of the over-temperature alarm, {}: the alarm would cut the heat before the cooler works",
        bath.cooler_offset.quantity(),
        bath.over_temperature_offset.as_ref().map_or_else(
            || format!("{alarm_k:.0} K where nothing is given"),
            |offset| format!("\"{}\"", offset.quantity())
        )
    );
    found.add_about(
        part.path("bath.cooler_offset"),
        &[part.path("bath.over_temperature_offset")],
        message,
        "lower it or raise the offset of the alarm",
    );
}

fn chemistry(part: &Part<'_>, found: &mut Findings) {
    let solutes = bath_concentrations(part.scenario, part.line);
    let room = room_for_water(part.scenario, solutes.iter().map(|(k, c)| (k.as_str(), *c)));
    let recipe = part.path("bath.recipe");
    let crystal_kg_per_m3: f64 = part
        .line
        .bath
        .recipe
        .iter()
        .filter_map(|(salt, amount)| Some(yields(part.scenario, salt)?.1 * amount.si()))
        .sum();
    let water_kg_per_m3 = room * dragback_properties::water::density_kg_per_m3(20.0);
    if room < 0.3 || water_kg_per_m3 < crystal_kg_per_m3 {
        // In the unit in which the recipe is written.
        let first = part.line.bath.recipe.values().next();
        let told = |kg_per_m3: f64| {
            first.map_or_else(
                || format(Dim::Concentration, kg_per_m3, System::Metric, Style::Bath),
                |amount| amount.quantity().in_its_unit(kg_per_m3, 3),
            )
        };
        let message = format!(
            "what is dissolved leaves room for {} of water, and {} come with the crystals alone",
            told(water_kg_per_m3.max(0.0)),
            told(crystal_kg_per_m3.max(0.0))
        );
        found.add_about(
            recipe,
            &[part.path("bath.contaminants")],
            message,
            "lower the recipe",
        );
        return;
    }
    let has_lead = solutes
        .iter()
        .any(|(k, c)| *k == part.line.lead && *c > 0.0);
    let are_known = part
        .line
        .bath
        .recipe
        .keys()
        .all(|k| has_salt(part.scenario, k));
    if !has_lead && are_known && has_species(part.scenario, &part.line.lead) {
        let message = format!(
            "the bath holds none of the lead species `{}`",
            part.line.lead
        );
        found.add_about(
            part.path("lead"),
            &[recipe],
            message,
            "add a salt of it to the recipe",
        );
    }
}

fn rectifier(part: &Part<'_>, rectifier: &Rectifier, found: &mut Findings) {
    let path = |name: &str| part.path(&format!("bath.rectifier.{name}"));
    found.species(part.scenario, path("metal"), &rectifier.metal);
    let metal = dragback_properties::species::builtin(&rectifier.metal)
        .cloned()
        .or_else(|| crate::lower::species_of(part.scenario, &rectifier.metal));
    let is_charged = metal.is_none_or(|s| s.charge > 0 || s.key == "Cr6");
    if !is_charged {
        let message = format!("`{}` is not a metal ion", rectifier.metal);
        found.add(path("metal"), message, "name the species that is deposited");
    }
    if let Some(calendar) = &rectifier.calendar {
        found.calendar(part.scenario, path("calendar"), calendar);
    }
    let impurities = rectifier.anode_impurities.keys();
    found.species_map(part.scenario, &path("anode_impurities"), impurities);
    if rectifier.stored_voltage.si() > rectifier.voltage.si() {
        let message = format!(
            "\"{}\" is more than the whole voltage \"{}\"",
            rectifier.stored_voltage.quantity(),
            rectifier.voltage.quantity()
        );
        found.add_about(
            path("stored_voltage"),
            &[path("voltage")],
            message,
            "lower it",
        );
    }
}

fn additions(part: &Part<'_>, additions: &Additions, found: &mut Findings) {
    let scenario = part.scenario;
    let path = |name: &str| part.path(&format!("bath.additions.{name}"));
    for (species, salt) in additions.restore.iter() {
        let at = path(&format!("restore.{species}"));
        found.species(scenario, at.clone(), species);
        found.salt(scenario, at.clone(), salt);
        let known = has_species(scenario, species) && has_salt(scenario, salt);
        if known && yield_of(scenario, salt, species) <= 0.0 {
            let message = format!("`{salt}` holds no `{species}`");
            found.add(at, message, "name a salt that holds it");
        }
    }
    for key in additions.per_charge.keys() {
        found.dosed(scenario, path(&format!("per_charge.{key}")), key);
    }
    if !additions.per_charge.is_empty() && part.line.bath.rectifier.is_none() {
        let message = "dosing by ampere hour needs a rectifier";
        let others = [part.path("bath.rectifier")];
        found.add_about(
            path("per_charge"),
            &others,
            message,
            "add `rectifier` to the bath",
        );
    }
}

/// A band of the bath's level: what it does, its start and stop in metres, and their paths.
struct LevelBand {
    what: &'static str,
    start_m: f64,
    stop_m: f64,
    paths: [String; 2],
}

/// Bands of the bath's level: make-up below the return of concentrate, both below the brim.
fn levels(part: &Part<'_>, found: &mut Findings) {
    let bands = bath_bands(part.line);
    let shape = ["volume", "footprint", "slope_height"];
    let brim = shape.map(|name| part.path(&format!("bath.tank.{name}")));
    let band = |what, (start_m, stop_m), at: &str| LevelBand {
        what,
        start_m,
        stop_m,
        paths: ["start_level", "stop_level"].map(|name| part.path(&format!("{at}.{name}"))),
    };
    let (rests_m, _) = bands.low_m;
    if part.line.bath.low_alarm.is_some() && bands.low_alarm_m >= rests_m {
        let message = format!(
            "the low alarm at {:.3} m is not below {rests_m:.3} m, at which evaporators fed from the bath rest",
            bands.low_alarm_m
        );
        let path = part.path("bath.low_alarm");
        found.add_about(path, &brim, message, "lower the alarm");
    }
    let make_up = band("make-up", bands.make_up_m, "bath.make_up");
    let back = bands
        .return_m
        .map(|b| band("concentrate", b, "holding_tank.return"));
    let is_make_up_good = is_in_order(&make_up, bands.full_m, &brim, found);
    let Some(back) = back else { return };
    let is_back_good = is_in_order(&back, bands.full_m, &brim, found);
    if is_make_up_good && is_back_good && make_up.stop_m > back.start_m {
        let message = format!(
            "make-up stops at {:.3} m, above the start of concentrate at {:.3} m; plain water would come in where concentrate could",
            make_up.stop_m, back.start_m
        );
        let others = [&back.paths[..], &brim[..]].concat();
        let advice = "lower the make-up band";
        found.add_about(make_up.paths[1].clone(), &others, message, advice);
    }
}

/// Whether a band rises and ends below the brim; what is wrong is reported.
fn is_in_order(band: &LevelBand, full_m: f64, brim: &[String], found: &mut Findings) -> bool {
    let LevelBand {
        what,
        start_m,
        stop_m,
        paths: [start, stop],
    } = band;
    let others = |path: &String| [std::slice::from_ref(path), brim].concat();
    let is_rising = start_m < stop_m;
    if !is_rising {
        let message =
            format!("{what} starts at {start_m:.3} m, not below its stop at {stop_m:.3} m");
        found.add_about(start.clone(), &others(stop), message, "lower the start");
    }
    let is_below_brim = *stop_m <= full_m;
    if !is_below_brim {
        let message = format!("{what} stops at {stop_m:.3} m, above the brim at {full_m:.3} m");
        found.add_about(stop.clone(), &others(start), message, "lower it");
    }
    is_rising && is_below_brim
}
