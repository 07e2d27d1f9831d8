//! What a tank or stream that was clicked in the drawing brings forward: its curves and the levers that act on it.

use dragback_plant::Plant;
use dragback_plant::ids::{TowerId, VesselId};
use dragback_plant::network::LoopRoles;

use crate::loop_view::scene::{Place, Scene, Station, StationId, Stream, StreamKind};
use crate::loop_view::{Selection, words};
use dragback_units::System;

/// What is selected, in words, and what belongs to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Selected {
    /// Its name.
    pub name: String,
    /// What it holds, or what flows, each in a few words.
    pub numbers: Vec<String>,
    /// Names of its curves.
    pub curves: Vec<String>,
    /// Beginnings of the paths of inputs that act on it.
    pub paths: Vec<String>,
}

/// Finds out what belongs to a selection; `None` when nothing is selected, or it is not in this scene.
#[must_use]
pub fn selected(
    plant: &Plant,
    scene: &Scene,
    selection: Selection,
    system: System,
) -> Option<Selected> {
    match selection {
        Selection::None => None,
        Selection::Station(id) => {
            let s = scene.stations.iter().find(|s| s.id == id)?;
            Some(of_station(plant, scene, s, system))
        }
        Selection::Stream(id) => {
            let s = scene.streams.iter().find(|s| s.id == id)?;
            Some(of_stream(plant, scene, s, system))
        }
    }
}

fn of_station(plant: &Plant, scene: &Scene, s: &Station, system: System) -> Selected {
    let mut numbers = words::station_parts(scene, s, system);
    numbers.extend(words::marks(&s.marks, system));
    let (curves, paths) = belongings(plant, s);
    Selected {
        name: s.name.clone(),
        numbers,
        curves,
        paths,
    }
}

fn of_stream(plant: &Plant, scene: &Scene, s: &Stream, system: System) -> Selected {
    let mut numbers = words::stream_parts(scene, s, system);
    let end = |place: Place| match place {
        Place::Station(i) => scene.stations.get(i),
        _ => None,
    };
    let (from, to) = (end(s.from), end(s.to));
    let told = |word: &str, station: Option<&Station>| {
        station.map(|station| format!("{word} {}", station.name))
    };
    numbers.extend(told("from", from));
    numbers.extend(told("to", to));
    let roles = plant.network().loops.get(s.line);
    let key = roles.map_or("", |r| r.name.as_str());
    let (mut curves, mut paths) = (Vec::new(), pump_paths(roles, from, to));
    for station in [from, to].into_iter().flatten() {
        let (more, ways) = belongings(plant, station);
        curves.extend(more);
        if !matches!(s.kind, StreamKind::Film | StreamKind::Feed) {
            paths.extend(ways);
        }
    }
    let flow = match s.kind {
        StreamKind::Film => {
            paths.push(format!("{key}.work."));
            &["dragged out", "lost for good"][..]
        }
        StreamKind::Feed => {
            paths.extend(to.into_iter().flat_map(|t| belongings(plant, t).1));
            &["rinse feed", "make-up to the bath"][..]
        }
        StreamKind::Vapour | StreamKind::Circulation => &["towers and surfaces"][..],
        StreamKind::Pumped => &["back to the bath", "brought back"][..],
        StreamKind::Overflow => &["to treatment"][..],
    };
    curves.extend(flow.iter().map(|name| (*name).to_owned()));
    Selected {
        name: s.name.clone(),
        numbers,
        curves,
        paths,
    }
}

/// Beginnings of the paths of what drives a pumped stream between two tanks of a loop.
fn pump_paths(
    roles: Option<&LoopRoles>,
    from: Option<&Station>,
    to: Option<&Station>,
) -> Vec<String> {
    let is = |s: Option<&Station>, v: Option<VesselId>| {
        s.is_some_and(|s| v.is_some_and(|v| s.id == StationId::Vessel(v)))
    };
    let Some(roles) = roles.filter(|r| r.holding.is_some()) else {
        return Vec::new();
    };
    let at = |tail: &str| format!("{}.holding_tank.{tail}", roles.name);
    if is(from, roles.collection) && is(to, roles.holding) {
        vec![at("transfer_flow"), at("electrodes.transfer")]
    } else if is(from, roles.holding) && is(to, Some(roles.bath))
        || is(from, Some(roles.bath)) && is(to, roles.holding)
    {
        vec![at("return.")]
    } else {
        Vec::new()
    }
}

/// Curves and beginnings of paths of a station.
fn belongings(plant: &Plant, s: &Station) -> (Vec<String>, Vec<String>) {
    let net = plant.network();
    let roles = net.loops.get(s.line);
    match s.id {
        StationId::Vessel(v) => {
            let mut curves = vec![net.vessels[v.index()].name.clone()];
            if roles.is_some_and(|r| Some(v) == r.holding) {
                curves.push("evaporation heaters".to_owned());
            } else if roles.is_some_and(|r| v == r.bath) {
                curves.push("bath heating".to_owned());
                curves.push("make-up to the bath".to_owned());
            }
            let path = roles.and_then(|r| path_of(r, v, &s.name));
            (curves, path.into_iter().collect())
        }
        StationId::Tower(TowerId(t)) => {
            let curves = vec!["towers and surfaces".to_owned()];
            let tower = net.towers.get(t);
            let key = tower.map(|t| t.name.rsplit(['.', ' ']).next().unwrap_or(&t.name));
            let both = roles.zip(key);
            let path = both.map(|(r, key)| format!("{}.towers.{key}.", r.name));
            (curves, path.into_iter().collect())
        }
        // What runs over, and what makes it run over.
        StationId::Outlet(..) => (
            vec!["to treatment".to_owned(), "lost for good".to_owned()],
            roles.map_or_else(Vec::new, |r| {
                ["collection.", "sections.", "bath.purge"]
                    .map(|part| format!("{}.{part}", r.name))
                    .to_vec()
            }),
        ),
    }
}

/// Beginning of the paths of a tank's inputs; a stage of a section is called by the section and its number.
fn path_of(roles: &LoopRoles, v: VesselId, name: &str) -> Option<String> {
    let key = &roles.name;
    if v == roles.bath {
        return Some(format!("{key}.bath."));
    }
    if Some(v) == roles.holding {
        return Some(format!("{key}.holding_tank."));
    }
    if Some(v) == roles.collection {
        return Some(format!("{key}.collection."));
    }
    let is_stage = |n: &str| n.parse::<usize>().is_ok();
    match name.rsplit_once(' ') {
        Some((section, n)) if is_stage(n) => Some(format!("{key}.sections.{section}.")),
        _ => Some(format!("{key}.stills.{name}.")),
    }
}
