//! Names that are known in a draft.

use dragback_properties::{recipe, species};

use super::part::{Body, Part};
use super::spot::Spot;
use crate::check::{ALWAYS, tank_names};
use crate::lower::{device_names, relay_names};
use crate::record::Names;
use crate::registry::Registry;
use crate::schema::Scenario;

/// Names of a kind that may stand at a spot.
pub fn known(root: &Part, names: Names, at: &Spot, scenario: Option<&Scenario>) -> Vec<String> {
    let keys = |spot: &Spot| -> Vec<String> {
        let parts = root.find(spot).map_or(&[][..], Part::parts);
        parts.iter().map(|p| p.spot.last().to_owned()).collect()
    };
    let top = |name: &str| keys(&Spot::of(&[name]));
    match names {
        Names::Calendar => {
            let mut all = top("calendars");
            all.push(ALWAYS.to_owned());
            all
        }
        Names::Water => top("waters"),
        Names::Species => species_of(root, at, top("species")),
        Names::Salt => salts(root, at, top("salts")),
        Names::Dosed => {
            let mut all = salts(root, at, top("salts"));
            all.extend(species_of(root, at, top("species")));
            all
        }
        Names::Station => stations(root, at),
        Names::Device => scenario.map_or_else(Vec::new, device_names),
        Names::Relay => scenario.map_or_else(Vec::new, relay_names),
        Names::Vessel => scenario.map_or_else(Vec::new, tank_names),
        Names::Input => scenario.map_or_else(Vec::new, |s| {
            let registry = Registry::of(s);
            let given = registry.iter().filter(|p| p.si().is_some());
            given.map(|p| p.path.clone()).collect()
        }),
    }
}

/// The spot of the loop in which something stands.
fn loop_of(at: &Spot) -> Option<Spot> {
    match at.segments() {
        [loops, key, ..] if loops == "loops" => Some(Spot::of(&["loops", key])),
        _ => None,
    }
}

/// The lead of the loop, own species, built-in ones.
fn species_of(root: &Part, at: &Spot, own: Vec<String>) -> Vec<String> {
    let lead = loop_of(at).and_then(|l| root.find(&l.child("lead"))?.leaf()?.written.clone());
    let mut all: Vec<String> = lead.into_iter().filter(|l| !l.is_empty()).collect();
    let built_in = species::BUILTIN.iter().map(|s| s.key.to_string());
    for key in own.into_iter().chain(built_in) {
        if !all.contains(&key) {
            all.push(key);
        }
    }
    all
}

/// Salts of the recipe, own salts, built-in ones.
fn salts(root: &Part, at: &Spot, own: Vec<String>) -> Vec<String> {
    let recipe_of = |l: Spot| root.find(&l.child("bath").child("recipe"));
    let recipe = loop_of(at).and_then(recipe_of).map_or(&[][..], Part::parts);
    let mut all: Vec<String> = recipe.iter().map(|p| p.spot.last().to_owned()).collect();
    let built_in = recipe::SALTS.iter().map(|s| s.key.to_owned());
    for key in own.into_iter().chain(built_in) {
        if !all.contains(&key) {
            all.push(key);
        }
    }
    all
}

/// Bath, still rinses, sections, and single stages of sections that have several.
fn stations(root: &Part, at: &Spot) -> Vec<String> {
    let mut all = vec!["bath".to_owned()];
    let Some(line) = loop_of(at) else { return all };
    let parts = |name: &str| root.find(&line.child(name)).map_or(&[][..], Part::parts);
    all.extend(parts("stills").iter().map(|p| p.spot.last().to_owned()));
    let sections = parts("sections");
    all.extend(sections.iter().map(|p| p.spot.last().to_owned()));
    for section in sections {
        let Body::Record(fields) = &section.body else {
            continue;
        };
        let stages = fields.iter().find(|f| f.meta.name == "stages");
        let stages = stages.and_then(|p| p.leaf()?.written.as_deref()?.parse::<u32>().ok());
        for stage in 1..=stages.unwrap_or(1).min(10) {
            if stages > Some(1) {
                all.push(format!("{}/{stage}", section.spot.last()));
            }
        }
    }
    all
}
