//! Money from the ledger, by hand; prices that are moved; what cannot be counted.
//!
//! Sources: the amounts are derived by hand from the scenarios' own inputs or from the answers of the same week, which `ledger.rs` and `two_drivers.rs`
//! check; stoichiometry by hand with molar masses of IUPAC to two decimals.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop where a value is missing"
)]

#[path = "money/accounts.rs"]
mod accounts;
#[path = "money/air.rs"]
mod air;
#[path = "money/by_hand.rs"]
mod by_hand;
#[path = "money/moved.rs"]
mod moved;
#[path = "money/tariff.rs"]
mod tariff;

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::AirChoice;
use dragback_run::clock::Hours;
use dragback_scenario::{Scenario, load, set, set_si};
use dragback_study::money::{
    CostKind, MoneyError, Payback, Pays, Plan, Rate, WarmAir, Years, input_break_even,
    price_break_evens, swing, tornado, work_inputs,
};
use dragback_study::{Answers, Case, Depth, LedgerAnswer, settled_answers};

const DEMO: &str = include_str!("../../scenarios/demo.ron");
const BEFORE: &str = include_str!("../../scenarios/demo-before.ron");
const CHROMIUM: &str = include_str!("../../scenarios/chromium.ron");
const TEACHING: &str = include_str!("../../scenarios/teaching.ron");
/// Weeks of a year of 365 days.
const WEEKS: f64 = 365.0 / 7.0;
const J_PER_KWH: f64 = 3.6e6;

fn scenario(text: &str, changes: &[(&str, &str)]) -> Scenario {
    let mut scenario = load(text).0.unwrap();
    for (path, value) in changes {
        set(&mut scenario, path, value).unwrap();
    }
    scenario
}

fn settled(scenario: Scenario) -> (Plan, Answers) {
    let case = Case::new(Arc::new(scenario), &TowerCache::default()).unwrap();
    let (air, hours) = (AirChoice::Mean, Hours::Calendar);
    let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
    let plan = Plan::of(&case.plant, case.scenario, &found.week);
    (plan, found.answers)
}

fn plan(text: &str, changes: &[(&str, &str)]) -> Plan {
    settled(scenario(text, changes)).0
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!(
        (found - wanted).abs() <= within * wanted.abs(),
        "{what}: {found} for {wanted}"
    );
}

/// The line before recovery, each line of its cost by hand.
#[test]
fn a_year_by_hand() {
    let (plan, answers) = settled(scenario(BEFORE, &[]));
    let costs = plan.costs().unwrap();
    let of = |name: &str| {
        let mut lines = costs.lines.iter();
        let found = lines.find(|l| l.name == name);
        found.unwrap_or_else(|| panic!("{name}")).per_year
    };
    let line = &answers.loops[0];
    // 150 L/h of rinse water in 80 hours of work a week at 2.10 a cubic metre.
    near(of("tap water"), 0.150 * 80.0 * WEEKS * 2.10, 1e-6, "tap");
    let made_up = 1e-3 * line.make_up_l_per_h * 8760.0;
    near(of("deionised water"), made_up * 7.50, 1e-9, "deionised");
    let treated = 1e-3 * line.to_treatment_l_per_h * 8760.0;
    near(of("discharge"), treated * 3.20, 1e-9, "discharge");
    // What goes to treatment is what the day loses that way. Only nickel and iron take caustic soda and leave sludge: 2 × 40.00 and 92.71 for 58.69 of
    // nickel, 2 × 40.00 and 106.87 for 55.85 of iron; 30 % in excess, a cake of 30 % solids.
    let LedgerAnswer::Mass { lines: iron, .. } = &answers.ledger["Fe"] else {
        panic!("iron is a mass");
    };
    let treated = |lines: &[dragback_study::MassLine]| {
        let out = lines.iter().find(|l| l.name == "to treatment").unwrap();
        out.kg / answers.span_h * 8760.0
    };
    let LedgerAnswer::Mass { lines: nickel, .. } = &answers.ledger["Ni"] else {
        panic!("nickel is a mass");
    };
    let (nickel, iron) = (treated(nickel), treated(iron));
    let lost = 365.0
        * line
            .lost_by_way
            .iter()
            .find(|w| w.way == "to treatment")
            .unwrap()
            .kg_per_day;
    near(nickel, lost, 1e-9, "nickel to treatment");
    let caustic = 1.30 * (nickel * 80.00 / 58.69 + iron * 80.00 / 55.85) * 0.55;
    near(of("caustic soda"), caustic, 2e-4, "caustic");
    let dry = nickel * 92.71 / 58.69 + iron * 106.87 / 55.85;
    near(of("sludge"), dry / 0.30 * 0.62, 2e-4, "sludge");
    // 8 hours a week at 42.
    near(of("labour"), 8.0 * WEEKS * 42.0, 1e-9, "labour");
    near(of("upkeep of the treatment"), 1900.0, 1e-9, "upkeep");
    let sum: f64 = costs.lines.iter().map(|l| l.per_year).sum();
    near(costs.per_year, sum, 1e-12, "sum");
}

