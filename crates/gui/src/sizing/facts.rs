//! The figures of a row in words, in the units of the window.

use dragback_report::told::sizes::evaporation;
use dragback_study::FirstLimit;
use dragback_study::size::{Moved, Reach, Row};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, System, kelvin_from_celsius, percent_of_whole};

use super::{closed_words, rinses_words};
use crate::number::{NO_NUMBER, joined, shown, whole};

/// One figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// What it is.
    pub name: &'static str,
    /// Its value with its unit.
    pub told: String,
    /// More about it.
    pub hint: &'static str,
}

/// A row in one sentence, for whoever hears it.
#[must_use]
pub fn row_words(row: &Row, system: System, currency: &str) -> String {
    let rinses = rinses_words(&row.plan);
    let mut words = format!("{rinses}, {}", closed_words(row.plan.closed_by));
    for fact in facts(row, system, currency).into_iter().take(3) {
        words.push_str(&format!("; {} {}", fact.name.to_lowercase(), fact.told));
    }
    words
}

/// Writes values in the units of a system.
struct Pen(System);

impl Pen {
    fn told(&self, dim: Dim, style: Style, si: f64) -> String {
        joined(shown(dim, si, self.0, style))
    }

    fn flow(&self, l_per_h: f64) -> String {
        let si = unit::m3_per_s_from_l_per_h(l_per_h);
        self.told(Dim::VolumeFlow, Style::Default, si)
    }

    fn pumped(&self, l_per_min: f64) -> String {
        self.flow(l_per_min * unit::SECONDS_PER_HOUR / unit::SECONDS_PER_MINUTE)
    }

    fn air(&self, m3_per_h: f64) -> String {
        let si = m3_per_h / unit::SECONDS_PER_HOUR;
        self.told(Dim::VolumeFlow, Style::Air, si)
    }

    fn volume(&self, litres: f64) -> String {
        self.told(Dim::Volume, Style::Default, unit::m3_from_litres(litres))
    }

    fn power(&self, kw: f64) -> String {
        self.told(Dim::Power, Style::Default, 1000.0 * kw)
    }

    fn temperature(&self, celsius: f64) -> String {
        let si = kelvin_from_celsius(celsius);
        self.told(Dim::Temperature, Style::Default, si)
    }
}

/// What passes its limit first.
fn first_limit(first: &FirstLimit) -> String {
    format!(
        "{} in the {} after {:.0} days",
        first.what, first.vessel, first.days
    )
}

fn percent(share: f64) -> String {
    joined((percent_of_whole(share), "%"))
}

/// What the evaporator drives off in the worst month, with its name.
fn worst(row: &Row, flow: String) -> String {
    match row.worst_month {
        Some(month) => format!("{flow} ({month})"),
        None => flow,
    }
}

/// Where the heat of the tank that evaporates goes.
#[must_use]
pub fn heat_facts(row: &Row, system: System) -> Vec<Fact> {
    let Some(heat) = &row.heat else {
        return Vec::new();
    };
    let pen = Pen(system);
    let margin = heat.margin_fraction;
    let margin = margin.map_or_else(
        || NO_NUMBER.to_owned(),
        |m| joined((percent_of_whole(m), "%")),
    );
    let mut all = vec![
        (
            "Heaters give, mean",
            pen.power(heat.mean_kw),
            "Mean of the settled week in the mean air; it goes where the lines below say.",
        ),
        (
            "… to evaporate",
            pen.power(heat.latent_kw),
            "Latent heat of what the towers and the tank's own surface drive off.",
        ),
        (
            "… to warm what comes in",
            pen.power(heat.refill_kw),
            "Rinse water, make-up and what else runs in, up to the tank's temperature.",
        ),
        (
            "… to warm the towers' air",
            pen.power(heat.air_kw),
            "The air leaves warmer than it comes.",
        ),
        (
            "… lost by the tank",
            pen.power(heat.losses_kw),
            "Through walls, and from the surface to the air over it.",
        ),
    ];
    if heat.others_kw.abs() >= 0.005 {
        all.push((
            "… less current, with work and cooler",
            pen.power(heat.others_kw),
            "Work that is warmed and what coolers take, less what the current gives.",
        ));
    }
    all.push((
        "Margin of the heaters",
        margin,
        "By how much they stand over what they give in their hardest hours.",
    ));
    let fact = |(name, told, hint)| Fact { name, told, hint };
    all.into_iter().map(fact).collect()
}

/// Every figure of a row that works; the three that are compared first.
#[must_use]
pub fn facts(row: &Row, system: System, currency: &str) -> Vec<Fact> {
    let pen = Pen(system);
    let mut all = Vec::from(compared(row, &pen, currency));
    all.extend(installed(row, &pen));
    all.into_iter()
        .filter_map(|(name, told, hint)| told.map(|told| Fact { name, told, hint }))
        .collect()
}

/// Name, value where there is one, and what it means.
type Told = (&'static str, Option<String>, &'static str);

