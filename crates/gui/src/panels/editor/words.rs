//! Names of fields as people in the trade say them, where the file's own word is too short.

use dragback_study::verdict::capitalised;

/// A field's own name.
pub fn label(name: &str, holder: &str) -> String {
    let words = match (holder, name) {
        ("route", "at") => "station",
        ("events", "at") => "time",
        ("events", "when") => "or when this is made",
        (_, "do") => "what happens",
        (_, "return") => "return of concentrate",
        (_, "ua") => "coefficient times area (U·A)",
        (_, "restore") if holder == "additions" => "restored by",
        (_, "stick") => "sticks",
        (_, "free") => "moves again",
        (_, "fail") => "fails",
        (_, "restore") => "works again",
        (_, "by_hand") => "run by hand",
        (_, "automatic") => "back to automatic",
        (_, "reset") => "reset",
        (_, "dump") => "pumped out",
        (_, "stop_water") => "water fails",
        (_, "restore_water") => "water returns",
        (_, "set") => "new value",
        (_, "more") => "further open windows",
        (_, "to") if holder == "calendars" => "closes",
        (_, "from") if holder == "calendars" => "opens",
        (_, "transfer") => "contact",
        (_, "fed_from") => "fed from",
        (_, "lead") => "lead species",
        (_, "on") => "in use",
        (_, "elements") => "heating elements",
        (_, "sections") => "rinse sections",
        (_, "stills") => "still rinses",
        (_, "towers") => "evaporators",
        (_, "salts") => "chemicals",
        (_, "yields") => "becomes in solution",
        (_, "loops") => "loops",
        (_, "drag_out") => "drag-out",
        (_, "drag_in") => "drag-in",
        (_, "make_up") => "make-up",
        (_, "carry_over") => "carry-over",
        (_, "over_temperature_offset") => "over-temperature offset",
        (_, "recipe") => "recipe",
        (_, "soil") => "soil on the work",
        (_, "outside") => "air outdoors",
        (_, "room") => "air of the room",
        (_, other) => return capitalised(&other.replace('_', " ")),
    };
    capitalised(words)
}

/// What one thing of a list or map is called.
pub fn one_of(list: &str) -> &'static str {
    match list {
        "sections" => "rinse section",
        "stills" => "still rinse",
        "route" => "visit",
        "elements" => "heating element",
        "towers" => "evaporator",
        "calendars" => "calendar",
        "more" => "window",
        "shutdowns" => "shutdown",
        "waters" => "water",
        "species" => "species",
        "salts" => "chemical",
        "recipe" => "chemical",
        "restore" => "species to restore",
        "per_charge" => "dosed chemical",
        "classes" => "kind of parts",
        "events" => "event",
        "loops" => "loop",
        "items" => "price",
        "contaminants" | "impurity_limits" | "purification" | "solutes" | "soil" | "yields"
        | "anode_impurities" => "species",
        _ => "entry",
    }
}

/// How a new key begins.
pub fn key_stem(list: &str) -> &'static str {
    match list {
        "sections" => "rinses",
        "stills" => "still",
        "elements" => "e",
        "towers" => "t",
        "calendars" => "calendar",
        "waters" => "water",
        "species" => "Own",
        "salts" => "own-salt",
        "classes" => "parts",
        "loops" => "loop",
        _ => "new",
    }
}

/// A word of the file as it is said.
pub fn said(word: &str) -> String {
    match word {
        "true" => "yes".to_owned(),
        "false" => "no".to_owned(),
        other => other.replace('_', " "),
    }
}
