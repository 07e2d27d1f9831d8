//! The least rinse flow of a layout, and the towers that go with it.

use dragback_plant::climate::AirChoice;
use dragback_scenario::{ClosedBy, Equipment};

use super::need::Need;
use super::root::{KNOWN, Root};
use super::search::{Search, Stop, whole};
use super::week::Week;
use super::{Limit, MOST_TOWERS};

/// Most weeks that are settled to find the flow.
const MOST_WEEKS: usize = 18;
/// Flows that differ by less are one.
const SAME_FLOW: f64 = 0.02;
/// Rinse water under this share of the drag-out is next to none.
const NEXT_TO_NONE: f64 = 0.05;

/// How many towers there are while the flow is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rule {
    /// As many as the flow asks for.
    AsNeeded,
    /// So many.
    Fixed(usize),
}

/// A flow that just keeps the film, with the towers that it needs.
pub(super) struct Found {
    pub equipment: Equipment,
    pub need: Need,
    /// The settled week of that flow, next to.
    pub week: Week,
    /// By how much the logarithm of the film falls with that of the flow.
    pub slope: f64,
    /// The air in which the film is strongest.
    pub film_air: AirChoice,
}

/// What came of looking for a flow.
pub(super) enum Sought {
    /// A flow.
    Found(Box<Found>),
    /// The flow asks for more towers than there are.
    TooFew(Need),
    /// None that can be told.
    Unknown(Limit),
}

impl Sought {
    /// The flow; what stops it where there is none.
    pub(super) fn found(self, too_few: Limit) -> Result<Found, Stop> {
        match self {
            Self::Found(found) => Ok(*found),
            Self::TooFew(_) => Err(Stop::Limit(too_few)),
            Self::Unknown(limit) => Err(Stop::Limit(limit)),
        }
    }
}

/// Whether the bath has room for the flow that it takes.
struct Room {
    /// Logarithm of the least flow that a full bath cut, and of the greatest one that left the film too strong without.
    cut_at: f64,
    short_at: f64,
}

impl Default for Room {
    fn default() -> Self {
        Self {
            cut_at: f64::INFINITY,
            short_at: f64::NEG_INFINITY,
        }
    }
}

impl Room {
    /// Whether a full bath cuts the rinses before the film is clean.
    fn is_full_before_clean(&mut self, at: f64, miss: f64, is_cut: bool) -> bool {
        if is_cut {
            self.cut_at = self.cut_at.min(at);
        } else if miss > 0.0 {
            self.short_at = self.short_at.max(at);
        }
        is_cut && miss > 0.0 || self.cut_at - self.short_at < SAME_FLOW
    }
}

impl Search<'_, '_> {
    /// Finds the flow that just keeps the film, from a guess, up to the most that is looked at.
    pub(super) fn flow(&mut self, start: f64, most: f64, rule: Rule) -> Result<Sought, Stop> {
        let limit = self.sizing.layouts.final_limit_kg_per_m3();
        let (out_m3_per_s, _) = self.sizing.layouts.drag_out_m3_per_s();
        let most = most.ln();
        let mut root = Root::new(start.ln().min(most), f64::from(self.layout.stages));
        let mut towers = self.first_towers(root.at.exp(), rule)?;
        let (mut least, mut is_cold, mut room) = (0, false, Room::default());
        let mut last = Limit::NotSharp;
        for _ in 0..MOST_WEEKS {
            let rinse = root.at.exp();
            if rinse < NEXT_TO_NONE * out_m3_per_s {
                return Ok(Sought::Unknown(Limit::CleanAnyway));
            }
            let mut equipment = self.provisional(rinse, towers);
            if is_cold {
                equipment.heater_w = 0.0;
            }
            let week = self.near_week(&equipment, AirChoice::Mean)?;
            let miss = (week.worst_film_kg_per_m3() / limit).ln();
            let need = self.need(&week);
            let is_cut = week.is_cut();
            let is_asked = miss > -KNOWN || root.is_found(miss);
            if miss > -KNOWN {
                self.is_too_much(&week, need)?;
            }
            // More water runs in the more is fed, and a bath that is full takes none: what is too few here stays so.
            let is_full = room.is_full_before_clean(root.at, miss, is_cut);
            let is_too_few = need.towers > towers && is_asked || is_full;
            let is_at_most = miss > 0.0 && root.at >= most - KNOWN;
            if is_at_most || is_too_few && matches!(rule, Rule::Fixed(_)) {
                return Ok(Sought::TooFew(need));
            }
            if is_too_few && self.layout.closed_by != ClosedBy::Surface {
                least = need.towers.max(towers + 1);
                room = Room::default();
            }
            if least > MOST_TOWERS {
                let towers = least;
                return Err(Stop::Limit(Limit::TooManyTowers { towers }));
            }
            last = if is_cut {
                Limit::NoRoom
            } else {
                Limit::NotSharp
            };
            let wanted = match rule {
                Rule::Fixed(towers) => towers,
                Rule::AsNeeded if self.layout.closed_by == ClosedBy::Surface => 0,
                Rule::AsNeeded => need.towers.max(least).min(MOST_TOWERS),
            };
            let is_sized = wanted == towers && is_cold == need.is_cold;
            if is_sized && !is_cut && root.is_found(miss) {
                let equipment = Equipment {
                    rinse_m3_per_s: root.found(miss).exp(),
                    ..equipment
                };
                return Ok(Sought::Found(Box::new(Found {
                    equipment,
                    need,
                    week,
                    slope: root.slope,
                    film_air: AirChoice::Mean,
                })));
            }
            if is_cut {
                // The film tells nothing of the flow; what was let in is enough where it is clean.
                root.reset();
                if miss <= 0.0 {
                    root.at += week.fed_share().ln() - KNOWN;
                }
            } else {
                root.go(miss);
                root.at = root.at.min(most);
            }
            if is_cold != need.is_cold {
                root.reset();
            }
            (towers, is_cold) = (wanted, need.is_cold);
        }
        Ok(Sought::Unknown(last))
    }

    /// Towers of the first week.
    fn first_towers(&self, start: f64, rule: Rule) -> Result<usize, Stop> {
        let forced = self.forced_by_hand(start);
        Ok(match (rule, self.layout.closed_by) {
            (Rule::Fixed(towers), _) => towers,
            (_, ClosedBy::Surface) => 0,
            _ => whole(self.towers_by_hand(forced)?).clamp(1, MOST_TOWERS),
        })
    }

    /// Whether even the film that is still too strong takes more water than can be driven off.
    fn is_too_much(&self, week: &Week, need: Need) -> Result<(), Stop> {
        let forced = need.forced_m3_per_s;
        match self.layout.closed_by {
            ClosedBy::Surface if need.worst_m3_per_s > 0.01 * forced => {
                Err(Stop::Limit(need.more_than_surface()))
            }
            ClosedBy::Surface if week.is_cut() => Err(Stop::Limit(Limit::NoRoom)),
            ClosedBy::HoldingTank if need.towers > MOST_TOWERS => {
                let towers = need.towers;
                Err(Stop::Limit(Limit::TooManyTowers { towers }))
            }
            _ => Ok(()),
        }
    }
}
