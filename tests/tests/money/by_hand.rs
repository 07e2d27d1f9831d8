//! A line with round numbers, whose year is known by hand without running it.

use super::*;

/// Acid copper that works day and night: 10 m² an hour carry out a litre an hour of a bath of 200 g/L copper sulfate and 50 g/L sulfuric acid; anodes give
/// back just what is deposited; three rinses take 10 L/h. Bath, hall and water are all 25.5 °C, and every tank is covered, so that nothing evaporates and the
/// cooler takes just what the current gives. The analysis every hour keeps the strength within some parts in a hundred thousand.
const ROUND: &str = r#"(
    version: 1,
    title: "Round numbers",
    site: (room: (temperature: "25.5 °C", relative_humidity: "50 %"), air_speed: "0 m/s"),
    calendars: {
        "nights": (days: "every day", from: "22:00", to: "06:00", more: [(days: "Sat, Sun", from: "06:00", to: "22:00")]),
    },
    waters: {"pure": (temperature: "25.5 °C", solutes: {})},
    loops: {
        "loop": (
            lead: "Cu",
            final_limit: "100 mg/L",
            work: (
                calendar: "always",
                area_rate: "10 m²/h",
                drag_out: (film: "0.1 L/m²", drain_time: "10 s", drain_reference: "10 s"),
            ),
            bath: (
                tank: (volume: "10000 L", footprint: "5 m²", cover: "100 %"),
                recipe: {"CuSO4.5H2O": "200 g/L", "H2SO4": "50 g/L"},
                set_point: "25 °C",
                heater_power: "5 kW",
                cooler_power: "10 kW",
                rectifier: (current: "2000 A", voltage: "2 V", metal: "Cu", cathode_efficiency: "100 %", anode: soluble),
                additions: (interval: "1 h", dead_band: 0, restore: {"Cu": "CuSO4.5H2O", "SO4": "H2SO4"}),
                make_up: (water: "pure", flow: "100 L/h"),
            ),
            sections: {
                "rinses": (
                    stages: 3,
                    tank: (volume: "100 L", footprint: "0.2 m²", cover: "100 %"),
                    water: "pure",
                    flow: "10 L/h",
                    feed: continuous,
                    drain: treatment,
                ),
            },
            route: [(at: "bath"), (at: "rinses")],
        ),
    },
    prices: (
        currency: "EUR",
        chemicals: {"CuSO4.5H2O": "2 EUR/kg", "H2SO4": "0.5 EUR/kg"},
        anodes: {"Cu": "0.1 EUR/kg"},
        sewer: "5 EUR/m³",
        treatment: (caustic: "0.5 EUR/kg", excess: "20 %", cake_solids: "25 %", disposal: "0.4 EUR/kg"),
        electricity: (rate: "0.10 EUR/kWh", off_peak_rate: "0.05 EUR/kWh", off_peak_calendar: "nights", demand: "10 EUR/kW"),
        cooling: "0.02 EUR/kWh",
        labour: (rate: "70 EUR/h", hours_a_week: "1 h"),
        yearly: {"permit": (cost: "1234 EUR/year")},
    ),
)
"#;

/// Every line to the currency unit, by hand:
/// - salts: 8760 litres a year of 200 g/L are 1752 kg at 2, of 50 g/L are 438 kg at 0.5;
/// - anodes: 2000 A for 31 536 000 s over 2 · 96 485 C/mol times 63.546 g/mol are 20 770 kg at 0.1 (atomic mass of IUPAC, constant of CODATA);
/// - discharge: 10 L/h of rinse water, and as much comes with the film as goes with it: 87.6 m³ at 5;
/// - copper to treatment: 63.546/249.685 of 1752 kg are 445.9 kg, of which one part in 1 + 10 + 100 + 1000 leaves on the work: 445.5 kg, and
///   437.6 kg of acid; caustic soda is 2 · 40.00 of 63.546 and 2 · 40.00 of 98.08, a fifth in excess, 1101.3 kg at 0.5; the sludge is 97.56 of 63.546, 684.0 kg dry, 2735.8 kg as a cake of a quarter, at 0.4;
/// - electricity: 4 kW, in 80 of the 168 hours of a week at 0.10 and in 88 at 0.05, in a year of 365/7 weeks; the demand is 4 kW for twelve months at 10;
/// - cooling: all of the current becomes heat, since anodes give back what is deposited: 35 040 kWh at 0.02;
/// - people: an hour a week for 365/7 weeks at 70.
#[test]
fn a_year_of_round_numbers_is_known_without_a_run() {
    let costs = plan(ROUND, &[]).costs().unwrap();
    let wanted = [
        ("CuSO4·5H2O", 3504.0),
        ("H2SO4", 219.0),
        ("Cu anodes", 2077.0),
        ("discharge", 438.0),
        ("caustic soda", 550.7),
        ("sludge", 1094.3),
        ("electricity", 1668.6),
        ("electricity in cheaper hours", 917.7),
        ("highest demand", 480.0),
        ("cooling of baths", 700.8),
        ("labour", 3650.0),
        ("permit", 1234.0),
    ];
    let found: Vec<(&str, f64)> = costs
        .lines
        .iter()
        .map(|l| (l.name.as_str(), l.per_year))
        .collect();
    assert_eq!(found.len(), wanted.len(), "{found:?}");
    for ((name, cost), (own, by_hand)) in found.iter().zip(wanted) {
        assert_eq!(*name, own, "{found:?}");
        assert!((cost - by_hand).abs() < 0.5, "{name}: {cost} for {by_hand}");
    }
    let all: f64 = wanted.iter().map(|(_, cost)| cost).sum();
    assert!(
        (costs.per_year - all).abs() < 1.0,
        "{} {all}",
        costs.per_year
    );
}
