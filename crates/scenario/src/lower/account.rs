//! Ledger lines: every named way across the boundary of a plating line.

use dragback_plant::network::Side;

/// Name and side of a ledger line.
pub type Line = (&'static str, Side);

/// Fresh water to rinses.
pub const RINSE_WATER: Line = ("rinse water", Side::In);
/// Sprays over stations.
pub const SPRAY_WATER: Line = ("spray water", Side::In);
/// Plain water into baths.
pub const MAKE_UP: Line = ("make-up water", Side::In);
/// Refills of still rinses.
pub const STILL_WATER: Line = ("still-rinse water", Side::In);
/// Salts and solutions added to a bath; each loop has its own, with the loop in front of the name where there are several.
pub const ADDITIONS: Line = ("additions", Side::In);
/// Metal that anodes give.
pub const ANODES: Line = ("anodes", Side::In);
/// What else comes out of anodes.
pub const ANODE_IMPURITIES: Line = ("impurities of anodes", Side::In);
/// Film that work brings from a step before the line.
pub const DRAG_IN: Line = ("drag-in", Side::In);
/// Soil on arriving work.
pub const ARRIVING_WORK: Line = ("on arriving work", Side::In);
/// Heaters of baths and holding tanks.
pub const HEATERS: Line = ("heaters", Side::In);
/// Coolers of baths.
pub const COOLERS: Line = ("coolers", Side::Out);
/// Heat of the current.
pub const RECTIFIER: Line = ("rectifier", Side::In);
/// Heat of feed pumps.
pub const PUMPS: Line = ("pumps", Side::In);
/// The last film on the work.
pub const ON_WORK: Line = ("on work", Side::Out);
/// Water to treatment.
pub const TREATMENT: Line = ("to treatment", Side::Out);
/// Water and heat that leave with the air of towers.
pub const TOWERS: Line = ("evaporated in towers", Side::Out);
/// Droplets up a stack.
pub const STACK: Line = ("up the stack", Side::Out);
/// What evaporates from open tanks.
pub const SURFACES: Line = ("evaporated from surfaces", Side::Out);
/// Heat that walls and surfaces lose.
pub const LOSSES: Line = ("heat lost to the air", Side::Out);
/// Metal plated.
pub const DEPOSITED: Line = ("deposited", Side::Out);
/// Water that the current decomposes.
pub const DECOMPOSED: Line = ("gassed off", Side::Out);
/// Bath bled to treatment.
pub const PURGED: Line = ("purged", Side::Out);
/// What a purification takes out.
pub const PURIFIED: Line = ("purified", Side::Out);
/// What runs over a brim.
pub const SPILLED: Line = ("spilled", Side::Out);
/// What events pump out.
pub const DUMPED: Line = ("dumped", Side::Out);
