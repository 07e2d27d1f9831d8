//! Prices put to amounts, line by line.

use dragback_scenario::{Prices, Scenario, in_words, salt_yields};
use dragback_units::Dim;
use dragback_units::constants as unit;
use serde::Serialize;

use super::usage::{Usage, WarmAir};

/// Months of a year, in each of which a demand is charged.
const MONTHS: f64 = 12.0;

/// What a cost is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CostKind {
    /// Salts and brighteners.
    Chemicals,
    /// Anodes.
    Anodes,
    /// Water.
    Water,
    /// Discharge.
    Sewer,
    /// Reagents of waste treatment.
    Reagents,
    /// Disposal of sludge.
    Sludge,
    /// Electric energy.
    Electricity,
    /// The charge on the highest demand.
    Demand,
    /// Steam and hot water.
    Fuel,
    /// Warming the air that towers draw from the hall.
    WarmAir,
    /// Heat taken out of baths.
    Cooling,
    /// People.
    Labour,
    /// Yearly fees.
    Fees,
}

impl CostKind {
    /// What is to be known of how it is counted, in a sentence.
    #[must_use]
    pub const fn note(self) -> Option<&'static str> {
        match self {
            Self::Demand => Some(
                "The highest demand is the highest mean over half an hour to some hours; a meter that takes a quarter of an hour sees somewhat more.",
            ),
            _ => None,
        }
    }
}

/// One line of a year's cost: an amount times a price.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CostLine {
    /// What for.
    pub kind: CostKind,
    /// What people call it.
    pub name: String,
    /// The path of its price.
    pub path: String,
    /// Amount in a year, SI.
    #[serde(skip)]
    pub amount: f64,
    /// What the amount measures; of a demand its power times the months that it is charged in.
    #[serde(skip)]
    pub dim: Dim,
    /// Price of a unit of it, SI.
    #[serde(skip)]
    pub price: f64,
    /// Cost a year.
    pub per_year: f64,
}

/// A year's running cost.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Costs {
    /// The lines, in the order of their kinds.
    pub lines: Vec<CostLine>,
    /// Their sum.
    pub per_year: f64,
    /// What is used and has no price, in words.
    pub uncounted: Vec<String>,
}

impl Costs {
    /// What a year's amounts cost: `market` has the prices of what is bought and sent away, `own` the scenario whose people and fees they are.
    #[must_use]
    pub fn of(usage: &Usage, market: &Scenario, own: Option<&Prices>) -> Self {
        let mut costs = Self::default();
        let Some(prices) = &market.prices else {
            return costs;
        };
        costs.chemicals(usage, market, prices);
        costs.waters(usage, prices);
        costs.treatment(usage, prices);
        costs.energy(usage, market, prices);
        if let Some(own) = own {
            costs.own(own);
        }
        costs.lines.sort_by_key(|line| line.kind);
        costs.per_year = costs.lines.iter().map(|line| line.per_year).sum();
        costs
    }

    /// A line with an amount and a price, both SI; nothing where there is nothing of it.
    fn add(
        &mut self,
        kind: CostKind,
        name: &str,
        path: String,
        (dim, amount): (Dim, f64),
        price: f64,
    ) {
        if amount != 0.0 {
            self.lines.push(CostLine {
                kind,
                name: name.to_owned(),
                path,
                amount,
                dim,
                price,
                per_year: amount * price,
            });
        }
    }

    /// The same where a price may be missing; `what` says what is then left out.
    fn add_or_tell(
        &mut self,
        kind: CostKind,
        name: &str,
        path: String,
        amount: (Dim, f64),
        price: Option<f64>,
    ) {
        match price {
            Some(price) => self.add(kind, name, path, amount, price),
            None if amount.1 > 0.0 => self.uncounted.push(format!("{name}: no price ({path})")),
            None => {}
        }
    }

    fn chemicals(&mut self, usage: &Usage, market: &Scenario, prices: &Prices) {
        for (key, &kg) in &usage.chemicals_kg {
            let path = format!("prices.chemicals.{key}");
            let own = prices.chemicals.get(key).map(dragback_scenario::Input::si);
            let price = own.or_else(|| worth_of(market, prices, key));
            let name = in_words(key);
            self.add_or_tell(CostKind::Chemicals, &name, path, (Dim::Mass, kg), price);
        }
        for (key, &kg) in &usage.anodes_kg {
            let path = format!("prices.anodes.{key}");
            let price = prices.anodes.get(key).map(dragback_scenario::Input::si);
            let name = format!("{key} anodes");
            self.add_or_tell(CostKind::Anodes, &name, path, (Dim::Mass, kg), price);
        }
    }

    fn waters(&mut self, usage: &Usage, prices: &Prices) {
        for (key, &m3) in &usage.waters_m3 {
            let path = format!("prices.waters.{key}");
            let price = prices.waters.get(key).map(dragback_scenario::Input::si);
            let name = format!("{} water", key.replace('_', " "));
            self.add_or_tell(CostKind::Water, &name, path, (Dim::Volume, m3), price);
        }
        let sewer = prices.sewer.as_ref().map(|p| p.si());
        let (amount, path) = ((Dim::Volume, usage.treated_m3), "prices.sewer".to_owned());
        self.add_or_tell(CostKind::Sewer, "discharge", path, amount, sewer);
    }

