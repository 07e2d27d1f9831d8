//! What a year costs, what a change brings, and what that hangs on.

use dragback_study::money::{BreakEven, Costs, Payback, Pays, Swing, Years};
use dragback_units::Dim;

use crate::{Facts, Show, Table};

/// Says that prices are somebody's own.
pub const OWN_PRICES: &str =
    "Prices are the scenario's own, and so is the equipment; money is as good as they are.";

/// An amount of money to whole units with its currency, if any.
#[must_use]
pub fn whole(amount: f64, currency: &str) -> String {
    // Not "−0".
    let amount = if amount.abs() < 0.5 { 0.0 } else { amount };
    format!("{amount:.0} {currency}").trim_end().to_owned()
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
    let style = dragback_units::Style::Default;
    (
        show.si(dim, style, amount),
        show.price(price_dim, price, currency),
    )
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
    facts.push(
        "payback without interest",
        years_words(payback.simple, show),
    );
    let interest = show.percent(payback.interest);
    facts.push(
        &format!("payback with {interest} interest"),
        years_words(payback.discounted, show),
    );
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

/// The values at which money is back in time.
#[must_use]
pub fn break_even_table(all: &[BreakEven], currency: &str, show: Show) -> Table {
    let mut table = Table::new(["", "is", "now"]).text(1);
    for found in all {
        let told = |si: f64| show.any(found.dim, si, currency);
        let is = match (found.pays, found.value) {
            (Pays::Above, Some(value)) => format!("above {}", told(value)),
            (Pays::Below, Some(value)) => format!("below {}", told(value)),
            (Pays::Always, _) => "whatever it is".to_owned(),
            _ => "at no value".to_owned(),
        };
        table.push([own_path(&found.name).to_owned(), is, told(found.now)]);
    }
    table
}

/// What each uncertain input does to the payback.
#[must_use]
pub fn tornado_table(all: &[Swing], currency: &str, show: Show) -> Table {
    let mut table = Table::new(["", "low", "payback", "high", "payback"]);
    for swing in all {
        let told = |si: f64| show.any(swing.dim, si, currency);
        table.push([
            short_path(&swing.path),
            told(swing.low),
            years_words(swing.at_low, show),
            told(swing.high),
            years_words(swing.at_high, show),
        ]);
    }
    table
}

/// A path without the word that all prices share.
fn own_path(path: &str) -> &str {
    path.strip_prefix("prices.").unwrap_or(path)
}

/// The last two parts of a path, which tell the inputs of one scenario apart nearly always; a table of five columns has no room for more.
#[must_use]
pub fn short_path(path: &str) -> String {
    let parts: Vec<&str> = own_path(path).split('.').collect();
    let crystal_water = parts.last().is_some_and(|p| p.ends_with("H2O"));
    let kept = if crystal_water { 3 } else { 2 };
    parts[parts.len().saturating_sub(kept)..].join(".")
}
