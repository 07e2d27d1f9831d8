//! Numerical methods that know nothing of plating: an explicit step with error control and dense output, and a linear
//! solve for transport matrices.

mod bs23;
mod transport;

pub use bs23::{Bs23, StepError, System, Tolerance};
pub use transport::{SingularTransport, TransportMatrix};
