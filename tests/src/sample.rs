//! A whole loop put together by hand: bath, counterflow rinses, collection tank, heated holding tank, one tower.

use dragback_plant::calendar::Calendar;
use dragback_plant::control::{Acts, Condition, DeviceKind, Role, Signal};
use dragback_plant::ids::{
    CalendarId, DeviceId, HeatId, RelayId, SoluteId, TowerId, TransferId, VesselId,
};
use dragback_plant::network::{
    Addition, End, FilmProbe, Gate, HeatLaw, Law, LoopRoles, Network, Pace, Source,
};

use crate::sketch::{AREA_M2_PER_S, Sketch, Tank, TowerSize, WORK};

/// Sizes of the sample loop.
#[derive(Clone, Debug)]
pub struct Sample {
    /// Drag-out while work runs, m³/s.
    pub drag_out_m3_per_s: f64,
    /// Rinse feed while work runs, m³/s.
    pub feed_m3_per_s: f64,
    /// Counterflow stages.
    pub stages: usize,
    /// Power of the holding tank's elements, W, shared by four.
    pub heater_w: f64,
    /// Set point of the holding tank, °C.
    pub set_c: f64,
    /// Dead band of its thermostat, K.
    pub band_k: f64,
    /// Whether work never stops.
    pub always_working: bool,
    /// How many such loops share the room.
    pub loops: usize,
}

impl Default for Sample {
    fn default() -> Self {
        Self {
            drag_out_m3_per_s: 1.4e-3 / 3600.0,
            feed_m3_per_s: 55.0e-3 / 3600.0,
            stages: 3,
            heater_w: 80_000.0,
            set_c: 60.0,
            band_k: 2.0,
            always_working: false,
            loops: 1,
        }
    }
}

/// Tanks of one loop of the sample.
#[derive(Clone, Debug)]
pub struct Places {
    /// The bath.
    pub bath: VesselId,
    /// The rinses, first to last.
    pub rinses: Vec<VesselId>,
    /// The collection tank.
    pub collection: VesselId,
    /// The heated holding tank.
    pub holding: VesselId,
    /// The tower.
    pub tower: TowerId,
    /// Fresh water to the last rinse.
    pub feed: TransferId,
    /// Transfer pump, collection tank to holding tank.
    pub transfer: TransferId,
    /// Return, holding tank to bath.
    pub give_back: TransferId,
    /// Devices: elements, feed pump, transfer pump.
    pub elements: Vec<DeviceId>,
    /// The tower's feed pump.
    pub feed_pump: DeviceId,
    /// Transfer pump.
    pub transfer_pump: DeviceId,
}

/// Bath of the sample: nickel, sulfate and sodium, kg/m³.
const BATH: [f64; 3] = [65.0, 120.0, 13.0];

/// The network, and where its parts are.
#[must_use]
pub fn network(sample: &Sample) -> (Network, Vec<Places>) {
    let mut sketch = Sketch::new(&["Ni", "SO4", "Na"]);
    sketch.room(22.0, 0.5);
    sketch.net.solutes[2].charge = 1;
    if !sample.always_working {
        let day = |d: f64| (86_400.0 * d + 6.0 * 3600.0, 86_400.0 * d + 22.0 * 3600.0);
        let windows_s = (0..5).map(|d| day(f64::from(d))).collect();
        sketch.net.calendars.push(Calendar {
            name: "two shifts".to_owned(),
            windows_s,
            shutdowns_s: vec![],
        });
        sketch.net.works[0].calendar = CalendarId(1);
    }
    sketch.supply("tap", 18.0, &[0.0, 0.0, 0.02]);
    let spilled = sketch.line_out("spilled");
    sketch.net.spill_account = Some(spilled);
    let places = (1..=sample.loops)
        .map(|i| one_loop(&mut sketch, sample, i))
        .collect();
    (sketch.net, places)
}

