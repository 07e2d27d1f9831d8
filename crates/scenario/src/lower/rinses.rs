//! Vessels of a loop, still rinses and counterflow sections.

use dragback_plant::control::{Acts, Condition, DeviceKind, Requirement, Role, Signal};
use dragback_plant::ids::{TransferId, VesselId, WorkId};
use dragback_plant::network::{End, Gate, Law};

use super::account;
use super::builder::{
    Band, Builder, Parts, Start, enough, filling, room_c, volume_at_share_m3, when,
};
use super::chemistry::bath_concentrations;
use super::levels::{bath_bands, full_level_m, shape};
use super::roles;
use crate::schema::{Drain, Feed, Loop, Section, Still, Weir};

/// Every vessel of a loop.
pub fn vessels<'s>(builder: &mut Builder<'s>, key: &'s str, line: &'s Loop) -> Parts<'s> {
    let prefix = if builder.scenario.loops.len() > 1 {
        format!("{key} ")
    } else {
        String::new()
    };
    let air_c = room_c(builder.scenario);
    let bath = bath_vessel(builder, &prefix, line);
    let full = |water: &str, tank: &crate::schema::Tank, builder: &Builder<'_>| Start {
        volume_m3: tank.volume.si(),
        temp_c: air_c,
        kg_per_m3: builder.water_solutes(water),
        sparge_m: 0.0,
    };
    let mut stills = Vec::new();
    for (name, still) in line.stills.iter() {
        let start = full(&still.water, &still.tank, builder);
        stills.push((
            name,
            builder.vessel(format!("{prefix}{name}"), &still.tank, start),
        ));
    }
    let mut sections = Vec::new();
    for (name, section) in line.sections.iter() {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "1 to 10"
        )]
        let stages = section.stages.si().clamp(1.0, 10.0) as usize;
        let list = (1..=stages).map(|n| {
            let start = full(&section.water, &section.tank, builder);
            builder.vessel(format!("{prefix}{name} {n}"), &section.tank, start)
        });
        sections.push((name, list.collect()));
    }
    let collection = line.collection.as_ref().map(|c| {
        let water = line
            .sections
            .values()
            .find(|s| s.drain == Drain::Collection);
        let water = water.map_or_else(Vec::new, |s| builder.water_solutes(&s.water));
        let start = Start {
            volume_m3: c.start_fill.si() * c.tank.volume.si(),
            temp_c: air_c,
            kg_per_m3: if water.is_empty() {
                vec![0.0; builder.species.len()]
            } else {
                water
            },
            sparge_m: 0.0,
        };
        builder.vessel(format!("{prefix}collection tank"), &c.tank, start)
    });
    let holding = holding_vessel(builder, &prefix, line);
    let work = WorkId(builder.net.works.len());
    let roles = roles::start(builder, key, line, bath, work);
    Parts {
        key,
        line,
        prefix,
        work,
        bath,
        stills,
        sections,
        collection,
        holding,
        bath_alarms: None,
        roles,
    }
}

fn bath_vessel(builder: &mut Builder<'_>, prefix: &str, line: &Loop) -> VesselId {
    let bath = &line.bath;
    let solutes = bath_concentrations(builder.scenario, line);
    let start = Start {
        volume_m3: shape(&bath.tank).volume_m3(bath_bands(line).start_m),
        temp_c: bath.set_point.quantity().celsius(),
        kg_per_m3: builder.in_order(solutes.iter().map(|(k, c)| (k.as_str(), *c))),
        sparge_m: bath
            .sparge_length
            .as_ref()
            .map_or(0.0, crate::record::Input::si),
    };
    builder.vessel(format!("{prefix}bath"), &bath.tank, start)
}

fn holding_vessel(builder: &mut Builder<'_>, prefix: &str, line: &Loop) -> Option<VesselId> {
    let holding = line.holding_tank.as_ref()?;
    let electrodes = &holding.electrodes;
    let level_m = 0.5 * (electrodes.transfer_start.si() + electrodes.transfer_stop.si());
    let strength = holding.start_strength.si();
    let solutes = bath_concentrations(builder.scenario, line);
    let start = Start {
        volume_m3: shape(&holding.tank).volume_m3(level_m),
        temp_c: holding.set_point.quantity().celsius(),
        kg_per_m3: builder.in_order(solutes.iter().map(|(k, c)| (k.as_str(), strength * c))),
        sparge_m: 0.0,
    };
    Some(builder.vessel(format!("{prefix}holding tank"), &holding.tank, start))
}

