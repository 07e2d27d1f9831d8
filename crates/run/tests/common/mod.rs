//! A small loop built by hand: bath, counterflow rinses, collection tank, heated holding tank, one tower.

use std::sync::Arc;

use dragback_plant::calendar::Calendar;
use dragback_plant::climate::Climate;
use dragback_plant::control::{
    Acts, Condition, Device, DeviceKind, Relay, Requirement, Role, Signal,
};
use dragback_plant::ids::*;
use dragback_plant::network::*;
use dragback_plant::{Plant, TowerCache};
use dragback_properties::air::AirState;
use dragback_properties::tower::{
    FanPosition, LewisFactor, Tower, TowerDesign, Transfer as Contact,
};

/// Sizes of the sample loop.
#[derive(Clone, Debug)]
pub struct Sample {
    pub film_m: f64,
    pub feed_m3_per_s: f64,
    pub stages: usize,
    pub heater_w: f64,
    pub set_c: f64,
    pub band_k: f64,
    pub losses: bool,
    pub always_working: bool,
    pub recovers: bool,
}

impl Default for Sample {
    fn default() -> Self {
        Self {
            film_m: 1.0e-4,
            feed_m3_per_s: 55.0e-3 / 3600.0,
            stages: 3,
            heater_w: 80_000.0,
            set_c: 60.0,
            band_k: 2.0,
            losses: true,
            always_working: false,
            recovers: true,
        }
    }
}

pub const BATH: VesselId = VesselId(0);

fn solute(name: &str, molar_mass: f64, charge: i32) -> Solute {
    Solute {
        name: name.into(),
        molar_mass_kg_per_mol: molar_mass,
        charge,
        apparent_volume_m3_per_kg: 2.0e-4,
        heat_capacity_j_per_kg_k: 200.0,
        ionic_conductivity_s_m2_per_mol: 0.01,
    }
}

fn tank(name: &str, volume: f64, area: f64, temp: f64, conc: &[f64], surface: bool) -> Vessel {
    Vessel {
        name: name.into(),
        shape: Shape {
            footprint_m2: area,
            slope_height_m: 0.0,
        },
        full_m3: volume,
        dead_m3: 0.02 * volume,
        surface: surface.then_some(Surface {
            area_m2: area,
            air_speed_m_per_s: 0.1,
        }),
        climate: ClimateId(0),
        wall_w_per_k: if surface { 5.0 * area } else { 0.0 },
        initial: Initial {
            volume_m3: volume,
            temp_c: temp,
            concentration_kg_per_m3: conc.to_vec(),
        },
    }
}

