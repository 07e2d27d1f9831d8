//! The base conversion factors, all taken from the `uom` crate.
//!
//! `uom` prints most customary factors with seven digits, as NIST SP 811 (Thompson and Taylor 2008, *Guide for the
//! Use of the International System of Units*, Appendix B) does. Where a unit is *defined* through exact ones that
//! `uom` has, it is built from those instead, so that composed units do not carry the rounding of their parts:
//! the pound is 7,000 grains, the ounce a sixteenth of it, the US gallon 231 cubic inches, the pound-force a pound
//! under standard gravity, and the Btu (International Table) the heat of a pound of water through one degree
//! Fahrenheit on the International Table calorie.

use uom::si;

/// SI units per unit `U`.
pub(crate) fn of<U: uom::Conversion<f64, T = f64>>() -> f64 {
    U::coefficient()
}

macro_rules! factors {
    ($($(#[$doc:meta])* $name:ident = $value:expr;)+) => {
        $($(#[$doc])* pub(crate) fn $name() -> f64 { $value })+
    };
}

factors! {
    kilo = of::<si::length::kilometer>() / of::<si::length::meter>();
    metre = of::<si::length::meter>();
    decimetre = of::<si::length::decimeter>();
    centimetre = of::<si::length::centimeter>();
    millimetre = of::<si::length::millimeter>();
    micrometre = of::<si::length::micrometer>();
    inch = of::<si::length::inch>();
    foot = of::<si::length::foot>();
    yard = of::<si::length::yard>();
    mil = of::<si::length::mil>();

    decimetre2 = of::<si::area::square_decimeter>();
    centimetre2 = of::<si::area::square_centimeter>();
    millimetre2 = of::<si::area::square_millimeter>();
    foot2 = of::<si::area::square_foot>();
    inch2 = of::<si::area::square_inch>();

    litre = of::<si::volume::liter>();
    millilitre = of::<si::volume::milliliter>();
    microlitre = of::<si::volume::microliter>();
    foot3 = foot() * foot() * foot();
    inch3 = inch() * inch() * inch();
    /// US liquid gallon, 231 cubic inches by definition.
    gallon = 231.0 * inch3();
    quart = gallon() / 4.0;
    pint = gallon() / 8.0;
    fluid_ounce = gallon() / 128.0;
    imperial_gallon = of::<si::volume::gallon_imperial>();

    kilogram = of::<si::mass::kilogram>();
    gram = of::<si::mass::gram>();
    milligram = of::<si::mass::milligram>();
    microgram = of::<si::mass::microgram>();
    tonne = of::<si::mass::ton>();
    grain = of::<si::mass::grain>();
    /// Avoirdupois pound, 7,000 grains by definition; `uom` has the grain exactly and the pound rounded.
    pound = 7000.0 * grain();
    /// Avoirdupois ounce.
    ounce = pound() / 16.0;

    second = of::<si::time::second>();
    minute = of::<si::time::minute>();
    hour = of::<si::time::hour>();
    day = of::<si::time::day>();
    week = 7.0 * day();
    /// A year of 365 days.
    year = of::<si::time::year>();

    celsius_degree = of::<si::temperature_interval::degree_celsius>();
    fahrenheit_degree = of::<si::temperature_interval::degree_fahrenheit>();

    watt_hour = of::<si::energy::watt_hour>();
    kilowatt_hour = of::<si::energy::kilowatt_hour>();
    kilojoule = of::<si::energy::kilojoule>();
    megajoule = of::<si::energy::megajoule>();
    calorie = of::<si::energy::calorie>();
    kilocalorie = of::<si::energy::kilocalorie>();
    /// British thermal unit, International Table.
    btu = of::<si::energy::kilocalorie_it>() / kilogram() * pound() * fahrenheit_degree();

    watt = of::<si::power::watt>();
    kilowatt = of::<si::power::kilowatt>();
    megawatt = of::<si::power::megawatt>();
    pound_force = pound() * of::<si::acceleration::standard_gravity>();
    /// Mechanical horsepower, 550 foot pounds-force per second.
    horsepower = 550.0 * foot() * pound_force();
    metric_horsepower = of::<si::power::horsepower_metric>();

    kilopascal = of::<si::pressure::kilopascal>();
    megapascal = of::<si::pressure::megapascal>();
    bar = of::<si::pressure::bar>();
    millibar = of::<si::pressure::millibar>();
    atmosphere = of::<si::pressure::atmosphere>();
    torr = of::<si::pressure::torr>();
    millimetre_of_mercury = of::<si::pressure::millimeter_of_mercury>();
    millimetre_of_water = of::<si::pressure::millimeter_of_water>();
    inch_of_mercury = of::<si::pressure::inch_of_mercury>();
    inch_of_water = of::<si::pressure::inch_of_water>();
    psi = pound_force() / inch2();

    ampere = of::<si::electric_current::ampere>();
    milliampere = of::<si::electric_current::milliampere>();
    kiloampere = of::<si::electric_current::kiloampere>();
    volt = of::<si::electric_potential::volt>();
    millivolt = of::<si::electric_potential::millivolt>();
    ampere_hour = of::<si::electric_charge::ampere_hour>();
    kiloampere_hour = of::<si::electric_charge::kiloampere_hour>();
    siemens = of::<si::electrical_conductance::siemens>();
    millisiemens = of::<si::electrical_conductance::millisiemens>();
    microsiemens = of::<si::electrical_conductance::microsiemens>();

    mole = of::<si::amount_of_substance::mole>();
    millimole = of::<si::amount_of_substance::millimole>();
    percent = of::<si::ratio::percent>();
    per_mille = of::<si::ratio::per_mille>();
}

/// Offset of the Celsius scale, degrees Celsius from absolute zero to 0 °C.
pub(crate) fn celsius_offset() -> f64 {
    offset_of::<si::thermodynamic_temperature::degree_celsius>()
}

/// Offset of the Fahrenheit scale, degrees Fahrenheit from absolute zero to 0 °F.
pub(crate) fn fahrenheit_offset() -> f64 {
    offset_of::<si::thermodynamic_temperature::degree_fahrenheit>()
}

fn offset_of<U: uom::Conversion<f64, T = f64>>() -> f64 {
    U::constant(uom::ConstantOp::Add)
}
