//! A network put together by hand, a line at a time.

use std::sync::Arc;

use dragback_plant::calendar::Calendar;
use dragback_plant::climate::Climate;
use dragback_plant::control::{
    Acts, Condition, Device, DeviceKind, Relay, Requirement, Role, Signal,
};
use dragback_plant::ids::{
    AccountId, CalendarId, ClimateId, DeviceId, HeatId, RelayId, SupplyId, TowerId, TransferId,
    VesselId, WorkId,
};
use dragback_plant::network::{
    Account, End, Gate, Heat, HeatLaw, IdealWater, Initial, Law, Network, Shape, Side, Solute,
    Supply, Surface, TowerUnit, Transfer, Vessel, Work,
};
use dragback_plant::{Plant, TowerCache};
use dragback_properties::air::AirState;
use dragback_properties::tower::{
    FanPosition, LewisFactor, Tower, TowerDesign, Transfer as Contact,
};
use dragback_properties::water;
use dragback_run::World;

/// A tank in short: upright, no surface, no walls, full.
#[derive(Clone, Debug)]
pub struct Tank {
    /// Volume when full, m³.
    pub full_m3: f64,
    /// Plan area, m².
    pub footprint_m2: f64,
    /// Volume at the start, m³.
    pub start_m3: f64,
    /// Temperature at the start, °C.
    pub temp_c: f64,
    /// Concentrations at the start, kg/m³.
    pub kg_per_m3: Vec<f64>,
    /// Whether water evaporates from it.
    pub open: bool,
    /// Heat loss through walls, W/K.
    pub wall_w_per_k: f64,
}

impl Tank {
    /// A full tank 1 m deep, shut and insulated.
    #[must_use]
    pub fn full(volume_m3: f64, temp_c: f64, kg_per_m3: &[f64]) -> Self {
        Self {
            full_m3: volume_m3,
            footprint_m2: volume_m3,
            start_m3: volume_m3,
            temp_c,
            kg_per_m3: kg_per_m3.to_vec(),
            open: false,
            wall_w_per_k: 0.0,
        }
    }

    /// The same tank filled to a share of its volume.
    #[must_use]
    pub fn filled(mut self, share: f64) -> Self {
        self.start_m3 = share * self.full_m3;
        self
    }

    /// The same tank with an open surface as large as its plan.
    #[must_use]
    pub fn open(mut self) -> Self {
        self.open = true;
        self
    }

    /// The same tank losing heat through its walls, W/K.
    #[must_use]
    pub fn walls(mut self, w_per_k: f64) -> Self {
        self.wall_w_per_k = w_per_k;
        self
    }
}

/// A network under construction. Time is always open, the room is 20 °C and 50 %, water activity is one.
pub struct Sketch {
    /// The network so far.
    pub net: Network,
}

/// The work of a sketch.
pub const WORK: WorkId = WorkId(0);
/// Area of a sketch's work per time, m²/s: with it a film in m is a flow in m³/s.
pub const AREA_M2_PER_S: f64 = 1.0;

impl Sketch {
    /// Nothing but a room, solutes of 0.2 L/kg and 200 J/kg·K, and work that never stops, 1 m²/s of it.
    #[must_use]
    pub fn new(solutes: &[&str]) -> Self {
        let room = AirState::from_relative_humidity(20.0, 0.5, 101_325.0).expect("a plain room");
        let solute = |(i, name): (usize, &&str)| Solute {
            name: (*name).to_owned(),
            molar_mass_kg_per_mol: 0.05,
            charge: if i % 2 == 0 { 2 } else { -2 },
            apparent_volume_m3_per_kg: 2.0e-4,
            heat_capacity_j_per_kg_k: 200.0,
            ionic_conductivity_s_m2_per_mol: 0.01,
        };
        let mut sketch = Self {
            net: Network {
                title: "sketch".to_owned(),
                solutes: solutes.iter().enumerate().map(solute).collect(),
                activity: Arc::new(IdealWater),
                vessels: vec![],
                supplies: vec![],
                accounts: vec![],
                transfers: vec![],
                heats: vec![],
                sources: vec![],
                towers: vec![],
                calendars: vec![Calendar::always("always")],
                climates: vec![Climate {
                    name: "room".to_owned(),
                    months: vec![room],
                    start_month: 0,
                }],
                works: vec![Work {
                    name: "work".to_owned(),
                    area_m2_per_s: AREA_M2_PER_S,
                    calendar: CalendarId(0),
                }],
                devices: vec![],
                relays: vec![],
                additions: vec![],
                events: vec![],
                surface_account: AccountId(0),
                loss_account: AccountId(1),
                spill_account: None,
                pressure_pa: 101_325.0,
                loops: vec![],
            },
        };
        sketch.net.surface_account = sketch.line_out("surface evaporation");
        sketch.net.loss_account = sketch.line_out("heat losses");
        sketch
    }

