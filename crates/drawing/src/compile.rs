//! From a plant and one of its moments to what is drawn. The shape of the drawing follows from the plant alone, so that nothing jumps
//! while time plays.

mod streams;

use dragback_plant::Plant;
use dragback_plant::control::{DeviceKind, Role, Signal};
use dragback_plant::ids::{DeviceId, HeatId, RelayId, TransferId, VesselId};
use dragback_plant::network::{End, HeatLaw, Law, Network};
use dragback_study::{Counted, SoluteAnswer, ToldAs};

use super::moment::{Moment, tail};
use super::scene::{
    Apparatus, ApparatusKind, Line, Mark, Place, Running, Scene, Station, StationId, StationKind,
    Stream, StreamKind, StrengthScale,
};

/// Decades of strength between a bath and water.
const DECADES: i32 = 5;
/// Widest band when a plant has no flow at all, m³/s.
const LEAST_WIDEST_M3_PER_S: f64 = 1.0e-6;

/// Compiles a scene, strengths of lead solutes as such.
#[must_use]
pub fn scene(plant: &Plant, moment: &Moment) -> Scene {
    scene_counted(plant, moment, &[], Counted::Metal)
}

/// Compiles a scene with strengths of lead solutes as what `counted` says.
#[must_use]
pub fn scene_counted(
    plant: &Plant,
    moment: &Moment,
    solutes: &[SoluteAnswer],
    counted: Counted,
) -> Scene {
    let leads: Vec<ToldAs<'_>> = (plant.network().loops.iter())
        .map(|l| counted.told(solutes, &plant.network().solutes[l.lead.index()].name))
        .collect();
    let mut draft = Draft {
        plant,
        net: plant.network(),
        solutes,
        leads: &leads,
        moment,
        lines: Vec::new(),
        stations: Vec::new(),
        streams: Vec::new(),
        line_of: line_of_vessels(plant.network()),
        visits: streams::visits(plant.network()),
    };
    draft.tanks();
    draft.towers();
    for t in 0..draft.net.transfers.len() {
        draft.transfer(TransferId(t));
    }
    Scene {
        scale: scale(plant, moment, &leads),
        widest_m3_per_s: widest(draft.net, moment),
        lines: draft.lines,
        stations: draft.stations,
        streams: draft.streams,
        is_mean: false,
    }
}

/// The formula as which a solute is weighed, `CrO₃` for hexavalent chromium; its name where that says it already.
fn weighed_as<'a>(solutes: &'a [SoluteAnswer], name: &'a str) -> &'a str {
    let found = solutes.iter().find(|s| s.name == name);
    let other = found.and_then(|s| s.counted_as.rsplit_once(" as "));
    other.map_or(name, |(_, formula)| formula)
}

/// The first line that each vessel belongs to.
fn line_of_vessels(net: &Network) -> Vec<usize> {
    (0..net.vessels.len())
        .map(|v| {
            let of = |l: &dragback_plant::network::LoopRoles| l.vessels.contains(&VesselId(v));
            net.loops.iter().position(of).unwrap_or(0)
        })
        .collect()
}

fn scale(plant: &Plant, moment: &Moment, leads: &[ToldAs<'_>]) -> StrengthScale {
    let net = plant.network();
    let of_bath = net.loops.iter().zip(leads).map(|(l, lead)| {
        let begins = &net.vessels[l.bath.index()].initial.concentration_kg_per_m3;
        let begins = begins.get(l.lead.index()).copied().unwrap_or(0.0);
        let now = moment.strength(plant, l.bath, l.lead);
        lead.strength(begins.max(now.unwrap_or(0.0)))
    });
    let strongest = of_bath.fold(0.0_f64, f64::max).max(1.0e-3);
    let high_kg_per_m3 = 10_f64.powf((strongest.log10() - 1e-9).ceil());
    StrengthScale {
        low_kg_per_m3: high_kg_per_m3 * 10_f64.powi(-DECADES),
        high_kg_per_m3,
    }
}

/// The largest flow that can be, as rated, and what flows now where that is more.
fn widest(net: &Network, moment: &Moment) -> f64 {
    let rated = net.transfers.iter().map(|t| match &t.law {
        Law::Fixed { flow_m3_per_s } => *flow_m3_per_s,
        Law::Matched { max_m3_per_s, .. } => *max_m3_per_s,
        Law::Film { work, film_m } => film_m * net.works[work.index()].area_m2_per_s,
        Law::Overflow { .. } => 0.0,
    });
    let most = rated.fold(LEAST_WIDEST_M3_PER_S, f64::max);
    moment
        .transfer_m3_per_s
        .iter()
        .copied()
        .fold(most, f64::max)
}

/// A scene under construction.
struct Draft<'p> {
    plant: &'p Plant,
    net: &'p Network,
    solutes: &'p [SoluteAnswer],
    /// How strengths of each line's lead solute are told.
    leads: &'p [ToldAs<'p>],
    moment: &'p Moment,
    lines: Vec<Line>,
    stations: Vec<Station>,
    streams: Vec<Stream>,
    line_of: Vec<usize>,
    /// Tanks in the order in which the work of each line meets them.
    visits: Vec<Vec<VesselId>>,
}

