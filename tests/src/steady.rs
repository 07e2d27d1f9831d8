//! Plants without one switch: whatever they begin with, they come to rest.

use dragback_plant::control::{Condition, Requirement};
use dragback_plant::ids::{AccountId, CalendarId, SoluteId, SupplyId, VesselId};
use dragback_plant::network::{End, Gate, HeatLaw, Law, Network, Pace, Source, Transfer};

use crate::random;
use crate::sketch::{AREA_M2_PER_S, Sketch, Tank, TowerSize, WORK};

/// A line without one switch, all the time: a bath at its brim and two rinses at their weirs, a tower over a hot tank that a coil heats, that a matched feed
/// refills and that the bath runs over into, impurities that come and go.
#[expect(clippy::too_many_lines, reason = "a plant is written out as one list")]
#[must_use]
pub fn without_switches() -> Sketch {
    let mut s = Sketch::new(&["metal", "sulfate", "impurity"]);
    let bath = s.tank(
        "bath",
        &Tank::full(2.0, 45.0, &[60.0, 100.0, 1.0])
            .open()
            .walls(20.0),
    );
    let first = s.tank("rinse 1", &Tank::full(0.5, 14.0, &[1.0, 1.5, 0.1]).open());
    let last = s.tank("rinse 2", &Tank::full(0.5, 14.0, &[0.1, 0.2, 0.1]).open());
    let hot = s.tank(
        "hot tank",
        &Tank::full(1.5, 40.0, &[30.0, 50.0, 2.0]).open().walls(10.0),
    );
    let tap = s.supply("tap", 15.0, &[0.0, 0.02, 0.03]);
    let drag_out = 2.0e-3 / 3600.0;
    let on_work = s.line_out("on work");
    s.film("film 0", bath, End::Vessel(first), drag_out);
    s.film("film 1", first, End::Vessel(last), drag_out);
    s.film("film 2", last, End::Account(on_work), drag_out);
    s.overflow("overflow 2", last, End::Vessel(first));
    let treatment = s.line_out("to treatment");
    s.overflow("overflow 1", first, End::Account(treatment));
    s.feed("rinse feed", tap, last, 40.0e-3 / 3600.0);
    let fresh = s.supply("fresh solution", 20.0, &[40.0, 70.0, 0.0]);
    s.feed("make-up", fresh, bath, 12.0e-3 / 3600.0);
    let size = TowerSize {
        air_m3_per_s: 0.2,
        feed_m3_per_s: 1.0e-3,
        ntu: 1.5,
        carry_over: 1e-5,
    };
    let tower = s.tower("tower", hot, &size, &[]);
    s.overflow("overflow of bath", bath, End::Vessel(hot));
    s.overflow("overflow of hot tank", hot, End::Account(treatment));
    let give_back = Law::Fixed {
        flow_m3_per_s: 0.026 / 3600.0,
    };
    s.stream("give back", End::Vessel(hot), End::Vessel(bath), give_back);
    let line = s.line_in("matched");
    s.stream(
        "matched",
        End::Supply(tap, line),
        End::Vessel(hot),
        Law::Matched {
            max_m3_per_s: 1.0e-3,
            share: 1.0,
            towers: vec![tower],
            surfaces: vec![hot],
            less: vec![],
            plus: vec![],
        },
    );
    s.heat(
        "coil",
        hot,
        HeatLaw::Coil {
            ua_w_per_k: 500.0,
            supply_c: 95.0,
            cap_w: 60_000.0,
        },
        Gate::default(),
    );
    s.heat(
        "bath heater",
        bath,
        HeatLaw::Hold {
            set_c: 48.0,
            power_w: 25_000.0,
        },
        Gate::default(),
    );
    let (soil, purified) = (s.line_in("work"), s.line_out("purified"));
    let source = |name: &str, solutes_kg, pace, account| Source {
        name: name.into(),
        vessel: bath,
        water_kg: 0.0,
        solutes_kg,
        pace,
        gate: Gate::default(),
        account,
    };
    let impurity = SoluteId(2);
    s.net
        .sources
        .push(source("soil", vec![(impurity, 2.0e-6)], Pace::Steady, soil));
    s.net.sources.push(source(
        "purification",
        vec![(impurity, 1.0e-6)],
        Pace::FirstOrder,
        purified,
    ));
    s
}

/// Water that a tank gets beyond what is drawn from it renews it in this time, s.
const RENEWED_S: f64 = 10.0 * 86_400.0;
/// More than a square metre of open surface loses, m/s: 10 kg/m²·h, of a tank at 75 °C.
const SURFACE_M_PER_S: f64 = 1.0e-2 / 3600.0;
/// More than a tower of [`random::network`] takes up, m³/s.
const TOWER_M3_PER_S: f64 = 0.15 / 3600.0;
/// Strength that dosing leaves in the water of all streams together, kg/m³.
const ENOUGH_KG_PER_M3: f64 = 3.0e-3;
/// Set point in the place of power by a thermostat, °C.
const HELD_C: f64 = 45.0;