    fn treatment(&mut self, usage: &Usage, prices: &Prices) {
        let treatment = prices.treatment.as_ref();
        let excess = 1.0 + treatment.map_or(0.0, |t| t.excess.si());
        let need = &usage.treatment;
        for (name, field, kg, price) in [
            (
                "caustic soda",
                "caustic",
                need.caustic,
                treatment.and_then(|t| t.caustic.as_ref()),
            ),
            (
                "sodium bisulfite",
                "bisulfite",
                need.bisulfite,
                treatment.and_then(|t| t.bisulfite.as_ref()),
            ),
            (
                "sulfuric acid for treatment",
                "acid",
                need.acid,
                treatment.and_then(|t| t.acid.as_ref()),
            ),
        ] {
            let path = format!("prices.treatment.{field}");
            let amount = (Dim::Mass, excess * kg);
            self.add_or_tell(
                CostKind::Reagents,
                name,
                path,
                amount,
                price.map(|p| p.si()),
            );
        }
        let solids = treatment.map_or(1.0, |t| t.cake_solids.si());
        let disposal = treatment.and_then(|t| t.disposal.as_ref());
        let path = "prices.treatment.disposal".to_owned();
        let cake = (Dim::Mass, need.hydroxide / solids);
        self.add_or_tell(
            CostKind::Sludge,
            "sludge",
            path,
            cake,
            disposal.map(|p| p.si()),
        );
    }

    fn energy(&mut self, usage: &Usage, market: &Scenario, prices: &Prices) {
        let power = prices.electricity.as_ref();
        let path = |field: &str| format!("prices.electricity.{field}");
        let used = usage.electricity(market);
        let rate = power.map(|p| p.rate.si());
        let cheap = power.and_then(|p| p.off_peak_rate.as_ref());
        let peak = (Dim::Energy, used.peak_j);
        self.add_or_tell(
            CostKind::Electricity,
            "electricity",
            path("rate"),
            peak,
            rate,
        );
        let cheap = cheap.map(|p| p.si()).or(rate);
        let off_peak = (Dim::Energy, used.off_peak_j);
        let name = "electricity in cheaper hours";
        self.add_or_tell(
            CostKind::Electricity,
            name,
            path("off_peak_rate"),
            off_peak,
            cheap,
        );
        if let Some(demand) = power.and_then(|p| p.demand.as_ref()) {
            let amount = (Dim::Power, MONTHS * used.highest_w);
            self.add(
                CostKind::Demand,
                "highest demand",
                path("demand"),
                amount,
                demand.si(),
            );
        }
        let fuel = prices.fuel.as_ref();
        let efficiency = fuel.map_or(1.0, |f| f.efficiency.si());
        let fuel = fuel.map(|f| f.rate.si());
        let rate = || "prices.fuel.rate".to_owned();
        let heat = (Dim::Energy, usage.fuel_heat_j(market) / efficiency);
        self.add_or_tell(CostKind::Fuel, "steam or hot water", rate(), heat, fuel);
        let name = "warming air that towers exhaust";
        match usage.warm_air {
            WarmAir::None => {}
            WarmAir::Unknown => self
                .uncounted
                .push(format!("{name}: site.outside is not given")),
            WarmAir::Joules(joules) => {
                let heat = (Dim::Energy, joules / efficiency);
                self.add_or_tell(CostKind::WarmAir, name, rate(), heat, fuel);
            }
        }
        let cooling = prices.cooling.as_ref().map(|p| p.si());
        let (path, heat) = ("prices.cooling".to_owned(), (Dim::Energy, usage.cooling_j));
        self.add_or_tell(CostKind::Cooling, "cooling of baths", path, heat, cooling);
    }

    fn own(&mut self, own: &Prices) {
        if let Some(labour) = &own.labour {
            let weeks = unit::SECONDS_PER_YEAR / unit::SECONDS_PER_WEEK;
            let amount = (Dim::Time, weeks * labour.hours_a_week.si());
            let path = "prices.labour.rate".to_owned();
            self.add(CostKind::Labour, "labour", path, amount, labour.rate.si());
        }
        for (key, fee) in own.yearly.iter() {
            let name = fee.title.clone().unwrap_or_else(|| key.replace('_', " "));
            let path = format!("prices.yearly.{key}.cost");
            let amount = (Dim::Time, unit::SECONDS_PER_YEAR);
            self.add(CostKind::Fees, &name, path, amount, fee.cost.si());
        }
    }
}

/// What a salt is worth by the solutes in it; `None` where none of them has a price.
fn worth_of(market: &Scenario, prices: &Prices, salt: &str) -> Option<f64> {
    let parts = salt_yields(market, salt).unwrap_or_else(|| vec![(salt.to_owned(), 1.0)]);
    let worths = parts
        .iter()
        .filter_map(|(key, y)| Some(y * prices.solutes.get(key)?.si()));
    let worths: Vec<f64> = worths.collect();
    (!worths.is_empty()).then(|| worths.iter().sum())
}
