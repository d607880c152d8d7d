//! The exercise that fits a finding.

use crate::place::PlaceClass;
use crate::subdivision::Subdivision;
use core::fmt;
use serde::Serialize;

/// An exercise and its goal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "drill")]
pub enum Suggestion {
    /// Keep one note value going through the whole form.
    UnbrokenLine {
        /// The note value.
        subdivision: Subdivision,
    },
    /// Begin every phrase on one place.
    EntryPlace {
        /// The pulse, from 1.
        pulse: u8,
        /// The class of the place.
        class: PlaceClass,
    },
    /// End every phrase off the beat.
    ExitPlace,
    /// Play at least one phrase this long in each chorus.
    LongLine {
        /// In bars.
        bars: u8,
    },
    /// Rest at least this long after each phrase.
    BreathingRoom {
        /// In beats.
        beats: u8,
    },
}

impl fmt::Display for Suggestion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnbrokenLine { subdivision: Subdivision::Half } => {
                write!(f, "Keep half notes going through a whole chorus.")
            }
            Self::UnbrokenLine { subdivision } => {
                write!(f, "Keep {}s going through a whole chorus.", subdivision.name())
            }
            Self::EntryPlace { pulse, class: PlaceClass::And } => {
                write!(f, "Begin every phrase on the \"and\" of {pulse}.")
            }
            Self::EntryPlace { pulse, .. } => write!(f, "Begin every phrase on beat {pulse}."),
            Self::ExitPlace => write!(f, "End every phrase off the beat."),
            Self::LongLine { bars } => {
                write!(f, "Play at least one line of {bars} bars in each chorus.")
            }
            Self::BreathingRoom { beats } => {
                write!(f, "Rest at least {beats} beats after each phrase.")
            }
        }
    }
}
