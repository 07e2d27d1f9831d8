//! The network under construction.

use std::sync::Arc;

use dragback_plant::control::{
    Acts, Condition, Device, DeviceKind, Relay, Requirement, Role, Signal,
};
use dragback_plant::ids::{
    AccountId, CalendarId, ClimateId, DeviceId, HeatId, RelayId, SoluteId, SupplyId, TransferId,
    VesselId,
};
use dragback_plant::network::{
    Account, End, Gate, Heat, HeatLaw, Initial, Law, Network, Pace, Source, Surface, Transfer,
    Vessel,
};
use dragback_properties::air::pressure_at_altitude_pa;
use dragback_properties::species::Species;
use dragback_units::celsius_from_kelvin;

use super::account;
use super::chemistry::{PlatingSolution, solute, used_species};
use super::levels::{full_level_m, shape};
use super::{bath, film, holding, rinses, roles, site, tower};
use crate::problem::Problem;
use crate::schema::{Loop, Scenario, Tank};

/// The network under construction, with what is needed to find things by key.
pub struct Builder<'s> {
    pub scenario: &'s Scenario,
    pub net: Network,
    pub species: Vec<Species>,
    pub problems: Vec<Problem>,
}

/// One loop under construction.
pub struct Parts<'s> {
    pub key: &'s str,
    pub line: &'s Loop,
    /// In front of the names of vessels, where there are several loops.
    pub prefix: String,
    pub work: dragback_plant::ids::WorkId,
    pub bath: VesselId,
    pub stills: Vec<(&'s str, VesselId)>,
    pub sections: Vec<(&'s str, Vec<VesselId>)>,
    pub collection: Option<VesselId>,
    pub holding: Option<VesselId>,
    /// Alarms of a bath that feeds a tower.
    pub bath_alarms: Option<super::bath::BathAlarms>,
    pub roles: dragback_plant::network::LoopRoles,
}

impl Parts<'_> {
    /// Full path of something in the loop.
    pub fn path(&self, tail: &str) -> String {
        format!("{}.{tail}", self.key)
    }

    /// Name of a stream.
    pub fn stream(&self, words: &str) -> String {
        format!("{}{words}", self.prefix)
    }
}

/// A relay in short.
pub struct Band {
    pub signal: Signal,
    pub lower: f64,
    pub upper: f64,
    pub acts: Acts,
    pub role: Role,
}

impl<'s> Builder<'s> {
    /// Everything but the events.
    pub fn base(scenario: &'s Scenario) -> Self {
        let species = used_species(scenario);
        let mut builder = Self {
            scenario,
            net: empty(scenario, &species),
            species,
            problems: Vec::new(),
        };
        builder.net.surface_account = builder.account(account::SURFACES);
        builder.net.loss_account = builder.account(account::LOSSES);
        builder.net.spill_account = Some(builder.account(account::SPILLED));
        site::lower(&mut builder);
        for (key, line) in scenario.loops.iter() {
            let mut parts = rinses::vessels(&mut builder, key, line);
            // Always there, so that a network for after an event has the same ledger as the one before.
            parts.roles.dumped = Some(builder.own_account(&parts.prefix, account::DUMPED));
            film::lower(&mut builder, &mut parts);
            bath::lower(&mut builder, &mut parts);
            rinses::lower(&mut builder, &mut parts);
            let relays = holding::lower(&mut builder, &mut parts);
            tower::lower(&mut builder, &mut parts, relays.as_ref());
            rinses::finish_matched(&mut builder, &parts);
            let roles = roles::finish(&builder.net, parts);
            builder.net.loops.push(roles);
        }
        builder
    }

    /// The network, or what is wrong.
    pub fn finish(self) -> Result<Network, Vec<Problem>> {
        if self.problems.is_empty() {
            Ok(self.net)
        } else {
            Err(self.problems)
        }
    }

    /// A reference that leads nowhere; [`check`](crate::check) says so in more words.
    pub fn dangling(&mut self, what: &str, key: &str) {
        self.problems.push(Problem::at(
            key,
            format!("there is no such {what}"),
            "check the scenario",
        ));
    }

    pub fn account(&mut self, (name, side): account::Line) -> AccountId {
        let known = self.net.accounts.iter().position(|a| a.name == name);
        AccountId(known.unwrap_or_else(|| {
            self.net.accounts.push(Account {
                name: name.to_owned(),
                side,
            });
            self.net.accounts.len() - 1
        }))
    }