pub fn network(s: &Sample) -> Network {
    let room = AirState::from_relative_humidity(22.0, 0.5, 101_325.0).unwrap();
    let day = 86_400.0;
    let shifts = (0..5).map(|d| {
        (
            f64::from(d) * day + 6.0 * 3600.0,
            f64::from(d) * day + 22.0 * 3600.0,
        )
    });
    let work_hours = if s.always_working {
        Calendar::always("always")
    } else {
        Calendar {
            name: "two shifts".into(),
            windows_s: shifts.collect(),
            shutdowns_s: vec![],
        }
    };
    let bath = [65.0, 120.0, 13.0];
    let thin = [0.01, 0.02, 0.002];
    let mut vessels = vec![tank("bath", 4.0, 4.0, 55.0, &bath, s.losses)];
    vessels[0].initial.volume_m3 = 3.6;
    for i in 0..s.stages {
        vessels.push(tank(
            &format!("rinse {}", i + 1),
            0.5,
            0.6,
            22.0,
            &thin,
            s.losses,
        ));
    }
    let stage = |i: usize| VesselId(1 + i);
    let accounts = [
        "rinse feed",
        "make-up",
        "on work",
        "to treatment",
        "up the stack",
        "tower air",
        "surface evaporation",
        "heat losses",
        "heaters",
        "deposit",
        "additions",
        "spilled",
    ];
    let account = |name: &str| AccountId(accounts.iter().position(|a| *a == name).unwrap());
    let mut net = Network {
        title: "sample".into(),
        solutes: vec![
            solute("Ni", 0.0587, 2),
            solute("SO4", 0.096, -2),
            solute("Na", 0.023, 1),
        ],
        activity: Arc::new(IdealWater),
        vessels,
        supplies: vec![Supply {
            name: "tap".into(),
            temp_c: 18.0,
            water_kg_per_m3: 998.6,
            solute_kg_per_m3: vec![0.0, 0.0, 0.02],
        }],
        accounts: accounts
            .iter()
            .map(|n| Account {
                name: (*n).into(),
                side: if ["rinse feed", "make-up", "heaters", "additions"].contains(n) {
                    Side::In
                } else {
                    Side::Out
                },
            })
            .collect(),
        transfers: vec![],
        heats: vec![],
        sources: vec![],
        towers: vec![],
        calendars: vec![Calendar::always("always"), work_hours],
        climates: vec![Climate {
            name: "room".into(),
            months: vec![room],
            start_month: 0,
        }],
        works: vec![Work {
            name: "work".into(),
            area_m2_per_s: 14.0 / 3600.0,
            calendar: CalendarId(1),
        }],
        devices: vec![],
        relays: vec![],
        additions: vec![],
        events: vec![],
        surface_account: account("surface evaporation"),
        loss_account: account("heat losses"),
        spill_account: Some(account("spilled")),
        pressure_pa: 101_325.0,
        loops: vec![],
    };
    let film = |from: VesselId, to: End, n: usize| Transfer {
        name: format!("film {n}"),
        from: End::Vessel(from),
        to,
        law: Law::Film {
            work: WorkId(0),
            film_m: s.film_m,
        },
        gate: Gate::default(),
    };
    let overflow = |from: VesselId, to: End, name: &str| Transfer {
        name: name.into(),
        from: End::Vessel(from),
        to,
        law: Law::Overflow { weir_width_m: None },
        gate: Gate::default(),
    };
    let last = stage(s.stages - 1);
    net.transfers.push(film(BATH, End::Vessel(stage(0)), 0));
    for i in 0..s.stages {
        let to = if i + 1 < s.stages {
            End::Vessel(stage(i + 1))
        } else {
            End::Account(account("on work"))
        };
        net.transfers.push(film(stage(i), to, i + 1));
        if i > 0 {
            net.transfers.push(overflow(
                stage(i),
                End::Vessel(stage(i - 1)),
                &format!("overflow {}", i + 1),
            ));
        }
    }
    net.transfers.push(overflow(
        BATH,
        End::Account(account("spilled")),
        "spill of bath",
    ));
    let feed_at = net.transfers.len();
    net.transfers.push(Transfer {
        name: "rinse feed".into(),
        from: End::Supply(SupplyId(0), account("rinse feed")),
        to: End::Vessel(last),
        law: Law::Fixed {
            flow_m3_per_s: s.feed_m3_per_s,
        },
        gate: Gate {
            device: None,
            calendar: Some(CalendarId(1)),
        },
    });
    let mut roles = LoopRoles {
        name: "loop".into(),
        title: "sample".into(),
        bath: BATH,
        holding: None,
        collection: None,
        vessels: (0..=s.stages).map(VesselId).collect(),
        lead: SoluteId(0),
        work: WorkId(0),
        drag_out: vec![TransferId(0)],
        drag_in: vec![],
        last_film: FilmProbe {
            station: last,
            vessels: vec![(last, 1.0)],
            supplies: vec![],
        },
        rinse_feed: vec![TransferId(feed_at)],
        sprays: vec![],
        make_up: vec![],
        returns: vec![],
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
        final_limit_kg_per_m3: None,
        impurity_limits: vec![],
    };
    if s.losses {
        net.heats.push(Heat {
            name: "bath heater".into(),
            vessel: BATH,
            law: HeatLaw::Hold {
                set_c: 55.0,
                heat_w: 30_000.0,
                cool_w: 0.0,
            },
            gate: Gate::default(),
            account: account("heaters"),
        });
    }
    if s.recovers {
        recovery(&mut net, &mut roles, s, &account);
    } else {
        roles.to_treatment.push(TransferId(net.transfers.len()));
        net.transfers.push(overflow(
            stage(0),
            End::Account(account("to treatment")),
            "overflow 1",
        ));
    }
    net.sources.push(Source {
        name: "deposit".into(),
        vessel: BATH,
        water_kg: 0.0,
        solutes_kg: vec![(SoluteId(0), -1.0e-5)],
        pace: Pace::Steady,
        gate: Gate {
            device: None,
            calendar: Some(CalendarId(1)),
        },
        account: account("deposit"),
    });
    net.additions.push(Addition {
        name: "nickel sulfate".into(),
        vessel: BATH,
        solute: SoluteId(0),
        target_kg_per_m3: 65.0,
        dead_band: 0.005,
        interval_s: 86_400.0,
        yields: vec![(SoluteId(0), 0.2233), (SoluteId(1), 0.3655)],
        crystal_water: 0.4112,
        account: account("additions"),
    });
    net.loops.push(roles);
    net
}

