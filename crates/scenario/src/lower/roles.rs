//! Which part plays which role in a loop.

use dragback_plant::ids::{SoluteId, TransferId, VesselId, WorkId};
use dragback_plant::network::{End, FilmProbe, Law, LoopRoles, Network};

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
        spills: Vec::new(),
        dumped: None,
        additions: None,
        keeping: Vec::new(),
        water_in: Vec::new(),
        water_out: Vec::new(),
        towers: Vec::new(),
        heaters: Vec::new(),
        bath_heaters: Vec::new(),
        bath_coolers: Vec::new(),
        final_limit_kg_per_m3: line.final_limit.as_ref().map(crate::record::Input::si),
        impurity_limits: limits
            .filter_map(|(species, limit)| Some((builder.solute(species)?, limit.si())))
            .collect(),
    }
}

/// The roles of a finished loop: its vessels in the order in which work meets them, then collection and holding tank.
pub fn finish(net: &Network, mut parts: Parts<'_>) -> LoopRoles {
    water(net, &mut parts);
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

/// Finds the vessels whose water stays in the loop, and the streams by which water enters and leaves them.
fn water(net: &Network, parts: &mut Parts<'_>) {
    let mut keeping = vec![parts.bath];
    keeping.extend(parts.collection);
    keeping.extend(parts.holding);
    let is_still = |v: VesselId| parts.stills.iter().any(|(_, still)| *still == v);
    // A rinse keeps its water where its overflow comes to such a vessel. A still rinse is filled up by what it lacks, so that it does where any
    // stream of it comes there.
    let comes_back = |v: VesselId, keeping: &[VesselId]| {
        net.transfers.iter().any(|t| {
            t.from == End::Vessel(v)
                && (is_still(v) || matches!(t.law, Law::Overflow { .. }))
                && matches!(t.to, End::Vessel(to) if keeping.contains(&to))
        })
    };
    let rinses = parts.sections.iter().flat_map(|(_, list)| list.iter());
    let mut others: Vec<VesselId> = parts.stills.iter().map(|(_, v)| *v).collect();
    others.extend(rinses);
    while let Some(at) = others.iter().position(|&v| comes_back(v, &keeping)) {
        keeping.push(others.swap_remove(at));
    }
    let keeps = |end: End| matches!(end, End::Vessel(v) if keeping.contains(&v));
    let roles = &mut parts.roles;
    for (i, t) in net.transfers.iter().enumerate() {
        let id = TransferId(i);
        if keeps(t.to) && !keeps(t.from) && !roles.make_up.contains(&id) {
            roles.water_in.push(id);
        }
        if keeps(t.from) && !keeps(t.to) && matches!(t.law, Law::Film { .. }) {
            roles.water_out.push(id);
        }
    }
    roles.keeping = keeping;
}
