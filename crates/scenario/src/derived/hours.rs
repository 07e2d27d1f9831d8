//! Hours of work in a week, made from the calendar of the work: setting them makes each shift longer or shorter.

use std::collections::BTreeMap;

use dragback_units::constants::{SECONDS_PER_HOUR, hours};

use crate::problem::Problem;
use crate::record::{Mark, Meta};
use crate::schema::{Calendar, Clock, Days, Scenario, Window};

pub static HOURS: Meta = Meta {
    name: "hours_a_week",
    hint: "Hours of work in a week. More of them make every shift longer, up to the next one and into the weekend; fewer end it earlier. What follows the same calendar follows along.",
    unit: "h",
    allowed: Some((1.0, 168.0)),
    usual: Some((40.0, 144.0)),
    marks: &[Mark::Lever],
    ..Meta::EMPTY
};

/// Minutes of a day and of a week.
const DAY: usize = 24 * 60;
const WEEK: usize = 7 * DAY;

/// A time of work: its first minute in the week, and how many there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Spell {
    start: usize,
    length: usize,
}

/// Hours of work in a week of a loop, s; none where it works without a break or by a calendar that is not the scenario's own.
pub fn hours_s(scenario: &Scenario, key: &str) -> Option<f64> {
    let calendar = &scenario.loops.get(key)?.work.calendar;
    let minutes = minutes(&spells(scenario.calendars.get(calendar)?));
    Some(60.0 * whole_to_f64(minutes))
}

/// Gives a loop other hours of work in a week, to the minute.
///
/// # Errors
/// A calendar that is never open cannot be made longer.
pub fn set_hours(scenario: &mut Scenario, key: &str, wanted_s: f64) -> Result<(), Box<Problem>> {
    let Some(line) = scenario.loops.get(key) else {
        return Ok(());
    };
    let calendar = line.work.calendar.clone();
    let Some(calendar) = scenario.calendars.get_mut(&calendar) else {
        return Ok(());
    };
    let now = spells(calendar);
    let wanted = to_whole(60.0 * hours(wanted_s)).clamp(1, WEEK);
    if wanted == minutes(&now) {
        return Ok(());
    }
    if now.is_empty() {
        let message = "the calendar of the work is never open";
        return Err(Box::new(Problem::of_text(
            None,
            message,
            "give it days and hours",
        )));
    }
    let windows = windows(&scaled(&now, wanted));
    let mut all = windows.into_iter();
    if let Some(first) = all.next() {
        calendar.days = first.days;
        calendar.from = first.from;
        calendar.to = first.to;
        calendar.more = all.collect();
    }
    Ok(())
}

fn minutes(spells: &[Spell]) -> usize {
    spells.iter().map(|s| s.length).sum()
}

/// The open times of a week, in their order; one that runs over the end of the week begins before it.
fn spells(calendar: &Calendar) -> Vec<Spell> {
    let mut is_open = vec![false; WEEK];
    let own = [(&calendar.days, &calendar.from, &calendar.to)];
    let more = calendar.more.iter().map(|w| (&w.days, &w.from, &w.to));
    for (days, from, to) in own.into_iter().chain(more) {
        let (from, to) = (minute(from), minute(to));
        let length = if to > from {
            to - from
        } else {
            to + DAY - from
        };
        for (day, _) in days.open().iter().enumerate().filter(|(_, open)| **open) {
            for at in 0..length {
                is_open[(day * DAY + from + at) % WEEK] = true;
            }
        }
    }
    let Some(shut) = is_open.iter().position(|open| !open) else {
        return vec![Spell {
            start: 0,
            length: WEEK,
        }];
    };
    let mut found: Vec<Spell> = Vec::new();
    for step in 1..=WEEK {
        let at = (shut + step) % WEEK;
        if !is_open[at] {
            continue;
        }
        let before = (at + WEEK - 1) % WEEK;
        match found.last_mut().filter(|_| is_open[before]) {
            Some(last) => last.length += 1,
            None => found.push(Spell {
                start: at,
                length: 1,
            }),
        }
    }
    found.sort_by_key(|s| s.start);
    found
}

/// The same spells with so many minutes in all: each begins when it did.
fn scaled(spells: &[Spell], wanted: usize) -> Vec<Spell> {
    let total = minutes(spells);
    let mut scaled = spells.to_vec();
    if wanted < total {
        // Shares of what was, without a minute lost by rounding.
        let (mut before, mut given) = (0, 0);
        for spell in &mut scaled {
            before += spell.length;
            let until = before * wanted / total;
            spell.length = until - given;
            given = until;
        }
        scaled.retain(|s| s.length > 0);
        return scaled;
    }
    let count = spells.len();
    let room = |i: usize, length: usize| {
        let next = spells[(i + 1) % count].start;
        let gap = (next + WEEK - spells[i].start - 1) % WEEK + 1;
        gap - length
    };
    let mut left = wanted - total;
    while left > 0 {
        let open: Vec<usize> = (0..count)
            .filter(|&i| room(i, scaled[i].length) > 0)
            .collect();
        let mut weight: usize = open.iter().map(|&i| spells[i].length).sum();
        if open.is_empty() {
            break;
        }
        let mut share = left;
        for i in open {
            let own = (share * spells[i].length).div_ceil(weight);
            weight -= spells[i].length;
            share -= own;
            let added = own.min(room(i, scaled[i].length));
            scaled[i].length += added;
            left -= added;
        }
    }
    scaled
}

