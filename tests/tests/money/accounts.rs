//! One ledger line or meter of the settled week twice as high moves the cost lines that come of it, and leaves all others to the cent.

use dragback_plant::Plant;
use dragback_plant::ids::{AccountId, DeviceId, HeatId, SoluteId, TransferId};
use dragback_plant::network::{End, HeatLaw, Law};
use dragback_run::Trace;

use super::*;

/// A line with its settled week.
struct Week {
    plant: Arc<Plant>,
    scenario: Arc<Scenario>,
    trace: Trace,
    /// What it costs as it is.
    base: Vec<(String, f64)>,
}

impl Week {
    fn of(text: &str, changes: &[(&str, &str)]) -> Self {
        let scenario = Arc::new(scenario(text, changes));
        let case = Case::new(scenario, &TowerCache::default()).unwrap();
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let trace = (*found.week).clone();
        let mut week = Self {
            plant: case.plant,
            scenario: case.scenario,
            trace,
            base: Vec::new(),
        };
        week.base = week.costs(&week.trace);
        assert!(week.base.len() > 10, "{:?}", week.base);
        week
    }

    fn costs(&self, trace: &Trace) -> Vec<(String, f64)> {
        let plan = Plan::of(&self.plant, Arc::clone(&self.scenario), trace);
        let lines = plan.costs().unwrap().lines.into_iter();
        lines.map(|l| (l.name, l.per_year)).collect()
    }

    /// The lines that move by more than half a cent when entries of the vector run twice as fast, with how many times as much they are.
    fn twice(&self, entries: &[usize]) -> Vec<(String, f64)> {
        assert!(!entries.is_empty(), "nothing to double");
        let mut trace = Trace::new(self.trace.row(0).len());
        for (i, &t_s) in self.trace.times_s().iter().enumerate() {
            let mut row = self.trace.row(i).to_vec();
            for &entry in entries {
                row[entry] *= 2.0;
            }
            trace.push(t_s, &row);
        }
        let after = self.costs(&trace);
        let names = |all: &[(String, f64)]| all.iter().map(|l| l.0.clone()).collect::<Vec<_>>();
        assert_eq!(names(&after), names(&self.base));
        let both = self.base.iter().zip(&after);
        let moved = both.filter(|(a, b)| (a.1 - b.1).abs() > 0.005);
        moved.map(|(a, b)| (a.0.clone(), b.1 / a.1)).collect()
    }

    /// Whether just these lines are twice as high, and no other moves.
    fn doubles(&self, entries: &[usize], wanted: &[&str]) {
        let moved = self.twice(entries);
        assert_eq!(names(&moved), wanted, "{moved:?}");
        for (name, factor) in &moved {
            near(*factor, 2.0, 1e-6, name);
        }
    }

    fn transfers(&self, is_one: impl Fn(&End, &End, &Law) -> bool) -> Vec<usize> {
        let net = self.plant.network();
        let each = net.transfers.iter().enumerate();
        let found = each.filter(|(_, t)| is_one(&t.from, &t.to, &t.law));
        let layout = self.plant.layout();
        found.map(|(t, _)| layout.moved(TransferId(t))).collect()
    }

    fn water_of(&self, name: &str) -> Vec<usize> {
        let net = self.plant.network();
        self.transfers(|from, _, _| {
            matches!(from, End::Supply(supply, _) if net.supplies[supply.index()].name == name)
        })
    }

    /// The block of a ledger line: water, heat and every solute.
    fn account(&self, name: &str) -> std::ops::Range<usize> {
        let layout = self.plant.layout();
        let mut all = self.plant.network().accounts.iter();
        let place = all.position(|a| a.name == name).unwrap();
        let start = layout.account(AccountId(place));
        start..start + layout.block_len()
    }

    fn solute(&self, line: &str, name: &str) -> usize {
        let mut all = self.plant.network().solutes.iter();
        let place = all.position(|s| s.name == name).unwrap();
        self.account(line).start + self.plant.layout().solute(SoluteId(place))
    }

    fn heats(&self, line: &str, is_one: impl Fn(&HeatLaw) -> bool) -> Vec<usize> {
        let net = self.plant.network();
        let of_line = |a: AccountId| net.accounts[a.index()].name == line;
        let each = net.heats.iter().enumerate();
        let found = each.filter(|(_, h)| of_line(h.account) && is_one(&h.law));
        let layout = self.plant.layout();
        found.map(|(h, _)| layout.delivered(HeatId(h))).collect()
    }

    fn ran(&self, path: &str) -> usize {
        let mut all = self.plant.network().devices.iter();
        let place = all.position(|d| d.name == path).unwrap();
        self.plant.layout().ran(DeviceId(place))
    }

    fn cost(&self, name: &str) -> f64 {
        let found = self.base.iter().find(|l| l.0 == name);
        found.unwrap_or_else(|| panic!("{name}")).1
    }
}

fn names(all: &[(String, f64)]) -> Vec<&str> {
    all.iter().map(|l| l.0.as_str()).collect()
}

#[test]
fn water_and_discharge_move_their_own_lines() {
    let week = Week::of(BEFORE, &[]);
    week.doubles(&week.water_of("tap"), &["tap water"]);
    week.doubles(&week.water_of("deionised"), &["deionised water"]);
    let out = week
        .transfers(|_, to, law| matches!(to, End::Account(_)) && !matches!(law, Law::Film { .. }));
    week.doubles(&out, &["discharge"]);
    // A film that leaves on the work is no discharge.
    let film = week
        .transfers(|_, to, law| matches!(to, End::Account(_)) && matches!(law, Law::Film { .. }));
    week.doubles(&film, &[]);
}

