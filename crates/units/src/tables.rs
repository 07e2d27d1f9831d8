//! The units of every dimension. The first unit of a table is the one that error messages suggest first.
//!
//! Each table holds the SI unit with a factor of exactly one, so that any finite value can be written without loss.

mod amount;
mod electric;
mod flow;
mod geometry;
mod money;
mod plain;
mod thermal;

use crate::dimension::Dim;
use crate::unit::Unit;

/// The table of one dimension.
pub(crate) fn units_of(dim: Dim) -> Vec<Unit> {
    match dim {
        Dim::Volume => geometry::volume(),
        Dim::Area => geometry::area(),
        Dim::Length => geometry::length(),
        Dim::Film => geometry::film(),
        Dim::SpecificSurface => geometry::specific_surface(),
        Dim::Mass => amount::mass(),
        Dim::MoneyPerMass => money::per_mass(),
        Dim::MoneyPerVolume => money::per_volume(),
        Dim::MoneyPerEnergy => money::per_energy(),
        Dim::MoneyPerPower => money::per_power(),
        Dim::MoneyPerTime => money::per_time(),
        Dim::Concentration => amount::concentration(),
        Dim::MassPerArea => amount::mass_per_area(),
        Dim::SpecificVolume => amount::specific_volume(),
        Dim::MolarMass => amount::molar_mass(),
        Dim::Molality => amount::molality(),
        Dim::ConcentrationRate => amount::concentration_rate(),
        Dim::VolumeFlow => flow::volume_flow(),
        Dim::MassFlow => flow::mass_flow(),
        Dim::AreaRate => flow::area_rate(),
        Dim::Speed => flow::speed(),
        Dim::MassFlux => flow::mass_flux(),
        Dim::VolumeFlux => flow::volume_flux(),
        Dim::Temperature => thermal::temperature(),
        Dim::TemperatureDifference => thermal::temperature_difference(),
        Dim::Power => thermal::power(),
        Dim::Energy => thermal::energy(),
        Dim::Pressure => thermal::pressure(),
        Dim::Conductance => thermal::conductance(),
        Dim::HeatTransferCoefficient => thermal::heat_transfer_coefficient(),
        Dim::ThermalConductivity => thermal::thermal_conductivity(),
        Dim::HeatPerAreaKelvin => thermal::heat_per_area_kelvin(),
        Dim::HeatFlux => thermal::heat_flux(),
        Dim::SpecificHeat => thermal::specific_heat(),
        Dim::SpecificEnergy => thermal::specific_energy(),
        Dim::EnergyPerVolume => thermal::energy_per_volume(),
        Dim::Current => electric::current(),
        Dim::Voltage => electric::voltage(),
        Dim::CurrentDensity => electric::current_density(),
        Dim::ElectricConductivity => electric::conductivity(),
        Dim::Charge => electric::charge(),
        Dim::VolumePerCharge => electric::volume_per_charge(),
        Dim::MassPerCharge => electric::mass_per_charge(),
        Dim::MolarConductivity => electric::molar_conductivity(),
        Dim::Time => plain::time(),
        Dim::Fraction => plain::fraction(),
        Dim::Number | Dim::Count | Dim::Money => plain::bare(),
        Dim::LoadRate => plain::load_rate(),
        Dim::PerTime => plain::per_time(),
    }
}
