//! Work, drag-out, rinses and the route.

use dragback_units::{Dim, format_in};

use super::names::{Station, stage_of, station};
use super::site::room_for_water;
use super::{Findings, Part};
use crate::lower::measured_rise;
use crate::problem::nearest;
use crate::schema::{Drain, Feed, Measured, Scenario, Section, Tank, Weir};

/// Depths of tanks, m: from a dish to a silo. In a thinner sheet the first draught dries the tank up.
const DEPTHS_M: (f64, f64) = (0.1, 30.0);

/// Most that a rack or barrel drags out, m³; the same as for `per_load`.
const MOST_PER_LOAD_M3: f64 = 0.05;

pub(super) fn check(part: &Part<'_>, found: &mut Findings) {
    keys(part, found);
    found.species(part.scenario, part.path("lead"), &part.line.lead);
    work(part, found);
    for (key, still) in part.line.stills.iter() {
        tank(
            &part.path(&format!("stills.{key}.tank")),
            &still.tank,
            found,
        );
        found.water(
            part.scenario,
            part.path(&format!("stills.{key}.water")),
            &still.water,
        );
    }
    for (key, one) in part.line.sections.iter() {
        section(part, key, one, found);
    }
    route(part, found);
}

/// Keys that would mean two things.
fn keys(part: &Part<'_>, found: &mut Findings) {
    if Scenario::FIELDS.iter().any(|meta| meta.name == part.key) {
        let message = format!("`{}` is the name of a part of the scenario", part.key);
        found.add(
            format!("loops.{}", part.key),
            message,
            "give the loop another key",
        );
    }
    for key in part.line.stills.keys().chain(part.line.sections.keys()) {
        let is_taken = matches!(key, "bath" | "collection" | "holding_tank");
        let is_both = part.line.stills.contains_key(key) && part.line.sections.contains_key(key);
        let path = if part.line.sections.contains_key(key) {
            "sections"
        } else {
            "stills"
        };
        let path = part.path(&format!("{path}.{key}"));
        if is_taken {
            let message = format!("`{key}` is the name of another tank of the loop");
            found.add(path, message, "give it another key");
        } else if is_both && !found.0.iter().any(|f| f.problem.path == path) {
            let message = format!("`{key}` is both a still rinse and a section");
            found.add(path, message, "give one of them another key");
        }
    }
}

/// Volumes of a tank that must fit into it.
pub(super) fn tank(path: &str, tank: &Tank, found: &mut Findings) {
    let full = tank.volume.si();
    let full_path = format!("{path}.volume");
    let full_text = tank.volume.quantity();
    if let Some(start) = tank.start_volume.as_ref().filter(|v| v.si() > full) {
        let message = format!(
            "\"{}\" is more than the tank's \"{full_text}\"",
            start.quantity()
        );
        found.add_about(
            format!("{path}.start_volume"),
            std::slice::from_ref(&full_path),
            message,
            "lower it",
        );
    }
    if let Some(start) = tank.start_volume.as_ref().filter(|v| v.si() <= 0.0) {
        let message = format!("a tank cannot start with \"{}\"", start.quantity());
        found.add(
            format!("{path}.start_volume"),
            message,
            "give it at least a litre",
        );
    }
    if tank.dead_volume.si() >= full {
        let message = format!(
            "\"{}\" is not less than the tank's \"{full_text}\"",
            tank.dead_volume.quantity()
        );
        found.add_about(
            format!("{path}.dead_volume"),
            std::slice::from_ref(&full_path),
            message,
            "lower it",
        );
    }
    let depth_m = full / tank.footprint.si();
    let (least_m, most_m) = DEPTHS_M;
    if depth_m < least_m * (1.0 - 1e-9) || depth_m > most_m {
        let message = format!(
            "\"{full_text}\" on \"{}\" stand {} deep; {least_m} to {most_m} m is allowed",
            tank.footprint.quantity(),
            format_in(Dim::Length.si(), depth_m, 2)
        );
        let others = [format!("{path}.footprint")];
        let advice = "correct `volume` or `footprint`";
        found.add_about(full_path.clone(), &others, message, advice);
    }
    let wedge_m3 = 0.5 * tank.footprint.si() * tank.slope_height.si();
    if wedge_m3 > full {
        let message = format!(
            "the sloped part alone, {:.0} L, is more than the tank's \"{full_text}\"",
            1000.0 * wedge_m3
        );
        let others = [full_path, format!("{path}.footprint")];
        found.add_about(format!("{path}.slope_height"), &others, message, "lower it");
    }
}

