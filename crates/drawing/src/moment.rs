//! One moment of a plant, or the mean of a stretch of time: holdups, flows, and how every device stands.

use dragback_plant::Plant;
use dragback_plant::control::{Condition, Role};
use dragback_plant::flows::{Flows, Setting};
use dragback_plant::holdup::Holdups;
use dragback_plant::ids::{DeviceId, HeatId, RelayId, SoluteId, TowerId, TransferId, VesselId};
use dragback_plant::network::{Action, Law, Trigger};
use dragback_run::clock::Clock;
use dragback_run::{Alarm, AlarmState, Cause, Trace, World};
use dragback_study::{AlarmAnswer, VesselAnswer, trusted_strength};
use dragback_units::constants::m3_from_litres;

use super::scene::{Air, Running};

/// Share of its rating below which a device counts as resting.
const RESTS: f64 = 1.0e-4;

/// What surrounds a plant at a time and is not in its vector.
#[derive(Clone, Debug, PartialEq)]
pub struct Circumstances {
    /// How far each calendar is open, 0 to 1.
    pub open: Vec<f64>,
    /// Devices that have failed.
    pub failed: Vec<bool>,
    /// Relays that are on.
    pub relays_on: Vec<bool>,
    /// Slot of the air in force (see [`dragback_plant::climate::AirChoice::slot`]).
    pub air_slot: usize,
}

impl Circumstances {
    /// What the calendar, the events and the alarms of a run say of a time, s, at which the vector is `y`.
    ///
    /// A latched relay is taken as on from its alarm until its signal has come back and an operator resets it by himself; whether that
    /// has been so for long enough the vector does not tell, and it is then taken as reset.
    #[must_use]
    pub fn at(plant: &Plant, clock: Clock, t_s: f64, y: &[f64], alarms: &[Alarm]) -> Self {
        let net = plant.network();
        let mut set = Setting::default();
        clock.read(net, t_s, &mut set);
        let raised = |name: &str| alarms.iter().any(|a| a.t_s <= t_s && a.device == name);
        let mut failed = vec![false; net.devices.len()];
        for event in &net.events {
            let is_due = match event.trigger {
                Trigger::At(at_s) => at_s <= t_s,
                Trigger::When(r) => raised(&net.relays[r.index()].name),
            };
            match event.action {
                Action::Fail(d) if is_due => failed[d.index()] = true,
                Action::Restore(d) if is_due => failed[d.index()] = false,
                _ => {}
            }
        }
        let relays_on = net.relays.iter().map(|relay| {
            let value = plant.read(relay.signal, y);
            let starts_on = match relay.role {
                Role::Permit => relay.starts_on,
                Role::Regulate | Role::Alarm => false,
            };
            let latched = relay.latches
                && raised(&relay.name)
                && !(relay.operator_reset_s.is_some() && relay.may_reset(value));
            latched || relay.next(value, starts_on)
        });
        Self {
            open: set.open,
            failed,
            relays_on: relays_on.collect(),
            air_slot: set.air_slot,
        }
    }

    /// The same with what the alarms of a settled week cut: one that stands at its end has stood through it, wherever its signal is by then.
    #[must_use]
    pub fn with_standing(mut self, alarms: &[AlarmAnswer]) -> Self {
        for alarm in alarms {
            if let Cause::Relay(r) = alarm.cause
                && alarm.state != AlarmState::Returned.word()
                && let Some(on) = self.relays_on.get_mut(r.index())
            {
                *on = true;
            }
        }
        self
    }
}

/// Holdups, flows and devices at one moment or as means over a stretch of time.
#[derive(Clone, Debug)]
pub struct Moment {
    pub(super) y: Vec<f64>,
    pub(super) transfer_m3_per_s: Vec<f64>,
    pub(super) tower_kg_per_s: Vec<f64>,
    pub(super) surface_kg_per_s: Vec<f64>,
    pub(super) heat_w: Vec<f64>,
    outputs: Vec<f64>,
    around: Circumstances,
    /// Each tank as answers tell it, where a stretch of time stands for the moment: the strength of mean contents is no mean of strengths.
    told: Vec<VesselAnswer>,
}

/// What a tank holds.
pub(super) struct Held {
    pub(super) volume_m3: f64,
    pub(super) level_m: f64,
    pub(super) temp_c: f64,
}

