//! Why something is no form.

use super::MOST_BARS;
use core::fmt;

/// Each is told in a sentence without a full stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FormError {
    /// A chorus of no bars, or of more than any tune has.
    Bars {
        /// As asked for.
        bars: u32,
    },
    /// A first bar no song has.
    FirstBar {
        /// As asked for.
        bar: i64,
    },
    /// The sections are not as long as the chorus, or one of them has no bars.
    SectionBars {
        /// Their bars together.
        sections: u32,
        /// The chorus's.
        chorus: u32,
    },
    /// More bars of chords than the chorus has.
    Chords {
        /// Of chords.
        bars: usize,
        /// Of the chorus.
        chorus: u32,
    },
    /// A section that is not written as a name and its bars.
    SectionText(String),
}

impl fmt::Display for FormError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Bars { bars } => {
                write!(f, "a chorus of {bars} bars: it must have from 1 to {MOST_BARS}")
            }
            Self::FirstBar { bar } => write!(f, "a first bar of {bar}: no song has it"),
            Self::SectionBars { sections, chorus } => write!(
                f,
                "sections of {sections} bars together in a chorus of {chorus}: they must be as \
                 many, and each section at least one"
            ),
            Self::Chords { bars, chorus } => {
                write!(f, "chords for {bars} bars in a chorus of {chorus}")
            }
            Self::SectionText(text) => {
                write!(f, "{text:?} is no section: write its name and its bars, as in A8")
            }
        }
    }
}

impl core::error::Error for FormError {}
