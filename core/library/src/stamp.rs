//! Dates, and values that carry the date of their last change.

use serde::{Deserialize, Serialize};
use std::time::{SystemTime, UNIX_EPOCH};

/// A date, in milliseconds since the beginning of 1970, UTC.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Stamp(pub i64);

impl Stamp {
    /// Now by the system's clock; 0 if that is before 1970.
    pub fn now() -> Self {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        Self(i64::try_from(since.as_millis()).unwrap_or(i64::MAX))
    }
}

/// A value and when it was last changed; 0 for never.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Edited<T> {
    /// The value.
    pub value: T,
    /// When it was changed.
    pub at: Stamp,
}

impl<T: PartialOrd> Edited<T> {
    /// Changes it at `now`, but always later than before, even if the clock was set back.
    pub fn set(&mut self, value: T, now: Stamp) {
        self.at = now.max(Stamp(self.at.0.saturating_add(1)));
        self.value = value;
    }

    /// The later of the two; for changes at the same moment, the greater value, so that the order does
    /// not matter.
    #[must_use]
    pub fn later(self, other: Self) -> Self {
        let second = (self.at, &self.value) < (other.at, &other.value);
        if second { other } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_change_wins() {
        let mut name = Edited { value: "one", at: Stamp(5) };
        let other = Edited { value: "two", at: Stamp(6) };
        assert_eq!(name.later(other), other);
        assert_eq!(other.later(name), other);
        name.set("three", Stamp(2));
        assert_eq!(name, Edited { value: "three", at: Stamp(6) });
        assert_eq!((name.later(other), other.later(name)), (other, other));
    }
}