fn work(part: &Part<'_>, found: &mut Findings) {
    let work = &part.line.work;
    found.calendar(part.scenario, part.path("work.calendar"), &work.calendar);
    found.species_map(part.scenario, &part.path("work.soil"), work.soil.keys());
    if let Some(drag_in) = &work.drag_in {
        let path = part.path("work.drag_in.solutes");
        found.species_map(part.scenario, &path, drag_in.solutes.keys());
        let solutes = drag_in.solutes.iter().map(|(k, c)| (k, c.si()));
        if room_for_water(part.scenario, solutes) < 0.5 {
            let message = "what is dissolved leaves no room for water";
            found.add(path, message, "lower it");
        }
    }
    drag_out(part, found);
}

fn drag_out(part: &Part<'_>, found: &mut Findings) {
    let out = &part.line.work.drag_out;
    let path = |name: &str| part.path(&format!("work.drag_out.{name}"));
    let given = [
        ("film", out.film.is_some()),
        ("flow", out.flow.is_some()),
        ("per_load", out.per_load.is_some()),
        ("measured", out.measured.is_some()),
        ("classes", !out.classes.is_empty()),
    ];
    let ways: Vec<&str> = given
        .iter()
        .filter(|(_, is)| *is)
        .map(|(name, _)| *name)
        .collect();
    let advice =
        "give exactly one of `film`, `flow`, `per_load` or `measured` with `loads`, or `classes`";
    match ways.as_slice() {
        [] => found.add(part.path("work.drag_out"), "no drag-out is given", advice),
        [_] => {}
        [first, ..] => {
            let message = format!("drag-out is given in several ways: {}", ways.join(", "));
            found.add(path(first), message, advice);
        }
    }
    let counted = [
        ("per_load", out.per_load.is_some()),
        ("measured", out.measured.is_some()),
    ];
    match (counted.iter().find(|(_, is)| *is), &out.loads) {
        (Some((there, _)), None) => {
            let message = format!("`{there}` is given without `loads`");
            found.add_about(path(there), &[path("loads")], message, "add `loads`");
        }
        (None, Some(_)) => {
            let message = "`loads` is given without `per_load` or `measured`";
            let others = [path("per_load"), path("measured")];
            found.add_about(path("loads"), &others, message, "add one of them");
        }
        _ => {}
    }
    if let Some(measured) = &out.measured {
        self::measured(&path("measured"), measured, found);
    }
    if out.drain_time.is_some() != out.drain_reference.is_some() {
        let (there, missing) = if out.drain_time.is_some() {
            ("drain_time", "drain_reference")
        } else {
            ("drain_reference", "drain_time")
        };
        let message = format!("`{there}` is given without `{missing}`");
        found.add_about(
            path(there),
            &[path(missing)],
            message,
            format!("add `{missing}`"),
        );
    }
    let total: f64 = out.classes.values().map(|c| c.share.si()).sum();
    if !out.classes.is_empty() && (total - 1.0).abs() > 1e-3 {
        let message = format!(
            "the shares of the kinds of parts add up to {:.1} %",
            100.0 * total
        );
        found.add(path("classes"), message, "make them add up to 100 %");
    }
}

/// Whether a measured rise gives a drag-out that can be.
fn measured(path: &str, measured: &Measured, found: &mut Findings) {
    let at = |name: &str| format!("{path}.{name}");
    let rise = measured_rise(measured);
    let end_kg_per_m3 = rise.start_kg_per_m3 + rise.rise_kg_per_m3;
    let Ok(load_m3) = rise.drag_out_m3_per_load() else {
        let message = format!(
            "the rinse ends at {}, not below the bath's \"{}\"",
            measured.bath.quantity().in_its_unit(end_kg_per_m3, 3),
            measured.bath.quantity()
        );
        let others = [at("start"), at("bath")];
        let advice = "a rinse stays below its bath; check the units of both analyses";
        found.add_about(at("rise"), &others, message, advice);
        return;
    };
    if load_m3 > MOST_PER_LOAD_M3 {
        let message = format!(
            "a load would drag out {}; up to {} is allowed",
            measured.tank.quantity().in_its_unit(load_m3, 3),
            measured.tank.quantity().in_its_unit(MOST_PER_LOAD_M3, 3)
        );
        let others = [at("tank"), at("start"), at("bath"), at("loads")];
        let advice = "check the tank, the loads and both analyses";
        found.add_about(at("rise"), &others, message, advice);
    }
}