    /// The room's air from now on.
    pub fn room(&mut self, temp_c: f64, relative_humidity: f64) {
        let air = AirState::from_relative_humidity(temp_c, relative_humidity, self.net.pressure_pa);
        self.net.climates[0].months = vec![air.expect("air that can be")];
    }

    fn account(&mut self, name: &str, side: Side) -> AccountId {
        let known = self.net.accounts.iter().position(|a| a.name == name);
        AccountId(known.unwrap_or_else(|| {
            self.net.accounts.push(Account {
                name: name.to_owned(),
                side,
            });
            self.net.accounts.len() - 1
        }))
    }

    /// A ledger line out of the plant.
    pub fn line_out(&mut self, name: &str) -> AccountId {
        self.account(name, Side::Out)
    }

    /// A ledger line into the plant.
    pub fn line_in(&mut self, name: &str) -> AccountId {
        self.account(name, Side::In)
    }

    /// A tank.
    pub fn tank(&mut self, name: &str, tank: &Tank) -> VesselId {
        let mut concentration_kg_per_m3 = tank.kg_per_m3.clone();
        concentration_kg_per_m3.resize(self.net.solutes.len(), 0.0);
        self.net.vessels.push(Vessel {
            name: name.to_owned(),
            shape: Shape {
                footprint_m2: tank.footprint_m2,
                slope_height_m: 0.0,
            },
            full_m3: tank.full_m3,
            dead_m3: 0.02 * tank.full_m3,
            surface: tank.open.then_some(Surface {
                area_m2: tank.footprint_m2,
                air_speed_m_per_s: 0.1,
            }),
            climate: ClimateId(0),
            wall_w_per_k: tank.wall_w_per_k,
            initial: Initial {
                volume_m3: tank.start_m3,
                temp_c: tank.temp_c,
                concentration_kg_per_m3,
            },
        });
        VesselId(self.net.vessels.len() - 1)
    }

    /// Liquid from outside; its water is what its solutes leave of a cubic metre.
    pub fn supply(&mut self, name: &str, temp_c: f64, kg_per_m3: &[f64]) -> SupplyId {
        let mut solute_kg_per_m3 = kg_per_m3.to_vec();
        solute_kg_per_m3.resize(self.net.solutes.len(), 0.0);
        let taken = solute_kg_per_m3.iter().zip(&self.net.solutes);
        let taken: f64 = taken.map(|(c, s)| c * s.apparent_volume_m3_per_kg).sum();
        self.net.supplies.push(Supply {
            name: name.to_owned(),
            temp_c,
            water_kg_per_m3: (1.0 - taken) * water::density_kg_per_m3(temp_c),
            solute_kg_per_m3,
        });
        SupplyId(self.net.supplies.len() - 1)
    }

    /// A stream.
    pub fn stream(&mut self, name: &str, from: End, to: End, law: Law) -> TransferId {
        self.gated(name, from, to, law, Gate::default())
    }

    /// A stream behind a gate.
    pub fn gated(&mut self, name: &str, from: End, to: End, law: Law, gate: Gate) -> TransferId {
        self.net.transfers.push(Transfer {
            name: name.to_owned(),
            from,
            to,
            law,
            gate,
        });
        TransferId(self.net.transfers.len() - 1)
    }

    /// Film on work from one tank into another, m³/s.
    pub fn film(&mut self, name: &str, from: VesselId, to: End, flow_m3_per_s: f64) -> TransferId {
        let law = Law::Film {
            work: WORK,
            film_m: flow_m3_per_s / AREA_M2_PER_S,
        };
        self.stream(name, End::Vessel(from), to, law)
    }

    /// What a full tank sheds.
    pub fn overflow(&mut self, name: &str, from: VesselId, to: End) -> TransferId {
        self.stream(
            name,
            End::Vessel(from),
            to,
            Law::Overflow { weir_width_m: None },
        )
    }