/// Spells as windows; those of the same hours share one.
fn windows(spells: &[Spell]) -> Vec<Window> {
    let mut by_hours: BTreeMap<(usize, usize), [bool; 7]> = BTreeMap::new();
    let mut note = |start: usize, length: usize| {
        let (day, from) = (start / DAY % 7, start % DAY);
        let to = (from + length - 1) % DAY + 1;
        by_hours.entry((from, to)).or_default()[day] = true;
    };
    for spell in spells {
        if spell.length <= DAY {
            note(spell.start, spell.length);
            continue;
        }
        // What is open for longer than a day is told day by day.
        let (mut at, end) = (spell.start, spell.start + spell.length);
        while at < end {
            let until = ((at / DAY + 1) * DAY).min(end);
            note(at, until - at);
            at = until;
        }
    }
    let each = by_hours.into_iter().filter_map(|((from, to), open)| {
        Some(Window {
            days: Days::of(open),
            from: clock(from)?,
            to: clock(to)?,
            notes: None,
        })
    });
    each.collect()
}

fn minute(clock: &Clock) -> usize {
    to_whole(60.0 * clock.seconds() / SECONDS_PER_HOUR)
}

fn clock(minute: usize) -> Option<Clock> {
    Clock::parse(&format!("{:02}:{:02}", minute / 60, minute % 60)).ok()
}

fn to_whole(minutes: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a week has some thousands"
    )]
    let whole = minutes.round().clamp(0.0, 2e4) as usize;
    whole
}

fn whole_to_f64(minutes: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a week has some thousands")]
    let minutes = minutes as f64;
    minutes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{get, load, save, set, set_si};

    const DEMO: &str = include_str!("../../../../scenarios/demo.ron");
    const PATH: &str = "loop.work.hours_a_week";

    fn demo() -> Scenario {
        load(DEMO).0.unwrap()
    }

    fn told(scenario: &Scenario) -> f64 {
        hours(get(scenario, PATH).unwrap().si().unwrap())
    }

    /// Two shifts on five days are 80 h; eight hours more each day are 24 on four of them, and the rest runs into Saturday.
    #[test]
    fn shifts_grow_to_the_next_one_and_then_into_the_weekend() {
        let mut line = demo();
        assert_eq!(told(&line), 80.0);
        set(&mut line, PATH, "100 h").unwrap();
        let shifts = line.calendars.get("shifts").unwrap();
        assert_eq!(
            (shifts.days.text(), shifts.from.text(), shifts.to.text()),
            ("Mon-Fri", "06:00", "02:00")
        );
        assert!(shifts.more.is_empty());
        set(&mut line, PATH, "50 h").unwrap();
        assert_eq!(line.calendars.get("shifts").unwrap().to.text(), "16:00");
        let mut line = demo();
        set(&mut line, PATH, "140 h").unwrap();
        assert_eq!(told(&line), 140.0);
        // Monday 06:00 to Saturday 06:00 is 120 h, and twenty more end on Sunday at 02:00.
        let again = load(&save(&line)).0.unwrap();
        assert_eq!(again, line);
        let found = spells(again.calendars.get("shifts").unwrap());
        assert_eq!(
            found,
            [Spell {
                start: 360,
                length: 140 * 60
            }]
        );
        set(&mut line, PATH, "168 h").unwrap();
        assert_eq!(told(&line), 168.0);
        assert!(set(&mut line, PATH, "169 h").is_err());
        // What follows another calendar stays.
        assert_eq!(line.calendars.get("nights"), demo().calendars.get("nights"));
    }

    #[test]
    fn any_hours_come_back_to_the_minute() {
        for calendar in [
            "(days: \"Mon-Fri\", from: \"06:00\", to: \"22:00\")",
            "(days: \"Sun-Thu\", from: \"22:00\", to: \"06:00\")",
            "(days: \"Mon, Wed\", from: \"07:15\", to: \"12:00\", more: [(days: \"Mon-Sat\", from: \"13:00\", to: \"17:45\")])",
            "(days: \"every day\", from: \"00:00\", to: \"24:00\")",
        ] {
            let text = DEMO.replacen(
                "(days: \"Mon-Fri\", from: \"06:00\", to: \"22:00\", notes: \"Two shifts.\")",
                calendar,
                1,
            );
            assert_ne!(text, DEMO);
            for wanted in [1.0, 7.5, 37.5, 79.98, 80.02, 101.3, 144.0, 167.9, 168.0] {
                let mut line = load(&text).0.unwrap();
                set_si(&mut line, PATH, wanted * SECONDS_PER_HOUR).unwrap();
                assert!(
                    (told(&line) - wanted).abs() < 0.0085,
                    "{calendar}: {wanted} {}",
                    told(&line)
                );
                assert!(load(&save(&line)).0.is_some_and(|back| back == line));
            }
        }
    }

    #[test]
    fn a_line_that_never_stops_has_no_hours() {
        let mut line = demo();
        set(&mut line, "loop.work.calendar", "always").unwrap();
        assert!(get(&line, PATH).is_err());
    }
}
