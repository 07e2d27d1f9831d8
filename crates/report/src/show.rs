//! Numbers as people read them.

use dragback_properties::Amount;
use dragback_run::Reading;
use dragback_study::verdict::Telling;
use dragback_study::{Answers, Counted, LoopAnswer, ToldAs, measured};
use dragback_units::constants as unit;
use dragback_units::{Dim, Style, System, format_in, kelvin_from_celsius};

/// What stands where the program has no number that it trusts.
pub const NO_NUMBER: &str = "–";

/// Below this, in the unit shown, a number is the dust of a difference of large ones.
const DUST: f64 = 1.0e-6;
/// Less than so many years are told as days.
const LEAST_YEARS: f64 = 0.1;

/// Formats values of the answers in one system of units.
#[derive(Clone, Copy, Debug)]
pub struct Show {
    /// Units.
    pub system: System,
    /// As what strengths of lead solutes are told.
    pub counted: Counted,
}

impl Show {
    /// In a system of units, strengths of lead solutes as such.
    #[must_use]
    pub const fn in_units(system: System) -> Self {
        Self {
            system,
            counted: Counted::Metal,
        }
    }

    /// The same with strengths of lead solutes as something else.
    #[must_use]
    pub const fn counted_as(self, counted: Counted) -> Self {
        Self { counted, ..self }
    }

    /// An SI value with its unit.
    #[must_use]
    pub fn si(self, dim: Dim, style: Style, si: f64) -> String {
        let wanted = dim.display_unit(self.system, style);
        if !si.is_finite() {
            return NO_NUMBER.to_owned();
        }
        let is_offset = dim == Dim::Temperature;
        let si = if !is_offset && wanted.from_si(si).abs() < DUST {
            0.0
        } else {
            si
        };
        format_in(wanted, si, 3)
    }

    /// Symbol of the unit that [`Show::si`] writes.
    #[must_use]
    pub fn unit(self, dim: Dim, style: Style) -> &'static str {
        dim.display_unit(self.system, style).symbol
    }

    /// An SI value in the unit that [`Show::si`] writes, as a bare number for columns.
    #[must_use]
    pub fn bare(self, dim: Dim, style: Style, si: f64) -> String {
        let text = self.si(dim, style, si);
        match text.rsplit_once(' ') {
            Some((number, _)) => number.to_owned(),
            None => text,
        }
    }

    /// An SI value in the unit that [`Show::si`] writes, to seven digits, for CSV; empty where there is no number.
    #[must_use]
    pub fn csv(self, dim: Dim, style: Style, si: f64) -> String {
        csv_number(dim.display_unit(self.system, style).from_si(si))
    }

    /// A flow given in L/h.
    #[must_use]
    pub fn flow(self, l_per_h: f64) -> String {
        self.si(
            Dim::VolumeFlow,
            Style::Default,
            unit::m3_per_s_from_l_per_h(l_per_h),
        )
    }

    /// A volume given in L.
    #[must_use]
    pub fn volume(self, l: f64) -> String {
        self.si(Dim::Volume, Style::Default, unit::m3_from_litres(l))
    }

    /// A temperature given in °C.
    #[must_use]
    pub fn temperature(self, temp_c: f64) -> String {
        self.si(
            Dim::Temperature,
            Style::Default,
            kelvin_from_celsius(temp_c),
        )
    }

    /// The strength of a rinse given in mg/L.
    #[must_use]
    pub fn rinse(self, mg_per_l: f64) -> String {
        self.si(
            Dim::Concentration,
            Style::Rinse,
            unit::kg_per_m3_from_mg_per_l(mg_per_l),
        )
    }

    /// g/L or oz/gal, and mg/L below a tenth of a gram: a bath and its last rinse share one column.
    #[must_use]
    pub fn strength(self, g_per_l: f64) -> String {
        let style = if g_per_l.abs() < 0.1 {
            Style::Rinse
        } else {
            Style::Bath
        };
        self.si(Dim::Concentration, style, g_per_l)
    }

    /// A power given in kW.
    #[must_use]
    pub fn power(self, kw: f64) -> String {
        self.si(Dim::Power, Style::Default, 1000.0 * kw)
    }

    /// A conductivity given in µS/cm.
    #[must_use]
    pub fn conductivity(self, us_per_cm: f64) -> String {
        let style = if us_per_cm < 5000.0 {
            Style::Rinse
        } else {
            Style::Bath
        };
        self.si(
            Dim::ElectricConductivity,
            style,
            us_per_cm / unit::us_per_cm(1.0),
        )
    }

    /// Mass per day: kg or lb, and g or oz below a tenth of a kilogram.
    #[must_use]
    pub fn per_day(self, kg_per_day: f64) -> String {
        let kg_per_s = kg_per_day / unit::SECONDS_PER_DAY;
        let symbol = match self.system {
            System::Metric if kg_per_day.abs() < 0.1 => "g/d",
            System::Us if kg_per_day.abs() < 0.1 => "oz/d",
            System::Metric => "kg/d",
            System::Us => "lb/d",
        };
        let grams = unit::kg_per_day(kg_per_s) * 1000.0;
        match Dim::MassFlow.find_unit(symbol) {
            Some(_) if !kg_per_day.is_finite() => NO_NUMBER.to_owned(),
            Some(unit) if grams.abs() < 1.0e-4 => format_in(unit, 0.0, 3),
            Some(unit) => format_in(unit, kg_per_s, 3),
            None => self.si(Dim::MassFlow, Style::Default, kg_per_s),
        }
    }

    /// A share as percent.
    #[must_use]
    pub fn percent(self, fraction: f64) -> String {
        self.si(Dim::Fraction, Style::Default, fraction)
    }

    /// A number that an error names.
    #[must_use]
    pub fn amount(self, amount: Amount) -> String {
        let (dim, style, si) = measured(amount);
        self.si(dim, style, si)
    }

    /// Days as a plain number.
    #[must_use]
    pub fn days(self, days: f64) -> String {
        if !days.is_finite() {
            return NO_NUMBER.to_owned();
        }
        if days < 10.0 {
            format!("{days:.1} d")
        } else {
            format!("{days:.0} d")
        }
    }

    /// A ratio such as the dilution of the bath: three digits, thousands as they are.
    #[must_use]
    pub fn ratio(self, ratio: f64) -> String {
        self.si(Dim::Number, Style::Default, ratio)
    }

    /// A price with its currency: `4.6 EUR/kg`.
    #[must_use]
    pub fn price(self, dim: Dim, si: f64, currency: &str) -> String {
        let told = self.si(dim, Style::Default, si);
        match told.split_once(" per ") {
            Some((number, of)) if !currency.is_empty() => format!("{number} {currency}/{of}"),
            _ => told,
        }
    }

    /// Any value; money and prices with their currency.
    #[must_use]
    pub fn any(self, dim: Dim, si: f64, currency: &str) -> String {
        match dim {
            Dim::Money => self.money(si, currency),
            dim if dim.is_money() => self.price(dim, si, currency),
            dim => self.si(dim, Style::Default, si),
        }
    }

    /// Years with their word; less than a tenth of one as days.
    #[must_use]
    pub fn years(self, years: f64) -> String {
        if let Some(days) = short_days(years) {
            let told = self.si(Dim::Number, Style::Default, days);
            let word = if told == "1" { "day" } else { "days" };
            return format!("{told} {word}");
        }
        let told = self.si(Dim::Number, Style::Default, years);
        let word = if told == "1" { "year" } else { "years" };
        format!("{told} {word}")
    }

    /// An amount of money, to three digits.
    #[must_use]
    pub fn money(self, amount: f64, currency: &str) -> String {
        let amount = self.si(Dim::Money, Style::Default, amount);
        format!("{amount} {currency}").trim_end().to_owned()
    }
}

