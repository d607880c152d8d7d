//! Instants and spans of musical and clock time, tempo, metre and transport.
//!
//! Each kind of time has its own type: an instant minus an instant is a span, and nothing else mixes.
//! Uses no other stage.

pub(crate) mod clock;
pub mod metre;
pub mod metre_map;
pub mod tempo_map;
pub mod transport;

use core::ops::{Add, Sub};
use serde::{Deserialize, Serialize};

macro_rules! instant_and_span {
    ($(#[$instant_doc:meta])* $instant:ident, $(#[$span_doc:meta])* $span:ident) => {
        $(#[$instant_doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $instant(pub f64);

        $(#[$span_doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $span(pub f64);

        impl $instant {
            /// The later of the two.
            #[must_use]
            pub fn later(self, other: Self) -> Self {
                if other > self { other } else { self }
            }

            /// The earlier of the two.
            #[must_use]
            pub fn earlier(self, other: Self) -> Self {
                if other < self { other } else { self }
            }
        }

        impl Sub for $instant {
            type Output = $span;
            fn sub(self, earlier: Self) -> $span {
                $span(self.0 - earlier.0)
            }
        }

        impl Add<$span> for $instant {
            type Output = Self;
            fn add(self, span: $span) -> Self {
                Self(self.0 + span.0)
            }
        }

        impl Sub<$span> for $instant {
            type Output = Self;
            fn sub(self, span: $span) -> Self {
                Self(self.0 - span.0)
            }
        }

        impl Add for $span {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $span {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
    };
}

instant_and_span!(
    /// A position in the song, in quarter notes from its start whatever the metre. May be negative.
    Beat,
    /// A length in quarter notes.
    BeatSpan
);

instant_and_span!(
    /// A moment on the performance's clock, in seconds. It only runs forward: a loop or a locate moves
    /// the [`Beat`], never the `Second`.
    Second,
    /// A length in seconds.
    SecondSpan
);

/// A tempo in quarter notes per minute.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Tempo(f64);

impl Tempo {
    /// 120 BPM: the default of Standard MIDI Files (RP-001).
    pub const COMMON: Self = Self(120.0);

    /// A finite tempo above 0 and up to 10,000 quarters per minute; else `None`.
    #[inline]
    pub fn new(quarters_a_minute: f64) -> Option<Self> {
        (quarters_a_minute.is_finite() && quarters_a_minute > 0.0 && quarters_a_minute <= 10_000.0)
            .then_some(Self(quarters_a_minute))
    }

    /// Quarter notes per minute.
    pub fn quarters_a_minute(self) -> f64 {
        self.0
    }

    /// How long `span` lasts at this tempo.
    pub fn seconds(self, span: BeatSpan) -> SecondSpan {
        SecondSpan(span.0 * 60.0 / self.0)
    }

    /// The beats in `span` at this tempo.
    #[inline]
    pub fn beats(self, span: SecondSpan) -> BeatSpan {
        BeatSpan(span.0 * self.0 / 60.0)
    }
}

/// One moment on both clocks.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Moment {
    /// Song position; 0 without a beat grid.
    pub beat: Beat,
    /// Time on the performance's clock.
    pub second: Second,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tempo_converts_both_ways_and_refuses_what_no_host_can_mean() {
        let tempo = Tempo::new(120.0).unwrap();
        assert_eq!(tempo.seconds(BeatSpan(4.0)), SecondSpan(2.0));
        assert_eq!(tempo.beats(SecondSpan(2.0)), BeatSpan(4.0));
        for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY, 10_001.0] {
            assert_eq!(Tempo::new(wrong), None, "{wrong}");
        }
    }
}