    /// A constant flow from a supply, booked on the line of that name, m³/s.
    pub fn feed(
        &mut self,
        name: &str,
        from: SupplyId,
        to: VesselId,
        flow_m3_per_s: f64,
    ) -> TransferId {
        let line = self.line_in(name);
        self.stream(
            name,
            End::Supply(from, line),
            End::Vessel(to),
            Law::Fixed { flow_m3_per_s },
        )
    }

    /// A heat flow into a tank.
    pub fn heat(&mut self, name: &str, vessel: VesselId, law: HeatLaw, gate: Gate) -> HeatId {
        let account = self.line_in("heaters");
        self.net.heats.push(Heat {
            name: name.to_owned(),
            vessel,
            law,
            gate,
            account,
        });
        HeatId(self.net.heats.len() - 1)
    }

    /// A relay that does not latch.
    pub fn relay(
        &mut self,
        name: &str,
        signal: Signal,
        band: (f64, f64),
        acts: Acts,
        role: Role,
    ) -> RelayId {
        self.net.relays.push(Relay {
            name: name.to_owned(),
            signal,
            lower: band.0,
            upper: band.1,
            acts,
            latches: false,
            operator_reset_s: None,
            role,
            starts_on: role != Role::Alarm,
        });
        RelayId(self.net.relays.len() - 1)
    }

    /// A device with conditions that are interlocks.
    pub fn device(&mut self, name: &str, kind: DeviceKind, requires: Vec<Condition>) -> DeviceId {
        let requires = requires
            .into_iter()
            .map(|condition| Requirement {
                condition,
                is_interlock: true,
            })
            .collect();
        self.net.devices.push(Device {
            name: name.to_owned(),
            kind,
            calendar: None,
            requires,
            proportional: None,
        });
        DeviceId(self.net.devices.len() - 1)
    }

    /// A tower with a blower and a feed pump that run while every condition holds.
    pub fn tower(
        &mut self,
        name: &str,
        vessel: VesselId,
        size: &TowerSize,
        requires: &[Condition],
    ) -> TowerId {
        let blower = self.device(
            &format!("{name} blower"),
            DeviceKind::Blower,
            requires.to_vec(),
        );
        let mut conditions = requires.to_vec();
        conditions.push(Condition::Runs(blower));
        let pump = self.device(&format!("{name} pump"), DeviceKind::FeedPump, conditions);
        let air_account = self.line_out("tower air");
        let stack_account = self.line_out("up the stack");
        self.net.towers.push(TowerUnit {
            name: name.to_owned(),
            vessel,
            tower: Arc::new(Tower::new(size.design()).expect("a tower that can be")),
            climate: ClimateId(0),
            pump,
            blower,
            feed_m3_per_s: size.feed_m3_per_s,
            carry_over: size.carry_over,
            fan_heat_w: 0.0,
            air_account,
            stack_account,
        });
        TowerId(self.net.towers.len() - 1)
    }

    /// The plant.
    #[must_use]
    pub fn plant(self) -> Arc<Plant> {
        plant(self.net)
    }

    /// The plant at time zero.
    #[must_use]
    pub fn world(self) -> World {
        World::new(self.plant(), TowerCache::default())
    }
}

/// A plant from a network that must be sound.
#[must_use]
pub fn plant(net: Network) -> Arc<Plant> {
    match Plant::new(Arc::new(net), &TowerCache::default()) {
        Ok(plant) => Arc::new(plant),
        Err(why) => panic!("a network that a test describes cannot be: {why}"),
    }
}

/// Size of a tower.
#[derive(Clone, Copy, Debug)]
pub struct TowerSize {
    /// Air, m³/s.
    pub air_m3_per_s: f64,
    /// Solution, m³/s.
    pub feed_m3_per_s: f64,
    /// Transfer units.
    pub ntu: f64,
    /// Droplets, as a share of the feed.
    pub carry_over: f64,
}

impl TowerSize {
    fn design(&self) -> TowerDesign {
        let feed_kg_per_s = 1000.0 * self.feed_m3_per_s;
        TowerDesign {
            air_flow_m3_per_s: self.air_m3_per_s,
            fan: FanPosition::Before,
            lewis: LewisFactor::default(),
            feed_kg_per_s,
            transfer: Contact::Units {
                ntu: self.ntu,
                air_flow_m3_per_s: self.air_m3_per_s,
                feed_kg_per_s,
            },
            flow_exponent: 0.6,
            carry_over_fraction: self.carry_over,
        }
    }
}
