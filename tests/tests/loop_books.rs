//! Figures of a loop against the ledger of the same run: two ways to the same sum.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_scenario::load;
use dragback_study::{AirChoice, Case, Clock, Depth, Driver, Hours, run_span, settled_answers};
use dragback_tests::read::WEEK_S;

const WARM_BATH: &str = include_str!("../../scenarios/warm-bath.ron");
const DEMO: &str = include_str!("../../scenarios/demo.ron");

fn case(text: &str) -> Case {
    let (scenario, problems) = load(text);
    assert!(problems.is_empty(), "{problems:?}");
    Case::new(Arc::new(scenario.unwrap()), &TowerCache::default()).unwrap()
}

/// What a run lost by the loop's figure, and what each ledger line gained, kg of each solute.
type Books = Vec<(String, f64, Vec<(String, f64)>)>;

fn books(case: &Case, driver: Driver) -> (Books, f64) {
    let ran = run_span(case, WEEK_S, driver, Clock::default(), &mut |_| true).unwrap();
    let answers = ran.answers();
    let line = &answers.loops[0];
    let net = case.plant.network();
    // Water and energy come first.
    let solutes = ran.ledger.entries[2..].iter().map(|e| {
        let lost_kg = line.lost_kg_per_day[&e.name] * WEEK_S / 86_400.0;
        let out = e.went_out.iter();
        let out = out.map(|(a, kg)| (net.accounts[a.index()].name.clone(), *kg));
        (e.name.clone(), lost_kg, out.collect())
    });
    (solutes.collect(), line.recovered_fraction)
}

/// What plates out is a product, and what a purification takes is taken on purpose; everything else that goes out is lost.
fn lost_by_ledger(out: &[(String, f64)]) -> f64 {
    let lost = |name: &str| !["deposited", "purified"].contains(&name);
    out.iter().filter(|o| lost(&o.0)).map(|o| o.1).sum()
}