/// How the terminal writes what a verdict on a loop names: the rinse as its lead solute is told.
pub struct OfLoop<'a> {
    /// Units and numbers.
    pub show: Show,
    /// As what its lead solute is told.
    pub lead: ToldAs<'a>,
}

impl<'a> OfLoop<'a> {
    /// For a loop of the answers.
    #[must_use]
    pub fn of(answers: &'a Answers, line: &'a LoopAnswer, show: Show) -> Self {
        let lead = show
            .counted
            .told(&answers.solutes, &line.final_rinse.species);
        Self { show, lead }
    }
}

impl Telling for OfLoop<'_> {
    fn flow(&self, l_per_h: f64) -> String {
        self.show.flow(l_per_h)
    }

    fn rinse(&self, mg_per_l: f64) -> String {
        let told = self.show.rinse(self.lead.strength(mg_per_l));
        match self.lead.as_salt() {
            Some(salt) => format!("{told} {salt}"),
            None => told,
        }
    }

    fn strength(&self, g_per_l: f64) -> String {
        self.show.strength(g_per_l)
    }

    fn kelvins(&self, kelvins: f64) -> String {
        Telling::kelvins(&self.show, kelvins)
    }

    fn days(&self, days: f64) -> String {
        self.show.days(days)
    }

    fn reading(&self, reading: Reading) -> String {
        Telling::reading(&self.show, reading)
    }

    fn solute(&self, name: &str) -> String {
        Telling::solute(&self.show, name)
    }
}

/// How the terminal writes what an alarm names.
impl Telling for Show {
    fn flow(&self, l_per_h: f64) -> String {
        Show::flow(*self, l_per_h)
    }

    fn rinse(&self, mg_per_l: f64) -> String {
        Show::rinse(*self, mg_per_l)
    }

    fn strength(&self, g_per_l: f64) -> String {
        Show::strength(*self, g_per_l)
    }

    fn kelvins(&self, kelvins: f64) -> String {
        self.si(Dim::TemperatureDifference, Style::Default, kelvins)
    }

    fn days(&self, days: f64) -> String {
        Show::days(*self, days)
    }

