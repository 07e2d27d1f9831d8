//! Weekly open hours and shutdown days.

/// Seconds in an hour.
pub const HOUR_S: f64 = 3_600.0;
/// Seconds in a day.
pub const DAY_S: f64 = 86_400.0;
/// Seconds in a week.
pub const WEEK_S: f64 = 604_800.0;
/// Seconds in the model's year of 52 weeks and one day.
pub const YEAR_S: f64 = 31_536_000.0;
/// Seconds in one of the model's twelve equal months.
pub const MONTH_S: f64 = YEAR_S / 12.0;

/// When something is open: windows of the week, less shutdown spans.
///
/// Time zero is a Monday at 00:00.
#[derive(Clone, Debug, PartialEq)]
pub struct Calendar {
    /// Name that people use.
    pub name: String,
    /// Open windows within the week, seconds from Monday 00:00, sorted, not overlapping, each `0 ≤ start < end ≤ 604 800`.
    pub windows_s: Vec<(f64, f64)>,
    /// Spans of absolute time in which the calendar is shut whatever the week says, seconds, sorted.
    pub shutdowns_s: Vec<(f64, f64)>,
}

impl Calendar {
    /// A calendar that never shuts.
    #[must_use]
    pub fn always(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            windows_s: vec![(0.0, WEEK_S)],
            shutdowns_s: Vec::new(),
        }
    }

    /// Whether the calendar never shuts.
    #[must_use]
    pub fn is_always(&self) -> bool {
        let mut open_until_s = 0.0;
        for &(from, to) in &self.windows_s {
            if from > open_until_s {
                return false;
            }
            open_until_s = to.max(open_until_s);
        }
        self.shutdowns_s.is_empty() && open_until_s >= WEEK_S
    }

    /// Whether the calendar is open at `t_s`; a window holds its start and not its end.
    #[must_use]
    pub fn is_open(&self, t_s: f64) -> bool {
        if self
            .shutdowns_s
            .iter()
            .any(|&(from, to)| t_s >= from && t_s < to)
        {
            return false;
        }
        let in_week = t_s.rem_euclid(WEEK_S);
        self.windows_s
            .iter()
            .any(|&(from, to)| in_week >= from && in_week < to)
    }

    /// The first boundary after `t_s`, seconds; infinite when the calendar never changes.
    #[must_use]
    pub fn next_change_s(&self, t_s: f64) -> f64 {
        let mut next = f64::INFINITY;
        let week_start = (t_s / WEEK_S).floor() * WEEK_S;
        let edges = self.windows_s.iter().flat_map(|&(from, to)| [from, to]);
        for edge in edges {
            // An edge at the very start or end of the week is no change when the neighbouring week continues it.
            for week in [0.0, WEEK_S] {
                let at = week_start + week + edge;
                if at > t_s && at < next && self.changes_at(at) {
                    next = at;
                }
            }
        }
        for edge in self.shutdowns_s.iter().flat_map(|&(from, to)| [from, to]) {
            if edge > t_s && edge < next {
                next = edge;
            }
        }
        next
    }

    fn changes_at(&self, at_s: f64) -> bool {
        self.is_open(at_s) != self.is_open(at_s - 1.0e-3)
    }

    /// Share of the week that the windows cover, 0 to 1 (shutdowns not counted).
    #[must_use]
    pub fn open_share(&self) -> f64 {
        self.windows_s
            .iter()
            .map(|&(from, to)| to - from)
            .sum::<f64>()
            / WEEK_S
    }
}

/// Hours of the week in which the same calendars are open.
#[derive(Clone, Debug, PartialEq)]
pub struct Spell {
    /// Share of the week, 0 to 1; those of all spells add up to 1.
    pub share: f64,
    /// Per calendar: 1 while it is open, 0 while it is shut.
    pub open: Vec<f64>,
}

/// The week cut at every edge of a calendar, with hours alike taken together (shutdowns not counted).
///
/// Means of what asks for several calendars at once need it: by their shares alone two calendars that never meet look like two that always do.
#[must_use]
pub fn spells(calendars: &[Calendar]) -> Vec<Spell> {
    let windows = calendars.iter().flat_map(|c| &c.windows_s);
    let edges = windows.flat_map(|&(from, to)| [from, to]);
    let mut cuts_s: Vec<f64> = edges.chain([0.0, WEEK_S]).collect();
    cuts_s.sort_by(f64::total_cmp);
    let mut spells: Vec<Spell> = Vec::new();
    for (&from, &to) in cuts_s.iter().zip(cuts_s.iter().skip(1)) {
        if to <= from {
            continue;
        }
        let holds = |c: &Calendar| c.windows_s.iter().any(|w| w.0 <= from && from < w.1);
        let open: Vec<f64> = calendars
            .iter()
            .map(|c| if holds(c) { 1.0 } else { 0.0 })
            .collect();
        let share = (to - from) / WEEK_S;
        match spells.iter_mut().find(|s| s.open == open) {
            Some(known) => known.share += share,
            None => spells.push(Spell { share, open }),
        }
    }
    spells
}

#[cfg(test)]
mod tests {
    use super::*;

    fn two_shifts() -> Calendar {
        let windows_s = (0..5).map(|d| {
            (
                f64::from(d) * 86_400.0 + 21_600.0,
                f64::from(d) * 86_400.0 + 79_200.0,
            )
        });
        Calendar {
            name: "two shifts".into(),
            windows_s: windows_s.collect(),
            shutdowns_s: vec![],
        }
    }

    #[test]
    fn edges_belong_to_the_window_that_starts() {
        let c = two_shifts();
        assert!(!c.is_open(21_599.0));
        assert!(c.is_open(21_600.0));
        assert!(!c.is_open(79_200.0));
        assert!((c.open_share() - 80.0 / 168.0).abs() < 1e-12);
    }

    #[test]
    fn next_change_walks_the_week_and_wraps() {
        let c = two_shifts();
        assert_eq!(c.next_change_s(0.0), 21_600.0);
        assert_eq!(c.next_change_s(21_600.0), 79_200.0);
        let friday_end = 4.0 * 86_400.0 + 79_200.0;
        assert_eq!(c.next_change_s(friday_end), WEEK_S + 21_600.0);
    }

    #[test]
    fn a_calendar_that_never_shuts_never_changes() {
        assert!(Calendar::always("always").next_change_s(12.0).is_infinite());
    }

    #[test]
    fn a_shutdown_closes_an_open_window() {
        let mut c = two_shifts();
        c.shutdowns_s.push((86_400.0, 2.0 * 86_400.0));
        assert!(!c.is_open(86_400.0 + 30_000.0));
        assert_eq!(c.next_change_s(79_200.0), 86_400.0);
    }

    /// Two shifts from Monday to Friday and Mondays from noon to midnight: they meet for ten hours, and two hours are the Monday's alone.
    #[test]
    fn spells_tell_which_calendars_meet() {
        let monday = Calendar {
            name: "monday".into(),
            windows_s: vec![(43_200.0, 86_400.0)],
            shutdowns_s: vec![],
        };
        let found = spells(&[two_shifts(), monday]);
        let hours = |open: [f64; 2]| {
            let spell = found.iter().find(|s| s.open == open);
            spell.map_or(0.0, |s| 168.0 * s.share)
        };
        for (open, wanted) in [
            ([1.0, 1.0], 10.0),
            ([1.0, 0.0], 70.0),
            ([0.0, 1.0], 2.0),
            ([0.0, 0.0], 86.0),
        ] {
            assert!((hours(open) - wanted).abs() < 1e-9, "{open:?}: {found:?}");
        }
        assert_eq!(found.len(), 4);
    }
}