fn one_loop(sketch: &mut Sketch, sample: &Sample, number: usize) -> Places {
    let tap = dragback_plant::ids::SupplyId(0);
    let name = |what: &str| {
        if number == 1 {
            what.to_owned()
        } else {
            format!("{what} of loop {number}")
        }
    };
    let thin: Vec<f64> = BATH.iter().map(|c| 1e-4 * c).collect();
    let third: Vec<f64> = BATH.iter().map(|c| 0.3 * c).collect();
    let tenth: Vec<f64> = BATH.iter().map(|c| 0.1 * c).collect();
    let warm = |volume: f64, area: f64, temp_c: f64, c: &[f64], share: f64| {
        let tank = Tank::full(volume, temp_c, c)
            .filled(share)
            .open()
            .walls(5.0 * area);
        Tank {
            footprint_m2: area,
            ..tank
        }
    };
    let bath = sketch.tank(&name("bath"), &warm(4.0, 4.0, 55.0, &BATH, 0.9));
    let rinses: Vec<VesselId> = (1..=sample.stages)
        .map(|k| {
            sketch.tank(
                &name(&format!("rinse {k}")),
                &warm(0.5, 0.6, 22.0, &thin, 1.0),
            )
        })
        .collect();
    let collection = sketch.tank(
        &name("collection tank"),
        &warm(3.0, 2.0, 22.0, &tenth, 1.0 / 3.0),
    );
    let holding = sketch.tank(&name("holding tank"), &warm(2.5, 2.0, 58.0, &third, 0.68));
    let films = films(sketch, &name, bath, &rinses, sample);
    let on_shift = sketch.net.works[WORK.index()].calendar;
    let line = sketch.line_in("rinse feed");
    let last = rinses[rinses.len() - 1];
    let feed = sketch.gated(
        &name("rinse feed"),
        End::Supply(tap, line),
        End::Vessel(last),
        Law::Fixed {
            flow_m3_per_s: sample.feed_m3_per_s,
        },
        Gate {
            device: None,
            calendar: Some(on_shift),
        },
    );
    sketch.heat(
        &name("bath heater"),
        bath,
        HeatLaw::Hold {
            set_c: 55.0,
            power_w: 30_000.0,
        },
        Gate::default(),
    );
    chemistry(sketch, &name, bath);
    let mut places = Places {
        bath,
        rinses,
        collection,
        holding,
        tower: TowerId(0),
        feed,
        transfer: feed,
        give_back: feed,
        elements: vec![],
        feed_pump: DeviceId(0),
        transfer_pump: DeviceId(0),
    };
    let relays = relays(sketch, &name, sample, &places);
    let heaters = elements(sketch, &name, sample, &relays, &mut places);
    let water = pumps(sketch, &name, &relays, &mut places);
    roles(sketch, &name, &places, (films, heaters, water));
    places
}

/// Films and overflows; the film that leaves each station, and where the first overflow goes is left to the pumps.
fn films(
    sketch: &mut Sketch,
    name: &dyn Fn(&str) -> String,
    bath: VesselId,
    rinses: &[VesselId],
    sample: &Sample,
) -> Vec<TransferId> {
    let on_work = sketch.line_out("on work");
    let mut stations = vec![bath];
    stations.extend(rinses);
    let film_m = sample.drag_out_m3_per_s / AREA_M2_PER_S;
    let mut films = vec![];
    for (k, &from) in stations.iter().enumerate() {
        let to = stations
            .get(k + 1)
            .map_or(End::Account(on_work), |v| End::Vessel(*v));
        let law = Law::Film { work: WORK, film_m };
        films.push(sketch.stream(&name(&format!("film {k}")), End::Vessel(from), to, law));
    }
    for k in 1..rinses.len() {
        sketch.overflow(
            &name(&format!("overflow {}", k + 1)),
            rinses[k],
            End::Vessel(rinses[k - 1]),
        );
    }
    films
}