#[test]
fn what_is_added_moves_its_own_salts() {
    let week = Week::of(BEFORE, &[]);
    let additions: Vec<usize> = week.account("additions").collect();
    // The brightener goes by the ampere hour.
    week.doubles(&additions, &["H3BO3", "NiCl2·6H2O", "NiSO4·6H2O"]);
    week.doubles(&[week.solute("additions", "B")], &["H3BO3"]);
    let anodes: Vec<usize> = week.account("anodes").collect();
    week.doubles(&anodes, &["Ni anodes"]);
    // Twice the chloride takes twice the nickel chloride, whose nickel the sulphate need not bring: 58.69 for 237.69 and 58.69 for 262.85, so a kilogram of
    // chloride more is 262.85/237.69 of sulphate less.
    let moved = week.twice(&[week.solute("additions", "Cl")]);
    assert_eq!(names(&moved), ["NiCl2·6H2O", "NiSO4·6H2O"], "{moved:?}");
    near(moved[0].1, 2.0, 1e-6, "chloride");
    let less = week.cost("NiCl2·6H2O") / 6.40 * 262.85 / 237.69 * 5.20;
    let wanted = 1.0 - less / week.cost("NiSO4·6H2O");
    near(moved[1].1, wanted, 1e-3, "sulphate");
}

#[test]
fn metal_to_treatment_moves_reagents_and_sludge() {
    let week = Week::of(BEFORE, &[]);
    let all: Vec<usize> = week.account("to treatment").collect();
    week.doubles(&all, &["caustic soda", "sludge"]);
    // Iron alone: its share of both by hand, 80.00/55.85 and 106.87/55.85 kg a kilogram.
    let iron = week.twice(&[week.solute("to treatment", "Fe")]);
    assert_eq!(names(&iron), ["caustic soda", "sludge"], "{iron:?}");
    let nickel = week.twice(&[week.solute("to treatment", "Ni")]);
    for (fe, ni) in iron.iter().zip(&nickel) {
        near(fe.1 - 1.0 + ni.1 - 1.0, 1.0, 1e-6, &fe.0);
    }
    // Boron is not brought down.
    week.doubles(&[week.solute("to treatment", "B")], &[]);
}

#[test]
fn current_and_heaters_move_electricity() {
    let week = Week::of(BEFORE, &[]);
    // All of the current is taken in the dear hours: 4000 A at 5.5 V for 80 hours a week, at 0.105. The brightener goes by the ampere hour.
    let moved = week.twice(&[week.ran("loop.bath.rectifier")]);
    let wanted = ["Brightener", "electricity", "highest demand"];
    assert_eq!(names(&moved), wanted, "{moved:?}");
    near(moved[0].1, 2.0, 1e-9, "brightener");
    let current = 22.0 * 80.0 * WEEKS * 0.105;
    let more = (moved[1].1 - 1.0) * week.cost("electricity");
    near(more, current, 1e-6, "current");
    // The demand is the current with what the bath's heater takes besides: 22 kW more, for twelve months at 9.
    let more = (moved[2].1 - 1.0) * week.cost("highest demand");
    near(more, 22.0 * 12.0 * 9.0, 1e-6, "demand");
    let hold = |law: &HeatLaw| matches!(law, HeatLaw::Hold { .. });
    // The bath's heater works at rest only, nights and weekends, which are the cheaper hours; the highest demand is that of work.
    week.doubles(
        &week.heats("heaters", hold),
        &["electricity in cheaper hours"],
    );
    // The heat of the current in the books is not what the current takes.
    let heat: Vec<usize> = week.account("rectifier").collect();
    week.doubles(&heat, &[]);
    week.doubles(&week.heats("rectifier", |_| true), &[]);
    let cooler = week.heats("coolers", |law| matches!(law, HeatLaw::Cool { .. }));
    week.doubles(&cooler, &["cooling of baths"]);
}

#[test]
fn heat_of_tanks_and_air_of_towers_move_their_own_lines() {
    let week = Week::of(DEMO, &[]);
    let power = |law: &HeatLaw| matches!(law, HeatLaw::Power { .. });
    let energy = [
        "electricity",
        "electricity in cheaper hours",
        "highest demand",
    ];
    let moved = week.twice(&week.heats("heaters", power));
    assert_eq!(names(&moved), energy, "{moved:?}");
    // The time of the pump is that of the blower: its power, and the air that it takes from the hall.
    let tower = scenario(DEMO, &[]);
    let line = tower.loops.get("loop").unwrap();
    let all: Vec<usize> = line
        .towers
        .keys()
        .map(|key| week.ran(&format!("loop.towers.{key}.pump")))
        .collect();
    let moved = week.twice(&all);
    let air = "warming air that towers exhaust";
    assert_eq!(names(&moved), [&energy[..], &[air]].concat(), "{moved:?}");
    near(moved[3].1, 2.0, 1e-9, air);
    // By a boiler the bath's heat is fuel, and electricity no more.
    let week = Week::of(DEMO, &[("prices.bath_heat", "fuel")]);
    let hold = |law: &HeatLaw| matches!(law, HeatLaw::Hold { .. });
    week.doubles(&week.heats("heaters", hold), &["steam or hot water"]);
}
