//! What stands beside the stations and streams, and what is read out of them.

use dragback_study::told_m3_per_s;
use dragback_units::constants::SECONDS_PER_HOUR;
use dragback_units::{Dim, Style, System, kelvin_from_celsius};

use super::scene::{
    Air, Apparatus, ApparatusKind, Place, Running, Scene, Station, Stream, StreamKind,
};
use dragback_units::digits::{joined, shown, strength, three};

/// A volume flow.
#[must_use]
pub fn flow(m3_per_s: f64, system: System) -> String {
    let unit = Dim::VolumeFlow.display_unit(system, Style::Default);
    if m3_per_s == 0.0 {
        return format!("0\u{a0}{}", unit.symbol);
    }
    let decimals = if m3_per_s * 1000.0 * SECONDS_PER_HOUR < 0.1 {
        3
    } else {
        2
    };
    joined((three(unit.from_si(m3_per_s), decimals), unit.symbol))
}

/// A temperature, °C given.
#[must_use]
pub fn temperature(temp_c: f64, system: System) -> String {
    temperature_to(temp_c, 1, system)
}

/// The same in whole degrees, for a place where there is little room.
#[must_use]
pub fn temperature_whole(temp_c: f64, system: System) -> String {
    temperature_to(temp_c, 0, system)
}

fn temperature_to(temp_c: f64, decimals: usize, system: System) -> String {
    let unit = Dim::Temperature.display_unit(system, Style::Default);
    let shown = unit.from_si(kelvin_from_celsius(temp_c));
    joined((three(shown, decimals), unit.symbol))
}

/// A volume.
#[must_use]
pub fn volume(m3: f64, system: System) -> String {
    joined(shown(Dim::Volume, m3, system, Style::Default))
}

/// A strength with the symbol of what is dissolved.
#[must_use]
pub fn strength_of(kg_per_m3: f64, lead: &str, system: System) -> String {
    format!("{}\u{a0}{lead}", joined(strength(kg_per_m3, system)))
}

/// Number and unit of a power, kW.
#[must_use]
pub fn power(w: f64, system: System) -> String {
    joined(shown(Dim::Power, w, system, Style::Default))
}

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", (100.0 * share).round())
}

/// What is read of a station after its name, each thing by itself: `620 L`, `24 °C`, `0.08 g/L Ni`.
#[must_use]
pub fn station_parts(scene: &Scene, s: &Station, system: System) -> Vec<String> {
    let lead = scene.lines.get(s.line).map_or("", |l| l.lead.as_str());
    let mut parts = Vec::new();
    parts.extend(s.volume_m3.map(|v| volume(v, system)));
    parts.extend(s.temp_c.map(|t| temperature(t, system)));
    if s.volume_m3.is_some() {
        parts.extend(s.strength_kg_per_m3.map(|c| strength_of(c, lead, system)));
    }
    if s.evaporates_kg_per_s > 0.0 {
        parts.push(format!(
            "evaporates {}",
            flow(told_m3_per_s(s.evaporates_kg_per_s), system)
        ));
    }
    let inflow = outlet_inflow(scene, s);
    parts.extend(inflow.map(|q| flow(q, system)));
    parts.extend(alike(&s.apparatus, scene.is_mean, system));
    parts.extend(s.air.as_ref().map(|a| format!("air: {}", air(a, system))));
    parts
}

/// What is read of several pieces of apparatus; those that do the same stand together: `element e1, e2 running, 50 %, 6.5 kW each`.
fn alike(all: &[Apparatus], is_mean: bool, system: System) -> Vec<String> {
    let mut told: Vec<(Vec<&str>, String)> = Vec::new();
    for a in all {
        let state = apparatus_state(a, is_mean, system);
        match told.iter_mut().find(|(_, other)| *other == state) {
            Some((names, _)) => names.push(&a.name),
            None => told.push((vec![&a.name], state)),
        }
    }
    let each = told
        .into_iter()
        .map(|(names, state)| match names.as_slice() {
            [one] => format!("{one} {state}"),
            many => {
                let has_power = state.ends_with('W');
                let each = if has_power { " each" } else { "" };
                format!("{} {state}{each}", together(many))
            }
        });
    each.collect()
}

/// Names in a row; a first word that all share is said once.
fn together(names: &[&str]) -> String {
    let split: Option<Vec<(&str, &str)>> = names.iter().map(|n| n.split_once(' ')).collect();
    match split {
        Some(parts) if parts.iter().all(|(head, _)| *head == parts[0].0) => {
            let tails: Vec<&str> = parts.iter().map(|(_, tail)| *tail).collect();
            format!("{}s {}", parts[0].0, tails.join(", "))
        }
        _ => names.join(", "),
    }
}

/// What evaporates from a station, where that is worth a word: a tenth of a litre an hour or more.
#[must_use]
pub fn evaporation(s: &Station, system: System) -> Option<String> {
    let m3_per_s = told_m3_per_s(s.evaporates_kg_per_s);
    let is_worth_it = m3_per_s * 1000.0 * SECONDS_PER_HOUR >= 0.1;
    is_worth_it.then(|| format!("evaporates {}", flow(m3_per_s, system)))
}

