//! Days of the calendar.

use core::fmt;
use serde::{Serialize, Serializer};
use time::{Date, Month};

/// A day of the Gregorian calendar, as the number of its Julian day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(i32);

/// The Julian day of 1970-01-01.
const EPOCH: i32 = 2_440_588;

impl Day {
    /// Reads `2025-03-04`, years from 1000 to 9999; `None` for anything else.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.split('-');
        let mut number = |digits: usize| {
            let part = parts.next()?;
            let plain = part.len() == digits && part.bytes().all(|b| b.is_ascii_digit());
            part.parse::<u16>().ok().filter(|_| plain)
        };
        let (year, month, day) = (number(4)?, number(2)?, number(2)?);
        let month = Month::try_from(u8::try_from(month).ok()?).ok()?;
        let date = Date::from_calendar_date(i32::from(year), month, u8::try_from(day).ok()?);
        date.ok()
            .filter(|_| year >= 1000 && parts.next().is_none())
            .map(|d| Self(d.to_julian_day()))
    }

    /// The day of a moment in seconds since 1970-01-01, by a clock that is `offset` seconds ahead
    /// of UTC there.
    #[must_use]
    pub fn of_unix(seconds: i64, offset: i32) -> Self {
        let days = seconds.saturating_add(offset.into()).div_euclid(86_400);
        Self(i32::try_from(days).unwrap_or(0).saturating_add(EPOCH))
    }

    /// So many days later, or earlier.
    #[must_use]
    pub fn plus(self, days: i32) -> Self {
        Self(self.0.saturating_add(days))
    }

    /// How many days this one is after another.
    #[must_use]
    pub fn since(self, earlier: Self) -> i32 {
        self.0.saturating_sub(earlier.0)
    }

    /// The Monday of its week (ISO 8601).
    #[must_use]
    pub fn monday(self) -> Self {
        // Julian day 0 was a Monday.
        Self(self.0.saturating_sub(self.0.rem_euclid(7)))
    }
}

/// As `2025-03-04`.
impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match Date::from_julian_day(self.0) {
            Ok(date) => {
                let (year, month, day) = date.to_calendar_date();
                write!(f, "{year:04}-{:02}-{day:02}", u8::from(month))
            }
            Err(_) => write!(f, "day {}", self.0),
        }
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
    fn there_and_back() {
        for text in ["1970-01-01", "2024-02-29", "2025-12-31", "9999-12-31"] {
            assert_eq!(day(text).to_string(), text);
        }
        for text in
            ["2025-02-29", "2025-13-01", "2025-1-01", "25-01-01", "2025-01-01-", "", "+025-01-01"]
        {
            assert_eq!(Day::parse(text), None, "{text}");
        }
    }

    /// Mondays by the calendar: 2024-01-01 and 2025-03-03 were Mondays.
    #[test]
    fn weeks_begin_on_monday() {
        assert_eq!(day("2025-03-09").monday(), day("2025-03-03"));
        assert_eq!(day("2025-03-03").monday(), day("2025-03-03"));
        assert_eq!(day("2024-01-01").monday(), day("2024-01-01"));
        assert_eq!(day("2025-03-04").since(day("2025-02-28")), 4);
    }

    #[test]
    fn a_moment_belongs_to_the_day_of_its_own_clock() {
        assert_eq!(Day::of_unix(0, 0), day("1970-01-01"));
        assert_eq!(Day::of_unix(-1, 0), day("1969-12-31"));
        assert_eq!(Day::of_unix(86_400 - 1800, 3600), day("1970-01-02"));
        let _far = Day::of_unix(i64::MAX, i32::MAX).to_string();
    }
}
