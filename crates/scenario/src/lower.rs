//! From a scenario to the network that runs.
//!
//! Stations, pumps and electrodes become vessels, transfers, relays and devices here and nowhere else. Names of devices and relays are
//! the paths of what they belong to, so that events can address them; names of vessels are those that people use.

pub mod account;
mod bath;
mod builder;
mod chemistry;
mod events;
mod film;
mod holding;
mod levels;
mod rinses;
mod roles;
mod site;
mod tower;

pub(crate) use bath::over_temperature_k as bath_over_temperature_k;
pub(crate) use chemistry::{bath_concentrations, used_species, yields};
pub use chemistry::{salt_yields, species_of};
pub(crate) use film::{films_m, measured_rise};
pub(crate) use levels::{bath_bands, shape};
pub use site::calendar_of;
pub(crate) use site::open_share;
pub(crate) use tower::{fan_warming_k, tower_of, works_at_all};

use dragback_plant::network::Network;

use crate::problem::Problem;
use crate::schema::Scenario;
use builder::Builder;

/// Turns a scenario into a network.
///
/// Events that set inputs become networks of their own, one for each, with every earlier timed change in force.
///
/// # Errors
/// Whatever [`check`](crate::check) finds, and an event that would change the make-up of the network, not only its figures.
pub fn lower(scenario: &Scenario) -> Result<Network, Vec<Problem>> {
    let problems = crate::check(scenario);
    if problems.is_empty() {
        lower_checked(scenario)
    } else {
        Err(problems)
    }
}

/// [`lower`] for a scenario that [`load`](crate::load) or [`check`](crate::check) has just found good, without checking it again.
///
/// # Errors
/// As for [`lower`]; a reference that leads nowhere is reported too.
pub fn lower_checked(scenario: &Scenario) -> Result<Network, Vec<Problem>> {
    let mut builder = Builder::base(scenario);
    events::lower(&mut builder);
    builder.finish()
}

/// Names of all devices of a scenario, as events address them.
#[must_use]
pub fn device_names(scenario: &Scenario) -> Vec<String> {
    Builder::base(scenario)
        .net
        .devices
        .into_iter()
        .map(|d| d.name)
        .collect()
}

/// Names of all electrodes, thermostats and alarms of a scenario, as events address them.
#[must_use]
pub fn relay_names(scenario: &Scenario) -> Vec<String> {
    Builder::base(scenario)
        .net
        .relays
        .into_iter()
        .map(|r| r.name)
        .collect()
}
