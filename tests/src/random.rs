//! Networks drawn from a seed.

use dragback_plant::calendar::Calendar;
use dragback_plant::control::{Acts, Condition, DeviceKind, Proportional, Role, Signal};
use dragback_plant::ids::{CalendarId, SoluteId, SupplyId, TransferId, VesselId};
use dragback_plant::network::{
    Addition, End, FilmProbe, Gate, HeatLaw, Law, LoopRoles, Network, Pace, Source,
};

use crate::sketch::{Sketch, Tank, TowerSize, WORK};

/// A small generator of numbers (xorshift64*, Vigna 2016), so that a seed gives the same network on every machine.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// A generator for a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..4 {
            dice.next();
        }
        dice
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// A number from 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
        let x = (self.next() >> 11) as f64;
        x / 9_007_199_254_740_992.0
    }

    /// A number between two others, evenly.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A positive number between two others, evenly in its logarithm.
    pub fn spread(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.unit())
    }

    /// A whole number below `n`.
    pub fn below(&mut self, n: usize) -> usize {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "small counts"
        )]
        let x = (self.unit() * n as f64) as usize;
        x.min(n - 1)
    }

    /// Yes, with a probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }
}

/// Litres per hour in m³/s.
const L_PER_H: f64 = 1e-3 / 3600.0;

/// A network of 1 to 8 tanks and 1 to 6 solutes with films, pumps, overflows without a ring, heats, sources, additions and sometimes a tower.
#[must_use]
pub fn network(seed: u64) -> Network {
    let mut dice = Dice::new(seed);
    let d = &mut dice;
    let solutes = 1 + d.below(6);
    let names: Vec<String> = (0..solutes).map(|i| format!("solute {i}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut s = Sketch::new(&names);
    for solute in &mut s.net.solutes {
        solute.apparent_volume_m3_per_kg = d.between(0.0, 8.0e-4);
        solute.heat_capacity_j_per_kg_k = d.between(0.0, 1500.0);
    }
    s.room(d.between(5.0, 35.0), d.between(0.2, 0.8));
    calendars(&mut s, d);
    let tanks = tanks(&mut s, d, solutes);
    supplies(&mut s, d, solutes);
    films(&mut s, d, &tanks);
    overflows(&mut s, d, &tanks);
    pumps(&mut s, d, &tanks);
    heats(&mut s, d, &tanks);
    sources(&mut s, d, &tanks);
    if d.chance(0.4) {
        tower(&mut s, d, &tanks);
    }
    if d.chance(0.6) {
        addition(&mut s, d, &tanks);
    }
    meters(&mut s);
    s.net
}

/// Work and a calendar of one or two windows a day.
fn calendars(s: &mut Sketch, d: &mut Dice) {
    let from = d.between(0.0, 10.0) * 3600.0;
    let to = from + d.between(2.0, 12.0) * 3600.0;
    let windows_s = (0..5 + d.below(3)).scan(0.0, |day, _| {
        let window = (*day + from, *day + to);
        *day += 86_400.0;
        Some(window)
    });
    let windows_s = windows_s.collect();
    s.net.calendars.push(Calendar {
        name: "shifts".to_owned(),
        windows_s,
        shutdowns_s: vec![],
    });
    s.net.works[WORK.index()].calendar = CalendarId(d.below(2));
}

fn strengths(d: &mut Dice, solutes: usize, most: f64) -> Vec<f64> {
    (0..solutes)
        .map(|_| {
            if d.chance(0.2) {
                0.0
            } else {
                d.spread(1e-4 * most, most)
            }
        })
        .collect()
}

fn tanks(s: &mut Sketch, d: &mut Dice, solutes: usize) -> Vec<VesselId> {
    let count = 1 + d.below(8);
    (0..count)
        .map(|i| {
            let volume = d.spread(0.1, 8.0);
            let tank = Tank {
                full_m3: volume,
                footprint_m2: volume / d.between(0.5, 1.5),
                start_m3: volume
                    * if d.chance(0.4) {
                        1.0
                    } else {
                        d.between(0.05, 0.98)
                    },
                temp_c: d.between(8.0, 75.0),
                kg_per_m3: strengths(d, solutes, 120.0),
                open: d.chance(0.7),
                wall_w_per_k: if d.chance(0.6) {
                    d.between(0.0, 40.0)
                } else {
                    0.0
                },
            };
            s.tank(&format!("tank {i}"), &tank)
        })
        .collect()
}

fn supplies(s: &mut Sketch, d: &mut Dice, solutes: usize) {
    for i in 0..1 + d.below(2) {
        let c = strengths(d, solutes, 2.0);
        s.supply(&format!("water {i}"), d.between(5.0, 40.0), &c);
    }
}

fn pick(d: &mut Dice, tanks: &[VesselId]) -> VesselId {
    tanks[d.below(tanks.len())]
}

/// A gate that is open always, on shift, or while a relay lets a device run.
fn gate(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId], what: &str) -> Gate {
    if d.chance(0.4) {
        return Gate::default();
    }
    if d.chance(0.4) {
        return Gate {
            device: None,
            calendar: Some(CalendarId(1)),
        };
    }
    let v = pick(d, tanks);
    let vessel = &s.net.vessels[v.index()];
    let depth = vessel.full_m3 / vessel.shape.footprint_m2;
    let (signal, band) = match d.below(3) {
        0 => {
            let low = d.between(10.0, 70.0);
            (Signal::Temperature(v), (low, low + d.between(0.5, 4.0)))
        }
        1 => {
            let low = d.between(1.0, 100.0);
            (Signal::Concentration(v, SoluteId(0)), (low, 1.2 * low))
        }
        _ => {
            let low = depth * d.between(0.1, 0.85);
            (Signal::Level(v), (low, low + depth * d.between(0.02, 0.1)))
        }
    };
    let acts = if d.chance(0.5) {
        Acts::Below
    } else {
        Acts::Above
    };
    let role = if d.chance(0.7) {
        Role::Regulate
    } else {
        Role::Permit
    };
    let relay = s.relay(&format!("relay of {what}"), signal, band, acts, role);
    let kind = DeviceKind::Pump;
    let device = s.device(
        &format!("device of {what}"),
        kind,
        vec![Condition::On(relay)],
    );
    Gate {
        device: Some(device),
        calendar: None,
    }
}

fn films(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId]) {
    let on_work = s.line_out("on work");
    for i in 0..d.below(6) {
        let from = pick(d, tanks);
        let to = pick(d, tanks);
        let to = if to == from || d.chance(0.3) {
            End::Account(on_work)
        } else {
            End::Vessel(to)
        };
        let flow = d.spread(0.1, 30.0) * L_PER_H;
        s.film(&format!("film {i}"), from, to, flow);
    }
}

