//! The scenario document: every record and every input, each declared once.
//!
//! Reading order: the document, the site, then one loop from the work through the bath and the rinses to the holding tank
//! and the towers, and last what happens during a run.

mod bath;
mod climate;
mod document;
mod events;
mod holding;
mod line;
mod prices;
mod site;
mod tank;
mod time;
mod tower;

pub use bath::{Additions, Anode, Bath, MakeUp, Rectifier};
pub use climate::{Air, AirMap, Month};
pub use document::{Loop, Scenario, TitleBlock};
pub use events::{Deed, Dump, Event, SetValue};
pub use holding::{Coil, Collection, Control, Electrodes, Element, Holding, Return, ReturnRule};
pub use line::{
    DragIn, DragOut, Drain, Feed, Measured, PartClass, Section, Spray, Still, Visit, Weir, Work,
};
pub use prices::{Capital, Electricity, Fee, Fuel, HeatFrom, Labour, Prices, Treatment};
pub use site::{Calendar, SaltDef, Shutdown, Site, SpeciesDef, Water, Window};
pub use tank::Tank;
pub use time::{Clock, Days};
pub use tower::{Contact, FanPlace, FedFrom, Rated, Tower, TowerAir};
