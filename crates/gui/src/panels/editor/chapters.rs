//! The chapters of the editor: each part of a scenario stands in exactly one.

use dragback_scenario::{Part, Spot};

/// A chapter.
pub struct Chapter {
    /// Its name.
    pub name: &'static str,
    /// What stands in it.
    pub about: &'static str,
    /// What it claims; `~` stands for the loop that is shown.
    claims: &'static [&'static [&'static str]],
}

const LOOP: &str = "~";

/// All of them, in the order in which they are listed. The first takes what no other claims.
pub const CHAPTERS: [Chapter; 17] = [
    Chapter {
        name: "Title and loops",
        about: "What the line is called, by which species it is judged, and which baths with their loops it has.",
        claims: &[],
    },
    Chapter {
        name: "Route",
        about: "The stations that the work visits, in order. A station may be visited more than once.",
        claims: &[&["loops", LOOP, "route"]],
    },
    Chapter {
        name: "Rinse sections",
        about: "Runs of counterflow rinses: fresh water enters the last stage and leaves from the first. The route says when work visits them.",
        claims: &[&["loops", LOOP, "sections"]],
    },
    Chapter {
        name: "Still rinses",
        about: "Rinses without flow, such as a drag-out tank behind the bath.",
        claims: &[&["loops", LOOP, "stills"]],
    },
    Chapter {
        name: "Work and drag-out",
        about: "What passes through, when, and what it carries with it.",
        claims: &[&["loops", LOOP, "work"]],
    },
    Chapter {
        name: "Bath",
        about: "The process bath: its tank, recipe, temperature, make-up and limits.",
        claims: &[&["loops", LOOP, "bath"]],
    },
    Chapter {
        name: "Current and additions",
        about: "The rectifier, and chemicals that are added to hold the bath.",
        claims: &[
            &["loops", LOOP, "bath", "rectifier"],
            &["loops", LOOP, "bath", "additions"],
        ],
    },
    Chapter {
        name: "Collection tank",
        about: "The tank that collects the overflow of the rinses.",
        claims: &[&["loops", LOOP, "collection"]],
    },
    Chapter {
        name: "Holding tank",
        about: "The heated tank that feeds the evaporator: heating elements one by one, levels, set points, and the return of concentrate.",
        claims: &[&["loops", LOOP, "holding_tank"]],
    },
    Chapter {
        name: "Evaporators",
        about: "Atmospheric evaporators, each with its fan, feed pump and contact.",
        claims: &[&["loops", LOOP, "towers"]],
    },
    Chapter {
        name: "Air and site",
        about: "Air of the room and outdoors, month by month or the same all year.",
        claims: &[&["site"]],
    },
    Chapter {
        name: "Calendars",
        about: "Open hours of a week, with holidays and overhauls. Work, rectifier, heaters and towers follow them by key.",
        claims: &[&["calendars"]],
    },
    Chapter {
        name: "Waters",
        about: "Water supplies: how warm they are and what they bring along.",
        claims: &[&["waters"]],
    },
    Chapter {
        name: "Species",
        about: "Dissolved species of your own, such as an additive, besides the built-in ones.",
        claims: &[&["species"]],
    },
    Chapter {
        name: "Chemicals",
        about: "Chemicals as bought, of your own: what a kilogram becomes in solution.",
        claims: &[&["salts"]],
    },
    Chapter {
        name: "Events",
        about: "What happens during the run: failures, repairs, new values, tanks pumped out.",
        claims: &[&["events"]],
    },
    Chapter {
        name: "Prices",
        about: "What water, chemicals, heat and treatment cost.",
        claims: &[&["prices"]],
    },
];

/// The chapter in which a spot stands.
pub fn chapter_of(spot: &Spot) -> usize {
    let fits = |claim: &&&[&str]| {
        let segments = spot.segments();
        segments.len() >= claim.len()
            && claim
                .iter()
                .zip(segments)
                .all(|(c, s)| *c == LOOP || c == s)
    };
    let longest = |chapter: &Chapter| {
        let all = chapter.claims.iter().filter(fits);
        all.map(|claim| claim.len()).max().unwrap_or(0)
    };
    let best = CHAPTERS.iter().enumerate().max_by_key(|(i, chapter)| {
        // The first of equals.
        (longest(chapter), std::cmp::Reverse(*i))
    });
    best.map_or(0, |(i, _)| i)
}

/// What a chapter shows of a scenario, seen from one loop.
pub fn roots<'p>(root: &'p Part, loop_key: &str, chapter: usize) -> Vec<&'p Part> {
    let line = Spot::of(&["loops", loop_key]);
    let claims = CHAPTERS.get(chapter).map_or(&[][..], |c| c.claims);
    if claims.is_empty() {
        let of_loop = root.find(&line).map_or(&[][..], Part::parts);
        let all = root.parts().iter().chain(of_loop);
        return all.filter(|p| chapter_of(&p.spot) == chapter).collect();
    }
    let spots = claims.iter().map(|claim| {
        let segments = claim.iter().map(|&s| if s == LOOP { loop_key } else { s });
        Spot::of(&segments.collect::<Vec<_>>())
    });
    spots.filter_map(|spot| root.find(&spot)).collect()
}
