//! Drag-out from what a shop can measure on a quiet afternoon, and what it makes of the lever.

use dragback_properties::Amount;
use dragback_properties::film::{DragOut, MeasuredRise, RelativeUncertainty, RiseError, positive};
use dragback_units::Dim;

/// What was done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Method {
    /// A still rinse, fresh at first, was analysed after so many racks.
    #[default]
    Still,
    /// The water of a running rinse was shut, and it was analysed before and after so many racks.
    Shut,
    /// What drips from so many racks was caught in a bucket.
    Bucket,
}

impl Method {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Still, Self::Shut, Self::Bucket];

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Still => "Still rinse",
            Self::Shut => "Shut rinse",
            Self::Bucket => "Bucket test",
        }
    }

    /// What to do.
    #[must_use]
    pub const fn how(self) -> &'static str {
        match self {
            Self::Still => {
                "Fill the still rinse with fresh water. Rinse a counted number of racks, stir, and analyse it and the bath. \
                 Nothing may flow in or out meanwhile."
            }
            Self::Shut => {
                "Shut the water of the first rinse and analyse it. Rinse a counted number of racks, stir, and analyse it again, \
                 and the bath."
            }
            Self::Bucket => {
                "Lift racks out of the bath as always, then hold each over a bucket and let it drip until it stops. What still \
                 clings is not in the bucket, so this is the least that drag-out can be; rinse it off with a measured bottle and \
                 take the bottle's water off the volume."
            }
        }
    }
}

/// The readings, SI; each with its relative uncertainty (–), of the same coverage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Readings {
    /// Of a rinse without flow.
    Rise {
        /// Liquid in the rinse, m³.
        tank: (f64, f64),
        /// Strength before the first rack, kg/m³; 0 for fresh water. Its uncertainty is that of an analysis, as below.
        before: f64,
        /// Strength after the last rack, kg/m³.
        after: (f64, f64),
        /// Strength of the bath, kg/m³.
        bath: (f64, f64),
        /// Racks, –.
        loads: (f64, f64),
    },
    /// Of a bucket.
    Caught {
        /// Volume caught, m³.
        volume: (f64, f64),
        /// Racks, –.
        loads: (f64, f64),
    },
}

impl Readings {
    /// Drag-out of one rack with its range.
    ///
    /// A rise between two analyses carries the uncertainty of both: `u(rise)² = (u·after)² + (u·before)²`, over the rise. A volume caught over
    /// a number of racks: `u² = u(volume)² + u(racks)²` (hand derivation, first order).
    ///
    /// # Errors
    /// A reading that is not positive, or a rinse that does not stay below its bath.
    pub fn drag_out(&self) -> Result<DragOut, RiseError> {
        match *self {
            Self::Rise {
                tank,
                before,
                after,
                bath,
                loads,
            } => {
                let rise = after.0 - before;
                let measured = MeasuredRise {
                    tank_m3: tank.0,
                    start_kg_per_m3: before,
                    rise_kg_per_m3: rise,
                    bath_kg_per_m3: bath.0,
                    loads: loads.0,
                };
                measured.drag_out_m3_per_load()?;
                measured.drag_out(&RelativeUncertainty {
                    tank: tank.1,
                    rise: after.1 * after.0.hypot(before) / rise,
                    bath: bath.1,
                    loads: loads.1,
                })
            }
            Self::Caught { volume, loads } => {
                positive("volume caught", Amount::M3, volume.0)?;
                positive("number of racks", Amount::Number, loads.0)?;
                let u = volume.1.hypot(loads.1);
                let each = volume.0 / loads.0;
                Ok(DragOut {
                    m3_per_load: each,
                    low_m3_per_load: each * (-u).exp(),
                    high_m3_per_load: each * u.exp(),
                    relative_uncertainty: u,
                })
            }
        }
    }
}

/// How a scenario counts its drag-out: what must be known besides the drag-out of a rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CountedAs {
    /// As film: the area of a rack.
    Film,
    /// As flow while work runs: the racks an hour.
    Flow,
    /// By the rack: nothing.
    Rack,
}