fn chemistry(sketch: &mut Sketch, name: &dyn Fn(&str) -> String, bath: VesselId) {
    let account = sketch.line_out("deposit");
    let calendar = Some(sketch.net.works[WORK.index()].calendar);
    sketch.net.sources.push(Source {
        name: name("deposit"),
        vessel: bath,
        water_kg: 0.0,
        solutes_kg: vec![(SoluteId(0), -1.0e-5)],
        pace: Pace::Steady,
        gate: Gate {
            device: None,
            calendar,
        },
        account,
    });
    let account = sketch.line_in("additions");
    sketch.net.additions.push(Addition {
        name: name("nickel sulfate"),
        vessel: bath,
        solute: SoluteId(0),
        target_kg_per_m3: BATH[0],
        dead_band: 0.005,
        interval_s: 86_400.0,
        yields: vec![(SoluteId(0), 0.2233), (SoluteId(1), 0.3655)],
        crystal_water: 0.4112,
        account,
    });
}

struct Relays {
    thermostat: RelayId,
    over: RelayId,
    permit: RelayId,
    transfer: RelayId,
    has_water: RelayId,
    bath_level: RelayId,
    dry_run: RelayId,
    bath_low: RelayId,
}

fn relays(
    sketch: &mut Sketch,
    name: &dyn Fn(&str) -> String,
    sample: &Sample,
    at: &Places,
) -> Relays {
    let half = 0.5 * sample.band_k;
    let (set, level) = (sample.set_c, Signal::Level);
    let temp = Signal::Temperature(at.holding);
    let mut relay =
        |what: &str, signal, band, acts, role| sketch.relay(&name(what), signal, band, acts, role);
    let all = Relays {
        thermostat: relay(
            "thermostat",
            temp,
            (set - half, set + half),
            Acts::Below,
            Role::Regulate,
        ),
        over: relay(
            "over-temperature",
            temp,
            (set - 2.0, set + 3.0),
            Acts::Above,
            Role::Alarm,
        ),
        permit: relay(
            "evaporation permit",
            level(at.holding),
            (0.5, 0.55),
            Acts::Above,
            Role::Permit,
        ),
        transfer: relay(
            "transfer probe",
            level(at.holding),
            (0.8, 0.9),
            Acts::Below,
            Role::Regulate,
        ),
        has_water: relay(
            "collection not empty",
            level(at.collection),
            (0.05, 0.15),
            Acts::Above,
            Role::Permit,
        ),
        bath_level: relay(
            "bath level",
            level(at.bath),
            (0.89, 0.91),
            Acts::Below,
            Role::Regulate,
        ),
        dry_run: relay(
            "return dry-run",
            level(at.holding),
            (0.2, 0.25),
            Acts::Above,
            Role::Permit,
        ),
        bath_low: relay(
            "bath make-up level",
            level(at.bath),
            (0.84, 0.86),
            Acts::Below,
            Role::Regulate,
        ),
    };
    sketch.net.relays[all.over.index()].latches = true;
    all
}

fn elements(
    sketch: &mut Sketch,
    name: &dyn Fn(&str) -> String,
    sample: &Sample,
    relays: &Relays,
    at: &mut Places,
) -> Vec<HeatId> {
    let mut heaters = vec![];
    for k in 1..=4 {
        let what = name(&format!("element {k}"));
        let conditions = vec![
            Condition::On(relays.thermostat),
            Condition::Off(relays.over),
        ];
        let device = sketch.device(&what, DeviceKind::Heater, conditions);
        let gate = Gate {
            device: Some(device),
            calendar: None,
        };
        let law = HeatLaw::Power {
            power_w: 0.25 * sample.heater_w,
        };
        heaters.push(sketch.heat(&what, at.holding, law, gate));
        at.elements.push(device);
    }
    let size = TowerSize {
        air_m3_per_s: 1600.0 / 3600.0,
        feed_m3_per_s: 6.0 / 3600.0,
        ntu: 2.0,
        carry_over: 1e-6,
    };
    at.tower = sketch.tower(
        &name("tower"),
        at.holding,
        &size,
        &[Condition::On(relays.permit)],
    );
    at.feed_pump = sketch.net.towers[at.tower.index()].pump;
    heaters
}