impl Moment {
    /// The plant as it stands in a world, with the flows of this instant.
    #[must_use]
    pub fn of_world(world: &World) -> Self {
        let plant = &world.plant;
        let net = plant.network();
        let mut now = Holdups::sized(net.vessels.len());
        now.refresh(plant, &world.y);
        now.refresh_activity(plant, &world.y);
        let mut flows = Flows::sized(plant);
        flows.evaluate(plant, &now, &world.setting);
        Self {
            y: world.y.clone(),
            transfer_m3_per_s: flows.transfer_m3_per_s,
            tower_kg_per_s: flows.tower_kg_per_s,
            surface_kg_per_s: flows.surface_kg_per_s,
            heat_w: flows.heat_w,
            outputs: world.setting.outputs.clone(),
            around: Circumstances {
                open: world.setting.open.clone(),
                failed: world.failed.clone(),
                relays_on: world.relays.iter().map(|r| r.on).collect(),
                air_slot: world.setting.air_slot,
            },
            told: Vec::new(),
        }
    }

    /// Row `i` of a trace: its holdups, and the flows as means over the last `window_s` seconds before it (over what there is, near the
    /// beginning).
    ///
    /// An empty trace, or a row past its end, gives the last row there is or the plant as it begins.
    #[must_use]
    pub fn of_trace(
        plant: &Plant,
        trace: &Trace,
        i: usize,
        window_s: f64,
        around: Circumstances,
    ) -> Self {
        if trace.is_empty() {
            return Self::begins(plant, around);
        }
        let to = i.min(trace.len() - 1);
        let times_s = trace.times_s();
        let from = trace.at(times_s[to] - window_s).min(to.saturating_sub(1));
        // The first row has nothing before it: what follows tells its flows.
        let span = if to == 0 {
            (0, 1.min(trace.len() - 1))
        } else {
            (from, to)
        };
        Self::means(plant, trace, trace.row(to).to_vec(), span, around)
    }

    /// The mean of a whole trace: the settled week, for instance.
    #[must_use]
    pub fn mean_of(plant: &Plant, trace: &Trace, around: Circumstances) -> Self {
        if trace.is_empty() {
            return Self::begins(plant, around);
        }
        let last = trace.len() - 1;
        let times_s = trace.times_s();
        let mut y = trace.row(last).to_vec();
        let span_s = times_s[last] - times_s[0];
        if span_s > 0.0 {
            for (j, mean) in y.iter_mut().take(plant.layout().state_len()).enumerate() {
                let area: f64 = (1..=last)
                    .map(|i| {
                        let dt_s = times_s[i] - times_s[i - 1];
                        0.5 * dt_s * (trace.row(i)[j] + trace.row(i - 1)[j])
                    })
                    .sum();
                *mean = area / span_s;
            }
        }
        Self::means(plant, trace, y, (0, last), around)
    }

    /// The same moment with its tanks as answers tell them, in the order of the plant.
    #[must_use]
    pub fn told_by(mut self, tanks: &[VesselAnswer]) -> Self {
        self.told = tanks.to_vec();
        self
    }

    pub(super) fn held(&self, plant: &Plant, v: VesselId) -> Held {
        if let Some(told) = self.told.get(v.index()) {
            return Held {
                volume_m3: m3_from_litres(told.volume_l),
                level_m: told.level_m,
                temp_c: told.temperature_c,
            };
        }
        let (volume_m3, temp_c, _) = plant.holdup(v, &self.y);
        Held {
            volume_m3,
            level_m: plant.network().vessels[v.index()].shape.level_m(volume_m3),
            temp_c,
        }
    }

    /// Strength of a solute in a tank, kg/m³; `None` where it cannot be trusted or the tank is dry.
    pub(super) fn strength(&self, plant: &Plant, v: VesselId, s: SoluteId) -> Option<f64> {
        let strength = match self.told.get(v.index()) {
            Some(told) => {
                let name = &plant.network().solutes[s.index()].name;
                let g_per_l = told.concentration_g_per_l.get(name).copied();
                // A gram in a litre is a kilogram in a cubic metre.
                g_per_l.unwrap_or(f64::NAN)
            }
            None => trusted_strength(plant, v, s, &self.y),
        };
        strength.is_finite().then_some(strength)
    }

    /// The plant before anything has flowed.
    #[must_use]
    pub fn begins(plant: &Plant, around: Circumstances) -> Self {
        let net = plant.network();
        Self {
            y: plant.initial(),
            transfer_m3_per_s: vec![0.0; net.transfers.len()],
            tower_kg_per_s: vec![0.0; net.towers.len()],
            surface_kg_per_s: vec![0.0; net.vessels.len()],
            heat_w: vec![0.0; net.heats.len()],
            outputs: vec![0.0; net.devices.len()],
            around,
            told: Vec::new(),
        }
    }

