//! What things cost: the user's own prices, all in one currency.

use dragback_units::dim::{
    Fraction, Money, MoneyPerEnergy, MoneyPerMass, MoneyPerPower, MoneyPerTime, MoneyPerVolume,
    Time,
};

use crate::record::{Input, Map, choice, record};

record! {
    /// Prices, all in one currency. What a solute is worth tells what is lost; the rest makes up the yearly cost. What has no price is not counted, and
    /// the answer says so.
    Prices {
        date: Option<String> { "When they held." }
        currency: Option<String> { "Their currency, three letters: EUR." }
        solutes: Map<Input<MoneyPerMass>> {
            "What a solute is worth as it is counted in strengths (nickel as metal, chromium as CrO3), by species: what is lost for good has to be bought again.",
            unit "per kg", allowed 0.0 => 1e6, usual 0.5 => 60.0, keys Species
        }
        chemicals: Map<Input<MoneyPerMass>> {
            "What salts and brighteners cost as bought. A salt without a price is counted by the worth of its solutes.",
            unit "per kg", allowed 0.0 => 1e6, usual 0.1 => 60.0, mark Formula, keys Dosed
        }
        anodes: Map<Input<MoneyPerMass>> {
            "What anodes that dissolve cost, by species. Dearer anodes cost the same with and without recovery.",
            unit "per kg", allowed 0.0 => 1e6, usual 1.0 => 60.0, keys Species
        }
        waters: Map<Input<MoneyPerVolume>> {
            "What a water costs, by its key. The dearer it is, the sooner less rinse water pays.",
            unit "per m³", allowed 0.0 => 1000.0, usual 0.5 => 15.0, keys Water
        }
        sewer: Option<Input<MoneyPerVolume>> {
            "What it costs to discharge treated water. It is paid for all that goes to treatment.",
            unit "per m³", allowed 0.0 => 1000.0, usual 0.5 => 10.0
        }
        treatment: Option<Treatment> { "Waste treatment: reagents and sludge." }
        electricity: Option<Electricity> { "Electricity." }
        fuel: Option<Fuel> { "Heat that is not electric: steam or hot water for coils, and warm air for the hall." }
        bath_heat: HeatFrom = "electricity" { "What heats the baths." }
        cooling: Option<Input<MoneyPerEnergy>> {
            "What it costs to take heat out of a bath, per heat taken.",
            unit "per kWh", allowed 0.0 => 100.0, usual 0.02 => 0.2
        }
        labour: Option<Labour> { "Hours of people that the equipment takes." }
        yearly: Map<Fee> { "What falls due every year, by key: upkeep, laboratory, permits, purification." }
        capital: Map<Capital> { "Equipment that is bought for this layout, by key." }
        interest: Input<Fraction> = "6 %" {
            "Interest a year at which later money is worth less. A higher one asks for a faster payback.",
            unit "%", allowed 0.0 => 100.0, usual 2.0 => 15.0
        }
        horizon: Input<Time> = "10 year" {
            "Years over which cost and saving are added up.",
            unit "year", allowed 1.0 => 50.0, usual 5.0 => 20.0
        }
        items: Map<String> { "Other prices by name, each a text; kept and saved as they are, not counted.", mark Formula }
    }
}

record! {
    /// Waste treatment: metals are brought down as hydroxides, chromium(VI) is reduced first. Reagents follow from stoichiometry.
    Treatment {
        caustic: Option<Input<MoneyPerMass>> {
            "Caustic soda, as NaOH.",
            unit "per kg", allowed 0.0 => 1000.0, usual 0.2 => 2.0
        }
        bisulfite: Option<Input<MoneyPerMass>> {
            "Sodium bisulfite, as NaHSO3, which reduces chromium(VI).",
            unit "per kg", allowed 0.0 => 1000.0, usual 0.3 => 2.0
        }
        acid: Option<Input<MoneyPerMass>> {
            "Sulfuric acid, as H2SO4, for that reduction.",
            unit "per kg", allowed 0.0 => 1000.0, usual 0.1 => 1.0
        }
        excess: Input<Fraction> = "20 %" {
            "What is used beyond stoichiometry.",
            unit "%", allowed 0.0 => 1000.0, usual 5.0 => 100.0
        }
        cake_solids: Input<Fraction> = "30 %" {
            "Dry solids in the pressed sludge. A drier cake weighs less.",
            unit "%", allowed 1.0 => 100.0, usual 20.0 => 50.0
        }
        disposal: Option<Input<MoneyPerMass>> {
            "Disposal of the pressed sludge, per mass of cake.",
            unit "per kg", allowed 0.0 => 1000.0, usual 0.1 => 2.0
        }
    }
}

record! {
    /// Electricity.
    Electricity {
        rate: Input<MoneyPerEnergy> {
            "Price of electricity. The dearer it is, the more evaporation by electric heat costs.",
            unit "per kWh", allowed 0.0 => 100.0, usual 0.05 => 0.5
        }
        off_peak_rate: Option<Input<MoneyPerEnergy>> {
            "Price in the hours of `off_peak_calendar`. Left out: one price for all hours.",
            unit "per kWh", allowed 0.0 => 100.0, usual 0.03 => 0.4
        }
        off_peak_calendar: Option<String> { "Key of the calendar of the cheaper hours.", names Calendar }
        demand: Option<Input<MoneyPerPower>> {
            "Charge a month on the highest power. Heaters that work at the same time raise it.",
            unit "per kW", allowed 0.0 => 1e4, usual 2.0 => 25.0
        }
    }
}

record! {
    /// Heat from a boiler.
    Fuel {
        rate: Input<MoneyPerEnergy> {
            "Price of gas, oil or steam, per heat in it.",
            unit "per kWh", allowed 0.0 => 100.0, usual 0.02 => 0.2
        }
        efficiency: Input<Fraction> = "85 %" {
            "Share of that heat which arrives.",
            unit "%", allowed 1.0 => 400.0, usual 60.0 => 98.0
        }
    }
}

choice! {
    /// What heats a bath.
    HeatFrom {
        /// Electric heaters.
        Electricity = "electricity",
        /// Steam or hot water from the boiler.
        Fuel = "fuel",
    }
}

record! {
    /// Hours of people.
    Labour {
        rate: Input<MoneyPerTime> {
            "Cost of an hour of work.",
            unit "per h", allowed 0.0 => 1e4, usual 15.0 => 80.0
        }
        hours_a_week: Input<Time> {
            "Hours a week that rinses, evaporator and treatment take.",
            unit "h", allowed 0.0 => 1000.0, usual 0.5 => 20.0
        }
    }
}

record! {
    /// What falls due every year.
    Fee {
        title: Option<String> { "What it is called." }
        cost: Input<MoneyPerTime> {
            "What it costs in a year.",
            unit "per year", allowed 0.0 => 1e9, usual 100.0 => 20e3
        }
    }
}

record! {
    /// A piece of equipment.
    Capital {
        title: Option<String> { "What it is called." }
        cost: Input<Money> {
            "What it costs, installed.",
            unit "", allowed 0.0 => 1e9, usual 500.0 => 200e3
        }
        life: Input<Time> = "10 year" {
            "How long it lasts; then it is bought again.",
            unit "year", allowed 0.5 => 100.0, usual 5.0 => 20.0
        }
    }
}