/// Pumps, valves and the streams behind them; returns make-up and overflow to treatment.
fn pumps(
    sketch: &mut Sketch,
    name: &dyn Fn(&str) -> String,
    relays: &Relays,
    at: &mut Places,
) -> (TransferId, TransferId) {
    let both = |a, b| vec![Condition::On(a), Condition::On(b)];
    let transfer_pump = sketch.device(
        &name("transfer pump"),
        DeviceKind::Pump,
        both(relays.transfer, relays.has_water),
    );
    let return_pump = sketch.device(
        &name("return pump"),
        DeviceKind::Pump,
        both(relays.bath_level, relays.dry_run),
    );
    let valve = sketch.device(
        &name("make-up valve"),
        DeviceKind::Valve,
        vec![Condition::On(relays.bath_low)],
    );
    let mut pumped = |what: &str, from, to, l_per_h: f64, device| {
        let law = Law::Fixed {
            flow_m3_per_s: l_per_h * 1e-3 / 3600.0,
        };
        sketch.gated(
            &name(what),
            from,
            to,
            law,
            Gate {
                device: Some(device),
                calendar: None,
            },
        )
    };
    let (bath, holding, collection) = (
        End::Vessel(at.bath),
        End::Vessel(at.holding),
        End::Vessel(at.collection),
    );
    at.transfer = pumped("transfer", collection, holding, 1500.0, transfer_pump);
    at.give_back = pumped("return", holding, bath, 600.0, return_pump);
    at.transfer_pump = transfer_pump;
    let line = sketch.line_in("make-up");
    let tap = End::Supply(dragback_plant::ids::SupplyId(0), line);
    let law = Law::Fixed {
        flow_m3_per_s: 0.6 / 3600.0,
    };
    let make_up = sketch.gated(
        &name("make-up"),
        tap,
        bath,
        law,
        Gate {
            device: Some(valve),
            calendar: None,
        },
    );
    let (treatment, spilled) = (sketch.line_out("to treatment"), sketch.line_out("spilled"));
    sketch.overflow(&name("overflow 1"), at.rinses[0], collection);
    let treated = sketch.overflow(
        &name("collection overflow"),
        at.collection,
        End::Account(treatment),
    );
    sketch.overflow(&name("spill of bath"), at.bath, End::Account(spilled));
    sketch.overflow(
        &name("spill of holding tank"),
        at.holding,
        End::Account(spilled),
    );
    (make_up, treated)
}

fn roles(
    sketch: &mut Sketch,
    name: &dyn Fn(&str) -> String,
    at: &Places,
    (films, heaters, water): (Vec<TransferId>, Vec<HeatId>, (TransferId, TransferId)),
) {
    let last = at.rinses[at.rinses.len() - 1];
    let mut vessels = vec![at.bath];
    vessels.extend(&at.rinses);
    vessels.extend([at.collection, at.holding]);
    sketch.net.loops.push(LoopRoles {
        name: name("loop"),
        title: name("sample"),
        bath: at.bath,
        holding: Some(at.holding),
        collection: Some(at.collection),
        vessels: vessels.clone(),
        lead: SoluteId(0),
        work: WORK,
        drag_out: vec![films[0]],
        drag_in: vec![],
        last_film: FilmProbe {
            station: last,
            vessels: vec![(last, 1.0)],
            supplies: vec![],
        },
        rinse_feed: vec![at.feed],
        sprays: vec![],
        make_up: vec![water.0],
        returns: vec![at.give_back],
        withdrawals: vec![],
        to_treatment: vec![water.1],
        lost_on_work: vec![films[films.len() - 1]],
        spills: vec![],
        dumped: None,
        additions: None,
        keeping: vessels,
        water_in: vec![at.feed],
        water_out: vec![films[films.len() - 1]],
        towers: vec![at.tower],
        heaters,
        bath_heaters: vec![],
        bath_coolers: vec![],
        final_limit_kg_per_m3: None,
        impurity_limits: vec![],
    });
}
