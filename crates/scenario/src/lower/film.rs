//! Films on work, compiled to streams.
//!
//! Each visit replaces a part of the arriving film by liquid of its station: `(1 − e)·min(D_in, D_out)` of what arrives stays on, the rest of what
//! leaves is station liquid. Whatever of the film drops off in a station becomes one stream from the vessel (or spray water) in which it was picked
//! up, so that a film which passes three stations by halves is three streams and the balances need to know nothing of stations.

use dragback_plant::control::DeviceKind;
use dragback_plant::ids::{SupplyId, VesselId};
use dragback_plant::network::{End, FilmProbe, Gate, HeatLaw, Law, Supply, Work};
use dragback_properties::film::{DrainCurve, MeasuredRise};
use dragback_properties::solution;

use super::account;
use super::builder::{Builder, Parts, room_c};
use crate::check::{Station, station};
use crate::schema::{self, DragOut, Loop, Measured};

/// Smallest share of a film that makes a stream of its own, m.
const LEAST_FILM_M: f64 = 1e-15;

/// Liquid on the work, by where it was picked up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parcel {
    origin: Origin,
    film_m: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Origin {
    Vessel(VesselId),
    Spray(SupplyId),
    /// The step before the line.
    Before(SupplyId),
}

/// One vessel of the route.
struct Step<'s> {
    vessel: VesselId,
    efficiency: f64,
    film_m: f64,
    spray: Option<&'s schema::Spray>,
}

/// Film on work leaving the bath and leaving a rinse, m.
pub fn films_m(line: &Loop) -> (f64, f64) {
    let out = &line.work.drag_out;
    let mut bath_m = given_film_m(out, line.work.area_rate.si());
    if let (Some(drain), Some(reference)) = (&out.drain_time, &out.drain_reference) {
        bath_m *= DrainCurve::default().factor(drain.si(), reference.si());
    }
    (
        bath_m,
        out.rinse_film
            .as_ref()
            .map_or(bath_m, crate::record::Input::si),
    )
}

/// What was measured, for the exact build-up.
pub fn measured_rise(measured: &Measured) -> MeasuredRise {
    MeasuredRise {
        tank_m3: measured.tank.si(),
        start_kg_per_m3: measured.start.si(),
        rise_kg_per_m3: measured.rise.si(),
        bath_kg_per_m3: measured.bath.si(),
        loads: measured.loads.si(),
    }
}

fn given_film_m(out: &DragOut, area_m2_per_s: f64) -> f64 {
    if let Some(film) = &out.film {
        return film.si();
    }
    if let Some(flow) = &out.flow {
        return flow.si() / area_m2_per_s;
    }
    if let (Some(load), Some(loads)) = (&out.per_load, &out.loads) {
        return load.si() * loads.si() / area_m2_per_s;
    }
    if let (Some(measured), Some(loads)) = (&out.measured, &out.loads) {
        // What gives no drag-out is told by the check, and never comes here.
        let load_m3 = measured_rise(measured).drag_out_m3_per_load();
        return load_m3.unwrap_or(0.0) * loads.si() / area_m2_per_s;
    }
    out.classes
        .values()
        .map(|c| c.share.si() * c.film.si())
        .sum()
}

fn steps<'s>(parts: &Parts<'s>) -> Vec<Step<'s>> {
    let line = parts.line;
    let (bath_m, rinse_m) = films_m(line);
    let mut steps = Vec::new();
    for visit in &line.route {
        let vessels: Vec<VesselId> = match station(line, &visit.at) {
            Some(Station::Bath) => vec![parts.bath],
            Some(Station::Still(key)) => parts
                .stills
                .iter()
                .filter(|(k, _)| *k == key)
                .map(|(_, v)| *v)
                .collect(),
            Some(Station::Section(key)) => stages(parts, key).to_vec(),
            Some(Station::Stage(key, stage)) => stages(parts, key)
                .get(stage - 1)
                .copied()
                .into_iter()
                .collect(),
            None => Vec::new(),
        };
        let count = vessels.len();
        for (i, vessel) in vessels.into_iter().enumerate() {
            let usual_m = if vessel == parts.bath {
                bath_m
            } else {
                rinse_m
            };
            steps.push(Step {
                vessel,
                efficiency: visit.efficiency.si(),
                film_m: visit
                    .film
                    .as_ref()
                    .map_or(usual_m, crate::record::Input::si),
                spray: visit.spray.as_ref().filter(|_| i + 1 == count),
            });
        }
    }
    steps
}

fn stages<'p>(parts: &'p Parts<'_>, key: &str) -> &'p [VesselId] {
    parts
        .sections
        .iter()
        .find(|(k, _)| *k == key)
        .map_or(&[], |(_, list)| list)
}