/// Electricity is what heaters give, what the current takes and what the tower's fan and pump take; the cheaper hours are those of the calendar.
#[test]
fn electricity_by_hand() {
    let (plan, answers) = settled(scenario(DEMO, &[]));
    let used = plan.usage.electricity(&plan.scenario);
    let line = &answers.loops[0];
    let bath = &plan.scenario.loops.get("loop").unwrap().bath;
    let rectifier = bath.rectifier.as_ref().unwrap();
    // The current flows while work runs: 80 hours of 168.
    let current_kw = 1e-3 * rectifier.current.si() * rectifier.voltage.si() * 80.0 / 168.0;
    let tower = plan
        .scenario
        .loops
        .get("loop")
        .unwrap()
        .towers
        .values()
        .next()
        .unwrap();
    let aids_kw = 1e-3 * (tower.fan_power.si() + tower.pump_power.si()) * line.tower_share;
    let mean_kw = line.heater_mean_kw + line.bath_heater_mean_kw.unwrap() + current_kw + aids_kw;
    near(
        (used.peak_j + used.off_peak_j) / J_PER_KWH,
        8760.0 * mean_kw,
        1e-6,
        "all hours",
    );
    assert!(used.highest_w >= 1e3 * mean_kw);
    // Nothing but the current in the dear hours of a line that evaporates at night only.
    let nights = [
        ("loop.towers.tower.calendar", "nights"),
        ("loop.holding_tank.heat_calendar", "nights"),
        ("loop.bath.heater_power", "0 kW"),
    ];
    let tower = plan
        .scenario
        .loops
        .get("loop")
        .unwrap()
        .towers
        .keys()
        .next()
        .unwrap()
        .to_owned();
    let path = format!("loop.towers.{tower}.calendar");
    let nights = nights.map(|(p, v)| {
        (
            if p.ends_with("tower.calendar") {
                path.as_str()
            } else {
                p
            },
            v,
        )
    });
    let at_night = self::plan(DEMO, &nights);
    let at_night = at_night.usage.electricity(&at_night.scenario);
    near(
        at_night.peak_j / J_PER_KWH,
        8760.0 * current_kw,
        1e-6,
        "dear hours",
    );
    assert!(at_night.off_peak_j > 0.0);
    // Without cheaper hours all is dear.
    let mut one_rate = scenario(DEMO, &[]);
    let electricity = one_rate
        .prices
        .as_mut()
        .unwrap()
        .electricity
        .as_mut()
        .unwrap();
    (electricity.off_peak_rate, electricity.off_peak_calendar) = (None, None);
    let same = settled(one_rate).0;
    let same = same.usage.electricity(&same.scenario);
    assert_eq!(same.off_peak_j, 0.0);
    near(
        same.peak_j,
        used.peak_j + used.off_peak_j,
        1e-12,
        "one rate",
    );
}

/// The salts that are bought bring just what the ledger's additions brought.
#[test]
fn salts_bring_what_the_additions_brought() {
    for text in [BEFORE, DEMO, CHROMIUM] {
        let (plan, answers) = settled(scenario(text, &[]));
        let line = plan.scenario.loops.values().next().unwrap();
        for species in line.bath.additions.as_ref().unwrap().restore.keys() {
            let LedgerAnswer::Mass { lines, .. } = &answers.ledger[species] else {
                panic!("{species} is a mass");
            };
            let of = |l: &&dragback_study::MassLine| l.name == "additions";
            let added = lines.iter().find(of).map_or(0.0, |l| l.kg) / answers.span_h * 8760.0;
            let brought: f64 = plan
                .usage
                .chemicals_kg
                .iter()
                .map(|(salt, kg)| {
                    let parts = dragback_scenario::salt_yields(&plan.scenario, salt);
                    let parts = parts.unwrap_or_default();
                    kg * parts
                        .iter()
                        .find(|(k, _)| k == species)
                        .map_or(0.0, |(_, y)| *y)
                })
                .sum();
            assert!(
                (brought - added).abs() < 1e-6 * added.abs() + 1e-6,
                "{species}: {brought} {added}"
            );
        }
    }
}

