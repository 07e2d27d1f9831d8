//! From a scenario to its answers: runs, the settled week, margins, outlook, curves.
//!
//! [`Case`] joins a scenario to its plant. [`settled_answers`] gives what the terminal and the window show of the settled week,
//! [`run_span`] runs a stretch of time, [`curves`] reads series for plots and tables. The crate opens no file.

pub mod advice;
mod alarms;
mod amount;
mod answers;
pub mod balance;
mod books;
mod case;
pub mod compare;
mod counted;
pub mod curves;
mod figures;
mod film;
mod growth;
mod heating;
mod losses;
mod margin;
pub mod money;
mod names;
mod outlook;
mod pin;
mod refined;
mod saturation;
mod settled;
mod settling;
pub mod size;
mod solutes;
mod span;
mod spread;
mod stack;
mod stretch;
mod trust;
pub mod upsets;
pub mod verdict;
mod worth;

pub use alarms::{alarm_answers, alarm_called};
pub use amount::measured;
pub use answers::{
    AlarmAnswer, Answers, BathAnswer, EnergyLine, EventAnswer, FinalRinse, FirstLimit,
    ImpurityAnswer, LedgerAnswer, LoopAnswer, LossAnswer, Margin, MassLine, PrecipitationAnswer,
    SaltAnswer, SaturationAnswer, SoluteAnswer, StackAnswer, Stores, StreamAnswer, VesselAnswer,
    Way,
};
pub use case::{Case, StudyError};
pub use counted::{Counted, ToldAs};
pub use dragback_plant::climate::AirChoice;
pub use dragback_run::clock::{Clock, Hours};
pub use figures::{told_l_per_h, told_m3_per_s};
pub use settled::{Depth, SettledCase, settled_answers};
pub use span::{Driver, Span, run_span};
pub use spread::spread;
pub use stretch::{StretchLedger, ledger_between, loop_between};
pub use trust::{trusted_conductivity, trusted_strength};
pub use worth::Worth;
