//! What a network must fulfil before it is run.

use thiserror::Error;

use crate::network::{End, Law, Network};

/// Why a network cannot run.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NetworkError {
    /// Tanks that overflow into one another in a ring.
    #[error("these overflows run in a ring, so no tank could shed water: {}; lead one of them out of the ring", names.join(", "))]
    OverflowCycle {
        /// Names of the transfers.
        names: Vec<String>,
    },
    /// A figure that must be positive is not.
    #[error("{what} of {name} is {value} {unit}; it must be above zero and finite")]
    NotPositive {
        /// Name of the part.
        name: String,
        /// Which figure.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Unit of the value.
        unit: &'static str,
    },
    /// A list refers to something that does not exist.
    #[error("{name} refers to {what} number {index}, but there are only {count}")]
    NoSuch {
        /// Name of the part that refers.
        name: String,
        /// What it refers to.
        what: &'static str,
        /// The number.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// A device depends on one that comes later in the list.
    #[error("device {name} depends on {other}, which comes after it; list {other} first")]
    DeviceOrder {
        /// The device.
        name: String,
        /// The one it depends on.
        other: String,
    },
    /// Thresholds in the wrong order.
    #[error("relay {name}: the lower threshold {lower} must be below the upper one {upper}")]
    ThresholdOrder {
        /// The relay.
        name: String,
        /// Lower threshold.
        lower: f64,
        /// Upper threshold.
        upper: f64,
    },
    /// A tower that cannot be worked out.
    #[error("{name}: {source}")]
    Tower {
        /// The tower.
        name: String,
        /// What is wrong.
        source: dragback_properties::tower::TowerError,
    },
    /// Air that cannot be.
    #[error("air over the tanks: {0}")]
    Air(#[from] dragback_properties::air::AirError),
    /// More solutes than the balances are built for.
    #[error("{count} solutes are more than the {max} that a network may hold")]
    TooManySolutes {
        /// How many.
        count: usize,
        /// Ceiling.
        max: usize,
    },
}

/// Largest number of solutes in a network.
pub const MAX_SOLUTES: usize = 64;

fn positive(
    name: &str,
    what: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<(), NetworkError> {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    Err(NetworkError::NotPositive {
        name: name.to_owned(),
        what,
        value,
        unit,
    })
}

fn within(name: &str, what: &'static str, index: usize, count: usize) -> Result<(), NetworkError> {
    if index < count {
        return Ok(());
    }
    Err(NetworkError::NoSuch {
        name: name.to_owned(),
        what,
        index,
        count,
    })
}

/// Checks a network.
///
/// # Errors
/// The first fault found.
pub fn check(net: &Network) -> Result<(), NetworkError> {
    if net.solutes.len() > MAX_SOLUTES {
        return Err(NetworkError::TooManySolutes {
            count: net.solutes.len(),
            max: MAX_SOLUTES,
        });
    }
    for v in &net.vessels {
        positive(&v.name, "the footprint", v.shape.footprint_m2, "m²")?;
        positive(&v.name, "the full volume", v.full_m3, "m³")?;
        positive(&v.name, "the starting volume", v.initial.volume_m3, "m³")?;
        within(&v.name, "climate", v.climate.index(), net.climates.len())?;
        let given = v.initial.concentration_kg_per_m3.len();
        within(
            &v.name,
            "starting concentration",
            net.solutes.len(),
            given + 1,
        )?;
    }
    for t in &net.transfers {
        for end in [t.from, t.to] {
            match end {
                End::Vessel(v) => within(&t.name, "vessel", v.index(), net.vessels.len())?,
                End::Supply(s, a) => {
                    within(&t.name, "supply", s.index(), net.supplies.len())?;
                    within(&t.name, "account", a.index(), net.accounts.len())?;
                }
                End::Account(a) => within(&t.name, "account", a.index(), net.accounts.len())?,
            }
        }
        if let Law::Film { work, .. } = t.law {
            within(&t.name, "work", work.index(), net.works.len())?;
        }
        if let Some(d) = t.gate.device {
            within(&t.name, "device", d.index(), net.devices.len())?;
        }
    }
    for h in &net.heats {
        within(&h.name, "vessel", h.vessel.index(), net.vessels.len())?;
    }
    for r in &net.relays {
        within(
            &r.name,
            "vessel",
            r.signal.vessel().index(),
            net.vessels.len(),
        )?;
        if r.lower >= r.upper {
            return Err(NetworkError::ThresholdOrder {
                name: r.name.clone(),
                lower: r.lower,
                upper: r.upper,
            });
        }
    }
    check_devices(net)
}

fn check_devices(net: &Network) -> Result<(), NetworkError> {
    for (i, d) in net.devices.iter().enumerate() {
        for other in d.depends_on() {
            within(&d.name, "device", other.index(), net.devices.len())?;
            if other.index() >= i {
                let other = net.devices[other.index()].name.clone();
                return Err(NetworkError::DeviceOrder {
                    name: d.name.clone(),
                    other,
                });
            }
        }
    }
    Ok(())
}
