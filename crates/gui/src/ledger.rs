//! What came in, went out and is held: which stretch of time is told, the lines of one quantity, and where their bands go.
//!
//! Width is amount, shade is strength, as in the drawing of the loop.

mod bands;
mod sheet;
mod span;

pub use bands::{Band, Bands, HAIRLINE, bands, least_height};
pub use sheet::{Line, Sheet, quantity_name};
pub use span::{Back, Told, told};
