//! Errors of a form.

use super::MOST_BARS;

/// Why a form is invalid.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormError {
    /// A chorus of no bars, or of too many.
    #[error("a chorus of {bars} bars: it must have from 1 to {MOST_BARS}")]
    Bars {
        /// The given number.
        bars: u32,
    },
    /// A first bar that no song has.
    #[error("a first bar of {bar}: no song has it")]
    FirstBar {
        /// The given number.
        bar: i64,
    },
    /// The sections do not add up to the chorus, or one of them has no bars.
    #[error(
        "sections of {sections} bars together in a chorus of {chorus}: they must be as many, and each \
         section at least one"
    )]
    SectionBars {
        /// The sum of their bars.
        sections: u32,
        /// The bars of the chorus.
        chorus: u32,
    },
    /// More bars of chords than the chorus has.
    #[error("chords for {bars} bars in a chorus of {chorus}")]
    Chords {
        /// The bars of chords.
        bars: usize,
        /// The bars of the chorus.
        chorus: u32,
    },
    /// A section that is not a name and a number of bars.
    #[error("{0:?} is no section: write its name and its bars, as in A8")]
    SectionText(String),
}
