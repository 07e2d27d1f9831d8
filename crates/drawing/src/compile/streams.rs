//! Streams of a scene: transfers, films as hops of the work, and what goes round through towers.

use dragback_plant::control::DeviceKind;
use dragback_plant::ids::{TowerId, TransferId, VesselId};
use dragback_plant::network::{End, HeatLaw, Law, LoopRoles, Network};
use dragback_study::told_m3_per_s;

use super::Draft;
use crate::moment::tail;
use crate::scene::{
    ApparatusKind, Place, Station, StationId, StationKind, Stream, StreamId, StreamKind,
};

/// Tanks in the order in which the work of each line meets them, as often as it does. The heat that work carries tells it; where work is
/// taken to have none, each tank counts once.
pub(super) fn visits(net: &Network) -> Vec<Vec<VesselId>> {
    let of_line = |l: &LoopRoles| -> Vec<VesselId> {
        let told: Vec<VesselId> = net
            .heats
            .iter()
            .filter(|h| matches!(h.law, HeatLaw::Work { work, .. } if work == l.work))
            .map(|h| h.vessel)
            .collect();
        if !told.is_empty() {
            return told;
        }
        let below = [l.holding, l.collection];
        let met = l.vessels.iter().filter(|v| !below.contains(&Some(**v)));
        met.copied().collect()
    };
    net.loops.iter().map(of_line).collect()
}

/// The tank from which work comes when it drops, in `to`, a film that it picked up in `from`; `None` for a film that leaves the line.
fn hop_from(visits: &[VesselId], from: Option<VesselId>, to: Option<VesselId>) -> Option<VesselId> {
    let Some(to) = to else {
        return visits.last().copied();
    };
    let arrivals = (1..visits.len()).filter(|&j| visits[j] == to);
    let before = |j: usize| {
        from.map_or(Some(0), |from| {
            visits[..j].iter().rev().position(|&v| v == from)
        })
    };
    let nearest = arrivals
        .filter_map(|j| Some((before(j)?, j)))
        .min_by_key(|&(away, _)| away);
    nearest.map(|(_, j)| visits[j - 1])
}