pub fn lower(builder: &mut Builder<'_>, parts: &mut Parts<'_>) {
    let line = parts.line;
    for (name, still) in line.stills.iter() {
        if let Some(&(_, vessel)) = parts.stills.iter().find(|(k, _)| *k == name) {
            self::still(builder, parts, (name, still), vessel);
        }
    }
    for (name, section) in line.sections.iter() {
        let stages = parts
            .sections
            .iter()
            .find(|(k, _)| *k == name)
            .map(|(_, list)| list.clone());
        self::section(builder, parts, (name, section), &stages.unwrap_or_default());
    }
    if let Some(collection) = parts.collection {
        let treatment = builder.account(account::TREATMENT);
        let id = builder.transfer(
            parts.stream("overflow of the collection tank"),
            End::Vessel(collection),
            End::Account(treatment),
            Law::Overflow { weir_width_m: None },
            Gate::default(),
        );
        parts.roles.to_treatment.push(id);
    }
}

/// A still rinse: overflow, refill by level, and the pump that returns it when the bath calls.
fn still(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    (name, still): (&str, &Still),
    vessel: VesselId,
) {
    let full_m = full_level_m(&still.tank);
    let at = |tail: &str| format!("{}.stills.{name}.{tail}", parts.key);
    let treatment = builder.account(account::TREATMENT);
    let over = builder.transfer(
        parts.stream(&format!("overflow of {name}")),
        End::Vessel(vessel),
        End::Account(treatment),
        Law::Overflow { weir_width_m: None },
        Gate::default(),
    );
    parts.roles.to_treatment.push(over);
    let low = builder.relay(
        at("level"),
        filling(vessel, (0.90 * full_m, 0.98 * full_m)),
        false,
    );
    let valve = builder.device(
        at("refill_valve"),
        DeviceKind::Valve,
        None,
        vec![when(Condition::On(low))],
    );
    let supply = builder.supply(&still.water);
    let water = builder.account(account::STILL_WATER);
    let ends = (End::Supply(supply, water), End::Vessel(vessel));
    builder.pumped(
        parts.stream(&format!("refill of {name}")),
        ends,
        still.refill_flow.si(),
        valve,
    );
    let Some(flow) = &still.return_to_bath else {
        return;
    };
    let calls = builder.relay(
        at("return_level"),
        filling(parts.bath, bath_bands(parts.line).still_m),
        false,
    );
    let has_liquid = builder.relay(
        at("dry_run"),
        enough(vessel, 0.10 * full_m, 0.05 * full_m),
        true,
    );
    let requires = vec![when(Condition::On(calls)), when(Condition::On(has_liquid))];
    let pump = builder.device(at("return_pump"), DeviceKind::Pump, None, requires);
    let ends = (End::Vessel(vessel), End::Vessel(parts.bath));
    let id = builder.pumped(
        parts.stream(&format!("return of {name}")),
        ends,
        flow.si(),
        pump,
    );
    parts.roles.returns.push(id);
}

/// A counterflow section: feed into the last stage, overflows down to the first, drain.
fn section(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    (name, section): (&str, &Section),
    stages: &[VesselId],
) {
    let (Some(&first), Some(&last)) = (stages.first(), stages.last()) else {
        return;
    };
    feed(builder, parts, (name, section), stages, last);
    let weir_width_m = match section.weir {
        Weir::Ideal => None,
        Weir::Sharp => section.weir_width.as_ref().map(crate::record::Input::si),
    };
    let overflow = || Law::Overflow { weir_width_m };
    for (n, pair) in stages.windows(2).enumerate().rev() {
        let words = format!("overflow {name} {} to {}", n + 2, n + 1);
        let (to, from) = (End::Vessel(pair[0]), End::Vessel(pair[1]));
        builder.transfer(parts.stream(&words), from, to, overflow(), Gate::default());
    }
    let to = match section.drain {
        Drain::Bath => End::Vessel(parts.bath),
        Drain::Collection => match parts.collection {
            Some(v) => End::Vessel(v),
            None => return builder.dangling("tank", "collection"),
        },
        Drain::Treatment => End::Account(builder.account(account::TREATMENT)),
    };
    let words = match section.drain {
        Drain::Treatment => format!("overflow {name} 1 to treatment"),
        Drain::Bath => format!("overflow {name} 1 to the bath"),
        Drain::Collection => format!("overflow {name} 1 to the collection tank"),
    };
    let id = builder.transfer(
        parts.stream(&words),
        End::Vessel(first),
        to,
        overflow(),
        Gate::default(),
    );
    match section.drain {
        Drain::Treatment => parts.roles.to_treatment.push(id),
        Drain::Bath => parts.roles.returns.push(id),
        Drain::Collection => {}
    }
}