/// A spray so strong that the bath spills, and a tank and a share of the bath pumped out.
fn spilling() -> Case {
    let events = "events: [
        (at: \"50 h\", do: (dump: (tank: \"loop.sections.rinses/1\", share: \"80 %\"))),
        (at: \"130 h\", do: (dump: (tank: \"loop.bath\", share: \"5 %\"))),
    ],
    loops: {";
    let text = WARM_BATH
        .replacen("flow: \"2 L/h\"", "flow: \"80 L/h\"", 1)
        .replacen("loops: {", events, 1);
    case(&text)
}

#[test]
fn what_is_spilled_and_dumped_is_lost() {
    let case = spilling();
    for driver in [Driver::Preview, Driver::Exact] {
        let (books, recovered) = books(&case, driver);
        for (solute, lost_kg, out) in &books {
            let wanted = lost_by_ledger(out);
            // The same fluxes summed in another order.
            let bound = 1e-9 * wanted.max(1e-6);
            assert!(
                (lost_kg - wanted).abs() <= bound,
                "{driver:?}, {solute}: {lost_kg} kg, by the ledger {wanted}: {out:?}"
            );
        }
        let nickel = &books.iter().find(|b| b.0 == "Ni").unwrap().2;
        let of = |name: &str| nickel.iter().find(|o| o.0 == name).map_or(0.0, |o| o.1);
        assert!(of("spilled") > 1.0, "{driver:?}: {nickel:?}");
        // A twentieth of some 3100 L with some 75 g/L.
        assert!(of("dumped") > 10.0, "{driver:?}: {nickel:?}");
        assert!(recovered < 0.0, "{driver:?}: {recovered}");
    }
}

/// The same for the demo, which loses on the work and up the stack, and whose holding tank is pumped out in part.
#[test]
fn what_goes_up_the_stack_and_is_pumped_out_is_lost() {
    let events =
        "events: [(at: \"60 h\", do: (dump: (tank: \"loop.holding_tank\", share: \"20 %\")))],
    loops: {";
    let case = case(&DEMO.replacen("loops: {", events, 1));
    for driver in [Driver::Preview, Driver::Exact] {
        for (solute, lost_kg, out) in books(&case, driver).0 {
            let wanted = lost_by_ledger(&out);
            let bound = 1e-9 * wanted.max(1e-6);
            assert!(
                (lost_kg - wanted).abs() <= bound,
                "{driver:?}, {solute}: {lost_kg} kg, by the ledger {wanted}: {out:?}"
            );
            if solute == "Ni" {
                for line in ["on work", "up the stack", "dumped"] {
                    assert!(
                        out.iter().any(|o| o.0 == line && o.1 > 0.0),
                        "{line}: {out:?}"
                    );
                }
            }
        }
    }
}

/// Where a float fills a bath that its surface empties, what the margin leaves over is the make-up, and the water that current decomposes on top.
///
/// Hand derivation: over a settled week no tank gains water, so surfaces and decomposed water give what feed, sprays, refills, additions and make-up bring
/// less what leaves on the work. Cold fresh water is told by its volume and evaporated water as litres of 20 °C, and films hold some solutes: within 1 %
/// of what evaporates.
#[test]
fn what_the_margin_leaves_over_is_the_make_up() {
    let still = "stills: {
                \"dip\": (tank: (volume: \"600 L\", footprint: \"0.6 m²\"), water: \"deionised\", refill_flow: \"300 L/h\"),
            },
            sections: {";
    let dipped = WARM_BATH.replacen("sections: {", still, 1).replacen(
        "route: [",
        "route: [(at: \"dip\"),",
        1,
    );
    for (text, refill) in [(WARM_BATH, false), (dipped.as_str(), true)] {
        let case = case(text);
        let (air, hours) = (AirChoice::Mean, Hours::Calendar);
        let found = settled_answers(&case, air, hours, Depth::Quick, &mut |_| true).unwrap();
        let line = &found.answers.loops[0];
        let margin = line.closure_margin_l_per_h.as_ref().unwrap().week;
        let refilled = found
            .answers
            .streams
            .iter()
            .find(|s| s.name == "refill of dip");
        let refilled = refilled.map_or(0.0, |s| s.mean_flow_l_per_h);
        assert_eq!(refilled > 0.3, refill, "{refilled} L/h");
        // 3 % of 2500 A for 80 h a week, 0.336 g/Ah.
        let decomposed = 0.03 * 2500.0 * 0.336e-3 * 80.0 / 168.0;
        let left = line.make_up_l_per_h - decomposed;
        let bound = 0.01 * line.surface_evaporation_l_per_h;
        assert!(
            (margin - left).abs() < bound,
            "margin {margin}, make-up less decomposed {left}, refill {refilled}, bound {bound}"
        );
    }
}

/// Hand sum: what is lost of a solute times its price, 365 days a year; a solute without a price counts for nothing, and no price is no answer.
#[test]
fn what_is_lost_is_worth_its_price() {
    let worth = |prices: &str| {
        let text = DEMO.replacen("solutes: {\"Ni\": \"17 EUR/kg\"}", prices, 1);
        let ran = run_span(
            &case(&text),
            WEEK_S,
            Driver::Preview,
            Clock::default(),
            &mut |_| true,
        );
        let answers = ran.unwrap().answers();
        let line = &answers.loops[0];
        (line.lost_kg_per_day.clone(), line.lost_worth.clone())
    };
    let (lost, told) = worth("solutes: {\"Ni\": \"17 EUR/kg\", \"B\": \"2000 EUR/t\"}");
    let told = told.unwrap();
    let sum = 17.0 * lost["Ni"] + 2.0 * lost["B"];
    assert!(lost["Ni"] > 0.0 && lost["B"] > 0.0);
    assert!((told.per_day / sum - 1.0).abs() < 1e-12);
    assert!((told.per_year / (365.0 * sum) - 1.0).abs() < 1e-12);
    assert_eq!(
        (told.currency.as_str(), &told.of[..]),
        ("EUR", &["B".to_owned(), "Ni".to_owned()][..])
    );
    let (_, double) = worth("solutes: {\"Ni\": \"34 EUR/kg\", \"B\": \"4 EUR/kg\"}");
    assert!((double.unwrap().per_day / told.per_day - 2.0).abs() < 1e-12);
    assert_eq!(worth("solutes: {}").1, None);
}