/// Chromium takes bisulfite and acid besides caustic soda; coils and warm baths take fuel.
#[test]
fn chromium_is_reduced_first() {
    let (plan, _) = settled(scenario(CHROMIUM, &[]));
    let kg = plan.usage.treated_kg["Cr6"];
    assert!(kg > 0.0);
    near(
        plan.usage.treatment.bisulfite,
        kg * 1.5 * 104.06 / 99.99,
        1e-4,
        "bisulfite",
    );
    near(
        plan.usage.treatment.acid,
        kg * 0.75 * 98.07 / 99.99,
        1e-4,
        "acid",
    );
    let electric = plan.usage.electricity(&plan.scenario);
    let warm = [("prices.bath_heat", "fuel")];
    let by_fuel = self::plan(CHROMIUM, &warm);
    let heat_j = |p: &Plan| p.usage.fuel_heat_j(&p.scenario);
    let moved = electric.peak_j - by_fuel.usage.electricity(&by_fuel.scenario).peak_j;
    near(
        heat_j(&by_fuel) - heat_j(&plan),
        moved,
        1e-9,
        "heat of the bath",
    );
}

/// A change is good where it pays with interest and nothing has to be known before that is believed: not where the work leaves too strong after it, where what
/// is added has no price, or where the money is back only beyond the horizon.
#[test]
fn only_what_pays_and_leaves_nothing_unsaid_is_good() {
    let before = plan(BEFORE, &[]);
    let of = |after: &Plan| Payback::of(&before, after).unwrap();
    let said = |p: &Payback| p.warnings().join(" ");
    let pays = of(&plan(DEMO, &[]));
    assert!(pays.is_good() && pays.warnings().is_empty());
    assert!(pays.too_strong.is_empty() && !pays.is_unpriced);
    let dirty = of(&plan(DEMO, &[("loop.sections.rinses.flow", "57 L/h")]));
    let [film] = &dirty.too_strong[..] else {
        panic!("{:?}", dirty.too_strong);
    };
    assert!(film.film_mg_per_l > film.limit_mg_per_l && film.limit_mg_per_l == 20.0);
    assert!(
        !dirty.is_good() && said(&dirty).contains("above its limit of 20"),
        "{}",
        said(&dirty)
    );
    let start = DEMO.find("        capital: {").unwrap();
    let end = start + DEMO[start..].find("\n        },").unwrap() + "\n        },".len();
    let unpriced = of(&plan(&format!("{}{}", &DEMO[..start], &DEMO[end..]), &[]));
    assert_eq!(unpriced.laid_out, 0.0);
    assert!(unpriced.is_unpriced && !unpriced.is_good());
    assert!(
        said(&unpriced).contains("prices.capital"),
        "{}",
        said(&unpriced)
    );
    // A line that pays for an evaporator and a holding tank, and has neither.
    let items = ["evaporator", "holding_tank", "rinse"].map(|key| {
        format!("\"{key}\": (title: \"{key} of steel\", cost: \"100 EUR\", life: \"9 year\")")
    });
    let note = "notes: \"Invented.\",";
    assert_eq!(BEFORE.matches(note).count(), 1);
    let paying = BEFORE.replace(note, &format!("capital: {{{}}}, {note}", items.join(", ")));
    let gone = of(&plan(&paying, &[]));
    assert_eq!(
        gone.missing,
        ["evaporator of steel", "holding_tank of steel"]
    );
    assert!(said(&gone).contains("evaporator of steel, holding_tank of steel"));
    assert!(pays.missing.is_empty());
    // Nickel sulfate so cheap that the saving is a few percent of what is laid out.
    let cheap = of(&plan(
        DEMO,
        &[("prices.chemicals.NiSO4.6H2O", "0.95 EUR/kg")],
    ));
    assert!(
        cheap.saving_per_year > 0.0 && cheap.discounted == Years::Never,
        "{cheap:?}"
    );
    assert!(!cheap.is_good() && cheap.warnings().is_empty());
    let same = Payback::of(&before, &before).unwrap();
    assert!(!same.is_good());
}

/// What a change that brings nothing, or harm, says of itself.
#[test]
fn nothing_and_less_than_nothing_have_words() {
    let (before, after) = (plan(BEFORE, &[]), plan(DEMO, &[]));
    let words = |p: &Payback| p.words(&|x| format!("{x:.0} EUR"), &|y| format!("{y:.1} years"));
    let same = Payback::of(&before, &before).unwrap();
    assert_eq!((same.saving_per_year, same.laid_out), (0.0, 0.0));
    assert_eq!(
        (same.simple, same.rate_of_return),
        (Years::AtOnce, Rate::None)
    );
    assert_eq!(words(&same), "It saves nothing; nothing is laid out.");
    assert_eq!(same.per_m3_evaporated, None);
    let back = Payback::of(&after, &before).unwrap();
    assert!(back.saving_per_year < 0.0);
    assert_eq!(
        (back.simple, back.discounted, back.rate_of_return),
        (Years::Never, Years::Never, Rate::None)
    );
    assert!(
        words(&back).contains("a year more; nothing is laid out"),
        "{}",
        words(&back)
    );
    // Much dearer electricity: money goes both ways, and none comes back.
    let dear = plan(DEMO, &[("prices.electricity.rate", "2 EUR/kWh")]);
    let never = Payback::of(&before, &dear).unwrap();
    assert_eq!(
        (never.simple, never.rate_of_return),
        (Years::Never, Rate::None)
    );
    assert!(never.net_present_value < -never.laid_out);
    assert!(
        words(&never).ends_with("never come back."),
        "{}",
        words(&never)
    );
    assert!(
        price_break_evens(&never, 2.0)
            .iter()
            .all(|b| b.value.is_none_or(f64::is_finite))
    );
    for payback in [&same, &back, &never] {
        assert!(payback.cumulated.iter().all(|x| x.is_finite()));
    }
}