fn feed(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    (name, section): (&str, &Section),
    stages: &[VesselId],
    last: VesselId,
) {
    let at = |tail: &str| format!("{}.sections.{name}.{tail}", parts.key);
    let mut requires: Vec<Requirement> = Vec::new();
    if section.drain == Drain::Bath {
        // Rinse water is let in as long as the bath has room for it.
        let band = filling(parts.bath, bath_bands(parts.line).high_m);
        let has_room = builder.relay(at("bath_level"), band, true);
        requires.push(when(Condition::On(has_room)));
    }
    if section.feed == Feed::Conductivity {
        let band = conductivity_band(section, stages);
        let strong = builder.relay(at("conductivity"), band, false);
        requires.push(when(Condition::On(strong)));
    }
    let calendar =
        (section.feed == Feed::WhileWorking).then(|| builder.calendar(&parts.line.work.calendar));
    let valve = builder.device(at("feed_valve"), DeviceKind::Valve, calendar, requires);
    let supply = builder.supply(&section.water);
    let line = builder.account(account::RINSE_WATER);
    let flow = section.flow.si();
    let law = match section.feed {
        Feed::Matched => Law::Matched {
            max_m3_per_s: flow,
            share: 1.0,
            towers: Vec::new(),
            surfaces: Vec::new(),
            less: Vec::new(),
            plus: Vec::new(),
        },
        _ => Law::Fixed {
            flow_m3_per_s: flow,
        },
    };
    let gate = Gate {
        device: Some(valve),
        calendar: None,
    };
    let from = End::Supply(supply, line);
    let id = builder.transfer(
        parts.stream(&format!("feed of {name}")),
        from,
        End::Vessel(last),
        law,
        gate,
    );
    parts.roles.rinse_feed.push(id);
}

fn conductivity_band(section: &Section, stages: &[VesselId]) -> Band {
    let set = section
        .conductivity_set_point
        .as_ref()
        .map_or(0.1, crate::record::Input::si);
    let width = section
        .conductivity_dead_band
        .as_ref()
        .map_or(0.2 * set, crate::record::Input::si);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "1 to 10"
    )]
    let stage = section
        .conductivity_stage
        .as_ref()
        .map_or(1, |s| s.si() as usize);
    let vessel = stages[stage.clamp(1, stages.len()) - 1];
    Band {
        signal: Signal::Conductivity(vessel),
        lower: set - 0.5 * width,
        upper: set + 0.5 * width,
        acts: Acts::Above,
        role: Role::Regulate,
    }
}

/// Tells feeds that follow the loop's evaporation what to count: its towers and warm surfaces and the films that leave, less all
/// other water that comes in.
///
/// Water that makes up the bath is not taken off: its float only fills what is missing, and were it taken off, the two could share the
/// same water in any proportion.
pub fn finish_matched(builder: &mut Builder<'_>, parts: &Parts<'_>) {
    let roles = &parts.roles;
    let mut warm: Vec<VesselId> = vec![parts.bath];
    warm.extend(parts.collection);
    warm.extend(parts.holding);
    for (name, _) in parts
        .line
        .sections
        .iter()
        .filter(|(_, s)| s.drain != Drain::Treatment)
    {
        warm.extend(
            parts
                .sections
                .iter()
                .filter(|(k, _)| *k == name)
                .flat_map(|(_, list)| list),
        );
    }
    let is_matched = |builder: &Builder<'_>, t: TransferId| {
        matches!(builder.net.transfers[t.index()].law, Law::Matched { .. })
    };
    let other_feeds = parts.line.sections.values().zip(&roles.rinse_feed);
    let mut others: Vec<TransferId> = other_feeds
        .filter(|(s, t)| s.drain != Drain::Treatment && !is_matched(builder, **t))
        .map(|(_, t)| *t)
        .collect();
    others.extend(&roles.sprays);
    let matched: Vec<TransferId> = roles
        .rinse_feed
        .iter()
        .copied()
        .filter(|&t| is_matched(builder, t))
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "a handful")]
    let count = matched.len() as f64;
    for t in matched {
        if let Law::Matched {
            share,
            towers,
            surfaces,
            less,
            plus,
            ..
        } = &mut builder.net.transfers[t.index()].law
        {
            *share = 1.0 / count;
            towers.clone_from(&roles.towers);
            surfaces.clone_from(&warm);
            less.clone_from(&others);
            plus.clone_from(&roles.lost_on_work);
        }
    }
}

/// Volume at which a vessel counts as nearly empty, m³.
pub fn nearly_empty_m3(tank: &crate::schema::Tank) -> f64 {
    tank.dead_volume.si().max(volume_at_share_m3(tank, 0.02))
}
