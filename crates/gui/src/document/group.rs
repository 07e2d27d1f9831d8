//! Groups of inputs, and names made of paths.

use dragback_scenario::in_words;
use dragback_study::verdict::capitalised;

/// Where an input stands among the levers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// What passes through, and when.
    Work,
    /// Rinses, stills, waters and the route.
    Rinses,
    /// Collection and holding tank.
    Holding,
    /// Evaporators.
    Tower,
    /// The process bath.
    Bath,
    /// Air and site.
    Room,
    /// Prices.
    Prices,
    /// Everything else, and the other loops: found by searching.
    Other,
}

impl Group {
    /// Groups that are shown, in order.
    pub const SHOWN: [Self; 7] = [
        Self::Work,
        Self::Rinses,
        Self::Holding,
        Self::Tower,
        Self::Bath,
        Self::Room,
        Self::Prices,
    ];

    /// Name to show.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Work => "Work",
            Self::Rinses => "Rinses",
            Self::Holding => "Holding tank",
            Self::Tower => "Tower",
            Self::Bath => "Bath",
            Self::Room => "Room",
            Self::Prices => "Prices",
            Self::Other => "More",
        }
    }
}

/// The group of an input by its path, seen from one loop.
#[must_use]
pub fn group_of(path: &str, loop_key: &str) -> Group {
    let mut parts = path.split('.');
    match parts.next() {
        Some("site") => Group::Room,
        Some("prices") => Group::Prices,
        Some("calendars") => Group::Work,
        Some("waters") => Group::Rinses,
        Some(key) if key == loop_key => match parts.next() {
            Some("work") => Group::Work,
            Some("bath") => Group::Bath,
            Some("sections" | "stills" | "route" | "final_limit") => Group::Rinses,
            Some("holding_tank" | "collection") => Group::Holding,
            Some("towers") => Group::Tower,
            _ => Group::Other,
        },
        _ => Group::Other,
    }
}

/// Segments at the head of a path that its group says already.
fn said_by_group(path: &str, loop_key: &str, group: Group) -> usize {
    let second = || path.split('.').nth(1);
    match group {
        Group::Room | Group::Prices => 1,
        Group::Other => 0,
        Group::Work | Group::Rinses if path.split('.').next() != Some(loop_key) => 1,
        Group::Work | Group::Bath | Group::Tower => 2,
        Group::Rinses if second() == Some("final_limit") => 1,
        Group::Rinses => 2,
        Group::Holding if second() == Some("collection") => 1,
        Group::Holding => 2,
    }
}

/// The name of an input that tells it from all others, and the one within its group.
#[must_use]
pub fn names(path: &str, loop_key: &str, group: Group) -> (String, String) {
    let skip = said_by_group(path, loop_key, group);
    let own: Vec<&str> = path.split('.').skip(skip).collect();
    if own.is_empty() {
        // The whole of what the group is about.
        return (group.name().to_owned(), group.name().to_owned());
    }
    // Keys such as those of calendars and waters do not say what they are.
    let words = in_words(&own.join("."));
    let name = format!("{}: {words}", group.name());
    (name, capitalised(&words))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(path: &str) -> (Group, String, String) {
        let group = group_of(path, "loop");
        let (name, short) = names(path, "loop", group);
        (group, name, short)
    }

    #[test]
    fn a_part_that_is_a_whole_group_goes_by_its_name() {
        let name = "Holding tank".to_owned();
        let wanted = (Group::Holding, name.clone(), name);
        assert_eq!(told("loop.holding_tank"), wanted);
        assert_eq!(told("loop.towers").1, "Tower");
    }

    #[test]
    fn paths_become_groups_and_names() {
        for (path, group, name, short) in [
            (
                "loop.holding_tank.set_point",
                Group::Holding,
                "Holding tank: set point",
                "Set point",
            ),
            (
                "loop.bath.recipe.NiSO4.6H2O",
                Group::Bath,
                "Bath: recipe, NiSO4·6H2O",
                "Recipe, NiSO4·6H2O",
            ),
            (
                "loop.collection.start_fill",
                Group::Holding,
                "Holding tank: collection, start fill",
                "Collection, start fill",
            ),
            (
                "loop.sections.rinses.flow",
                Group::Rinses,
                "Rinses: rinses, flow",
                "Rinses, flow",
            ),
            (
                "waters.tap.temperature",
                Group::Rinses,
                "Rinses: tap, temperature",
                "Tap, temperature",
            ),
            (
                "site.room.Jan.temperature",
                Group::Room,
                "Room: room, Jan, temperature",
                "Room, Jan, temperature",
            ),
            (
                "other.bath.set_point",
                Group::Other,
                "More: other, bath, set point",
                "Other, bath, set point",
            ),
        ] {
            assert_eq!(told(path), (group, name.to_owned(), short.to_owned()));
        }
    }
}
