//! What a day's standstill does.

use dragback_study::upsets::Upset;
use dragback_units::{Dim, Style, constants as unit};

use crate::{NO_NUMBER, Show, Table};

/// Less than this is nothing: kg of the lead solute, and L of water.
const NOTHING_KG: f64 = 1e-3;
const NOTHING_L: f64 = 1.0;

/// One row for each standstill and loop: the alarms, the film at its worst, what is lost and treated beyond the usual.
#[must_use]
pub fn upsets(all: &[Upset], show: Show) -> Table {
    let heads = [
        "stands still for a day",
        "alarms",
        "film at\nits worst",
        "lost\nmore",
        "treated\nmore",
    ];
    let mut table = Table::new(heads).text(1);
    let has_several = all.iter().any(|u| u.loops.len() > 1);
    for upset in all {
        let mut alarms: Vec<String> = Vec::new();
        for alarm in &upset.alarms {
            let words = alarm.words(&show);
            if !alarms.contains(&words) {
                alarms.push(words);
            }
        }
        let alarms = if alarms.is_empty() {
            "none".to_owned()
        } else {
            alarms.join("; ")
        };
        if let Some(why) = &upset.not_followed {
            let why = format!("could not be followed: {why}");
            let none = NO_NUMBER;
            table.push([upset.called.as_str(), &why, none, none, none]);
        }
        for (i, line) in upset.loops.iter().enumerate() {
            let of = if has_several {
                format!("{} ({})", upset.called, line.line)
            } else {
                upset.called.clone()
            };
            let film = line.worst_film_mg_per_l;
            let over = line.limit_mg_per_l.is_some_and(|limit| film > limit);
            let mark = if over { " over limit" } else { "" };
            let film = if film.is_finite() {
                format!("{}{mark}", show.rinse(film))
            } else {
                NO_NUMBER.to_owned()
            };
            table.push([
                of,
                if i == 0 {
                    alarms.clone()
                } else {
                    String::new()
                },
                film,
                more(line.lost_more_kg, NOTHING_KG, |kg| mass(kg, show)),
                more(line.treated_more_l, NOTHING_L, |l| {
                    show.si(Dim::Volume, Style::Default, unit::m3_from_litres(l))
                }),
            ]);
        }
    }
    table
}

/// A mass in kg or lb, and in g or oz below a tenth of a kilogram.
fn mass(kg: f64, show: Show) -> String {
    let told = show.per_day(kg);
    told.strip_suffix("/d").unwrap_or(&told).to_owned()
}

fn more(amount: f64, nothing: f64, told: impl Fn(f64) -> String) -> String {
    if !amount.is_finite() {
        NO_NUMBER.to_owned()
    } else if amount.abs() < nothing {
        "nothing".to_owned()
    } else {
        told(amount)
    }
}
