//! Words as people say and write them.

use dragback_properties::species;

/// The name of a solute by its key, for the beginning of a sentence: `Nickel` for `Ni`. Hexavalent chromium is counted as chromic acid, CrO3.
#[must_use]
pub fn solute(key: &str) -> String {
    let known = match key {
        "Ni" => "Nickel",
        "Zn" => "Zinc",
        "Cu" => "Copper",
        "Sn" => "Tin",
        "Fe" => "Iron",
        "Cr6" => "Chromic acid",
        "Cr3" => "Trivalent chromium",
        "Na" => "Sodium",
        "Ca" => "Calcium",
        "Mg" => "Magnesium",
        "Cl" => "Chloride",
        "SO4" => "Sulfate",
        _ => "",
    };
    if !known.is_empty() {
        return known.to_owned();
    }
    species::builtin(key).map_or_else(|| key.to_owned(), |s| s.name.clone().into_owned())
}

/// How many things are wrong with the edited line.
#[must_use]
pub fn faults(count: usize) -> String {
    match count {
        1 => "one thing in the edited line is wrong".to_owned(),
        n => format!("{n} things in the edited line are wrong"),
    }
}

/// Words with a capital first letter and a stop.
#[must_use]
pub fn sentence(words: &str) -> String {
    format!("{}.", dragback_study::verdict::capitalised(words))
}

/// How long ago something was, roughly.
#[must_use]
pub fn ago(at: std::time::SystemTime) -> String {
    let minutes = at.elapsed().map_or(0, |d| d.as_secs() / 60);
    match minutes {
        0 => "within the last minute".to_owned(),
        1 => "a minute ago".to_owned(),
        2..120 => format!("{minutes} minutes ago"),
        120..2880 => format!("{} hours ago", minutes / 60),
        _ => format!("{} days ago", minutes / 1440),
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn metals_are_called_by_their_names() {
        assert_eq!(super::solute("Ni"), "Nickel");
        assert_eq!(super::solute("Brightener"), "Brightener");
    }
}
