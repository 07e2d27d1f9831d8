//! The list of dimensions, once: run-time names and compile-time markers are both made from it.

/// A dimension known at compile time; implemented by the markers in [`dim`].
pub trait Dimension: Copy + Clone + std::fmt::Debug + Send + Sync + 'static {
    /// The same dimension at run time.
    const DIM: Dim;
}

macro_rules! dimensions {
    ($($(#[$doc:meta])* $variant:ident, $name:literal, $si:literal;)+) => {
        /// What kind of thing a number measures.
        #[derive(Copy, Clone, Eq, PartialEq, Ord, PartialOrd, Hash, Debug)]
        pub enum Dim {
            $($(#[$doc])* $variant,)+
        }

        impl Dim {
            /// Every dimension, in the order of declaration.
            pub const ALL: &'static [Dim] = &[$(Dim::$variant,)+];

            /// The dimension in plain words, lower case, without an article: `"volume flow"`.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self {
                    $(Dim::$variant => $name,)+
                }
            }

            /// Symbol of the SI unit that [`Dim::parse`] returns; empty for bare numbers.
            #[must_use]
            pub const fn si_unit(self) -> &'static str {
                match self {
                    $(Dim::$variant => $si,)+
                }
            }
        }

        /// Marker types, one for each [`Dim`], for use as the parameter of [`Quantity`](crate::Quantity).
        pub mod dim {
            $(
                $(#[$doc])*
                #[derive(Copy, Clone, Eq, PartialEq, Debug)]
                pub struct $variant;

                impl super::Dimension for $variant {
                    const DIM: super::Dim = super::Dim::$variant;
                }
            )+
        }
    };
}

dimensions! {
    /// Volume, m³.
    Volume, "volume", "m³";
    /// Area, m².
    Area, "area", "m²";
    /// Length, level, thickness or altitude, m.
    Length, "length", "m";
    /// Mass, kg.
    Mass, "mass", "kg";
    /// Duration, s. A year is 365 days.
    Time, "time", "s";
    /// Absolute temperature, K.
    Temperature, "temperature", "K";
    /// Difference of two temperatures, K: dead bands, offsets, approaches.
    TemperatureDifference, "temperature difference", "K";
    /// Volume per time, m³/s: liquid or air.
    VolumeFlow, "volume flow", "m³/s";
    /// Mass per time, kg/s.
    MassFlow, "mass flow", "kg/s";
    /// Liquid film on work, m³ of liquid per m² of work.
    Film, "film volume per area", "m³/m²";
    /// Area of work per time, m²/s.
    AreaRate, "area of work per time", "m²/s";
    /// Mass per volume, kg/m³: concentrations and densities.
    Concentration, "concentration", "kg/m³";
    /// Mass per area, kg/m².
    MassPerArea, "mass per area", "kg/m²";
    /// Power or heat flow, W.
    Power, "power", "W";
    /// Energy, J.
    Energy, "energy", "J";
    /// Absolute pressure or pressure difference, Pa.
    Pressure, "pressure", "Pa";
    /// Speed, m/s; also the mass-transfer coefficient on a concentration basis.
    Speed, "speed", "m/s";
    /// Electric current, A.
    Current, "electric current", "A";
    /// Voltage, V.
    Voltage, "voltage", "V";
    /// Current per area of work, A/m².
    CurrentDensity, "current density", "A/m²";
    /// Heat flow per temperature difference, W/K (U·A of walls and coils).
    Conductance, "heat conductance", "W/K";
    /// Heat flow per area and temperature difference, W/(m²·K).
    HeatTransferCoefficient, "heat transfer coefficient", "W/(m²·K)";
    /// Thermal conductivity of a material, W/(m·K).
    ThermalConductivity, "thermal conductivity", "W/(m·K)";
    /// Heat carried by work per area and temperature difference, J/(m²·K).
    HeatPerAreaKelvin, "heat capacity per area", "J/(m²·K)";
    /// Heat flow per area, W/m².
    HeatFlux, "heat flow per area", "W/m²";
    /// Electric conductivity of a solution, S/m.
    ElectricConductivity, "electric conductivity", "S/m";
    /// Electric charge, C (1 A·s).
    Charge, "electric charge", "C";
    /// Volume per charge, m³/C: brightener consumption.
    VolumePerCharge, "volume per charge", "m³/C";
    /// Mass per charge, kg/C: deposition and decomposition equivalents.
    MassPerCharge, "mass per charge", "kg/C";
    /// Volume per mass, m³/kg: apparent volume of a solute.
    SpecificVolume, "specific volume", "m³/kg";
    /// Heat capacity per mass, J/(kg·K).
    SpecificHeat, "specific heat", "J/(kg·K)";
    /// Energy per mass, J/kg: latent heat, enthalpy.
    SpecificEnergy, "energy per mass", "J/kg";
    /// Energy per volume, J/m³: heat per litre evaporated.
    EnergyPerVolume, "energy per volume", "J/m³";
    /// Molar mass, kg/mol.
    MolarMass, "molar mass", "kg/mol";
    /// Conductivity per amount concentration, S·m²/mol.
    MolarConductivity, "molar conductivity", "S·m²/mol";
    /// Amount per mass of solvent, mol/kg.
    Molality, "molality", "mol/kg";
    /// Mass flow per area, kg/(m²·s).
    MassFlux, "mass flow per area", "kg/(m²·s)";
    /// Volume flow per area, m³/(m²·s): surface evaporation, sparging air.
    VolumeFlux, "volume flow per area", "m³/(m²·s)";
    /// Area per volume, m²/m³: packing surface.
    SpecificSurface, "area per volume", "m²/m³";
    /// A part of a whole, 1 = 100 %; also mass ratios such as a humidity ratio.
    Fraction, "fraction", "";
    /// A bare number without unit.
    Number, "number", "";
    /// A bare whole number, zero or more.
    Count, "count", "";
    /// Loads of work (racks, barrels, baskets) per time, 1/s.
    LoadRate, "load rate", "/s";
    /// A first-order rate, 1/s.
    PerTime, "rate", "/s";
    /// Change of concentration per time, kg/(m³·s).
    ConcentrationRate, "concentration change per time", "kg/(m³·s)";
    /// An amount of money: a number with a currency of three letters, which is not converted.
    Money, "amount of money", "";
    /// Money per mass, 1/kg; its currency, three letters before the stroke, is not converted.
    MoneyPerMass, "price per mass", "per kg";
    /// Money per volume, 1/m³, of water or waste.
    MoneyPerVolume, "price per volume", "per m³";
    /// Money per energy, 1/J, of electricity or fuel.
    MoneyPerEnergy, "price per energy", "per J";
    /// Money per power, 1/W: what a utility asks for the highest demand of a billing period.
    MoneyPerPower, "price per power", "per W";
    /// Money per time, 1/s: wages, fees.
    MoneyPerTime, "money per time", "per s";
}