/// Overflows run from a tank to one earlier in the list or out, so that they make no ring.
fn overflows(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId]) {
    let treatment = s.line_out("to treatment");
    let spilled = s.line_out("spilled");
    s.net.spill_account = Some(spilled);
    for (i, &from) in tanks.iter().enumerate() {
        let to = match d.below(4) {
            0 => End::Account(spilled),
            1 | 2 if i > 0 => End::Vessel(tanks[d.below(i)]),
            _ => End::Account(treatment),
        };
        let weir_width_m = d.chance(0.1).then_some(0.2);
        let law = Law::Overflow { weir_width_m };
        s.stream(&format!("overflow {i}"), End::Vessel(from), to, law);
    }
}

fn pumps(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId]) {
    let drained = s.line_out("drained");
    let lines = [s.line_in("feed"), s.line_in("make-up")];
    for i in 0..1 + d.below(6) {
        let name = format!("stream {i}");
        let to = pick(d, tanks);
        let from = if d.chance(0.5) {
            End::Supply(SupplyId(d.below(s.net.supplies.len())), lines[d.below(2)])
        } else {
            End::Vessel(pick(d, tanks))
        };
        let to = if End::Vessel(to) == from || (d.chance(0.2) && matches!(from, End::Vessel(_))) {
            End::Account(drained)
        } else {
            End::Vessel(to)
        };
        let flow_m3_per_s = d.spread(1.0, 2000.0) * L_PER_H;
        let gate = gate(s, d, tanks, &name);
        s.gated(&name, from, to, Law::Fixed { flow_m3_per_s }, gate);
    }
}

fn heats(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId]) {
    for i in 0..d.below(5) {
        let name = format!("heat {i}");
        let v = pick(d, tanks);
        let size = s.net.vessels[v.index()].full_m3;
        let mut cooler = None;
        let law = match d.below(4) {
            0 => HeatLaw::Power {
                power_w: 4000.0 * size * d.unit(),
            },
            1 => HeatLaw::Coil {
                ua_w_per_k: 300.0 * size,
                supply_c: d.between(60.0, 100.0),
                cap_w: 20_000.0 * size,
            },
            2 => {
                let (set_c, power_w) = (d.between(20.0, 65.0), 15_000.0 * size);
                // A cooler at the same set point: nothing but their order keeps the two apart.
                let cools_w = 5_000.0 * size * d.unit();
                cooler = Some(HeatLaw::Cool {
                    set_c,
                    power_w: cools_w,
                });
                HeatLaw::Hold { set_c, power_w }
            }
            _ => HeatLaw::Work {
                work: WORK,
                from: d.chance(0.5).then(|| pick(d, tanks)),
                heat_capacity_j_per_m2_k: d.between(1.0, 60.0),
            },
        };
        // Power without a thermostat would boil a tank dry of sense: it hangs on one.
        let gate = if matches!(law, HeatLaw::Power { .. }) {
            thermostat(s, d, v, &name)
        } else if d.chance(0.3) {
            Gate {
                device: None,
                calendar: Some(CalendarId(1)),
            }
        } else {
            Gate::default()
        };
        s.heat(&name, v, law, gate);
        if let Some(law) = cooler {
            s.heat(&format!("cooler {i}"), v, law, gate);
        }
    }
}

