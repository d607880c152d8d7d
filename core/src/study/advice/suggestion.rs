//! Exercises for the findings.

use crate::practice::{Drill, NoteValue, built_in};
use crate::quantization::PositionClass;
use core::fmt;
use serde::Serialize;

/// An exercise and its goal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "drill")]
pub enum Suggestion {
    /// Keep one note value going through the whole form.
    UnbrokenLine {
        /// The note value.
        subdivision: NoteValue,
    },
    /// Start every phrase at one position.
    StartPosition {
        /// The pulse, from 1.
        pulse: u8,
        /// The class of the position.
        class: PositionClass,
    },
    /// End every phrase off the beat.
    EndingPosition,
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

impl Suggestion {
    /// The drill that practises it, after a bar of count-in: over a chorus of `chorus_bars`, or twelve bars if
    /// the form is unknown.
    pub fn drill(&self, chorus_bars: Option<u32>) -> Option<Drill> {
        let name = match self {
            Self::UnbrokenLine { subdivision } => format!("line {}", subdivision.name()),
            Self::StartPosition { pulse, class: PositionClass::And } => format!("entry {pulse}&"),
            Self::StartPosition { pulse, .. } => format!("entry {pulse}"),
            Self::EndingPosition => "exit off the beat".to_owned(),
            Self::LongLine { bars } => format!("long {bars}"),
            Self::BreathingRoom { beats } => format!("rest {beats}"),
        };
        let mut drill = built_in(&name).ok()?;
        drill.form.bars = chorus_bars.unwrap_or(drill.form.bars);
        drill.check().ok()?;
        Some(drill)
    }
}

impl fmt::Display for Suggestion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnbrokenLine { subdivision } => {
                write!(f, "Play unbroken {} through a whole chorus.", subdivision.plural())
            }
            Self::StartPosition { pulse, class: PositionClass::And } => {
                write!(f, "Start every phrase on the & of {pulse}.")
            }
            Self::StartPosition { pulse, .. } => write!(f, "Start every phrase on beat {pulse}."),
            Self::EndingPosition => write!(f, "End every phrase off the beat."),
            Self::LongLine { bars } => {
                write!(f, "Play at least one phrase of {bars} bars in each chorus.")
            }
            Self::BreathingRoom { beats } => {
                write!(f, "Rest at least {beats} beats after each phrase.")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::Goal;

    #[test]
    fn each_suggestion_is_a_drill_over_the_tunes_form() {
        for (suggestion, aim) in [
            (Suggestion::UnbrokenLine { subdivision: NoteValue::Eighth }, "line eighth"),
            (Suggestion::StartPosition { pulse: 4, class: PositionClass::And }, "entry 4&"),
            (Suggestion::StartPosition { pulse: 3, class: PositionClass::Beat }, "entry 3"),
            (Suggestion::EndingPosition, "exit off the beat"),
            (Suggestion::LongLine { bars: 4 }, "long 4"),
            (Suggestion::BreathingRoom { beats: 2 }, "rest 2"),
        ] {
            let drill = suggestion.drill(Some(16)).unwrap();
            assert_eq!((drill.form.bars, &drill.goals), (16, &built_in(aim).unwrap().goals));
        }
        assert!(matches!(
            Suggestion::LongLine { bars: 4 }.drill(None).unwrap().goals[..],
            [Goal::LongLine(bars)] if bars == 4.0
        ));
    }
}
