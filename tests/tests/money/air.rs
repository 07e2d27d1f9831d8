//! Air that towers draw from the hall, and the heat that warms what takes its place.

use super::*;

/// Air that towers take from the hall has to be warmed; air from outdoors has not, and air that is warm outdoors needs nothing.
#[test]
fn air_from_the_hall_is_warmed() {
    let demo = scenario(DEMO, &[]);
    let WarmAir::Joules(joules) = settled(demo.clone()).0.usage.warm_air else {
        panic!("the demo's tower draws from the hall");
    };
    // A kelvin more indoors in every month costs as much as the mean dry air takes, 1006 J/kg and its vapour.
    let mut warmer = demo.clone();
    for month in [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ] {
        let path = format!("site.outside.{month}.temperature");
        let now = dragback_scenario::get(&warmer, &path)
            .unwrap()
            .si()
            .unwrap();
        set_si(&mut warmer, &path, now - 1.0).unwrap();
    }
    let WarmAir::Joules(colder) = settled(warmer).0.usage.warm_air else {
        panic!("as before");
    };
    let tower = demo
        .loops
        .get("loop")
        .unwrap()
        .towers
        .values()
        .next()
        .unwrap();
    let (_, answers) = settled(demo.clone());
    // The fan stands before the contact and draws air of 21.5 °C and 0.0075 kg/kg in the year's mean, at 98.5 kPa: 0.287·294.7·1.012/98.5 is 0.869 m³ a
    // kilogram; outdoors the vapour adds 0.006 · 1860 J. The fan warms what it draws by some two kelvins, which is left out here.
    let dry_kg = tower.air_flow.si() / 0.869 * answers.loops[0].tower_share * 31_536_000.0;
    near((colder - joules) / dry_kg, 1017.0, 0.02, "a kelvin");
    let outdoors: Vec<(String, &str)> = demo
        .loops
        .get("loop")
        .unwrap()
        .towers
        .keys()
        .map(|key| (format!("loop.towers.{key}.air"), "outside"))
        .collect();
    let outdoors: Vec<(&str, &str)> = outdoors.iter().map(|(p, v)| (p.as_str(), *v)).collect();
    assert_eq!(plan(DEMO, &outdoors).usage.warm_air, WarmAir::None);
    let mut unknown = demo;
    unknown.site.outside = None;
    let (plan, _) = settled(unknown);
    assert_eq!(plan.usage.warm_air, WarmAir::Unknown);
    let told = plan.costs().unwrap().uncounted;
    assert!(told.iter().any(|w| w.contains("site.outside")), "{told:?}");
}

/// A hall of 15 °C for half of the year and 25 °C for the other, −5 °C outdoors: the months are warmed one by one, each with the dry air that its fan draws.
#[test]
fn make_up_air_is_warmed_month_by_month() {
    let mut line = scenario(DEMO, &[("loop.towers.t1.fan_power", "0 kW")]);
    for (i, month) in [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ]
    .into_iter()
    .enumerate()
    {
        let room = if i % 2 == 0 { "15 °C" } else { "25 °C" };
        for (path, value) in [
            (format!("site.room.{month}.temperature"), room),
            (format!("site.room.{month}.relative_humidity"), "0 %"),
            (format!("site.outside.{month}.temperature"), "-5 °C"),
            (format!("site.outside.{month}.relative_humidity"), "0 %"),
        ] {
            set(&mut line, &path, value).unwrap();
        }
    }
    let air_flow = line
        .loops
        .get("loop")
        .unwrap()
        .towers
        .get("t1")
        .unwrap()
        .air_flow
        .si();
    let (plan, answers) = settled(line);
    let WarmAir::Joules(joules) = plan.usage.warm_air else {
        panic!("the tower draws from the hall");
    };
    // Dry air: 1006 J/(kg K), and 287.055 J/(kg K) as gas (ASHRAE, Fundamentals, chapter 1). 240 m above the sea the air has 101 325·(1 − 2.25577e-5·240)^5.2559 Pa.
    let pressure_pa = 101_325.0 * (1.0 - 2.255_77e-5 * 240.0_f64).powf(5.2559);
    let drawn_kg_per_s = |temp_c: f64| air_flow * pressure_pa / (287.055 * (temp_c + 273.15));
    let half_year_s = 0.5 * 31_536_000.0 * answers.loops[0].tower_share;
    let by_month =
        half_year_s * 1006.0 * (drawn_kg_per_s(15.0) * 20.0 + drawn_kg_per_s(25.0) * 30.0);
    near(joules, by_month, 5e-4, "by month");
    // What the mean year would make of it is further away than that.
    let by_mean = 2.0 * half_year_s * 1006.0 * drawn_kg_per_s(20.0) * 25.0;
    assert!((by_mean / by_month - 1.0).abs() > 2e-3);
}