fn relay(name: &str, signal: Signal, lower: f64, upper: f64, acts: Acts, role: Role) -> Relay {
    Relay {
        name: name.into(),
        signal,
        lower,
        upper,
        acts,
        latches: false,
        operator_reset_s: None,
        role,
        starts_on: true,
    }
}

fn recovery(
    net: &mut Network,
    roles: &mut LoopRoles,
    s: &Sample,
    account: &dyn Fn(&str) -> AccountId,
) {
    let collection = VesselId(net.vessels.len());
    let holding = VesselId(net.vessels.len() + 1);
    let bath = net.vessels[0].initial.concentration_kg_per_m3.clone();
    let thin: Vec<f64> = bath.iter().map(|c| 0.1 * c).collect();
    net.vessels
        .push(tank("collection tank", 3.0, 2.0, 22.0, &thin, s.losses));
    net.vessels[collection.index()].initial.volume_m3 = 1.0;
    net.vessels
        .push(tank("holding tank", 2.5, 2.0, 58.0, &bath, s.losses));
    net.vessels[holding.index()].initial.volume_m3 = 1.7;
    let r = |net: &mut Network, relay: Relay| {
        net.relays.push(relay);
        RelayId(net.relays.len() - 1)
    };
    let level = Signal::Level;
    let thermostat = r(
        net,
        relay(
            "thermostat",
            Signal::Temperature(holding),
            s.set_c - 0.5 * s.band_k,
            s.set_c + 0.5 * s.band_k,
            Acts::Below,
            Role::Regulate,
        ),
    );
    let mut over = relay(
        "over-temperature",
        Signal::Temperature(holding),
        s.set_c - 2.0,
        s.set_c + 3.0,
        Acts::Above,
        Role::Alarm,
    );
    over.latches = true;
    over.starts_on = false;
    let over = r(net, over);
    let permit = r(
        net,
        relay(
            "evaporation permit",
            level(holding),
            0.5,
            0.55,
            Acts::Above,
            Role::Permit,
        ),
    );
    let transfer = r(
        net,
        relay(
            "transfer probe",
            level(holding),
            0.8,
            0.9,
            Acts::Below,
            Role::Regulate,
        ),
    );
    let has_water = r(
        net,
        relay(
            "collection not empty",
            level(collection),
            0.05,
            0.15,
            Acts::Above,
            Role::Permit,
        ),
    );
    let bath_level = r(
        net,
        relay(
            "bath level",
            level(BATH),
            0.89,
            0.91,
            Acts::Below,
            Role::Regulate,
        ),
    );
    let dry_run = r(
        net,
        relay(
            "return dry-run",
            level(holding),
            0.2,
            0.25,
            Acts::Above,
            Role::Permit,
        ),
    );
    let bath_low = r(
        net,
        relay(
            "bath make-up level",
            level(BATH),
            0.84,
            0.86,
            Acts::Below,
            Role::Regulate,
        ),
    );
    let device = |net: &mut Network, name: &str, kind, requires: Vec<Condition>| {
        let requires = requires
            .into_iter()
            .map(|condition| Requirement {
                condition,
                is_interlock: true,
            })
            .collect();
        net.devices.push(Device {
            name: name.into(),
            kind,
            calendar: None,
            requires,
            proportional: None,
        });
        DeviceId(net.devices.len() - 1)
    };
    let element = device(
        net,
        "elements",
        DeviceKind::Heater,
        vec![Condition::On(thermostat), Condition::Off(over)],
    );
    let blower = device(
        net,
        "blower",
        DeviceKind::Blower,
        vec![Condition::On(permit)],
    );
    let pump = device(
        net,
        "feed pump",
        DeviceKind::FeedPump,
        vec![Condition::On(permit), Condition::Runs(blower)],
    );
    let transfer_pump = device(
        net,
        "transfer pump",
        DeviceKind::Pump,
        vec![Condition::On(transfer), Condition::On(has_water)],
    );
    let return_pump = device(
        net,
        "return pump",
        DeviceKind::Pump,
        vec![Condition::On(bath_level), Condition::On(dry_run)],
    );
    let make_up = device(
        net,
        "make-up valve",
        DeviceKind::Valve,
        vec![Condition::On(bath_low)],
    );
    net.heats.push(Heat {
        name: "elements".into(),
        vessel: holding,
        law: HeatLaw::Power {
            power_w: s.heater_w,
        },
        gate: Gate {
            device: Some(element),
            calendar: None,
        },
        account: account("heaters"),
    });
    roles.heaters.push(HeatId(net.heats.len() - 1));
    let mut push = |name: &str, from: End, to: End, law: Law, device: Option<DeviceId>| {
        net.transfers.push(Transfer {
            name: name.into(),
            from,
            to,
            law,
            gate: Gate {
                device,
                calendar: None,
            },
        });
        TransferId(net.transfers.len() - 1)
    };
    let fixed = |l_per_h: f64| Law::Fixed {
        flow_m3_per_s: l_per_h * 1e-3 / 3600.0,
    };
    let spill = |v| (End::Vessel(v), End::Account(account("spilled")));
    let weir = || Law::Overflow { weir_width_m: None };
    push(
        "overflow 1",
        End::Vessel(VesselId(1)),
        End::Vessel(collection),
        weir(),
        None,
    );
    let treat = push(
        "collection overflow",
        End::Vessel(collection),
        End::Account(account("to treatment")),
        weir(),
        None,
    );
    push(
        "spill of holding tank",
        spill(holding).0,
        spill(holding).1,
        weir(),
        None,
    );
    push(
        "transfer",
        End::Vessel(collection),
        End::Vessel(holding),
        fixed(1500.0),
        Some(transfer_pump),
    );
    let back = push(
        "return",
        End::Vessel(holding),
        End::Vessel(BATH),
        fixed(600.0),
        Some(return_pump),
    );
    let water = push(
        "make-up",
        End::Supply(SupplyId(0), account("make-up")),
        End::Vessel(BATH),
        fixed(600.0),
        Some(make_up),
    );
    roles.returns.push(back);
    roles.make_up.push(water);
    roles.to_treatment.push(treat);
    roles.collection = Some(collection);
    roles.holding = Some(holding);
    roles.vessels.extend([collection, holding]);
    roles.towers.push(TowerId(0));
    net.towers.push(TowerUnit {
        name: "tower".into(),
        vessel: holding,
        tower: Arc::new(Tower::new(design()).unwrap()),
        climate: ClimateId(0),
        pump,
        blower,
        feed_m3_per_s: 6.0 / 3600.0,
        carry_over: 1.0e-6,
        fan_heat_w: 0.0,
        air_account: account("tower air"),
        stack_account: account("up the stack"),
    });
}

fn design() -> TowerDesign {
    TowerDesign {
        air_flow_m3_per_s: 1600.0 / 3600.0,
        fan: FanPosition::Before,
        lewis: LewisFactor::default(),
        feed_kg_per_s: 6000.0 / 3600.0,
        transfer: Contact::Units {
            ntu: 2.0,
            air_flow_m3_per_s: 1600.0 / 3600.0,
            feed_kg_per_s: 6000.0 / 3600.0,
        },
        flow_exponent: 0.6,
        carry_over_fraction: 1e-6,
    }
}

pub fn plant(s: &Sample) -> Arc<Plant> {
    Arc::new(Plant::new(Arc::new(network(s)), &TowerCache::default()).unwrap())
}