    /// A ledger line that each loop has to itself.
    pub fn own_account(&mut self, prefix: &str, (name, side): account::Line) -> AccountId {
        let name = format!("{prefix}{name}");
        if let Some(known) = self.net.accounts.iter().position(|a| a.name == name) {
            return AccountId(known);
        }
        self.net.accounts.push(Account { name, side });
        AccountId(self.net.accounts.len() - 1)
    }

    pub fn solute(&self, key: &str) -> Option<SoluteId> {
        self.species.iter().position(|s| s.key == key).map(SoluteId)
    }

    pub fn supply(&mut self, key: &str) -> SupplyId {
        let found = self.net.supplies.iter().position(|s| s.name == key);
        SupplyId(found.unwrap_or_else(|| {
            self.dangling("water", key);
            0
        }))
    }

    pub fn calendar(&mut self, key: &str) -> CalendarId {
        let found = self.net.calendars.iter().position(|c| c.name == key);
        CalendarId(found.unwrap_or_else(|| {
            self.dangling("calendar", key);
            0
        }))
    }

    /// Concentrations by key in the order of the network, kg/m³.
    pub fn in_order<'k>(&self, list: impl Iterator<Item = (&'k str, f64)>) -> Vec<f64> {
        let mut ordered = vec![0.0; self.species.len()];
        for (key, kg_per_m3) in list {
            if let Some(solute) = self.solute(key) {
                ordered[solute.index()] += kg_per_m3;
            }
        }
        ordered
    }

    /// What is dissolved in a water supply, kg/m³.
    pub fn water_solutes(&self, key: &str) -> Vec<f64> {
        let known = self.net.supplies.iter().find(|s| s.name == key);
        known.map_or_else(
            || vec![0.0; self.species.len()],
            |s| s.solute_kg_per_m3.clone(),
        )
    }

    pub fn vessel(&mut self, name: String, tank: &Tank, start: Start) -> VesselId {
        let site = &self.scenario.site;
        let open_m2 = tank.footprint.si() * (1.0 - tank.cover.si());
        let area_m2 = dragback_properties::surface::sparged_area_m2(open_m2, start.sparge_m);
        let temp_c = tank
            .start_temperature
            .as_ref()
            .map_or(start.temp_c, |t| t.quantity().celsius());
        let least_m3 = 1e-3 * tank.volume.si();
        let volume_m3 = tank
            .start_volume
            .as_ref()
            .map_or(start.volume_m3, |v| v.si());
        self.net.vessels.push(Vessel {
            name,
            shape: shape(tank),
            full_m3: tank.volume.si(),
            dead_m3: tank.dead_volume.si(),
            surface: (area_m2 > 0.0).then(|| Surface {
                area_m2,
                air_speed_m_per_s: site.air_speed.si(),
            }),
            climate: ClimateId(0),
            wall_w_per_k: tank.wall_loss.si(),
            initial: Initial {
                volume_m3: volume_m3.clamp(least_m3, tank.volume.si()),
                temp_c,
                concentration_kg_per_m3: start.kg_per_m3,
            },
        });
        VesselId(self.net.vessels.len() - 1)
    }

    /// Adds a stream; a name that is taken gets a number.
    pub fn transfer(
        &mut self,
        name: String,
        from: End,
        to: End,
        law: Law,
        gate: Gate,
    ) -> TransferId {
        let taken = |name: &str| self.net.transfers.iter().any(|t| t.name == name);
        let mut unique = name.clone();
        let mut n = 2;
        while taken(&unique) {
            unique = format!("{name} ({n})");
            n += 1;
        }
        self.net.transfers.push(Transfer {
            name: unique,
            from,
            to,
            law,
            gate,
        });
        TransferId(self.net.transfers.len() - 1)
    }

    /// A pumped or valved stream of constant flow that a device lets through.
    pub fn pumped(
        &mut self,
        name: String,
        (from, to): (End, End),
        flow_m3_per_s: f64,
        device: DeviceId,
    ) -> TransferId {
        let gate = Gate {
            device: Some(device),
            calendar: None,
        };
        self.transfer(name, from, to, Law::Fixed { flow_m3_per_s }, gate)
    }

    pub fn heat(
        &mut self,
        name: String,
        vessel: VesselId,
        law: HeatLaw,
        gate: Gate,
        line: account::Line,
    ) -> HeatId {
        let account = self.account(line);
        self.net.heats.push(Heat {
            name,
            vessel,
            law,
            gate,
            account,
        });
        HeatId(self.net.heats.len() - 1)
    }

    pub fn source(&mut self, source: Matter, account: AccountId) {
        self.net.sources.push(Source {
            name: source.name,
            vessel: source.vessel,
            water_kg: source.water_kg,
            solutes_kg: source.solutes_kg,
            pace: source.pace,
            gate: source.gate,
            account,
        });
    }

    pub fn relay(&mut self, name: String, band: Band, starts_on: bool) -> RelayId {
        self.push_relay(Relay {
            name,
            signal: band.signal,
            lower: band.lower,
            upper: band.upper,
            acts: band.acts,
            latches: false,
            operator_reset_s: None,
            role: band.role,
            starts_on,
        })
    }

    /// An alarm that stays on until it is reset.
    pub fn latched(&mut self, name: String, band: Band, operator_reset_s: Option<f64>) -> RelayId {
        let id = self.relay(name, band, false);
        if let Some(relay) = self.net.relays.get_mut(id.index()) {
            relay.latches = true;
            relay.operator_reset_s = operator_reset_s;
        }
        id
    }

    fn push_relay(&mut self, relay: Relay) -> RelayId {
        self.net.relays.push(relay);
        RelayId(self.net.relays.len() - 1)
    }

    pub fn device(
        &mut self,
        name: String,
        kind: DeviceKind,
        calendar: Option<CalendarId>,
        requires: Vec<Requirement>,
    ) -> DeviceId {
        self.net.devices.push(Device {
            name,
            kind,
            calendar,
            requires,
            proportional: None,
        });
        DeviceId(self.net.devices.len() - 1)
    }
}