/// Splits what arrives at a station into what stays on and what drops off.
///
/// `(1 − e)·min(D_in, D_out)` stays on, in the proportions in which it arrived.
fn exchange(arriving: &[Parcel], leaving_m: f64, efficiency: f64) -> (Vec<Parcel>, Vec<Parcel>) {
    let arriving_m: f64 = arriving.iter().map(|p| p.film_m).sum();
    if arriving_m <= 0.0 {
        return (Vec::new(), Vec::new());
    }
    let stays = (1.0 - efficiency) * arriving_m.min(leaving_m) / arriving_m;
    let scaled = |share: f64| {
        let one = |p: &Parcel| Parcel {
            film_m: share * p.film_m,
            ..*p
        };
        arriving
            .iter()
            .map(one)
            .filter(|p| p.film_m > LEAST_FILM_M)
            .collect()
    };
    (scaled(stays), scaled(1.0 - stays))
}

fn add(parcels: &mut Vec<Parcel>, origin: Origin, film_m: f64) {
    if film_m <= LEAST_FILM_M {
        return;
    }
    match parcels.iter_mut().find(|p| p.origin == origin) {
        Some(known) => known.film_m += film_m,
        None => parcels.push(Parcel { origin, film_m }),
    }
}

/// Streams that films make, the heat that work carries, and the make-up of the last film.
pub fn lower(builder: &mut Builder<'_>, parts: &mut Parts<'_>) {
    let work = &parts.line.work;
    let calendar = builder.calendar(&work.calendar);
    let name = if parts.prefix.is_empty() {
        "work".to_owned()
    } else {
        format!("{}work", parts.prefix)
    };
    builder.net.works.push(Work {
        name,
        area_m2_per_s: work.area_rate.si(),
        calendar,
    });
    let steps = steps(parts);
    let mut on_work: Vec<Parcel> = arriving(builder, parts).into_iter().collect();
    let mut before = None;
    for step in &steps {
        let (mut stays, drops) = exchange(&on_work, step.film_m, step.efficiency);
        drop_all(builder, parts, &drops, End::Vessel(step.vessel));
        let kept_m: f64 = stays.iter().map(|p| p.film_m).sum();
        add(
            &mut stays,
            Origin::Vessel(step.vessel),
            step.film_m - kept_m,
        );
        on_work = match step.spray {
            Some(spray) => spray_over(builder, parts, step, spray, &stays),
            None => stays,
        };
        heat_of_work(builder, parts, step.vessel, before);
        before = Some(step.vessel);
    }
    let lost = builder.account(account::ON_WORK);
    drop_all(builder, parts, &on_work, End::Account(lost));
    if let Some(last) = steps.last() {
        parts.roles.last_film = probe(last.vessel, &on_work);
    }
}

/// The film with which the work arrives, as liquid from outside of its own.
fn arriving(builder: &mut Builder<'_>, parts: &Parts<'_>) -> Option<Parcel> {
    let drag_in = parts.line.work.drag_in.as_ref()?;
    let temp_c = room_c(builder.scenario);
    let solutes = drag_in.solutes.iter().map(|(k, c)| (k, c.si()));
    let solute_kg_per_m3 = builder.in_order(solutes);
    let water_kg_per_m3 = solution::water_kg_per_m3(temp_c, &builder.species, &solute_kg_per_m3);
    builder.net.supplies.push(Supply {
        name: parts.stream("step before"),
        temp_c,
        water_kg_per_m3,
        solute_kg_per_m3,
    });
    Some(Parcel {
        origin: Origin::Before(SupplyId(builder.net.supplies.len() - 1)),
        film_m: drag_in.film.si(),
    })
}

/// What the film on the work is made of.
fn probe(station: VesselId, on_work: &[Parcel]) -> FilmProbe {
    let total_m: f64 = on_work.iter().map(|p| p.film_m).sum();
    let share = |p: &Parcel| {
        if total_m > 0.0 {
            p.film_m / total_m
        } else {
            0.0
        }
    };
    let mut probe = FilmProbe {
        station,
        vessels: Vec::new(),
        supplies: Vec::new(),
    };
    for parcel in on_work {
        match parcel.origin {
            Origin::Vessel(v) => probe.vessels.push((v, share(parcel))),
            Origin::Spray(s) | Origin::Before(s) => probe.supplies.push((s, share(parcel))),
        }
    }
    probe
}

/// Makes a stream of each parcel that drops off; liquid that drops back where it came from moves nothing.
fn drop_all(builder: &mut Builder<'_>, parts: &mut Parts<'_>, parcels: &[Parcel], to: End) {
    for parcel in parcels {
        let from = match parcel.origin {
            Origin::Vessel(v) => End::Vessel(v),
            Origin::Spray(s) => End::Supply(s, builder.account(account::SPRAY_WATER)),
            Origin::Before(s) => End::Supply(s, builder.account(account::DRAG_IN)),
        };
        if from == to {
            continue;
        }
        let name = parts.stream(&format!(
            "film {} to {}",
            end(builder, from),
            end(builder, to)
        ));
        let law = Law::Film {
            work: parts.work,
            film_m: parcel.film_m,
        };
        let id = builder.transfer(name, from, to, law, Gate::default());
        let roles = &mut parts.roles;
        if from == End::Vessel(parts.bath) {
            roles.drag_out.push(id);
        }
        // What the bath had not given before does not come back to it.
        let is_from_before = matches!(parcel.origin, Origin::Before(_));
        if to == End::Vessel(parts.bath) && !is_from_before {
            roles.drag_in.push(id);
        }
        if matches!(to, End::Account(_)) {
            roles.lost_on_work.push(id);
        }
        if matches!(parcel.origin, Origin::Spray(_)) {
            roles.sprays.push(id);
        }
    }
}