impl Draft<'_> {
    fn tanks(&mut self) {
        for (number, roles) in self.net.loops.iter().enumerate() {
            let same = |l: &&dragback_plant::network::LoopRoles| l.title == roles.title;
            let title = if self.net.loops.iter().filter(same).count() > 1 {
                format!("{} ({})", roles.title, roles.name)
            } else {
                roles.title.clone()
            };
            self.lines.push(Line {
                title,
                lead: self.lead_words(number),
                route: Vec::new(),
                below: Vec::new(),
                towers: Vec::new(),
            });
            let order = [roles.holding, roles.collection];
            let last = order.into_iter().flatten();
            let first = roles.vessels.iter().copied();
            for v in first.chain(last) {
                let known = self.stations.iter().any(|s| s.id == StationId::Vessel(v));
                let is_last = order.contains(&Some(v));
                if self.line_of[v.index()] == number && !known {
                    self.tank(number, v, is_last);
                }
            }
        }
        for v in 0..self.net.vessels.len() {
            let id = StationId::Vessel(VesselId(v));
            if !self.lines.is_empty() && !self.stations.iter().any(|s| s.id == id) {
                self.tank(0, VesselId(v), true);
            }
        }
        // The concentrate goes back from the left, where the bath stands above.
        for line in &mut self.lines {
            let stations = &self.stations;
            line.below
                .sort_by_key(|&s| stations[s].kind != StationKind::Holding);
        }
    }

    fn tank(&mut self, number: usize, v: VesselId, is_below: bool) {
        let roles = &self.net.loops[number];
        let vessel = &self.net.vessels[v.index()];
        let brim_m = vessel.shape.level_m(vessel.full_m3);
        let held = self.moment.held(self.plant, v);
        let kind = if v == roles.bath {
            StationKind::Bath
        } else if Some(v) == roles.holding {
            StationKind::Holding
        } else if is_below {
            StationKind::Collection
        } else {
            StationKind::Rinse
        };
        let at = self.stations.len();
        let list = &mut self.lines[number];
        if is_below {
            list.below.push(at);
        } else {
            list.route.push(at);
        }
        let station = Station {
            id: StationId::Vessel(v),
            line: number,
            kind,
            name: self.own_name(number, &vessel.name),
            level: (held.level_m / brim_m).clamp(0.0, 1.0),
            slope: (vessel.shape.slope_height_m / brim_m).clamp(0.0, 1.0),
            volume_m3: Some(held.volume_m3),
            temp_c: Some(held.temp_c),
            strength_kg_per_m3: self.strength(End::Vessel(v), number),
            marks: self.marks(v, brim_m),
            apparatus: self.heaters(v),
            evaporates_kg_per_s: self.moment.surface_kg_per_s[v.index()],
            air: None,
        };
        self.stations.push(station);
    }

    /// A name without the key of its line, where several lines would otherwise say it again and again.
    fn own_name(&self, number: usize, name: &str) -> String {
        let key = &self.net.loops[number].name;
        let short = name.strip_prefix(key.as_str()).map(str::trim_start);
        match short {
            Some(short) if self.net.loops.len() > 1 && !short.is_empty() => short.to_owned(),
            _ => name.to_owned(),
        }
    }

    fn marks(&self, v: VesselId, brim_m: f64) -> Vec<Mark> {
        let mut marks: Vec<Mark> = Vec::new();
        for (i, relay) in self.net.relays.iter().enumerate() {
            if relay.signal != Signal::Level(v) {
                continue;
            }
            let is_alarm = relay.role == Role::Alarm;
            let name = tail(&relay.name);
            let ends = match (is_alarm, relay.acts) {
                (true, dragback_plant::control::Acts::Below) => vec![(relay.lower, name)],
                (true, dragback_plant::control::Acts::Above) => vec![(relay.upper, name)],
                (false, _) => vec![
                    (relay.lower, format!("{name}, lower")),
                    (relay.upper, format!("{name}, upper")),
                ],
            };
            for (level_m, name) in ends {
                let share = level_m / brim_m;
                if (0.0..=1.0).contains(&share) {
                    marks.push(Mark {
                        relay: RelayId(i),
                        name,
                        share,
                        level_m,
                        is_alarm,
                    });
                }
            }
        }
        marks.sort_by(|a, b| a.level_m.total_cmp(&b.level_m));
        marks
    }

    fn heaters(&self, v: VesselId) -> Vec<Apparatus> {
        let mut found = Vec::new();
        for (i, heat) in self.net.heats.iter().enumerate() {
            let device = heat.gate.device.map(|d| &self.net.devices[d.index()]);
            let is_heater = match heat.law {
                HeatLaw::Hold { .. } | HeatLaw::Cool { .. } | HeatLaw::Coil { .. } => true,
                HeatLaw::Power { .. } => device.is_some_and(|d| d.kind == DeviceKind::Heater),
                HeatLaw::Work { .. } => false,
            };
            let Some(share) = self.moment.heat_share(self.plant, HeatId(i)) else {
                continue;
            };
            if heat.vessel != v || !is_heater {
                continue;
            }
            let (mut running, held_by) = match heat.gate.device {
                Some(d) => self.moment.running(self.plant, d),
                None => (Running::On, None),
            };
            if running == Running::On && share <= 0.005 {
                running = Running::Off;
            }
            let power_w = self.moment.heat_w[i].abs();
            found.push(Apparatus {
                device: heat.gate.device,
                heat: Some(HeatId(i)),
                name: self.own_name(self.line_of[v.index()], &heat.name),
                kind: match heat.law {
                    HeatLaw::Cool { .. } => ApparatusKind::Cooler,
                    _ => ApparatusKind::Heater,
                },
                running,
                share,
                power_w: Some(power_w),
                held_by,
            });
        }
        found
    }

    fn apparatus(&self, d: DeviceId, kind: ApparatusKind, name: String) -> Apparatus {
        let (running, held_by) = self.moment.running(self.plant, d);
        Apparatus {
            device: Some(d),
            heat: None,
            name,
            kind,
            running,
            share: self.moment.share(self.plant, d),
            power_w: None,
            held_by,
        }
    }

    fn strength(&self, end: End, line: usize) -> Option<f64> {
        let (lead, told) = (self.net.loops.get(line)?.lead, self.leads.get(line)?);
        match end {
            End::Vessel(v) => {
                let strength = self.moment.strength(self.plant, v, lead)?;
                Some(told.strength(strength))
            }
            End::Supply(s, _) => {
                let supply = &self.net.supplies[s.index()];
                let held = supply.solute_kg_per_m3.get(lead.index());
                held.map(|c| told.strength(*c))
            }
            End::Account(_) => None,
        }
    }

    /// What stands behind a strength of a line.
    fn lead_words(&self, line: usize) -> String {
        let lead = self.leads[line];
        let solute = || weighed_as(self.solutes, lead.solute).to_owned();
        lead.as_salt().unwrap_or_else(solute)
    }

    fn station_of(&self, v: VesselId) -> Option<usize> {
        let id = StationId::Vessel(v);
        self.stations.iter().position(|s| s.id == id)
    }

    fn line_of_ends(&self, from: End, to: End) -> Option<usize> {
        [from, to].into_iter().find_map(|end| match end {
            End::Vessel(v) => self.station_of(v).map(|s| self.stations[s].line),
            _ => None,
        })
    }

    /// Where an end is drawn; a way out gets a station of its own.
    fn place(&mut self, end: End, line: usize, kind: StreamKind) -> Option<Place> {
        match end {
            End::Vessel(v) => self.station_of(v).map(Place::Station),
            End::Supply(..) => Some(Place::Tap),
            End::Account(_) if kind == StreamKind::Film => Some(Place::Work),
            End::Account(a) if Some(a) == self.net.spill_account => Some(Place::Floor),
            End::Account(a) => {
                let id = StationId::Outlet(line, a.index());
                let known = self.stations.iter().position(|s| s.id == id);
                let at = known.unwrap_or_else(|| self.outlet(line, a.index()));
                Some(Place::Station(at))
            }
        }
    }

    fn outlet(&mut self, line: usize, account: usize) -> usize {
        let at = self.stations.len();
        self.stations.push(Station {
            id: StationId::Outlet(line, account),
            line,
            kind: StationKind::Outlet,
            name: self.net.accounts[account].name.clone(),
            level: 0.0,
            slope: 0.0,
            volume_m3: None,
            temp_c: None,
            strength_kg_per_m3: None,
            marks: Vec::new(),
            apparatus: Vec::new(),
            evaporates_kg_per_s: 0.0,
            air: None,
        });
        self.lines[line].below.push(at);
        at
    }
}
