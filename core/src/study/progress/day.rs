//! Days of the calendar.

use chrono::{Datelike as _, Days, NaiveDate, Weekday};
use core::fmt;
use serde::{Serialize, Serializer};

/// A day of the Gregorian calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(pub NaiveDate);

impl Day {
    /// Reads `2025-03-04`, years from 1000 to 9999; `None` for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        let date: NaiveDate = text.parse().ok()?;
        // The parser also accepts shorter numbers and signs.
        (date.year() >= 1000 && date.to_string() == text).then_some(Self(date))
    }

    /// The day this many days later, or earlier if negative.
    #[must_use]
    pub fn plus(self, days: i32) -> Self {
        let distance = Days::new(days.unsigned_abs().into());
        let moved = match days < 0 {
            true => self.0.checked_sub_days(distance),
            false => self.0.checked_add_days(distance),
        };
        Self(moved.unwrap_or(self.0))
    }

    /// How many days this one is after another.
    pub fn since(self, earlier: Self) -> i32 {
        self.0.num_days_from_ce().saturating_sub(earlier.0.num_days_from_ce())
    }

    /// The Monday of its week (ISO 8601).
    pub fn monday(self) -> Self {
        Self(self.0.week(Weekday::Mon).checked_first_day().unwrap_or(self.0))
    }
}

/// As `2025-03-04`.
impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Serialize for Day {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse(text).unwrap()
    }

    #[test]
    fn days_round_trip_as_text() {
        for text in ["1970-01-01", "2024-02-29", "2025-12-31", "9999-12-31"] {
            assert_eq!(day(text).to_string(), text);
        }
        for text in [
            "2025-02-29",
            "2025-13-01",
            "2025-1-01",
            " 2025-01-01",
            "0999-01-01",
            "25-01-01",
            "2025-01-01-",
            "",
            "+025-01-01",
        ] {
            assert_eq!(Day::parse(text), None, "{text}");
        }
    }

    /// By the calendar, 2024-01-01 and 2025-03-03 were Mondays.
    #[test]
    fn weeks_begin_on_monday() {
        assert_eq!(day("2025-03-09").monday(), day("2025-03-03"));
        assert_eq!(day("2025-03-03").monday(), day("2025-03-03"));
        assert_eq!(day("2024-01-01").monday(), day("2024-01-01"));
        assert_eq!(day("2025-03-04").since(day("2025-02-28")), 4);
    }

    #[test]
    fn adding_days_crosses_months_and_stays_within_the_calendar() {
        assert_eq!(day("2024-02-28").plus(2), day("2024-03-01"));
        assert_eq!(day("2024-03-01").plus(-1), day("2024-02-29"));
        let last = Day(NaiveDate::MAX);
        assert_eq!((last.plus(1), Day(NaiveDate::MIN).monday()), (last, Day(NaiveDate::MIN)));
    }
}