/// The network of a seed with all that switches taken out of it: pumps, heats and work never rest, heaters behind a thermostat hold a set point instead,
/// nobody adds salts in lumps, and each tank is fed more than is drawn from it, so that it stands at its brim. A tank has one set point, as in any scenario. Weirs are
/// ideal: a real one holds a film of water above its edge that the averaged driver does not have.
#[must_use]
pub fn drawn(seed: u64) -> Network {
    let mut net = random::network(seed);
    for transfer in &mut net.transfers {
        transfer.gate = Gate::default();
        if let Law::Overflow { weir_width_m } = &mut transfer.law {
            *weir_width_m = None;
        }
    }
    for heat in &mut net.heats {
        heat.gate = Gate::default();
        if let HeatLaw::Power { power_w } = heat.law {
            heat.law = HeatLaw::Hold {
                set_c: HELD_C,
                power_w,
            };
        }
    }
    let mut held = Vec::new();
    net.heats.retain(|heat| match heat.law {
        HeatLaw::Hold { .. } => {
            let is_first = !held.contains(&heat.vessel);
            held.push(heat.vessel);
            is_first
        }
        // Drawn right behind its heater.
        HeatLaw::Cool { .. } => held.iter().filter(|v| **v == heat.vessel).count() == 1,
        _ => true,
    });
    for source in &mut net.sources {
        source.gate = Gate::default();
    }
    for device in &mut net.devices {
        let runs = |r: &Requirement| matches!(r.condition, Condition::Runs(_));
        device.requires.retain(runs);
        device.proportional = None;
    }
    net.works[WORK.index()].calendar = CalendarId(0);
    net.relays.clear();
    net.additions.clear();
    for v in 0..net.vessels.len() {
        keep_full(&mut net, VesselId(v));
    }
    dose_what_is_taken(&mut net);
    net
}

/// Doses more than sources take away, so that the tank holds some milligrams a litre more than nothing: below one, the exact driver lets a withdrawal taper off and the
/// averaged one takes a share of what is there.
fn dose_what_is_taken(net: &mut Network) {
    let line = line(net, "brought");
    let flows_m3_per_s: f64 = net.transfers.iter().filter_map(flow).sum();
    let more_kg_per_s = ENOUGH_KG_PER_M3 * flows_m3_per_s;
    let taking = net.sources.iter().enumerate().filter_map(|(i, source)| {
        let taken = source.solutes_kg.iter().filter(|x| x.1 < 0.0);
        let solutes_kg: Vec<_> = taken
            .map(|&(s, kg)| (s, more_kg_per_s - 1.5 * kg))
            .collect();
        (!solutes_kg.is_empty()).then(|| Source {
            name: format!("dosing {i}"),
            water_kg: 0.0,
            solutes_kg,
            account: line,
            ..source.clone()
        })
    });
    let dosing: Vec<Source> = taking.collect();
    net.sources.extend(dosing);
}

/// What a stream moves, m³/s, if it always moves the same.
fn flow(transfer: &Transfer) -> Option<f64> {
    match transfer.law {
        Law::Fixed { flow_m3_per_s } => Some(flow_m3_per_s),
        Law::Film { film_m, .. } => Some(film_m * AREA_M2_PER_S),
        Law::Overflow { .. } | Law::Matched { .. } => None,
    }
}

/// A line of the ledger that each drawn network has.
fn line(net: &Network, name: &str) -> AccountId {
    let found = net.accounts.iter().position(|a| a.name == name);
    AccountId(found.expect("each drawn network has it"))
}

/// Feeds a tank more than is drawn from it.
fn keep_full(net: &mut Network, v: VesselId) {
    let from_here = net.transfers.iter().filter(|t| t.from == End::Vessel(v));
    let drawn: f64 = from_here.filter_map(flow).sum();
    let vessel = &net.vessels[v.index()];
    let surface = vessel.surface.map_or(0.0, |s| SURFACE_M_PER_S * s.area_m2);
    let towers = net.towers.iter().filter(|t| t.vessel == v);
    let towers: f64 = towers
        .map(|t| TOWER_M3_PER_S + t.carry_over * t.feed_m3_per_s)
        .sum();
    let line = line(net, "feed");
    net.transfers.push(Transfer {
        name: format!("keeps tank {} full", v.index()),
        from: End::Supply(SupplyId(0), line),
        to: End::Vessel(v),
        law: Law::Fixed {
            flow_m3_per_s: drawn + surface + towers + vessel.full_m3 / RENEWED_S,
        },
        gate: Gate::default(),
    });
}
