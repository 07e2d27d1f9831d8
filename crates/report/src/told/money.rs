//! What a year costs, what a change brings, and what that hangs on.

use dragback_scenario::{Scenario, in_words};
use dragback_study::money::{
    BreakEven, CostKind, Costs, Kilogram, Payback, Says, Stopped, Swing, Years,
};
use dragback_units::{Dim, Style};

use crate::{Facts, Show, Table};

/// Says that prices are somebody's own.
const OWN_PRICES: &str =
    "Prices are the scenario's own, and so is the equipment; money is as good as they are.";

/// Whose prices they are, of when, and what the scenario says of them.
#[must_use]
pub fn about_prices(date: Option<&str>, notes: Option<&str>) -> String {
    let date = date.map_or_else(String::new, |d| format!(" They are of {d}."));
    let notes = notes.map_or_else(String::new, |n| {
        format!(" Its note on them: {}.", n.trim().trim_end_matches('.'))
    });
    format!("{OWN_PRICES}{date}{notes}")
}

/// An amount of money to whole units with its currency, if any.
#[must_use]
pub fn whole(amount: f64, currency: &str) -> String {
    // Not "−0".
    let amount = if amount.abs() < 0.5 { 0.0 } else { amount };
    format!("{amount:.0} {currency}").trim_end().to_owned()
}

/// Said behind a cost where something has no price: that makes a year look cheap.
#[must_use]
pub const fn so_far(costs: &Costs) -> &'static str {
    if costs.uncounted.is_empty() {
        ""
    } else {
        ", as far as what it takes has a price"
    }
}

/// A payback in words.
#[must_use]
pub fn years_words(years: Years, show: Show) -> String {
    match years {
        Years::After(after) => show.years(after),
        Years::AtOnce => "at once".to_owned(),
        Years::Never => "never".to_owned(),
    }
}

/// A year's cost, line by line.
#[must_use]
pub fn cost_lines(costs: &Costs, currency: &str, show: Show) -> Table {
    let mut table = Table::new(["", "amount a year", "price", "a year"]);
    for line in &costs.lines {
        let (amount, price) = amount_and_price(line.dim, line.amount, line.price, currency, show);
        table.push([line.name.clone(), amount, price, whole(line.per_year, "")]);
    }
    let all = whole(costs.per_year, "");
    table.push_strong(["all".to_owned(), String::new(), String::new(), all]);
    table
}

/// An amount of a year and the price of a unit of it; nothing of time, whose price is a yearly sum.
fn amount_and_price(
    dim: Dim,
    amount: f64,
    price: f64,
    currency: &str,
    show: Show,
) -> (String, String) {
    let Some(price_dim) = price_dim(dim) else {
        return (String::new(), String::new());
    };
    let told = match dim {
        // The charge on a demand is paid every month.
        Dim::Power => format!("12 × {}", show.si(dim, Style::Default, amount / 12.0)),
        _ => show.si(dim, Style::Default, amount),
    };
    (told, show.price(price_dim, price, currency))
}

const fn price_dim(dim: Dim) -> Option<Dim> {
    match dim {
        Dim::Mass => Some(Dim::MoneyPerMass),
        Dim::Volume => Some(Dim::MoneyPerVolume),
        Dim::Energy => Some(Dim::MoneyPerEnergy),
        Dim::Power => Some(Dim::MoneyPerPower),
        _ => None,
    }
}

/// A year's cost before and after, line by line.
#[must_use]
pub fn difference_lines(payback: &Payback) -> Table {
    let mut table = Table::new(["", "before", "after", "difference"]);
    let bare = |amount: f64| whole(amount, "");
    for line in &payback.lines {
        table.push([
            line.name.clone(),
            bare(line.before),
            bare(line.after),
            bare(line.difference),
        ]);
    }
    table.push_strong([
        "all".to_owned(),
        bare(payback.cost_before),
        bare(payback.cost_after),
        bare(-payback.saving_per_year),
    ]);
    table
}

/// The equipment that a change takes, with its price, in a sentence; `None` where there is none.
#[must_use]
pub fn bought_words(payback: &Payback) -> Option<String> {
    let each = payback.equipment.iter();
    let each: Vec<String> = each
        .map(|(name, price)| format!("{name}, {}", whole(*price, &payback.currency)))
        .collect();
    (!each.is_empty()).then(|| format!("To be installed for that: {}.", each.join("; ")))
}