fn compared(row: &Row, pen: &Pen, currency: &str) -> [Told; 5] {
    let cost = |amount: f64| joined((whole(amount), currency));
    [
        (
            "Rinse water",
            row.rinse_flow_l_per_h.map(|x| pen.flow(x)),
            "Fresh water into the last recovered rinse while work runs: the least that keeps the film below its limit in the worst hour of the settled week.",
        ),
        (
            "Asked of the towers, worst month",
            evaporation(row, row.worst_month_l_per_h).map(|x| worst(row, pen.flow(x))),
            "What the towers must drive off in the month in which surfaces lose least, mean of the week; next to nothing where the surfaces do it all but in that month.",
        ),
        (
            "Yearly cost",
            row.yearly_cost.map(cost),
            "Running cost of a year at the scenario's prices: fees and labour are those of the scenario, the same in every row, and equipment is not in it.",
        ),
        (
            "Asked of the towers, mean air",
            evaporation(row, row.evaporator_duty_l_per_h).map(|x| pen.flow(x)),
            "The same in the mean air of the year.",
        ),
        (
            "Recovered share",
            row.recovered_fraction.map(percent),
            "Share of the dragged-out lead solute that is not lost.",
        ),
    ]
}

fn installed(row: &Row, pen: &Pen) -> [Told; 11] {
    [
        (
            "Free final rinse",
            row.free_rinse_flow_l_per_h.map(|x| pen.flow(x)),
            "Fresh water of the free-running final rinse while work runs; it goes to treatment.",
        ),
        (
            "Heaters",
            row.heater_kw.map(|x| pen.power(x)),
            "Heaters of the holding tank, or of the bath where there is none.",
        ),
        (
            "Towers",
            row.towers.map(|n| n.to_string()),
            "Towers like the one that the scenario gives, or that of the hand rules.",
        ),
        (
            "Feed of all towers",
            row.feed_pump_l_per_min.map(|x| pen.pumped(x)),
            "What the feed pumps bring, all together.",
        ),
        (
            "Exhaust air",
            row.exhaust_air_m3_per_h.map(|x| pen.air(x)),
            "Air through all towers.",
        ),
        (
            "Holding tank",
            row.holding_tank_l.map(|x| pen.volume(x)),
            "To its brim: it rides through shifts and weekends without a low alarm.",
        ),
        (
            "Collection tank",
            row.collection_tank_l.map(|x| pen.volume(x)),
            "To its brim: it takes up what comes in a shift without running over.",
        ),
        (
            "Tank temperature",
            row.tank_temperature_c.map(|x| pen.temperature(x)),
            "Of the tank that evaporates, mean of the week.",
        ),
        (
            "Nearest salt",
            row.saturation_fraction.map(percent),
            "How near a salt is to coming out anywhere in the loop; 100 % is saturated.",
        ),
        (
            "Within a year",
            row.first_limit.as_ref().map(first_limit),
            "What builds up in the closed loop and passes its limit first, counted from the start. Plan a bleed, a purification or purer water for it.",
        ),
        (
            "Film hardest in",
            row.film_month.map(str::to_owned),
            "The month in whose air the film on the work is strongest; it keeps the limit in that month, too.",
        ),
    ]
}

/// How far an input of the line as it is may be moved.
#[must_use]
pub fn reach_fact(reach: &Reach, system: System) -> Fact {
    let is_outside = reach.path.starts_with("site.outside");
    let (name, hint) = match reach.moved {
        Moved::Rinse => ("Rinse water while work runs", "Everything else as it is."),
        Moved::DragOut => (
            "Drag-out, rinse water in the same ratio",
            "Rinse water grows along, so that the work stays as clean.",
        ),
        Moved::SetPoint => (
            "Set point of the tank that evaporates",
            "A cooler tank drives off too little.",
        ),
        Moved::AirHumidity => (
            if is_outside {
                "Humidity of the outside air"
            } else {
                "Humidity of the room air"
            },
            "At the mean temperature of the year: damper air takes up less water.",
        ),
        Moved::AirTemperature => (
            if is_outside {
                "Outside air, as humid as it is"
            } else {
                "Room air, as humid as it is"
            },
            "At the mean relative humidity of the year: warmer air brings more water in and takes less up.",
        ),
    };
    let told = |si: f64| joined(shown(reach.dim, si, system, Style::Default));
    let now = told(reach.now_si);
    let at = reach.closes_words(&told);
    let at = at.unwrap_or_else(|| NO_NUMBER.to_owned());
    let told = format!("{at} (now {now})");
    Fact { name, told, hint }
}

/// The most of a flow that the collection tank holds back, where it runs over before the week ceases to close.
#[must_use]
pub fn holds_fact(reach: &Reach, system: System) -> Option<Fact> {
    let told = |si: f64| joined(shown(reach.dim, si, system, Style::Default));
    let told = reach.holds_words(&told)?;
    let name = match reach.moved {
        Moved::DragOut => "… collection tank holding its rinse water back",
        _ => "… collection tank holding it back",
    };
    Some(Fact {
        name,
        told,
        hint: "Beyond it the collection tank runs over in a shift, although the week closes: a larger tank does not.",
    })
}