/// How a vessel starts when its tank does not say.
pub struct Start {
    pub volume_m3: f64,
    pub temp_c: f64,
    pub kg_per_m3: Vec<f64>,
    /// Length of air pipes under the surface, m.
    pub sparge_m: f64,
}

/// Matter made or taken, before its ledger line is known.
pub struct Matter {
    pub name: String,
    pub vessel: VesselId,
    pub water_kg: f64,
    pub solutes_kg: Vec<(SoluteId, f64)>,
    pub pace: Pace,
    pub gate: Gate,
}

/// A condition for running.
pub const fn when(condition: Condition) -> Requirement {
    Requirement {
        condition,
        is_interlock: false,
    }
}

/// A condition that protects people or plant.
pub const fn interlock(condition: Condition) -> Requirement {
    Requirement {
        condition,
        is_interlock: true,
    }
}

/// A relay that lets something run while a level is above a mark, with a band above the mark.
pub fn enough(vessel: VesselId, mark_m: f64, band_m: f64) -> Band {
    Band {
        signal: Signal::Level(vessel),
        lower: mark_m,
        upper: mark_m + band_m,
        acts: Acts::Above,
        role: Role::Permit,
    }
}

/// A relay that fills a vessel within a band of levels.
pub const fn filling(vessel: VesselId, (start_m, stop_m): (f64, f64)) -> Band {
    Band {
        signal: Signal::Level(vessel),
        lower: start_m,
        upper: stop_m,
        acts: Acts::Below,
        role: Role::Regulate,
    }
}

/// Volume of a tank at a share of its full level, m³.
pub fn volume_at_share_m3(tank: &Tank, share: f64) -> f64 {
    shape(tank).volume_m3(share * full_level_m(tank))
}

/// Temperature of the room in the month in which the run starts, °C.
pub fn room_c(scenario: &Scenario) -> f64 {
    let states = scenario.site.room.states();
    let month = scenario.site.start_month as usize;
    let air = &states[if states.len() == 12 { month } else { 0 }];
    celsius_from_kelvin(air.temperature.si())
}

fn empty(scenario: &Scenario, species: &[Species]) -> Network {
    Network {
        title: scenario.title.clone(),
        solutes: species.iter().map(solute).collect(),
        activity: Arc::new(PlatingSolution::compile(species)),
        vessels: Vec::new(),
        supplies: Vec::new(),
        accounts: Vec::new(),
        transfers: Vec::new(),
        heats: Vec::new(),
        sources: Vec::new(),
        towers: Vec::new(),
        calendars: Vec::new(),
        climates: Vec::new(),
        works: Vec::new(),
        devices: Vec::new(),
        relays: Vec::new(),
        additions: Vec::new(),
        events: Vec::new(),
        surface_account: AccountId(0),
        loss_account: AccountId(0),
        spill_account: None,
        pressure_pa: pressure_at_altitude_pa(scenario.site.altitude.si()),
        loops: Vec::new(),
    }
}