fn thermostat(s: &mut Sketch, d: &mut Dice, v: VesselId, what: &str) -> Gate {
    let set_c = d.between(25.0, 70.0);
    let band = d.between(0.5, 4.0);
    let device = if d.chance(0.3) {
        let device = s.device(&format!("heater of {what}"), DeviceKind::Heater, vec![]);
        s.net.devices[device.index()].proportional = Some(Proportional {
            vessel: v,
            set_c,
            band_k: band,
        });
        device
    } else {
        let edges = (set_c - 0.5 * band, set_c + 0.5 * band);
        let signal = Signal::Temperature(v);
        let relay = s.relay(
            &format!("thermostat of {what}"),
            signal,
            edges,
            Acts::Below,
            Role::Regulate,
        );
        s.device(
            &format!("heater of {what}"),
            DeviceKind::Heater,
            vec![Condition::On(relay)],
        )
    };
    Gate {
        device: Some(device),
        calendar: None,
    }
}

fn sources(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId]) {
    let (taken, brought) = (s.line_out("taken"), s.line_in("brought"));
    for i in 0..d.below(5) {
        let vessel = pick(d, tanks);
        let solute = SoluteId(d.below(s.net.solutes.len()));
        let sign = if d.chance(0.5) { -1.0 } else { 1.0 };
        let (rate, water_kg, pace) = match d.below(3) {
            0 => (sign * d.spread(1e-7, 1e-5), 0.0, Pace::Steady),
            1 => (
                sign * d.spread(1e-7, 1e-5),
                -d.spread(1e-7, 1e-5),
                Pace::PerArea(WORK),
            ),
            _ => (d.spread(1e-7, 1e-5), 0.0, Pace::FirstOrder),
        };
        s.net.sources.push(Source {
            name: format!("source {i}"),
            vessel,
            water_kg,
            solutes_kg: vec![(solute, rate)],
            pace,
            gate: Gate {
                device: None,
                calendar: d.chance(0.5).then_some(CalendarId(1)),
            },
            account: if sign > 0.0 { brought } else { taken },
        });
    }
}

fn tower(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId]) {
    let v = pick(d, tanks);
    let vessel = &s.net.vessels[v.index()];
    let depth = vessel.full_m3 / vessel.shape.footprint_m2;
    let low = depth * d.between(0.1, 0.3);
    let band = (low, low + 0.05 * depth);
    let permit = s.relay(
        "tower permit",
        Signal::Level(v),
        band,
        Acts::Above,
        Role::Permit,
    );
    // One size of tower and one room in ten, so that few tables are worked out.
    let size = TowerSize {
        air_m3_per_s: 0.3,
        feed_m3_per_s: 1.2e-3,
        ntu: 1.8,
        carry_over: if d.chance(0.5) { 1e-5 } else { 0.0 },
    };
    s.tower("tower", v, &size, &[Condition::On(permit)]);
}

fn addition(s: &mut Sketch, d: &mut Dice, tanks: &[VesselId]) {
    let vessel = pick(d, tanks);
    let solute = SoluteId(d.below(s.net.solutes.len()));
    let account = s.line_in("additions");
    let held = s.net.vessels[vessel.index()]
        .initial
        .concentration_kg_per_m3[solute.index()];
    let mut yields = vec![(solute, d.between(0.2, 0.6))];
    let other = SoluteId(d.below(s.net.solutes.len()));
    if other != solute {
        yields.push((other, d.between(0.1, 0.35)));
    }
    let solid: f64 = yields.iter().map(|y| y.1).sum();
    s.net.additions.push(Addition {
        name: "salt".to_owned(),
        vessel,
        solute,
        target_kg_per_m3: (1.2 * held).max(1.0),
        dead_band: 0.01,
        interval_s: d.between(4.0, 30.0) * 3600.0,
        yields,
        crystal_water: 1.0 - solid,
        account,
    });
}

/// Meters on every transfer out of a tank: they must not disturb the books.
fn meters(s: &mut Sketch) {
    let from_tanks =
        |t: &(usize, &dragback_plant::network::Transfer)| matches!(t.1.from, End::Vessel(_));
    let all = s.net.transfers.iter().enumerate().filter(from_tanks);
    let returns = all.map(|(i, _)| TransferId(i)).collect();
    let bath = VesselId(0);
    s.net.loops.push(LoopRoles {
        name: "loop".to_owned(),
        title: "drawn".to_owned(),
        bath,
        holding: None,
        collection: None,
        vessels: vec![bath],
        lead: SoluteId(0),
        work: WORK,
        drag_out: vec![],
        drag_in: vec![],
        last_film: FilmProbe {
            station: bath,
            vessels: vec![(bath, 1.0)],
            supplies: vec![],
        },
        rinse_feed: vec![],
        sprays: vec![],
        make_up: vec![],
        returns,
        withdrawals: vec![],
        to_treatment: vec![],
        lost_on_work: vec![],
        spills: vec![],
        dumped: None,
        additions: None,
        keeping: vec![],
        water_in: vec![],
        water_out: vec![],
        towers: vec![],
        heaters: vec![],
        bath_heaters: vec![],
        bath_coolers: vec![],
        final_limit_kg_per_m3: None,
        impurity_limits: vec![],
    });
}