    fn means(
        plant: &Plant,
        trace: &Trace,
        y: Vec<f64>,
        (from, to): (usize, usize),
        around: Circumstances,
    ) -> Self {
        let (net, layout) = (plant.network(), plant.layout());
        let rate = |entry: usize| trace.rate(entry, from, to).unwrap_or(0.0);
        let each = |n: usize, entry: &dyn Fn(usize) -> usize| -> Vec<f64> {
            (0..n).map(|i| rate(entry(i))).collect()
        };
        Self {
            y,
            transfer_m3_per_s: each(net.transfers.len(), &|i| layout.moved(TransferId(i))),
            tower_kg_per_s: each(net.towers.len(), &|i| layout.tower_water(TowerId(i))),
            surface_kg_per_s: each(net.vessels.len(), &|i| layout.surface_water(VesselId(i))),
            heat_w: each(net.heats.len(), &|i| layout.delivered(HeatId(i))),
            outputs: each(net.devices.len(), &|i| layout.ran(DeviceId(i))),
            around,
            told: Vec::new(),
        }
    }

    /// The body of air that a tower draws from, as it is in force.
    pub(super) fn air(&self, plant: &Plant, t: TowerId) -> Air {
        let net = plant.network();
        let climate = &net.climates[net.towers[t.index()].climate.index()];
        let state = climate.air(self.around.air_slot);
        Air {
            name: climate.name.clone(),
            temp_c: state.temp_c,
            relative_humidity: state.relative_humidity(),
        }
    }

    /// Share of its rating that a device gave: of its flow or power where it has one, else of the time.
    pub(super) fn share(&self, plant: &Plant, d: DeviceId) -> f64 {
        let net = plant.network();
        let transfer = net.transfers.iter().zip(&self.transfer_m3_per_s);
        let by_flow = transfer
            .filter(|(t, _)| t.gate.device == Some(d))
            .find_map(|(t, flow)| match t.law {
                Law::Fixed { flow_m3_per_s } if flow_m3_per_s > 0.0 => Some(flow / flow_m3_per_s),
                _ => None,
            });
        let heat = (0..net.heats.len()).filter(|&h| net.heats[h].gate.device == Some(d));
        let is_tower = net.towers.iter().any(|t| t.pump == d || t.blower == d);
        let by_heat = heat
            .filter(|_| !is_tower)
            .find_map(|h| self.heat_share(plant, HeatId(h)));
        by_flow
            .or(by_heat)
            .unwrap_or(self.outputs[d.index()])
            .clamp(0.0, 1.0)
    }

    /// Share of its rating that a heater gave.
    pub(super) fn heat_share(&self, plant: &Plant, h: HeatId) -> Option<f64> {
        let most_w = plant.network().heats[h.index()].law.rated_w()?;
        (most_w != 0.0).then(|| (self.heat_w[h.index()] / most_w).clamp(0.0, 1.0))
    }

    /// How a device stands, and what holds it.
    pub(super) fn running(&self, plant: &Plant, d: DeviceId) -> (Running, Option<String>) {
        if self.around.failed[d.index()] {
            return (Running::Failed, None);
        }
        if self.share(plant, d) > RESTS {
            return (Running::On, None);
        }
        let shares: Vec<f64> = (0..self.outputs.len())
            .map(|i| self.share(plant, DeviceId(i)))
            .collect();
        let device = &plant.network().devices[d.index()];
        let holds =
            |c: &Condition| c.share(&self.around.relays_on, &self.around.open, &shares) <= RESTS;
        let held = device
            .requires
            .iter()
            .find(|r| r.is_interlock && holds(&r.condition));
        match held {
            // A pump that waits for a blower which itself merely rests is not held by anything that went wrong.
            Some(r) if !self.merely_rests(plant, &r.condition) => {
                (Running::Held, reason(plant, &r.condition))
            }
            _ => (Running::Off, None),
        }
    }

    fn merely_rests(&self, plant: &Plant, c: &Condition) -> bool {
        match c {
            Condition::Runs(d) => self.running(plant, *d).0 == Running::Off,
            _ => false,
        }
    }
}

fn reason(plant: &Plant, c: &Condition) -> Option<String> {
    let net = plant.network();
    match c {
        Condition::On(RelayId(r)) | Condition::Off(RelayId(r)) => Some(tail(&net.relays[*r].name)),
        Condition::Runs(d) => Some(format!("the {} stands", tail(&net.devices[d.index()].name))),
        Condition::Open(_) | Condition::Shut(_) => None,
        Condition::Any(list) | Condition::All(list) => list.iter().find_map(|c| reason(plant, c)),
    }
}

/// The last part of a path in words: `low alarm` for `loop.holding_tank.electrodes.low_alarm`.
pub(super) fn tail(path: &str) -> String {
    path.rsplit('.').next().unwrap_or(path).replace('_', " ")
}