/// Words for an end of a stream, without the prefix of the loop.
fn end(builder: &Builder<'_>, end: End) -> String {
    let name = match end {
        End::Vessel(v) => &builder.net.vessels[v.index()].name,
        End::Supply(s, _) => &builder.net.supplies[s.index()].name,
        End::Account(_) => return "out".to_owned(),
    };
    name.clone()
}

/// A spray replaces a share of the leaving film by its own water; that share drops back, and so does the rest of the spray.
///
/// A spray too weak to supply the share it should replace replaces what it can.
fn spray_over(
    builder: &mut Builder<'_>,
    parts: &mut Parts<'_>,
    step: &Step<'_>,
    spray: &schema::Spray,
    leaving: &[Parcel],
) -> Vec<Parcel> {
    let supply = builder.supply(&spray.water);
    let area_m2_per_s = parts.line.work.area_rate.si();
    let film_m: f64 = leaving.iter().map(|p| p.film_m).sum();
    let able_m = spray.flow.si() / area_m2_per_s;
    let washed_m = (spray.washed.si() * film_m).min(able_m);
    let share = if film_m > 0.0 { washed_m / film_m } else { 0.0 };
    let part = |share: f64| -> Vec<Parcel> {
        let one = |p: &Parcel| Parcel {
            film_m: share * p.film_m,
            ..*p
        };
        leaving
            .iter()
            .map(one)
            .filter(|p| p.film_m > LEAST_FILM_M)
            .collect()
    };
    drop_all(builder, parts, &part(share), End::Vessel(step.vessel));
    let mut on_work = part(1.0 - share);
    add(&mut on_work, Origin::Spray(supply), washed_m);
    let rest_m3_per_s = spray.flow.si() - washed_m * area_m2_per_s;
    if rest_m3_per_s > 0.0 {
        let line = builder.account(account::SPRAY_WATER);
        let name = builder.net.vessels[step.vessel.index()].name.clone();
        let calendar = builder.calendar(&parts.line.work.calendar);
        let number = parts.roles.sprays.len() + 1;
        let path = parts.path(&format!("sprays.{number}.valve"));
        let valve = builder.device(path, DeviceKind::Valve, Some(calendar), Vec::new());
        let ends = (End::Supply(supply, line), End::Vessel(step.vessel));
        let id = builder.pumped(
            parts.stream(&format!("spray over {name}")),
            ends,
            rest_m3_per_s,
            valve,
        );
        parts.roles.sprays.push(id);
    }
    on_work
}

/// Heat that work brings from the station before.
fn heat_of_work(
    builder: &mut Builder<'_>,
    parts: &Parts<'_>,
    vessel: VesselId,
    from: Option<VesselId>,
) {
    let heat_capacity_j_per_m2_k = parts.line.work.heat_capacity.si();
    if heat_capacity_j_per_m2_k <= 0.0 || from == Some(vessel) {
        return;
    }
    let name = format!("work into {}", builder.net.vessels[vessel.index()].name);
    let law = HeatLaw::Work {
        work: parts.work,
        from,
        heat_capacity_j_per_m2_k,
    };
    builder.heat(name, vessel, law, Gate::default(), account::ON_WORK);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parcel(vessel: usize, film_m: f64) -> Parcel {
        Parcel {
            origin: Origin::Vessel(VesselId(vessel)),
            film_m,
        }
    }

    fn total(parcels: &[Parcel]) -> f64 {
        parcels.iter().map(|p| p.film_m).sum()
    }

    #[test]
    fn everything_that_arrives_stays_or_drops() {
        let arriving = [parcel(0, 3e-4), parcel(1, 1e-4)];
        for (leaving_m, efficiency) in [(2e-4, 0.7), (6e-4, 0.7), (1e-4, 1.0), (4e-4, 0.05)] {
            let (stays, drops) = exchange(&arriving, leaving_m, efficiency);
            assert!((total(&stays) + total(&drops) - 4e-4).abs() < 1e-18);
            let wanted = (1.0 - efficiency) * 4e-4_f64.min(leaving_m);
            assert!(
                (total(&stays) - wanted).abs() < 1e-18,
                "{leaving_m} {efficiency}"
            );
            if !stays.is_empty() {
                assert!((stays[0].film_m / stays[1].film_m - 3.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_dry_part_brings_nothing() {
        let (stays, drops) = exchange(&[], 1e-4, 0.5);
        assert!(stays.is_empty() && drops.is_empty());
    }
}
