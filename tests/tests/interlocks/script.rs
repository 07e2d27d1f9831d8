//! Event lists drawn from a seed.

use super::*;

/// A list of events under construction.
pub struct Script<'a> {
    line: &'a Line,
    dice: Dice,
    events: Vec<Event>,
}

impl<'a> Script<'a> {
    /// The list of a seed: a few mishaps, and somebody who resets alarms.
    pub fn of(line: &'a Line, seed: u64) -> Vec<Event> {
        let mut script = Self {
            line,
            dice: Dice::new(seed),
            events: vec![],
        };
        for _ in 0..3 + script.dice.below(3) {
            script.mishap();
        }
        for (r, relay) in line.net.relays.iter().enumerate() {
            for _ in 0..2 {
                if relay.role == Role::Alarm {
                    let at_s = script.time();
                    script.at(at_s, Action::Reset(RelayId(r)));
                }
            }
        }
        script.events
    }

    fn time(&mut self) -> f64 {
        self.dice.between(0.0, 0.9 * SPAN_S)
    }

    fn later(&mut self, at_s: f64) -> f64 {
        at_s + self.dice.spread(0.2, 12.0) * HOUR_S
    }

    fn at(&mut self, at_s: f64, action: Action) {
        self.push(Trigger::At(at_s), action);
    }

    fn push(&mut self, trigger: Trigger, action: Action) {
        let name = format!("{trigger:?}: {action:?}");
        self.events.push(Event {
            name,
            trigger,
            action,
        });
    }

    /// A relay sticks as it closes, or at some time as it stands; it may come loose again.
    fn stick(&mut self, relay: RelayId, as_it_closes: bool) {
        let at_s = self.time();
        if as_it_closes {
            self.push(Trigger::When(relay), Action::Stick(relay));
        } else {
            self.at(at_s, Action::Stick(relay));
        }
        if self.dice.chance(0.7) {
            let free_s = self.later(at_s);
            self.at(free_s, Action::Free(relay));
        }
    }

    fn fail(&mut self, device: DeviceId) {
        let at_s = self.time();
        self.at(at_s, Action::Fail(device));
        if self.dice.chance(0.7) {
            let restored_s = self.later(at_s);
            self.at(restored_s, Action::Restore(device));
        }
    }

    fn by_hand(&mut self, device: DeviceId) {
        let at_s = self.time();
        self.at(at_s, Action::RunByHand(device));
        if self.dice.chance(0.7) {
            let back_s = self.later(at_s);
            self.at(back_s, Action::BackToAutomatic(device));
        }
    }

    fn dump(&mut self, vessel: VesselId, least: f64) {
        let share = self.dice.between(least, 1.15).min(1.0);
        let names = &self.line.net.accounts;
        let account = names.iter().position(|a| a.name == "dumped").unwrap();
        let at_s = self.time();
        let account = dragback_plant::ids::AccountId(account);
        self.at(
            at_s,
            Action::Dump {
                vessel,
                share,
                account,
            },
        );
    }

    fn mishap(&mut self) {
        let line = self.line;
        let relay = |tails: &[&str]| line.relay(tails);
        match self.dice.below(10) {
            0 => {
                // It heats on without its tower, perhaps past an alarm that does not trip.
                match line.find("thermostat") {
                    Some(thermostat) => self.stick(thermostat, true),
                    // What heats a bath that holds its own set point is the current.
                    None => {
                        let rectifier = line.own_device("rectifier").unwrap();
                        self.at(0.0, Action::RunByHand(rectifier));
                    }
                }
                let blower = line.net.towers[0].blower;
                let at_s = self.time();
                self.at(at_s, Action::Fail(blower));
                if line.find("high_limit").is_some() && self.dice.chance(0.7) {
                    self.at(0.0, Action::Stick(relay(&["over_temperature"])));
                }
            }
            1 => {
                // Perhaps with a tower that does not hear that there is nothing left to evaporate.
                if self.dice.chance(0.6) {
                    let permit = relay(&["electrodes.evaporation", "evaporation"]);
                    self.at(0.0, Action::Stick(permit));
                }
                self.dump(line.fed(), 0.7);
            }
            2 => self.stick(relay(&["electrodes.transfer", "make_up.level"]), true),
            3 => self.stick(relay(&["return.level", "make_up.level"]), true),
            4 => {
                let vessel = VesselId(self.dice.below(line.net.vessels.len()));
                self.dump(vessel, 0.5);
            }
            5 => {
                let supply = SupplyId(self.dice.below(line.net.supplies.len()));
                let at_s = self.time();
                let back_s = self.later(at_s);
                self.at(at_s, Action::CutSupply(supply));
                self.at(back_s, Action::RestoreSupply(supply));
            }
            6 => {
                let device = DeviceId(self.dice.below(line.net.devices.len()));
                self.fail(device);
            }
            7 => {
                let device = DeviceId(self.dice.below(line.net.devices.len()));
                self.by_hand(device);
            }
            8 => {
                // Everything that has interlocks at once, as somebody does who wants it to go faster.
                let devices = line.net.devices.iter().enumerate();
                let guarded = devices.filter(|(_, d)| d.requires.iter().any(|r| r.is_interlock));
                for (device, _) in guarded {
                    self.by_hand(DeviceId(device));
                }
            }
            _ => {
                // Any probe but those that have no second line behind them.
                let any = RelayId(self.dice.below(line.net.relays.len()));
                let alone = ["high_limit", "low_alarm", "high_alarm", "return.dry_run"];
                let name = &line.net.relays[any.index()].name;
                if !alone.iter().any(|tail| name.ends_with(tail)) {
                    self.stick(any, false);
                }
            }
        }
    }
}

/// The bath made up too strong in one of three ways, or as it should be: boric acid that comes out once the bath has cooled, boric acid that comes out in the warm
/// bath, calcium whose gypsum warming does not dissolve. Source of the amounts: the curves of `dragback_properties::solubility`, 50 g of boric acid in a litre at 20 °C and
/// 130 at 55 °C, 2 g/L of gypsum.
pub fn strengthen(net: &mut Network, seed: u64) {
    let mut dice = Dice::new(seed ^ 0x5717);
    let place = |name: &str| net.solutes.iter().position(|s| s.name == name).unwrap();
    let (boric, calcium) = (place("B"), place("Ca"));
    let bath = net.loops[0].bath;
    let held = &mut net.vessels[bath.index()].initial.concentration_kg_per_m3;
    match dice.below(4) {
        0 => held[boric] *= dice.between(1.5, 2.0),
        1 => held[boric] *= dice.between(3.5, 4.0),
        2 => held[calcium] += dice.between(1.5, 3.0),
        _ => {}
    }
}
