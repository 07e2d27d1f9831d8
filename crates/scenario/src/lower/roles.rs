//! Which part plays which role in a loop.

use dragback_plant::ids::{SoluteId, VesselId, WorkId};
use dragback_plant::network::{FilmProbe, LoopRoles};

use super::builder::{Builder, Parts};
use crate::schema::Loop;

/// Roles of a loop before its streams are known.
pub fn start(
    builder: &Builder<'_>,
    key: &str,
    line: &Loop,
    bath: VesselId,
    work: WorkId,
) -> LoopRoles {
    let limits = line.bath.impurity_limits.iter();
    LoopRoles {
        name: key.to_owned(),
        title: line
            .title
            .clone()
            .unwrap_or_else(|| builder.scenario.title.clone()),
        bath,
        holding: None,
        collection: None,
        vessels: Vec::new(),
        lead: builder.solute(&line.lead).unwrap_or(SoluteId(0)),
        work,
        drag_out: Vec::new(),
        drag_in: Vec::new(),
        last_film: FilmProbe {
            station: bath,
            vessels: Vec::new(),
            supplies: Vec::new(),
        },
        rinse_feed: Vec::new(),
        sprays: Vec::new(),
        make_up: Vec::new(),
        returns: Vec::new(),
        withdrawals: Vec::new(),
        to_treatment: Vec::new(),
        lost_on_work: Vec::new(),
        towers: Vec::new(),
        heaters: Vec::new(),
        final_limit_kg_per_m3: line.final_limit.as_ref().map(crate::record::Input::si),
        impurity_limits: limits
            .filter_map(|(species, limit)| Some((builder.solute(species)?, limit.si())))
            .collect(),
    }
}

/// The roles of a finished loop: its vessels in the order in which work meets them, then collection and holding tank.
pub fn finish(parts: Parts<'_>) -> LoopRoles {
    let mut roles = parts.roles;
    let mut met = vec![parts.bath];
    met.extend(parts.stills.iter().map(|(_, v)| *v));
    met.extend(
        parts
            .sections
            .iter()
            .flat_map(|(_, list)| list.iter().copied()),
    );
    met.sort_by_key(|v| {
        let at = |key: &str| {
            parts.line.route.iter().position(|visit| {
                visit.at == key
                    || visit
                        .at
                        .split_once('/')
                        .is_some_and(|(section, _)| section == key)
            })
        };
        let place = if *v == parts.bath {
            at("bath")
        } else {
            let still = parts
                .stills
                .iter()
                .find(|(_, w)| w == v)
                .map(|(key, _)| *key);
            let section = parts
                .sections
                .iter()
                .find(|(_, l)| l.contains(v))
                .map(|(key, _)| *key);
            still.or(section).and_then(at)
        };
        place.unwrap_or(usize::MAX)
    });
    met.extend(parts.collection);
    met.extend(parts.holding);
    roles.vessels = met;
    roles.collection = parts.collection;
    roles.holding = parts.holding;
    roles
}