impl CountedAs {
    /// As a lever of this dimension counts it.
    #[must_use]
    pub const fn of(dim: Dim) -> Option<Self> {
        match dim {
            Dim::Film => Some(Self::Film),
            Dim::VolumeFlow => Some(Self::Flow),
            Dim::Volume => Some(Self::Rack),
            _ => None,
        }
    }

    /// What is measured in the lever's terms; `other` is the area of a rack (m²) or racks a second. `None` unless it is above zero.
    #[must_use]
    pub fn value(self, path: &str, found: &DragOut, other: f64) -> Option<Measured> {
        let factor = match self {
            Self::Film => 1.0 / other,
            Self::Flow => other,
            Self::Rack => 1.0,
        };
        (factor > 0.0 && factor.is_finite()).then(|| Measured {
            path: path.to_owned(),
            si: factor * found.m3_per_load,
            low_si: factor * found.low_m3_per_load,
            high_si: factor * found.high_m3_per_load,
        })
    }
}

/// A measured value for the drag-out lever, SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Path of the lever's input.
    pub path: String,
    /// Best value.
    pub si: f64,
    /// Low end.
    pub low_si: f64,
    /// High end.
    pub high_si: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hand derivation: 3.6 L from 24 racks, each within 4 % and 3 %, are 0.15 L within 5 %.
    #[test]
    fn a_bucket_is_volume_over_racks() {
        let found = Readings::Caught {
            volume: (3.6e-3, 0.04),
            loads: (24.0, 0.03),
        };
        let found = found.drag_out().unwrap();
        assert!((found.m3_per_load - 0.15e-3).abs() < 1e-15);
        assert!((found.relative_uncertainty - 0.05).abs() < 1e-12);
        assert!(
            (found.low_m3_per_load * found.high_m3_per_load / 0.15e-3_f64.powi(2) - 1.0).abs()
                < 1e-12
        );
        for bad in [0.0, -1.0, f64::NAN] {
            let readings = Readings::Caught {
                volume: (bad, 0.04),
                loads: (24.0, 0.0),
            };
            assert!(readings.drag_out().is_err(), "{bad}");
        }
    }

    /// Hand derivation: what is measured in the small limit is V·rise/(n·bath); two analyses of 5 % that stand at 0.2 and 0.5 g/L leave the rise of
    /// 0.3 g/L within 0.05·√(0.5² + 0.2²)/0.3 = 9.0 %.
    #[test]
    fn a_rise_between_two_analyses_carries_both() {
        let readings = |before: f64| Readings::Rise {
            tank: (0.4, 0.0),
            before,
            after: (before + 0.3, 0.05),
            bath: (300.0, 0.0),
            loads: (20.0, 0.0),
        };
        let found = readings(0.2).drag_out().unwrap();
        let linear = 0.4 * 0.3 / (20.0 * 300.0);
        // The rinse ends below 0.2 % of the bath, so the linear form is as good as that.
        assert!((found.m3_per_load / linear - 1.0).abs() < 2e-3);
        let within = 0.05 * 0.5_f64.hypot(0.2) / 0.3;
        assert!((found.relative_uncertainty / within - 1.0).abs() < 2e-3);
        let fresh = readings(0.0).drag_out().unwrap();
        assert!((fresh.relative_uncertainty / 0.05 - 1.0).abs() < 2e-3);
    }

    /// Hand derivation: 0.15 L a rack is 0.1 L/m² on 1.5 m², and 3 L/h at 20 racks an hour.
    #[test]
    fn each_way_of_counting_takes_its_own() {
        let found = Readings::Caught {
            volume: (3e-3, 0.05),
            loads: (20.0, 0.0),
        };
        let found = found.drag_out().unwrap();
        let value = |as_: CountedAs, other: f64| as_.value("p", &found, other).map(|m| m.si);
        let near = |a: Option<f64>, b: f64| (a.unwrap() / b - 1.0).abs() < 1e-12;
        assert!(near(value(CountedAs::Film, 1.5), 0.1e-3));
        assert!(near(value(CountedAs::Flow, 20.0 / 3600.0), 3e-3 / 3600.0));
        assert!(near(value(CountedAs::Rack, 0.0), 0.15e-3));
        assert_eq!(value(CountedAs::Film, 0.0), None);
        assert_eq!(value(CountedAs::Flow, -1.0), None);
    }
}