/// The air that a tower draws in: `room 21.0 °C, 50 %`.
#[must_use]
pub fn air(air: &Air, system: System) -> String {
    let temp = temperature(air.temp_c, system);
    format!("{} {temp}, {}", air.name, percent(air.relative_humidity))
}

/// All that flows into a way out, m³/s.
#[must_use]
pub fn outlet_inflow(scene: &Scene, s: &Station) -> Option<f64> {
    if s.kind != super::scene::StationKind::Outlet {
        return None;
    }
    let at = scene.stations.iter().position(|other| other.id == s.id)?;
    let into = scene.streams.iter().filter(|t| t.to == Place::Station(at));
    Some(into.map(|t| t.flow_m3_per_s).sum())
}

/// What is read of a piece of apparatus: `element one running, 62 %, 7.4 kW`.
#[must_use]
pub fn apparatus(a: &Apparatus, is_mean: bool, system: System) -> String {
    format!("{} {}", a.name, apparatus_state(a, is_mean, system))
}

/// The same without its name.
fn apparatus_state(a: &Apparatus, is_mean: bool, system: System) -> String {
    let word = if is_mean {
        a.running.word_of_week()
    } else {
        a.running.word()
    };
    let mut text = word.to_owned();
    if let Some(why) = &a.held_by {
        text.push_str(&format!(" by {why}"));
    }
    if a.running == Running::On && a.share < 0.995 {
        let mean = if is_mean { " in the mean" } else { "" };
        text.push_str(&format!(", {}{mean}", percent(a.share)));
    }
    if let Some(w) = a.power_w
        && a.running == Running::On
    {
        text.push_str(&format!(", {}", power(w, system)));
    }
    text
}

/// What is read of a stream after its name, each thing by itself.
#[must_use]
pub fn stream_parts(scene: &Scene, s: &Stream, system: System) -> Vec<String> {
    let lead = scene.lines.get(s.line).map_or("", |l| l.lead.as_str());
    let mut parts = vec![flow(s.flow_m3_per_s, system)];
    if s.kind != StreamKind::Vapour {
        parts.push(strength_of(s.strength_kg_per_m3, lead, system));
    }
    parts.extend(
        s.apparatus
            .iter()
            .map(|a| apparatus(a, scene.is_mean, system)),
    );
    if s.kind == StreamKind::Circulation {
        parts.push("goes round; its width is not to scale".to_owned());
    } else if s.flow_m3_per_s > scene.full_width_m3_per_s() {
        let full = flow(scene.full_width_m3_per_s(), system);
        parts.push(format!("drawn no wider than {full}"));
    }
    parts
}

/// What is read of the electrodes of a tank, from the bottom up, those of one instrument together: `transfer start from 0.72 m to 0.80 m`.
#[must_use]
pub fn marks(all: &[super::scene::Mark], system: System) -> Vec<String> {
    let level =
        |m: &super::scene::Mark| joined(shown(Dim::Length, m.level_m, system, Style::Default));
    let firsts = all.iter().enumerate();
    let firsts = firsts.filter(|(i, m)| all[..*i].iter().all(|other| other.relay != m.relay));
    let told = firsts.map(|(i, m)| {
        let partner = all[i + 1..].iter().find(|other| other.relay == m.relay);
        let name = m
            .name
            .trim_end_matches(", lower")
            .trim_end_matches(", upper");
        match partner {
            Some(upper) => format!("{name} between {} and {}", level(m), level(upper)),
            None => format!("{name} at {}", level(m)),
        }
    });
    told.collect()
}

/// What heaters give a tank and coolers take in a few words, and whether it is worth a caution: `heat 4.1 kW`, `heater failed`,
/// `heat 4.1 kW, cooling 2.0 kW` where a mean holds hours of both.
#[must_use]
pub fn heating(s: &Station, system: System) -> Option<(String, Running)> {
    let of = |kind: ApparatusKind| s.apparatus.iter().filter(move |a| a.kind == kind);
    let heaters = || of(ApparatusKind::Heater);
    let first = heaters().chain(of(ApparatusKind::Cooler)).next()?;
    for worst in [Running::Failed, Running::Held] {
        let count = heaters().filter(|a| a.running == worst).count();
        if count > 0 {
            let all = heaters().count();
            let words = if all > 1 {
                format!("{count} of {all} heaters {}", worst.word())
            } else {
                format!("heater {}", worst.word())
            };
            return Some((words, worst));
        }
    }
    let given = |kind: ApparatusKind, word: &str| {
        let running = of(kind).filter(|a| a.running == Running::On);
        let w: f64 = running.filter_map(|a| a.power_w).sum();
        (w > 0.0).then(|| format!("{word} {}", power(w, system)))
    };
    let both = [
        given(ApparatusKind::Heater, "heat"),
        given(ApparatusKind::Cooler, "cooling"),
    ];
    let words: Vec<String> = both.into_iter().flatten().collect();
    if words.is_empty() {
        return Some(("heat off".to_owned(), first.running));
    }
    Some((words.join(", "), Running::On))
}
