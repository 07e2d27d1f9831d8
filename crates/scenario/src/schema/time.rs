//! Days of the week and times of day as people write them.

use crate::record::worded;

/// Names of the days, Monday first.
const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// Days of the week: `"Mon-Fri"`, `"Mon, Wed, Sat"`, `"every day"`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Days {
    text: String,
    open: [bool; 7],
}

impl Days {
    /// Reads days.
    ///
    /// # Errors
    /// What is not understood, in words.
    pub fn parse(text: &str) -> Result<Self, String> {
        let trimmed = text.trim();
        let mut open = [false; 7];
        if matches!(trimmed, "every day" | "daily") {
            return Ok(Self {
                text: trimmed.to_owned(),
                open: [true; 7],
            });
        }
        for part in trimmed.split(',') {
            let (from, to) = part.split_once(['-', '–']).unwrap_or((part, part));
            let (from, to) = (day(from)?, day(to)?);
            let mut at = from;
            loop {
                open[at] = true;
                if at == to {
                    break;
                }
                at = (at + 1) % 7;
            }
        }
        Ok(Self {
            text: trimmed.to_owned(),
            open,
        })
    }

    /// The days of a week that are open, Monday first.
    #[must_use]
    pub fn of(open: [bool; 7]) -> Self {
        let named: Vec<&str> = DAYS
            .into_iter()
            .zip(open)
            .filter(|(_, o)| *o)
            .map(|(d, _)| d)
            .collect();
        let first = open.iter().position(|o| *o).unwrap_or(0);
        let is_run = open.iter().skip(first).take(named.len()).all(|o| *o);
        let text = match named[..] {
            _ if named.len() == DAYS.len() => "every day".to_owned(),
            [first, .., last] if is_run && named.len() > 2 => format!("{first}-{last}"),
            _ => named.join(", "),
        };
        Self { text, open }
    }

    /// As written.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Which days are open, Monday first.
    #[must_use]
    pub const fn open(&self) -> [bool; 7] {
        self.open
    }
}

fn day(name: &str) -> Result<usize, String> {
    let short: String = name.trim().chars().take(12).collect();
    DAYS.iter()
        .position(|d| d.eq_ignore_ascii_case(&short))
        .ok_or_else(|| format!("\"{short}\" is not a day; the days are {}", DAYS.join(", ")))
}

/// A time of day, `"06:00"` to `"24:00"`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Clock {
    text: String,
    minutes: u32,
}

impl Clock {
    /// Reads a time of day.
    ///
    /// # Errors
    /// What is not understood, in words.
    pub fn parse(text: &str) -> Result<Self, String> {
        let trimmed = text.trim();
        let number = |part: &str| {
            let is_short =
                (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
            if is_short {
                part.parse::<u32>().ok()
            } else {
                None
            }
        };
        let minutes = trimmed.split_once(':').and_then(|(h, m)| {
            let (h, m) = (number(h)?, number(m)?);
            (m < 60 && 60 * h + m <= 24 * 60).then_some(60 * h + m)
        });
        match minutes {
            Some(minutes) => Ok(Self {
                text: trimmed.to_owned(),
                minutes,
            }),
            None => {
                let shown: String = trimmed.chars().take(20).collect();
                Err(format!(
                    "\"{shown}\" is not a time of day from 00:00 to 24:00"
                ))
            }
        }
    }

    /// As written.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Seconds since midnight, 0 to 86 400.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        f64::from(self.minutes) * 60.0
    }
}

worded!(Days, "Mon-Fri");
worded!(Clock, "06:00");

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_in_the_usual_forms() {
        let open = |text| Days::parse(text).unwrap().open();
        assert_eq!(
            open("Mon-Fri"),
            [true, true, true, true, true, false, false]
        );
        assert_eq!(
            open("Sat-Mon"),
            [true, false, false, false, false, true, true]
        );
        assert_eq!(
            open("mon, Wed,Sat"),
            [true, false, true, false, false, true, false]
        );
        assert_eq!(open("every day"), [true; 7]);
        assert!(Days::parse("Mon-Fry").unwrap_err().contains("Fry"));
        assert!(Days::parse("").is_err());
    }

    #[test]
    fn times_of_day_are_read() {
        assert_eq!(Clock::parse("06:30").unwrap().seconds(), 23_400.0);
        assert_eq!(Clock::parse("24:00").unwrap().seconds(), 86_400.0);
        for bad in [
            "24:01", "6", "06:60", "6.30", "-1:00", "+6:00", ":", "006:00",
        ] {
            assert!(Clock::parse(bad).is_err(), "{bad}");
        }
    }
}