    fn reading(&self, reading: Reading) -> String {
        let level_m = match reading {
            Reading::TemperatureC(temp_c) => return self.temperature(temp_c),
            Reading::AboutC(temp_c) => return self.temperature(temp_c.round()),
            Reading::StrengthGPerL(g_per_l) => return self.strength(g_per_l),
            Reading::ConductivitySPerM(value) => return self.conductivity(unit::us_per_cm(value)),
            Reading::LevelM(level_m) => level_m,
            // Hydrometers are read alike everywhere.
            Reading::DensityKgPerM3(_) => return reading.to_string(),
        };
        self.si(Dim::Length, Style::Default, level_m)
    }

    fn solute(&self, name: &str) -> String {
        name.to_owned()
    }
}

/// Years as the days as which they are told, where they are less than a tenth of one.
fn short_days(years: f64) -> Option<f64> {
    let is_short = years > 0.0 && years < LEAST_YEARS;
    is_short.then(|| years * unit::SECONDS_PER_YEAR / unit::SECONDS_PER_DAY)
}

/// A number of a CSV file: seven digits, empty where there is none.
#[must_use]
pub fn csv_number(value: f64) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let rounded: f64 = format!("{value:.6e}").parse().unwrap_or(value);
    // Minus zero reads like a fault.
    let rounded = if rounded == 0.0 { 0.0 } else { rounded };
    if rounded != 0.0 && !(1e-4..1e15).contains(&rounded.abs()) {
        format!("{rounded:e}")
    } else {
        format!("{rounded}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use dragback_run::{Cure, Told};

    const METRIC: Show = Show::in_units(System::Metric);
    const US: Show = Show::in_units(System::Us);

    #[test]
    fn a_number_that_is_none_is_a_dash() {
        for text in [
            METRIC.flow(f64::NAN),
            METRIC.per_day(f64::NAN),
            METRIC.temperature(f64::INFINITY),
            METRIC.days(f64::NAN),
            METRIC.ratio(f64::INFINITY),
        ] {
            assert_eq!(text, NO_NUMBER);
        }
        assert_eq!(csv_number(f64::NAN), "");
    }

    #[test]
    fn dust_is_nothing_and_small_numbers_keep_their_digits() {
        assert_eq!(METRIC.flow(-3e-14), "0 L/h");
        assert_eq!(METRIC.per_day(0.0123), "12.3 g/d");
        assert_eq!(METRIC.per_day(1.23), "1.23 kg/d");
        assert_eq!(METRIC.per_day(-0.0), "0 g/d");
        assert_eq!(METRIC.strength(75.0), "75 g/L");
        assert_eq!(METRIC.strength(0.0123), "12.3 mg/L");
        assert_eq!(METRIC.temperature(0.0), "0 °C");
    }

    #[test]
    fn us_units() {
        assert_eq!(US.flow(100.0), "26.4 gal/h");
        assert_eq!(US.temperature(60.0), "140 °F");
        assert_eq!(US.per_day(1.0), "2.20 lb/d");
        // 16 ounces of 28.3495 g are a pound (NIST SP 811, B.8).
        assert_eq!(US.per_day(0.056_699), "2.00 oz/d");
        assert_eq!(
            US.bare(Dim::VolumeFlow, Style::Default, 1.0 / 3600.0),
            "264"
        );
    }

    /// By the definitions of the units: °F = 1.8 °C + 32, 1 ft = 0.3048 m, 1 S/m = 10⁴ µS/cm.
    #[test]
    fn alarms_are_told_in_the_units_chosen() {
        let tripped = |reading| Told::Tripped(reading).words("probe", |r| US.reading(r));
        let hot = tripped(Reading::TemperatureC(68.0));
        assert_eq!(hot, "probe tripped at 154 °F");
        assert_eq!(tripped(Reading::LevelM(0.9144)), "probe tripped at 3 ft");
        let salty = Reading::ConductivitySPerM(0.2);
        assert_eq!(tripped(salty), "probe tripped at 2000 µS/cm");
        let crystals = Told::Saturated {
            salt: "gypsum",
            index: 1.05,
            at_c: 20.2,
            cure: Cure::Thin,
        };
        let words = crystals.words("bath", |r| US.reading(r));
        let start = "bath holds 105 % of the gypsum that stays dissolved at 68 °F; crystals form";
        assert!(words.starts_with(start), "{words}");
        let metric = crystals.words("bath", |r| METRIC.reading(r));
        assert!(metric.contains("at 20 °C;"), "{metric}");
    }

    /// By hand: 0.02 years are 7.3 days, and 0.1 years are told as such.
    #[test]
    fn short_paybacks_are_days() {
        let show = Show::in_units(System::Metric);
        assert_eq!(show.years(0.02), "7.3 days");
        assert_eq!(show.years(1.0 / 365.0), "1 day");
        assert_eq!(show.years(0.5), "0.5 years");
        assert_eq!(show.years(2.64), "2.64 years");
    }

    #[test]
    fn csv_numbers_have_seven_digits() {
        assert_eq!(csv_number(1.0 / 3.0), "0.3333333");
        assert_eq!(csv_number(-0.0), "0");
        assert_eq!(csv_number(1.23e-9), "1.23e-9");
        assert_eq!(csv_number(12_345_678.9), "12345680");
    }
}