impl Draft<'_> {
    pub(super) fn towers(&mut self) {
        for (i, unit) in self.net.towers.iter().enumerate() {
            let Some(tank) = self.station_of(unit.vessel) else {
                continue;
            };
            let line = self.line_of[unit.vessel.index()];
            let at = self.stations.len();
            let mut name = self.own_name(line, &unit.name);
            if !name.contains("tower") {
                name = format!("tower {name}");
            }
            let blower = self.apparatus(unit.blower, ApparatusKind::Blower, "blower".to_owned());
            self.stations.push(Station {
                id: StationId::Tower(TowerId(i)),
                line,
                kind: StationKind::Tower,
                name: name.clone(),
                level: 0.0,
                slope: 0.0,
                volume_m3: None,
                temp_c: None,
                strength_kg_per_m3: self.strength(End::Vessel(unit.vessel), line),
                marks: Vec::new(),
                apparatus: vec![blower],
                evaporates_kg_per_s: self.moment.tower_kg_per_s[i],
                air: Some(self.moment.air(self.plant, TowerId(i))),
            });
            self.lines[line].towers.push(at);
            self.tower_streams(TowerId(i), &name, tank, at);
        }
    }

    fn tower_streams(&mut self, id: TowerId, name: &str, tank: usize, tower: usize) {
        let unit = &self.net.towers[id.index()];
        let pump = self.apparatus(unit.pump, ApparatusKind::Pump, "feed pump".to_owned());
        let fed_m3_per_s = unit.feed_m3_per_s * pump.share;
        let gone_m3_per_s = told_m3_per_s(self.moment.tower_kg_per_s[id.index()]);
        let plain = Stream {
            id: StreamId::TowerFeed(id),
            line: self.stations[tower].line,
            name: format!("feed of the {name}"),
            source: None,
            from: Place::Station(tank),
            to: Place::Station(tower),
            kind: StreamKind::Circulation,
            flow_m3_per_s: fed_m3_per_s,
            strength_kg_per_m3: self.stations[tower].strength_kg_per_m3.unwrap_or(0.0),
            apparatus: None,
        };
        self.streams.push(Stream {
            apparatus: Some(pump),
            ..plain.clone()
        });
        self.streams.push(Stream {
            id: StreamId::TowerDrain(id),
            name: format!("drain of the {name}"),
            from: Place::Station(tower),
            to: Place::Station(tank),
            flow_m3_per_s: (fed_m3_per_s - gone_m3_per_s).max(0.0),
            ..plain.clone()
        });
        self.streams.push(Stream {
            id: StreamId::Vapour(id),
            name: format!("vapour of the {name}"),
            from: Place::Station(tower),
            to: Place::Air,
            kind: StreamKind::Vapour,
            flow_m3_per_s: gone_m3_per_s,
            strength_kg_per_m3: 0.0,
            ..plain
        });
    }

    pub(super) fn transfer(&mut self, t: TransferId) {
        let transfer = &self.net.transfers[t.index()];
        let Some(line) = self.line_of_ends(transfer.from, transfer.to) else {
            return;
        };
        if matches!(transfer.law, Law::Film { .. }) && self.film(t, line) {
            return;
        }
        let kind = match (&transfer.law, transfer.from) {
            (_, End::Supply(..)) => StreamKind::Feed,
            (Law::Film { .. }, _) => StreamKind::Film,
            (Law::Overflow { .. }, _) => StreamKind::Overflow,
            _ => StreamKind::Pumped,
        };
        let (Some(from), Some(to)) = (
            self.place(transfer.from, line, kind),
            self.place(transfer.to, line, kind),
        ) else {
            return;
        };
        let flow_m3_per_s = self.moment.transfer_m3_per_s[t.index()];
        let source = match transfer.from {
            End::Supply(s, _) => Some(self.net.supplies[s.index()].name.replace('_', " ")),
            _ => None,
        };
        let apparatus = transfer.gate.device.map(|d| {
            let device = &self.net.devices[d.index()];
            let kind = match device.kind {
                DeviceKind::Valve => ApparatusKind::Valve,
                _ => ApparatusKind::Pump,
            };
            self.apparatus(d, kind, tail(&device.name))
        });
        self.streams.push(Stream {
            id: StreamId::Transfer(t),
            line,
            name: self.own_name(line, &transfer.name),
            source,
            from,
            to,
            kind,
            flow_m3_per_s,
            strength_kg_per_m3: self.strength(transfer.from, line).unwrap_or(0.0),
            apparatus,
        });
    }

    /// A film on work, drawn from the tank before, wherever it was picked up; all that drops off on one hop is drawn as one. Whether it could be
    /// drawn so.
    fn film(&mut self, t: TransferId, line: usize) -> bool {
        let transfer = &self.net.transfers[t.index()];
        let vessel = |end: End| match end {
            End::Vessel(v) => Some(v),
            _ => None,
        };
        let (origin, to) = (vessel(transfer.from), vessel(transfer.to));
        let before = hop_from(&self.visits[line], origin, to);
        let Some(from) = before.and_then(|v| self.station_of(v)).map(Place::Station) else {
            return false;
        };
        let Some(to_place) = self.place(transfer.to, line, StreamKind::Film) else {
            return false;
        };
        let flow = self.moment.transfer_m3_per_s[t.index()];
        let strength = self.strength(transfer.from, line).unwrap_or(0.0);
        let same =
            |s: &&mut Stream| s.kind == StreamKind::Film && s.from == from && s.to == to_place;
        if let Some(known) = self.streams.iter_mut().find(same) {
            let sum = known.flow_m3_per_s + flow;
            if sum > 0.0 {
                let mixed = known.strength_kg_per_m3 * known.flow_m3_per_s + strength * flow;
                known.strength_kg_per_m3 = mixed / sum;
            }
            known.flow_m3_per_s = sum;
            return true;
        }
        let name_of = |place: Place, otherwise: &str| match place {
            Place::Station(s) => self.stations[s].name.clone(),
            _ => otherwise.to_owned(),
        };
        let name = format!(
            "film on work, {} to {}",
            name_of(from, "work"),
            name_of(to_place, "out")
        );
        self.streams.push(Stream {
            id: StreamId::Transfer(t),
            line,
            name,
            source: None,
            from,
            to: to_place,
            kind: StreamKind::Film,
            flow_m3_per_s: flow,
            strength_kg_per_m3: strength,
            apparatus: None,
        });
        true
    }
}
