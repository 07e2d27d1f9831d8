//! Time in seconds and everyday forms of SI values, for use at the edges of other crates.

/// Seconds in a minute.
pub const SECONDS_PER_MINUTE: f64 = 60.0;
/// Seconds in an hour.
pub const SECONDS_PER_HOUR: f64 = 3600.0;
/// Seconds in a day of 24 hours.
pub const SECONDS_PER_DAY: f64 = 24.0 * SECONDS_PER_HOUR;
/// Seconds in a week.
pub const SECONDS_PER_WEEK: f64 = 7.0 * SECONDS_PER_DAY;
/// Seconds in a year of 365 days.
pub const SECONDS_PER_YEAR: f64 = 365.0 * SECONDS_PER_DAY;
/// Hours in a day.
pub const HOURS_PER_DAY: f64 = 24.0;
/// Hours in a week.
pub const HOURS_PER_WEEK: f64 = 168.0;
/// Litres in a cubic metre.
pub const LITRES_PER_M3: f64 = 1000.0;
/// Coulombs in an ampere hour.
pub const COULOMBS_PER_AH: f64 = SECONDS_PER_HOUR;
/// Joules in a kilowatt hour.
pub const JOULES_PER_KWH: f64 = 1000.0 * SECONDS_PER_HOUR;

macro_rules! conversions {
    ($($(#[$doc:meta])* $name:ident($argument:ident) = $value:expr;)+) => {
        $(
            $(#[$doc])*
            #[must_use]
            pub const fn $name($argument: f64) -> f64 {
                $value
            }
        )+
    };
}

conversions! {
    /// Litres from m³.
    litres(volume_m3) = volume_m3 * LITRES_PER_M3;
    /// m³ from litres.
    m3_from_litres(volume_l) = volume_l / LITRES_PER_M3;
    /// L/h from m³/s.
    l_per_h(flow_m3_per_s) = flow_m3_per_s * (LITRES_PER_M3 * SECONDS_PER_HOUR);
    /// m³/s from L/h.
    m3_per_s_from_l_per_h(flow_l_per_h) = flow_l_per_h / (LITRES_PER_M3 * SECONDS_PER_HOUR);
    /// m³/h from m³/s.
    m3_per_h(flow_m3_per_s) = flow_m3_per_s * SECONDS_PER_HOUR;
    /// kg/h from kg/s.
    kg_per_h(flow_kg_per_s) = flow_kg_per_s * SECONDS_PER_HOUR;
    /// kg/d from kg/s.
    kg_per_day(flow_kg_per_s) = flow_kg_per_s * SECONDS_PER_DAY;
    /// mg/L from kg/m³.
    mg_per_l(concentration_kg_per_m3) = concentration_kg_per_m3 * 1000.0;
    /// kg/m³ from mg/L.
    kg_per_m3_from_mg_per_l(concentration_mg_per_l) = concentration_mg_per_l / 1000.0;
    /// Hours from seconds.
    hours(time_s) = time_s / SECONDS_PER_HOUR;
    /// Seconds from hours.
    seconds_from_hours(time_h) = time_h * SECONDS_PER_HOUR;
    /// Days from seconds.
    days(time_s) = time_s / SECONDS_PER_DAY;
    /// Seconds from days.
    seconds_from_days(time_d) = time_d * SECONDS_PER_DAY;
    /// kW from W.
    kilowatts(power_w) = power_w / 1000.0;
    /// kWh from J.
    kilowatt_hours(energy_j) = energy_j / JOULES_PER_KWH;
    /// µS/cm from S/m.
    us_per_cm(conductivity_s_per_m) = conductivity_s_per_m * 1e4;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Dim;

    #[test]
    fn constants_agree_with_the_unit_tables() {
        let seconds = |text| Dim::Time.parse(text).unwrap();
        assert_eq!(seconds("1 min"), SECONDS_PER_MINUTE);
        assert_eq!(seconds("1 h"), SECONDS_PER_HOUR);
        assert_eq!(seconds("1 day"), SECONDS_PER_DAY);
        assert_eq!(seconds("1 week"), SECONDS_PER_WEEK);
        assert_eq!(seconds("1 year"), SECONDS_PER_YEAR);
        assert_eq!(Dim::Charge.parse("1 Ah").unwrap(), COULOMBS_PER_AH);
        assert_eq!(Dim::Energy.parse("1 kWh").unwrap(), JOULES_PER_KWH);
    }

    #[test]
    fn everyday_forms() {
        assert_eq!(litres(4.5), 4500.0);
        assert_eq!(m3_from_litres(4500.0), 4.5);
        assert!((l_per_h(m3_per_s_from_l_per_h(6600.0)) - 6600.0).abs() < 1e-9);
        assert!(
            (us_per_cm(Dim::ElectricConductivity.parse("55 µS/cm").unwrap()) - 55.0).abs() < 1e-12
        );
        assert!((kg_per_day(Dim::MassFlow.parse("3 kg/d").unwrap()) - 3.0).abs() < 1e-12);
        assert!((mg_per_l(Dim::Concentration.parse("37 mg/L").unwrap()) - 37.0).abs() < 1e-12);
        assert_eq!(kg_per_m3_from_mg_per_l(37.0), 0.037);
        assert_eq!(
            (hours(7200.0), days(86_400.0), kilowatts(1500.0)),
            (2.0, 1.0, 1.5)
        );
        assert_eq!(
            (seconds_from_hours(2.0), seconds_from_days(1.0)),
            (7200.0, 86_400.0)
        );
        assert_eq!(
            (m3_per_h(1.0), kg_per_h(1.0), kilowatt_hours(3.6e6)),
            (3600.0, 3600.0, 1.0)
        );
    }
}