/// What the difference means for what is laid out.
#[must_use]
pub fn payback_facts(payback: &Payback, show: Show) -> Facts {
    let money = |amount: f64| whole(amount, &payback.currency);
    let mut facts = Facts::default();
    let equipment = payback.equipment.iter();
    let equipment: Vec<String> = equipment.map(|(k, x)| format!("{k} {x:.0}")).collect();
    let laid_out = if equipment.is_empty() {
        money(payback.laid_out)
    } else {
        format!("{}: {}", money(payback.laid_out), equipment.join(", "))
    };
    facts.push("laid out", laid_out);
    // Where nothing is laid out, nothing has to come back.
    if payback.laid_out > 0.0 {
        facts.push(
            "payback without interest",
            years_words(payback.simple, show),
        );
        let interest = show.percent(payback.interest);
        facts.push(
            &format!("payback with {interest} interest"),
            years_words(payback.discounted, show),
        );
    }
    let horizon = payback.horizon_years;
    facts.push(
        &format!("net present value, {horizon} years"),
        money(payback.net_present_value),
    );
    facts.push(
        "internal rate of return",
        payback.rate_words(&|rate| show.percent(rate)),
    );
    if payback.laid_out <= 0.0 {
        return facts;
    }
    facts.push(
        "cost of the recovery",
        format!(
            "{} a year, equipment included",
            money(payback.cost_of_recovery)
        ),
    );
    if let Some(per_m3) = payback.per_m3_evaporated {
        let told = show.price(Dim::MoneyPerVolume, per_m3, &payback.currency);
        facts.push("  of water evaporated", told);
    }
    if let Some(per_kg) = payback.per_kg_returned {
        let told = show.price(Dim::MoneyPerMass, per_kg, &payback.currency);
        facts.push("  of lead metal returned", told);
    }
    facts
}

/// How people read the path of an input: in words, or as `--set` takes it.
pub type Naming<'a> = &'a dyn Fn(&str) -> String;

/// What is to be known of how lines of a cost are counted, in sentences.
#[must_use]
pub fn cost_notes(kinds: impl IntoIterator<Item = CostKind>) -> Vec<&'static str> {
    let mut notes: Vec<&str> = kinds.into_iter().filter_map(CostKind::note).collect();
    notes.dedup();
    notes
}

/// Each input of which there is no answer, with what stopped it, as a sentence.
#[must_use]
pub fn stops(all: &[Stopped], currency: &str, show: Show, name: Naming<'_>) -> Vec<String> {
    let each = all.iter().map(|stopped| {
        let words = stopped.words(&|si| show.any(stopped.dim, si, currency));
        let end = if words.ends_with('.') { "" } else { "." };
        format!("{} {words}{end}", name(&stopped.path))
    });
    each.collect()
}

/// Break-even values as conditions, below what they say of their inputs; what none says is left out.
#[must_use]
pub fn conditions(
    all: &[BreakEven],
    within_years: f64,
    currency: &str,
    show: Show,
) -> Vec<(String, Vec<String>)> {
    let told = |found: &BreakEven| found.condition(&|si| show.any(found.dim, si, currency));
    let within = show.years(within_years);
    let lists = Says::ALL.map(|says| {
        let those = all.iter().filter(|found| found.says() == says);
        (says.head(&within), those.map(told).collect::<Vec<_>>())
    });
    lists
        .into_iter()
        .filter(|(_, all)| !all.is_empty())
        .collect()
}

/// Each uncertain input with its low, likely and high value, and the payback at each; `name` writes its path.
#[must_use]
pub fn tornado_table(all: &[Swing], currency: &str, show: Show, name: Naming<'_>) -> Table {
    let mut rows = Vec::new();
    for swing in all {
        let told =
            [swing.low, swing.likely, swing.high].map(|si| show.any(swing.dim, si, currency));
        let years = [swing.at_low, swing.at_likely, swing.at_high].map(|years| match years {
            // Less than a tenth of a year stands there as days.
            Years::After(after) => show
                .years(after)
                .trim_end_matches(" years")
                .trim_end_matches(" year")
                .replace(" days", " d"),
            other => years_words(other, show),
        });
        rows.push([name(&swing.path), in_a_row(&told), years.join(", ")]);
    }
    let has_days = rows.iter().any(|row| row[2].contains(" d"));
    let unit = if has_days {
        "years or days (d)"
    } else {
        "years"
    };
    let head = format!("payback, {unit}");
    let mut table = Table::new(["", "low, likely, high", &head]);
    for row in rows {
        table.push(row);
    }
    table
}

/// Between which years the money is back as each uncertain input goes from its low to its high value, and which moves it most, in a sentence; `None` where nothing is
/// uncertain, or nothing is laid out.
#[must_use]
pub fn range_words(
    payback: &Payback,
    all: &[Swing],
    show: Show,
    name: Naming<'_>,
) -> Option<String> {
    let first = all.first().filter(|_| payback.laid_out > 0.0)?;
    let ends = || all.iter().flat_map(|s| [s.at_low, s.at_high]);
    let numbers = || ends().filter_map(Years::number);
    let least = numbers().fold(f64::INFINITY, f64::min);
    let most = numbers().fold(0.0, f64::max);
    if !least.is_finite() {
        return None;
    }
    let most = if ends().any(|years| years == Years::Never) {
        "never".to_owned()
    } else {
        show.years(most)
    };
    Some(format!(
        "How sure that is: with one uncertain input at a time at its low or its high value, the money is back in {} to {most}, without interest; {} moves it most.",
        show.years(least),
        name(&first.path)
    ))
}

