//! Numerical methods that know nothing of plating: an explicit step with error control and dense output, a linear solve for
//! transport matrices, and a fixed-point accelerator.

mod anderson;
mod bs23;
mod transport;

pub use anderson::Anderson;
pub use bs23::{Bs23, StepError, System, Tolerance};
pub use transport::{SingularTransport, TransportMatrix};
