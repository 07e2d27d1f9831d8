//! Lines whose interlocks are tried.

use super::script::strengthen;
use super::*;

const DEMO: &str = include_str!("../../../scenarios/demo.ron");
const CHROMIUM: &str = include_str!("../../../scenarios/chromium.ron");

/// A line to try.
pub struct Line {
    /// Path of the tank that feeds its tower.
    tank: &'static str,
    pub net: Network,
    pub cache: TowerCache,
    /// Its liquids are made up too strong, each list in another way.
    pub is_strong: bool,
}

impl Line {
    /// The demo with some inputs changed.
    pub fn of(changes: &[(&str, &str)]) -> Self {
        Self::read("loop.holding_tank", DEMO, changes)
    }

    /// The demo with a steam coil in the place of its electric elements.
    pub fn with_a_coil() -> Self {
        let elements: Vec<&str> = (DEMO.lines())
            .filter(|l| {
                ["e1", "e2", "e3", "e4"]
                    .iter()
                    .any(|e| l.contains(&format!("\"{e}\": (power")))
            })
            .collect();
        assert_eq!(elements.len(), 4, "the demo has four elements");
        let lines = DEMO.lines().filter(|l| !elements.contains(l));
        let text: String = lines.map(|l| format!("{l}\n")).collect();
        let coil = "coil: (ua: \"1.5 kW/K\", supply_temperature: \"110 °C\", cap: \"60 kW\"),\n dead_band: \"2 K\"";
        let text = text.replacen("dead_band: \"2 K\"", coil, 1);
        let line = Self::read("loop.holding_tank", &text, &[]);
        assert!(line.device("loop.holding_tank.coil").is_some());
        line
    }

    /// A chromium bath that feeds the tower itself.
    pub fn fed_from_the_bath() -> Self {
        Self::read("chrome.bath", CHROMIUM, &[])
    }

    fn read(tank: &'static str, text: &str, changes: &[(&str, &str)]) -> Self {
        let (scenario, problems) = load(text);
        assert!(problems.is_empty(), "{problems:?}");
        let mut scenario = scenario.unwrap();
        apply(&mut scenario, changes.iter().copied()).unwrap();
        Self {
            tank,
            net: lower(&scenario).unwrap(),
            cache: TowerCache::default(),
            is_strong: false,
        }
    }

    /// The demo with liquids too strong, a bath that only its current warms, so that it cools at rest, and tap water that brings calcium.
    pub fn too_strong() -> Self {
        let line = Self::of(&[
            ("loop.bath.heater_power", "0 kW"),
            ("loop.bath.make_up.water", "tap"),
        ]);
        Self {
            is_strong: true,
            ..line
        }
    }

    pub fn demo() -> Self {
        Self::of(&[])
    }

    /// With bath in circulation, and a high alarm that stops everything.
    pub fn full_stop() -> Self {
        Self::of(&[
            ("loop.holding_tank.return.rule", "circulation"),
            ("loop.holding_tank.return.circulation_flow", "100 L/h"),
            ("loop.holding_tank.high_alarm_stops_all", "true"),
        ])
    }

    pub fn find(&self, tail: &str) -> Option<RelayId> {
        let name = format!("{}.{tail}", self.tank);
        let found = self.net.relays.iter().position(|r| r.name == name);
        found.map(RelayId)
    }

    /// The electrode or alarm of the tank, by any of its names in a holding tank or a bath.
    pub fn relay(&self, tails: &[&str]) -> RelayId {
        let found = tails.iter().find_map(|tail| self.find(tail));
        found.unwrap_or_else(|| panic!("{} has none of {tails:?}", self.tank))
    }

    pub fn own_device(&self, tail: &str) -> Option<DeviceId> {
        self.device(&format!("{}.{tail}", self.tank))
    }

    /// Whether the alarm stands, by any of its names.
    pub fn alarmed(&self, world: &World, tails: &[&str]) -> bool {
        let known = tails.iter().filter_map(|tail| self.find(tail));
        known.into_iter().any(|relay| stands(world, relay))
    }

    pub fn device(&self, path: &str) -> Option<DeviceId> {
        let found = self.net.devices.iter().position(|d| d.name == path);
        found.map(DeviceId)
    }

    /// The tank that feeds the tower.
    pub fn fed(&self) -> VesselId {
        self.net.towers[0].vessel
    }

    /// The heaters of that tank.
    pub fn heaters(&self) -> impl Iterator<Item = DeviceId> {
        let heats = self.net.heats.iter();
        let its_own = heats.filter(|h| h.vessel == self.fed());
        let gated = its_own.filter_map(|h| h.gate.device);
        gated.filter(|d| self.net.devices[d.index()].kind == DeviceKind::Heater)
    }

    /// The line with a list of events drawn from a seed, running.
    pub fn drawn(&self, seed: u64, removed: Option<(usize, usize)>) -> World {
        let mut net = self.net.clone();
        if self.is_strong {
            strengthen(&mut net, seed);
        }
        self.run(net, Script::of(self, seed), removed)
    }

    /// The line with a list of events, running.
    pub fn world(&self, events: Vec<Event>) -> World {
        self.run(self.net.clone(), events, None)
    }

    fn run(&self, mut net: Network, events: Vec<Event>, removed: Option<(usize, usize)>) -> World {
        net.events = events;
        if let Some((device, requirement)) = removed {
            net.devices[device].requires.remove(requirement);
        }
        let plant = Plant::new(Arc::new(net), &self.cache).unwrap();
        World::new(Arc::new(plant), self.cache.clone())
    }
}