/// Says which price counts where.
pub const TWO_PRICES: &str = "The worth counts in what is lost a day and a year; the running cost counts what is bought, all of its price put on this solute here.";

/// Head of the table of a kilogram.
#[must_use]
pub fn kilogram_head(kilogram: &Kilogram) -> String {
    format!("{} by its weight", kilogram.solute)
}

/// What a kilogram is worth where it is lost, and what it costs as each thing that brings it; `name` writes the path of a price.
#[must_use]
pub fn kilogram_table(kilogram: &Kilogram, currency: &str, show: Show, name: Naming<'_>) -> Table {
    let mut table = Table::new(["", "price", "by"]).text(2);
    let told = |per_kg: f64| show.any(Dim::MoneyPerMass, per_kg, currency);
    if let Some(worth) = kilogram.worth_per_kg {
        let path = name(&format!("prices.solutes.{}", kilogram.solute));
        table.push(["worth where it is lost".to_owned(), told(worth), path]);
    }
    for bought in &kilogram.bought {
        let own = format!("bought as {}", bought.name);
        table.push([own, told(bought.per_kg), name(&bought.path)]);
    }
    table
}

/// Values in a row, with their unit once where they share it.
fn in_a_row(told: &[String]) -> String {
    match shared_unit(told) {
        Some((numbers, unit)) => format!("{} {unit}", numbers.join(", ")),
        None => told.join(", "),
    }
}

/// The numbers of values and the unit that all of them share; `None` where they have several, or none.
pub(crate) fn shared_unit(told: &[String]) -> Option<(Vec<&str>, &str)> {
    let parted = told.iter().map(|text| text.split_once(' '));
    let parted: Vec<(&str, &str)> = parted.collect::<Option<_>>()?;
    let (_, unit) = *parted.first()?;
    let is_shared = parted.iter().all(|(_, other)| *other == unit);
    is_shared.then(|| (parted.iter().map(|(number, _)| *number).collect(), unit))
}

/// A path without the word that all prices share.
fn own_path(path: &str) -> &str {
    path.strip_prefix("prices.").unwrap_or(path)
}

/// A path in words, without the one that all prices share.
#[must_use]
pub fn long_words(path: &str) -> String {
    in_words(own_path(path))
}

/// The last two parts of a path in words, which tell the inputs of a line with one loop apart nearly always; a table of five columns has no room for more.
/// Where the scenario has several loops, the key of its loop stands before them.
#[must_use]
pub fn short_words(scenario: &Scenario, path: &str) -> String {
    let parts: Vec<&str> = own_path(path).split('.').collect();
    let crystal_water = parts.last().is_some_and(|p| p.ends_with("H2O"));
    let kept = if crystal_water { 3 } else { 2 };
    let (left, kept) = parts.split_at(parts.len().saturating_sub(kept));
    let of_loop = left.first().filter(|key| {
        let loops = &scenario.loops;
        loops.len() > 1 && loops.contains_key(key)
    });
    let shown: Vec<&str> = of_loop.into_iter().chain(kept).copied().collect();
    in_words(&shown.join("."))
}

#[cfg(test)]
mod tests {
    use dragback_scenario::load;

    use dragback_units::System;

    use super::*;

    #[test]
    fn inputs_of_two_loops_have_two_names() {
        let text = include_str!("../../../../scenarios/demo.ron");
        let mut scenario = load(text).0.unwrap();
        let film = |key: &str| format!("{key}.work.drag_out.film");
        assert_eq!(short_words(&scenario, &film("loop")), "drag-out, film");
        let bath = scenario.loops.get("loop").unwrap().clone();
        scenario.loops.insert("other", bath);
        let words = ["loop", "other"].map(|key| short_words(&scenario, &film(key)));
        assert_eq!(words, ["loop, drag-out, film", "other, drag-out, film"]);
        let salt = short_words(&scenario, "prices.chemicals.NiSO4.6H2O");
        assert_eq!(salt, "chemicals, NiSO4·6H2O");
    }

    #[test]
    fn what_stopped_an_input_is_a_sentence() {
        let stopped = Stopped {
            path: "loop.holding_tank.set_point".to_owned(),
            dim: Dim::Temperature,
            at: Some(345.15),
            why: "the tank boils".to_owned(),
        };
        let told = stops(
            &[stopped],
            "EUR",
            Show::in_units(System::Metric),
            &str::to_owned,
        );
        let wanted = "loop.holding_tank.set_point at 72 °C: no answer: the tank boils.";
        assert_eq!(told, [wanted]);
    }
}
