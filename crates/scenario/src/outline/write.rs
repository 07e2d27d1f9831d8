//! The scenario file of a sketched line.

use std::fmt::Write;

use super::size::{DRY_RUN_M, HOLDING_C, HOLDING_DEPTH_M, RESERVE_M, Sizes, size};
use super::{Answers, BathKind, Key};

/// The file; what stands between guillemets is filled in.
const FILE: &str = include_str!("line.ron");

/// Writes the file.
pub(super) fn scenario(bath: &BathKind, answers: &Answers) -> String {
    let sizes = size(bath, answers);
    let parts = [
        work(bath, answers, &sizes),
        chemistry(bath, answers),
        bath_tank(bath, answers, &sizes),
        rinses(answers, &sizes),
        recovery(&sizes),
    ];
    parts
        .iter()
        .flatten()
        .fold(FILE.to_owned(), |file, (key, value)| {
            file.replace(&format!("«{key}»"), value)
        })
}

type Filled = Vec<(&'static str, String)>;

fn work(bath: &BathKind, answers: &Answers, sizes: &Sizes) -> Filled {
    let end_h = sizes.from_h + sizes.hours_a_day;
    let calendars = if sizes.is_always {
        "{}".to_owned()
    } else {
        let (days, from, to) = (sizes.days, clock(sizes.from_h), clock(end_h));
        format!("{{\"work\": (days: \"{days}\", from: \"{from}\", to: \"{to}\")}}")
    };
    let calendar = if sizes.is_always { "always" } else { "work" };
    vec![
        ("name", bath.name.to_owned()),
        ("caution", bath.caution.to_owned()),
        ("lead", bath.lead.to_owned()),
        ("limit", format!("{} mg/L", bath.final_limit_mg_per_l)),
        ("room", answered(answers, Key::Room)),
        ("calendars", calendars),
        ("calendar", calendar.to_owned()),
        ("area_rate", area_rate(answers, sizes)),
        ("film", answered(answers, Key::Film)),
    ]
}

fn chemistry(bath: &BathKind, answers: &Answers) -> Filled {
    let scale = answers.si(Key::Strength) / bath.strength_kg_per_m3();
    let recipe: Vec<String> = bath
        .recipe
        .iter()
        .map(|(salt, g_per_l)| format!("\"{salt}\": \"{} g/L\"", digits(scale * g_per_l)))
        .collect();
    let (anode, anode_efficiency) = if bath.is_soluble {
        let line = format!("anode_efficiency: \"{} %\",", bath.cathode_efficiency);
        ("soluble", line)
    } else {
        ("insoluble", String::new())
    };
    vec![
        ("recipe", recipe.join(", ")),
        ("contaminants", bath.contaminants.to_owned()),
        ("restore", bath.restore.to_owned()),
        ("limits", bath.limits.to_owned()),
        ("voltage", format!("{} V", bath.voltage_v)),
        ("efficiency", format!("{} %", bath.cathode_efficiency)),
        ("anode", anode.to_owned()),
        ("anode_efficiency", anode_efficiency),
    ]
}

fn bath_tank(bath: &BathKind, answers: &Answers, sizes: &Sizes) -> Filled {
    let rectifier_kw = sizes.current_a * bath.voltage_v / 1e3;
    let surface_kw = 0.7 * sizes.bath_loss_l_per_h;
    let heater_kw = 2.0 + 2.0 * sizes.bath_m3 + 1.6 * surface_kw;
    vec![
        ("bath_volume", answered(answers, Key::BathVolume)),
        ("bath_area", assumed(sizes.bath_m2, "m²")),
        ("bath_wall", assumed(sizes.bath_wall_w_per_k, "W/K")),
        ("bath_c", format!("{} °C", bath.set_point_c)),
        ("bath_heater", assumed(heater_kw, "kW")),
        ("bath_cooler", assumed(1.0 + 1.2 * rectifier_kw, "kW")),
        ("current", assumed(sizes.current_a, "A")),
        ("make_up", assumed(100.0 + 10.0 * drink(sizes), "L/h")),
    ]
}

fn rinses(answers: &Answers, sizes: &Sizes) -> Filled {
    let flow = match answers.get(Key::Flow) {
        Some(_) => answered(answers, Key::Flow),
        None => assumed(sizes.rinse_l_per_h, "L/h"),
    };
    vec![
        ("stages", answers.si(Key::Stages).round().to_string()),
        ("rinse_volume", assumed(sizes.rinse_tank_l, "L")),
        ("rinse_area", assumed(sizes.rinse_tank_l / 900.0, "m²")),
        ("flow", flow),
    ]
}

fn recovery(sizes: &Sizes) -> Filled {
    let all_towers_l_per_h = sizes.tower_l_per_h * f64::from(sizes.towers);
    vec![
        ("collection_volume", assumed(sizes.collection_l, "L")),
        (
            "collection_area",
            assumed(sizes.collection_l / 1150.0, "m²"),
        ),
        (
            "holding_volume",
            assumed(1000.0 * HOLDING_DEPTH_M * sizes.holding_m2, "L"),
        ),
        ("holding_wall", assumed(sizes.holding_wall_w_per_k, "W/K")),
        ("holding_c", format!("{HOLDING_C} °C")),
        ("holding_area", assumed(sizes.holding_m2, "m²")),
        ("element", digits(0.25 * sizes.heater_kw)),
        ("stop", format!("{:.2} m", DRY_RUN_M + RESERVE_M)),
        ("dry_run", format!("{DRY_RUN_M:.2} m")),
        ("transfer_flow", assumed(16.0 * all_towers_l_per_h, "L/h")),
        (
            "return_flow",
            assumed((20.0 * drink(sizes)).max(100.0), "L/h"),
        ),
        ("towers", towers(sizes)),
    ]
}

/// What the bath takes up in an hour of work, L/h.
fn drink(sizes: &Sizes) -> f64 {
    sizes.drag_out_l_per_h + sizes.bath_loss_l_per_h
}

fn answered(answers: &Answers, key: Key) -> String {
    answers.get(key).map_or_else(String::new, |a| {
        let origin = if a.is_open { "typical" } else { "measured" };
        format!("(value: \"{}\", origin: {origin})", a.text)
    })
}

fn area_rate(answers: &Answers, sizes: &Sizes) -> String {
    let (racks, area) = (answers.get(Key::Racks), answers.get(Key::Area));
    let is_open = [racks, area].iter().flatten().any(|a| a.is_open);
    let told = |a: Option<&super::Answer>| a.map_or_else(String::new, |a| a.text.clone());
    format!(
        "(value: \"{} m²/h\", origin: {}, notes: \"{} racks of {}.\")",
        digits(sizes.area_m2_per_h),
        if is_open { "typical" } else { "measured" },
        told(racks),
        told(area),
    )
}

fn towers(sizes: &Sizes) -> String {
    const ONE: &str = include_str!("tower.ron");
    // Air and liquid per evaporation as in towers of this kind, 4 to 5 kg of liquid per kg of air.
    let (air_m3_per_h, feed_l_per_min) = (9.7 * sizes.tower_l_per_h, 0.88 * sizes.tower_l_per_h);
    let mut all = String::new();
    for n in 1..=sizes.towers {
        let one = ONE
            .replace("«n»", &n.to_string())
            .replace("«evaporation»", &digits(sizes.tower_l_per_h))
            .replace("«air»", &digits(air_m3_per_h))
            .replace("«feed»", &digits(feed_l_per_min))
            .replace("«fan»", &digits(0.007 * sizes.tower_l_per_h))
            .replace("«pump»", &digits(0.009 * sizes.tower_l_per_h));
        let _ = write!(all, "{one}");
    }
    all
}

fn assumed(value: f64, unit: &str) -> String {
    format!("(value: \"{} {unit}\", origin: assumed)", digits(value))
}

/// A number to three digits, plainly.
pub fn digits(value: f64) -> String {
    if value <= 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    let scale = 10_f64.powf(value.log10().floor() - 2.0);
    let rounded = (value / scale).round() * scale;
    let decimals = if scale < 1.0 {
        (-scale.log10()).round()
    } else {
        0.0
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "never negative, a few dozen at most"
    )]
    let text = format!("{rounded:.*}", decimals as usize);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

fn clock(hours: f64) -> String {
    let minutes = (60.0 * hours).round();
    format!("{:02.0}:{:02.0}", (minutes / 60.0).floor(), minutes % 60.0)
}
