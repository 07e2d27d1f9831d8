//! A scenario with its plant.

use std::sync::Arc;

use dragback_plant::{Amount, NetworkError, Plant, TowerCache};
use dragback_run::{RunError, World};
use dragback_scenario::{Problem, Scenario};
use thiserror::Error;

/// Why there is no answer.
#[derive(Clone, Debug, Error)]
pub enum StudyError {
    /// The scenario does not make a plant.
    #[error("{}", problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Scenario {
        /// Everything that is wrong.
        problems: Vec<Problem>,
    },
    /// The plant cannot run.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// The run stopped.
    #[error(transparent)]
    Run(#[from] RunError),
}

impl StudyError {
    /// What is wrong; `write` writes a number with its unit.
    pub fn words(&self, write: &dyn Fn(Amount) -> String) -> String {
        match self {
            Self::Run(fault) => fault.words(write),
            Self::Network(NetworkError::Tower { name, source }) => {
                format!("{name}: {}", source.words(write))
            }
            other => other.to_string(),
        }
    }

    /// Whether [`words`](Self::words) tells all: a tower's fault stands in what it says already.
    #[must_use]
    pub const fn tells_all(&self) -> bool {
        matches!(
            self,
            Self::Run(RunError::Tower { .. }) | Self::Network(NetworkError::Tower { .. })
        )
    }
}

/// A scenario with its plant.
#[derive(Clone)]
pub struct Case {
    /// The scenario.
    pub scenario: Arc<Scenario>,
    /// What it compiles to.
    pub plant: Arc<Plant>,
    /// Tower tables shared between cases.
    pub cache: TowerCache,
}

impl Case {
    /// Compiles a scenario.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn new(scenario: Arc<Scenario>, cache: &TowerCache) -> Result<Self, StudyError> {
        let network = dragback_scenario::lower(&scenario)
            .map_err(|problems| StudyError::Scenario { problems })?;
        let plant = Arc::new(Plant::new(Arc::new(network), cache)?);
        Ok(Self {
            scenario,
            plant,
            cache: cache.clone(),
        })
    }

    /// The world at time zero.
    #[must_use]
    pub fn world(&self) -> World {
        World::new(Arc::clone(&self.plant), self.cache.clone())
    }
}