/// The same week at other prices.
fn repriced(plan: &Plan, change: impl FnOnce(&mut Scenario)) -> Plan {
    let mut scenario = (*plan.scenario).clone();
    change(&mut scenario);
    Plan {
        scenario: Arc::new(scenario),
        usage: plan.usage.clone(),
    }
}

#[test]
fn what_cannot_be_counted_is_said() {
    let (before, after) = (plan(BEFORE, &[]), plan(DEMO, &[]));
    let none = repriced(&after, |s| s.prices = None);
    assert!(matches!(
        Payback::of(&before, &none),
        Err(MoneyError::NoPrices { .. })
    ));
    let chromium = plan(CHROMIUM, &[]);
    let error = Payback::of(&chromium, &after).unwrap_err();
    let MoneyError::Currencies {
        before: a,
        after: b,
    } = &error
    else {
        panic!("{error}");
    };
    assert_eq!((a.as_str(), b.as_str()), ("USD", "EUR"));
    // A bath that nothing restores runs down, and a year of it says nothing.
    let mut spent = scenario(BEFORE, &[]);
    spent.loops.get_mut("loop").unwrap().bath.additions = None;
    spent.loops.get_mut("loop").unwrap().bath.rectifier = None;
    let found = Plan::settled(Arc::new(spent.clone()), &TowerCache::default(), &mut |_| {
        true
    });
    assert!(
        matches!(found, Err(MoneyError::RunsDown { .. })),
        "{found:?}"
    );
    let spent = settled(spent).0;
    let told = [
        spent.costs().unwrap_err(),
        Payback::of(&spent, &after).unwrap_err(),
        Payback::of(&before, &spent).unwrap_err(),
    ];
    for why in told {
        assert!(matches!(why, MoneyError::RunsDown { .. }), "{why:?}");
    }
    // Lines that do not do the same work are no fair comparison.
    let half = plan(BEFORE, &[("loop.work.area_rate", "20 m²/h")]);
    let unlike = Payback::of(&half, &after).unwrap();
    assert_eq!(unlike.other_work, ["loop.work.area_rate"]);
    assert!(unlike.warnings()[0].contains("loop.work.area_rate"));
    let alike = Payback::of(&before, &after).unwrap();
    assert!(alike.other_work.is_empty() && alike.warnings().is_empty());
    // A chemical without a price of its own is worth its solutes; without those it is named.
    let bare = repriced(&before, |s| {
        s.prices.as_mut().unwrap().chemicals = dragback_scenario::Map::default();
    });
    let costs = bare.costs().unwrap();
    let sulfate = costs.lines.iter().find(|l| l.name == "NiSO4·6H2O").unwrap();
    // 58.69 of nickel in 262.85 of the salt, 17 a kilogram.
    near(
        sulfate.price,
        17.0 * 58.69 / 262.85,
        1e-4,
        "worth of nickel sulfate",
    );
    assert!(
        costs.uncounted.iter().any(|w| w.starts_with("H3BO3")),
        "{:?}",
        costs.uncounted
    );
}

/// A line before without prices would have people and fees for nothing; one that says so has none.
#[test]
fn a_line_before_without_prices_is_refused() {
    let (before, after) = (plan(BEFORE, &[]), plan(DEMO, &[]));
    let mute = repriced(&before, |s| s.prices = None);
    let error = Payback::of(&mute, &after).unwrap_err();
    assert!(matches!(error, MoneyError::NoOwnPrices { .. }), "{error:?}");
    for part in [&before.scenario.title, "`labour`", "`yearly`", "`capital`"] {
        assert!(error.to_string().contains(part), "{error}");
    }
    let at = BEFORE.find("    prices: (").unwrap();
    let nothing = plan(&format!("{}    prices: (),\n)\n", &BEFORE[..at]), &[]);
    let lone = Payback::of(&nothing, &after).unwrap();
    let labour = lone.lines.iter().find(|l| l.name == "labour").unwrap();
    assert_eq!(labour.before, 0.0);
}