fn section(part: &Part<'_>, key: &str, section: &Section, found: &mut Findings) {
    let path = |name: &str| part.path(&format!("sections.{key}.{name}"));
    tank(&path("tank"), &section.tank, found);
    found.water(part.scenario, path("water"), &section.water);
    if section.drain == Drain::Collection && part.line.collection.is_none() {
        let advice = "add `collection` to the loop, or drain to treatment or bath";
        found.add_presence(
            path("drain"),
            &[part.path("collection")],
            "the loop has no collection tank",
            advice,
        );
    }
    if section.weir == Weir::Sharp && section.weir_width.is_none() {
        let message = "a sharp weir needs its width";
        found.add_about(
            path("weir"),
            &[path("weir_width")],
            message,
            "add `weir_width`",
        );
    }
    if section.feed != Feed::Conductivity {
        return;
    }
    for (name, is_there) in [
        ("conductivity_stage", section.conductivity_stage.is_some()),
        (
            "conductivity_set_point",
            section.conductivity_set_point.is_some(),
        ),
    ] {
        if !is_there {
            let message = format!("feed by conductivity needs `{name}`");
            found.add_about(
                path("feed"),
                &[path(name)],
                message,
                format!("add `{name}`"),
            );
        }
    }
    if let Some(stage) = section
        .conductivity_stage
        .as_ref()
        .filter(|s| s.si() > section.stages.si())
    {
        let message = format!(
            "stage {} is measured, but there are only {}",
            stage.quantity(),
            section.stages.quantity()
        );
        let advice = "choose a stage that is there";
        found.add_about(
            path("conductivity_stage"),
            &[path("stages")],
            message,
            advice,
        );
    }
    let (set, band) = (
        &section.conductivity_set_point,
        &section.conductivity_dead_band,
    );
    if let (Some(set), Some(band)) = (set, band)
        && band.si() >= 2.0 * set.si()
    {
        let message = format!(
            "the band \"{}\" around \"{}\" reaches below zero",
            band.quantity(),
            set.quantity()
        );
        let others = [path("conductivity_set_point")];
        found.add_about(path("conductivity_dead_band"), &others, message, "lower it");
    }
}

fn route(part: &Part<'_>, found: &mut Findings) {
    let line = part.line;
    let mut meets_bath = false;
    for (i, visit) in line.route.iter().enumerate() {
        let base = part.path(&format!("route.{}", i + 1));
        match station(line, &visit.at) {
            Some(at) => meets_bath |= at == Station::Bath,
            None => unknown_station(part, &base, &visit.at, found),
        }
        if let Some(spray) = &visit.spray {
            found.water(part.scenario, format!("{base}.spray.water"), &spray.water);
        }
    }
    let all_known = line.route.iter().all(|v| station(line, &v.at).is_some());
    if !meets_bath && all_known {
        found.add(
            part.path("route"),
            "the route never visits the bath",
            "add a visit `(at: \"bath\")` where the work is plated",
        );
    }
}

fn unknown_station(part: &Part<'_>, base: &str, at: &str, found: &mut Findings) {
    let line = part.line;
    if let Some((key, stage)) = stage_of(at)
        && let Some(section) = line.sections.get(key)
    {
        let message = format!(
            "section `{key}` has {} stages, not {stage}",
            section.stages.quantity()
        );
        let others = [part.path(&format!("sections.{key}.stages"))];
        let advice = "choose a stage that is there, counted from the bath";
        found.add_about(format!("{base}.at"), &others, message, advice);
        return;
    }
    let known: Vec<&str> = std::iter::once("bath")
        .chain(line.stills.keys())
        .chain(line.sections.keys())
        .collect();
    let shown: String = at.chars().take(60).collect();
    let advice = match nearest(at, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("stations: {}", crate::problem::one_of(&known)),
    };
    let others = [part.path("stills"), part.path("sections")];
    found.add_presence(
        format!("{base}.at"),
        &others,
        format!("there is no station called `{shown}`"),
        advice,
    );
}
